//! A file of examples is what its examples are, each in a file of its own.

use cartella::{BarLength, Basis, Document, Example, Options, Score, Spelling};
use proptest::prelude::*;

/// Music of which most has errors, in up to two voices.
fn piece() -> impl Strategy<Value = String> {
    const WORDS: [&str; 24] = [
        "sb", "mn", "sm", "br", "D4", "E", "F#", "G.", ".A", "_", "_*3", "(", ")", "{", "}", "[",
        "]", "||", "/", "<", "|", ">", "C5^", "xx",
    ];
    of_words(&WORDS, 0..3)
}

/// Music without errors, in one or two voices.
fn sound() -> impl Strategy<Value = String> {
    const WORDS: [&str; 8] = ["sb", "mn", "sm", "A4", "B4", "_", "C5 ; said", "/"];
    of_words(&WORDS, 1..3)
}

fn of_words(
    words: &'static [&'static str],
    voices: std::ops::Range<usize>,
) -> impl Strategy<Value = String> {
    let voice = proptest::collection::vec(proptest::sample::select(words), 0..14);
    let head =
        proptest::sample::select(vec!["", "title Own\n", "sign 3\n", "signature Bb\nnote x\n"]);
    (head, proptest::collection::vec(voice, voices)).prop_map(|(head, voices)| {
        let voice = |(place, music): (usize, &Vec<&str>)| {
            format!(
                "voice V{place} clef C{}\n  sb A4 {}\n",
                place + 1,
                music.join(" ").replace("said ", "said\n  ")
            )
        };
        head.to_owned() + &voices.iter().enumerate().map(voice).collect::<String>()
    })
}

/// A score without its places in the text.
fn music(example: Example<'_>) -> Score {
    let mut score = example.score(BarLength::Breve).score;
    for event in score.voices.iter_mut().flat_map(|voice| &mut voice.events) {
        event.span = cartella::Span::default();
    }
    score
}

/// What is found, with the words that it is about.
fn found(example: Example<'_>) -> Vec<(cartella::Code, String, String)> {
    let text = example.document().text();
    let checked = example.check(BarLength::Breve, 9).diagnostics;
    checked.into_iter().map(|one| (one.code, one.message, one.span.of(text).to_owned())).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn joined_pieces_are_what_each_is_alone(
        pieces in proptest::collection::vec(piece(), 1..6),
        shared in proptest::sample::select(vec!["", "title All\n", "sign C|\nnote ours\n"]),
    ) {
        let alone = |(number, piece): (usize, &String)| format!("{shared}example {number}\n{piece}");
        let joined: String = pieces
            .iter()
            .enumerate()
            .map(|(number, piece)| format!("example {number}\n{piece}"))
            .collect();
        let joined = Document::parse(format!("{shared}{joined}"));
        prop_assert_eq!(joined.examples().len(), pieces.len());
        for (example, text) in joined.examples().zip(pieces.iter().enumerate().map(alone)) {
            let document = Document::parse(text);
            let one = document.first();
            prop_assert_eq!(music(example), music(one));
            prop_assert_eq!(found(example), found(one));
            prop_assert_eq!(example.has_errors(), one.has_errors());
            let (aligned, alone) = (example.score(BarLength::Breve), one.score(BarLength::Breve));
            if !aligned.score.voices.is_empty() {
                let written = |aligned: &cartella::Aligned<'_>| {
                    aligned.arrangement(Options::default()).musicxml().ok()
                };
                prop_assert_eq!(written(&aligned), written(&alone));
            }
        }
    }

    #[test]
    fn a_tidied_file_is_its_tidied_examples(pieces in proptest::collection::vec(sound(), 1..5)) {
        let texts = pieces.iter().enumerate().map(|(n, piece)| format!("example {n}\n{piece}"));
        let texts: Vec<String> = texts.collect();
        let tidied = |text: &str| Document::parse(text).tidy(Spelling::default()).unwrap();
        let each: Vec<String> = texts.iter().map(|text| tidied(text)).collect();
        let whole = tidied(&texts.concat());
        prop_assert_eq!(&whole, &each.join("\n"));
        let one_by_one = (0..texts.len()).fold(texts.concat(), |text, place| {
            let document = Document::parse(text);
            let example = document.examples().nth(place).unwrap();
            example.tidy(Spelling::default()).unwrap()
        });
        prop_assert_eq!(one_by_one, whole);
    }

    /// What is written for all examples at once is what is written for one after another.
    #[test]
    fn variants_stand_in_their_examples(
        pairs in proptest::collection::vec((piece(), piece()), 1..4),
    ) {
        let side = |right: bool| {
            let chosen = pairs.iter().map(|(one, other)| if right { other } else { one });
            let texts = chosen.enumerate().map(|(n, piece)| format!("example {n}\n{piece}"));
            Document::parse(texts.collect::<String>())
        };
        let (left, right) = (side(false), side(true));
        let score = |document| Document::examples(document).map(|one| one.score(BarLength::Breve));
        let (here, there): (Vec<_>, Vec<_>) = (score(&left).collect(), score(&right).collect());
        let compared: Vec<_> =
            here.iter().zip(&there).map(|(one, other)| one.collate(other, Basis::Printed)).collect();
        let merged = Document::parse(left.merge(&compared).text);
        for (number, example) in merged.examples().enumerate() {
            let own = |document: &Document| {
                let text = document.text();
                let begin = text.find(&format!("example {number}\n")).unwrap();
                let end = text.find(&format!("example {}\n", number + 1)).unwrap_or(text.len());
                text[begin..end].to_owned()
            };
            let name = number.to_string();
            prop_assert_eq!(example.name(), Some(name.as_str()));
            let (one, other) = (Document::parse(own(&left)), Document::parse(own(&right)));
            let (one, other) = (one.score(BarLength::Breve), other.score(BarLength::Breve));
            let alone = one.collate(&other, Basis::Printed).merge();
            prop_assert_eq!(own(&merged), alone.text);
        }
    }
}

/// Forty examples take no longer than a file of their size; a thousand are read at once.
#[test]
fn a_thousand_examples_are_read_in_a_breath() {
    let duo = "voice Cantus clef C1\n  sb A4 B mn C5 D lg C //\nvoice Tenor clef C4\n  sb D3 E F lg F //\n";
    let note = format!("note {}\n", "x".repeat(60_000));
    let text: String = (0..1000).map(|number| format!("example {number}\n{duo}")).collect();
    let started = std::time::Instant::now();
    let document = Document::parse(note + &text);
    assert_eq!(document.examples().len(), 1000);
    assert!(!document.has_errors());
    let minims: Vec<_> =
        document.examples().map(|one| one.score(BarLength::Breve).score.length).collect();
    assert!(minims.iter().all(|length| *length == minims[0]));
    assert!(started.elapsed().as_secs() < 20, "{:?}", started.elapsed());
}
