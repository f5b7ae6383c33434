use notation::{Event, Group, Item, ItemKind, Standing, parse};
use proptest::prelude::*;

use super::*;
use crate::collate::{Basis, Side, collate};
use crate::{BarLength, align, reckon};

/// The left text with what differs as variants, and how many differences are not in it.
fn merged(left: &str, right: &str) -> Merged {
    let (one, other) = (parse(left), parse(right));
    let scored =
        |parsed: &Parsed| align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve).score;
    let (here, there) = (scored(&one), scored(&other));
    let here = Side { piece: &one.piece, score: &here };
    let there = Side { piece: &other.piece, score: &there };
    let collation = collate(here, there, Basis::Printed);
    merge(left, &one, &collation)
}

fn voice(music: &str) -> String {
    format!("voice A clef C4\n  {music}\n")
}

fn case(left: &str, right: &str, expected: &str) {
    let merged = merged(&voice(left), &voice(right));
    assert_eq!(merged.text, voice(expected));
    assert_eq!(merged.unwritten, 0);
}

#[test]
fn a_changed_note() {
    case("mn D3 E F  G lg A", "mn D3 E G G lg A", "mn D3 E <? F | G3 >  G lg A");
    case("mn D3 sm E F mn G", "mn D3 sm E fu F mn G", "mn D3 sm E <? F | fu F3 sm > mn G");
    case("mn D3 E. .F G", "mn D3 E. .G G", "mn D3 E. <? .F | sm G3 mn > G");
}

#[test]
fn what_is_left_out_or_added() {
    case("mn D3 E F G lg A", "mn D3 F G lg A", "mn D3 <? E | > F G lg A");
    case("mn D3 sm E mn F G lg A", "mn D3 F G lg A", "mn D3 sm <? E | > mn F G lg A");
    case("mn D3 F G lg A", "mn D3 sm E mn F G lg A", "mn D3 <? | sm E3 mn > F G lg A");
    case("mn D3 F G", "mn C4 D3 F G", "mn <? | C4 > D3 F G");
    case("mn D3 F G", "mn D3 F G lg A", "mn D3 F G <? | lg A3 mn >");
}

#[test]
fn rests_are_counted_apart() {
    case("mn D3 _*5 E", "mn D3 _ _ F _ _ E", "mn D3 _*2 <? _ | F3 > _*2 E");
    case("mn D3 _*5 E", "mn D3 _*4 E", "mn D3 _*4 <? _ | > E");
    case("mn D3 _*2. E", "mn D3 _. sm _. mn E", "mn D3 _. <? _. | sm _. mn > E");
    case("mn D3 _*3 E", "mn D3 _ G3 _ _ E", "mn D3 _ <? | G3 > _*2 E");
}

#[test]
fn a_line_end_parts_a_variant() {
    case(
        "mn D3 E ~F / F G lg A",
        "mn D3 G3 A B lg A",
        "mn D3 <? E | G3 > ~F / <? F G | A3 B3 > lg A",
    );
}

#[test]
fn groups_nest() {
    case("sb D3 ( E F ) lg G", "sb D3 ( E G ) lg G", "sb D3 ( E <? F | G3 > ) lg G");
    case("sb D3 ( E F ) lg G", "sb D3 E F lg G", "sb D3 <? ( E F ) | sb E3 F3 > lg G");
    case("sb D3 E F lg G", "sb D3 ( E F ) lg G", "sb D3 <? E F | ( E3 F3 ) > lg G");
    case("sb D3 { E F } lg G", "sb D3 { E G } lg G", "sb D3 { E <? F | G3 > } lg G");
    case("sb D3 { E F } lg G", "sb D3 { E } F lg G", "sb D3 <? { E F } | { sb E3 } F3 > lg G");
    case(
        "br D3 ( E \\ D ) lg G",
        "br D3 ( E \\ C ) lg G",
        "br D3 <? ( E \\ D ) | ( br E3 \\ C3 ) > lg G",
    );
    case("sb D3 ( E F G ) A", "sb D3 ( E F ) G A", "sb D3 <? ( E F G ) | ( sb E3 F3 ) G3 > A");
}

#[test]
fn within_an_emendation() {
    case(
        "mn D3 < sm E | mn E > mn F lg G",
        "mn D3 sm F mn F lg G",
        "mn D3 < sm <? E | F3 > | mn E > mn F lg G",
    );
}

#[test]
fn marks_and_positions() {
    case("sb D3 clef C3 E4 lg F", "sb D3 clef C2 E4 lg F", "sb D3 <? clef C3 | clef C2 > E4 lg F");
    let left = "voice A clef C4 positions\n  sb 2 3 lg 4\n";
    let right = "voice A clef C4\n  sb D3 G# lg F\n";
    assert_eq!(merged(left, right).text, "voice A clef C4 positions\n  sb 2 <? 3 | 5# > lg 4\n");
}

#[test]
fn in_blocks_with_comments_and_without_blanks() {
    let left = "voice A clef C4\n  sb D3 E;torn\nvoice B clef C4\n  br G3{lg G}\nmore A\n  F G\n";
    let right = "voice A clef C4\n  sb D3 A B A\nvoice B clef C4\n  br G3 { lg A }\n";
    let merged = merged(left, right);
    let expected = "voice A clef C4\n  sb D3 <? E | A3 > ;torn\nvoice B clef C4\n  br G3{lg <? G | A3 > }\n\
                    more A\n  <? F G | B3 A3 >\n";
    assert_eq!((merged.text.as_str(), merged.unwritten), (expected, 0));
}

/// What could not be read stays outside of variants, as on their other side it would be lost.
#[test]
fn what_was_not_read_parts_a_variant() {
    case("mn D3 E | F G", "mn D3 F4 A4 G3", "mn D3 <? E | F4 > | <? F | A4 > G");
    case("mn D3 E xyz F G", "mn D3 F4 A4 G3", "mn D3 <? E | F4 > xyz <? F | A4 > G");
    case("D3 E", "mn F3 D3 E", "<? | mn F3 > D3 E");
    case("mn D3 E \"F\n G A", "mn D3 C5 C5 C5", "mn D3 <? E | C5 > \"F\n <? G A | C5 C5 >");
}

/// Whatever would have to hold it is left out.
#[test]
fn what_was_not_read_is_in_no_variant() {
    for left in ["mn D3 ( E ( F ) G ) A", "mn D3 { E F ] G } A"] {
        let left = voice(left);
        let merged = merged(&left, &voice("mn D3 C5 C5 C5 C5"));
        assert!(merged.unwritten > 0);
        assert_eq!(merged.text, left);
    }
}

#[test]
fn what_cannot_be_typed_is_counted() {
    let (left, right) = ("voice A clef C4\n mn D3 E\n", "voice A clef C4 positions\n mn 2 99\n");
    assert_eq!(merged(left, right), Merged { text: left.to_owned(), unwritten: 1 });
}

#[test]
fn what_cannot_be_written_is_counted() {
    let left = "voice A clef C4\n  sb D3 <? E | F > lg G\nvoice B clef C4\n  br G3\n";
    let right = "voice A clef C4\n  sb D3 G lg G\n";
    assert_eq!(merged(left, right), Merged { text: left.to_owned(), unwritten: 2 });
}

/// What is printed of a voice: value, dot, notes and marks, coloration, and whether a ligature binds it
/// to the next; clefs and the like as they are.
type Print = Vec<(String, bool, bool)>;

/// The printed things of the first voice, with the first or the second side of every variant.
fn side(text: &str, second: bool) -> Print {
    let parsed = parse(text);
    assert!(!parsed.has_errors(), "{text}\n{:#?}", parsed.diagnostics);
    let items = &parsed.piece.voices[0].items;
    let mut print: Print = Vec::new();
    let mut ligature: Option<u32> = None;
    let mut in_variant = false;
    for Item { kind, standing, .. } in items {
        match kind {
            ItemKind::Open(Group::Variant) => in_variant = true,
            ItemKind::Close(Group::Variant) => in_variant = false,
            _ => {}
        }
        let taken = if second && in_variant {
            *standing == Standing::Alternative
        } else {
            standing.is_printed()
        };
        if !taken {
            continue;
        }
        let entry = match kind {
            ItemKind::Event(event) => {
                let bound = event.ligature.is_some() && event.ligature == ligature;
                if let Some(last) = print.last_mut() {
                    last.2 = bound;
                }
                ligature = event.ligature;
                let Event { value, dot, sound, signs, length, .. } = event;
                let what = format!("{value} {dot:?} {sound:?} {} {length:?}", signs.printed());
                (what, event.colored, false)
            }
            ItemKind::Clef(_)
            | ItemKind::Sign(_)
            | ItemKind::Signature(_)
            | ItemKind::SectionEnd => {
                ligature = None;
                (format!("{kind:?}"), false, false)
            }
            _ => continue,
        };
        print.push(entry);
    }
    print
}

fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        8 => "[DEFG]3",
        3 => "(sb|mn|sm)",
        2 => "[DEFG](#|b|\\[#\\])3\\.?\\^?",
        2 => "_(\\*[2-5])?\\.?",
        1 => "(/|sign 3|clef C3|\\|\\||E3=5/2|sm D3\\. \\.E3)",
        1 => "\\( br [DE]3 [FG]3( E3)? \\)",
        1 => "\\{ [DE]3( _)?( mn [FG]3)? \\}",
        1 => "\\( br [DE]3 \\{ [FG]3 \\) E3 \\}",
        1 => "< (sm [DE]3|\\{ F3 \\}|\\( br F3 G3 \\)|) \\| mn [DEF]3 >",
        1 => "\\[ mn [DEF]3 \\]",
    ]
}

fn words() -> impl Strategy<Value = Vec<String>> {
    proptest::collection::vec(word(), 1..24)
}

/// A second transcription: some words left out, some others put in.
fn slipped() -> impl Strategy<Value = (Vec<String>, Vec<String>)> {
    let slips =
        proptest::collection::vec((0..24_usize, proptest::option::of(word()), any::<bool>()), 0..6);
    (words(), slips).prop_map(|(words, slips)| {
        let mut other = words.clone();
        for (place, word, keep) in slips {
            let place = place % (other.len() + 1);
            if !keep && place < other.len() {
                other.remove(place);
            }
            if let Some(word) = word {
                other.insert(place.min(other.len()), word);
            }
        }
        (words, other)
    })
}

fn either_side(left: &str, right: &str) {
    let merged = merged(left, right);
    assert_eq!(merged.unwritten, 0, "{left}\n{right}\n{}", merged.text);
    let without = |text: &str| side(text, false);
    assert_eq!(side(&merged.text, false), without(left), "left:\n{left}\n{right}\n{}", merged.text);
    assert_eq!(
        side(&merged.text, true),
        without(right),
        "right:\n{left}\n{right}\n{}",
        merged.text
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    /// The first side everywhere is the left file, the second the right.
    #[test]
    fn either_side_is_the_music_of_its_file((left, right) in slipped()) {
        let text = |words: Vec<String>| format!("voice A clef C4\n mn D3 {}\n", words.join(" "));
        either_side(&text(left), &text(right));
    }

    /// Also of files that have nothing to do with each other.
    #[test]
    fn of_any_two_files(left in words(), right in words()) {
        let text = |note: &str, words: Vec<String>| {
            format!("voice A clef C4\n mn {note} {}\n", words.join(" "))
        };
        either_side(&text("D3", left), &text("", right));
    }
}
