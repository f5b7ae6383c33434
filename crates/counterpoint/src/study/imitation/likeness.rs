//! How far two melodies go alike, and how unlikely it is that they do so by chance.

use super::Form;
use super::melody::{Melody, Tone};
use super::rarity::{BIT, Bits, Rarity};

/// Two melodies that begin alike.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Likeness {
    /// How many tones go alike, up to where most speaks for it.
    pub(super) tones: usize,
    /// How much speaks for it: what is alike and rare, less what is not alike.
    pub(super) bits: Bits,
    /// In which form the second is.
    pub(super) form: Form,
    /// Whether a fifth is answered by a fourth, or a fourth by a fifth, at its head.
    pub(super) head: bool,
}

/// A place in a melody.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Place {
    /// The melody.
    pub(super) melody: usize,
    /// Its tone.
    pub(super) tone: usize,
}

/// The melodies of a piece, and what is rare in them.
pub(super) struct Material {
    pub(super) melodies: Vec<Melody>,
    pub(super) rarity: Rarity,
    /// Ticks in a minim.
    pub(super) minim: i64,
}

/// A value that differs, though only the first and last may.
const OTHER_VALUE: Bits = 4 * BIT;
/// Two values that are others but together as long: a dotted figure for two equal notes.
const OTHER_FIGURE: Bits = 3 * BIT;
/// One note is repeated that is not, or two are one.
const OTHER_COUNT: Bits = 3 * BIT / 2;
/// A note is repeated in both.
const SAME_COUNT: Bits = 2 * BIT;
/// A fifth is answered by a fourth.
const HEAD: Bits = BIT;
/// Voices mostly answer one another at the unison, fourth, fifth or octave: of a hundred entries some
/// eighty-five, against forty-three of a hundred by chance.
const USUAL_INTERVAL: Bits = BIT;
/// And so rarely at another.
const OTHER_INTERVAL: Bits = 7 * BIT / 2;
/// The delay is of whole semibreves, so that the answer has the same places: of a hundred entries some
/// fifty-three, against some thirty of a hundred by chance.
const SAME_PLACE: Bits = BIT;
/// The delay is not of whole minims, but of semiminims.
const HALF_DELAY: Bits = 3 * BIT / 2;
/// The delay is of neither.
const ODD_DELAY: Bits = 4 * BIT;
/// The form is none of the usual.
const OTHER_FORM: Bits = 2 * BIT;
/// Four notes are seldom a subject,
const FOUR_NOTES: Bits = 5 * BIT / 2;
/// and five less often than more.
const FIVE_NOTES: Bits = BIT;
/// Entries answer one another soon: so many breves later the point is over,
const FAR: (i64, Bits) = (8, BIT);
/// and so many later all the more.
const FARTHER: (i64, Bits) = (16, 4 * BIT);

impl Material {
    pub(super) fn tone(&self, place: Place) -> &Tone {
        &self.melodies[place.melody].tones[place.tone]
    }

    /// How far two melodies go alike from two places on, in the form for which most speaks; `mirror`
    /// says that the second goes down where the first goes up. `head` allows a fifth for a fourth in
    /// the first two intervals.
    pub(super) fn compare(&self, from: Place, to: Place, mirror: bool, head: bool) -> Likeness {
        if mirror {
            return self.grow(from, to, Form::Inverted, false);
        }
        let mut best = self.grow(from, to, Form::Direct, head);
        let (one, other) = (&self.melodies[from.melody], &self.melodies[to.melody]);
        let both = |scale: fn(i64, i64) -> bool| {
            [1, 2].iter().all(|next| {
                let (one_place, other_place) = (from.tone + next, to.tone + next);
                one_place < one.tones.len()
                    && other_place < other.tones.len()
                    && scale(one.value(one_place), other.value(other_place))
            })
        };
        let scaled = if both(|one, other| one * 2 == other) {
            Form::Augmented
        } else if both(|one, other| one == other * 2) {
            Form::Diminished
        } else {
            return best;
        };
        let other = self.grow(from, to, scaled, false);
        if other.bits > best.bits {
            best = other;
        }
        best
    }

    /// Whether the tones at two places last as long, whatever the form.
    pub(super) fn same_first(&self, from: Place, to: Place, mirror: bool) -> bool {
        let next = |place: Place| {
            let tones = &self.melodies[place.melody].tones;
            let tone = &tones[place.tone];
            let end = tones.get(place.tone + 1).map_or(tone.end, |next| next.onset);
            [end - tone.onset, end - tone.last_onset]
        };
        let (one, other) = (next(from), next(to));
        let same = |scale: fn(i64, i64) -> bool| {
            one.iter().any(|one| other.iter().any(|other| scale(*one, *other)))
        };
        same(|one, other| one == other)
            || !mirror
                && (same(|one, other| one * 2 == other) || same(|one, other| one == other * 2))
    }

    /// What speaks for the later of two places as an entry that imitates the other: how far they go
    /// alike, how it begins, at what interval and after how long; less what is needed to single it
    /// out among all places as near, and less where it is short or late.
    pub(super) fn weigh(&self, from: Place, to: Place, likeness: Likeness) -> Bits {
        // Repeated notes count: four tones may have seven notes.
        let notes = |place: Place| {
            let tones = &self.melodies[place.melody].tones[place.tone..];
            tones.iter().take(likeness.tones - 1).map(Tone::notes).sum::<usize>() + 1
        };
        let short = match notes(from).min(notes(to)) {
            0..=4 => FOUR_NOTES,
            5 => FIVE_NOTES,
            _ => 0,
        };
        let apart = (self.tone(to).onset - self.tone(from).onset).abs();
        let late = [FARTHER, FAR].into_iter().find(|(breves, _)| apart > breves * 4 * self.minim);
        self.weigh_told(from, to, likeness) - short - late.map_or(0, |(_, bits)| bits)
    }

    /// The same where the subject is told, however short it is, and wherever it comes again.
    pub(super) fn weigh_told(&self, from: Place, to: Place, likeness: Likeness) -> Bits {
        let (one, other) = (self.tone(from), self.tone(to));
        let steps = (other.rung - one.rung).rem_euclid(7);
        let interval = if matches!(steps, 0 | 3 | 4) { USUAL_INTERVAL } else { -OTHER_INTERVAL };
        // The first note may be shortened.
        let delays = [0, 1].map(|next| {
            let at = |place: Place| {
                let tones = &self.melodies[place.melody].tones;
                tones.get(place.tone + next).map_or(0, |tone| tone.onset)
            };
            at(to) - at(from)
        });
        let is_whole = |value: i64| delays.iter().any(|delay| delay % value == 0);
        let delay = match () {
            () if is_whole(2 * self.minim) => SAME_PLACE,
            () if is_whole(self.minim) => 0,
            () if is_whole(self.minim / 2) => -HALF_DELAY,
            () => -ODD_DELAY,
        };
        let apart = (other.onset - one.onset).abs();
        likeness.bits + self.rarity.start(other.start) + interval + delay - self.rarity.among(apart)
    }

    fn grow(&self, from: Place, to: Place, form: Form, head: bool) -> Likeness {
        let (one, other) = (&self.melodies[from.melody], &self.melodies[to.melody]);
        let same = |one: i64, other: i64| match form {
            Form::Augmented => one * 2 == other,
            Form::Diminished => one == other * 2,
            Form::Direct | Form::Inverted => one == other,
        };
        let mut bits = if form == Form::Direct { 0 } else { -OTHER_FORM };
        let mut answered = false;
        let mut best = Likeness { tones: 1, bits, form, head: false };
        // Whether the value of this tone was counted with the one before.
        let mut counted = false;
        for number in 0.. {
            let (here, there) = (from.tone + number, to.tone + number);
            if here + 1 >= one.tones.len() || there + 1 >= other.tones.len() {
                break;
            }
            let (a, b) = (&one.tones[here], &other.tones[there]);
            let (next_a, next_b) = (&one.tones[here + 1], &other.tones[there + 1]);
            match (one.goes_on(here), other.goes_on(there)) {
                (true, true) => {}
                // A short rest within the subject.
                (false, false)
                    if same(next_a.onset - a.end, next_b.onset - b.end)
                        && next_a.onset - a.end <= self.minim * 2
                        && next_a.onset > a.end => {}
                _ => break,
            }
            let (step, answer) = (next_a.rung - a.rung, next_b.rung - b.rung);
            if answer == if form == Form::Inverted { -step } else { step } {
                let rare = self.rarity.step(from.melody, here);
                bits += rare.min(self.rarity.step(to.melody, there));
            } else if head && number < 2 && is_answered(step, answer) {
                bits -= HEAD;
                answered = true;
            } else {
                break;
            }
            let (value, other_value) = (one.value(here), other.value(there));
            let last = (next_a.onset - a.last_onset, next_b.onset - b.last_onset);
            if counted {
                counted = false;
            } else if same(value, other_value) || (number == 0 && same(last.0, last.1)) {
                let rare = self.rarity.value(from.melody, here);
                bits += rare.min(self.rarity.value(to.melody, there)).max(0);
            } else if number > 0 {
                // The first note may be longer or shorter.
                let next = [one.value(here + 1), other.value(there + 1)];
                counted = same(value + next[0], other_value + next[1]);
                bits -= if counted { OTHER_FIGURE } else { OTHER_VALUE };
            }
            if a.notes() == b.notes() {
                bits += if a.notes() > 1 { SAME_COUNT } else { 0 };
            } else if number > 0 {
                bits -= OTHER_COUNT;
            }
            if bits >= best.bits {
                best = Likeness { tones: number + 2, bits, form, head: answered };
            } else if bits < best.bits - 12 * BIT {
                break;
            }
        }
        best
    }
}

/// Whether a fifth is answered by a fourth in the same direction, or a fourth by a fifth.
fn is_answered(step: i32, answer: i32) -> bool {
    step.signum() == answer.signum() && matches!((step.abs(), answer.abs()), (4, 3) | (3, 4))
}
