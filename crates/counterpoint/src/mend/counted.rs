//! Repairs of values where values are perfect: the length of a note hangs on its neighbours there, so
//! they are counted anew with it.

use std::ops::Range;

use notation::Dot;
use rudiments::Time;
use score::{NoteShape, lengths};

use super::candidate::{Candidate, own};
use crate::slip::{Kind, Repair};
use crate::texture::{Line, Measure, Note};

/// So many perfect or larger values on either side are counted with a repair at first, as a run of
/// smaller ones between two of them takes from these; twice as many where the change reaches farther.
const VALUES: usize = 2;

/// At most so many notes on either side are counted with a repair. Perfect values are seldom so far
/// apart.
const FARTHEST: usize = 64;

/// So many notes at either end of what is counted must last as they did: then the change does not reach
/// beyond.
const SURE: usize = 2;

/// Counts a voice anew with repairs at a note.
pub(super) struct Recount<'l> {
    line: &'l Line,
    at: usize,
    /// What stands around repairs of so many events, with so many perfect values on either side.
    known: Vec<((usize, usize), Around<'l>)>,
}

impl<'l> Recount<'l> {
    /// Repairs at a note of a voice.
    pub(super) fn at(line: &'l Line, at: usize) -> Recount<'l> {
        Recount { line, at, known: Vec::new() }
    }

    /// A repair with all neighbours whose lengths it changes. Nothing where it changes no length, where
    /// an editor has set one, or where its effect cannot be told.
    pub(super) fn with(&mut self, kind: Kind, repair: Repair) -> Option<Candidate> {
        let own = own(repair, self.at);
        let changed = shapes(repair, self.line.notes.get(own.clone())?)?;
        let mut values = VALUES;
        loop {
            let around = self.around(&own, values);
            if let Some((from, lengths)) = around.read(&own, &changed) {
                let to = from + lengths.len() + own.len() - changed.len();
                let was = self.line.notes[from..to].iter().map(|note| note.length);
                let shift = lengths.iter().sum::<i64>() - was.clone().sum::<i64>();
                let changes = shift != 0 || !was.eq(lengths.iter().copied());
                let at = self.at;
                return changes.then_some(Candidate { kind, repair, at, from, to, shift, lengths });
            }
            if around.is_whole() {
                return None;
            }
            values *= 2;
        }
    }

    fn around(&mut self, own: &Range<usize>, values: usize) -> &Around<'l> {
        let key = (own.len(), values);
        let place = self.known.iter().position(|(known, _)| *known == key);
        let place = place.unwrap_or_else(|| {
            self.known.push((key, Around::new(self.line, own, values)));
            self.known.len() - 1
        });
        &self.known[place].1
    }
}

/// The notes around some others that are counted with them.
struct Around<'l> {
    from: usize,
    notes: &'l [Note],
    measure: Measure,
    /// How long each lasts as typed, counted without what stands around them.
    typed: Vec<Time>,
    /// Whether what is counted in one begins here, and ends.
    whole: (bool, bool),
}

impl<'l> Around<'l> {
    /// So many perfect values on either side.
    fn new(line: &'l Line, own: &Range<usize>, values: usize) -> Around<'l> {
        let notes = &line.notes;
        let near = own.start.min(notes.len() - 1);
        let (measure, section) = (notes[near].measure, notes[near].section);
        let largest = measure.mensuration.perfect_values().last();
        let reach = |side: &mut dyn Iterator<Item = &Note>| {
            let (mut count, mut left) = (0, values);
            for note in side.take(FARTHEST) {
                if left == 0 || note.section != section || note.measure != measure {
                    break;
                }
                count += 1;
                left -= usize::from(Some(note.shape.value) <= largest);
            }
            (count, left > 0)
        };
        let (before, begins) = reach(&mut notes[..own.start].iter().rev());
        let (after, ends) = reach(&mut notes[own.end..].iter());
        let from = own.start - before;
        let notes = &notes[from..own.end + after];
        let shapes: Vec<NoteShape> = notes.iter().map(|note| note.shape).collect();
        let typed = lengths(measure.mensuration, &shapes);
        Around { from, notes, measure, typed, whole: (begins, ends) }
    }

    fn is_whole(&self) -> bool {
        self.whole == (true, true)
    }

    /// The first note that lasts otherwise with the changed shapes, and the lengths from there to the
    /// last such note, in ticks. Nothing if the change may reach beyond, or if as typed they would not
    /// last as they are known to.
    fn read(&self, own: &Range<usize>, changed: &[NoteShape]) -> Option<(usize, Vec<i64>)> {
        let (head, tail) = self.notes.split_at(own.start - self.from);
        let tail = &tail[own.len()..];
        let shape = |note: &Note| note.shape;
        let read: Vec<NoteShape> = head
            .iter()
            .map(shape)
            .chain(changed.iter().copied())
            .chain(tail.iter().map(shape))
            .collect();
        let read = lengths(self.measure.mensuration, &read);
        let same = self.typed.iter().zip(&read).take(head.len());
        let before = same.take_while(|(typed, read)| typed == read).count();
        let same = self.typed.iter().rev().zip(read.iter().rev()).take(tail.len());
        let after = same.take_while(|(typed, read)| typed == read).count();
        let sure = (self.whole.0 || before >= SURE) && (self.whole.1 || after >= SURE);
        let mut known =
            self.notes[before..self.notes.len() - after].iter().zip(&self.typed[before..]);
        let as_known =
            known.all(|(note, typed)| note.facts.last || note.length == self.measure.ticks(*typed));
        let lengths = read[before..read.len() - after].iter();
        let lengths = lengths.map(|length| self.measure.ticks(*length)).collect();
        (sure && as_known).then_some((self.from + before, lengths))
    }
}

/// The shapes that are read in place of these notes; nothing for a repair that changes none.
fn shapes(repair: Repair, notes: &[Note]) -> Option<Vec<NoteShape>> {
    let dot = |dotted: bool| dotted.then_some(Dot::Plain);
    let new = |value, rest, dotted| NoteShape {
        value,
        rest,
        spaces: None,
        dot: dot(dotted),
        completing: false,
        colored: false,
        set: None,
    };
    let typed = |place: usize| notes.get(place).map(|note: &Note| note.shape);
    Some(match repair {
        Repair::Value { value, dotted } => {
            vec![NoteShape { value, dot: dot(dotted), ..typed(0)? }]
        }
        Repair::Pair { first, second } => {
            vec![NoteShape { value: first, ..typed(0)? }, NoteShape { value: second, ..typed(1)? }]
        }
        Repair::Degrees { smaller, .. } => {
            let degrees = |note: &Note| {
                let value = note.shape.value.degrees_smaller(smaller)?;
                Some(NoteShape { value, ..note.shape })
            };
            notes.iter().map(degrees).collect::<Option<_>>()?
        }
        Repair::InsertNote { value, dotted, .. } => vec![new(value, false, dotted)],
        Repair::InsertRest { value } => vec![new(value, true, false)],
        Repair::Delete => Vec::new(),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use notation::parse;
    use rudiments::Value;
    use score::{BarLength, align, reckon};

    use super::*;
    use crate::texture::Texture;

    /// Where the lengths change that a repair at a note changes, those lengths, and by how much what
    /// follows moves, all in minims.
    fn recounted(music: &str, at: usize, repair: Repair) -> Option<(usize, Vec<i64>, i64)> {
        let text = format!("voice A clef C1 sign O\n {music}\n");
        let piece = parse(&text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        let texture = Texture::new(&piece, &score);
        let found = Recount::at(&texture.lines[0], at).with(Kind::DotMissing, repair)?;
        let minims = |ticks: i64| ticks / texture.minim;
        let lengths = found.lengths.iter().copied().map(minims).collect();
        Some((found.from, lengths, minims(found.shift)))
    }

    const DOTTED_SEMIBREVE: Repair = Repair::Value { value: Value::Semibreve, dotted: true };

    /// Without the dot the second semibreve is altered; with it the breves on both sides are imperfect
    /// (Tinctoris, *Scriptum super punctis musicalibus*; from memory).
    #[test]
    fn a_dot_of_division() {
        let found = recounted("br D4 sb E F br G sb A B C5 lg D", 1, DOTTED_SEMIBREVE);
        assert_eq!(found, Some((0, vec![4, 2, 2, 4], -6)));
    }

    /// *Similis ante similem* (Franco, chapter 5; from memory): a breve before a breve is perfect.
    #[test]
    fn a_note_that_is_no_more_before_its_like() {
        let semibreve = Repair::Value { value: Value::Semibreve, dotted: false };
        let found = recounted("br D4 sb E br F G sb A B C5 lg D", 2, semibreve);
        assert_eq!(found, Some((0, vec![6, 2, 4], 0)));
    }

    /// Of three parts none is altered.
    #[test]
    fn a_part_left_out() {
        let part = Repair::InsertRest { value: Value::Semibreve };
        let found = recounted("br D4 sb E F br G lg A", 2, part);
        assert_eq!(found, Some((2, vec![2, 2], 0)));
    }

    /// A slip far from the breve that it leaves perfect.
    #[test]
    fn a_run_that_is_no_whole_number_of_parts() {
        let semiminims = "sm E F G A ".repeat(6);
        let music = format!("br D4 mn E sm F {semiminims} sb F G br A lg D");
        let dotted = Repair::Value { value: Value::Minim, dotted: true };
        assert!(recounted(&music, 1, dotted).is_some_and(|(from, ..)| from == 0));
    }

    #[test]
    fn a_dot_that_says_nothing() {
        let dotted = Repair::Value { value: Value::Breve, dotted: true };
        assert_eq!(recounted("br D4 E sb F G A lg D", 0, dotted), None);
        assert!(recounted("br D4 sb E br F sb G A B lg D", 0, dotted).is_some());
    }
}
