//! Notes and rests as events: their number, their sound and their value.

use rudiments::Value;

use crate::parser::{Parser, room};
use crate::words::{Body, EventWord};
use crate::{Code, Diagnostic, Dot, Event, Note, Sound, Span, Token};

impl Parser<'_> {
    /// An event, or the rests of `_*4`.
    pub(super) fn events(&mut self, voice: usize, token: Token, word: &EventWord) {
        let span = token.span;
        if self.piece.voices[voice].canon.is_some() {
            if !std::mem::replace(&mut self.states[voice].canon_music, true) {
                let message = "this voice follows another, so it has no music of its own";
                self.report(
                    Diagnostic::new(Code::CanonUnclear, span, message)
                        .help("leave the notes out, or the word canon and what follows it"),
                );
            }
            return;
        }
        let value = self.value(voice, span, word);
        let (times, sound) = match &word.body {
            Body::Rest { times, spaces } => {
                if spaces.is_some() && value != Value::Longa {
                    let message = "only a long rest covers two or three spaces";
                    self.report(
                        Diagnostic::new(Code::LongRest, span, message)
                            .help("type lg before it; or _*2, _*3 for several rests"),
                    );
                }
                let spaces = spaces.filter(|_| value == Value::Longa);
                (*times as usize, Sound::Rest { spaces })
            }
            Body::Heads(heads) => {
                let notes: Vec<Note> =
                    heads.iter().filter_map(|head| self.note(voice, span, *head)).collect();
                (1, Sound::Notes(notes))
            }
        };
        let dot_meant = std::mem::take(&mut self.states[voice].dot_meant) && !word.completing;
        let dot = word.dot.or(dot_meant.then_some(Dot::Plain));
        self.states[voice].now.dotted = dot.is_some();
        if let Sound::Notes(notes) = &sound
            && let Some(first) = notes.first()
        {
            self.states[voice].now.previous = Some(first.tone);
        }
        let event = Event {
            index: None,
            value,
            completing: word.completing,
            sound,
            dot,
            signs: word.signs,
            length: word.length,
            colored: false,
            ligature: None,
        };
        let read = self.states[voice].standing().is_read();
        let lasting = read.then(|| (voice, room::printed_length(&event)));
        for _ in 0..self.admitted(lasting, span, times) {
            let item = self.states[voice].event(span, event.clone());
            self.piece.voices[voice].items.push(item);
        }
    }

    /// The value of an event: the one in force, or the half of it for a completing note.
    fn value(&mut self, voice: usize, span: Span, word: &EventWord) -> Value {
        let state = &mut self.states[voice];
        let dotted = state.now.dotted;
        let missing =
            state.now.value.is_none() && !std::mem::replace(&mut state.value_missing, true);
        let value = state.now.value.unwrap_or(Value::Minim);
        if missing {
            let message = "no value is in force here";
            self.report(
                Diagnostic::new(Code::NoValue, span, message)
                    .help("type the value before the note: sb for a semibreve, mn for a minim, …"),
            );
        }
        if !word.completing {
            return value;
        }
        let half = value.smaller();
        if !dotted || half.is_none() {
            let message = "this completes nothing: the note before it has no dot";
            let message = if half.is_none() { "no value is half a semifusa" } else { message };
            self.report(
                Diagnostic::new(Code::CompletingNote, span, message)
                    .help("type the dot of the note before: mn G. .F; or the value of this one"),
            );
        }
        half.unwrap_or(value)
    }
}
