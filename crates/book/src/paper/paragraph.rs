//! Paragraphs: words divided into syllables, lines that are best for the whole paragraph, and spaces that fill
//! them.

use cartella::Mm;
use engrave::{Face, Ink, Item, Letterer, Lettering, Point, Role, Sp};
use textwrap::core::Fragment;
use textwrap::wrap_algorithms::{Penalties, wrap_first_fit, wrap_optimal_fit};

use super::goal::{Goal, Spot};

/// Words of one look.
#[derive(Clone, Debug)]
pub(super) struct Run {
    pub(super) text: String,
    pub(super) face: Face,
    /// The size of the em.
    pub(super) size: Mm,
    /// How far above the line it stands.
    pub(super) rise: Mm,
    /// Where it leads.
    pub(super) goal: Option<Goal>,
    /// The footnote whose number it is.
    pub(super) calls: Option<usize>,
    /// Whether the line ends behind it.
    pub(super) breaks: bool,
}

/// How the lines of a paragraph stand.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Setting {
    /// Both sides even, the last line as it is.
    Justified,
    /// The left side even, nothing divided.
    Left,
    Centred,
}

/// A line, around its baseline, which is at 0; from the left edge of its room on.
#[derive(Debug, Default)]
pub(super) struct Line {
    pub(super) items: Vec<Item>,
    pub(super) spots: Vec<Spot>,
    /// The footnotes whose numbers stand in it.
    pub(super) calls: Vec<usize>,
}

/// Spaces may become narrower than they are, down to this part.
const NARROWEST: f64 = 0.86;

/// Words of fewer letters are not divided.
const SHORTEST: usize = 5;

/// The mean width of a letter, in ems: by it the penalties of the library, which are meant for letters of one
/// width, are right for these too. Measured on English.
const LETTER: f64 = 0.42;

/// What stands between two places at which a line may end.
#[derive(Debug)]
struct Bit {
    /// The number of a run, and words of it.
    pieces: Vec<(usize, String)>,
    width: f64,
    /// The space behind it.
    space: f64,
    /// The hyphen that it gets at the end of a line.
    hyphen: f64,
}

impl Fragment for Bit {
    fn width(&self) -> f64 {
        self.width
    }

    fn whitespace_width(&self) -> f64 {
        self.space * NARROWEST
    }

    fn penalty_width(&self) -> f64 {
        self.hyphen
    }
}

/// What sets paragraphs.
#[derive(Clone, Copy)]
pub(super) struct Words<'s> {
    pub(super) letterer: &'s Letterer,
    pub(super) language: hypher::Lang,
    pub(super) role: Role,
}

impl Words<'_> {
    /// The lines of a paragraph in a room so wide.
    pub(super) fn lines(&self, runs: &[Run], width: Mm, setting: Setting) -> Vec<Line> {
        let mut lines = Vec::new();
        let mut from = 0;
        for (place, run) in runs.iter().enumerate() {
            if run.breaks || place + 1 == runs.len() {
                self.segment(runs, from..place + 1, width, setting, &mut lines);
                from = place + 1;
            }
        }
        lines
    }

    /// The lines up to an end of line that the author wants, or up to the end.
    fn segment(
        &self,
        runs: &[Run],
        range: std::ops::Range<usize>,
        width: Mm,
        setting: Setting,
        lines: &mut Vec<Line>,
    ) {
        let bits = self.bits(runs, range, setting == Setting::Justified);
        let Some(em) =
            bits.first().and_then(|bit| bit.pieces.first()).map(|(run, _)| runs[*run].size)
        else {
            return;
        };
        // In letters of that width.
        let letter = em.0 * LETTER;
        let scaled: Vec<Bit> = bits
            .into_iter()
            .map(|bit| Bit {
                width: bit.width / letter,
                space: bit.space / letter,
                hyphen: bit.hyphen / letter,
                ..bit
            })
            .collect();
        let room = [width.0 / letter];
        let wrapped = match setting {
            Setting::Justified => wrap_optimal_fit(&scaled, &room, &Penalties::new()).ok(),
            Setting::Left | Setting::Centred => None,
        };
        let wrapped = wrapped.unwrap_or_else(|| wrap_first_fit(&scaled, &room));
        let count = wrapped.len();
        for (place, bits) in wrapped.into_iter().enumerate() {
            let fills = setting == Setting::Justified && place + 1 < count;
            lines.push(self.line(runs, bits, width, fills, setting));
        }
    }

    /// Everything between places at which a line may end.
    fn bits(&self, runs: &[Run], range: std::ops::Range<usize>, divides: bool) -> Vec<Bit> {
        let mut bits: Vec<Bit> = Vec::new();
        // Whether the next word follows the last bit without a space.
        let mut joins = false;
        for number in range {
            let run = &runs[number];
            let measure = |text: &str| self.set(text, run).width.0;
            let space = measure(" ");
            let mut rest = run.text.as_str();
            while let Some(first) = rest.chars().next() {
                let is_space = first == ' ';
                let end = rest.find(|c| (c == ' ') != is_space).unwrap_or(rest.len());
                let (word, after) = rest.split_at(end);
                rest = after;
                if is_space {
                    if let Some(last) = bits.last_mut() {
                        last.space = space;
                    }
                    joins = false;
                    continue;
                }
                let parts = if divides { self.parts(word, joins) } else { vec![(word, false)] };
                for (part, hyphen) in parts {
                    let width = measure(part);
                    let hyphen = if hyphen { measure("-") } else { 0.0 };
                    match bits.last_mut().filter(|_| joins) {
                        Some(last) => {
                            last.pieces.push((number, part.to_owned()));
                            last.width += width;
                            last.hyphen = hyphen;
                        }
                        None => bits.push(Bit {
                            pieces: vec![(number, part.to_owned())],
                            width,
                            space: 0.0,
                            hyphen,
                        }),
                    }
                    joins = false;
                }
                joins = true;
            }
        }
        bits
    }

    /// A word in parts, behind each of which a line may end, and whether it gets a hyphen there.
    fn parts<'w>(&self, word: &'w str, joins: bool) -> Vec<(&'w str, bool)> {
        let mut parts = Vec::new();
        // Behind dashes and hyphens of the author a line may end as it is.
        let pieces = word.split_inclusive(['-', '–', '—', '/']);
        for piece in pieces {
            let is_letter = |c: char| c.is_alphabetic() || c == '’';
            let from = piece.find(is_letter).unwrap_or(piece.len());
            let letters = &piece[from..];
            let letters =
                &letters[..letters.find(|c: char| !is_letter(c)).unwrap_or(letters.len())];
            if joins || letters.chars().count() < SHORTEST || letters.contains('’') {
                parts.push((piece, false));
                continue;
            }
            let (mut begin, mut end) = (0, from);
            let syllables: Vec<&str> = hypher::hyphenate(letters, self.language).collect();
            for syllable in &syllables[..syllables.len().saturating_sub(1)] {
                end += syllable.len();
                parts.push((&piece[begin..end], true));
                begin = end;
            }
            parts.push((&piece[begin..], false));
        }
        parts
    }

    fn set(&self, text: &str, run: &Run) -> Lettering {
        self.letterer.set(text, run.face, Sp(run.size.0))
    }

    /// One line.
    fn line(&self, runs: &[Run], bits: &[Bit], width: Mm, fills: bool, setting: Setting) -> Line {
        // The words of each run in turn.
        let mut texts: Vec<(usize, String)> = Vec::new();
        let mut add = |run: usize, text: &str| match texts.last_mut() {
            Some((last, words)) if *last == run => words.push_str(text),
            _ => texts.push((run, text.to_owned())),
        };
        let mut hyphened = false;
        for (place, bit) in bits.iter().enumerate() {
            for (run, text) in &bit.pieces {
                add(*run, text);
            }
            let (run, _) = bit.pieces[bit.pieces.len() - 1];
            if place + 1 == bits.len() {
                hyphened = bit.hyphen > 0.0;
                if hyphened {
                    add(run, "-");
                }
            } else if bit.space > 0.0 {
                add(run, " ");
            }
        }
        let set: Vec<(usize, Lettering)> =
            texts.iter().map(|(run, text)| (*run, self.set(text, &runs[*run]))).collect();
        let natural: f64 = set.iter().map(|(_, letters)| letters.width.0).sum();
        let spaces: usize = texts.iter().map(|(_, text)| text.matches(' ').count()).sum();
        let missing = width.0 - natural;
        let by = if spaces > 0 && (fills || missing < 0.0) { missing / spaces as f64 } else { 0.0 };
        let mut x = match setting {
            Setting::Centred => (missing / 2.0).max(0.0),
            Setting::Justified | Setting::Left => 0.0,
        };
        let mut line = Line::default();
        let count = set.len();
        for (place, (number, letters)) in set.into_iter().enumerate() {
            let run = &runs[number];
            let mut letters = letters.spaced(Sp(by));
            if spaces == 0 {
                // A single word that is wider than the line.
                letters = letters.no_wider_than(Sp(width.0));
            }
            if hyphened && place + 1 == count && letters.text.ends_with('-') {
                letters.text.pop();
                letters.text.push('\u{ad}');
            }
            let reach = letters.width.0;
            if let Some(goal) = &run.goal {
                let words = letters.text.trim().to_owned();
                let (y, height) = (-run.rise.0 - run.size.0 * 0.75, run.size.0);
                line.spots.push(Spot {
                    at: (Mm(x), Mm(y)),
                    size: (Mm(reach), Mm(height)),
                    goal: goal.clone(),
                    words,
                });
            }
            line.calls.extend(run.calls);
            line.items.push(Item {
                role: self.role,
                of: None,
                ink: Ink::Letters {
                    letters: Box::new(letters),
                    at: Point::new(Sp(x), Sp(-run.rise.0)),
                },
            });
            x += reach;
        }
        line
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "The second voice imitates the first at the fifth below after one semibreve, and both \
                        come together in a cadence whose preparation the listener understands only afterwards.";

    fn run(text: &str, face: Face) -> Run {
        Run {
            text: text.to_owned(),
            face,
            size: Mm(4.0),
            rise: Mm(0.0),
            goal: None,
            calls: None,
            breaks: false,
        }
    }

    fn words(letterer: &Letterer) -> Words<'_> {
        Words { letterer, language: hypher::Lang::English, role: Role::SheetWords }
    }

    fn text(line: &Line) -> String {
        let words = line.items.iter().map(|item| match &item.ink {
            Ink::Letters { letters, .. } => letters.text.as_str(),
            _ => "",
        });
        words.collect()
    }

    fn right(line: &Line) -> f64 {
        let ends = line.items.iter().map(|item| match &item.ink {
            Ink::Letters { letters, at } => at.x.0 + letters.width.0,
            _ => 0.0,
        });
        ends.fold(0.0, f64::max)
    }

    #[test]
    fn all_lines_but_the_last_are_full() {
        let letterer = Letterer::default();
        let runs = [run(TEXT, Face::Roman)];
        let lines = words(&letterer).lines(&runs, Mm(60.0), Setting::Justified);
        assert!(lines.len() > 3, "{}", lines.len());
        for line in &lines[..lines.len() - 1] {
            assert!((right(line) - 60.0).abs() < 0.01, "{}: {}", text(line), right(line));
        }
        assert!(right(&lines[lines.len() - 1]) < 60.01);
    }

    /// Every letter of the text stands in the lines, in order.
    #[test]
    fn nothing_is_lost_in_breaking() {
        let letterer = Letterer::default();
        let runs =
            [run("A first ", Face::Roman), run(TEXT, Face::Italic), run(" End.", Face::Bold)];
        for setting in [Setting::Justified, Setting::Left, Setting::Centred] {
            let lines = words(&letterer).lines(&runs, Mm(45.0), setting);
            let mut whole = String::new();
            for line in &lines {
                let text = text(line);
                match text.strip_suffix('\u{ad}') {
                    Some(part) => whole.push_str(part),
                    None => whole.push_str(&format!("{} ", text.trim_end())),
                }
            }
            assert_eq!(whole.trim_end(), format!("A first {TEXT} End."), "{setting:?}");
        }
    }

    #[test]
    fn long_words_are_divided() {
        let letterer = Letterer::default();
        let runs = [run(TEXT, Face::Roman)];
        let lines = words(&letterer).lines(&runs, Mm(40.0), Setting::Justified);
        assert!(lines.iter().any(|line| text(line).ends_with('\u{ad}')));
        let ragged = words(&letterer).lines(&runs, Mm(40.0), Setting::Left);
        assert!(!ragged.iter().any(|line| text(line).ends_with('\u{ad}')));
    }

    #[test]
    fn a_word_wider_than_the_line_becomes_smaller() {
        let letterer = Letterer::default();
        let runs = [run(&"7".repeat(60), Face::Roman)];
        let lines = words(&letterer).lines(&runs, Mm(40.0), Setting::Justified);
        assert!(lines.len() == 1 && right(&lines[0]) <= 40.01);
    }
}
