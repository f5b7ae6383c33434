//! Dynamic programming over the best states only: for many voices.

use super::cost::{self, Held};
use super::moments::{Moment, Moments};
use super::{Hand, all_right};
use crate::Score;
use crate::arrange::{Options, Staff};

/// States kept at each moment, times voices. Eight voices keep 64 states, which is four times what
/// there are of ways to part eight notes at one pitch; more voices keep fewer, so that a bar of
/// sixty-four, which nobody plays, takes no longer than one of eight.
const WIDTH_TIMES_VOICES: usize = 512;

/// So many steps are remembered; then the best way so far is settled. Longer than any passage in
/// which an early choice could matter.
const MEMORY: usize = 1 << 16;

/// No step before.
const BEGINNING: u32 = u32::MAX;

/// A way of sharing out the notes so far.
#[derive(Clone, Copy)]
struct Way {
    /// A bit a voice, set for the left hand.
    state: u64,
    cost: u64,
    /// Its latest step.
    step: u32,
}

/// The hand of one event, and the step before.
#[derive(Clone, Copy)]
struct Step {
    voice: u8,
    left: bool,
    event: usize,
    before: u32,
}

/// Hands of a low cost.
pub(super) fn allocate(score: &Score, options: &Options, staves: &[Staff]) -> Vec<Vec<Hand>> {
    let mut hands = all_right(score);
    let width = WIDTH_TIMES_VOICES / score.voices.len().max(8);
    let mut ways = vec![Way { state: 0, cost: 0, step: BEGINNING }];
    let mut steps: Vec<Step> = Vec::new();
    let mut moments = Moments::new(score, options, staves);
    while let Some(Moment { sounding, attacked, terms, .. }) = moments.next() {
        for held in sounding.iter().filter(|held| attacked >> held.voice & 1 == 1) {
            ways = branch(&ways, held, width, &mut steps);
        }
        for way in &mut ways {
            way.cost += cost::of_moment(sounding, attacked, way.state, terms);
        }
        narrow(&mut ways, width);
        if steps.len() > MEMORY {
            narrow(&mut ways, 1);
            settle(&mut hands, &steps, ways[0].step);
            steps.clear();
            ways[0].step = BEGINNING;
        }
    }
    narrow(&mut ways, 1);
    settle(&mut hands, &steps, ways[0].step);
    hands
}

/// Each way with the event in either hand; of ways that lead to one state, the best.
fn branch(ways: &[Way], held: &Held, width: usize, steps: &mut Vec<Step>) -> Vec<Way> {
    let bit = 1_u64 << held.voice;
    let mut branched: Vec<Way> = Vec::with_capacity(2 * ways.len());
    for way in ways {
        for hand in [Hand::Right, Hand::Left] {
            let state = if hand == Hand::Left { way.state | bit } else { way.state & !bit };
            let change = if state == way.state { 0 } else { held.change };
            let cost = way.cost + change + held.in_hand[hand.staff()];
            branched.push(Way { state, cost, step: way.step });
        }
    }
    branched.sort_unstable_by_key(|way| (way.state, way.cost, way.step));
    branched.dedup_by_key(|way| way.state);
    // Many may begin at once: what is already hopeless is left out at once.
    narrow(&mut branched, 4 * width);
    for way in &mut branched {
        let left = way.state & bit != 0;
        let step = Step { voice: held.voice as u8, left, event: held.event, before: way.step };
        way.step = steps.len() as u32;
        steps.push(step);
    }
    branched
}

/// Keeps the best ways.
fn narrow(ways: &mut Vec<Way>, width: usize) {
    if ways.len() > width {
        ways.sort_unstable_by_key(|way| (way.cost, way.state));
        ways.truncate(width);
    }
}

/// Writes down the hands of a way.
fn settle(hands: &mut [Vec<Hand>], steps: &[Step], last: u32) {
    let mut next = last;
    while let Some(step) = steps.get(next as usize) {
        hands[step.voice as usize][step.event] = if step.left { Hand::Left } else { Hand::Right };
        next = step.before;
    }
}
