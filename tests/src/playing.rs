//! How a keyboard score lies under the hands, counted from what is arranged.

use std::ops::AddAssign;

use rudiments::{Step, Time, Tone};
use score::{Arrangement, Options, Score, TimedEvent, arrange};

/// What is counted of one keyboard score, or of several.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Playing {
    /// Moments at which a note begins.
    pub sonorities: usize,
    /// Those at which a hand holds a ninth.
    pub ninths: usize,
    /// Those at which a hand holds more than a ninth.
    pub beyond_a_ninth: usize,
    /// Notes, joined to both neighbours of their voice, that the other hand plays.
    pub excursions: usize,
    /// Notes that another hand plays than the note to which they are joined.
    pub changes: usize,
    /// Moments of two sounding voices that one hand plays although each hand could have one of
    /// them, with at most two ledger lines under a treble and a bass clef.
    pub idle_hand: usize,
    /// Moments of two sounding voices of which each hand could have one.
    pub one_a_hand: usize,
    /// Moments at which one hand holds three voices or more, and the other none.
    pub full_hand: usize,
    /// Notes shorter than a semiminim that another hand plays than the note to which they are joined,
    /// inside a minim.
    pub in_beam: usize,
    /// Notes of the right hand on two and more ledger lines, under the clef that is written.
    pub right_far: usize,
    /// Notes of the left hand.
    pub left: usize,
    /// Those on two and more ledger lines, under the clef that is written.
    pub left_far: usize,
}

impl AddAssign for Playing {
    fn add_assign(&mut self, more: Playing) {
        self.sonorities += more.sonorities;
        self.ninths += more.ninths;
        self.beyond_a_ninth += more.beyond_a_ninth;
        self.excursions += more.excursions;
        self.changes += more.changes;
        self.idle_hand += more.idle_hand;
        self.one_a_hand += more.one_a_hand;
        self.full_hand += more.full_hand;
        self.in_beam += more.in_beam;
        self.right_far += more.right_far;
        self.left += more.left;
        self.left_far += more.left_far;
    }
}

impl std::fmt::Display for Playing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{:>5} sonorities, {:>3} of a ninth, {:>2} beyond; {:>2} excursions, {:>3} changes, {:>2} \
             in a beam; {:>3} of {:>4} in one hand, {:>2} of three and more; on two ledger lines {:>3} \
             and {:>3} of {:>4} left-hand notes",
            self.sonorities,
            self.ninths,
            self.beyond_a_ninth,
            self.excursions,
            self.changes,
            self.in_beam,
            self.idle_hand,
            self.one_a_hand,
            self.full_hand,
            self.right_far,
            self.left_far,
            self.left,
        )
    }
}

/// Counts what a player meets in a score on two staves.
pub fn playing(score: &Score) -> Playing {
    let arrangement = arrange(score, Options::default());
    let staves = staves(&arrangement);
    let mut counted = Playing::default();
    for (voice, staves) in score.voices.iter().zip(&staves) {
        along(&voice.events, staves, &mut counted);
    }
    ledger_lines(&arrangement, &mut counted);
    for at in onsets(score) {
        moment(score, &staves, at, &mut counted);
    }
    counted
}

/// For each voice, the staff of each event.
fn staves(arrangement: &Arrangement<'_>) -> Vec<Vec<usize>> {
    let voices = arrangement.score.voices.iter();
    let mut staves: Vec<Vec<usize>> = voices.map(|voice| vec![0; voice.events.len()]).collect();
    for bar in &arrangement.bars {
        for (segments, staves) in bar.voices.iter().zip(&mut staves) {
            for segment in segments {
                staves[segment.event] = segment.staff;
            }
        }
    }
    staves
}

fn onsets(score: &Score) -> Vec<Time> {
    let events = score.voices.iter().flat_map(|voice| &voice.events);
    let mut onsets: Vec<Time> = events.filter(|event| sounds(event)).map(|e| e.onset).collect();
    onsets.sort_unstable();
    onsets.dedup();
    onsets
}

fn sounds(event: &TimedEvent) -> bool {
    !event.is_rest() && event.length.is_positive()
}

/// Along a voice: where it goes over to the other hand without a rest.
fn along(events: &[TimedEvent], staves: &[usize], counted: &mut Playing) {
    let goes_over = |from: usize| {
        let joined = from + 1 < events.len() && sounds(&events[from]) && sounds(&events[from + 1]);
        joined && staves[from] != staves[from + 1]
    };
    for place in 0..events.len() {
        counted.changes += usize::from(goes_over(place));
        counted.in_beam += usize::from(goes_over(place) && in_a_beam(&events[place + 1]));
        counted.excursions += usize::from(goes_over(place) && goes_over(place + 1));
    }
}

/// Whether a note stands inside a beam with the one before it, if that is as short.
fn in_a_beam(event: &TimedEvent) -> bool {
    event.length < Time::new(1, 2) && !event.onset.within(Time::minims(1)).is_zero()
}

fn ledger_lines(arrangement: &Arrangement<'_>, counted: &mut Playing) {
    for (number, bar) in arrangement.bars.iter().enumerate() {
        for segment in bar.voices.iter().flatten() {
            let far = segment.notes.iter().filter(|note| {
                let place = arrangement.staves[segment.staff].place_of(note.pitch.tone, number);
                !(-1..14).contains(&place)
            });
            if segment.staff == 0 {
                counted.right_far += far.count();
            } else {
                counted.left += segment.notes.len();
                counted.left_far += far.count();
            }
        }
    }
}

/// The lowest note under a treble clef that has no more than two ledger lines (common practice).
const LOWEST_RIGHT: Tone = Tone { step: Step::G, octave: 3 };

/// The highest such note under a bass clef.
const HIGHEST_LEFT: Tone = Tone { step: Step::F, octave: 4 };

fn moment(score: &Score, staves: &[Vec<usize>], at: Time, counted: &mut Playing) {
    let mut held: Vec<(usize, Tone)> = Vec::new();
    let mut voices = 0;
    for (voice, staves) in score.voices.iter().zip(staves) {
        let begun = voice.events.partition_point(|event| event.onset <= at);
        // Events of no length stand before the one that sounds.
        let Some(place) = begun.checked_sub(1) else { continue };
        let event = &voice.events[place];
        if sounds(event) && event.end() > at {
            voices += 1;
            held.extend(event.notes.iter().map(|note| (staves[place], note.pitch.tone)));
        }
    }
    counted.sonorities += 1;
    let span = |staff: usize| {
        let rungs = || held.iter().filter(|(of, _)| *of == staff).map(|(_, tone)| tone.rung());
        Some(rungs().max()? - rungs().min()? + 1)
    };
    let widest = span(0).max(span(1));
    counted.ninths += usize::from(widest == Some(9));
    counted.beyond_a_ninth += usize::from(widest > Some(9));
    let in_hand = |staff: usize| held.iter().filter(|(of, _)| *of == staff).count();
    counted.full_hand += usize::from(voices > 2 && in_hand(0).min(in_hand(1)) == 0);
    if let [one, other] = held[..]
        && voices == 2
    {
        let (higher, lower) = (one.1.max(other.1), one.1.min(other.1));
        if higher >= LOWEST_RIGHT && lower <= HIGHEST_LEFT {
            counted.one_a_hand += 1;
            counted.idle_hand += usize::from(one.0 == other.0);
        }
    }
}
