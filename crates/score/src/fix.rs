//! What is mechanical, mended: only as far as the music stays what it was read as.

use std::collections::HashMap;

use notation::{Code, Diagnostic, Edit, Examples, apply, examples};

use crate::meaning::difference_apart_from_ends;
use crate::{BarLength, align, reckon};

/// A text with fixes made.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fixed {
    /// The text.
    pub text: String,
    /// How many places were mended.
    pub made: usize,
    /// How many fixes were left out, since with them the file would say something else.
    pub left_out: usize,
}

/// Makes the fixes of the diagnostics of a text.
///
/// Reading takes what was most likely meant; a fix types it. So a fix is made only if the text then
/// reads as it did before, event for event, and has one error fewer and no other one. All are tried
/// at once; where that does not hold, halves of them, and so on.
pub fn fix(text: &str, diagnostics: &[Diagnostic]) -> Fixed {
    let fixes: Vec<Fix<'_>> = diagnostics
        .iter()
        .filter_map(|found| found.fix.as_ref().map(|edit| Fix { found, edit }))
        .collect();
    let before = examples(text);
    let errors = errors(&before);
    let mut fixer = Fixer { text, before, errors, made: Vec::new() };
    fixer.make(&fixes);
    let made = fixer.made.len();
    Fixed { text: fixer.with(&[]), made, left_out: fixes.len() - made }
}

/// A diagnostic and the edit that mends it.
#[derive(Clone, Copy)]
struct Fix<'d> {
    found: &'d Diagnostic,
    edit: &'d Edit,
}

struct Fixer<'d> {
    text: &'d str,
    before: Examples,
    /// How many errors of each kind there were.
    errors: HashMap<Code, usize>,
    made: Vec<Fix<'d>>,
}

impl<'d> Fixer<'d> {
    /// Makes those of the fixes that may be made.
    fn make(&mut self, fixes: &[Fix<'d>]) {
        if fixes.is_empty() {
            return;
        }
        if self.may_be_made(fixes) {
            self.made.extend(fixes);
        } else if fixes.len() > 1 {
            let (first, rest) = fixes.split_at(fixes.len() / 2);
            self.make(first);
            self.make(rest);
        }
    }

    /// The text with the fixes that were made, and with others.
    fn with(&self, others: &[Fix<'d>]) -> String {
        let edits: Vec<Edit> = self.made.iter().chain(others).map(|fix| fix.edit.clone()).collect();
        apply(self.text, &edits)
    }

    fn may_be_made(&self, others: &[Fix<'d>]) -> bool {
        let after = examples(&self.with(others));
        let mended = self.made.iter().chain(others).filter(|fix| fix.found.is_error());
        let mut expected = self.errors.clone();
        for fix in mended {
            if let Some(count) = expected.get_mut(&fix.found.code) {
                *count = count.saturating_sub(1);
            }
        }
        let none_is_new = errors(&after)
            .iter()
            .all(|(code, count)| *count <= expected.get(code).copied().unwrap_or(0));
        let (before, after) = (&self.before.examples, &after.examples);
        let mut pairs = before.iter().zip(after);
        none_is_new
            && before.len() == after.len()
            && pairs
                .all(|(one, other)| difference_apart_from_ends(&one.piece, &other.piece).is_none())
    }
}

/// How many errors of each kind a text has.
fn errors(read: &Examples) -> HashMap<Code, usize> {
    let mut errors = HashMap::new();
    let mut count = |found: &Diagnostic| {
        if found.is_error() {
            *errors.entry(found.code).or_insert(0) += 1;
        }
    };
    read.diagnostics().for_each(&mut count);
    for parsed in &read.examples {
        let aligned = align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve);
        aligned.diagnostics.iter().for_each(&mut count);
    }
    errors
}

#[cfg(test)]
mod tests {
    use notation::{Span, parse};

    use super::*;

    /// Of several fixes those are made that change nothing, however many others there are.
    #[test]
    fn what_would_change_the_music_is_left_out() {
        let text = "voice A clef C1\n  SB D4 E F# G lg A\n";
        let planted = |word: &str, typed: &str| {
            let start = text.find(word).unwrap();
            let span = Span::new(start, start + word.len());
            Diagnostic::new(Code::OutsideClef, span, "planted").fix(span, typed)
        };
        let mut found = parse(text).diagnostics;
        found.extend([
            planted("E", "e"),
            planted("F#", "F"),
            planted(" G", " g"),
            planted("A\n", ""),
        ]);
        let fixed = fix(text, &found);
        assert_eq!(fixed.text, "voice A clef C1\n  sb D4 e F# g lg A\n");
        assert_eq!((fixed.made, fixed.left_out), (3, 2));
    }
}
