//! What makes an allocation of notes to hands hard to play, or to read, in points.
//!
//! Only the proportions of the points matter. They were weighed on the twelve five-voice madrigals
//! of 1582, on 25 duos from masses and on made-up cases; see the reasons at each.

/// The ledger lines of a note, squared: one is nothing, three are a nuisance.
pub(super) const LEDGER_LINE: u64 = 13;

/// The editor gives the note to the other hand: that counts before all else together.
pub(super) const EDITORS_WORD: u64 = 1_000_000_000;

/// A voice goes over to the other hand from one note to the next: its line is hard to follow, and to
/// play. There and back it is worse than anything that a hand can do with a reach that it has.
pub(super) const CHANGE: u64 = 850;

/// It does so on a quick note, a semiminim or less, for which there is no time.
pub(super) const CHANGE_ON_QUICK: u64 = 200;

/// It does so inside a beam, which would end in the air.
pub(super) const CHANGE_IN_BEAM: u64 = 300;

/// It goes over after a rest, where a line begins anew.
pub(super) const CHANGE_AFTER_REST: u64 = 6;

/// A hand spans more than an octave, at any moment. More than most that can be said against another
/// allocation of the moment, but less than to tear a voice out of its hand.
const OVER_THE_OCTAVE: u64 = 60;

/// It spans more than its reach: it cannot be played without an arpeggio. A voice changes hands, and
/// goes back, rather than that.
const OVER_THE_REACH: u64 = 4_000;

/// The steps over the octave, squared.
const STEP_OVER_THE_OCTAVE: u64 = 10;

/// The steps over the reach, squared: two hands that reach a little far rather than one that
/// reaches very far.
const STEP_OVER_THE_REACH: u64 = 100;

/// Spans up to the octave, by steps: within a sixth the fingers move freely.
const SPAN: [u64; 8] = [0, 0, 0, 0, 0, 0, 1, 3];

/// How many notes a hand holds: two voices lie well, three bind the fingers, five are all of them.
const NOTES: [u64; 6] = [0, 0, 1, 4, 24, 60];

/// Each note over five, for which a hand has no finger.
const NO_FINGER: u64 = 500;

/// One hand plays two notes, the other none.
const IDLE: u64 = 2;

/// One plays three or more, the other none: what binds the fingers of one hand lies well in two. For a
/// bar of it, a voice goes over in the middle of a phrase.
const IDLE_BESIDE_FULL: u64 = 120;

/// The same where only two voices sound for a while: each hand is to have its voice, unless that
/// takes more than two ledger lines.
const IDLE_IN_DUO: u64 = 120;

/// Each step by which the hands cross. A second is bearable where voices cross; from a fourth on it
/// is worse than a ninth in one hand.
const STEP_OF_CROSSING: u64 = 25;

/// The same for two voices alone, a hand each: single fingers pass one another easily, and a staff
/// keeps its voice.
const STEP_OF_CROSSING_IN_DUO: u64 = 10;

/// The hands are exchanged: all that the right one plays is below the left, beside the steps.
const EXCHANGED: u64 = 400;

/// Both hands are to strike one key.
const SAME_KEY: u64 = 8;

/// What holds at a moment for both hands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Terms {
    /// The widest span of a hand, as the number of an interval.
    pub(super) reach: u32,
    /// Whether the moment belongs to a passage of two voices.
    pub(super) duo: bool,
}

/// An event that sounds, with what its allocation costs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Held {
    pub(super) voice: usize,
    pub(super) event: usize,
    /// The rungs of its lowest and its highest note.
    pub(super) low: i32,
    pub(super) high: i32,
    /// The cost of taking it in the right hand and in the left: its ledger lines there, and what the
    /// editor says.
    pub(super) in_hand: [u64; 2],
    /// The cost of taking it in another hand than the note before it in the voice.
    pub(super) change: u64,
}

/// What a hand holds, in short.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Grip {
    pub(super) low: i32,
    pub(super) high: i32,
    pub(super) notes: usize,
}

impl Grip {
    pub(super) const NOTHING: Grip = Grip { low: i32::MAX, high: i32::MIN, notes: 0 };

    /// The grip with another event in it. Its notes are counted as one: they belong to one voice.
    pub(super) fn with(self, held: &Held) -> Grip {
        Grip { low: self.low.min(held.low), high: self.high.max(held.high), notes: self.notes + 1 }
    }

    /// What it costs to attack something in it.
    pub(super) fn to_attack(self) -> u64 {
        if self.notes == 0 {
            return 0;
        }
        let last = NOTES.len() - 1;
        let no_finger = self.notes.saturating_sub(last) as u64 * NO_FINGER;
        SPAN.get(self.steps()).copied().unwrap_or(0) + NOTES[self.notes.min(last)] + no_finger
    }

    /// What it costs to hold it.
    pub(super) fn to_hold(self, reach: u32) -> u64 {
        let over = self.steps().saturating_sub(SPAN.len() - 1) as u64;
        if self.notes == 0 || over == 0 {
            return 0;
        }
        let beyond = match (self.steps() + 1).saturating_sub(reach as usize) as u64 {
            0 => 0,
            steps => OVER_THE_REACH + steps.pow(2) * STEP_OVER_THE_REACH,
        };
        OVER_THE_OCTAVE + over.pow(2) * STEP_OVER_THE_OCTAVE + beyond
    }

    /// Steps from the lowest note to the highest.
    fn steps(self) -> usize {
        if self.notes == 0 { 0 } else { (self.high - self.low) as usize }
    }
}

/// What it costs that both hands hold what they hold; in a passage of two voices or another.
pub(super) fn together(right: Grip, left: Grip, duo: bool) -> u64 {
    if right.notes == 0 || left.notes == 0 {
        return match right.notes + left.notes {
            0 | 1 => 0,
            _ if duo => IDLE_IN_DUO,
            2 => IDLE,
            _ => IDLE_BESIDE_FULL,
        };
    }
    let step = if duo { STEP_OF_CROSSING_IN_DUO } else { STEP_OF_CROSSING };
    let exchanged = if !duo && right.high < left.low { EXCHANGED } else { 0 };
    match left.high - right.low {
        ..0 => 0,
        0 => SAME_KEY,
        steps => exchanged + steps as u64 * step,
    }
}

/// What a moment costs, of which hands attack something: the right, the left.
pub(super) fn of_grips([right, left]: [Grip; 2], attacks: [bool; 2], terms: Terms) -> u64 {
    let Terms { reach, duo } = terms;
    let mut cost = together(right, left, duo) + right.to_hold(reach) + left.to_hold(reach);
    for (grip, attacks) in [right, left].into_iter().zip(attacks) {
        if attacks {
            cost += grip.to_attack();
        }
    }
    cost
}

/// What a moment costs in a state.
pub(super) fn of_moment(sounding: &[Held], attacked: u64, state: u64, terms: Terms) -> u64 {
    let mut grips = [Grip::NOTHING; 2];
    let mut attacks = [false; 2];
    for held in sounding {
        let hand = (state >> held.voice & 1) as usize;
        grips[hand] = grips[hand].with(held);
        attacks[hand] |= attacked >> held.voice & 1 == 1;
    }
    of_grips(grips, attacks, terms)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grip(steps: i32, notes: usize) -> Grip {
        Grip { low: 30, high: 30 + steps, notes }
    }

    fn cost(grip: Grip, reach: u32) -> u64 {
        grip.to_attack() + grip.to_hold(reach)
    }

    #[test]
    fn a_ninth_is_avoided_but_not_by_a_change_of_hands_in_a_phrase() {
        let more = cost(grip(8, 2), 9) - cost(grip(7, 2), 9);
        assert!(more > NOTES[4] + IDLE + LEDGER_LINE && more > CHANGE_AFTER_REST);
        assert!(more < CHANGE);
    }

    #[test]
    fn what_cannot_be_reached_is_worse_than_there_and_back() {
        assert!(cost(grip(9, 2), 9) > 2 * (CHANGE + CHANGE_ON_QUICK));
    }

    #[test]
    fn two_voices_have_a_hand_each_up_to_two_ledger_lines() {
        let lines = |count: u64| LEDGER_LINE * count.pow(2);
        assert!((lines(2)..lines(4)).contains(&IDLE_IN_DUO));
    }

    #[test]
    fn a_hand_does_not_rest_for_a_bar_of_semiminims_while_the_other_has_three_voices() {
        let full = grip(4, 3);
        let idle = |moments: u64| moments * together(full, Grip::NOTHING, false);
        assert!((idle(4)..idle(8)).contains(&CHANGE));
    }

    #[test]
    fn a_ninth_is_better_than_crossing_by_a_fourth() {
        let ninth = cost(grip(8, 2), 9);
        assert!(ninth > 2 * STEP_OF_CROSSING && ninth < 3 * STEP_OF_CROSSING);
    }

    #[test]
    fn spans_grow_worse() {
        let costs: Vec<u64> = (0..14).map(|steps| cost(grip(steps, 2), 9)).collect();
        assert!(costs.is_sorted());
        assert!(costs[9] - costs[8] >= OVER_THE_REACH, "a tenth is over the reach");
        assert!(cost(grip(9, 2), 10) < OVER_THE_REACH);
    }

    #[test]
    fn hands_that_do_not_meet_cost_nothing_together() {
        let at = |low, high| Grip { low, high, notes: 1 };
        assert_eq!(together(at(30, 32), at(20, 29), false), 0);
        assert_eq!(together(at(30, 32), at(20, 30), false), SAME_KEY);
        assert_eq!(together(at(30, 32), at(20, 32), false), 2 * STEP_OF_CROSSING);
        let below = together(at(20, 24), at(25, 28), false);
        assert_eq!(below, EXCHANGED + 8 * STEP_OF_CROSSING);
        assert_eq!(together(at(30, 32), Grip::NOTHING, false), 0);
    }
}
