//! Which hand takes each note of a keyboard score, decided over the whole piece.
//!
//! Every note stays in one hand for its whole length, and all notes of an event in the same. Of
//! all ways to share the notes out, the one of the least [cost](cost) is taken: the cost of what
//! each hand holds, of crossing hands, of each note's ledger lines
//! on the staff of its hand, and of a voice's going over from one hand to the other.
//!
//! It is found by dynamic programming over the moments at which notes begin, in one pass. The
//! state is one bit a voice: the hand of its latest note. Up to [`exact::MOST_VOICES`] voices all
//! states are kept, so the result is the least cost there is; [beyond](beam) the best ones are.

mod beam;
mod cost;
mod duos;
mod exact;
mod moments;

use notation::Hand;
use rudiments::Time;

use super::{Options, Staff};
use crate::Score;
use cost::Held;
use moments::{Moment, Moments};

/// The hand of a voice in a state: a set bit is the left.
fn hand_in_state(state: u64, voice: usize) -> Hand {
    if state >> voice & 1 == 1 { Hand::Left } else { Hand::Right }
}

/// A moment at which a hand is to hold notes that are farther apart than it reaches.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stretch {
    /// When.
    pub at: Time,
    /// Which hand.
    pub hand: Hand,
    /// What it holds: the voice, and the event as a place in the voice's events; by voice.
    pub events: Vec<(usize, usize)>,
    /// The interval from the lowest note to the highest: 10 is a tenth.
    pub span: u32,
}

/// The hands of a score.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Hands {
    /// For each voice, the hand of each of its events. Those of rests mean nothing.
    hands: Vec<Vec<Hand>>,
    /// Where the hands cannot reach, in order of time.
    pub(super) stretches: Vec<Stretch>,
}

impl Hands {
    /// The hand of each event of a voice. Those of rests mean nothing.
    pub(super) fn of_voice(&self, voice: usize) -> &[Hand] {
        &self.hands[voice]
    }
}

/// Shares the notes of a score out to two hands, as they are read on their staves.
pub(super) fn allocate(score: &Score, options: &Options, staves: &[Staff]) -> Hands {
    let hands = if score.voices.len() <= exact::MOST_VOICES {
        exact::allocate(score, options, staves)
    } else {
        beam::allocate(score, options, staves)
    };
    let stretches = stretches(score, options, staves, &hands);
    Hands { hands, stretches }
}

fn all_right(score: &Score) -> Vec<Vec<Hand>> {
    score.voices.iter().map(|voice| vec![Hand::Right; voice.events.len()]).collect()
}

/// Where a hand spans more than the reach. A span that goes on while other notes move is reported
/// once.
fn stretches(
    score: &Score,
    options: &Options,
    staves: &[Staff],
    hands: &[Vec<Hand>],
) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    // The outer notes of the latest stretch of each hand.
    let mut latest: [Option<[(usize, usize); 2]>; 2] = [None; 2];
    let mut moments = Moments::new(score, options, staves);
    while let Some(Moment { at, sounding, .. }) = moments.next() {
        for hand in [Hand::Right, Hand::Left] {
            let held = || sounding.iter().filter(|note| hands[note.voice][note.event] == hand);
            let place = |note: &Held| (note.voice, note.event);
            let (Some(lowest), Some(highest)) =
                (held().min_by_key(|note| note.low), held().max_by_key(|note| note.high))
            else {
                latest[hand.staff()] = None;
                continue;
            };
            let span = (highest.high - lowest.low) as u32 + 1;
            if span <= options.reach {
                latest[hand.staff()] = None;
                continue;
            }
            let outer = Some([place(lowest), place(highest)]);
            if latest[hand.staff()] != outer {
                latest[hand.staff()] = outer;
                let mut events: Vec<(usize, usize)> = held().map(place).collect();
                events.sort_unstable();
                found.push(Stretch { at, hand, events, span });
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::staves;
    use super::super::testing::{any_score, score};
    use super::*;
    use crate::Run;

    fn under_usual_clefs(score: &Score, options: &Options) -> Hands {
        allocate(score, options, &staves::keyboard(score, options))
    }

    /// The hands of each voice's notes, `r` and `l`; `.` for rests.
    fn hands(voices: &[&str]) -> Vec<String> {
        let score = score(4, voices);
        let hands = under_usual_clefs(&score, &Options::default());
        let of_event = |(event, hand): (&crate::TimedEvent, &Hand)| match hand {
            _ if event.is_rest() => '.',
            Hand::Right => 'r',
            Hand::Left => 'l',
        };
        let of_voice = |(voice, hands): (&crate::TimedVoice, &Vec<Hand>)| {
            voice.events.iter().zip(hands).map(of_event).collect()
        };
        score.voices.iter().zip(&hands.hands).map(of_voice).collect()
    }

    #[test]
    fn four_voices_two_and_two() {
        assert_eq!(hands(&["C5:4", "G4:4", "E4:4", "C3:4"]), ["r", "r", "r", "l"]);
        assert_eq!(hands(&["C5:4", "G4:4", "G3:4", "C3:4"]), ["r", "r", "l", "l"]);
    }

    #[test]
    fn an_inner_note_goes_where_no_hand_spans_more_than_an_octave() {
        // The tenor's A is a tenth above the bass, its E a twelfth below the cantus.
        let found = hands(&["B4:4 B4:4", "G4:4 G4:4", "A3:4 E3:4", "F2:2 F2 D3:4"]);
        assert_eq!(found[2], "rl");
    }

    #[test]
    fn a_held_note_keeps_its_hand() {
        let found = hands(&["C5:2 E5:2", "C4:4", "C3:2 F3:2"]);
        assert_eq!(found, ["rr", "l", "ll"]);
    }

    #[test]
    fn a_voice_does_not_change_hands_for_a_single_line() {
        assert_eq!(hands(&["D4:1 C4 B3 C4 D4 E4 F4 G4"]), ["rrrrrrrr"]);
    }

    #[test]
    fn two_voices_have_a_hand_each() {
        assert_eq!(hands(&["E4:4 C4 B3 A3", "C4:4 A3 G3 F3"]), ["rrrr", "llll"]);
        assert_eq!(hands(&["C5:4 D5 E5 F5", "A4:4 B4 C5 D5"]), ["rrrr", "llll"]);
        // They cross for a moment, and keep their hands.
        assert_eq!(hands(&["C4:4 A3 C4 D4", "G3:4 C4 A3 G3"]), ["rrrr", "llll"]);
    }

    #[test]
    fn the_editor_has_the_last_word() {
        let mut score = score(4, &["D4:1 C4 B3 C4 D4 E4 F4 G4"]);
        score.hands.push((Run { voice: 0, first: 2, last: 7 }, Hand::Left));
        score.hands.push((Run { voice: 0, first: 4, last: 5 }, Hand::Right));
        for voices in [1, 7] {
            // Silent voices, so that the other way of allocating is taken.
            let silent = score.voices[0].events.iter().map(|event| {
                let notes = Vec::new();
                crate::TimedEvent { notes, ..event.clone() }
            });
            let silent = crate::TimedVoice { events: silent.collect(), ..score.voices[0].clone() };
            score.voices.resize(voices, silent);
            let hands = under_usual_clefs(&score, &Options::default());
            let lefts = hands.of_voice(0).iter().map(|hand| *hand == Hand::Left);
            // It begins in the hand in which it must go on.
            assert_eq!(
                lefts.collect::<Vec<_>>(),
                [true, true, true, true, false, false, true, true]
            );
        }
    }

    #[test]
    fn no_voices_no_hands() {
        assert_eq!(hands(&[]), Vec::<String>::new());
    }

    #[test]
    fn what_no_hand_reaches_is_reported_once() {
        let score = score(4, &["C6:4", "A4:4", "A3:4", "F2:1 F2 F2 F2"]);
        let hands = under_usual_clefs(&score, &Options::default());
        let spans: Vec<_> = hands.stretches.iter().map(|s| (s.at, s.hand, s.span)).collect();
        assert_eq!(spans[..2], [(Time::ZERO, Hand::Right, 10), (Time::ZERO, Hand::Left, 10)]);
        // The bass repeats its note: each is a new stretch.
        assert_eq!(spans.len(), 5);
        assert_eq!(hands.stretches[0].events, [(0, 0), (1, 0)]);
        let reach = Options { reach: 10, ..Options::default() };
        assert!(under_usual_clefs(&score, &reach).stretches.is_empty());
    }

    /// The cost of an allocation, counted over the whole score without any state.
    fn total(score: &Score, options: &Options, hands: &[Vec<Hand>]) -> u64 {
        let staves = &staves::keyboard(score, options);
        let mut sum = 0;
        let mut moments = Moments::new(score, options, staves);
        while let Some(Moment { sounding, attacked, terms, .. }) = moments.next() {
            let state = sounding
                .iter()
                .filter(|note| hands[note.voice][note.event] == Hand::Left)
                .fold(0, |state, note| state | 1 << note.voice);
            sum += cost::of_moment(sounding, attacked, state, terms);
            for note in sounding.iter().filter(|note| attacked >> note.voice & 1 == 1) {
                let hand = hands[note.voice][note.event];
                sum += note.in_hand[hand.staff()];
                let before = score.voices[note.voice].events[..note.event]
                    .iter()
                    .rposition(|event| !event.is_rest());
                if before.is_some_and(|before| hands[note.voice][before] != hand) {
                    sum += note.change;
                }
            }
        }
        sum
    }

    /// Every allocation of a score's notes.
    fn least_by_trying_all(score: &Score, options: &Options) -> u64 {
        let notes: Vec<(usize, usize)> = score
            .voices
            .iter()
            .enumerate()
            .flat_map(|(voice, timed)| {
                let notes = timed.events.iter().enumerate().filter(|(_, event)| !event.is_rest());
                notes.map(move |(event, _)| (voice, event))
            })
            .collect();
        (0..1_u32 << notes.len())
            .map(|choice| {
                let mut hands = all_right(score);
                for (bit, (voice, event)) in notes.iter().enumerate() {
                    if choice >> bit & 1 == 1 {
                        hands[*voice][*event] = Hand::Left;
                    }
                }
                total(score, options, &hands)
            })
            .min()
            .unwrap_or(0)
    }

    /// The score with only so many of its events sounding that all allocations can be tried.
    fn with_few_notes(mut score: Score) -> Score {
        let events = score.voices.iter_mut().flat_map(|voice| &mut voice.events);
        let notes = events.filter(|event| !event.is_rest());
        notes.skip(11).for_each(|event| event.notes.clear());
        score
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn no_other_allocation_costs_less(score in any_score(4), reach in 8..11_u32) {
            let score = with_few_notes(score);
            let options = Options { reach, ..Options::default() };
            let hands = exact::allocate(&score, &options, &staves::keyboard(&score, &options));
            let least = least_by_trying_all(&score, &options);
            prop_assert_eq!(total(&score, &options, &hands), least);
        }

        #[test]
        fn the_beam_is_exact_where_it_holds_all_states(score in any_score(6)) {
            let options = Options::default();
            let exact = exact::allocate(&score, &options, &staves::keyboard(&score, &options));
            let beam = beam::allocate(&score, &options, &staves::keyboard(&score, &options));
            prop_assert_eq!(total(&score, &options, &exact), total(&score, &options, &beam));
        }
    }

    #[test]
    fn eight_voices_within_two_octaves_need_no_wider_span() {
        let voices = ["C5:4", "B4:4", "G4:4", "E4:4", "C4:4", "A3:4", "E3:4", "C3:4"];
        let found = hands(&voices);
        assert_eq!(found.concat(), "rrrrllll");
    }
}
