//! Clefs, signatures, accidentals, transpositions, chords.

use super::*;

/// The opening line of the voice and its music, after these attributes.
fn after(attributes: &str, measure: &str) -> String {
    let attributes = format!("<attributes><divisions>12</divisions>{attributes}</attributes>");
    let (text, _) = text_and_remarks(&score(&[&[&(attributes + &notes(measure))]]));
    text.replace("\n  ", " | ").trim_end().to_owned()
}

const G2: &str = "<clef><sign>G</sign><line>2</line></clef>";
const LOW: &str =
    "<clef><sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change></clef>";
const OCTAVE_DOWN: &str =
    "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>";

#[test]
fn clefs_as_they_are() {
    for (sign, line, clef) in [("C", "1", "C1"), ("F", "3", "F3"), ("G", "", "G2"), ("F", "", "F4")]
    {
        let line = if line.is_empty() { String::new() } else { format!("<line>{line}</line>") };
        let clef_element = format!("<clef><sign>{sign}</sign>{line}</clef>");
        assert_eq!(after(&clef_element, "C4 half"), format!("voice Voice1  clef {clef} | mn C4"));
    }
}

#[test]
fn clefs_that_fit() {
    for (pitch, clef) in [("G4", "C1"), ("F3", "C4"), ("B2", "F4"), ("G2", "F4"), ("F5", "G2")] {
        for element in [LOW, "<clef><sign>percussion</sign></clef>", ""] {
            let expected = format!("voice Voice1  clef {clef} | mn {pitch}");
            assert_eq!(after(element, &format!("{pitch} half")), expected);
        }
    }
}

#[test]
fn an_octave_is_not_transposed_twice() {
    assert_eq!(after(&format!("{LOW}{OCTAVE_DOWN}"), "D3 half"), "voice Voice1  clef F4 | mn D3");
    assert_eq!(after(LOW, "D3 half"), "voice Voice1  clef F4 | mn D3");
    assert_eq!(after(&format!("{G2}{OCTAVE_DOWN}"), "D4 half"), "voice Voice1  clef G2 | mn D3");
}

#[test]
fn another_clef_does_not_bring_the_transposition_back() {
    let first = format!("<attributes>{LOW}{OCTAVE_DOWN}</attributes>{}", notes("D3 half"));
    let bass = "<attributes><clef><sign>F</sign><line>4</line></clef></attributes>";
    let second = bass.to_owned() + &notes("D3 half");
    let divisions = "<attributes><divisions>12</divisions></attributes>";
    let (text, _) = text_and_remarks(&score(&[&[&(divisions.to_owned() + &first), &second]]));
    assert_eq!(text, "voice Voice1  clef F4\n  mn D3 D3\n");
}

#[test]
fn a_transposed_part_is_read_as_it_sounds() {
    let horn = "<key><fifths>1</fifths></key><clef><sign>G</sign><line>2</line></clef>\
        <transpose><diatonic>-4</diatonic><chromatic>-7</chromatic></transpose>";
    assert_eq!(after(horn, "C5 half, F#5 half, F5 half"), "voice Voice1  clef G2 | mn F4 B4 Bb4");
    let clarinet = "<key><fifths>0</fifths></key><transpose><chromatic>-2</chromatic></transpose>";
    assert_eq!(
        after(clarinet, "C5 half, B4 half"),
        "signature Bb,Eb\n\nvoice Voice1  clef G2 | mn B4 A4"
    );
}

#[test]
fn signatures() {
    let key = |fifths: i32| format!("<key><fifths>{fifths}</fifths></key>{G2}");
    assert_eq!(
        after(&key(-2), "Bb4 half, Eb5 half, E5 half"),
        "signature Bb,Eb\n\nvoice Voice1  clef G2 | mn B4 E5 En5"
    );
    let own = "<key><key-step>E</key-step><key-alter>-1</key-alter></key>";
    assert_eq!(
        after(&format!("{own}{G2}"), "Eb5 half, Bb4 half"),
        "signature Eb\n\nvoice Voice1  clef G2 | mn E5 Bb4"
    );
    assert_eq!(after(&key(9), "C5 half"), "voice Voice1  clef G2 | mn C5");
}

#[test]
fn signatures_and_clefs_change() {
    let change = "<attributes><key><fifths>-1</fifths></key><clef><sign>C</sign><line>1</line>\
        </clef></attributes>";
    let again = change.to_owned() + &notes("Bb4 half");
    assert_eq!(music(&["Bb4 half", &again, &again]), "mn Bb4 clef C1 signature Bb B4 B4");
}

#[test]
fn a_sign_of_time_is_kept() {
    let time =
        |symbol: &str| format!("{G2}<time{symbol}><beats>2</beats><beat-type>2</beat-type></time>");
    assert_eq!(
        after(&time(" symbol=\"cut\""), "C5 half"),
        "sign    C|\n\nvoice Voice1  clef G2 | mn C5"
    );
    assert_eq!(after(&time(""), "C5 half"), "voice Voice1  clef G2 | mn C5");
    let hidden = time(" symbol=\"cut\" print-object=\"no\"");
    assert_eq!(after(&hidden, "C5 half"), "voice Voice1  clef G2 | mn C5");
}

/// Common practice: the sharp of a modern bar holds to its end; a printed sign of a parts file
/// only for immediate repetitions.
#[test]
fn signs_stand_where_they_are_needed() {
    let printed = "<accidental>sharp</accidental>";
    let measure = format!("F#5 half {printed}, F#5 half, G5 half, F#5 half");
    assert_eq!(music(&[&measure, "F5 half"]), "mn F#5 F5 G5 F#5 Fn5");
}

#[test]
fn the_editors_accidentals() {
    let mark =
        |sign: &str| format!("<notations><accidental-mark>{sign}</accidental-mark></notations>");
    for (note, sign, written) in [
        ("F#5", mark("sharp"), "F[#]5"),
        ("Bb4", mark("flat"), "B[b]4"),
        ("B4", mark("natural"), "B[n]4"),
        ("F#5", "<accidental editorial=\"yes\">sharp</accidental>".into(), "F[#]5"),
        ("F#5", "<accidental bracket=\"yes\">sharp</accidental>".into(), "F[#]5"),
        ("F#5", "<accidental parentheses=\"yes\">sharp</accidental>".into(), "F#5"),
    ] {
        assert_eq!(music(&[&format!("{note} half {sign}")]), format!("mn {written}"));
    }
}

#[test]
fn an_editors_accidental_may_hold_in_its_measure() {
    let mark = "<notations><accidental-mark>sharp</accidental-mark></notations>";
    let measures = [format!("F#5 half {mark}, G5 half, F#5 half"), "F#5 half".to_owned()];
    assert_eq!(music(&[&measures[0], &measures[1]]), "mn F[#]5 G5 F[#]5 F#5");
}

#[test]
fn a_printed_accidental_holds_on_under_an_editors() {
    let mark = "<notations><accidental-mark>sharp</accidental-mark></notations>";
    let printed = "<accidental>sharp</accidental>";
    let measure = format!("F#5 half {printed}, G5 half, F#5 half {mark}, G5 half, F#5 half");
    assert_eq!(music(&[&measure]), "mn F#5 G5 F[#]5 G5 F#5");
}

/// The sign of one voice holds for another that comes later in the file.
#[test]
fn signs_hold_in_order_of_time() {
    let voice = |name: &str, text: &str| {
        notes(text).replace("</note>", &format!("<voice>{name}</voice></note>"))
            + "<backup><duration>72</duration></backup>"
    };
    let mark = "<notations><accidental-mark>sharp</accidental-mark></notations>";
    let measure = voice("1", &format!("G5 whole, F#5 half {mark}"))
        + &voice("2", "G5 half, F#5 half, G5 half")
        + &voice("3", "F#5 half <accidental>sharp</accidental>, G5 half, G5 half");
    let (text, _) = text_and_remarks(&of_parts(&[&[&measure]]));
    let music: Vec<&str> = text.lines().filter(|line| line.starts_with(' ')).collect();
    assert_eq!(music, ["  sb G5 mn F[#]5", "  mn G5 F#5 G5", "  mn F#5 G5 G5"]);
}

#[test]
fn a_sign_over_a_note_is_followed() {
    let mark = "<notations><accidental-mark>sharp</accidental-mark></notations>";
    let (found, remarks) = music_and_remarks(&[&format!("F5 half {mark}, F5 half")]);
    assert_eq!(found, "mn F[#]5 F5");
    assert_eq!(
        remarks,
        ["an accidental over a note is followed, though the file does not alter the note"]
    );
}

#[test]
fn what_no_sign_makes_is_written_on_another_step() {
    let (found, remarks) = music_and_remarks(&["E#5 half, F##5 half, Cb5 half"]);
    assert_eq!(found, "mn F5 G5 B4");
    assert_eq!(
        remarks,
        ["a note whose accidental a parts file does not have is written on another step that \
          sounds the same"]
    );
}

#[test]
fn chords_are_one_event() {
    let chord = "D4 half, A4 half <chord/>, A4 half <chord/>, F#5 half <chord/>, E4 half";
    assert_eq!(music(&[chord]), "mn D4+A4+F#5 E4");
    let stop = "<tie type=\"stop\"/>";
    let tied = format!("D4 half, A4 half <chord/>, D4 half {stop}, A4 half <chord/>{stop}");
    assert_eq!(music(&[&tied]), "sb D4+A4");
    let (found, remarks) = music_and_remarks(&[&format!(
        "D4 half, A4 half <chord/>, D4 half {stop}, F4 half <chord/>"
    )]);
    assert_eq!(found, "mn D4+A4 D4+F4");
    assert_eq!(remarks.len(), 1);
}

/// What a note with `<chord/>` belongs to is a rest, or not there.
#[test]
fn a_chord_may_lack_its_first_note() {
    assert_eq!(music(&["C5 whole <chord/>, D5 half"]), "sb C5 mn D5");
    assert_eq!(music(&["_ half, C5 whole <chord/>"]), "sb C5");
    let grace = "<note><grace/><pitch><step>C</step><octave>5</octave></pitch></note>";
    let (found, _) = music_and_remarks(&[&(grace.to_owned() + &notes("C5 half <chord/>"))]);
    assert_eq!(found, "mn C5");
}

#[test]
fn notes_of_a_chord_are_made_alike() {
    let (found, remarks) = music_and_remarks(&["D4 half, A4 quarter <chord/>, E4 half"]);
    assert_eq!(found, "mn D4+A4 E4");
    assert_eq!(remarks, ["notes of a chord that differ in length are made alike"]);
}
