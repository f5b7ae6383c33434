//! `docs/notation.md` keeps its word: every example in it has exactly the errors and warnings that
//! are said, and everything that can be typed has an example.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use cartella::{BarLength, Document};
use notation::{
    Break, Code, Diagnostic, Digits, Dot, EditorsHand, EditorsMark, Event, Facsimile, Group, Head,
    Item, ItemKind, Note, NoteSign, Parsed, Piece, Sound, Span, Spelling, Standing, Subject, Term,
    Text, TokenKind, Voice, parse, tidy,
};
use rudiments::{Accidental, Clef, Step};

/// The widest span of a hand, where nothing else is said: a ninth.
const REACH: u32 = 9;

/// The whole check of a parts file, in the order of the text.
fn diagnostics(text: &str) -> Vec<Diagnostic> {
    let document = Document::parse(text);
    let mut diagnostics = document.shared_diagnostics().to_vec();
    let checked = document.examples().map(|one| one.check(BarLength::Breve, REACH).diagnostics);
    diagnostics.extend(checked.flatten());
    diagnostics.sort_by_key(|diagnostic| (diagnostic.span, diagnostic.code));
    diagnostics
}

fn codes(text: &str) -> Vec<Code> {
    diagnostics(text).into_iter().map(|diagnostic| diagnostic.code).collect()
}

fn is_read(text: &str) -> bool {
    !diagnostics(text).iter().any(Diagnostic::is_error)
}

/// An example of the page: a fenced block whose info string is `parts` and the codes it shows.
struct Example {
    /// The line of its fence, from 1.
    line: usize,
    /// The heading under which it stands.
    heading: String,
    expected: Vec<Code>,
    text: String,
}

fn page() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/notation.md");
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn headings(page: &str) -> Vec<&str> {
    let outside = page.split("```").step_by(2);
    let lines = outside.flat_map(str::lines).filter(|line| line.starts_with('#'));
    lines.map(|line| line.trim_start_matches('#').trim()).collect()
}

fn examples(page: &str) -> Vec<Example> {
    let mut examples = Vec::new();
    let mut heading = "";
    let mut lines = page.lines().zip(1..);
    while let Some((line, number)) = lines.next() {
        if line.starts_with('#') {
            heading = line.trim_start_matches('#').trim();
        }
        let Some(info) = line.strip_prefix("```") else { continue };
        let codes = info.strip_prefix("parts").unwrap_or_else(|| panic!("line {number}: {line}"));
        let expected = codes
            .split_whitespace()
            .map(|code| Code::from_number(code).unwrap_or_else(|| panic!("line {number}: {code}")))
            .collect();
        let inside = lines.by_ref().take_while(|(line, _)| *line != "```");
        let text = inside.flat_map(|(line, _)| [line, "\n"]).collect();
        examples.push(Example { line: number, heading: heading.to_owned(), expected, text });
    }
    examples
}

#[test]
fn every_example_has_the_codes_that_are_said() {
    let page = page();
    let mut wrong: Vec<String> = Vec::new();
    for example in examples(&page) {
        let Example { line, expected, text, .. } = example;
        let found = diagnostics(&text);
        if found.iter().map(|diagnostic| diagnostic.code).ne(expected.iter().copied()) {
            wrong.push(format!("line {line}: said {expected:?}, found"));
            wrong.extend(found.iter().map(|found| format!("  {}: {}", found.code, found.message)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_code_has_its_heading_and_both_examples() {
    let page = page();
    let (headings, examples) = (headings(&page), examples(&page));
    for code in Code::ALL {
        let heading = format!("{code}: {}", code.title());
        assert!(headings.contains(&heading.as_str()), "there is no heading `{heading}`");
        if code.example().is_empty() {
            continue;
        }
        let mut own = examples.iter().filter(|example| example.heading == heading);
        assert!(own.any(|example| example.expected.contains(code)), "{code} is not shown");
        assert!(own.any(|example| example.expected.is_empty()), "{code} is not mended");
    }
}

#[test]
fn every_explanation_shows_its_code_and_mends_it() {
    for code in Code::ALL.iter().filter(|code| !code.example().is_empty()) {
        assert!(codes(code.example()).contains(code), "{code} is not shown");
        assert_eq!(codes(code.mended()), [], "{code} is not mended");
    }
}

#[test]
fn tidying_keeps_the_meaning_of_every_example() {
    let page = page();
    let spellings = [
        Spelling::default(),
        Spelling { digits: Digits::Needed, ..Spelling::default() },
        Spelling { letters: true, ..Spelling::default() },
    ];
    for Example { line, text, .. } in examples(&page) {
        if notation::examples(&text).has_errors() {
            assert!(tidy(&text, Spelling::default()).is_err(), "line {line}");
            continue;
        }
        for spelling in spellings {
            let once = tidy(&text, spelling).unwrap();
            assert_eq!(meaning(&text), meaning(&once), "line {line}, {spelling:?}:\n{once}");
            assert_eq!(tidy(&once, spelling).unwrap(), once, "line {line}, {spelling:?}");
        }
    }
}

#[test]
fn canonical_form_is_shown_as_it_is() {
    let examples = examples(&page());
    let whole = examples.iter().find(|example| example.heading == "A whole file").unwrap();
    assert_eq!(tidy(&whole.text, Spelling::default()).unwrap(), whole.text);
    let mut shown = examples.iter().filter(|example| example.heading == "Canonical form");
    let (before, after) = (shown.next().unwrap(), shown.next().unwrap());
    assert_eq!(tidy(&before.text, Spelling::default()).unwrap(), after.text);
}

/// The table of octaves: a row a clef, and the letters with one place and with two.
#[test]
fn the_places_of_the_letters_are_those_of_the_clefs() {
    let page = page();
    let mut clefs = 0;
    for line in page.lines() {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        let [_, clef, one, two, _] = cells.as_slice() else { continue };
        let Some(clef) = Clef::parse(clef.trim_matches('`')) else { continue };
        clefs += 1;
        let mut places: Vec<_> = Step::ALL.into_iter().map(|step| clef.on_staff(step)).collect();
        places.sort();
        let once: Vec<String> = places
            .iter()
            .filter(|(_, high)| high.is_none())
            .map(|(low, _)| low.to_string())
            .collect();
        let twice: Vec<String> = places
            .iter()
            .filter_map(|(low, high)| high.map(|high| format!("{low} {high}")))
            .collect();
        assert_eq!((once.join(" "), twice.join(", ")), ((*one).to_owned(), (*two).to_owned()));
    }
    assert_eq!(clefs, 7);
}

#[test]
fn every_link_leads_to_a_heading() {
    let page = page();
    let anchors: BTreeSet<String> = headings(&page)
        .into_iter()
        .map(|heading| {
            let kept = heading.chars().filter(|c| c.is_alphanumeric() || " -".contains(*c));
            kept.collect::<String>().to_lowercase().replace(' ', "-")
        })
        .collect();
    let links: Vec<&str> =
        page.split("](#").skip(1).filter_map(|after| after.split(')').next()).collect();
    assert!(links.len() > 20);
    for link in links {
        assert!(anchors.contains(link), "no heading for #{link}");
    }
}

/// The words and marks that can be typed, beside notes and rests.
const TYPED: &str = "example title source editor note facsimile * layout stacked partbooks barred sign \
    signature none subject mark bracket circle arrow blue orange green red purple sky voice more clef positions canon above below after ratio perfect imperfect \
    mx lg br sb mn sm fu sf / // :: ( ) \\ { } [ ] < <? | || >";

/// What can be meant, as [`kinds`] calls it.
const MEANT: &str = "one note, two notes, small letter, negative position, rest, rests counted, \
    rest over 2 spaces, rest over 3 spaces, completing note, completing rest, dotted rest, dot, \
    dot that adds, dot that divides, printed sharp, printed flat, printed natural, \
    editorial sharp, editorial flat, editorial natural, length, colored, \
    in a ligature, without a number, change of clef, change of signature, change of sign, \
    ratio, perfection, imperfection, line end, page end, direct, bar line, section end, repeat, \
    words, oblique, ligature, coloration, supplied passage, emendation, variant, divide, printed, \
    replaced, emended, supplied, alternative, more of a voice, in positions, \
    canon above, canon below, comment on its line, comment after music";

#[test]
fn all_that_can_be_typed_has_an_example() {
    let page = page();
    let mut shown = BTreeSet::new();
    for example in examples(&page).into_iter().filter(|example| is_read(&example.text)) {
        shown.extend(kinds(&example.text));
    }
    let signs = NoteSign::ALL.iter().map(|sign| sign.description().called);
    let wanted = TYPED.split_whitespace().chain(MEANT.split(", ")).chain(signs);
    let missing: Vec<&str> = wanted.filter(|kind| !shown.contains(*kind)).collect();
    assert!(missing.is_empty(), "no example without errors has {missing:?}");
}

#[test]
fn all_that_can_be_typed_is_explained() {
    let signs = NoteSign::ALL.iter().map(|sign| sign.description().typed);
    for word in TYPED.split_whitespace().chain(signs) {
        assert!(Term::find(word).is_some(), "{word}");
    }
}

/// What a text consists of: its tokens, and what they mean by the names of [`MEANT`].
fn kinds(text: &str) -> BTreeSet<String> {
    let Parsed { piece, tokens, .. } = parse(text);
    let mut kinds = BTreeSet::new();
    for token in &tokens {
        let word = token.span.of(text);
        let is_letter = word.len() == 1 && word.chars().all(|c| Step::from_letter(c).is_some());
        let kind = match token.kind {
            TokenKind::Comment if token.first_on_line => "comment on its line",
            TokenKind::Comment => "comment after music",
            TokenKind::Word if word.starts_with("_*") => "rests counted",
            TokenKind::Word if word.starts_with('-') => "negative position",
            TokenKind::Word if is_letter && word != word.to_uppercase() => "small letter",
            _ => word,
        };
        kinds.insert(kind.to_owned());
    }
    let mut see = |kind: &str| {
        kinds.insert(kind.to_owned());
    };
    for voice in &piece.voices {
        if voice.positions {
            see("in positions");
        }
        if let Some(canon) = voice.canon {
            see(if canon.steps < 0 { "canon below" } else { "canon above" });
        }
        for item in &voice.items {
            see(match item.standing {
                Standing::Printed => "printed",
                Standing::Replaced => "replaced",
                Standing::Emended => "emended",
                Standing::Supplied => "supplied",
                Standing::Alternative => "alternative",
            });
            see(match &item.kind {
                ItemKind::Event(event) => {
                    event_kinds(event, &mut see);
                    continue;
                }
                ItemKind::Clef(_) => "change of clef",
                ItemKind::Signature(_) => "change of signature",
                ItemKind::Sign(_) => "change of sign",
                ItemKind::Ratio(_) => "ratio",
                ItemKind::Perfection { perfect: true, .. } => "perfection",
                ItemKind::Perfection { perfect: false, .. } => "imperfection",
                ItemKind::LineEnd => "line end",
                ItemKind::PageEnd => "page end",
                ItemKind::Direct(_) => "direct",
                ItemKind::BarLine => "bar line",
                ItemKind::SectionEnd => "section end",
                ItemKind::Repeat => "repeat",
                ItemKind::Words(_) => "words",
                ItemKind::Oblique => "oblique",
                ItemKind::Open(group) | ItemKind::Close(group) => match group {
                    Group::Ligature => "ligature",
                    Group::Coloration => "coloration",
                    Group::Supplied => "supplied passage",
                    Group::Emendation => "emendation",
                    Group::Variant => "variant",
                },
                ItemKind::Divide => "divide",
                ItemKind::More => "more of a voice",
            });
        }
    }
    kinds
}

fn event_kinds(event: &Event, see: &mut impl FnMut(&str)) {
    match &event.sound {
        Sound::Rest { spaces: None } => see("rest"),
        Sound::Rest { spaces: Some(spaces) } => see(&format!("rest over {spaces} spaces")),
        Sound::Notes(notes) => {
            see(if notes.len() == 1 { "one note" } else { "two notes" });
            for Note { printed, editorial, .. } in notes {
                for (sign, whose) in [(printed, "printed"), (editorial, "editorial")] {
                    match sign {
                        Some(Accidental::Sharp) => see(&format!("{whose} sharp")),
                        Some(Accidental::Flat) => see(&format!("{whose} flat")),
                        Some(Accidental::Natural) => see(&format!("{whose} natural")),
                        None => {}
                    }
                }
            }
        }
    }
    match event.dot {
        Some(Dot::Plain) => see("dot"),
        Some(Dot::Adds) => see("dot that adds"),
        Some(Dot::Divides) => see("dot that divides"),
        None => {}
    }
    for sign in event.signs.iter() {
        see(sign.description().called);
    }
    let rest = event.is_rest();
    for (there, kind) in [
        (event.completing && !rest, "completing note"),
        (event.completing && rest, "completing rest"),
        (event.dot.is_some() && rest, "dotted rest"),
        (event.length.is_some(), "length"),
        (event.colored, "colored"),
        (event.ligature.is_some(), "in a ligature"),
        (event.index.is_none(), "without a number"),
    ] {
        if there {
            see(kind);
        }
    }
}

/// What the examples of a text say, wherever they say it, and their comments.
fn meaning(text: &str) -> Vec<(Piece, Vec<&str>)> {
    let examples = notation::examples(text).examples.into_iter();
    examples.map(|parsed| meaning_of_one(text, parsed)).collect()
}

///
/// Whether a note is typed as a completing one, and whether as a letter or a position, is spelling.
fn meaning_of_one(text: &str, parsed: Parsed) -> (Piece, Vec<&str>) {
    let Parsed { piece, tokens, .. } = parsed;
    let span = Span::default();
    let plain = |said: Text| Text { span, ..said };
    let Head { example, title, composer, source, editor, .. } = piece.head;
    let Head { notes, topics, facsimiles, subjects, marks, hands, breaks, .. } = piece.head;
    let head = Head {
        example: example.map(plain),
        title: title.map(plain),
        composer: composer.map(plain),
        source: source.map(plain),
        editor: editor.map(plain),
        notes: notes.into_iter().map(plain).collect(),
        topics: topics.into_iter().map(plain).collect(),
        facsimiles: facsimiles.into_iter().map(|box_of| Facsimile { span, ..box_of }).collect(),
        subjects: subjects.into_iter().map(|subject| Subject { span, ..subject }).collect(),
        marks: marks.into_iter().map(|mark| EditorsMark { span, ..mark }).collect(),
        hands: hands.into_iter().map(|hand| EditorsHand { span, ..hand }).collect(),
        breaks: breaks.into_iter().map(|one| Break { span, ..one }).collect(),
        ..piece.head
    };
    let voice = |voice: Voice| {
        let items = voice.items.into_iter().map(|item| {
            let kind = match item.kind {
                ItemKind::Event(event) => ItemKind::Event(Event { completing: false, ..event }),
                kind => kind,
            };
            Item { span, kind, ..item }
        });
        Voice { span, positions: false, items: items.collect(), ..voice }
    };
    let voices = piece.voices.into_iter().map(voice).collect();
    let piece = Piece { head, voices, ..Piece::default() };
    let comments = tokens.iter().filter(|token| token.kind == TokenKind::Comment);
    (piece, comments.map(|token| token.span.of(text).trim_end()).collect())
}
