//! The tempo of a MIDI file: where time is held, the file goes slower from the last moment before at
//! which anything begins or ends. So everything is heard when it should be, and bars keep their length.

use midly::num::u24;
use rudiments::Time;
use score::{Hold, Performance};

/// A tempo from a moment on.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Pace {
    from: Time,
    /// Microseconds of a minim.
    minim: f64,
}

/// The tempi of a performance, in order of time; the first holds from its beginning.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Paces(Vec<Pace>);

impl Paces {
    pub(super) fn of(performance: &Performance) -> Paces {
        let clock = &performance.clock;
        let minim = clock.tempo().seconds(Time::minims(1)) * 1e6;
        let mut paces = vec![Pace { from: Time::ZERO, minim }];
        let moments = moments(performance);
        let mut before = Time::ZERO;
        for Hold { at, by } in clock.holds() {
            let begun = moments.partition_point(|moment| *moment < at);
            let from = begun.checked_sub(1).map_or(before, |last| moments[last].max(before));
            let (plain, held) = (minims(at - from), minims(at - from + by));
            // The tempo that the hold before gives back, or that of the beginning.
            paces.pop_if(|last| last.from == from);
            paces.push(Pace { from, minim: minim * held / plain });
            paces.push(Pace { from: at, minim });
            before = at;
        }
        Paces(paces)
    }

    /// The moments from which each holds, with the microseconds of a quarter, as far as the format can
    /// say so slow a tempo.
    pub(super) fn tempi(&self) -> impl Iterator<Item = (Time, u24)> {
        let most = f64::from(u24::max_value().as_int());
        self.0.iter().map(move |pace| {
            let quarter = (pace.minim / 2.0).round().min(most);
            (pace.from, u24::from(quarter as u32))
        })
    }

    /// How many minims before a moment it is so many seconds before it.
    pub(super) fn minims_before(&self, at: Time, seconds: f64) -> f64 {
        let begun = self.0.partition_point(|pace| pace.from < at);
        let pace = &self.0[begun.saturating_sub(1)];
        seconds * 1e6 / pace.minim
    }
}

/// The moments at which anything begins or ends, in order of time.
fn moments(performance: &Performance) -> Vec<Time> {
    let notes = performance.notes.iter().flat_map(|note| [note.start, note.end]);
    let bars = performance.bars.iter().map(|bar| bar.start);
    let mut moments: Vec<Time> = notes.chain(bars).collect();
    moments.sort_unstable();
    moments.dedup();
    moments
}

fn minims(time: Time) -> f64 {
    time.numerator() as f64 / time.denominator() as f64
}
