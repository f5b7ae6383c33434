//! Where a slip most likely is, and what it most likely was.
//!
//! A piece has a slip at one place, or none: all repairs that a person may have to make are
//! weighed against one another and against leaving all as it is. What they cost is turned into
//! probabilities; where a slip is more likely than none, the best repair is made in thought, and
//! the piece is searched again, so that two slips in different voices do not hide one
//! another.

mod candidate;
mod clashes;
mod confidence;
mod counted;
mod likeness;
mod practice;
mod readings;
mod reason;
mod repairs;
mod retype;
mod search;
mod sides;
mod suggestion;
pub mod tuning;
mod unexplained;
mod words;

use std::collections::hash_map::Entry;
use std::collections::{BTreeMap, HashMap};
use std::rc::Rc;

use notation::{ItemKind, Piece};
use score::Score;

use crate::melodies::Melodies;
pub use crate::slip::{Kind, Repair};
use crate::sum::Counts;
use crate::texture::Texture;
use crate::weights::Weights;
use confidence::{Suspect, forgotten_signs, suspects};
pub use readings::{OtherReading, Weighed, weighed};
pub use retype::{emend, retype};
use search::{Hypothesis, KEPT, features, search};
pub use suggestion::Suggestion;
pub use unexplained::Unexplained;

/// How many slips are looked for, one after the other; a voice has one of rhythm and one of pitch.
const MOST_SLIPS: usize = 4;

/// From this confidence on a slip is worth looking at by itself.
pub const LIKELY: f64 = 0.5;

/// So many suggestions are made at most.
const MOST_SUGGESTIONS: usize = 10;

/// Suggestions that are less likely than this are not made, but for signs that are surely asked for.
const LEAST: f64 = 0.01;

/// The most likely slips in a piece, ten at most; `text` is what the piece was parsed from. A voice
/// alone has none: it is by one another that voices are weighed.
pub fn mend(text: &str, piece: &Piece, score: &Score) -> Vec<Suggestion> {
    look(text, piece, score).suggestions
}

/// What is worth a look in a piece.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Looked {
    /// The most likely slips, ten at most.
    pub suggestions: Vec<Suggestion>,
    /// What remains, in order of time, where the likely ones among them are mended: a piece that has
    /// some of it is not simply right.
    pub unexplained: Vec<Unexplained>,
}

/// The most likely slips in a piece, and the faults that these do not explain.
///
/// ```
/// use counterpoint::mend::look;
/// use score::{BarLength, align, reckon};
///
/// let text = "voice Cantus clef C1\n sb A4 B4 C5 lg A\nvoice Tenor clef C4\n sb D4 E4 A3 lg D4\n";
/// let piece = notation::parse(text).piece;
/// let score = align(&piece, reckon(&piece), BarLength::Breve).score;
/// let faults = look(text, &piece, &score).unexplained;
/// assert_eq!(
///     faults[0].sentence(&score),
///     "bar 1, minim 3, Cantus 2 and Tenor 2: two fifths in a row, in the same direction"
/// );
/// ```
pub fn look(text: &str, piece: &Piece, score: &Score) -> Looked {
    if score.voices.iter().filter(|voice| !voice.events.is_empty()).count() < 2 {
        return Looked::default();
    }
    let weights = Weights::tuned();
    let texture = Texture::of_text(text, piece, score);
    let melodies = Melodies::new(&texture);
    let Slips { suspects, mended } = slips(&texture, score, &melodies, weights);
    let found = by_slip(suspects);
    let is_worth = |place: &Suspect| place.probability >= LEAST || place.is_asked_for();
    let worth = found.into_iter().filter(|(.., place)| is_worth(place));
    let suggestions = worth
        .take(MOST_SUGGESTIONS)
        .enumerate()
        .map(|(number, (slip, place))| {
            let Counts(changed) = features(
                &place.texture,
                place.best.voice,
                &melodies,
                &place.best.candidate,
                weights,
            );
            suggestion((text, piece, score), &texture, number + 1, slip, &place, &changed)
        })
        .collect();
    Looked { suggestions, unexplained: unexplained::unexplained(&mended, piece, score) }
}

/// From this probability on, a missing sign has its rank among other suggestions.
const MUCH: f64 = 0.125;

/// From this probability on a slip is all but sure, and its readings come before those of others.
const ALL_BUT_SURE: f64 = 0.95;

/// But for readings of it that are less likely than this.
const WORTH: f64 = 0.05;

/// All places where slips may be, and the texture with the likely ones mended.
struct Slips {
    suspects: Vec<Suspect>,
    mended: Rc<Texture>,
}

/// All places where slips may be.
fn slips(texture: &Texture, score: &Score, melodies: &Melodies, weights: &Weights) -> Slips {
    let look = |accepted: &[Hypothesis]| {
        let mut mended = texture.clone();
        for slip in accepted {
            mended.mend(slip);
        }
        practice::ask(&mut mended, score);
        let found = search(&mended, melodies, accepted, KEPT, weights);
        (Rc::new(mended), found)
    };
    let mut accepted: Vec<Hypothesis> = Vec::new();
    let mut rounds: Vec<Vec<Suspect>> = Vec::new();
    // The texture with those mended that are likely by themselves: not where one of many is, and nobody
    // knows which.
    let mut mended = None;
    let signs = loop {
        let (looked_at, hypotheses) = look(&accepted);
        let (found, none) = suspects(&looked_at, &hypotheses, accepted.len(), weights);
        let best = found.first().map(|place| place.best.clone());
        let is_likely = found.first().is_some_and(|first| {
            let same = found.iter().filter(|place| slip_of(place) == slip_of(first));
            same.map(|place| place.probability).sum::<f64>() >= LIKELY
        });
        let is_last = none >= 0.5 || accepted.len() == MOST_SLIPS;
        if mended.is_none() && (is_last || !is_likely) {
            mended = Some(Rc::clone(&looked_at));
        }
        rounds.push(found);
        match best {
            Some(best) if none < 0.5 && accepted.len() < MOST_SLIPS => accepted.push(best),
            // Singers add signs to what is right.
            _ => break forgotten_signs(&looked_at, &hypotheses, weights),
        }
    };
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
        let (looked_at, hypotheses) = look(&others);
        *round = suspects(&looked_at, &hypotheses, number, weights).0;
    }
    let mut all: Vec<Suspect> = Vec::new();
    let mut known: HashMap<(usize, usize), usize> = HashMap::new();
    for place in rounds.into_iter().flatten().chain(signs) {
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
    Slips { suspects: all, mended: mended.unwrap_or_else(|| Rc::new(texture.clone())) }
}

/// Which slip a place may be of.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Slip {
    /// One of rhythm: the voice, the section, and by how much what follows moves.
    Rhythm(usize, u32, i64),
    /// One of pitch: the voice and the item of the event.
    Pitch(usize, usize),
}

fn slip_of(place: &Suspect) -> Slip {
    let candidate = &place.best.candidate;
    let voice = place.best.voice;
    if candidate.kind.is_rhythm() {
        let section = place.texture.lines[voice].notes[candidate.at].section;
        Slip::Rhythm(voice, section, candidate.shift)
    } else {
        Slip::Pitch(voice, place.item)
    }
}

/// The likeliest places first, those of slips that are all but sure before others, and most missing signs
/// last; with each the number of its slip, the likeliest slip having the first, and how likely that is.
fn by_slip(places: Vec<Suspect>) -> Vec<((usize, f64), Suspect)> {
    let mut slips: BTreeMap<Slip, (f64, Vec<Suspect>)> = BTreeMap::new();
    for place in places {
        let (sum, readings) = slips.entry(slip_of(&place)).or_default();
        *sum += place.probability;
        readings.push(place);
    }
    let mut slips: Vec<(f64, Vec<Suspect>)> = slips.into_values().collect();
    slips.sort_by(|one, other| other.0.total_cmp(&one.0));
    let mut found = Vec::new();
    for (number, (sum, readings)) in slips.into_iter().enumerate() {
        found.extend(readings.into_iter().map(|place| ((number + 1, sum.min(1.0)), place)));
    }
    // A sign that the singers add, if nobody wrote it, makes nothing wrong: it comes last, unless much
    // speaks for it.
    let group = |((_, slip), place): &((usize, f64), Suspect)| {
        if place.is_of_missing_sign() && place.probability < MUCH {
            2
        } else {
            u8::from(*slip < ALL_BUT_SURE || place.probability < WORTH)
        }
    };
    found.sort_by(|one, other| {
        let likelier = other.1.probability.total_cmp(&one.1.probability);
        group(one).cmp(&group(other)).then(likelier)
    });
    found
}

fn suggestion(
    (text, piece, score): (&str, &Piece, &Score),
    typed: &Texture,
    rank: usize,
    (slip, slip_confidence): (usize, f64),
    place: &Suspect,
    changed: &Weights,
) -> Suggestion {
    let Suspect { texture, item, best, probability } = place;
    let candidate = &best.candidate;
    let line = &texture.lines[best.voice];
    let source = &piece.voices[line.place].items[*item];
    let index = match &source.kind {
        ItemKind::Event(event) => event.index,
        _ => None,
    };
    let (printed, read) =
        sides::sides(text, piece, line.place, *item, candidate.repair, texture.minim);
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
        slip,
        slip_confidence,
        reason: reason::reason(typed, texture, best, changed, score),
    }
}

#[cfg(test)]
mod tests;
