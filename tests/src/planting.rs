//! Subjects planted into music that knows nothing of them.

use counterpoint::study::imitation::{Entry, Form};
use rudiments::{Time, Tone};

use crate::imitating::imitated;
use crate::melodies::{Sung, duration, inverted, replaced, scaled, stretch, transposed, typed};
use crate::slips::Random;

/// The voices of pieces, by their names.
pub type Material = [(String, Vec<Vec<Sung>>)];

/// A minim.
pub const MINIM: Time = Time::minims(1);

/// A subject and where it was planted.
pub struct Planted {
    /// Voice, onset, form, and whether its first note has another value.
    pub entries: Vec<(usize, Time, Form)>,
    /// How many notes the subject has.
    pub notes: usize,
    /// The parts file.
    pub text: String,
}

/// The beginnings of phrases: notes after a rest or at the beginning, so many without a rest and
/// with four different steps at least.
fn phrases(voice: &[Sung], notes: usize) -> Vec<Vec<Sung>> {
    let mut found = Vec::new();
    for (place, _) in voice.iter().enumerate() {
        let after_rest = place == 0 || voice[place - 1].pitch.is_none();
        let Some(phrase) = voice.get(place..place + notes) else { break };
        let mut tones: Vec<Tone> =
            phrase.iter().filter_map(|note| Some(note.pitch?.tone)).collect();
        if after_rest && tones.len() == notes {
            tones.dedup();
            let moves = tones.len();
            tones.sort();
            tones.dedup();
            if tones.len() >= 4 && moves + 1 >= notes {
                found.push(phrase.to_vec());
            }
        }
    }
    found
}

/// The duos that are of one mass, or of masses on one melody, as the index of the open data has them:
/// what comes again in these is no chance.
const MASSES: [&[&str]; 5] =
    [&["03", "04"], &["07", "08"], &["10", "11", "12"], &["15", "16"], &["23", "24"]];

fn are_of_one_mass(one: &str, other: &str) -> bool {
    MASSES.iter().any(|mass| mass.contains(&one) && mass.contains(&other))
}

/// Voices of pieces that have nothing to do with one another, forty breves long, with four entries
/// of a subject of yet another piece. Nothing is imitated in them but what is planted.
pub fn planted(material: &Material, random: &mut Random, rest: Time) -> Option<Planted> {
    let mut pieces: Vec<usize> = (0..material.len()).collect();
    let mut draw = || {
        let drawn = pieces.swap_remove(random.below(pieces.len()));
        pieces.retain(|other| !are_of_one_mass(&material[*other].0, &material[drawn].0));
        drawn
    };
    let drawn: Vec<usize> = (0..5).map(|_| draw()).collect();
    let length = Time::minims(160);
    let mut voices: Vec<Vec<Sung>> = Vec::new();
    for piece in &drawn[..4] {
        let voice = random.pick(&material[*piece].1)?;
        voices.push(stretch(voice, Time::ZERO, length));
    }
    let notes = 6 + random.below(4);
    let of_piece: Vec<Vec<Sung>> =
        material[drawn[4]].1.iter().flat_map(|voice| phrases(voice, notes)).collect();
    let subject = random.pick(&of_piece)?.clone();
    let varied = random.below(4);
    let mut at = Time::minims(8 + random.below(8) as i64 * 2);
    let mut entries = Vec::new();
    let delay = Time::minims(2 + random.below(7) as i64 * 2);
    let count = 2 + random.below(3);
    for (number, voice) in voices.iter_mut().enumerate().take(count) {
        let steps = [0, 4, -3, 7, -4, 3, -7][random.below(7)];
        let mut own = transposed(&subject, if number == 0 { 0 } else { steps });
        let mut form = Form::Direct;
        if number + 1 == count {
            match varied {
                0 => {
                    own = inverted(&subject, subject[0].pitch?.tone);
                    form = Form::Inverted;
                }
                1 => {
                    own = scaled(&subject, 2, 1);
                    form = Form::Augmented;
                }
                2 => own[0].length = own[0].length * 2,
                _ => own[0].length = own[0].length.half(),
            }
        }
        let mut with = if rest.is_positive() { vec![Sung::rest(rest)] } else { Vec::new() };
        with.extend(own);
        *voice = replaced(voice, at - rest, &with);
        entries.push((number, at, form));
        at += delay;
    }
    let longest = voices.iter().map(|voice| duration(voice)).max()?;
    for voice in &mut voices {
        *voice = stretch(voice, Time::ZERO, longest);
    }
    Some(Planted { entries, notes, text: typed(&voices) })
}

/// How well planted entries are found.
#[derive(Default)]
pub struct Tally {
    /// How many were planted.
    pub planted: usize,
    /// How many are found.
    pub found: usize,
    /// In the form in which they were planted.
    pub formed: usize,
    /// With as many notes as were planted.
    pub whole: usize,
    /// Entries that nobody planted.
    pub falsely: usize,
}

/// How well they are found in 200 trials of each seed.
pub fn tally(material: &Material, seeds: &[u64], rest: Time) -> Tally {
    let mut tally = Tally::default();
    let trials = seeds.iter().flat_map(|seed| {
        let mut random = Random::new(*seed);
        (0..200).filter_map(move |_| planted(material, &mut random, rest))
    });
    for planted in trials {
        let (_, found) = imitated(&planted.text);
        for (voice, at, form) in &planted.entries {
            tally.planted += 1;
            let is_it = |entry: &&Entry| entry.first.voice == *voice && entry.onset == *at;
            if let Some(entry) = found.entries.iter().find(is_it) {
                tally.found += 1;
                tally.formed += usize::from(entry.form == *form);
                tally.whole += usize::from(entry.notes == planted.notes);
            }
        }
        let is_planted = |entry: &&Entry| {
            planted
                .entries
                .iter()
                .any(|(voice, at, _)| entry.first.voice == *voice && entry.onset == *at)
        };
        tally.falsely += found.entries.iter().filter(|entry| !is_planted(entry)).count();
    }
    tally
}
