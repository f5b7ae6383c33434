//! The canonical form of one voice.

use std::fmt::Write as _;

use rudiments::{Tone, Value};

use super::lines::Lines;
use super::{Digits, Spelling};
use crate::parser::state::Course;
use crate::words::{self, EventWord, PlaceWord};
use crate::{Event, Item, ItemKind, Piece, Voice};

/// From so many rests on they are written as one word, `_*3`.
const RESTS_COUNTED: usize = 3;

/// Writes a voice block by block.
pub(super) struct VoiceWriter<'p> {
    piece: &'p Piece,
    voice: &'p Voice,
    spelling: Spelling,
    /// The next item.
    next: usize,
    begun: bool,
    course: Course,
    /// Whether the next note is the first of a source line.
    line_begins: bool,
    /// Whether no value was written yet since the block began.
    value_unsaid: bool,
    /// Whether it is spelling alone that a note is typed as a completing one.
    free_completing: bool,
}

impl<'p> VoiceWriter<'p> {
    pub(super) fn new(
        piece: &'p Piece,
        voice: &'p Voice,
        spelling: Spelling,
        free_completing: bool,
    ) -> Self {
        let (next, begun, course) = (0, false, Course::new(voice.clef));
        let (line_begins, value_unsaid) = (true, true);
        VoiceWriter {
            piece,
            voice,
            spelling,
            next,
            begun,
            course,
            line_begins,
            value_unsaid,
            free_completing,
        }
    }

    /// Writes the next block: up to the next `more` line of this voice. `before` writes the
    /// comments that stand before a place of the text.
    pub(super) fn block(&mut self, lines: &mut Lines, before: &mut impl FnMut(u32, &mut Lines)) {
        lines.end_source_line();
        if self.begun {
            self.next += 1;
            lines.line(&format!("more {}", self.voice.name));
            self.line_begins = true;
            self.value_unsaid = true;
        } else {
            self.begun = true;
            lines.line(&self.opening());
        }
        lines.end_source_line();
        let items = &self.voice.items;
        while let Some(item) = items.get(self.next).filter(|item| item.kind != ItemKind::More) {
            before(item.span.start, lines);
            let rests = self.rests_alike();
            lines.word(&self.word(item, rests));
            self.next += rests;
            if matches!(item.kind, ItemKind::LineEnd | ItemKind::PageEnd) {
                lines.end_source_line();
                self.line_begins = true;
            }
        }
    }

    fn opening(&self) -> String {
        let Voice { name, clef, signature, sign, positions, canon, .. } = self.voice;
        let mut line = format!("voice {name} ");
        if let Some(canon) = canon {
            let dux = &self.piece.voices[canon.dux].name;
            let side = if canon.steps < 0 { "below" } else { "above" };
            let number = canon.steps.abs() + 1;
            let _ = write!(line, " canon {dux} {number} {side} after {}", canon.after);
        }
        if let Some(clef) = clef {
            let _ = write!(line, " clef {clef}");
        }
        if *signature != self.piece.head.signature {
            let _ = write!(line, " signature {signature}");
        }
        if let Some(sign) = sign.filter(|sign| Some(*sign) != self.piece.head.sign) {
            let _ = write!(line, " sign {sign}");
        }
        if *positions && !self.spelling.letters {
            line.push_str(" positions");
        }
        line
    }

    /// How many items from the next one on are written as one word.
    fn rests_alike(&self) -> usize {
        let items = &self.voice.items[self.next..];
        let plain = |event: &Event| by_itself(event).is_plain_rest();
        let first = items.first().and_then(Item::event).filter(|event| plain(event));
        let Some(value) = first.map(|event| event.value) else { return 1 };
        let is_alike = |event: &Event| plain(event) && event.value == value;
        let alike = items
            .iter()
            .take(words::LARGEST_NUMBER as usize)
            .take_while(|item| item.event().is_some_and(is_alike))
            .count();
        if alike >= RESTS_COUNTED { alike } else { 1 }
    }

    /// An item as it is written; a change of value stands with its note.
    fn word(&mut self, item: &Item, rests: usize) -> String {
        let word = match &item.kind {
            ItemKind::Event(event) => self.event(event, rests),
            ItemKind::Direct(tone) => {
                format!("~{}", self.place(*tone, self.spelling.digits == Digits::Every))
            }
            kind => kind.typed(),
        };
        self.course.pass(&item.kind);
        word
    }

    fn event(&mut self, event: &Event, rests: usize) -> String {
        let with_digit = match self.spelling.digits {
            Digits::Canonical => self.line_begins,
            Digits::Needed => false,
            Digits::Every => true,
        };
        let mut word = EventWord::of(event, |tone| self.place(tone, with_digit));
        if rests > 1 {
            word = word.rests(rests as u32);
        }
        if !event.notes().is_empty() {
            self.line_begins = false;
        }
        word.completing = self.completes(event, rests);
        if !word.completing && (self.course.now.value != Some(event.value) || self.value_unsaid) {
            self.course.now.value = Some(event.value);
            self.value_unsaid = false;
            return format!("{} {word}", event.value);
        }
        word.to_string()
    }

    /// Whether an event is best written as a completing note: where the value in force goes on
    /// after it, so that it saves a change of value and another back. Where values may be perfect a
    /// completing note says that the dot before it adds; there it stays as it was typed.
    fn completes(&self, event: &Event, rests: usize) -> bool {
        let now = self.course.now;
        let half = now.value.and_then(Value::smaller);
        if !now.dotted || half != Some(event.value) || rests > 1 {
            return false;
        }
        if !self.free_completing {
            return event.completing;
        }
        if event.dot.is_some() {
            return false;
        }
        let next = self.voice.items[self.next + 1..].iter().find_map(|item| match &item.kind {
            ItemKind::Event(next) => Some(Some(next.value)),
            // Here the value in force is that of another place.
            ItemKind::Divide | ItemKind::Open(_) | ItemKind::Close(_) | ItemKind::More => {
                Some(None)
            }
            _ => None,
        });
        next.flatten() != Some(event.value)
    }

    /// A tone as a letter or a position.
    fn place(&self, tone: Tone, with_digit: bool) -> PlaceWord {
        let now = self.course.now;
        let positions = now.clef.filter(|_| self.voice.positions && !self.spelling.letters);
        let bare = PlaceWord::Letter(tone.step, None);
        if positions.is_none() && !with_digit && now.tone(bare) == Some(tone) {
            bare
        } else {
            PlaceWord::of(tone, positions)
        }
    }
}

/// The word of an event, every note with its octave.
fn by_itself(event: &Event) -> EventWord {
    EventWord::of(event, |tone| PlaceWord::of(tone, None))
}
