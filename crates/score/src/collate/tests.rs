use notation::{Parsed, parse};

use super::*;
use crate::{BarLength, align, reckon};

fn scored(text: &str) -> (Parsed, Score) {
    let parsed = parse(text);
    let score = align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve).score;
    (parsed, score)
}

fn told(left: &str, right: &str, basis: Basis) -> Vec<String> {
    let (one, other) = (scored(left), scored(right));
    let side = |(parsed, score): &'static (Parsed, Score)| Side { piece: &parsed.piece, score };
    let (one, other) = (Box::leak(Box::new(one)), Box::leak(Box::new(other)));
    let differences = collate(side(one), side(other), basis).differences;
    let index = |locus: Locus| locus.index.map_or("-".to_owned(), |index| index.to_string());
    differences
        .iter()
        .map(|one| {
            let (here, there) = (index(one.left), index(one.right));
            let kind = one.kind.name();
            format!("{} {here}:{there} {kind}: {} | {}", one.voice, one.left_text, one.right_text)
        })
        .collect()
}

fn voice(music: &str) -> String {
    format!("voice A clef C4\n  {music}\n")
}

/// One voice on both sides, compared as printed.
fn printed_as(left: &str, right: &str, expected: &[&str]) {
    assert_eq!(told(&voice(left), &voice(right), Basis::Printed), expected);
}

/// One voice on both sides, compared as it sounds.
fn sounds_as(left: &str, right: &str, expected: &[&str]) {
    assert_eq!(told(&voice(left), &voice(right), Basis::Sounding), expected);
}

#[test]
fn pitches_values_and_signs() {
    printed_as("mn D3 E F G lg A", "mn D3 E G3 G lg A", &["A 3:3 pitch: F3 | G3"]);
    printed_as("mn D3 E F G lg A", "mn D3 E sm F mn G lg A", &["A 3:3 value: mn | sm"]);
    printed_as("mn D3 E F G lg A", "mn D3 E F. G lg A", &["A 3:3 value: mn | mn."]);
    printed_as("mn D3 E F G lg A", "mn D3 E F# G lg A", &["A 3:3 accidental: F3 | F#3"]);
    printed_as("mn D3 E F G lg A", "mn D3 E F[#] G lg A", &["A 3:3 accidental: F3 | F[#]3"]);
    printed_as("mn D3 E F G lg A", "mn D3 E sb G3 mn G lg A", &["A 3:3 value: mn F3 | sb G3"]);
    printed_as("mn D3 E F G lg A", "mn D3 E _ G lg A", &["A 3:3 pitch: F3 | _"]);
}

#[test]
fn what_is_left_out_or_added_displaces_nothing() {
    printed_as("mn D3 E F G A B lg A", "mn D3 E G A B lg A", &["A 3:3 omission: mn F3 | "]);
    printed_as("mn D3 E G A B lg A", "mn D3 E F G A B lg A", &["A 3:3 addition:  | mn F3"]);
    printed_as("mn D3 E F sm G A lg A", "mn D3 lg A", &["A 2:2 omission: mn E3 F3 sm G3 A3 | "]);
    printed_as("mn D3 E lg A", "mn D3 E lg A D3", &["A -:4 addition:  | lg D3"]);
    printed_as("mn D3 D D E lg A", "mn D3 D E lg A", &["A 3:3 omission: mn D3 | "]);
}

/// Values that differ over a long stretch, as where a value word was left out, are one difference of
/// value, not a stretch that is missing and another that is added.
#[test]
fn a_long_stretch_of_other_values_is_one() {
    let notes = "E3 F3 G3 A3 ".repeat(15);
    let music = |value: &str| format!("sb D3 {value} {notes} sb D3 E3 lg D3");
    let values = |value: &str| vec![value; 60].join(" ");
    let told = format!("A 2:2 value: {} | {}", values("mn"), values("sm"));
    printed_as(&music("mn"), &music("sm"), &[&told]);
}

#[test]
fn a_stretch_that_differs_alike_is_one() {
    printed_as(
        "mn D3 E. .F G A lg A",
        "mn D3 sm E. .F mn G A lg A",
        &["A 2:2 value: mn. sm | sm. fu"],
    );
    printed_as(
        "mn D3 E F _ G F lg A",
        "mn D3 G3 A _ B3 A lg A",
        &["A 2:2 pitch: E3 F3 _ G3 F3 | G3 A3 _ B3 A3"],
    );
    printed_as(
        "mn D3 E F || _ G F lg A",
        "mn D3 G3 A || _ B3 A lg A",
        &["A 2:2 pitch: E3 F3 || _ G3 F3 | G3 A3 || _ B3 A3"],
    );
    printed_as(
        "mn D3 E F _ G F lg A",
        "mn D3 G3 A _ A3 F lg A",
        &["A 2:2 pitch: E3 F3 | G3 A3", "A 5:5 pitch: G3 | A3"],
    );
}

#[test]
fn spelling_is_no_difference() {
    printed_as("mn D3 _ _ G3. .A ~B / B C lg D", "mn D _*2 G. sm A mn B C4 lg D4 ; a comment", &[]);
    let places = "voice A clef C4 positions\n  mn 2 _ 5 lg 6\n";
    assert_eq!(told(&voice("mn D3 _ G lg A"), places, Basis::Printed), [] as [&str; 0]);
}

#[test]
fn marks_ligatures_and_coloration() {
    printed_as("sb D3 E F lg G", "sb D3 E clef C4 F lg G", &["A 3:3 addition:  | clef C4"]);
    printed_as("sb D3 sign 3 E lg G", "sb D3 sign 3/2 E lg G", &["A 2:2 other: sign 3 | sign 3/2"]);
    printed_as("sb D3 E^ lg G", "sb D3 E lg G", &["A 2:2 other: sb E3^ | sb E3"]);
    printed_as("sb D3 { E } lg G", "sb D3 E lg G", &["A 2:2 other: sb { E3 } | sb E3"]);
    printed_as("sb D3 ( E F ) lg G", "sb D3 E F lg G", &["A 2:2 other: sb ( E3 F3 ) | sb E3 F3"]);
}

#[test]
fn what_is_printed_before_the_first_note() {
    let other = "voice A clef C3 sign C|\n  mn G3 lg A3\n";
    let same = "voice A clef C4\n  mn G3 lg A3\n";
    assert_eq!(
        told(same, other, Basis::Printed),
        ["A -:- other: clef C4 no sign | clef C3 sign C|"]
    );
}

#[test]
fn an_emendation_is_compared_as_printed() {
    printed_as("mn D3 < fu E | mn E > mn F lg G", "mn D3 fu E mn F lg G", &[]);
    printed_as("mn D3 < fu E | mn E > mn F lg G", "mn D3 E F lg G", &["A 2:2 value: fu | mn"]);
    printed_as("mn D3 [ E ] F lg G", "mn D3 F lg G", &[]);
}

/// The names of a score that came back may be guessed, and its voices stand in another order.
#[test]
fn names_that_the_notes_contradict_do_not_count() {
    let one = "mn C4 D E F G A F D G E C5 B4 G A F G E D C F A G B C5 A4 G lg C4";
    let other = "mn G3 A G F E D E F G C4 B3 A B G F E G F D E C D F E D G lg C";
    let piece = |first: &str, second: &str| {
        format!("voice A clef C3\n  {first}\nvoice B clef C3\n  {second}\n")
    };
    let misnamed = told(&piece(one, other), &piece(other, one), Basis::Sounding);
    assert_eq!(misnamed, [] as [&str; 0]);
}

#[test]
fn voices_are_matched_by_name_or_by_what_they_have() {
    let left = "voice A clef C1\n mn G4 A B C5 B A G A lg G\nvoice B clef C4\n mn A3 F A F G E F D lg D3\n";
    let right = left.replace("voice A", "voice Voice2").replace("voice B", "voice Voice1");
    assert_eq!(told(left, &right, Basis::Printed), [] as [&str; 0]);
    let (first, second) = right.split_at(right.find("voice Voice1").unwrap());
    assert_eq!(told(left, &format!("{second}{first}"), Basis::Printed), [] as [&str; 0]);
}

#[test]
fn a_voice_that_one_side_lacks() {
    let left = "voice A clef C1\n mn G4 lg G\nvoice B clef C4\n mn A3 lg F\n";
    let right = "voice A clef C1\n mn G4 lg G\n";
    assert_eq!(told(left, right, Basis::Printed), ["B -:- other: 2 notes and rests | "]);
    assert_eq!(told(right, left, Basis::Printed), ["B -:- other:  | 2 notes and rests"]);
}

#[test]
fn what_sounds() {
    sounds_as("mn D3 E F. .G lg A", "sb=1 D3 mn E { F=3/2 } sm G br A", &[]);
    sounds_as("mn D3 _ sb _ F lg A", "mn D3 _ _ _ sb F lg A", &[]);
    sounds_as("mn D3 F# F lg A", "mn D3 F F lg A", &["A 2:2 accidental: F#3 F#3 | F3 F3"]);
    sounds_as("mn D3 F F lg A", "mn D3 sb F mn F lg A", &["A 2:2 value: 1 | 2"]);
    sounds_as("mn D3 F G lg A", "mn D3 G lg A", &["A 2:2 omission: F3 1 | "]);
}
