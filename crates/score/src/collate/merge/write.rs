//! Variants as text.

use std::collections::BTreeMap;
use std::ops::Range;

use notation::{Edit, Item, ItemKind, Span, Voice, word};
use rudiments::{Clef, Value};

use super::context::Context;
use super::{Spot, Variant};
use crate::collate::Pair;
use crate::collate::alignment::Column;
use crate::collate::differences::mark;
use crate::collate::element::{Element, Joint, What};

/// What is typed before and after the items of a voice.
pub(super) struct Insertions<'t> {
    text: &'t str,
    voice: &'t Voice,
    /// By item.
    typed: BTreeMap<usize, (String, String)>,
}

impl<'t> Insertions<'t> {
    pub(super) fn new(text: &'t str, voice: &'t Voice) -> Insertions<'t> {
        Insertions { text, voice, typed: BTreeMap::new() }
    }

    pub(super) fn write(&mut self, pair: &Pair<'_>, context: &Context<'_>, variant: &Variant) {
        let side = Side { text: self.text, pair, context };
        match variant.place {
            Spot::Around(first, last) => {
                let side = side.text(variant, Some(first), Some(last));
                self.typed.entry(first).or_default().0.push_str("<? ");
                self.typed.entry(last).or_default().1.push_str(&format!(" | {side}>"));
            }
            Spot::After(item) => {
                let side = side.text(variant, Some(item), Some(item));
                self.typed.entry(item).or_default().1.push_str(&format!(" <? | {side}>"));
            }
            Spot::Before(item) => {
                let side = side.text(variant, Some(item), Some(item));
                self.typed.entry(item).or_default().0.push_str(&format!("<? | {side}> "));
            }
        }
    }

    /// As edits, in the order of the text.
    pub(super) fn edits(self) -> Vec<Edit> {
        let mut edits = Vec::new();
        let mut done = 0;
        for (item, (before, after)) in &self.typed {
            if *item < done {
                continue;
            }
            let span = self.voice.items[*item].span;
            let tokens = self.same_token(*item);
            if tokens.len() > 1 {
                done = tokens.end;
                edits.push(Edit::new(span, self.parted(tokens)));
                continue;
            }
            let at = |byte| Span { start: byte, end: byte };
            if !before.is_empty() {
                edits.push(Edit::new(at(span.start), before.clone()));
            }
            if !after.is_empty() {
                let next = self.text[span.end as usize..].chars().next();
                let blank = if next.is_none_or(char::is_whitespace) { "" } else { " " };
                edits.push(Edit::new(at(span.end), format!("{after}{blank}")));
            }
        }
        edits
    }

    /// The items that share a token with one: the rests of `_*4`.
    fn same_token(&self, item: usize) -> Range<usize> {
        let items = &self.voice.items;
        let span = items[item].span;
        let rest = |item: &Item| item.span == span && matches!(item.kind, ItemKind::Event(_));
        let first = item - items[..item].iter().rev().take_while(|item| rest(item)).count();
        let last = item + items[item + 1..].iter().take_while(|item| rest(item)).count();
        first..last + 1
    }

    /// Rests of one token, with what is typed between them.
    fn parted(&self, items: Range<usize>) -> String {
        let token = self.voice.items[items.start].span.of(self.text);
        // `_*4.` is dotted rests.
        let marks = token.trim_start_matches(|c: char| c == '_' || c == '*' || c.is_ascii_digit());
        let mut text = String::new();
        let mut waiting = 0;
        let rests = |waiting: &mut usize, text: &mut String| match std::mem::take(waiting) {
            0 => {}
            1 => text.push_str(&format!("_{marks}")),
            count => text.push_str(&format!("_*{count}{marks}")),
        };
        let parted = |text: &mut String| {
            if !text.is_empty() && !text.ends_with(' ') {
                text.push(' ');
            }
        };
        for item in items {
            let (before, after) = self.typed.get(&item).cloned().unwrap_or_default();
            if !before.is_empty() {
                rests(&mut waiting, &mut text);
                parted(&mut text);
                text.push_str(&before);
            }
            waiting += 1;
            if !after.is_empty() {
                rests(&mut waiting, &mut text);
                text.push_str(&after);
                text.push(' ');
            }
        }
        rests(&mut waiting, &mut text);
        text.truncate(text.trim_end().len());
        text
    }
}

/// The right side of variants.
struct Side<'a> {
    text: &'a str,
    pair: &'a Pair<'a>,
    context: &'a Context<'a>,
}

/// What is in force on the way through a right side.
struct Now {
    value: Option<Value>,
    clef: Option<Clef>,
    colored: bool,
    words: Vec<String>,
}

impl Side<'_> {
    /// What the right side has, ending with a blank unless it is empty, between two items of the left.
    fn text(&self, variant: &Variant, first: Option<usize>, last: Option<usize>) -> String {
        let items = &self.context.voice().items;
        let events = |range: Range<usize>| {
            range.filter(|item| matches!(items[*item].kind, ItemKind::Event(_)))
        };
        let around = matches!(variant.place, Spot::Around(..));
        let begins = first.filter(|item| matches!(items[*item].kind, ItemKind::Event(_)));
        let entry = begins.and_then(|item| self.context.at(item));
        let exit = last.and_then(|last| {
            let first = if around { first.unwrap_or_default() } else { 0 };
            let mut printed =
                events(first..last + 1).rev().filter(|item| items[*item].standing.is_printed());
            printed.next().and_then(|item| self.context.in_force(item))
        });
        let first = first.unwrap_or_default();
        let surround = self.context.around[first];
        let before = first.checked_sub(1).and_then(|before| self.context.clefs[before]);
        let clef = match variant.place {
            Spot::After(item) => self.context.clefs[item],
            _ => before.or(self.context.voice().clef),
        };
        let mut now = Now { value: entry, clef, colored: false, words: Vec::new() };
        let in_color = surround.coloration.is_some();
        let in_ligature = surround.ligature.is_some();
        let mut item = first;
        for column in &self.pair.columns[variant.columns.clone()] {
            if let Column::Both(here, _) | Column::Left(here) = column {
                let here = self.pair.left[*here].item;
                // The ends of lines, and readings of time, are on both sides.
                for between in &items[item.min(here)..here] {
                    self.between(between, &mut now);
                }
                item = here + 1;
            }
            if let Column::Both(_, there) | Column::Right(there) = column {
                self.element(&self.pair.right[*there], &mut now, in_color, in_ligature);
            }
        }
        if let (Spot::Around(_, last), true) = (variant.place, around) {
            for between in &items[item.min(last + 1)..=last] {
                self.between(between, &mut now);
            }
        }
        if now.colored {
            now.words.push("}".to_owned());
        }
        if let Some(value) = exit.filter(|value| now.value != Some(*value)) {
            now.words.push(value.to_string());
        }
        let mut text = now.words.join(" ");
        if !text.is_empty() {
            text.push(' ');
        }
        text
    }

    fn between(&self, item: &Item, now: &mut Now) {
        let kept = matches!(
            item.kind,
            ItemKind::LineEnd
                | ItemKind::PageEnd
                | ItemKind::Ratio(_)
                | ItemKind::Perfection { .. }
        );
        if kept && item.standing.is_printed() {
            now.words.push(item.span.of(self.text).to_owned());
        }
    }

    fn element(&self, element: &Element<'_>, now: &mut Now, in_color: bool, in_ligature: bool) {
        let (event, before, after) = match &element.what {
            What::Event { event, before, after } => (event, *before, *after),
            What::Mark(kind) => {
                if let ItemKind::Clef(clef) = kind {
                    now.clef = Some(*clef);
                }
                now.words.push(mark(kind));
                return;
            }
            What::Sound { .. } => return,
        };
        if event.colored != now.colored && !in_color {
            now.words.push(if event.colored { "{" } else { "}" }.to_owned());
            now.colored = event.colored;
        }
        if !in_ligature && before == Joint::None && after != Joint::None {
            now.words.push("(".to_owned());
        }
        if now.value != Some(event.value) {
            now.words.push(event.value.to_string());
            now.value = Some(event.value);
        }
        let positions = now.clef.filter(|_| self.context.voice().positions);
        now.words.push(word(event, positions));
        if !in_ligature && after == Joint::Oblique {
            now.words.push("\\".to_owned());
        }
        if !in_ligature && before != Joint::None && after == Joint::None {
            now.words.push(")".to_owned());
        }
    }
}
