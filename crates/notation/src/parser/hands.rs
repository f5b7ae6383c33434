//! Items of the head by which the editor has the last word in the keyboard score: which hand takes
//! what, and where a system or a page begins.

use super::Parser;
use super::suggest::nearest;
use crate::limits::{MOST_MARKED, MOST_MARKS};
use crate::{Break, Code, Diagnostic, EditorsHand, Hand, Token};

impl Parser<'_> {
    /// `hand`, its first word taken.
    pub(super) fn hand_item(&mut self, token: Token) {
        let typed = self.take_on_line();
        let Some(hand) = typed.and_then(|typed| Hand::from_word(self.word(typed))) else {
            let word = typed.map(|typed| self.word(typed)).unwrap_or_default();
            let near = nearest(word, Hand::ALL.map(Hand::word).into_iter());
            let help = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => "type left or right, then what it plays: hand left Tenor 3-9".to_owned(),
            };
            let span = typed.unwrap_or(token).span;
            self.report(Diagnostic::new(Code::HandUnclear, span, "which hand?").help(help));
            while self.take_on_line().is_some() {}
            return;
        };
        match self.named() {
            Ok(named) => {
                let span = token.span.to(named.span);
                let (first, last) = (named.first, named.last);
                self.hands.push((named, EditorsHand { hand, voice: 0, first, last, span }));
            }
            Err(wrong) => self.report(
                Diagnostic::new(
                    Code::HandUnclear,
                    wrong.unwrap_or(token).span,
                    "which notes are played with this hand?",
                )
                .help(format!(
                    "type their voice, and the first and the last of them: hand {} Tenor 3-9",
                    hand.word()
                )),
            ),
        }
    }

    /// `break` or `page`, its first word taken.
    pub(super) fn break_item(&mut self, token: Token, page: bool) {
        let typed = self.take_on_line();
        let bar = typed.and_then(|typed| self.word(typed).parse().ok());
        match bar.filter(|bar| *bar > 1) {
            Some(bar) => {
                let span = token.span.to(typed.unwrap_or(token).span);
                self.piece.head.breaks.push(Break { bar, page, span });
            }
            None => {
                let (what, word) = if page { ("page", "page") } else { ("system", "break") };
                let span = typed.unwrap_or(token).span;
                let message = format!("with which bar does the {what} begin?");
                self.report(Diagnostic::new(Code::BreakUnclear, span, message).help(format!(
                    "type the number of the bar, as the score counts them, from 2 on: {word} 12"
                )));
            }
        }
    }

    /// The hands name voices that come later.
    pub(super) fn resolve_hands(&mut self) {
        let mut given = 0;
        for (named, hand) in std::mem::take(&mut self.hands) {
            let Some(voice) = self.resolve(Code::HandUnclear, &named) else { continue };
            given += (hand.last - hand.first) as usize + 1;
            if given > MOST_MARKED || self.piece.head.hands.len() == MOST_MARKS {
                let message = format!(
                    "with this line there are more than {MOST_MARKS} lines of hands, or more than \
                     {MOST_MARKED} notes and rests in them"
                );
                self.report(
                    Diagnostic::new(Code::HandUnclear, hand.span, message).help(
                        "leave some of the lines out: this one and those after it do not count",
                    ),
                );
                return;
            }
            self.piece.head.hands.push(EditorsHand { voice, ..hand });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parse;

    const MUSIC: &str = "\nvoice Tenor clef C4\n  sb D3 E F\n";

    /// The only diagnostic: its code, where, what, and what to do.
    fn wrong(head: &str) -> (Code, String, String, String) {
        let text = format!("{head}{MUSIC}");
        let diagnostics = parse(&text).diagnostics;
        let [found] = diagnostics.as_slice() else { panic!("{diagnostics:#?}") };
        let help = found.help.clone().unwrap_or_default();
        (found.code, found.span.of(&text).to_owned(), found.message.clone(), help)
    }

    #[test]
    fn hands_and_breaks_are_read() {
        let head = "hand left Tenor 2-3\nhand right Tenor 1 ; why\nbreak 5\npage 9";
        let parsed = parse(&format!("{head}{MUSIC}"));
        assert_eq!(parsed.diagnostics, []);
        let head = parsed.piece.head;
        let hands: Vec<_> =
            head.hands.iter().map(|one| (one.hand, one.voice, one.first, one.last)).collect();
        assert_eq!(hands, [(Hand::Left, 0, 2, 3), (Hand::Right, 0, 1, 1)]);
        let breaks: Vec<_> = head.breaks.iter().map(|one| (one.bar, one.page)).collect();
        assert_eq!(breaks, [(5, false), (9, true)]);
    }

    #[test]
    fn what_is_wrong_with_a_hand_is_said_with_what_to_type() {
        let (code, place, message, help) = wrong("hand lefft Tenor 1-2");
        assert_eq!(
            (code, place.as_str(), message.as_str()),
            (Code::HandUnclear, "lefft", "which hand?")
        );
        assert_eq!(help, "did you mean `left`?");
        assert!(wrong("hand").3.ends_with("hand left Tenor 3-9"));
        assert!(wrong("hand Tenor 1-2").3.ends_with("hand left Tenor 3-9"));
        let (_, place, message, help) = wrong("hand right Tenor");
        assert_eq!(
            (place.as_str(), message.as_str()),
            ("Tenor", "which notes are played with this hand?")
        );
        assert!(help.ends_with("hand right Tenor 3-9"), "{help}");
        assert_eq!(wrong("hand right Tenro 1").3, "did you mean `Tenor`?");
        assert_eq!(wrong("hand right Tenor 2-9").2, "`Tenor` has 3 notes and rests, not 9");
    }

    #[test]
    fn what_is_wrong_with_a_break_is_said_with_what_to_type() {
        for (head, place) in
            [("break", "break"), ("break x", "x"), ("page 1", "1"), ("page 0", "0")]
        {
            let (code, found, _, help) = wrong(head);
            assert_eq!((code, found.as_str()), (Code::BreakUnclear, place), "{head}");
            assert!(help.ends_with(if head.starts_with('b') { "break 12" } else { "page 12" }));
        }
    }
}
