//! How well planted slips are found.

use counterpoint::mend::{Suggestion, mend};
use notation::parse;
use score::{BarLength, Score, align, reckon};

use super::pieces::{Group, Material};
use super::plant::{Kind, Planted, RHYTHM, plant};
use super::random::Random;
use super::slots::{SlotVoice, text_of_slots};

/// A piece and its score.
pub fn scored(text: &str) -> (notation::Piece, Score) {
    let piece = parse(text).piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    (piece, score)
}

/// A slip, and what is suggested.
#[derive(Clone, Debug)]
pub struct Trial {
    /// The piece.
    pub piece: String,
    /// Five voices or two.
    pub group: Group,
    /// What was planted; nothing in a clean piece.
    pub slips: Vec<Planted>,
    /// The text with them.
    pub text: String,
    /// What is suggested.
    pub suggestions: Vec<Suggestion>,
}

impl Trial {
    /// The rank of a planted slip among the suggestions.
    pub fn rank(&self, slip: usize) -> Option<usize> {
        let slip = &self.slips[slip];
        self.suggestions.iter().find(|found| names(found, slip)).map(|found| found.rank)
    }
}

/// Whether a suggestion names the event of a planted slip.
pub fn names(suggestion: &Suggestion, slip: &Planted) -> bool {
    suggestion.voice == slip.voice && suggestion.index == Some(slip.index)
}

/// So many slips of each kind in each piece, each in a voice that is drawn.
pub fn planted(material: &Material, kinds: &[Kind], each: usize, seed: u64) -> Vec<Planted> {
    let name = material
        .name
        .bytes()
        .fold(seed, |seed, byte| seed.wrapping_mul(31).wrapping_add(u64::from(byte)));
    let mut random = Random::new(name);
    let mut slips = Vec::new();
    for kind in kinds {
        for _ in 0..each {
            // A kind for which a voice has no place is tried in others.
            let slip = (0..8).find_map(|_| {
                let voice = random.below(material.voices.len());
                let slip = plant(&material.voices, voice, *kind, &mut random)?;
                let told = material.group == Group::Threes && is_rhythm(*kind);
                (!told || displaces(&slip, &material.voices)).then_some(slip)
            });
            slips.extend(slip);
        }
    }
    slips
}

/// Whether a slip displaces what follows. Where values are perfect, some change nothing: a dot after
/// a breve that is perfect already, a rest left out that only made the note before it imperfect.
fn displaces(slip: &Planted, clean: &[SlotVoice]) -> bool {
    let last = |voice: &SlotVoice| {
        let (_, score) = scored(&text_of_slots(std::slice::from_ref(voice)));
        score.voices[0].events.last().map(|event| event.onset)
    };
    last(&slip.voices[slip.voice]) != last(&clean[slip.voice])
}

/// Two slips of rhythm in different voices.
pub fn planted_twice(material: &Material, count: usize, seed: u64) -> Vec<(Planted, Planted)> {
    let mut random = Random::new(seed ^ material.name.len() as u64);
    let mut pairs = Vec::new();
    for _ in 0..count * 8 {
        let voices = material.voices.len();
        let one = random.below(voices);
        let other = (one + 1 + random.below(voices - 1)) % voices;
        let kinds = [RHYTHM[random.below(9)], RHYTHM[random.below(9)]];
        let Some(first) = plant(&material.voices, one, kinds[0], &mut random) else { continue };
        let Some(mut second) = plant(&first.voices, other, kinds[1], &mut random) else {
            continue;
        };
        second.kind = kinds[1];
        pairs.push((first, second));
        if pairs.len() == count {
            break;
        }
    }
    pairs
}

/// What is suggested for a piece with slips.
pub fn trial(material: &Material, slips: Vec<Planted>) -> Trial {
    let voices = slips.last().map_or(&material.voices, |slip| &slip.voices);
    let text = text_of_slots(voices);
    let (piece, score) = scored(&text);
    let suggestions = mend(&text, &piece, &score);
    Trial { piece: material.name.clone(), group: material.group, slips, text, suggestions }
}

/// Hits among the first one, three and five.
#[derive(Clone, Copy, Debug, Default)]
pub struct Rate {
    /// Slips.
    pub count: usize,
    /// Found first, among the first three, among the first five.
    pub within: [usize; 3],
}

impl Rate {
    /// One slip more, found at that rank.
    pub fn count(&mut self, rank: Option<usize>) {
        self.count += 1;
        for (within, most) in self.within.iter_mut().zip([1, 3, 5]) {
            *within += usize::from(rank.is_some_and(|rank| rank <= most));
        }
    }

    /// In percent.
    pub fn percent(&self) -> [f64; 3] {
        self.within.map(|within| 100.0 * within as f64 / self.count.max(1) as f64)
    }
}

/// Whether a kind displaces what follows.
pub fn is_rhythm(kind: Kind) -> bool {
    RHYTHM.contains(&kind)
}
