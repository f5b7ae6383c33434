//! Which events of a score are marked.

use std::collections::HashMap;

use notation::{EditorsHand, EditorsMark, Hand, Head, ItemId, Subject};
use rudiments::Time;

use crate::mark::{Mark, Run};
use crate::{Score, TimedVoice};

impl Run {
    /// The event of a score that comes from an item of the piece; of a voice that is followed in a
    /// canon, its own. Nothing where that is not read.
    pub fn at(score: &Score, id: ItemId) -> Option<Run> {
        let voice = score.voices.binary_search_by_key(&id.voice, |voice| voice.place).ok()?;
        let events = score.voices[voice].events.iter();
        let event = events.map(|event| event.item).position(|item| item == Some(id))?;
        Some(Run::one(voice, event))
    }

    /// When it begins, and when it is over; nothing where the score has no such events.
    pub fn time(self, score: &Score) -> Option<(Time, Time)> {
        let events = &score.voices.get(self.voice)?.events;
        Some((events.get(self.first)?.onset, events.get(self.last)?.end()))
    }
}

/// What the head of a piece names of its voices, at their timed events.
pub(crate) struct Marked {
    pub(crate) subjects: Vec<Run>,
    pub(crate) marks: Vec<Mark>,
    pub(crate) hands: Vec<(Run, Hand)>,
}

/// What the head of a piece names of its timed voices.
pub(crate) fn of_head(head: &Head, voices: &[TimedVoice]) -> Marked {
    let mut printed = Printed { voices, indices: HashMap::new() };
    let subjects = head.subjects.iter();
    let subjects = subjects
        .filter_map(|Subject { voice, first, last, .. }| printed.run(*voice, *first, *last))
        .collect();
    let hands = head.hands.iter().filter_map(|EditorsHand { hand, voice, first, last, .. }| {
        Some((printed.run(*voice, *first, *last)?, *hand))
    });
    let hands = hands.collect();
    let marks = head.marks.iter().filter_map(|mark| {
        let EditorsMark { voice, first, last, shape, color, words, .. } = mark;
        let run = printed.run(*voice, *first, *last)?;
        Some(Mark { run, shape: *shape, color: *color, words: words.clone() })
    });
    let marks = marks.collect();
    Marked { subjects, marks, hands }
}

/// Finds events by their printed numbers.
struct Printed<'p> {
    voices: &'p [TimedVoice],
    /// Of each voice of the piece that was asked for; nothing where it has no music.
    indices: HashMap<usize, Option<Indexed>>,
}

/// The place of a voice in the score, and the numbers of its events with their places.
type Indexed = (usize, Vec<(u32, usize)>);

impl Printed<'_> {
    /// The events from one number of a voice of the piece to another. Where none of them is read,
    /// the next that is, or the last; nothing where the voice has no music.
    fn run(&mut self, voice: usize, first: u32, last: u32) -> Option<Run> {
        let Printed { voices, indices } = self;
        let found = indices.entry(voice).or_insert_with(|| {
            let place = voices.binary_search_by_key(&voice, |timed| timed.place).ok()?;
            let events = voices[place].events.iter().enumerate();
            let numbered = events.filter_map(|(at, event)| Some((event.index?, at)));
            Some((place, numbered.collect()))
        });
        let (voice, numbers) = found.as_ref()?;
        let begin = numbers.partition_point(|(index, _)| *index < first);
        let end = numbers.partition_point(|(index, _)| *index <= last);
        let place = |at: usize| numbers.get(at).or(numbers.last()).map(|(_, place)| *place);
        let first = place(begin)?;
        let last = place(end.saturating_sub(1).max(begin))?;
        Some(Run { voice: *voice, first, last })
    }
}

#[cfg(test)]
mod tests {
    use notation::{MarkColor, MarkShape, parse};

    use super::*;
    use crate::{BarLength, align, reckon};

    fn score(text: &str) -> Score {
        let parsed = parse(text);
        assert!(!parsed.has_errors(), "{:?}", parsed.diagnostics);
        align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve).score
    }

    fn runs(head: &str, music: &str) -> Vec<(usize, usize, usize)> {
        let text = format!("{head}\nvoice Vox clef C1\nvoice Tenor clef C4\n  {music}\n");
        let score = score(&text);
        score.marks.iter().map(|mark| (mark.run.voice, mark.run.first, mark.run.last)).collect()
    }

    #[test]
    fn marks_are_at_events_of_the_score() {
        // The voice without music is not in the score.
        assert_eq!(
            runs("mark Tenor 2-4 \"x\"\nmark Tenor 1", "sb _ _ D3 E lg D"),
            [(0, 1, 3), (0, 0, 0)]
        );
    }

    #[test]
    fn what_is_supplied_has_no_number_but_a_place() {
        assert_eq!(runs("mark Tenor 2-3", "sb D3 [ E F ] G A lg D3"), [(0, 3, 4)]);
        assert_eq!(runs("mark Tenor 1-2", "sb D3 [ E F ] G A lg D3"), [(0, 0, 3)]);
    }

    #[test]
    fn a_mark_at_what_is_not_read_stands_at_what_follows() {
        assert_eq!(runs("mark Tenor 2", "sb D3 < E | > G A lg D3"), [(0, 1, 1)]);
        assert_eq!(runs("mark Tenor 3", "sb D3 E < G | >"), [(0, 1, 1)]);
        assert_eq!(runs("mark Tenor 1-2", "sb D3 < E | > G A lg D3"), [(0, 0, 0)]);
    }

    #[test]
    fn a_canon_has_the_marks_of_its_own() {
        let score = score(
            "subject Comes 1-2\nmark Comes 2-3 circle sky \"risposta\"\n\
             voice Cantus clef C1\n  sb A4 B C5 D lg E\nvoice Comes canon Cantus 5 below after 4\n",
        );
        let run = score.marks[0].run;
        // The first event is the silence before it enters.
        assert_eq!(run, Run { voice: 1, first: 2, last: 3 });
        assert_eq!(run.time(&score), Some((Time::minims(6), Time::minims(10))));
        assert_eq!(score.subjects, [Run { voice: 1, first: 1, last: 2 }]);
        assert_eq!(
            (score.marks[0].shape, score.marks[0].color),
            (MarkShape::Circle, Some(MarkColor::Sky))
        );
    }

    #[test]
    fn items_of_the_piece_are_found() {
        let score = score("voice Vox clef C1\nvoice Tenor clef C4\n  sb D3 < E | F > lg D\n");
        let at = |item: usize| Run::at(&score, ItemId { voice: 1, item });
        // Between the notes are the marks of the emendation.
        assert_eq!((at(0), at(2), at(4)), (Some(Run::one(0, 0)), None, Some(Run::one(0, 1))));
        assert_eq!(Run::at(&score, ItemId { voice: 0, item: 0 }), None);
    }
}
