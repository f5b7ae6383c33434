//! Slips planted into clean pieces, and how well they are found.
//!
//! The planter knows nothing of the search: it has its own way of writing a piece down, and its
//! own kinds of slips.

mod measure;
mod pieces;
mod plant;
mod random;
mod slots;
mod table;
mod threes;

pub use measure::{Rate, Trial, is_rhythm, names, planted, planted_twice, scored, trial};
pub use pieces::{Group, Material, development, is_reported, report, untuned_madrigals};
pub use plant::{Kind, PITCH, Planted, RHYTHM, forget_sign, plant, signs_at_cadences};
pub use random::Random;
pub use slots::{Slot, SlotVoice, slots, text_of_slots};
pub use table::{Amount, Results, measure};
pub use threes::in_threes;
