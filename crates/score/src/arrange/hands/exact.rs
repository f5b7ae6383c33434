//! Dynamic programming over all states: for few voices.

use super::cost::{self, Grip};
use super::moments::{Moment, Moments};
use super::{Hand, all_right, hand_in_state};
use crate::Score;
use crate::arrange::{Options, Staff};

/// So many voices have 64 states at most: what is remembered of an event is one bit a state.
pub(super) const MOST_VOICES: usize = 6;

/// An event whose hand is yet to be read off.
struct Decision {
    voice: usize,
    event: usize,
    /// A bit a state: whether the best way to it had this voice in the other hand before.
    changed: u64,
}

/// The hands of the least cost.
pub(super) fn allocate(score: &Score, options: &Options, staves: &[Staff]) -> Vec<Vec<Hand>> {
    let states = 1_usize << score.voices.len().min(MOST_VOICES);
    let mut least = vec![0_u64; states];
    let mut decisions: Vec<Decision> = Vec::new();
    // What the set of voices would be as the grip of one hand.
    let mut grips = vec![Grip::NOTHING; states];
    let mut moment_costs = vec![0_u64; states];
    let mut moments = Moments::new(score, options, staves);
    while let Some(Moment { sounding, attacked, terms, .. }) = moments.next() {
        for held in sounding.iter().filter(|held| attacked >> held.voice & 1 == 1) {
            let changed = choose(&mut least, held);
            decisions.push(Decision { voice: held.voice, event: held.event, changed });
        }
        let here = sounding.iter().fold(0, |voices, held| voices | 1_usize << held.voice);
        // Sets of sounding voices, each from the set without its lowest bit.
        let mut set = 0_usize;
        loop {
            set = set.wrapping_sub(here) & here;
            if set == 0 {
                break;
            }
            let voice = set.trailing_zeros() as usize;
            let place = (here & ((1 << voice) - 1)).count_ones() as usize;
            grips[set] = grips[set & (set - 1)].with(&sounding[place]);
        }
        loop {
            let left = set;
            let right = here & !left;
            let attacks = [right, left].map(|hand| attacked as usize & hand != 0);
            let cost = cost::of_grips([grips[right], grips[left]], attacks, terms);
            moment_costs[left] = cost;
            set = set.wrapping_sub(here) & here;
            if set == 0 {
                break;
            }
        }
        for (state, least) in least.iter_mut().enumerate() {
            *least += moment_costs[state & here];
        }
    }
    let best = (0..states).min_by_key(|state| least[*state]).unwrap_or(0);
    read_off(score, &decisions, best as u64)
}

/// Lets an event be taken in either hand; says in which states the voice changed hands for it.
fn choose(least: &mut [u64], held: &cost::Held) -> u64 {
    let bit = 1_usize << held.voice;
    let mut changed = 0;
    for right in (0..least.len()).filter(|state| state & bit == 0) {
        let left = right | bit;
        let (from_right, from_left) = (least[right], least[left]);
        if from_left + held.change < from_right {
            changed |= 1 << right;
        }
        if from_right + held.change < from_left {
            changed |= 1 << left;
        }
        least[right] = from_right.min(from_left + held.change) + held.in_hand[0];
        least[left] = from_left.min(from_right + held.change) + held.in_hand[1];
    }
    changed
}

/// The hands, from the last event back.
fn read_off(score: &Score, decisions: &[Decision], last: u64) -> Vec<Vec<Hand>> {
    let mut hands = all_right(score);
    let mut state = last;
    for decision in decisions.iter().rev() {
        hands[decision.voice][decision.event] = hand_in_state(state, decision.voice);
        if decision.changed >> state & 1 == 1 {
            state ^= 1 << decision.voice;
        }
    }
    hands
}
