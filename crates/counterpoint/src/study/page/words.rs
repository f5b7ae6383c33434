//! Names, places and intervals, as musicians say them.

use rudiments::{Pitch, Time, Value};
use score::Score;

use super::About;
use crate::observe::EventId;
use crate::study::mode::Evidence;

/// The short facts under the title.
pub(super) fn facts(about: &About<'_>) -> Vec<String> {
    let About { study, piece, score } = *about;
    let mut facts = vec![counted(score.voices.len(), "voice")];
    let breves = score.length / Value::Breve.plain().numerator();
    facts.push(match breves {
        breves if breves.denominator() == 1 => counted(breves.numerator() as usize, "breve"),
        _ => format!("{} minims", score.length),
    });
    let mut signs: Vec<String> =
        piece.voices.iter().filter_map(|voice| voice.sign).map(|sign| sign.to_string()).collect();
    signs.dedup();
    if let [sign] = signs.as_slice() {
        facts.push(sign.clone());
    }
    for evidence in &study.mode.evidence {
        match evidence {
            Evidence::Clefs(clefs) => facts.push(clefs.name().to_owned()),
            Evidence::Final(last) => facts.push(format!("final {}", step(last.pitch))),
            _ => {}
        }
    }
    facts.push(study.mode.sentence());
    facts
}

/// `1 voice`, `2 voices`.
pub(super) fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

/// `1/2 minim`, `1 minim`, `1 1/2 minims`.
pub(super) fn minims(time: Time) -> String {
    let is_one = time > Time::ZERO && time <= Time::minims(1);
    format!("{} minim{}", time.spoken(), if is_one { "" } else { "s" })
}

/// `1`, `1 and 2`, `1, 2 and 3`.
pub(super) fn listed(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [others @ .., last] => format!("{} and {last}", others.join(", ")),
    }
}

/// A pitch without its octave.
pub(super) fn step(pitch: Pitch) -> String {
    pitch.to_string().trim_end_matches(|c: char| c.is_ascii_digit() || c == '-').to_owned()
}

/// The same, with a natural named where the letter alone would hide it.
pub(super) fn sign(pitch: Pitch) -> String {
    let natural = if pitch.alteration == 0 { " natural" } else { "" };
    format!("{}{natural}", step(pitch))
}

/// The name of the voice of an event.
pub(super) fn voice(score: &Score, event: EventId) -> &str {
    score.voices.get(event.voice).map_or("", |voice| voice.name.as_str())
}

/// What an event sounds first.
pub(super) fn pitch(score: &Score, event: EventId) -> Option<Pitch> {
    let event = score.voices.get(event.voice)?.events.get(event.event)?;
    event.notes.first().map(|note| note.pitch)
}

/// `Altus 1-6`: the printed numbers of the first and the last; the voice alone where they have none.
pub(super) fn run(score: &Score, first: EventId, last: EventId) -> String {
    let name = voice(score, first);
    match (index(score, first), index(score, last)) {
        (Some(first), Some(last)) => format!("{name} {first}\u{2013}{last}"),
        _ => name.to_owned(),
    }
}

/// The printed number of an event.
pub(super) fn index(score: &Score, event: EventId) -> Option<u32> {
    score.voices.get(event.voice)?.events.get(event.event)?.index
}

/// Where a moment is: its bar, and the minim if that is not the first: `6.3`.
pub(super) fn place(score: &Score, at: Time) -> String {
    let Some(bar) = score.bar_at(at) else { return String::new() };
    let since = at - bar.start;
    let minim = since.numerator().div_euclid(since.denominator()) + 1;
    match minim {
        1 if since == Time::ZERO => bar.number.to_string(),
        _ => format!("{}.{minim}", bar.number),
    }
}

/// The bars of two moments: `bar 6`, `bars 6–7`.
pub(super) fn in_bars(score: &Score, from: Time, to: Time) -> String {
    let numbers = bars(score, from, to);
    let bars = if numbers.contains('\u{2013}') { "bars" } else { "bar" };
    format!("{bars} {numbers}")
}

/// The bars of two moments: `6–7`.
pub(super) fn bars(score: &Score, from: Time, to: Time) -> String {
    let number = |at| score.bar_at(at).map_or(0, |bar| bar.number);
    match (number(from), number(to)) {
        (from, to) if from == to => from.to_string(),
        (from, to) => format!("{from}\u{2013}{to}"),
    }
}

/// An interval in staff steps, as it is said: `5th above`, `8ve below`, `unison`.
pub(super) fn interval(steps: i32) -> String {
    let way = match steps.signum() {
        0 => return "unison".to_owned(),
        1 => "above",
        _ => "below",
    };
    format!("{} {way}", number(steps))
}

/// The number of an interval: `3rd`, `8ve`, `12th`.
pub(super) fn number(steps: i32) -> String {
    let number = steps.unsigned_abs() + 1;
    match (number, number % 10) {
        (8, _) => "8ve".to_owned(),
        (11..=13, _) => format!("{number}th"),
        (_, 1) => format!("{number}st"),
        (_, 2) => format!("{number}nd"),
        (_, 3) => format!("{number}rd"),
        _ => format!("{number}th"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_and_lists_are_said() {
        let half = Time::new(1, 2);
        assert_eq!([half, half + half + half].map(minims), ["1/2 minim", "1 1/2 minims"]);
        assert_eq!(listed(&["1", "2.3", "4"].map(str::to_owned)), "1, 2.3 and 4");
    }

    #[test]
    fn intervals_are_said() {
        let said = [4, -3, 7, -7, 0, 1, 2, 11, -11, 12].map(interval);
        let expected = [
            "5th above",
            "4th below",
            "8ve above",
            "8ve below",
            "unison",
            "2nd above",
            "3rd above",
            "12th above",
            "12th below",
            "13th above",
        ];
        assert_eq!(said, expected);
    }
}
