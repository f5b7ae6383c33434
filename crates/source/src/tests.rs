//! Rows of sorts typed here, as parts files.

use facsimile::{Change, Instead, Kind, Read, Row, Sort};
use proptest::prelude::*;
use rudiments::{Accidental, ClefShape, Sign, Value};

use super::*;

/// A sort as it is written here: `C1` a clef, `b6` a flat at place 6, `sb5` a note, `_mn` a rest, `.` a dot.
fn sort(word: &str) -> Sort {
    let place = |text: &str| text.parse().unwrap();
    let note = |value, black, at: &str| Sort::at(Kind::Note { value, black }, place(at));
    if let Some(line) = word.strip_prefix('C').filter(|line| !line.is_empty()) {
        return Sort::at(Kind::Clef(ClefShape::C), 2 * place(line));
    }
    if let Some(at) = word.strip_prefix('F') {
        return Sort::at(Kind::Clef(ClefShape::F), 2 * place(at));
    }
    if let Some(at) = word.strip_prefix('~') {
        return Sort::at(Kind::Direct, place(at));
    }
    if let Some(at) = word.strip_prefix('(') {
        return Sort::at(Kind::Bound(Value::from_letters(&at[..2]).unwrap()), place(&at[2..]));
    }
    if let Some(at) = word.strip_prefix('{') {
        return note(Value::from_letters(&at[..2]).unwrap(), true, &at[2..]);
    }
    let alone = match word {
        "." => Some(Kind::Dot),
        "C" => Some(Kind::Sign(Sign::IMPERFECT)),
        "||" => Some(Kind::DoubleBar),
        "|" => Some(Kind::BarLine),
        "::" => Some(Kind::Repeat),
        "^" => Some(Kind::Corona),
        "%" => Some(Kind::Signum),
        "\\" => Some(Kind::Oblique),
        "_3" => Some(Kind::Rest { value: Value::Longa, spaces: 3 }),
        _ => None,
    };
    if let Some(kind) = alone {
        return Sort::of(kind);
    }
    if let Some(value) = word.strip_prefix('_') {
        return Sort::of(Kind::Rest { value: Value::from_letters(value).unwrap(), spaces: 0 });
    }
    for (letter, accidental) in [("b", Accidental::Flat), ("#", Accidental::Sharp)] {
        if let Some(at) = word.strip_prefix(letter)
            && !at.starts_with('r')
        {
            return Sort::at(Kind::Accidental(accidental), place(at));
        }
    }
    note(Value::from_letters(&word[..2]).unwrap(), false, &word[2..])
}

fn row(words: &str) -> Row {
    let sorts = words.split_whitespace().zip(0..);
    let sorts = sorts.map(|(word, at)| Read::new(sort(word), 1.0, 16 * at..16 * at + 8)).collect();
    Row { sorts, changes: Vec::new() }
}

fn line(row: Row) -> StaffLine {
    StaffLine { row, place: None, ends_page: false }
}

fn part(name: &str, lines: &[&str]) -> Part {
    Part { name: name.to_owned(), lines: lines.iter().map(|words| line(row(words))).collect() }
}

/// The text of a voice on these lines, and what is said.
fn text(lines: &[&str]) -> (String, Vec<String>) {
    let reading = read(&[part("tenor", lines)]).unwrap();
    (reading.text, reading.remarks.iter().map(ToString::to_string).collect())
}

#[test]
fn lines_of_a_voice() {
    let (text, said) = text(&[
        "C4 b7 C _3 sb7 . mn8 #9 sb9 ~5",
        "C4 b7 mn5 _mn sb6 ^ || mn7 ~4",
        "C4 b7 lg4 % ||",
    ]);
    assert_eq!(
        text,
        "signature Bb\nsign    C\n\nvoice Tenor  clef C4\n  lg _3 sb B3. mn C4 sb D#4 ~G3 /\n  \
         mn G3 _ sb A3^ || mn B3 ~F3 /\n  lg F3% //\n"
    );
    assert_eq!(said, Vec::<String>::new());
}

/// Lines that begin otherwise than those around them are read as these, and what is left over is said.
#[test]
fn all_lines_say_how_they_begin() {
    let (text, said) = text(&["C4 b7 sb5", "C3 b7 sb5", "C4 sb5", "C4 b7 b8 sb5", "b7 sb5"]);
    assert_eq!(
        text,
        "signature Bb\n\nvoice Tenor  clef C4\n  sb G3 /\n  G3 /\n  G3 /\n  G3 /\n  G3 //\n"
    );
    assert_eq!(said, ["Tenor, line 4: a flat on C4 where nothing of the kind stands is left out"]);
}

/// A new clef that several lines have is one; and so is a new signature.
#[test]
fn changes_that_stay_are_changes() {
    let (text, _) = text(&["C4 sb7", "C4 sb7", "F4 b4 sb7", "F4 b4 sb7", "F4 b4 sb7"]);
    assert_eq!(
        text,
        "\nvoice Tenor  clef C4\n  sb B3 /\n  B3 /\n  clef F4 signature Bb E3 /\n  E3 /\n  E3 //\n"
            .trim_start()
    );
}

/// The accidental of the first note is no part of the signature.
#[test]
fn the_first_note_has_its_accidental() {
    let (text, said) = text(&["C1 #5 sb5 mn6", "C1 sb5", "C1 sb6"]);
    assert!(text.contains("sb F#4 mn G4 /\n  sb F4 /"), "{text}");
    assert_eq!(said, Vec::<String>::new());
}

#[test]
fn ligatures_are_what_can_be_one() {
    let (text, _) = text(&["C4 (sb5 (sb6 (br4 . sb7 (br6 (br5 (lg4 (br7 \\ (br6 sb5"]);
    assert_eq!(
        text,
        "voice Tenor  clef C4\n  ( sb G3 A3 br F3. ) sb B3 ( br A3 G3 lg F3 br B3 \\ A3 ) sb G3 //\n"
    );
    let (text, _) = self::text(&["C4 (br5 sb6 (sb6 (sb6 (sb6"]);
    assert_eq!(text, "voice Tenor  clef C4\n  br G3? sb A3 A3? A3? A3? //\n");
}

/// Three black minims, of which two look like semiminims (common practice).
#[test]
fn black_notes_go_in_threes() {
    let (text, _) = text(&["C4 {sb5 sm6 sb7 sm5 sm6"]);
    assert_eq!(text, "voice Tenor  clef C4\n  { sb G3 mn A3 } sb B3 sm G3 A3 //\n");
}

/// What has no place in a voice is never lost without a word.
#[test]
fn what_is_left_out_is_said() {
    let mut tenor = part("tenor", &["C4 . ~6 sb5 . . b7 _mn | C2 #4 mn6 ~3 b5", "C4 ^ sb5 ~6 ||"]);
    tenor.lines[0].row.changes.push(Change { place: 9, instead: Instead::Nothing, odds: -0.5 });
    let Reading { text, remarks } = read(&[tenor]).unwrap();
    let said: Vec<String> = remarks.iter().map(ToString::to_string).collect();
    assert_eq!(text, "voice Tenor  clef C4\n  sb G3. mn _ A#3? ~E3 /\n  sb G3^ //\n");
    assert_eq!(
        said.iter().map(|said| said.strip_prefix("Tenor, line ").unwrap()).collect::<Vec<_>>(),
        [
            "1: no. 3, mn A3, is doubtful (1.00)",
            "1: a dot with no note before it is left out",
            "1: a direct on A3 amid the notes is left out",
            "1: a dot after another is left out",
            "1: a flat on B3 before a rest is left out",
            "1: clef C2 amid the notes is left out",
            "1: a sharp on F3 is read as that of the note after it, A3",
            "1: a flat on G3 with no note after it is left out",
            "2: a direct on A3 at the end of the voice is left out",
            "1: a bar line is left out",
        ]
    );
}

#[test]
fn what_cannot_be_read_is_refused() {
    let error = |parts: &[Part]| read(parts).unwrap_err();
    assert_eq!(error(&[part("tenor", &["C4", ""])]), Unread::NoMusic("Tenor".to_owned()));
    assert_eq!(error(&[part("tenor", &["sb5 sb6"])]), Unread::NoClef("Tenor".to_owned()));
    let many: Vec<Part> = (0..65).map(|_| part("tenor", &["C4 sb5"])).collect();
    assert_eq!(error(&many), Unread::TooManyVoices(65));
    let mut unsure = part("tenor", &["C4 sb5 sb6 sb7 sb8 sb9"]);
    for place in [2, 3] {
        unsure.lines[0].row.changes.push(Change { place, instead: Instead::Nothing, odds: 0.0 });
    }
    assert_eq!(error(&[unsure]), Unread::Doubtful("Tenor".to_owned(), 2, 5));
}

/// A reading that is nearly as likely, and under which the voices agree.
fn duo() -> [Part; 2] {
    let mut cantus = part("cantus", &["C1 sb7 mn6 sb5 sb6 sb7 sb9 lg8"]);
    let semibreve = Sort::at(Kind::Note { value: Value::Semibreve, black: false }, 6);
    let row = &mut cantus.lines[0].row;
    row.changes.push(Change { place: 2, instead: Instead::Other(semibreve), odds: -1.0 });
    row.sorts[2].confidence = 0.73;
    [cantus, part("tenor", &["C4 sb2 sb3 sb6 sb5 sb4 sb6 lg5"])]
}

#[test]
fn doubts_are_marked_and_told() {
    let reading = read(&duo()).unwrap();
    assert!(reading.text.contains("sb A4 mn G4? sb F4"), "{}", reading.text);
    assert_eq!(
        reading.remarks[0].to_string(),
        "Cantus, line 1: no. 2, mn G4, is doubtful (0.73), perhaps sb G4"
    );
}

#[test]
fn the_voices_decide() {
    let reading = read_together(&duo()).unwrap();
    assert!(reading.text.contains("sb A4 G4"), "{}", reading.text);
}

fn any_sort() -> impl Strategy<Value = Sort> {
    (0..Sort::COUNT).prop_map(|number| Sort::numbered(number).unwrap())
}

prop_compose! {
    fn any_row()(sorts in prop::collection::vec((any_sort(), 0.0..1.0_f32), 0..30))(
        changes in prop::collection::vec((0..=sorts.len(), 0..3, any_sort(), -8.0..0.0_f32), 0..12),
        sorts in Just(sorts),
    ) -> Row {
        let count = sorts.len();
        let sorts = sorts.into_iter().map(|(sort, confidence)| Read::new(sort, confidence, 0..4));
        let change = |(place, kind, sort, odds): (usize, i32, Sort, f32)| {
            let instead = match kind {
                0 => Instead::Other(sort),
                1 => Instead::Nothing,
                _ => Instead::Before(sort),
            };
            let is_before = matches!(instead, Instead::Before(_));
            let place = if is_before { place } else { place.min(count.saturating_sub(1)) };
            (count > 0 || is_before).then_some(Change { place, instead, odds })
        };
        Row { sorts: sorts.collect(), changes: changes.into_iter().filter_map(change).collect() }
    }
}

proptest! {
    /// Whatever was read, it becomes a parts file that reads back without errors in its grammar, with every
    /// note and rest of the rows in it.
    #[test]
    fn whatever_is_read_is_written(voices in prop::collection::vec(prop::collection::vec(any_row(), 1..4), 1..4)) {
        let parts: Vec<Part> = voices
            .into_iter()
            .map(|rows| Part { name: "tenor".to_owned(), lines: rows.into_iter().map(line).collect() })
            .collect();
        let mut sure = parts.clone();
        for line in sure.iter_mut().flat_map(|part| &mut part.lines) {
            line.row.changes.clear();
        }
        if let Ok(reading) = read(&sure) {
            let piece = notation::parse(&reading.text).piece;
            for (voice, part) in piece.voices.iter().zip(&sure) {
                let events = voice.items.iter().filter(|item| item.event().is_some()).count();
                let of_rows = part.lines.iter().flat_map(|line| &line.row.sorts);
                let expected = of_rows.filter(|read| beginnings::is_event(read.sort.kind)).count();
                // What stands before the sign is left out, and said.
                let said = reading.remarks.iter().filter(|remark| remark.file == voice.name);
                let left_out = said.filter(|remark| remark.what.ends_with("is left out"));
                let left_out = left_out.map(|remark| remark.times as usize).sum::<usize>();
                prop_assert!(events <= expected && expected <= events + left_out, "{}", reading.text);
            }
        }
        // No voice is lost where all are weighed together.
        if let Ok(together) = read_together(&parts) {
            prop_assert_eq!(notation::parse(&together.text).piece.voices.len(), parts.len());
        }
    }
}

/// How many lines each of two voices has, and whether that is sure.
fn told(lines: &[&str]) -> (Vec<usize>, bool) {
    let found = told_apart(part("", lines).lines, 2).unwrap();
    (found.voices.iter().map(Vec::len).collect(), found.sure)
}

/// As long as one another, with nothing to say whether the second voice begins with the third or the fourth.
const ALIKE: [&str; 5] = ["C3 sb5 sb6 sb5 sb6"; 5];

#[test]
fn voices_are_as_long_as_one_another() {
    assert_eq!(told(&ALIKE[..4]).0, [2, 2]);
    assert!(!told(&ALIKE).1);
    assert_eq!(told(&["C3 br5 br5 br5 br5", "C3 sb5 sb5 sb5 sb5", "C3 sb5 sb5 sb5 sb5"]).0, [1, 2]);
    assert_eq!(told(&["C3 _lg _3", "C3 sb5 . sb5 . mn5 mn5", "C3 br5 . br5 ."]).0, [1, 2]);
}

#[test]
fn voices_that_take_turns() {
    let lines = |clefs: &str| -> Vec<StaffLine> {
        clefs.split(' ').map(|clef| line(row(&format!("{clef} sb5 sb6 sb5 sb6")))).collect()
    };
    let turns = |clefs: &str, voices: usize| told_apart(lines(clefs), voices).unwrap().in_turn;
    assert!(turns("C1 C4 C1 C4", 2) && turns("C1 C4 F4 C1 C4 F4", 3));
    // Two of three voices have the same clef; a clef is misread.
    assert!(turns("C1 C4 C4 C1 C4 C4", 3) && turns("C1 C4 C1 C3 C1 C4 C1 C4 C1 C4", 2));
    // One after another; one system; a line too many; the same clef.
    assert!(!turns("C1 C1 C4 C4", 2) && !turns("C1 C1 C1 C4 C4 C4", 2));
    assert!(!turns("C1 C4", 2) && !turns("C1 C4 C1 C4 C1", 2) && !turns("C4 C4 C4 C4", 2));
    assert_eq!(seeming_voices(&lines("C1 C4 C1 C4 C1 C4")), 2);
    let parted = in_turn(lines("C1 C4 C1 C4"), 2).unwrap();
    let ends = |voice: &Vec<StaffLine>| voice.iter().map(|line| line.ends_page).collect::<Vec<_>>();
    assert_eq!(parted.iter().map(ends).collect::<Vec<_>>(), [[false, true], [false, true]]);
    assert!(in_turn(lines("C1 C4 C1"), 2).is_none() && in_turn(Vec::new(), 2).is_none());
}

#[test]
fn what_tells_voices_apart() {
    let with = |changed: &[(usize, &'static str)]| {
        let mut lines = ALIKE;
        for (place, line) in changed {
            lines[*place] = line;
        }
        told(&lines)
    };
    for second in [2, 3] {
        let counts = vec![second, 5 - second];
        assert_eq!(with(&[(second, "C3 C sb5 sb6 sb5 sb6")]), (counts.clone(), true), "a sign");
        let before = |line| with(&[(second - 1, line)]);
        assert_eq!(before("C3 sb5 sb6 sb5 sb6 ||"), (counts.clone(), true), "a double bar");
        assert_eq!(before("C3 sb5 sb6 sb5 sb6 ~7").0, counts, "a direct that does not fit");
        let other = |place| (place, "C1 sb5 sb6 sb5 sb6");
        let others: Vec<(usize, &str)> = (second..5).map(other).collect();
        assert_eq!(with(&others), (counts.clone(), true), "another clef");
    }
    assert_eq!(with(&[(1, "C3 sb5 sb6 sb5 sb6 ~5")]).0, [3, 2], "a direct that fits");
    let over_rests = [(1, "C3 sb5 sb6 sb5 sb6 ~5"), (2, "C3 _sb sb5 sb6 sb5")];
    assert_eq!(with(&over_rests).0, [3, 2], "a direct announces the note after the rest");
    let clef_within = [(0, "C1 sb5 sb6 sb5 sb6"), (1, "C1 sb5 sb6 C3 sb5 sb6 ~5")];
    assert_eq!(with(&clef_within).0, [3, 2], "the clef of the end of a line goes on");
}

#[test]
fn a_staff_after_an_initial_begins_further_right() {
    for second in [2, 3] {
        let mut lines = part("", &ALIKE).lines;
        for (line, place) in lines.iter_mut().zip(0..) {
            line.place = Some(Facsimile {
                voice: None,
                line: 1,
                file: "page.png".to_owned(),
                page: 1,
                x: if place == second { 150.0 } else { 100.0 / 3.0 },
                y: 100.0 * f64::from(place),
                width: 800.0,
                height: 90.0,
                angle: 0.0,
                span: Span::default(),
            });
        }
        let found = told_apart(lines, 2).unwrap();
        assert_eq!(found.voices[0].len(), second as usize);
        // Whatever their numbers are, the boxes can be read again.
        let [above, below] = <[_; 2]>::try_from(found.voices).unwrap();
        let named = |name: &str, lines| Part { name: name.to_owned(), lines };
        let text = read(&[named("a", above), named("b", below)]).unwrap().text;
        let parsed = notation::parse(&text);
        assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
        assert_eq!(parsed.piece.head.facsimiles.len(), 5);
    }
}

#[test]
fn what_seems_to_be_several_voices() {
    let seeming = |lines: &[&str]| seeming_voices(&part("", lines).lines);
    let first = "C1 C sb5 sb6 sb5 ||";
    assert_eq!(seeming(&[first, "C4 C sb5 sb6 sb5 ||"]), 2);
    assert_eq!(seeming(&[first, "C4 C sb5 sb6 sb5", "C4 sb5 ||", "F4 C sb5 sb6 sb5"]), 3);
    assert_eq!(seeming(&[first, "C1 C sb5 sb6 sb5 ||"]), 1, "a second part");
    assert_eq!(seeming(&[]), 1);
}

#[test]
fn voices_of_one_clef_keep_their_order() {
    let named = |name: &str, clef: &str| part(name, &[&format!("{clef} sb5")]);
    let parts = vec![
        named("a", "C4"),
        named("b", "C1"),
        named("c", "C4"),
        named("d", "sb5"),
        named("e", "C1"),
    ];
    let names: Vec<String> = from_the_top(parts).into_iter().map(|part| part.name).collect();
    assert_eq!(names, ["b", "e", "a", "c", "d"]);
}
