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
        self.left += more.left;
        self.left_far += more.left_far;
    }
}

impl std::fmt::Display for Playing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{:>5} sonorities, {:>3} of a ninth, {:>2} beyond; {:>2} excursions, {:>3} changes; \
             {:>3} of {:>4} in one hand; {:>3} of {:>4} left-hand notes on two ledger lines",
            self.sonorities,
            self.ninths,
            self.beyond_a_ninth,
            self.excursions,
            self.changes,
            self.idle_hand,
            self.one_a_hand,
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
        counted.excursions += usize::from(goes_over(place) && goes_over(place + 1));
    }
}

fn ledger_lines(arrangement: &Arrangement<'_>, counted: &mut Playing) {
    for (number, bar) in arrangement.bars.iter().enumerate() {
        let left = bar.voices.iter().flatten().filter(|segment| segment.staff == 1);
        for note in left.flat_map(|segment| &segment.notes) {
            let place = arrangement.staves[1].place_of(note.pitch.tone, number);
            counted.left += 1;
            counted.left_far += usize::from(!(-1..14).contains(&place));
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
