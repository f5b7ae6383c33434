//! What is typed before, after and in place of the items of a voice, all other bytes as they were.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

use crate::{Edit, Item, Span};

/// What is typed around the items of a voice. The rests of a token such as `_*4` are parted where
/// something is typed between them.
#[derive(Debug)]
pub(super) struct Typing<'t> {
    text: &'t str,
    items: &'t [Item],
    slots: BTreeMap<usize, Slot>,
    /// Edits of what is no item.
    edits: Vec<Edit>,
}

#[derive(Default, Debug)]
struct Slot {
    /// Each word with a blank after it.
    before: String,
    /// Instead of the item; empty where it is taken out.
    own: Option<String>,
    /// Each word with a blank before it.
    after: String,
}

impl<'t> Typing<'t> {
    /// Nothing yet, around the items of a voice of a text.
    pub(super) fn new(text: &'t str, items: &'t [Item]) -> Typing<'t> {
        Typing { text, items, slots: BTreeMap::new(), edits: Vec::new() }
    }

    /// Words right before an item, after those that were typed there already.
    pub(super) fn before(&mut self, item: usize, words: &str) {
        let before = &mut self.slots.entry(item).or_default().before;
        before.push_str(words);
        before.push(' ');
    }

    /// Words right after an item, after those that were typed there already.
    pub(super) fn after(&mut self, item: usize, words: &str) {
        let after = &mut self.slots.entry(item).or_default().after;
        after.push(' ');
        after.push_str(words);
    }

    /// A word instead of an item; nothing takes it out, with one blank before it.
    pub(super) fn instead(&mut self, item: usize, word: impl Into<String>) {
        self.slots.entry(item).or_default().own = Some(word.into());
    }

    /// Words before what stands at a byte; no item begins there.
    pub(super) fn at(&mut self, byte: u32, words: &str) {
        self.edits.push(self.insertion(byte, &format!("{words} ")));
    }

    /// A word instead of what is no item.
    pub(super) fn instead_of(&mut self, span: Span, word: impl Into<String>) {
        self.edits.push(Edit::new(span, word));
    }

    /// All that is typed, as edits in the order of the text.
    pub(super) fn edits(self) -> Vec<Edit> {
        // What is typed at the same byte stands in this order.
        let (mut after, between, mut before) = (Vec::new(), &self.edits, Vec::new());
        let mut done = 0;
        for (item, slot) in &self.slots {
            if *item < done {
                continue;
            }
            let span = self.items[*item].span;
            let sharing = same_token(self.items, *item);
            if sharing.len() > 1 {
                done = sharing.end;
                before.push(self.parted(span, sharing));
                continue;
            }
            if !slot.before.is_empty() {
                before.push(self.insertion(span.start, &slot.before));
            }
            match slot.own.as_deref() {
                Some("") => before.push(self.taken_out(span)),
                Some(own) => before.push(Edit::new(span, own)),
                None => {}
            }
            if !slot.after.is_empty() {
                let next = self.text[span.end as usize..].chars().next();
                let blank = if next.is_none_or(char::is_whitespace) { "" } else { " " };
                let text = format!("{}{blank}", slot.after);
                after.push(Edit::new(Span { start: span.end, end: span.end }, text));
            }
        }
        let mut edits = [after.as_slice(), between, &before].concat();
        edits.sort_by_key(|edit| edit.span);
        edits
    }

    /// Words, with a blank after them, before what stands at a byte.
    fn insertion(&self, byte: u32, words: &str) -> Edit {
        let joined = |c: char| !c.is_whitespace() && !"()[]{}<>|".contains(c);
        let would_join =
            !words.starts_with(['<', '[', '|']) && self.text[..byte as usize].ends_with(joined);
        let blank = if would_join { " " } else { "" };
        Edit::new(Span { start: byte, end: byte }, format!("{blank}{words}"))
    }

    /// A token is taken out, and one blank with it.
    fn taken_out(&self, span: Span) -> Edit {
        let start = span.start as usize;
        let blank = usize::from(self.text[..start].ends_with(' '));
        Edit::new(Span::new(start - blank, span.end as usize), "")
    }

    /// Rests of one token, with what is typed between them.
    fn parted(&self, span: Span, items: Range<usize>) -> Edit {
        let one = one_rest(span.of(self.text));
        let (mut words, mut waiting) = (Vec::new(), 0);
        let mut part = |waiting: &mut usize, word: &str| {
            let (count, marks) = (std::mem::take(waiting), &one[1..]);
            match count {
                0 => {}
                1 => words.push(one.to_string()),
                _ => words.push(format!("_*{count}{marks}")),
            }
            if !word.is_empty() {
                words.push(word.trim().to_owned());
            }
        };
        let nothing = Slot::default();
        for item in items {
            let Slot { before, own, after } = self.slots.get(&item).unwrap_or(&nothing);
            if !before.is_empty() {
                part(&mut waiting, before);
            }
            match own.as_deref() {
                None => waiting += 1,
                Some("") => {}
                Some(own) => part(&mut waiting, own),
            }
            if !after.is_empty() {
                part(&mut waiting, after);
            }
        }
        part(&mut waiting, "");
        if words.is_empty() { self.taken_out(span) } else { Edit::new(span, words.join(" ")) }
    }
}

/// The items that share a token with one: the rests of `_*4`.
fn same_token(items: &[Item], item: usize) -> Range<usize> {
    let same = |other: &&Item| other.span == items[item].span && other.event().is_some();
    let first = item - items[..item].iter().rev().take_while(same).count();
    let last = item + items[item + 1..].iter().take_while(same).count();
    first..last + 1
}

/// One of the rests of a token: `_.` of `_*4.`; of any other token, the whole.
pub(super) fn one_rest(token: &str) -> Cow<'_, str> {
    match token.strip_prefix("_*") {
        Some(rests) => {
            format!("_{}", rests.trim_start_matches(|c: char| c.is_ascii_digit())).into()
        }
        None => token.into(),
    }
}
