//! Music in threes: passages of the madrigals under the signs that the prints have, and the two duos
//! in perfect time, written as such.

use std::path::Path;

use notation::{Dot, Event};
use rudiments::{Time, Value};

use super::measure::scored;
use super::pieces::{Group, Material};
use super::slots::{Slot, SlotVoice, slots, text_of_slots};
use crate::signs::{FIORINO, VIRCHI, with_signs};
use crate::{duos, madrigal_parts, read_score};

/// The duos whose edition has three semibreves in a bar.
const PERFECT: [&str; 2] = ["14", "25"];

/// The signs under which they are written: perfect time, and three semibreves in the time of two.
const SIGNS: [&str; 2] = ["O", "C|3"];

/// Two madrigals with passages in threes, and two duos wholly in threes, each under two signs. None
/// of them was tuned on.
pub fn in_threes(opendata: &Path) -> Vec<Material> {
    let signed = [("fiorino_delanima", FIORINO), ("virchi_arsimentre", VIRCHI)];
    let madrigals = signed.into_iter().map(|(name, signs)| {
        let text = with_signs(&madrigal_parts(opendata, name), signs);
        let voices = slots(&notation::parse(&text).piece);
        Material { name: name.to_owned(), group: Group::Threes, voices }
    });
    let duos = duos(opendata).into_iter().filter(|(name, _)| PERFECT.contains(&name.as_str()));
    let duos = duos.flat_map(|(name, xml)| {
        let text = read_score(&name, xml.as_bytes(), None);
        let voices = slots(&notation::parse(&text).piece);
        SIGNS.map(|sign| Material {
            name: format!("{name} under {sign}"),
            group: Group::Threes,
            voices: voices.iter().map(|voice| perfect(voice, sign)).collect(),
        })
    });
    madrigals.chain(duos).collect()
}

/// Which events of a voice stand under a sign of threes.
pub(super) fn are_in_threes(voice: &SlotVoice) -> Vec<bool> {
    let is_triple = |sign: &str| sign.contains('3') || sign.starts_with('O');
    let opening = voice.opening.split_once("sign ").map_or("", |(_, sign)| sign);
    let mut now = is_triple(opening);
    let mut events = Vec::new();
    for slot in &voice.slots {
        match slot {
            Slot::Event(_) => events.push(now),
            Slot::Other(other) => {
                if let Some(sign) = other.strip_prefix("sign ") {
                    now = is_triple(sign);
                }
            }
        }
    }
    events
}

/// A voice in plain values as it is written where the breve is perfect, so that all lengths stay.
///
/// # Panics
/// If it cannot be written.
fn perfect(plain: &SlotVoice, sign: &str) -> SlotVoice {
    let wanted = lengths(plain);
    let mut voice = plain.clone();
    voice.opening = format!("{} sign {sign}", plain.opening);
    for event in voice.slots.iter_mut().filter_map(event_mut) {
        // A perfect breve or longa has no dot, as long as nothing follows that would take a part.
        if event.value <= Value::Breve {
            event.dot = None;
        }
    }
    let two_thirds = |length: Time| Time::new(length.numerator() * 2, length.denominator() * 3);
    let wanted: Vec<Time> = match sign {
        "O" => wanted,
        _ => wanted.into_iter().map(two_thirds).collect(),
    };
    let mut wrong = first_wrong(&voice, &wanted);
    while let Some(place) = wrong {
        let better = ways(&voice, place).find_map(|way| {
            let wrong = first_wrong(&way, &wanted);
            wrong.is_none_or(|wrong| wrong > place).then_some((way, wrong))
        });
        let text = text_of_slots(std::slice::from_ref(&voice));
        let (way, next) = better.unwrap_or_else(|| panic!("{text}: {place}"));
        (voice, wrong) = (way, next);
    }
    voice
}

fn event_mut(slot: &mut Slot) -> Option<&mut Event> {
    match slot {
        Slot::Event(event) => Some(event),
        Slot::Other(_) => None,
    }
}

/// How long the events of a voice last.
fn lengths(voice: &SlotVoice) -> Vec<Time> {
    let (_, score) = scored(&text_of_slots(std::slice::from_ref(voice)));
    score.voices[0].events.iter().map(|event| event.length).collect()
}

/// The first event but for the last that does not last as long as is wanted.
fn first_wrong(voice: &SlotVoice, wanted: &[Time]) -> Option<usize> {
    let pairs = lengths(voice).into_iter().zip(&wanted[..wanted.len() - 1]);
    pairs.into_iter().position(|(length, wanted)| length != *wanted)
}

/// Other ways to write an event: with a dot of perfection or addition; with a dot of division after one
/// of the next, or after the one before; black.
fn ways(voice: &SlotVoice, place: usize) -> impl Iterator<Item = SlotVoice> + '_ {
    let with = move |number: usize, change: &dyn Fn(&mut Event)| {
        let mut way = voice.clone();
        let mut events = way.slots.iter_mut().filter_map(event_mut);
        events.nth(number).map(change)?;
        drop(events);
        Some(way)
    };
    let dots =
        [Dot::Plain, Dot::Adds].map(|dot| with(place, &|event: &mut Event| event.dot = Some(dot)));
    let divisions = (0..6)
        .filter_map(move |after| (place + after).checked_sub(1))
        .map(move |number| with(number, &|event: &mut Event| event.dot = Some(Dot::Divides)));
    let black = with(place, &|event: &mut Event| event.colored = true);
    dots.into_iter().chain(divisions).chain([black]).flatten()
}

#[cfg(test)]
mod tests {
    use score::Rule;

    use super::*;
    use crate::opendata;

    /// All lengths are those of the edition, by perfection and imperfection.
    #[test]
    fn duos_in_perfect_time_are_written_so() {
        let Some(opendata) = opendata() else { return };
        let pieces = in_threes(&opendata);
        assert_eq!(pieces.len(), 6);
        let mut rules: Vec<Rule> = Vec::new();
        for piece in &pieces {
            let (_, score) = scored(&text_of_slots(&piece.voices));
            for (voice, typed) in score.voices.iter().zip(&piece.voices) {
                let events = voice.events.iter().zip(are_in_threes(typed));
                rules.extend(events.filter(|(_, threes)| *threes).map(|(event, _)| event.rule));
            }
        }
        let count = |rule: Rule| rules.iter().filter(|found| **found == rule).count();
        let perfection = [Rule::Perfect, Rule::Like, Rule::After, Rule::Before].map(count);
        let [perfect, like, after, before] = perfection;
        assert!(perfect + like > 10 && after + before > 10, "{perfection:?}");
    }
}
