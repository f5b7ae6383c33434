//! The canonical form of one voice.

use std::fmt::Write as _;

use rudiments::{Tone, Value};

use super::lines::Lines;
use super::word::{marks, signs};
use super::{Digits, Spelling};
use crate::parser::state::InForce;
use crate::undecided::bare_letter;
use crate::{Event, Group, Item, ItemKind, Note, Piece, Sound, Voice, words};

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
    now: InForce,
    /// What was in force where each open group began, and at the end of its printed side.
    groups: Vec<(Group, InForce, Option<InForce>)>,
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
        let now = InForce { clef: voice.clef, ..InForce::default() };
        let (next, begun, groups) = (0, false, Vec::new());
        let (line_begins, value_unsaid) = (true, true);
        VoiceWriter {
            piece,
            voice,
            spelling,
            next,
            begun,
            now,
            groups,
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
        let plain = |item: &Item| match &item.kind {
            ItemKind::Event(event) => {
                event.sound == Sound::Rest { spaces: None } && marks(event).is_empty()
            }
            _ => false,
        };
        let Some(first) = items.first().filter(|item| plain(item)) else { return 1 };
        let value = |item: &Item| match &item.kind {
            ItemKind::Event(event) => Some(event.value),
            _ => None,
        };
        let alike = items
            .iter()
            .take(words::LARGEST_NUMBER as usize)
            .take_while(|item| plain(item) && value(item) == value(first))
            .count();
        if alike >= RESTS_COUNTED { alike } else { 1 }
    }

    /// An item as it is written; a change of value stands with its note.
    fn word(&mut self, item: &Item, rests: usize) -> String {
        match &item.kind {
            ItemKind::Event(event) => self.event(event, rests),
            ItemKind::Clef(clef) => {
                self.now.clef = Some(*clef);
                format!("clef {clef}")
            }
            ItemKind::Signature(signature) => format!("signature {signature}"),
            ItemKind::Sign(sign) => format!("sign {sign}"),
            ItemKind::Ratio(ratio) => format!("ratio {ratio}"),
            ItemKind::Perfection { value, perfect: true } => format!("perfect {value}"),
            ItemKind::Perfection { value, perfect: false } => format!("imperfect {value}"),
            ItemKind::LineEnd => "/".to_owned(),
            ItemKind::PageEnd => "//".to_owned(),
            ItemKind::Direct(tone) => {
                format!("~{}", self.place(*tone, "", self.spelling.digits == Digits::Every))
            }
            ItemKind::BarLine => "|".to_owned(),
            ItemKind::SectionEnd => "||".to_owned(),
            ItemKind::Repeat => "::".to_owned(),
            ItemKind::Words(words) => format!("\"{words}\""),
            ItemKind::Oblique => "\\".to_owned(),
            ItemKind::Open(group) => {
                self.groups.push((*group, self.now, None));
                opening_mark(*group).to_owned()
            }
            ItemKind::Divide => {
                if let Some((_, entry, printed)) = self
                    .groups
                    .iter_mut()
                    .rfind(|(group, ..)| matches!(group, Group::Emendation | Group::Variant))
                {
                    *printed = Some(self.now);
                    self.now = *entry;
                }
                "|".to_owned()
            }
            ItemKind::Close(group) => {
                self.close(*group);
                closing_mark(*group).to_owned()
            }
            ItemKind::More => String::new(),
        }
    }

    fn close(&mut self, group: Group) {
        let Some(place) = self.groups.iter().rposition(|(open, ..)| *open == group) else { return };
        let (_, entry, printed) = self.groups.remove(place);
        match group {
            Group::Supplied => self.now.value = entry.value,
            Group::Emendation | Group::Variant => self.now = printed.unwrap_or(self.now),
            Group::Ligature | Group::Coloration => {}
        }
    }

    fn event(&mut self, event: &Event, rests: usize) -> String {
        let mut word = String::new();
        if self.completes(event, rests) {
            word.push('.');
        } else if self.now.value != Some(event.value) || self.value_unsaid {
            self.now.value = Some(event.value);
            self.value_unsaid = false;
            let _ = write!(word, "{} ", event.value);
        }
        match &event.sound {
            Sound::Rest { spaces: Some(spaces) } => {
                let _ = write!(word, "_{spaces}");
            }
            Sound::Rest { spaces: None } if rests > 1 => {
                let _ = write!(word, "_*{rests}");
            }
            Sound::Rest { spaces: None } => word.push('_'),
            Sound::Notes(notes) => self.notes(notes, &mut word),
        }
        word.push_str(&marks(event));
        self.now.dotted = event.dot.is_some();
        word
    }

    /// Whether an event is best written as a completing note: where the value in force goes on
    /// after it, so that it saves a change of value and another back. Where values may be perfect a
    /// completing note says that the dot before it adds; there it stays as it was typed.
    fn completes(&self, event: &Event, rests: usize) -> bool {
        let half = self.now.value.and_then(Value::smaller);
        if !self.now.dotted || half != Some(event.value) || rests > 1 {
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

    fn notes(&mut self, notes: &[Note], word: &mut String) {
        for (place, note) in notes.iter().enumerate() {
            if place > 0 {
                word.push('+');
            }
            let with_digit = match self.spelling.digits {
                Digits::Canonical => self.line_begins,
                Digits::Needed => false,
                Digits::Every => true,
            };
            word.push_str(&self.place(note.tone, &signs(*note), with_digit));
        }
        if let Some(first) = notes.first() {
            self.now.previous = Some(first.tone);
            self.line_begins = false;
        }
    }

    /// A tone as a letter or a position, with signs between its step and its octave.
    fn place(&self, tone: Tone, signs: &str, with_digit: bool) -> String {
        let positions = self.voice.positions && !self.spelling.letters;
        match self.now.clef {
            Some(clef) if positions => format!("{}{signs}", clef.place_of(tone)),
            Some(clef)
                if !with_digit && bare_letter(clef, tone.step, self.now.previous) == Ok(tone) =>
            {
                format!("{}{signs}", tone.step)
            }
            _ => format!("{}{signs}{}", tone.step, tone.octave),
        }
    }
}

fn opening_mark(group: Group) -> &'static str {
    match group {
        Group::Ligature => "(",
        Group::Coloration => "{",
        Group::Supplied => "[",
        Group::Emendation => "<",
        Group::Variant => "<?",
    }
}

fn closing_mark(group: Group) -> &'static str {
    match group {
        Group::Ligature => ")",
        Group::Coloration => "}",
        Group::Supplied => "]",
        Group::Emendation | Group::Variant => ">",
    }
}
