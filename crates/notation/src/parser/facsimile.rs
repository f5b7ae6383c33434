//! `facsimile VOICE LINE FILE PAGE X Y W H ANGLE`: where a line of the source stands in a picture.

use std::collections::HashMap;

use super::Parser;
use crate::lexer::TokenKind;
use crate::{Code, Diagnostic, Facsimile, Span, Token};

/// What stands for all voices.
const ALL: &str = "*";

/// No page is so large, in pixels.
const LARGEST: f64 = 1_000_000.0;

/// The highest number of a line or page.
const MOST: u32 = 9999;

/// How it is typed.
const TYPED: &str = "type facsimile VOICE LINE FILE PAGE X Y W H ANGLE, as in \
                     facsimile Tenor 1 tenor.png 1 120 340 1800 150 0";

impl Parser<'_> {
    /// `facsimile`, its first word taken.
    pub(super) fn facsimile(&mut self, token: Token) {
        let mut parts = Vec::with_capacity(9);
        while parts.len() < 9
            && let Some(part) = self.take_on_line()
        {
            parts.push(part);
        }
        match self.read(token, &parts) {
            Ok(read) => self.facsimiles.push(read),
            Err((span, message)) => {
                while self.take_on_line().is_some() {}
                let found = Diagnostic::new(Code::FacsimileUnclear, span, message);
                self.report(found.help(TYPED));
            }
        }
    }

    /// The voice that is yet to be found, and all else; or what is wrong with which part.
    fn read(
        &mut self,
        token: Token,
        parts: &[Token],
    ) -> Result<(Option<Token>, Facsimile), (Span, String)> {
        let &[voice, line, file, page, x, y, width, height, angle] = parts else {
            const PARTS: [&str; 9] = [
                "its voice",
                "its line",
                "its file",
                "its page",
                "its left edge",
                "its upper edge",
                "its width",
                "its height",
                "its angle",
            ];
            let span = token.span.to(parts.last().unwrap_or(&token).span);
            return Err((
                span,
                format!("this box is incomplete: {} is missing", PARTS[parts.len()]),
            ));
        };
        let span_of_file = file.span;
        let file = match file.kind {
            TokenKind::Word => self.word(file).to_owned(),
            TokenKind::Quoted { closed } => self.unquoted(file, closed).to_owned(),
            _ => {
                return Err((
                    file.span,
                    "a file whose name has such a sign stands in quotes".into(),
                ));
            }
        };
        if file.is_empty() {
            return Err((span_of_file, "the file has no name".to_owned()));
        }
        let count = |part: Token, what: &str| {
            let word = self.word(part);
            let digits = word.len() <= 4 && word.bytes().all(|byte| byte.is_ascii_digit());
            let number = word.parse().ok().filter(|number| digits && (1..=MOST).contains(number));
            number.ok_or_else(|| (part.span, format!("{what} is a number from 1 to {MOST}")))
        };
        let measure = |part: Token, what: &str, least: f64, most: f64| {
            let number = decimal(self.word(part)).filter(|number| (least..=most).contains(number));
            number.ok_or_else(|| {
                (part.span, format!("{what} is a number from {least} to {most}, like 12 or 12.5"))
            })
        };
        let (line, page) = (count(line, "the line")?, count(page, "the page")?);
        let x = measure(x, "the left edge", 0.0, LARGEST)?;
        let y = measure(y, "the upper edge", 0.0, LARGEST)?;
        let width = measure(width, "the width", 1.0, LARGEST)?;
        let height = measure(height, "the height", 1.0, LARGEST)?;
        let degrees = measure(angle, "the angle", -180.0, 180.0)?;
        let (angle, span) = (degrees, token.span.to(angle.span));
        let voice = Some(voice).filter(|voice| self.word(*voice) != ALL);
        Ok((voice, Facsimile { voice: None, line, file, page, x, y, width, height, angle, span }))
    }

    /// Boxes name voices that come later.
    pub(super) fn resolve_facsimiles(&mut self) {
        let mut said: HashMap<(Option<usize>, u32), Span> = HashMap::new();
        for (name, mut facsimile) in std::mem::take(&mut self.facsimiles) {
            if let Some(name) = name {
                let (span, name) = (name.span, self.word(name));
                let Some(voice) = self.named_voice(Code::FacsimileUnclear, span, name) else {
                    continue;
                };
                if self.piece.voices[voice].canon.is_some() {
                    let message =
                        format!("`{name}` is not written out, so the source has no line of it");
                    self.report(
                        Diagnostic::new(Code::FacsimileUnclear, span, message)
                            .help("name the voice that it follows"),
                    );
                    continue;
                }
                facsimile.voice = Some(voice);
            }
            if let Some(first) = said.insert((facsimile.voice, facsimile.line), facsimile.span) {
                let message = "this line of the source has a box already";
                self.report(
                    Diagnostic::new(Code::FacsimileUnclear, facsimile.span, message)
                        .related(first, "here")
                        .help("keep one of the two; or is the number of the line another?"),
                );
                continue;
            }
            self.piece.head.facsimiles.push(facsimile);
        }
    }
}

/// Reads `12`, `-0.5`: seven digits before the point at most, and three after it.
fn decimal(word: &str) -> Option<f64> {
    let digits = |text: &str, most: usize| {
        (1..=most).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit())
    };
    let (whole, part) = word
        .strip_prefix('-')
        .unwrap_or(word)
        .split_once('.')
        .unwrap_or((word.strip_prefix('-').unwrap_or(word), "0"));
    // Nothing is written as -0.
    let number = word.parse::<f64>().ok()? + 0.0;
    (digits(whole, 7) && digits(part, 3)).then_some(number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parse;

    const VOICES: &str = "voice Tenor clef C4\n  sb D3 E /\n  F //\n  G\n\
                          voice Comes canon Tenor 5 above after 2\nvoice Bassus clef F4\n";

    fn boxes(head: &str) -> Vec<Facsimile> {
        parse(&format!("{head}\n{VOICES}")).piece.head.facsimiles
    }

    /// What is wrong with which part, but for the voice without music.
    fn wrong(head: &str) -> Vec<(Code, String, String)> {
        let text = format!("{head}\n{VOICES}");
        let found = parse(&text).diagnostics.into_iter();
        let found = found.filter(|found| found.code != Code::NoMusic);
        found.map(|one| (one.code, one.span.of(&text).to_owned(), one.message)).collect()
    }

    #[test]
    fn a_box_is_read() {
        let head = "facsimile Tenor 2 \"fol. 7 v.png\" 1 12 34.5 1800 150.125 -0.5";
        assert_eq!(wrong(head), []);
        let facsimile = boxes(head).remove(0);
        assert_eq!((facsimile.voice, facsimile.line, facsimile.page), (Some(0), 2, 1));
        assert_eq!(facsimile.file, "fol. 7 v.png");
        let Facsimile { x, y, width, height, angle, .. } = facsimile;
        let said = format!("{x} {y} {width} {height} {angle}");
        assert_eq!(said, "12 34.5 1800 150.125 -0.5");
        assert_eq!(boxes("facsimile * 1 a/b.pdf 12 0 0 9 9 -0")[0].voice, None);
    }

    #[test]
    fn each_part_is_looked_at() {
        let typed = ["Tenor", "1", "f.png", "1", "0", "0", "9", "9", "0"];
        for (place, bad) in [
            (0, "Altus"),
            (0, "Comes"),
            (1, "0"),
            (1, "x"),
            (2, "\"\""),
            (2, "|"),
            (3, "0"),
            (3, "+1"),
            (4, "-1"),
            (5, "1e3"),
            (6, "0"),
            (7, "inf"),
            (7, "12345678"),
            (8, "181"),
            (8, "0.1234"),
        ] {
            let mut typed = typed;
            typed[place] = bad;
            let found = wrong(&format!("facsimile {}", typed.join(" ")));
            let [(Code::FacsimileUnclear, at, _)] = found.as_slice() else { panic!("{found:?}") };
            assert_eq!(at, bad);
        }
    }

    #[test]
    fn a_part_that_is_missing_is_named() {
        let found = wrong("facsimile Tenor 1 f.png 1 0 0");
        assert_eq!(found[0].2, "this box is incomplete: its width is missing");
        assert_eq!(wrong("facsimile")[0].2, "this box is incomplete: its voice is missing");
        assert_eq!(wrong("facsimile Tenor 1 f.png 1 0 0 9 9 0 x")[0].0, Code::HeadItem);
    }

    #[test]
    fn a_line_has_one_box() {
        let twice = "facsimile Tenor 1 a.png 1 0 0 9 9 0\nfacsimile Tenor 1 b.png 1 0 0 9 9 0";
        assert_eq!(wrong(twice)[0].0, Code::FacsimileUnclear);
        assert_eq!(boxes(twice).len(), 1);
        let other = "facsimile Tenor 1 a.png 1 0 0 9 9 0\nfacsimile * 1 a.png 1 0 0 9 9 0";
        assert_eq!((wrong(other), boxes(other).len()), (Vec::new(), 2));
    }

    #[test]
    fn a_line_that_is_not_typed_is_doubtful() {
        let lines = |whose: &str, line: u32| {
            let found = wrong(&format!("facsimile {whose} {line} f.png 1 0 0 9 9 0"));
            found.into_iter().map(|(code, _, message)| (code, message)).collect::<Vec<_>>()
        };
        assert_eq!(lines("Tenor", 3), []);
        let message = "Tenor has 3 lines so far, and no line 4".to_owned();
        assert_eq!(lines("Tenor", 4), [(Code::LineNotTyped, message)]);
        let message = "the piece has 3 systems so far, and no system 4".to_owned();
        assert_eq!(lines("*", 4), [(Code::LineNotTyped, message)]);
        // Nothing of it is typed, and that is said already.
        assert_eq!(lines("Bassus", 4), []);
    }
}
