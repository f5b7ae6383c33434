//! What a file says of the lengths of single notes and rests, beyond their values: `num` and
//! `numbase`, and `dur.quality`.
//!
//! Notes in a row with the same `num` and `numbase` stand under a `ratio`, where values hold two
//! and no sign of proportion is in force. All else is compared with what the rules of counting make
//! of the text: where they come to the same, nothing has to be said; where not, the note gets the
//! editor's length. The last note of a section is held or trimmed whatever is said of it.

use std::collections::HashMap;

use notation::{Dot, Group, ItemId, ItemKind, Piece, Spelling, parse, print};
use rudiments::{Proportion, Time, Value};
use score::{BarLength, Rule, TimedEvent, align, reckon};

use super::heading::Heading;
use super::mensuration::{TimeInForce, in_force, stretches};
use super::piece;
use super::said::{Quality, Said};
use super::voice::{Event, Item, Voice};
use crate::reading::Remarks;

/// Writes ratios around notes that say them.
pub(super) fn ratios(voice: &mut Voice) {
    let time = in_force(voice);
    let mut marks: Vec<(usize, Proportion)> = Vec::new();
    let mut under = Vec::new();
    for stretch in stretches(&voice.items) {
        let ratio = |place: usize| match &voice.items[place] {
            Item::Event(event) if event.said.quality.is_none() => event.said.ratio,
            _ => None,
        };
        for run in stretch.chunk_by(|one, next| ratio(*one) == ratio(*next)) {
            let (first, last) = (run[0], run[run.len() - 1]);
            let Some(ratio) = ratio(first).filter(|ratio| !ratio.is_equal()) else { continue };
            let time = time[first];
            let plain = time.mensuration.is_imperfect() && !time.undecided && !time.proportioned;
            let joins = |place: usize| matches!(voice.items.get(place), Some(Item::Event(event)) if event.joined);
            if run.len() > 1 && plain && !joins(first) && !joins(last + 1) {
                let opens = |place: usize| {
                    matches!(
                        voice.items.get(place),
                        Some(Item::Other(ItemKind::Open(Group::Ligature)))
                    )
                };
                let closes = |place: usize| {
                    matches!(
                        voice.items.get(place),
                        Some(Item::Other(ItemKind::Close(Group::Ligature)))
                    )
                };
                let before = if first > 0 && opens(first - 1) { first - 1 } else { first };
                let after = if closes(last + 1) { last + 2 } else { last + 1 };
                marks.extend([(before, ratio), (after, Proportion::EQUAL)]);
                under.extend_from_slice(run);
            }
        }
    }
    for place in under {
        if let Item::Event(event) = &mut voice.items[place] {
            event.said.in_ratio = true;
        }
    }
    if marks.is_empty() {
        return;
    }
    let mut marks = marks.into_iter().peekable();
    let items = std::mem::take(&mut voice.items);
    let end = items.len();
    for (place, item) in items.into_iter().enumerate() {
        while let Some((_, ratio)) = marks.next_if(|(before, _)| *before == place) {
            voice.add(ItemKind::Ratio(ratio));
        }
        voice.items.push(item);
    }
    // At the end of a voice no ratio has to be ended.
    debug_assert!(marks.all(|(place, _)| place == end));
}

/// So often the text is counted; a length that is said may change what is counted of the notes
/// beside it.
const ROUNDS: usize = 4;

/// The piece, in which every note lasts as long as its file says.
pub(super) fn piece(heading: &Heading, voices: &mut [Voice], remarks: &mut [Remarks]) -> Piece {
    let says = |item: &Item| matches!(item, Item::Event(event) if event.said.is_something());
    if !voices.iter().any(|voice| voice.items.iter().any(says)) {
        return piece::of(heading, voices);
    }
    for round in 1..=ROUNDS {
        // Which of the events are read follows from the text.
        let piece = parse(&print(&piece::of(heading, voices), Spelling::default())).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        let counted: HashMap<ItemId, &TimedEvent> = score
            .voices
            .iter()
            .flat_map(|voice| &voice.events)
            .filter_map(|event| Some((event.item?, event)))
            .collect();
        let mut changed = false;
        for (place, (voice, remarks)) in voices.iter_mut().zip(remarks.iter_mut()).enumerate() {
            let time = in_force(voice);
            let events = voice.items.iter_mut().zip(time).filter_map(|(item, time)| match item {
                Item::Event(event) => Some((event, time)),
                Item::Other(_) => None,
            });
            let items = piece.voices[place].items.iter().enumerate();
            let ids = items
                .filter_map(|(item, read)| read.event().map(|_| ItemId { voice: place, item }));
            for ((event, time), id) in events.zip(ids) {
                if event.said.is_something() && event.printed.length.is_none() {
                    let counted = counted.get(&id).copied();
                    changed |= compare(event, time, counted, round == ROUNDS, remarks);
                }
            }
        }
        if !changed {
            break;
        }
    }
    piece::of(heading, voices)
}

/// Gives an event the length that the file says, if it is counted otherwise, or at any rate.
/// Whether it does so.
fn compare(
    event: &mut Event,
    time: TimeInForce,
    counted: Option<&TimedEvent>,
    at_any_rate: bool,
    remarks: &mut Remarks,
) -> bool {
    let Some(counted) = counted else {
        remarks.add(event.at, "what is said of the length of a note that is corrected is not kept");
        event.said = Said::default();
        return false;
    };
    // The last of a section is held or trimmed whatever is said.
    if counted.rule == Rule::Held {
        return false;
    }
    let length = whole(event.said, event.printed.value, time).and_then(|length| {
        let adds = event.printed.dot == Some(Dot::Adds) || counted.rule == Rule::DotAdds;
        let length = if adds { length + length.half() } else { length };
        length.checked_scale(in_force_at(counted)).filter(|length| is_typable(*length))
    });
    let Some(length) = length else {
        remarks.add(
            event.at,
            "the proportion of a note or rest (`num`, `numbase`) is not kept where the sign leaves \
             open how long it would be without, or where it cannot be typed",
        );
        event.said = Said::default();
        return false;
    };
    let differs = at_any_rate || length != counted.length;
    if differs {
        event.printed.length = Some(length);
    }
    differs
}

/// Whether a length can be typed.
fn is_typable(length: Time) -> bool {
    (1..=9999).contains(&length.numerator()) && length.denominator() <= 9999
}

/// The proportion in which an event stands by signs and ratios, without its coloration.
fn in_force_at(event: &TimedEvent) -> Proportion {
    let three_for_one = Proportion::new(1, 3).unwrap_or(Proportion::EQUAL);
    let looks_smaller = !event.colored && event.value > Value::Minim;
    match event.rule {
        Rule::ColoredThirds => event.proportion.and(Proportion::SUBSESQUIALTERA),
        Rule::Figure if looks_smaller => event.proportion.and(Proportion::SUBSESQUIALTERA),
        Rule::ColoredThreeForOne | Rule::Figure => event.proportion.and(three_for_one),
        _ => event.proportion,
    }
}

/// The whole length that is said, without dot and proportion in force.
fn whole(said: Said, value: Value, time: TimeInForce) -> Option<Time> {
    let full = |perfect| time.mensuration.with(value, perfect).full(value);
    let by_quality = match said.quality {
        Some(Quality::Perfect) => Some(full(true)),
        Some(Quality::Imperfect) => Some(full(false)),
        Some(Quality::Altered) => Some(time.mensuration.full(value) * 2),
        None => None,
    };
    let Some(ratio) = said.ratio else { return by_quality };
    // Where both are said, they say the same: imperfection takes a third, alteration doubles.
    let base = match said.quality {
        Some(Quality::Perfect | Quality::Imperfect) => full(true),
        None if time.undecided && matches!(value, Value::Breve | Value::Semibreve) => {
            return None;
        }
        Some(Quality::Altered) | None => time.mensuration.full(value),
    };
    // A ratio that is written is in force already.
    Some(if said.in_ratio { base } else { base * ratio })
}
