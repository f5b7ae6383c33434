//! Where melodies may be alike: all places where the same steps come again.
//!
//! Every three steps in a row are a window. Windows with the same steps are chained in order of time,
//! and each is compared with the nearest before it: so the work grows with the length of the piece
//! even if all its steps are alike.

use super::likeness::{Likeness, Material, Place};
use super::melody::Start;
use super::rarity::{BIT, Bits};

/// How many of the nearest earlier windows each is compared with.
const LOOK_BACK: usize = 48;
/// And how many of the nearest earlier ones in inversion.
const LOOK_BACK_INVERTED: usize = 16;
/// Steps in a window.
pub(super) const STEPS: usize = 3;

/// Two places that begin alike.
#[derive(Clone, Copy, Debug)]
pub(super) struct Match {
    /// The earlier place.
    pub(super) from: Place,
    /// The later one.
    pub(super) to: Place,
    /// How they are alike.
    pub(super) likeness: Likeness,
    /// What speaks for it, less what is needed to single the later place out.
    pub(super) bits: Bits,
}

/// A window: its steps, when it begins, and where.
type Window = (u32, i64, Place);

/// Three steps in one number.
fn key(steps: [i32; STEPS]) -> u32 {
    let byte = |step: i32| u32::from(step.clamp(-100, 100) as i8 as u8);
    steps.into_iter().fold(0, |key, step| key << 8 | byte(step))
}

/// The steps of the window at a place.
fn steps(material: &Material, place: Place) -> Option<[i32; STEPS]> {
    let melody = &material.melodies[place.melody];
    let [one, two, three] = [0, 1, 2].map(|next| melody.step(place.tone + next));
    Some([one?, two?, three?])
}

/// All matches of the piece that are worth a second look.
pub(super) fn matches(material: &Material) -> Vec<Match> {
    let mut windows: Vec<Window> = Vec::with_capacity(material.rarity.tones);
    for (melody, tones) in material.melodies.iter().map(|melody| &melody.tones).enumerate() {
        for (tone, begins) in tones.iter().enumerate() {
            let place = Place { melody, tone };
            if let Some(steps) = steps(material, place) {
                windows.push((key(steps), begins.onset, place));
            }
        }
    }
    windows.sort_unstable();
    let mut found = Vec::new();
    for (number, (own, onset, place)) in windows.iter().enumerate() {
        let chain = windows[..number].iter().rev().take_while(|(key, ..)| key == own);
        for (_, _, earlier) in chain.take(LOOK_BACK) {
            found.extend(meet(material, *earlier, *place, false));
        }
        let Some(steps) = steps(material, *place) else { continue };
        let inverted = key(steps.map(|step| -step));
        let end = windows.partition_point(|(key, at, _)| (*key, *at) < (inverted, *onset));
        let chain = windows[..end].iter().rev().take_while(|(key, ..)| *key == inverted);
        for (_, _, earlier) in chain.take(LOOK_BACK_INVERTED) {
            found.extend(meet(material, *earlier, *place, true));
        }
    }
    found
}

/// What must speak for a match, so that it is looked at again.
const ENOUGH: Bits = BIT;

/// The match of two windows, if it begins with them and enough speaks for it.
fn meet(material: &Material, from: Place, to: Place, mirror: bool) -> Option<Match> {
    let (one, other) = (material.tone(from), material.tone(to));
    let rests = [one, other].map(|tone| tone.start == Start::Rest);
    // A voice that goes on with its own turn is no entry, nor are two that move together.
    if from.melody == to.melody && rests != [true; 2]
        || other.onset - one.onset < material.minim / 2
    {
        return None;
    }
    if mirror && rests == [false; 2] {
        return None;
    }
    let before = |place: Place| {
        let tone = place.tone.checked_sub(1)?;
        let place = Place { tone, ..place };
        Some((place, material.melodies[place.melody].step(tone)?))
    };
    let mut best = (from, to);
    let mut head = false;
    if let (Some((from_before, step)), Some((to_before, answer))) = (before(from), before(to)) {
        if answer == if mirror { -step } else { step } {
            return None;
        }
        // The head may begin one or two tones before.
        if !mirror {
            let further = match (before(from_before), before(to_before)) {
                (Some((from, _)), Some((to, _))) => Some((from, to)),
                _ => None,
            };
            let heads = [Some((from_before, to_before)), further];
            let found = heads.into_iter().flatten().find(|(from, to)| {
                let starts = [*from, *to].map(|place| material.tone(place).start);
                starts == [Start::Rest; 2] && {
                    let whole = material.compare(*from, *to, false, true);
                    whole.head && from_before.tone - from.tone + 1 + STEPS < whole.tones
                }
            });
            if let Some(found) = found {
                (best, head) = (found, true);
            }
        }
    }
    let net = |from: Place, to: Place, head: bool| {
        let likeness = material.compare(from, to, mirror, head);
        let start = material.rarity.start(material.tone(from).start);
        (likeness, start + material.weigh(from, to, likeness))
    };
    let (mut likeness, mut bits) = net(best.0, best.1, head);
    if !head {
        // It may have begun alike by chance, and be an entry only after a long note.
        for skip in 1..likeness.tones.saturating_sub(STEPS).min(4) {
            let at = |place: Place| Place { tone: place.tone + skip, ..place };
            let (from, to) = (at(from), at(to));
            if [from, to].iter().all(|place| material.tone(*place).start == Start::Run) {
                continue;
            }
            let (later, of_later) = net(from, to, false);
            if of_later > bits {
                (best, likeness, bits) = ((from, to), later, of_later);
            }
        }
    }
    let (from, to) = best;
    let found = Match { from, to, likeness, bits };
    (likeness.tones > STEPS && bits >= ENOUGH).then_some(found)
}
