//! What tidies, mends or reads leaves the music as it is, event for event.

use notation::{Code, Diagnostic, Digits, Spelling, parse, print, tidy};
use proptest::prelude::*;
use score::{BarLength, first_difference, fix};
use suite::{aligned, pieces};

/// Every onset, length and rule, as text: so that what is compared here is not compared by the code
/// that the program itself relies on.
fn counted(text: &str) -> String {
    let (score, _) = aligned(text, BarLength::Breve);
    let mut counted = String::new();
    for voice in &score.voices {
        for event in &voice.events {
            let pitches: Vec<String> =
                event.notes.iter().map(|note| note.pitch.to_string()).collect();
            counted.push_str(&format!(
                "{} {:?} {} for {} {:?} {} {:?}\n",
                voice.name,
                event.index,
                event.onset,
                event.length,
                event.rule,
                pitches.join("+"),
                event.standing
            ));
        }
    }
    counted
}

fn errors(text: &str) -> Vec<&'static str> {
    let (_, diagnostics) = aligned(text, BarLength::Breve);
    let errors = diagnostics.iter().filter(|found| found.is_error());
    let mut codes: Vec<&str> = errors.map(|found| found.code.number()).collect();
    codes.sort_unstable();
    codes
}

/// Whether the first list is the second with some left out.
fn is_part_of(few: &[&str], many: &[&str]) -> bool {
    let mut many = many.iter();
    few.iter().all(|one| many.any(|other| other == one))
}

fn canonical(text: &str, spelling: Spelling) -> Result<String, TestCaseError> {
    tidy(text, spelling).map_err(|_| TestCaseError::reject("a piece with errors"))
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 2000, max_global_rejects: 60_000, ..ProptestConfig::default()
    })]

    /// Under every sign, with dots, coloration, proportions and ligatures: the canonical form leaves
    /// every event's onset, length and rule.
    #[test]
    fn tidying_leaves_all_onsets_lengths_and_rules(text in pieces::piece()) {
        for digits in [Digits::Canonical, Digits::Needed] {
            let tidied = canonical(&text, Spelling { digits, ..Spelling::default() })?;
            prop_assert_eq!(counted(&text), counted(&tidied), "{}", tidied);
            prop_assert_eq!(first_difference(&parse(&text).piece, &parse(&tidied).piece), None);
            prop_assert_eq!(errors(&text), errors(&tidied));
        }
    }
}

proptest! {
    /// A piece that is printed, whoever built it, reads as that piece.
    #[test]
    fn printing_leaves_all_onsets_lengths_and_rules(text in pieces::piece()) {
        let read = parse(&text);
        prop_assume!(!read.has_errors());
        for digits in [Digits::Canonical, Digits::Needed, Digits::Every] {
            let printed = print(&read.piece, Spelling { digits, ..Spelling::default() });
            prop_assert_eq!(counted(&text), counted(&printed), "{}", printed);
            prop_assert_eq!(first_difference(&read.piece, &parse(&printed).piece), None);
        }
    }
}

/// A slip of the typist, at a place of the text.
fn slip() -> impl Strategy<Value = (&'static str, &'static str)> {
    prop::sample::select(vec![
        ("sb", "SB"),
        ("mn", "minim"),
        ("br", "Breve"),
        ("sb A4", "sbA4"),
        (" G4", "G4"),
        ("A4", "Aflat4"),
        ("Bb4", "bB4"),
        ("F#4", "fis4"),
        ("G4", "G4."),
        ("A4 ", "A4"),
        ("\"words\"", "\"words"),
        ("\"words\" ", "\"words "),
        ("\"words\"", "words\""),
        ("clef C1", "C1"),
        ("clef C1", "clef C 1"),
        ("clef C1", "clef: C1"),
        ("clef C1", "Clef C1"),
        ("clef C1", "clef C1 signature Bb Eb"),
        ("clef C1", "clef C1 Bb"),
        ("clef C1", ""),
        ("clef C1", "clef C1 C|"),
        ("sign C", "C"),
        ("sign C", "sign c"),
        ("signature Bb", "signature Bb Eb"),
        ("signature Bb", "Signature Bb"),
        ("voice", "Voice"),
        ("\nvoice", " voice"),
        ("\n  ", " "),
        (" || ", " "),
        ("br A4 || ", "br A4 "),
        ("sb A4 ", "sb A4 || "),
        ("_", "-"),
        ("_", "rest"),
        (" ", ""),
        (" ", "\n"),
        ("{", ""),
        (")", ""),
        ("| ", ""),
        ("; ", ""),
        ("/", "|"),
        ("A", "a"),
        ("voice V1", "voice V1 more"),
        ("A4 ", "A4 h "),
        ("mn ", "mn. "),
        ("br ", "br; "),
    ])
}

/// A text with some slips: at a random one of the places where each can be.
fn mistyped() -> impl Strategy<Value = String> {
    let slips = prop::collection::vec((slip(), any::<prop::sample::Index>()), 1..5);
    (pieces::piece(), slips).prop_map(|(mut text, slips)| {
        for ((typed, slip), which) in slips {
            let places: Vec<usize> = text.match_indices(typed).map(|(place, _)| place).collect();
            if let Some(place) = places.get(which.index(places.len().max(1))) {
                text.replace_range(*place..place + typed.len(), slip);
            }
        }
        text
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 800, ..ProptestConfig::default() })]

    /// Whatever is mistyped: with what is mechanical mended, the file says what it was read as. No
    /// event is lost, and no error is there that was not.
    #[test]
    fn mending_what_is_mechanical_leaves_what_was_read(text in mistyped()) {
        let (_, diagnostics) = aligned(&text, BarLength::Breve);
        let fixed = fix(&text, &diagnostics);
        prop_assert_eq!(counted(&text), counted(&fixed.text), "{}", fixed.text);
        prop_assert!(is_part_of(&errors(&fixed.text), &errors(&text)), "{}", fixed.text);
        if fixed.made > 0 {
            let of_error = |found: &&Diagnostic| found.fix.is_some() && found.is_error();
            let mendable = diagnostics.iter().filter(of_error).count();
            prop_assert!(errors(&text).len() - errors(&fixed.text).len() + fixed.left_out >= mendable);
        }
    }

    /// Each fix is sure by itself: the check before writing has nothing to leave out, but for double
    /// bars, where what is counted before one may depend on its being typed.
    #[test]
    fn what_is_offered_can_be_made(text in mistyped()) {
        let (_, diagnostics) = aligned(&text, BarLength::Breve);
        let fixed = fix(&text, &diagnostics);
        let of_ends = |found: &&Diagnostic| found.code == Code::SectionTaken && found.fix.is_some();
        let ends = diagnostics.iter().filter(of_ends).count();
        prop_assert!(fixed.left_out <= ends, "{}\n---\n{}", text, fixed.text);
    }
}

/// The checks see what they are to see.
#[test]
fn a_planted_change_is_found() {
    let text = "voice A clef C1 sign O\n  sb A4. .G mn F G A sb A B br A\n";
    let changed = text.replace(".G mn F", "mn G F");
    assert!(first_difference(&parse(text).piece, &parse(&changed).piece).is_some());
    assert_ne!(counted(text), counted(&changed));
    let fixes = |edit: &str| {
        let span = parse(text).piece.voices[0].items[1].span;
        let found = Diagnostic::new(Code::UnknownWord, span, "planted").fix(span, edit);
        fix(text, &[found]).made
    };
    assert_eq!([fixes("mn G"), fixes(""), fixes("x"), fixes("| .G")], [0, 0, 0, 0]);
}
