//! Variants as text.

use std::ops::Range;

use notation::{Item, ItemKind, Typing, word};
use rudiments::{Clef, Value};

use super::context::Context;
use super::{Spot, Variant};
use crate::collate::Pair;
use crate::collate::alignment::Column;
use crate::collate::differences::mark;
use crate::collate::element::{Element, Joint, What};

/// Types a variant around the items of a voice, or beside one.
pub(super) fn write(
    typing: &mut Typing<'_>,
    text: &str,
    pair: &Pair<'_>,
    context: &Context<'_>,
    variant: &Variant,
) {
    let side = Side { text, pair, context };
    match variant.place {
        Spot::Around(first, last) => {
            let side = side.text(variant, Some(first), Some(last));
            typing.before(first, "<?");
            typing.after(last, &format!("| {side}>"));
        }
        Spot::After(item) => {
            let side = side.text(variant, Some(item), Some(item));
            typing.after(item, &format!("<? | {side}>"));
        }
        Spot::Before(item) => {
            let side = side.text(variant, Some(item), Some(item));
            typing.before(item, &format!("<? | {side}>"));
        }
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
