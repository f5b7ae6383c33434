//! Items of the head that name notes and rests of a voice: subjects and marks.

use super::Parser;
use super::suggest::nearest;
use crate::lexer::TokenKind;
use crate::limits::{MOST_MARKED, MOST_MARKS};
use crate::{Code, Diagnostic, EditorsMark, MarkColor, MarkShape, Span, Subject, Token, words};

/// Notes and rests of a voice that comes later.
#[derive(Clone)]
pub(super) struct Named<'t> {
    /// The name.
    pub(super) span: Span,
    name: &'t str,
    pub(super) first: u32,
    pub(super) last: u32,
}

impl<'t> Parser<'t> {
    /// `subject`, its first word taken.
    pub(super) fn subject(&mut self, token: Token) {
        match self.named() {
            Ok(named) => self.subjects.push(named),
            Err(wrong) => self.report(
                Diagnostic::new(
                    Code::SubjectUnclear,
                    wrong.unwrap_or(token).span,
                    "not a valid subject",
                )
                .help("type its voice and its first and last note or rest: subject Cantus 1-8"),
            ),
        }
    }

    /// `mark`, its first word taken.
    pub(super) fn mark_item(&mut self, token: Token) {
        let named = match self.named() {
            Ok(named) => named,
            Err(wrong) => {
                self.report(
                    Diagnostic::new(
                        Code::MarkUnclear,
                        wrong.unwrap_or(token).span,
                        "which notes are marked?",
                    )
                    .help(
                        "type their voice, the first and the last of them, and what to say: \
                         mark Cantus 3-9 \"subject\"",
                    ),
                );
                while self.take_on_line().is_some() {}
                return;
            }
        };
        let Named { first, last, .. } = named;
        let (mut shape, mut color, mut said) = (None, None, None);
        let mut end = token.span;
        while let Some(next) = self.take_on_line() {
            end = next.span;
            let word = self.word(next);
            let twice = if let TokenKind::Quoted { closed } = next.kind {
                said.replace(self.unquoted(next, closed)).is_some()
            } else if let Some(typed) = MarkShape::from_word(word) {
                shape.replace(typed).is_some()
            } else if let Some(typed) = MarkColor::from_word(word) {
                color.replace(typed).is_some()
            } else {
                self.no_such_look(next);
                false
            };
            if twice {
                let message = "a mark has one shape, one colour, and words in one pair of quotes";
                self.report(
                    Diagnostic::new(Code::MarkUnclear, next.span, message)
                        .help("keep one of the two; for another mark, type another line"),
                );
            }
        }
        let mark = EditorsMark {
            voice: 0,
            first,
            last,
            shape: shape.unwrap_or_default(),
            color,
            words: said.unwrap_or_default().to_owned(),
            span: token.span.to(end),
        };
        self.marks.push((named, mark));
    }

    fn no_such_look(&mut self, token: Token) {
        let word = self.word(token);
        let shown: String = word.chars().take(24).collect();
        let message = format!("`{shown}` is not a shape or a colour of a mark");
        let shapes = MarkShape::TYPED.map(MarkShape::word);
        let colors = MarkColor::ALL.map(MarkColor::word);
        let near = nearest(&shown, shapes.into_iter().chain(colors));
        let found = Diagnostic::new(Code::MarkUnclear, token.span, message);
        self.report(match near {
            Some(near) => found.help(format!("did you mean `{near}`?")),
            None => found.help(format!(
                "words stand in quotes, \"{shown}\"; the shapes are {}, the colours {}",
                shapes.join(" "),
                colors.join(" ")
            )),
        });
    }

    /// A voice and the first and the last of its notes and rests; else the word that is wrong, or
    /// nothing where it is missing.
    pub(super) fn named(&mut self) -> Result<Named<'t>, Option<Token>> {
        let voice = self.take_on_line().ok_or(None)?;
        let range = self.take_on_line().ok_or(Some(voice))?;
        let (first, last) = words::events(self.word(range)).ok_or(Some(range))?;
        Ok(Named { span: voice.span, name: self.word(voice), first, last })
    }

    /// The voice of a name that the head has; what is wrong is reported.
    pub(super) fn named_voice(&mut self, code: Code, span: Span, name: &str) -> Option<usize> {
        if let Some(voice) = self.names.get(name) {
            return Some(*voice);
        }
        let names = self.piece.voices.iter().map(|voice| voice.name.as_str());
        let help = match nearest(name, names) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "name a voice of this file".to_owned(),
        };
        let message = format!("there is no voice `{name}`");
        self.report(Diagnostic::new(code, span, message).help(help));
        None
    }

    /// The voice whose notes and rests are named; what is wrong is reported.
    pub(super) fn resolve(&mut self, code: Code, named: &Named<'t>) -> Option<usize> {
        let Named { span, name, last, .. } = *named;
        let voice = self.named_voice(code, span, name)?;
        // A canon has the notes and rests of the voice that it follows.
        let counted = self.piece.voices[voice].canon.map_or(voice, |canon| canon.dux);
        let count = self.states[counted].next_index - 1;
        if last > count {
            let what = if count == 1 { "note or rest" } else { "notes and rests" };
            let message = format!("`{name}` has {count} {what}, not {last}");
            self.report(
                Diagnostic::new(code, span, message)
                    .help("count the printed notes and rests of the voice, from 1"),
            );
            return None;
        }
        Some(voice)
    }

    /// Subjects name voices that come later.
    pub(super) fn resolve_subjects(&mut self) {
        for named in std::mem::take(&mut self.subjects) {
            if let Some(voice) = self.resolve(Code::SubjectUnclear, &named) {
                let Named { span, first, last, .. } = named;
                self.piece.head.subjects.push(Subject { voice, first, last, span });
            }
        }
    }

    /// So do marks.
    pub(super) fn resolve_marks(&mut self) {
        let mut marked = 0;
        for (named, mark) in std::mem::take(&mut self.marks) {
            let Some(voice) = self.resolve(Code::MarkUnclear, &named) else { continue };
            marked += (mark.last - mark.first) as usize + 1;
            if marked > MOST_MARKED || self.piece.head.marks.len() == MOST_MARKS {
                let message = format!(
                    "with this mark there are more than {MOST_MARKS} marks, or more than \
                     {MOST_MARKED} notes and rests are marked"
                );
                self.report(Diagnostic::new(Code::MarkUnclear, named.span, message).help(
                    "leave some of the marks out: this one and those after it are not drawn",
                ));
                return;
            }
            self.piece.head.marks.push(EditorsMark { voice, ..mark });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Parsed, Piece, parse};

    fn read(head: &str) -> Parsed {
        parse(&format!(
            "{head}\nvoice Tenor clef C4\n  sb D3 E F\nvoice Comes canon Tenor 5 above after 2\n"
        ))
    }

    fn marks(head: &str) -> Vec<EditorsMark> {
        let Parsed { piece, diagnostics, .. } = read(head);
        assert_eq!(diagnostics, []);
        piece.head.marks
    }

    /// The only diagnostic: where, what, and what to do.
    fn wrong(head: &str) -> (String, String, String) {
        let text = format!("{head}\nvoice Tenor clef C4\n  sb D3 E F\n");
        let Parsed { diagnostics, .. } = parse(&text);
        let [found] = diagnostics.as_slice() else { panic!("{diagnostics:#?}") };
        assert_eq!(found.code, Code::MarkUnclear);
        let help = found.help.clone().unwrap_or_default();
        (found.span.of(&text).to_owned(), found.message.clone(), help)
    }

    #[test]
    fn a_mark_has_a_shape_a_colour_and_words_in_any_order() {
        let mark = marks("mark Tenor 1-2 \"Soggetto; a\" blue circle ; why").remove(0);
        let look = (mark.shape, mark.color, mark.words.as_str());
        assert_eq!((mark.voice, mark.first, mark.last), (0, 1, 2));
        assert_eq!(look, (MarkShape::Circle, Some(MarkColor::Blue), "Soggetto; a"));
        let plain = marks("mark Tenor 3").remove(0);
        assert_eq!((plain.first, plain.last), (3, 3));
        assert_eq!(
            (plain.shape, plain.color, plain.words.as_str()),
            (MarkShape::Bracket, None, "")
        );
    }

    #[test]
    fn a_canon_has_the_notes_of_its_dux() {
        assert_eq!(marks("mark Comes 1-3 \"risposta\"")[0].voice, 1);
    }

    #[test]
    fn what_is_wrong_with_a_mark_is_said_with_what_to_type() {
        let (place, message, help) = wrong("mark Tenro 1-2");
        assert_eq!((place.as_str(), help.as_str()), ("Tenro", "did you mean `Tenor`?"));
        assert_eq!(message, "there is no voice `Tenro`");
        let (place, message, _) = wrong("mark Tenor 2-9");
        assert_eq!(place, "Tenor");
        assert_eq!(message, "`Tenor` has 3 notes and rests, not 9");
        let (place, _, help) = wrong("mark Tenor 1 Bleu");
        assert_eq!((place.as_str(), help.as_str()), ("Bleu", "did you mean `blue`?"));
        let (place, _, help) = wrong("mark Tenor 1 soggetto");
        assert_eq!(place, "soggetto");
        assert!(help.starts_with("words stand in quotes, \"soggetto\""), "{help}");
        assert_eq!(wrong("mark Tenor").1, "which notes are marked?");
        assert_eq!(wrong("mark Tenor 2-1 \"x\"").0, "2-1");
        assert_eq!(wrong("mark Tenor 1 red circle blue").0, "blue");
    }

    #[test]
    fn marks_are_not_without_end() {
        let marks = "mark A 1-9999\n".repeat(7);
        let text = format!("{marks}voice A clef C1\n sb D4 _*9999 E\n");
        let Parsed { piece: Piece { head, .. }, diagnostics, .. } = parse(&text);
        assert_eq!(head.marks.len(), 5);
        assert_eq!(diagnostics.len(), 1);
        assert!(diagnostics[0].message.contains("more than 50000"), "{diagnostics:?}");
        let marks = "mark A 1\n".repeat(1002);
        let Parsed { piece, diagnostics, .. } = parse(&format!("{marks}voice A clef C1\n sb D4\n"));
        assert_eq!((piece.head.marks.len(), diagnostics.len()), (1000, 1));
    }
}
