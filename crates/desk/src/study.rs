//! A study: its words, where each place leads that they name, its drawings, and its marks in the score.

use cartella::{BarLength, Example, Options, Paper, RuleSet, Score, SheetBody, Time, sheet};

use crate::message::{Part, Said, Studied};
use crate::systems::{Systems, within};

/// The study of an example. The places that its words name, such as `bars 6–7` and `Altus 1–6`, say when they
/// begin. The score is drawn as wide as `width`, in millimetres, with the marks of the study.
///
/// ```
/// use cartella::Document;
///
/// let text = "voice Cantus clef C1\n  sb _ mn _ sb D5 mn C lg D //\n\
///             voice Tenor clef C4\n  sb D4 F E lg D //\n";
/// let document = Document::parse(text);
/// let studied = desk::studied(document.first(), 180.0);
/// let cadences = studied.parts.iter().find(|part| part.heading == "Cadences").unwrap();
/// assert_eq!((cadences.columns[0].as_str(), cadences.rows[0][0][0].at), ("bar", Some(4.0)));
/// ```
pub fn studied(example: Example<'_>, width: f64) -> Studied {
    let mut aligned = example.score(BarLength::Breve);
    let study = aligned.study(RuleSet::default());
    let page = aligned.page(&study, &[]);
    let drawn = sheet(&page, Options::default(), &Paper::A4);
    let drawn = drawn.pages.iter().map(|page| example.document().svg(page)).collect();
    aligned.annotate(&study);
    let score = &aligned.score;
    let mut parts = Vec::new();
    for part in &page.parts {
        let (columns, rows) = match &part.body {
            SheetBody::Text(lines) => {
                (Vec::new(), lines.iter().map(|line| vec![linked(score, line)]).collect())
            }
            SheetBody::Table(table) => {
                let cell = |(column, cell): (usize, &String)| match table.columns.get(column) {
                    Some(name) if name == BAR => listed(score, cell),
                    _ => linked(score, cell),
                };
                let row = |row: &Vec<String>| row.iter().enumerate().map(cell).collect();
                (table.columns.clone(), table.rows.iter().map(row).collect())
            }
            SheetBody::Plan(_) | SheetBody::Reduction(_) | SheetBody::Cards(_) => continue,
        };
        parts.push(Part { heading: part.heading.clone(), columns, rows });
    }
    let systems = if score.bars.is_empty() {
        Vec::new()
    } else {
        Systems::default().draw(&aligned.arrangement(Options::default()), within(width))
    };
    Studied { title: page.title, facts: page.facts, parts, systems, drawn }
}

/// The column of a table whose cells are bars, and the word before bars elsewhere.
const BAR: &str = "bar";

/// What parts two bars: of a stretch, of which only the first leads anywhere, and of a list.
const TO: char = '\u{2013}';
const AND: [&str; 2] = [", ", " and "];

/// A sentence with the places that it names.
fn linked(score: &Score, words: &str) -> Vec<Said> {
    let mut said = Vec::new();
    let (mut left, mut plain) = (words, 0);
    let mut begun = true;
    while let Some(first) = left.chars().next() {
        let done = words.len() - left.len();
        let named =
            if begun { of_bars(score, left).or_else(|| of_voice(score, left)) } else { None };
        if let Some((places, length)) = named {
            push(&mut said, &words[plain..done], None);
            said.extend(places);
            left = &left[length..];
            (plain, begun) = (done + length, false);
        } else {
            left = &left[first.len_utf8()..];
            begun = !first.is_alphanumeric();
        }
    }
    push(&mut said, &words[plain..], None);
    said
}

fn push(said: &mut Vec<Said>, text: &str, at: Option<f64>) {
    if !text.is_empty() {
        said.push(Said { text: text.to_owned(), at });
    }
}

/// `bar 3`, `bars 6–7`, `bars 3, 5.2 and 9` at the beginning of some words: what it says, and how long it is.
fn of_bars(score: &Score, words: &str) -> Option<(Vec<Said>, usize)> {
    let after = words.strip_prefix(BAR)?;
    let after = after.strip_prefix('s').unwrap_or(after).strip_prefix(' ')?;
    let name = &words[..words.len() - after.len()];
    let (at, length) = bar(score, after)?;
    let mut said = vec![Said { text: format!("{name}{}", &after[..length]), at: Some(at) }];
    let rest = more(score, &after[length..], &mut said);
    Some((said, words.len() - rest.len()))
}

/// The bars that go on a list; gives what is left.
fn more<'w>(score: &Score, mut words: &'w str, said: &mut Vec<Said>) -> &'w str {
    loop {
        let next = AND.iter().find_map(|and| {
            let after = words.strip_prefix(and)?;
            bar(score, after).map(|(at, length)| (*and, &after[..length], at, &after[length..]))
        });
        let Some((and, text, at, rest)) = next else { return words };
        push(said, and, None);
        push(said, text, Some(at));
        words = rest;
    }
}

/// A cell of bars: `6–7`, `3, 5.2`.
fn listed(score: &Score, cell: &str) -> Vec<Said> {
    let mut said = Vec::new();
    let rest = match bar(score, cell) {
        Some((at, length)) => {
            push(&mut said, &cell[..length], Some(at));
            more(score, &cell[length..], &mut said)
        }
        None => cell,
    };
    push(&mut said, rest, None);
    said
}

/// `6`, `6.3` (its third minim), `6–7`: when it begins, and how many bytes name it.
fn bar(score: &Score, words: &str) -> Option<(f64, usize)> {
    let (number, length) = count(words)?;
    let start = score.bars.iter().find(|bar| bar.number == number)?.start;
    let mut end = length;
    let mut minim = 1;
    if let Some((later, more)) = words[end..].strip_prefix('.').and_then(count) {
        (minim, end) = (later, end + 1 + more);
    }
    if let Some((_, more)) = words[end..].strip_prefix(TO).and_then(count) {
        end += TO.len_utf8() + more;
    }
    Some((minims(start + Time::minims(i64::from(minim.max(1)) - 1)), end))
}

/// `Altus 12`, `Altus 1–6` at the beginning of some words: its first note, and how long it is.
fn of_voice(score: &Score, words: &str) -> Option<(Vec<Said>, usize)> {
    let named = |voice: &&cartella::TimedVoice| {
        words.strip_prefix(voice.name.as_str()).is_some_and(|after| after.starts_with(' '))
    };
    let voice = score.voices.iter().filter(named).max_by_key(|voice| voice.name.len())?;
    let before = voice.name.len() + 1;
    let (number, length) = count(&words[before..])?;
    let event = voice.events.iter().find(|event| event.index == Some(number))?;
    let mut end = before + length;
    if let Some((_, more)) = words[end..].strip_prefix(TO).and_then(count) {
        end += TO.len_utf8() + more;
    }
    let at = Some(minims(event.onset));
    Some((vec![Said { text: words[..end].to_owned(), at }], end))
}

/// A number at the beginning of some words, and how many digits it has; an ordinal is none.
fn count(words: &str) -> Option<(u32, usize)> {
    let digits = words.find(|char: char| !char.is_ascii_digit()).unwrap_or(words.len());
    let ends = words[digits..].chars().next().is_none_or(|next| !next.is_alphabetic());
    Some((words[..digits].parse().ok().filter(|_| ends)?, digits))
}

fn minims(time: Time) -> f64 {
    time.numerator() as f64 / time.denominator() as f64
}

#[cfg(test)]
mod tests {
    use cartella::{BarLength, Document};

    use super::*;

    /// Two voices of eight bars of a breve.
    fn score() -> Score {
        let row = "sb D4 E F G F E D E D E F G F E D E //";
        let text = format!("voice Altus clef C3\n {row}\nvoice Altus 2 clef C3\n {row}\n");
        Document::parse(text).score(BarLength::Breve).score
    }

    fn places(said: &[Said]) -> Vec<(&str, f64)> {
        said.iter().filter_map(|said| Some((said.text.as_str(), said.at?))).collect()
    }

    #[test]
    fn bars_lead_to_their_first_moment() {
        let said = |words: &str| linked(&score(), words);
        assert_eq!(
            places(&said("the cadence on D (bars 6\u{2013}7): on it (bar 6.3)")),
            [("bars 6\u{2013}7", 20.0), ("bar 6.3", 22.0)]
        );
        assert_eq!(
            places(&said("parallel fifths 3: bars 2, 3.2 and 8")),
            [("bars 2", 4.0), ("3.2", 9.0), ("8", 28.0)]
        );
        assert_eq!(places(&said("by the rules of about 1560; crossbar 3; bar 99; bar 3rd")), []);
    }

    #[test]
    fn notes_lead_to_when_they_begin() {
        let said = |words: &str| linked(&score(), words);
        assert_eq!(
            places(&said("S1  Altus 1\u{2013}6: D; bar 3, Altus 4 (G4)")),
            [("Altus 1\u{2013}6", 0.0), ("bar 3", 8.0), ("Altus 4", 6.0)]
        );
        assert_eq!(places(&said("Altus A4 to E5, plagal")), []);
    }

    #[test]
    fn all_words_stay() {
        for words in
            ["", "bar", "bars 2, 3.2 and x", "\u{e9}bar 2 \u{2013} bar 3\u{2013}", "Altus "]
        {
            for said in [linked(&score(), words), listed(&score(), words)] {
                let all: String = said.iter().map(|said| said.text.as_str()).collect();
                assert_eq!(all, words);
            }
        }
    }
}
