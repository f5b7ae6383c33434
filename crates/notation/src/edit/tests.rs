use rudiments::{Accidental, Clef, Step, Tone, Value};

use super::*;
use crate::{ItemKind, parse};

/// The music of a voice under the clef C4 with a change at an event that is read, counted from 1.
fn changed(music: &str, number: usize, what: &Change, manner: Manner) -> String {
    let opening = "voice A clef C4\n  ";
    let text = format!("{opening}{music}\n");
    let parsed = parse(&text);
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    let items = parsed.piece.voices[0].items.iter().enumerate();
    let mut read = items.filter(|(_, item)| item.standing.is_read() && item.event().is_some());
    let at = ItemId { voice: 0, item: read.nth(number - 1).unwrap().0 };
    match change(&text, &parsed, at, what, manner) {
        Some(changed) => {
            apply(&text, &changed.edits).strip_prefix(opening).unwrap().trim_end().to_owned()
        }
        None => "refused".to_owned(),
    }
}

/// Retyped, emended, and as a variant.
fn case(music: &str, number: usize, what: &Change, expected: [&str; 3]) {
    let manners = [Manner::Retyped, Manner::Emended, Manner::Variant];
    assert_eq!(manners.map(|manner| changed(music, number, what, manner)), expected);
}

fn retyped(music: &str, number: usize, what: &Change) -> String {
    changed(music, number, what, Manner::Retyped)
}

fn tone(step: Step, octave: i8) -> Tone {
    Tone::new(step, octave)
}

fn value(value: Value) -> Change {
    Change::Value { value, dotted: false }
}

fn inserted(events: &[NewEvent]) -> Change {
    Change::Insert(events.to_vec())
}

#[test]
fn another_value_is_in_force_for_its_event_alone() {
    case(
        "sm D4 E / F",
        2,
        &value(Value::Minim),
        ["sm D4 mn E sm / F", "sm D4 < E | mn E > / F", "sm D4 <? E | mn E4 sm > / F"],
    );
    assert_eq!(retyped("sm D4 E mn F", 2, &value(Value::Breve)), "sm D4 br E mn F");
    assert_eq!(retyped("mn D4 [ sm E F ] G", 2, &value(Value::Breve)), "mn D4 [ br E sm F ] G");
    assert_eq!(retyped("mn D4 [ sm E ] G", 2, &value(Value::Breve)), "mn D4 [ br E ] G");
}

/// A value that comes back before a group holds for both of its sides, and after it.
#[test]
fn a_value_before_a_group_is_in_force_in_it() {
    let breves = |events| Change::Values { value: Value::Breve, events };
    let music = "lg D4 E < F | G > A";
    assert_eq!(retyped(music, 2, &breves(1)), "lg D4 br E lg < F | G > A");
    assert_eq!(retyped(music, 2, &breves(2)), "lg D4 br E lg < F | br G > A");
    assert_eq!(retyped(music, 2, &breves(3)), "lg D4 br E lg < F | br G > br A");
    assert_eq!(retyped("lg D4 E [ F ] G", 2, &breves(1)), "lg D4 br E lg [ F ] G");
}

#[test]
fn one_value_for_a_stretch() {
    let minims = Change::Values { value: Value::Minim, events: 3 };
    assert_eq!(retyped("sm D4 E F G A", 2, &minims), "sm D4 mn E F G sm A");
    assert_eq!(retyped("sb D4 E. .F br G A", 2, &minims), "sb D4 mn E. F mn G br A");
    assert_eq!(retyped("sm D4 E [ F ] G A", 2, &minims), "sm D4 mn E [ F ] G sm A");
    assert_eq!(
        changed("sm D4 E F", 1, &Change::Values { value: Value::Fusa, events: 2 }, Manner::Emended),
        "sm < D4 | fu D4 > < E | fu E > F"
    );
}

/// The second note says its value where that may count otherwise.
#[test]
fn two_values_at_once() {
    let pair = Change::Pair { first: Value::Semiminim, second: Value::Fusa };
    case(
        "mn D4. .E F",
        1,
        &pair,
        ["sm D4. .E mn F", "mn < D4. .E | sm D4. .E > F", "mn <? D4. .E | sm D4. .E4 mn > F"],
    );
    assert_eq!(retyped("mn D4", 1, &pair), "refused");
}

#[test]
fn letters_that_would_be_understood_otherwise_get_their_octaves() {
    let low = Change::Tone(tone(Step::F, 3));
    case(
        "mn B3 D E+G B3 D",
        2,
        &low,
        ["mn B3 F3 E4+G B3 D", "mn B3 < D | F3 > E+G B3 D", "mn B3 <? D | F3 > E+G B3 D"],
    );
    assert_eq!(retyped("mn B3 ~D / D ~E / E", 1, &low), "mn F3 ~D4 / D4 ~E / E");
    assert_eq!(retyped("mn B3 D", 1, &Change::Delete), "mn D4");
}

#[test]
fn a_run_of_tones_is_moved() {
    let up = Change::Steps { steps: 1, events: 4 };
    assert_eq!(retyped("mn D4 E _ F G A", 1, &up), "mn E4 F _ G4 G A");
    assert_eq!(
        changed("mn D4 _ E F", 1, &Change::Steps { steps: 1, events: 3 }, Manner::Emended),
        "mn < D4 | E4 > _ < E | F4 > F"
    );
    assert_eq!(retyped("mn D4", 1, &Change::Steps { steps: i32::MAX, events: 1 }), "refused");
    assert_eq!(retyped("mn D4", 1, &Change::Steps { steps: 60, events: 1 }), "refused");
}

#[test]
fn signs_of_the_source_and_of_the_editor() {
    let sharp = Some(Accidental::Sharp);
    case(
        "mn D4 f4.?^ G",
        2,
        &Change::Sign(sharp),
        ["mn D4 f#4.?^ G", "mn D4 < f4.?^ | f#4.?^ > G", "mn D4 <? f4.?^ | f#4.?^ > G"],
    );
    assert_eq!(retyped("mn D4 F#4 G", 2, &Change::Sign(None)), "mn D4 F4 G");
    assert_eq!(retyped("mn D4 Fb G", 2, &Change::EditorialSign(sharp)), "mn D4 Fb[#] G");
    assert_eq!(retyped("mn D4 Fb[#] G", 2, &Change::EditorialSign(None)), "mn D4 Fb G");
}

#[test]
fn events_are_inserted_before_one() {
    let two = inserted(&[
        NewEvent::note(Value::Semibreve, tone(Step::E, 4)).dotted(),
        NewEvent::rest(Value::Minim),
    ]);
    case(
        "mn D4 F",
        2,
        &two,
        ["mn D4 sb E. mn _ F", "mn D4 < | sb E4. mn _ > F", "mn D4 <? | sb E4. mn _ > F"],
    );
    let supplied = |music, number| changed(music, number, &two, Manner::Supplied);
    assert_eq!(supplied("mn D4 ( sb F G )", 2), "mn D4 [ sb E4. mn _ ] ( sb F G )");
    assert_eq!(supplied("mn D4 _*3", 3), "mn D4 _ [ sb E4. mn _ ] _*2");
    assert_eq!(supplied("mn D4 < F | G >", 2), "refused");
    assert_eq!(retyped("mn D4", 1, &inserted(&[])), "refused");
    assert_eq!(changed("mn D4", 1, &Change::Delete, Manner::Supplied), "refused");
}

#[test]
fn a_note_that_completed_another_says_its_value() {
    let rest = inserted(&[NewEvent::rest(Value::Minim)]);
    assert_eq!(retyped("mn D4. .E F", 2, &rest), "mn D4. _ sm E4 mn F");
    assert_eq!(retyped("mn D4. .E / F", 1, &Change::Delete), "mn sm E4 mn / F");
}

#[test]
fn one_is_too_many() {
    case(
        "mn D4 _*3. E",
        3,
        &Change::Delete,
        ["mn D4 _*2. E", "mn D4 _. < _. | > _. E", "mn D4 _. <? _. | > _. E"],
    );
    assert_eq!(retyped("mn D4 _*1 E", 2, &Change::Delete), "mn D4 E");
}

/// Two rests of one token have two values, and no place between them.
#[test]
fn a_pair_of_rests() {
    let pair = Change::Pair { first: Value::Semibreve, second: Value::Minim };
    case(
        "sm _*4 E4",
        2,
        &pair,
        [
            "sm _ sb _ mn _ sm _ E4",
            "sm _ < _*2 | sb _ mn _ > _ E4",
            "sm _ <? _*2 | sb _ mn _ sm > _ E4",
        ],
    );
}

#[test]
fn a_clef_holds_for_its_stretch() {
    let clef = |events| Change::Clef { clef: Clef::parse("C3").unwrap(), events };
    assert_eq!(retyped("mn A3 B ~D / D E", 2, &clef(2)), "mn A3 clef C3 D ~F / F clef C4 E");
    assert_eq!(retyped("mn A3 B D", 2, &clef(9)), "mn A3 clef C3 D F");
    assert_eq!(retyped("mn A3 clef F4 B2 clef C4 D", 2, &clef(1)), "mn A3 clef C3 A3 clef C4 D3");
    assert_eq!(retyped("mn A3 clef F4 B2", 1, &clef(2)), "refused");
    assert_eq!(changed("mn A3", 1, &clef(1), Manner::Emended), "refused");
    // Places on the staff stay.
    let text = "voice A clef C4 positions\n  mn 6 7 8\n";
    let made = change(text, &parse(text), ItemId { voice: 0, item: 1 }, &clef(1), Manner::Retyped);
    assert_eq!(
        apply(text, &made.unwrap().edits),
        "voice A clef C4 positions\n  mn 6 clef C3 7 clef C4 8\n"
    );
}

#[test]
fn what_changes_nothing_or_cannot_stand_is_refused() {
    assert_eq!(retyped("mn D4 E", 2, &value(Value::Minim)), "refused");
    assert_eq!(changed("mn D4 [ E ]", 2, &value(Value::Breve), Manner::Emended), "refused");
    let text = "voice A clef C4\n  mn D4 < E | F > / G\n";
    let parsed = parse(text);
    for item in 0..parsed.piece.voices[0].items.len() + 2 {
        let made =
            change(text, &parsed, ItemId { voice: 0, item }, &Change::Delete, Manner::Retyped);
        let kind = parsed.piece.voices[0].items.get(item);
        let is_read = kind
            .is_some_and(|item| item.standing.is_read() && matches!(item.kind, ItemKind::Event(_)));
        assert_eq!(made.is_some(), is_read, "{item}");
    }
}

/// The values of another voice between the lines of this one are not in force here.
#[test]
fn a_voice_that_goes_on_after_others() {
    let text =
        "voice A clef C4\n  mn D4 perfect br E\nvoice B clef C4\n  sb D4 fu\nmore A\n  F G\n";
    let parsed = parse(text);
    let at = ItemId { voice: 0, item: 2 };
    let made = change(text, &parsed, at, &value(Value::Breve), Manner::Retyped).unwrap();
    assert_eq!(apply(text, &made.edits), text.replace("E\n", "br E\n").replace("  F", "  mn F"));
}

/// In a text with errors, what was read in spite of them stays as it was typed.
#[test]
fn other_errors_stay_as_they_are() {
    let text = "voice A clef C4\n  MN D4 E D F\n";
    let parsed = parse(text);
    assert!(parsed.has_errors());
    let at = ItemId { voice: 0, item: 1 };
    let made = change(text, &parsed, at, &Change::Sign(Some(Accidental::Flat)), Manner::Retyped);
    assert_eq!(apply(text, &made.unwrap().edits), "voice A clef C4\n  MN D4 Eb D F\n");
}

/// What the head names by numbers goes with its notes.
#[test]
fn subjects_marks_and_hands_stay_at_their_notes() {
    let text = "subject A 2-3\nmark B 4 circle ; the last\nmark A 3-3 \"x\"\n\
                hand left A 3\nvoice A clef C4\n  mn D4 E F G\nvoice B canon A 5 above after 2\n";
    let parsed = parse(text);
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    let made = |item: usize, what: &Change, manner: Manner| {
        let at = ItemId { voice: 0, item };
        Some(apply(text, &change(text, &parsed, at, what, manner)?.edits))
    };
    let head = |subject: &str, first: &str, second: &str| {
        let last = second.split('-').next().unwrap_or_default();
        format!(
            "subject A {subject}\nmark B {first} circle ; the last\nmark A {second} \"x\"\n\
             hand left A {last}\nvoice"
        )
    };
    let rest = inserted(&[NewEvent::rest(Value::Minim)]);
    let begins = |text: Option<String>, head: &str| assert!(text.unwrap().starts_with(head));
    begins(made(1, &rest, Manner::Retyped), &head("3-4", "5", "4-4"));
    begins(made(2, &rest, Manner::Retyped), &head("2-4", "5", "4-4"));
    begins(made(1, &Change::Delete, Manner::Retyped), &head("2-2", "3", "2-2"));
    begins(made(1, &Change::Delete, Manner::Emended), &head("2-3", "4", "3-3"));
    begins(made(1, &rest, Manner::Supplied), &head("2-3", "4", "3-3"));
    assert_eq!(made(2, &Change::Delete, Manner::Retyped), None);
}

/// What another source has, beside what a voice has.
#[test]
fn variants_beside_items() {
    let text = "voice A clef C4\n  mn D4 sm E ( sb F G ) A _*3\n";
    let parsed = parse(text);
    let note = |value: Value, tone: Tone| ItemKind::Event(NewEvent::note(value, tone).event());
    let variant = |beside: Beside, other: &[ItemKind]| Variant { beside, other: other.to_vec() };
    let edits = variants(
        text,
        &parsed,
        0,
        &[
            variant(Beside::Around(1, 1), &[note(Value::Minim, tone(Step::F, 4))]),
            variant(Beside::Before(1), &[]),
            variant(Beside::Before(2), &[note(Value::Semiminim, tone(Step::D, 4))]),
            variant(Beside::After(5), &[note(Value::Semibreve, tone(Step::D, 4))]),
            variant(Beside::Around(8, 8), &[ItemKind::LineEnd]),
            variant(Beside::After(99), &[]),
            variant(Beside::Around(9, 8), &[]),
        ],
    );
    assert_eq!(
        apply(text, &edits),
        "voice A clef C4\n  mn D4 sm <? E | mn F4 sm > <? | sm D4 > ( sb F G ) <? | sb D4 > A _ \
         <? _ | / > _\n"
    );
    assert_eq!(variants(text, &parsed, 1, &[]), []);
}
