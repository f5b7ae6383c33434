//! A staff of which is known what stands on it, and what the network has to learn of it.

use fastrand::Rng;
use image::GrayImage;

use super::backward::{self, Gradient};
use super::disturb;
use crate::laid::ROWS;
use crate::likelihood::Steps;
use crate::network::{Network, SHORTEST, normalised};
use crate::sort::Sort;

/// A staff that was laid out, and the sorts that stand on it.
#[derive(Clone, Debug)]
pub(super) struct Lesson {
    laid: GrayImage,
    row: Vec<usize>,
}

impl Lesson {
    /// A staff and all sorts on it, from left to right; nothing where the staff is too short, or where one
    /// of the sorts is none that is read.
    pub(super) fn of(laid: GrayImage, sorts: &[Sort]) -> Option<Lesson> {
        let is_read = laid.height() as usize == ROWS && laid.width() as usize >= SHORTEST;
        let row: Option<Vec<usize>> = sorts.iter().map(|sort| sort.number()).collect();
        row.filter(|_| is_read).map(|row| Lesson { laid, row })
    }

    /// How unlikely what stands there is to the network; nothing where so much cannot stand on the staff.
    pub(super) fn unlikely(&self, network: &Network) -> Option<f32> {
        let steps = Steps::of(&network.odds(&self.laid));
        steps.likelihood(&self.row).map(|likelihood| -likelihood as f32)
    }

    /// How far the network is from what stands there, when the staff is disturbed by the chance of that
    /// number, and how it would come nearer; nothing where so much cannot stand on it.
    pub(super) fn tried(&self, network: &Network, chance: u64) -> Option<Gradient> {
        let light = disturb::disturbed(&self.laid, &mut Rng::with_seed(chance));
        backward::gradient(network, normalised(&light), &self.row)
    }
}
