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

/// The matches of two windows, if they begin with them and enough speaks for them.
fn meet(material: &Material, from: Place, to: Place, mirror: bool) -> Vec<Match> {
    let (one, other) = (material.tone(from), material.tone(to));
    let rests = [one, other].map(|tone| tone.start == Start::Rest);
    // A voice that goes on with its own turn is no entry, nor are two that move together.
    if from.melody == to.melody && rests != [true; 2]
        || other.onset - one.onset < material.minim / 2
    {
        return Vec::new();
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
            return Vec::new();
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
    let found = |(from, to): (Place, Place), head: bool| {
        let (likeness, bits) = net(from, to, head);
        (likeness.tones > STEPS && bits >= ENOUGH).then_some(Match { from, to, likeness, bits })
    };
    // Without a rest before, the first note has its value too; or else it is alike by chance, and
    // the entry begins with the next. Both are kept, until it is seen which of them others have.
    let at_next = |place: Place| Place { tone: place.tone + 1, ..place };
    let by_chance = !head && rests == [false; 2] && !material.same_first(best.0, best.1, mirror);
    let next = by_chance.then(|| found((at_next(from), at_next(to)), false)).flatten();
    [found(best, head), next].into_iter().flatten().collect()
}
