//! Groups: what opens, parts and closes them, and how they stand in one another.

use rudiments::Sign;

use crate::lexer::TokenKind;
use crate::parser::Parser;
use crate::parser::state::OpenGroup;
use crate::{Code, Diagnostic, Group, Item, ItemKind, Layout, Span, Standing, Token};

/// Groups stand at most so deep in one another.
const DEEPEST: usize = 4;

impl Parser<'_> {
    pub(super) fn oblique(&mut self, voice: usize, token: Token) {
        let after_a_note = match self.piece.voices[voice].items.last() {
            Some(Item { kind: ItemKind::Event(event), .. }) => !event.is_rest(),
            _ => false,
        };
        if self.states[voice].is_open(Group::Ligature) && after_a_note {
            self.push(voice, token.span, ItemKind::Oblique);
        } else {
            let message = "an oblique body joins two notes of a ligature";
            self.report(
                Diagnostic::new(Code::ObliqueOutside, token.span, message)
                    .help("type it between them, in ( ): ( br D \\ C )"),
            );
        }
    }

    /// `|`: the middle of an emendation, or a printed bar line.
    pub(super) fn stroke(&mut self, voice: usize, token: Token) {
        let sided = |open: &OpenGroup| matches!(open.group, Group::Emendation | Group::Variant);
        let groups = &self.states[voice].groups;
        if let Some(place) =
            groups.iter().rposition(|open| sided(open) && open.printed_end.is_none())
        {
            while self.states[voice].groups.len() > place + 1 {
                let open = self.states[voice].groups[self.states[voice].groups.len() - 1];
                self.not_closed(open.span, open.group);
                self.close_innermost(voice, token.span);
            }
            let state = &mut self.states[voice];
            let open = &mut state.groups[place];
            open.printed_end = Some(state.now);
            state.now = open.entry;
            self.push(voice, token.span, ItemKind::Divide);
        } else if self.piece.head.layout == Layout::Barred {
            self.push(voice, token.span, ItemKind::BarLine);
        } else if groups.iter().any(sided) {
            self.report(
                Diagnostic::new(Code::EmendationSides, token.span, "this is a second `|`")
                    .help("an emendation has two sides: < printed | read >"),
            );
        } else {
            let (span, help) = match self.sign_before(token) {
                Some((span, sign)) => (span, format!("for the sign, type `sign {sign}`")),
                None => (
                    token.span,
                    "leave it out, or type `layout barred` in the head; the end of a section is ||"
                        .to_owned(),
                ),
            };
            let message = "a bar line, but this source has none";
            self.report(Diagnostic::new(Code::BarLineUnbarred, span, message).help(help));
        }
    }

    /// The sign that a stroke makes of the word to which it is joined, and where both stand: `C|`.
    fn sign_before(&self, stroke: Token) -> Option<(Span, Sign)> {
        let before = self.tokens.get(self.next.checked_sub(2)?)?;
        let joined = before.kind == TokenKind::Word && before.span.end == stroke.span.start;
        let sign = joined.then(|| Sign::parse(&format!("{}|", self.word(*before))))??;
        Some((before.span.to(stroke.span), sign))
    }

    pub(super) fn open(&mut self, voice: usize, token: Token, group: Group) {
        let standing = self.states[voice].standing();
        if let Some(first) = self.states[voice].groups.iter().find(|open| open.group == group) {
            let (opened, name) = (first.span, name_of(group));
            self.report(
                Diagnostic::new(
                    Code::GroupInItself,
                    token.span,
                    format!("a {name} within a {name}"),
                )
                .related(opened, "opened here, and not closed yet")
                .help("close the first before this one; this one is ignored"),
            );
            self.states[voice].passed_over.push(group);
            return;
        }
        if self.states[voice].groups.len() == DEEPEST {
            let message = format!("this is the {}th group within another", DEEPEST + 1);
            self.report(
                Diagnostic::new(Code::GroupInItself, token.span, message)
                    .help(format!("groups stand {DEEPEST} deep at most; this one is ignored")),
            );
            self.states[voice].passed_over.push(group);
            return;
        }
        if group == Group::Supplied && standing == Standing::Replaced {
            let message = "what is supplied is not printed, so it cannot stand on this side";
            self.report(
                Diagnostic::new(Code::SuppliedInPrinted, token.span, message)
                    .help("put it after the | of the emendation"),
            );
            self.states[voice].passed_over.push(group);
            return;
        }
        let state = &mut self.states[voice];
        if group == Group::Ligature {
            state.ligatures += 1;
        }
        state.groups.push(OpenGroup {
            group,
            span: token.span,
            entry: state.now,
            first_index: state.next_index,
            printed_end: None,
            taken: 0,
        });
        let kind = ItemKind::Open(group);
        self.piece.voices[voice].items.push(Item { span: token.span, standing, kind });
    }

    pub(super) fn close(&mut self, voice: usize, token: Token, groups: &[Group]) {
        let open = self.states[voice].groups.iter().rposition(|open| groups.contains(&open.group));
        let Some(place) = open else {
            let passed_over = &mut self.states[voice].passed_over;
            if let Some(place) = passed_over.iter().rposition(|group| groups.contains(group)) {
                // Its opening was reported.
                passed_over.remove(place);
                return;
            }
            let message = format!("no {} is open here", name_of(groups[0]));
            self.report(
                Diagnostic::new(Code::GroupNotOpen, token.span, message)
                    .help("type its opening before it, or leave it out"),
            );
            return;
        };
        // Coloration and ligatures may overlap; all other groups close in reverse order.
        let overlap = |group| matches!(group, Group::Ligature | Group::Coloration);
        let this = self.states[voice].groups[place].group;
        while let Some(inner) = self.states[voice].groups.get(place + 1..).and_then(<[_]>::last) {
            let (span, group) = (inner.span, inner.group);
            if overlap(this) && overlap(group) {
                break;
            }
            self.not_closed(span, group);
            self.close_innermost(voice, token.span);
        }
        let opened = self.states[voice].groups[place].span;
        self.close_at(voice, place, token.span);
        // Of one that was opened twice it is not known where it begins.
        if this == Group::Ligature && !self.states[voice].passed_over.contains(&this) {
            self.check_ligature(voice, opened);
        }
    }

    pub(in crate::parser) fn close_innermost(&mut self, voice: usize, span: Span) {
        if let Some(place) = self.states[voice].groups.len().checked_sub(1) {
            self.close_at(voice, place, span);
        }
    }

    fn close_at(&mut self, voice: usize, place: usize, span: Span) {
        let state = &mut self.states[voice];
        let open = state.groups.remove(place);
        match open.group {
            Group::Supplied => state.now.value = open.entry.value,
            Group::Emendation | Group::Variant => match open.printed_end {
                Some(printed) => state.now = printed,
                None => self.report(
                    Diagnostic::new(
                        Code::EmendationSides,
                        open.span,
                        "one of the two sides is missing",
                    )
                    .related(span, "it ends here")
                    .help("type | between what is printed and what is read: < mn G | sm G >"),
                ),
            },
            Group::Ligature => self.oblique_ends(voice),
            Group::Coloration => {}
        }
        self.push(voice, span, ItemKind::Close(open.group));
    }

    /// At the end of a ligature: an oblique body there joins nothing.
    fn oblique_ends(&mut self, voice: usize) {
        if let Some(Item { kind: ItemKind::Oblique, span, .. }) =
            self.piece.voices[voice].items.last()
        {
            let message = "an oblique body joins two notes of a ligature";
            let diagnostic = Diagnostic::new(Code::ObliqueOutside, *span, message)
                .help("type it between them: ( br D \\ C )");
            self.report(diagnostic);
        }
    }

    pub(in crate::parser) fn not_closed(&mut self, span: Span, group: Group) {
        let (name, close) = (name_of(group), group.closing());
        self.report(
            Diagnostic::new(Code::GroupNotClosed, span, format!("this {name} is not closed"))
                .help(format!("type {close} after its last note")),
        );
    }
}

fn name_of(group: Group) -> &'static str {
    match group {
        Group::Ligature => "ligature ( )",
        Group::Coloration => "passage in coloration { }",
        Group::Supplied => "supplied passage [ ]",
        Group::Emendation => "reading emended < | >",
        Group::Variant => "variant <? | >",
    }
}
