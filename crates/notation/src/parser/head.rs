//! The items of the head.

use super::arguments::Place;
use super::suggest::sign;
use super::{Parser, Stage};
use crate::lexer::{FREE_TEXT, TokenKind};
use crate::{Code, Diagnostic, Layout, Text, Token};

impl Parser<'_> {
    /// An item of the head, its first word taken.
    pub(super) fn head_item(&mut self, token: Token, item: &'static str) {
        let early = self.stage == Stage::Head;
        if !early {
            let message = format!("`{item}` belongs to the head, before the first voice");
            self.report(
                Diagnostic::new(Code::HeadItem, token.span, message)
                    .help("move the line up; it counts all the same"),
            );
        }
        let many = matches!(
            item,
            "note" | "topic" | "facsimile" | "subject" | "mark" | "hand" | "break" | "page"
        );
        if self.said.contains(&item) {
            let message = format!("`{item}` appears twice");
            self.report(
                Diagnostic::new(Code::HeadItem, token.span, message)
                    .help("keep one of the two lines; this one counts"),
            );
        }
        if !many {
            self.said.push(item);
        }
        if FREE_TEXT.contains(&item) {
            self.free_text(token, item);
        } else {
            match item {
                "layout" => self.layout(token),
                "subject" => self.subject(token),
                "mark" => self.mark_item(token),
                "hand" => self.hand_item(token),
                "break" => self.break_item(token, false),
                "page" => self.break_item(token, true),
                "facsimile" => self.facsimile(token),
                "sign" => self.head_sign(token),
                _ => self.head_signature(token),
            }
            self.line_ends(item);
        }
    }

    fn free_text(&mut self, token: Token, item: &str) {
        let text = match self.peek().filter(|next| next.kind == TokenKind::FreeText) {
            Some(next) => {
                self.next += 1;
                Text { text: self.word(next).to_owned(), span: next.span }
            }
            None => {
                let message = format!("`{item}` is empty");
                self.report(
                    Diagnostic::new(Code::HeadItem, token.span, message)
                        .help("type its text on the same line, or leave the line out"),
                );
                return;
            }
        };
        let head = &mut self.piece.head;
        match item {
            "title" => head.title = Some(text),
            "composer" => head.composer = Some(text),
            "source" => head.source = Some(text),
            "editor" => head.editor = Some(text),
            "topic" => head.topics.push(text),
            _ => head.notes.push(text),
        }
    }

    fn layout(&mut self, token: Token) {
        let argument = self.take_on_line();
        let layout = match argument.map(|argument| self.word(argument)) {
            Some("stacked") => Layout::Stacked,
            Some("partbooks") => Layout::Partbooks,
            Some("barred") => Layout::Barred,
            _ => {
                let span = argument.map_or(token.span, |argument| argument.span);
                self.report(
                    Diagnostic::new(Code::HeadItem, span, "unknown layout")
                        .help("type `layout stacked`, `layout partbooks` or `layout barred`"),
                );
                return;
            }
        };
        self.piece.head.layout = layout;
    }

    fn head_sign(&mut self, token: Token) {
        let argument = self.take_on_line();
        match argument.and_then(|argument| Some((argument, sign(self.word(argument))?))) {
            Some((argument, sign)) => {
                self.sign_otherwise(argument, sign);
                self.piece.head.sign = Some(sign);
            }
            None => self.no_such_sign(argument.unwrap_or(token).span),
        }
    }

    fn head_signature(&mut self, token: Token) {
        if self.on_line(self.next).is_none() {
            self.no_such_signature(token.span);
        } else if let Some(signature) = self.signature(token, Place::Line) {
            self.piece.head.signature = signature;
        }
    }

    /// Nothing else may stand on the line of this item.
    fn line_ends(&mut self, item: &str) {
        if let Some(extra) = self.take_on_line() {
            if self.reading_in_head(extra) {
                return;
            }
            while self.take_on_line().is_some() {}
            let message = format!("too many words on the line of `{item}`");
            self.report(
                Diagnostic::new(Code::HeadItem, extra.span, message)
                    .help("put it on a line of its own; the rest of this line is ignored"),
            );
        }
    }
}
