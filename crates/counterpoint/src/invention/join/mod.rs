//! How two pairs of voices are joined: where the second can enter upon the end of the first.
//!
//! [`join`] tries every minim and every degree of the second pair. The lowest voice changes where it
//! enters, so every pair of voices is judged anew, by the figures and findings of a study. Where it
//! cannot enter, the first pair is led on by a bridge. The places that are tried first, and what an
//! entering note must not be (a dissonance with the lowest, the leading note, the suspended note or its
//! resolution) are those of improvised fantasia (Santa María, the treatise on the
//! fantasia, 1565, of how one pair of voices follows another; from memory).

mod bridge;
mod duo;
mod first;
mod heard;
mod layers;
mod models;
mod place;
mod seam;
mod search;
mod transposed;

pub use duo::{Duo, NoDuo};
pub use first::Meanwhile;
pub use models::{KINDS, Model, model, models};
pub use place::Place;
pub use search::{Asked, Joined, join};
pub use transposed::NewSign;

#[cfg(test)]
mod tests;
