//! What a piece does: its dissonances and cadences, its subjects and how they are imitated, its mode.
//!
//! It looks at the whole piece once, and names; [`crate::rules`] observe two notes at a time, and
//! weigh.

pub mod accidentals;
pub mod cadences;
pub(crate) mod figures;
pub mod mode;
pub(crate) mod moments;
pub mod rules;
pub(crate) mod suspension;
#[cfg(test)]
pub(crate) mod testing;

pub use figures::{Dissonances, Pair, Suspended};
pub use suspension::{Numbers, Ornament, Prepared};

/// All dissonances of a piece, each with its figure, and what a rule set says of them.
pub fn dissonances(
    piece: &notation::Piece,
    score: &score::Score,
    rules: rules::RuleSet,
) -> Dissonances {
    let texture = crate::texture::Texture::new(piece, score);
    let moments = moments::Moments::new(&texture);
    let suspensions = suspension::suspensions(&texture, &moments);
    figures::dissonances(&texture, &moments, &suspensions, rules)
}
