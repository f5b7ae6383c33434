//! Where time is held.

use notation::NoteSign;
use rudiments::Time;
use score::{Close, Hold, Score};

use super::order::Stretch;
use super::touch::Touch;

/// Where time is held in a score, in order of time. Where several reasons meet, the longest counts.
pub(super) fn of_score(score: &Score, touch: Touch) -> Vec<Hold> {
    let events = score.voices.iter().flat_map(|voice| &voice.events);
    let with_corona = events.filter(|event| event.signs.has(NoteSign::Corona));
    let coronas = with_corona.map(|event| Hold { at: event.end(), by: touch.corona });
    let ends = score.bars.iter().filter_map(|bar| {
        let by = match bar.close {
            Close::Plain => return None,
            Close::Section | Close::Repeat => touch.section,
            Close::Final | Close::FinalRepeat => touch.last,
        };
        Some(Hold { at: bar.end, by })
    });
    let mut holds: Vec<Hold> = coronas.chain(ends).filter(|hold| hold.by.is_positive()).collect();
    holds.sort_unstable_by_key(|hold| (hold.at, hold.by));
    // The last of those at a moment is the longest.
    holds.reverse();
    holds.dedup_by_key(|hold| hold.at);
    holds.reverse();
    holds
}

/// The same as they come in a performance.
pub(super) fn performed(holds: &[Hold], score: &Score, stretches: &[Stretch]) -> Vec<Hold> {
    let of_stretch = |stretch: &Stretch| {
        let (start, end) =
            (score.bars[stretch.bars.start].start, score.bars[stretch.bars.end - 1].end);
        let first = holds.partition_point(|hold| hold.at <= start);
        let after = holds.partition_point(|hold| hold.at <= end);
        let shift: Time = stretch.shift;
        holds[first..after].iter().map(move |hold| Hold { at: hold.at + shift, by: hold.by })
    };
    stretches.iter().flat_map(of_stretch).collect()
}
