//! The second pair on another degree.

use rudiments::{Accidental, Clef, Pitch, Signature, Time};

use super::super::answer::{Quality, altered};
use super::super::line::{Line, Tick};
use super::super::write_out::PartNote;
use super::duo::Duo;

/// A note of the second pair with another sign than the signature has.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct NewSign {
    /// The voice of the pair, from 1.
    pub voice: u32,
    /// When it begins, in minims from the beginning of the pair's own piece.
    pub at: Time,
    /// What it sounds with the sign.
    pub pitch: Pitch,
}

/// The second pair so many staff steps higher.
#[derive(Clone, Debug)]
pub(super) struct Transposed {
    pub(super) steps: i32,
    pub(super) quality: Quality,
    /// The signs that make it exact.
    pub(super) signs: Vec<NewSign>,
    /// Its notes in ticks, where its own piece has them.
    pub(super) lines: [Line; 2],
}

/// How the second pair can be sung so many steps higher under another signature: exactly, if signs in
/// use allow it, and as the signature has it, if that is something else. Nothing if it leaves its clefs.
pub(super) fn transposed(second: &Duo, steps: i32, signature: Signature) -> Vec<Transposed> {
    let originals: Vec<Pitch> = second.voices().iter().flatten().map(|note| note.pitch).collect();
    let plain: Vec<Pitch> = originals
        .iter()
        .map(|pitch| moved(*pitch, steps, [second.signature(), signature]))
        .collect();
    if !second.voices().iter().all(|voice| fits(voice, steps)) {
        return Vec::new();
    }
    let exact = exact(&originals, &plain);
    let is_plain = exact.as_ref() == Some(&plain);
    let made = |pitches: &[Pitch], quality| make(second, steps, pitches, &plain, quality);
    let mut found: Vec<Transposed> =
        exact.iter().map(|pitches| made(pitches, Quality::Exact)).collect();
    if !is_plain {
        found.push(made(&plain, Quality::Steps));
    }
    found
}

/// A pitch so many steps higher, altered as it was: as [`super::super::Subject::answer`] does, from one
/// signature to another.
fn moved(pitch: Pitch, steps: i32, [from, to]: [Signature; 2]) -> Pitch {
    let tone = pitch.tone.up(steps);
    let there = to.alteration(tone.step);
    let alteration = match pitch.alteration - from.alteration(pitch.tone.step) {
        0 => there,
        above if above > 0 => Accidental::Sharp.alteration(tone.step, there),
        _ => Accidental::Flat.alteration(tone.step, there),
    };
    Pitch::new(tone, alteration)
}

/// The pitches with the fewest signs at which all intervals are as they were.
fn exact(originals: &[Pitch], plain: &[Pitch]) -> Option<Vec<Pitch>> {
    let pairs = || originals.iter().zip(plain);
    let mut sizes: Vec<i32> =
        pairs().map(|(from, to)| to.key_number() - from.key_number()).collect();
    sizes.sort_unstable();
    sizes.dedup();
    let of_size = |size: i32| {
        let pitches =
            pairs().map(|(from, to)| altered(*to, from.key_number() + size - to.key_number()));
        pitches.collect::<Option<Vec<Pitch>>>()
    };
    let signs = |pitches: &Vec<Pitch>| pitches.iter().zip(plain).filter(|(a, b)| a != b).count();
    sizes.into_iter().filter_map(of_size).min_by_key(signs)
}

fn make(
    second: &Duo,
    steps: i32,
    pitches: &[Pitch],
    plain: &[Pitch],
    quality: Quality,
) -> Transposed {
    let mut lines = second.lines();
    let mut signs = Vec::new();
    let mut place = 0;
    for (voice, line) in (1..).zip(&mut lines) {
        for (note, of) in line.iter_mut().zip(&second.voices()[voice as usize - 1]) {
            let pitch = pitches[place];
            *note = Tick::of(pitch, note.on, note.off, note.number);
            if pitch != plain[place] {
                signs.push(NewSign { voice, at: of.at, pitch });
            }
            place += 1;
        }
    }
    Transposed { steps, quality, signs, lines }
}

/// The clefs of the voices (common practice).
const CLEFS: [&str; 7] = ["G2", "C1", "C2", "C3", "C4", "F3", "F4"];

/// Whether a voice moved by some steps keeps to the staff of a usual clef, a ledger line above or below
/// allowed, and what it goes beyond its best one already.
fn fits(voice: &[PartNote], steps: i32) -> bool {
    let beyond = |steps: i32| {
        let clefs = CLEFS.into_iter().filter_map(Clef::parse);
        let beyond = clefs.map(|clef| {
            let places = voice.iter().map(|note| clef.place_of(note.pitch.tone.up(steps)));
            places.map(|place| (-place).max(place - 12).max(0)).max().unwrap_or(0)
        });
        beyond.min().unwrap_or(0)
    };
    beyond(steps) <= beyond(0)
}
