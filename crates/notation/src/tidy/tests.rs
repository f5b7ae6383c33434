use super::*;
use crate::parse;

fn canonical(text: &str) -> String {
    tidy(text, Spelling::default()).unwrap_or_else(|wrong| panic!("{wrong:#?}"))
}

fn cantus(music: &str) -> String {
    canonical(&format!("voice Cantus clef C1\n{music}"))
        .strip_prefix("voice Cantus  clef C1\n")
        .unwrap()
        .to_owned()
}

#[test]
fn a_source_line_is_a_line() {
    assert_eq!(cantus("sb D4 E\nF ~G / G A //"), "  sb D4 E F ~G /\n  G4 A //\n");
}

#[test]
fn values_stand_where_they_change() {
    assert_eq!(cantus("sb D4 sb E mn mn F"), "  sb D4 E mn F\n");
}

#[test]
fn a_completing_note_saves_two_values() {
    assert_eq!(cantus("mn G4. sm F mn E"), "  mn G4. .F E\n");
    assert_eq!(cantus("sb G4. mn F. sm E sb D"), "  sb G4. mn F. .E sb D\n");
    assert_eq!(cantus("mn G4. .F sm E D mn C"), "  mn G4. sm F E D mn C\n");
}

#[test]
fn letters_are_capital_and_digits_stand_where_needed() {
    assert_eq!(cantus("sb d4 e4 f#4 d5"), "  sb D4 E F# D5\n");
}

#[test]
fn rests_are_counted_from_three_on() {
    assert_eq!(cantus("sb _ _ D4 _ _ _ mn _"), "  sb _ _ D4 _*3 mn _\n");
}

#[test]
fn groups_are_set_apart() {
    assert_eq!(
        cantus("(br D4\\E){sb F}[mn G]<sm A|mn A \"Anon.\">"),
        "  ( br D4 \\ E ) { sb F } [ mn G ] < sm A | mn A \"Anon.\" >\n"
    );
}

#[test]
fn comments_keep_their_place() {
    assert_eq!(
        canonical("; top\ntitle  A\nvoice C clef C1 ; who\nsb D4 ; first\n; alone\nE /; end\nF"),
        "; top\ntitle   A\n\nvoice C  clef C1  ; who\n  sb D4  ; first\n    ; alone\n    E /  ; end\n  F4\n"
    );
}

const CHAPTER: &str = "; top\ntitle  A\n\n; about one\nexample 1\nvoice C clef C1\nsb D4\n\n\n\
                       example 2 ; the second\nsource  B\nvoice C clef C1\nmn E4 ; end\n; about three\n\
                       example 3\nvoice C clef C1\nmn E4 mn E";

#[test]
fn examples_are_kept() {
    let tidied = canonical(CHAPTER);
    assert_eq!(
        tidied,
        "; top\ntitle   A\n\n; about one\nexample 1\nvoice C  clef C1\n  sb D4\n\n\
         example 2  ; the second\nsource  B\n\nvoice C  clef C1\n  mn E4  ; end\n\n\
         ; about three\nexample 3\nvoice C  clef C1\n  mn E4 E\n"
    );
    assert_eq!(canonical(&tidied), tidied);
}

#[test]
fn one_example_alone_is_tidied() {
    let one = |name| tidy_example(CHAPTER, name, Spelling::default()).unwrap();
    let second = one("2").unwrap();
    assert_eq!(
        second,
        CHAPTER.replace(
            "example 2 ; the second\nsource  B\nvoice C clef C1\nmn E4 ; end\n",
            "example 2  ; the second\nsource  B\n\nvoice C  clef C1\n  mn E4  ; end\n\n"
        )
    );
    let third = one("3").unwrap();
    assert!(
        third.ends_with("mn E4 ; end\n; about three\nexample 3\nvoice C  clef C1\n  mn E4 E\n")
    );
    let in_turn = ["1", "2", "3"].into_iter().fold(CHAPTER.to_owned(), |text, name| {
        tidy_example(&text, name, Spelling::default()).unwrap().unwrap()
    });
    assert_eq!(canonical(&in_turn), canonical(CHAPTER));
    assert_eq!(one("4"), None);
}

#[test]
fn the_head_is_set_off() {
    assert_eq!(
        canonical("title A; B\nsignature Eb,Bb\nsubject C 2\nvoice C clef C1\nsb D4 E"),
        "title   A; B\nsignature Bb,Eb\nsubject C 2-2\n\nvoice C  clef C1\n  sb D4 E\n"
    );
}

#[test]
fn marks_and_boxes_have_one_order_and_spelling() {
    let text = "mark C 1 \u{201c}a; b\u{201d} red bracket ; why\nmark C 1-2 arrow\n\
                facsimile C 01 \"f.png\" 1 1.50 2 3 4 -0\nfacsimile * 1 \"f 1.png\" 1 1 2 3 4 0\n\
                voice C clef C1\nsb D4 E";
    let expected = "mark    C 1-1 red \"a; b\"  ; why\nmark    C 1-2 arrow\n\
                    facsimile C 1 f.png 1 1.5 2 3 4 0\nfacsimile * 1 \"f 1.png\" 1 1 2 3 4 0\n\n\
                    voice C  clef C1\n  sb D4 E\n";
    assert_eq!(canonical(text), expected);
    assert_eq!(canonical(expected), expected);
}

#[test]
fn hands_and_breaks_stay() {
    let text = "hand   left C 2 ; why\npage 007\nbreak 12\nvoice C clef C1\nsb D4 E";
    let expected =
        "hand    left C 2-2  ; why\npage    7\nbreak   12\n\nvoice C  clef C1\n  sb D4 E\n";
    assert_eq!(canonical(text), expected);
    assert_eq!(canonical(expected), expected);
}

#[test]
fn what_the_head_says_is_not_said_again() {
    assert_eq!(
        canonical("sign C|\nvoice C clef C1 sign C| signature Bb\nsb D4"),
        "sign    C|\n\nvoice C  clef C1 signature Bb\n  sb D4\n"
    );
}

#[test]
fn a_page_keyed_system_by_system_stays_so() {
    let text = "voice A  clef C1\n  sb D4 /\nvoice B  clef C4\n  sb D3 /\nmore A\n  sb E4\nmore B\n  sb C3\n";
    assert_eq!(canonical(text), text);
}

#[test]
fn a_blank_line_above_a_voice_stays_and_no_other() {
    let text = "sign C|\nvoice A clef C1\n sb D4 /\n\n E4 /  ; here\n\n\n; the second system\n\
                more A\n F4 lg D\n";
    let expected = "sign    C|\n\nvoice A  clef C1\n  sb D4 /\n  E4 /  ; here\n\n; the second system\n\
                    more A\n  sb F4 lg D\n";
    assert_eq!(canonical(text), expected);
    assert_eq!(canonical(expected), expected);
}

#[test]
fn positions_become_letters_if_asked() {
    let text = "voice T  clef C4 positions\n  sb 2 3 6# 11\n";
    assert_eq!(canonical(text), text);
    let spelling = Spelling { letters: true, ..Spelling::default() };
    assert_eq!(tidy(text, spelling).unwrap(), "voice T  clef C4\n  sb D3 E A# F4\n");
}

#[test]
fn under_a_perfect_value_a_completing_note_stays_as_it_was_typed() {
    // Here the dot adds because the note after it is typed as completing; `mn G` would let it divide.
    let completing = "sign    O\n\nvoice A  clef C1\n  sb A4. .G mn F\n";
    assert_eq!(canonical(completing), completing);
    // Here it is a dot of perfection; `.A` would make it add.
    let plain = "voice A  clef C1 sign C3\n  br G4. sb A br G\n";
    assert_eq!(canonical(plain), plain);
    let by_the_editor = "voice A  clef C1\n  perfect br br G4. sb A br G\n";
    assert_eq!(canonical(by_the_editor), by_the_editor);
    // The sign of another voice, which may follow this one in canon, is enough.
    let canon = "voice A  clef C1\n  br G4. sb A br G\nvoice B  canon A 5 below after 2 sign O\n";
    assert_eq!(canonical(canon), canon);
}

#[test]
fn a_canon_is_written_out_as_such() {
    let text = "voice A  clef C1\n  sb D4\nvoice B  canon A 5 below after 3/2\n";
    assert_eq!(canonical(text), text);
}

#[test]
fn fewest_digits() {
    let spelling = Spelling { digits: Digits::Needed, ..Spelling::default() };
    let text = "voice A clef C1\n  sb G4 A / B4 D5";
    assert_eq!(tidy(text, spelling).unwrap(), "voice A  clef C1\n  sb G A /\n  B D\n");
}

#[test]
fn a_long_line_is_broken_between_words() {
    let text = cantus(&format!("sb D4 {}", "E ".repeat(100)));
    assert!(text.lines().all(|line| line.len() <= 96));
    assert_eq!(text.lines().count(), 3);
    assert_eq!(text.split_whitespace().count(), 102);
}

#[test]
fn no_more_rests_are_counted_than_a_number_may_say() {
    assert_eq!(cantus("sb _*9999 _*4 D4"), "  sb _*9999 _*4 D4\n");
}

#[test]
fn quotes_within_quotes_are_kept() {
    let music = "  sb D4 \"the ”first” part of ” ”\" E\n";
    assert_eq!(cantus(music), music);
}

#[test]
fn a_text_with_errors_is_left_alone() {
    assert!(tidy("voice C clef C1\n sb D4 ]", Spelling::default()).is_err());
}

mod properties {
    use proptest::prelude::*;

    use super::*;
    use crate::{Item, NoteSign, NoteSigns, Voice};

    /// The items without their places: what a text means.
    fn meaning(text: &str) -> Vec<(Option<rudiments::Clef>, Vec<ItemKind>)> {
        let kinds = |voice: Voice| {
            voice.items.into_iter().map(|Item { kind, .. }| plain(kind)).collect::<Vec<_>>()
        };
        parse(text).piece.voices.into_iter().map(|voice| (voice.clef, kinds(voice))).collect()
    }

    /// Whether a note was typed as a completing one is spelling.
    fn plain(kind: ItemKind) -> ItemKind {
        match kind {
            ItemKind::Event(mut event) => {
                event.completing = false;
                ItemKind::Event(event)
            }
            kind => kind,
        }
    }

    /// A note with any of the signs that there are, and an editor's length.
    fn signed_note() -> impl Strategy<Value = String> {
        let signs = proptest::sample::subsequence(NoteSign::ALL, 0..=NoteSign::ALL.len());
        ("[DEFG]4", signs, "(=[1-9]/[1-9])?").prop_map(|(note, signs, length)| {
            format!("{note}{}{length}", signs.into_iter().collect::<NoteSigns>())
        })
    }

    fn word() -> impl Strategy<Value = String> {
        prop_oneof![
            4 => "(mx|lg|br|sb|mn|sm|fu)".prop_map(String::from),
            12 => "[A-Ga-g](#|b|n)?(\\[(#|b|n)\\])?[345]\\.?".prop_map(String::from),
            6 => "[CDEFGAB]".prop_map(String::from),
            2 => "\\.[CDEFGAB][4]".prop_map(String::from),
            2 => "_(\\*[1-4])?\\.?".prop_map(String::from),
            1 => signed_note(),
            1 => "[DE]4\\+[GA]4".prop_map(String::from),
            2 => "(/|//|\\|\\||::|~[DEFG]4|\"prima pars\"|; a comment\n|\n; alone\n)".prop_map(String::from),
            1 => "(clef C[1-4]|signature Bb|sign C3|ratio 3:2|perfect br)".prop_map(String::from),
            1 => "(\\( br D4 E4 \\)|\\{ sb D4 mn E4 \\}|\\[ fu D4 \\])".prop_map(String::from),
            1 => "(< sm D4\\. \\.E4 \\| mn D4\\. \\.E4 >|<\\? fu D4 \\| sb E4 >|< mn D4 \\| >)".prop_map(String::from),
        ]
    }

    proptest! {
        #[test]
        fn tidying_keeps_the_meaning_and_is_idempotent(
            first in proptest::collection::vec(word(), 1..40),
            second in proptest::collection::vec(word(), 0..20),
            third in proptest::collection::vec(word(), 0..20),
        ) {
            let text = format!(
                "title t ; not a comment\nvoice A clef C1\n sb {}\nvoice B clef F4\n mn {}\nmore A\n {}\n",
                first.join(" "), second.join(" "), third.join(" "),
            );
            // Undecided octaves and stray completing notes are not what is tested here.
            if let Ok(once) = tidy(&text, Spelling::default()) {
                prop_assert_eq!(meaning(&text), meaning(&once), "{}", once);
                let twice = tidy(&once, Spelling::default()).unwrap();
                prop_assert_eq!(&once, &twice);
                let comments = |text: &str| text.matches(';').count();
                prop_assert_eq!(comments(&text), comments(&once));
            }
        }
    }
}
