//! The moments at which notes begin, and what sounds then.

use std::collections::HashMap;
use std::ops::Range;

use notation::Hand;
use rudiments::Time;

use super::cost::{
    CHANGE, CHANGE_AFTER_REST, CHANGE_IN_BEAM, CHANGE_ON_QUICK, EDITORS_WORD, Held, LEDGER_LINE,
    Terms,
};
use super::duos;
use crate::arrange::staves::{self, ledger_lines};
use crate::arrange::{Clefs, Options, Staff};
use crate::{Score, TimedEvent};

/// A moment at which at least one note begins.
pub(super) struct Moment<'m> {
    /// When.
    pub(super) at: Time,
    /// What sounds from then on: what begins, and what goes on; by voice.
    pub(super) sounding: &'m [Held],
    /// The voices in which a note begins, a bit each.
    pub(super) attacked: u64,
    /// What holds for both hands.
    pub(super) terms: Terms,
}

/// Goes through the moments of a score in order.
pub(super) struct Moments<'s> {
    score: &'s Score,
    options: &'s Options,
    /// The staves of both hands, with the clefs under which notes are to be read.
    staves: &'s [Staff],
    /// The bar of the latest moment.
    bar: usize,
    /// For each voice the next note, and when it begins.
    next: Vec<Option<(usize, Time)>>,
    /// For each voice the note that sounds, or sounded last, and when it ends.
    last: Vec<Option<(Held, Time)>>,
    sounding: Vec<Held>,
    /// Passages of two voices.
    duos: Vec<Range<Time>>,
    /// The first that is not over.
    duo: usize,
    /// What the editor gives to a hand: voice and event.
    given: HashMap<(usize, usize), Hand>,
}

impl<'s> Moments<'s> {
    pub(super) fn new(score: &'s Score, options: &'s Options, staves: &'s [Staff]) -> Moments<'s> {
        let next = score.voices.iter().map(|voice| next_note(&voice.events, 0)).collect();
        let last = vec![None; score.voices.len()];
        let sounding = Vec::with_capacity(score.voices.len());
        let given = score
            .hands
            .iter()
            .flat_map(|(run, hand)| run.events().map(|event| ((run.voice, event), *hand)));
        let (duos, duo) = (duos::find(score), 0);
        let given = given.collect();
        Moments { score, options, staves, bar: 0, next, last, sounding, duos, duo, given }
    }

    /// The next moment. (Not an iterator, as the moment borrows from this.)
    pub(super) fn next(&mut self) -> Option<Moment<'_>> {
        let at = self.next.iter().flatten().map(|(_, onset)| *onset).min()?;
        while self.score.bars.get(self.bar + 1).is_some_and(|bar| bar.start <= at) {
            self.bar += 1;
        }
        let mut attacked = 0;
        self.sounding.clear();
        for (voice, timed) in self.score.voices.iter().enumerate() {
            if let Some((event, onset)) = self.next[voice]
                && onset == at
            {
                attacked |= 1 << voice;
                let held = self.held(voice, event);
                self.last[voice] = Some((held, timed.events[event].end()));
                self.next[voice] = next_note(&timed.events, event + 1);
            }
            let sounds = self.last[voice].filter(|(_, end)| *end > at);
            self.sounding.extend(sounds.map(|(held, _)| held));
        }
        while self.duos.get(self.duo).is_some_and(|duo| duo.end <= at) {
            self.duo += 1;
        }
        let duo = self.duos.get(self.duo).is_some_and(|duo| duo.start <= at);
        let terms = Terms { reach: self.options.reach, duo };
        Some(Moment { at, sounding: &self.sounding, attacked, terms })
    }

    fn held(&self, voice: usize, place: usize) -> Held {
        let event = &self.score.voices[voice].events[place];
        let two = self.score.voices.len() == 2;
        let any_clef = two && self.options.clefs == Clefs::Fitting;
        let (mut low, mut high) = (i32::MAX, i32::MIN);
        let mut in_hand = [0; 2];
        for note in &event.notes {
            let pitch = self.options.transposed(note.pitch);
            low = low.min(pitch.tone.rung());
            high = high.max(pitch.tone.rung());
            let lines = if any_clef {
                [staves::fewest_ledger_lines(pitch); 2]
            } else {
                [0, 1].map(|staff| ledger_lines(self.staves[staff].place_of(pitch.tone, self.bar)))
            };
            for (cost, lines) in in_hand.iter_mut().zip(lines) {
                *cost += LEDGER_LINE * u64::from(lines).pow(2);
            }
        }
        if let Some(hand) = self.given.get(&(voice, place)) {
            in_hand[1 - hand.staff()] += EDITORS_WORD;
        }
        let quick = if event.length <= Time::new(1, 2) { CHANGE_ON_QUICK } else { 0 };
        let within_minim = !event.onset.within(Time::minims(1)).is_zero();
        let in_beam = event.length < Time::new(1, 2) && within_minim;
        let beam = if in_beam { CHANGE_IN_BEAM } else { 0 };
        let change = match self.last[voice] {
            None => 0,
            Some((_, end)) if end == event.onset => CHANGE + quick + beam,
            Some(_) => CHANGE_AFTER_REST,
        };
        Held { voice, event: place, low, high, in_hand, change }
    }
}

/// The first note from a place on that lasts at all.
fn next_note(events: &[TimedEvent], from: usize) -> Option<(usize, Time)> {
    let sounds = |event: &TimedEvent| !event.is_rest() && event.length.is_positive();
    let place = from + events[from..].iter().position(sounds)?;
    Some((place, events[place].onset))
}
