//! What is observed in the duos of the open data, against a plain reader that knows nothing of how
//! the rules go about it: it looks at every moment at which one of two voices begins a note.

use std::collections::BTreeMap;

use counterpoint::observe;
use counterpoint::rules::{Figure, Observed};
use rudiments::Time;
use score::{Score, TimedEvent};
use suite::slips::scored;
use suite::{duos, opendata, read_score};

/// Consonances of two voices by steps and semitones within the octave (Zarlino, *Istitutioni
/// harmoniche*, 1558, III; from memory). The fourth is none, since there is no lower voice.
const CONSONANT: [(i32, i32); 6] = [(0, 0), (2, 3), (2, 4), (4, 7), (5, 8), (5, 9)];

/// The event that sounds at a moment, and its number.
fn sounding(score: &Score, voice: usize, at: Time) -> Option<(usize, &TimedEvent)> {
    let events = &score.voices[voice].events;
    let event = events.iter().position(|event| event.onset <= at && at < event.end())?;
    (!events[event].is_rest()).then_some((event, &events[event]))
}

/// Steps and semitones from one note to another.
fn apart(from: &TimedEvent, to: &TimedEvent) -> (i32, i32) {
    let (from, to) = (from.notes[0].pitch, to.notes[0].pitch);
    let semitones = to.key_number() - from.key_number();
    (to.tone.steps_above(from.tone), semitones)
}

/// An interval within the octave, from the lower note to the higher one.
fn within((steps, semitones): (i32, i32)) -> (i32, i32) {
    let (steps, semitones) =
        if (steps, semitones) < (0, 0) { (-steps, -semitones) } else { (steps, semitones) };
    (steps % 7, semitones - steps / 7 * 12)
}

/// How a voice comes to an event, in steps; nothing after a rest.
fn come(score: &Score, voice: usize, event: usize) -> Option<i32> {
    let events = &score.voices[voice].events;
    let before = events.get(event.checked_sub(1)?).filter(|before| !before.is_rest())?;
    Some(apart(before, &events[event]).0)
}

/// When each thing happens in a duo.
type Moments = BTreeMap<&'static str, Vec<Time>>;

fn read(score: &Score) -> Moments {
    let onsets = score.voices.iter().flat_map(|voice| voice.events.iter().map(|e| e.onset));
    let mut onsets: Vec<Time> = onsets.collect();
    onsets.sort_unstable();
    onsets.dedup();
    let mut read = Moments::new();
    for at in onsets {
        let Some((upper, one)) = sounding(score, 0, at) else { continue };
        let Some((lower, other)) = sounding(score, 1, at) else { continue };
        let both = one.onset == at && other.onset == at;
        let interval = within(apart(one, other));
        let consonant = CONSONANT.contains(&interval);
        read.entry(if consonant { "consonance" } else { "dissonance" }).or_default().push(at);
        let moves = (come(score, 0, upper), come(score, 1, lower));
        if both && moves.0.is_some() && moves.0 == moves.1 && moves.0 != Some(0) {
            match interval {
                (0, 0) => read.entry("octaves").or_default().push(at),
                (4, 7) => read.entry("fifths").or_default().push(at),
                _ => {}
            }
        }
    }
    read
}

fn observed(piece: &notation::Piece, score: &Score) -> (Moments, [usize; 2]) {
    let mut seen = Moments::new();
    let mut figures = [0, 0];
    for observation in observe(piece, score) {
        let name = match observation.what {
            Observed::Parallel(kind) => kind.name(),
            Observed::Consonance(_) => "consonance",
            Observed::Dissonance(dissonance) => {
                figures[0] += usize::from(dissonance.figure == Figure::Suspension);
                figures[1] += usize::from(dissonance.is_clash());
                "dissonance"
            }
            _ => continue,
        };
        seen.entry(name).or_default().push(observation.at);
    }
    (seen, figures)
}

#[test]
fn duos_are_observed_as_a_plain_reader_sees_them() {
    let Some(opendata) = opendata() else { return };
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for (name, xml) in duos(&opendata) {
        let (piece, score) = scored(&read_score(&name, xml.as_bytes(), None));
        assert_eq!(score.voices.len(), 2, "{name}");
        let (seen, [suspensions, clashes]) = observed(&piece, &score);
        assert_eq!(seen, read(&score), "{name}");
        for (what, moments) in seen {
            *counts.entry(what).or_default() += moments.len();
        }
        *counts.entry("suspension").or_default() += suspensions;
        *counts.entry("clash").or_default() += clashes;
    }
    let expected = [
        ("clash", 62),
        ("consonance", 1835),
        ("dissonance", 463),
        ("fifths", 1),
        ("suspension", 223),
    ];
    assert_eq!(counts, BTreeMap::from(expected));
}

/// The reader finds what is planted.
#[test]
fn planted_parallels_are_read_and_observed() {
    let (piece, score) = scored(
        "voice A clef C1\n sb A4 B4 C5 mn B4 A4 lg D5\nvoice B clef C4\n sb D4 E4 A3 mn G3 A3 lg D4\n",
    );
    let (seen, _) = observed(&piece, &score);
    assert_eq!(seen, read(&score));
    assert_eq!(seen["fifths"], [Time::minims(2)]);
    assert_eq!(seen["octaves"], [Time::minims(8)]);
}
