//! Where a slip most likely is, and what it most likely was.
//!
//! A piece has a slip at one place, or none: all repairs that a person may have to make are
//! weighed against one another and against leaving all as it is. What they cost is turned into
//! probabilities; where a slip is more likely than none, the best repair is made in thought, and
//! the piece is searched again, so that two slips in different voices do not hide one
//! another.

mod confidence;
mod likeness;
mod reason;
pub mod repairs;
mod retype;
mod search;
pub mod tuning;
mod word;

use std::collections::HashMap;
use std::collections::hash_map::Entry;
use std::rc::Rc;

use notation::{ItemKind, Piece, Span};
use rayon::prelude::*;
use score::Score;

use crate::cost::FEATURES;
use crate::texture::Texture;
use crate::weights::TUNED;
use confidence::{Place, places};
use likeness::Likeness;
pub use repairs::{Kind, Repair};
pub use retype::{emend, retype};
use search::{Hypothesis, KEPT, Wanted, features};

/// How many slips are looked for, one after the other; a voice has one of rhythm and one of pitch.
const MOST_SLIPS: usize = 4;

/// So many suggestions are made at most.
const MOST_SUGGESTIONS: usize = 10;

/// Suggestions that are less likely than this are not made.
const LEAST: f64 = 0.01;

/// A place where a slip may be, and what may be read instead.
#[derive(Clone, PartialEq, Debug)]
pub struct Suggestion {
    /// From 1, the most likely first.
    pub rank: usize,
    /// The voice, as a place in the piece.
    pub voice: usize,
    /// Its name.
    pub name: String,
    /// The index of the event; nothing for one that is not printed.
    pub index: Option<u32>,
    /// The event's item among those of its voice.
    pub item: usize,
    /// Its token.
    pub span: Span,
    /// What kind of slip it would be.
    pub kind: Kind,
    /// What would be read.
    pub repair: Repair,
    /// What is printed, as it is typed; empty where something was left out.
    pub printed: String,
    /// What would be read; empty where something is too many.
    pub read: String,
    /// Why, in a sentence.
    pub reason: String,
    /// How likely it is that there is a slip at this event, from 0 to 1.
    pub confidence: f64,
}

impl Suggestion {
    /// What would be changed: `fu G. -> sm G.`, `sm G left out before it`, `sb _ too many`.
    pub fn change(&self) -> String {
        let Suggestion { printed, read, .. } = self;
        match (printed.is_empty(), read.is_empty()) {
            (true, _) => format!("{read} left out before it"),
            (_, true) => format!("{printed} too many"),
            _ => format!("{printed} -> {read}"),
        }
    }
}

/// The most likely slips in a piece, ten at most; `text` is what the piece was parsed from. A voice
/// alone has none: it is by one another that voices are weighed.
pub fn mend(text: &str, piece: &Piece, score: &Score) -> Vec<Suggestion> {
    mend_with(text, piece, score, &TUNED)
}

/// The same with other weights, for the tuning program.
pub fn mend_with(
    text: &str,
    piece: &Piece,
    score: &Score,
    weights: &[f32; FEATURES],
) -> Vec<Suggestion> {
    if score.voices.iter().filter(|voice| !voice.events.is_empty()).count() < 2 {
        return Vec::new();
    }
    let texture = Texture::new(piece, score);
    let likeness = Likeness::new(&texture);
    let mut found = slips(&texture, &likeness, weights);
    found.sort_by(|one, other| other.probability.total_cmp(&one.probability));
    found.truncate(MOST_SUGGESTIONS);
    found
        .into_iter()
        .filter(|place| place.probability >= LEAST)
        .enumerate()
        .map(|(number, place)| {
            let changed: Box<[f32; FEATURES]> = features(
                &place.texture,
                place.best.voice,
                &likeness,
                &place.best.candidate,
                weights,
            );
            suggestion(text, piece, &texture, number + 1, &place, &changed)
        })
        .collect()
}

/// All places where slips may be.
fn slips(texture: &Texture, likeness: &Likeness, weights: &[f32; FEATURES]) -> Vec<Place> {
    // Of what was accepted, so many came before.
    let weigh = |accepted: &[Hypothesis], before: usize| {
        let mut mended = texture.clone();
        for slip in accepted {
            mended.mend(slip);
        }
        let found = search(&mended, likeness, accepted, KEPT, weights);
        places(&Rc::new(mended), found, before, weights)
    };
    let mut accepted: Vec<Hypothesis> = Vec::new();
    let mut rounds: Vec<Vec<Place>> = Vec::new();
    loop {
        let (found, none) = weigh(&accepted, accepted.len());
        let best = found.first().map(|place| place.best.clone());
        rounds.push(found);
        match best {
            Some(best) if none < 0.5 && accepted.len() < MOST_SLIPS => accepted.push(best),
            _ => break,
        }
    }
    // What was found before the last slips were known is looked at again without them.
    let last = accepted.len().saturating_sub(1);
    for (number, round) in rounds.iter_mut().enumerate().take(last) {
        let mut others = accepted.clone();
        let slip = others.remove(number);
        // Places in the same voice that were found after it are counted with it.
        let mut place = 0;
        others.retain(|other| {
            place += 1;
            place <= number || other.voice != slip.voice
        });
        *round = weigh(&others, number).0;
    }
    let mut all: Vec<Place> = Vec::new();
    let mut known: HashMap<(usize, usize), usize> = HashMap::new();
    for place in rounds.into_iter().flatten() {
        match known.entry((place.best.voice, place.item)) {
            Entry::Occupied(there) => {
                let known = &mut all[*there.get()];
                if known.probability < place.probability {
                    *known = place;
                }
            }
            Entry::Vacant(new) => {
                new.insert(all.len());
                all.push(place);
            }
        }
    }
    all
}

impl Texture {
    /// Reads a voice as a hypothesis has it.
    fn mend(&mut self, hypothesis: &Hypothesis) {
        let line = &mut self.lines[hypothesis.voice];
        *line = repairs::applied(line, &hypothesis.candidate, self.minim);
    }
}

/// All hypotheses but those of the kind of an accepted slip in its voice: a voice has one slip of
/// rhythm, and one of pitch, at most.
fn search(
    texture: &Texture,
    likeness: &Likeness,
    accepted: &[Hypothesis],
    kept: f64,
    weights: &[f32; FEATURES],
) -> Vec<Hypothesis> {
    let voices = (0..texture.lines.len()).into_par_iter();
    let found: Vec<Vec<Hypothesis>> = voices
        .map(|voice| {
            let of = |slip: &&Hypothesis| slip.voice == voice;
            let has = |rhythm: bool| {
                accepted.iter().filter(of).any(|s| s.candidate.kind.is_rhythm() == rhythm)
            };
            let wanted = Wanted { rhythm: !has(true), pitch: !has(false) };
            search::voice(texture, voice, wanted, likeness, kept, weights)
        })
        .collect();
    found.into_iter().flatten().collect()
}

fn suggestion(
    text: &str,
    piece: &Piece,
    typed: &Texture,
    rank: usize,
    place: &Place,
    changed: &[f32; FEATURES],
) -> Suggestion {
    let Place { texture, item, best, probability } = place;
    let candidate = &best.candidate;
    let line = &texture.lines[best.voice];
    let source = &piece.voices[line.place].items[*item];
    let index = match &source.kind {
        ItemKind::Event(event) => event.index,
        _ => None,
    };
    let (printed, read) =
        reason::sides(text, piece, line.place, *item, candidate.repair, texture.minim);
    Suggestion {
        rank,
        voice: line.place,
        name: line.name.clone(),
        index,
        item: *item,
        span: source.span,
        kind: candidate.kind,
        repair: candidate.repair,
        printed,
        read,
        confidence: *probability,
        reason: reason::reason(typed, texture, best, changed),
    }
}

#[cfg(test)]
mod tests;
