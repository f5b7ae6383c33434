//! What is refused, and files made in bad faith.

use super::*;

/// A score of one note, with what is said of it replaced.
fn with(old: &str, new: &str) -> String {
    let xml = of_parts(&[&["C5 half"]]);
    assert!(xml.contains(old), "{old}");
    xml.replacen(old, new, 1)
}

#[test]
fn another_format() {
    let other =
        |found: &str| Fault::OtherFormat { wanted: "a score in MusicXML", found: found.to_owned() };
    assert_eq!(fault("<mei/>"), other("mei"));
    assert_eq!(fault("<opus/>"), other("opus"));
    assert!(matches!(fault("title   A"), Fault::NotXml { .. }));
    assert!(matches!(fault(""), Fault::NotXml { .. }));
    assert!(matches!(fault("%PDF-1.7"), Fault::NotXml { .. }));
}

#[test]
fn no_music() {
    assert_eq!(fault("<score-partwise/>"), Fault::NoMusic);
    assert_eq!(fault("<score-timewise/>"), Fault::NoMusic);
    assert_eq!(fault("<score-partwise><part/></score-partwise>"), Fault::NoMusic);
    assert_eq!(fault(&of_parts(&[&["_ whole"]])), Fault::NoMusic);
}

#[test]
fn a_truncated_file() {
    let xml = of_parts(&[&["C5 half", "D5 half"], &["E4 whole"]]);
    for end in 0..xml.trim_end().len() {
        assert!(matches!(fault(&xml[..end]), Fault::NotXml { .. }), "{end}");
    }
}

#[test]
fn entities_and_files_are_not_opened() {
    let body = with("<part-name/>", "<part-name>&name;</part-name>");
    for declaration in [
        "<!DOCTYPE score-partwise [<!ENTITY name \"x\">]>",
        "<!DOCTYPE score-partwise [<!ENTITY name SYSTEM \"file:///etc/hosts\">]>",
        "<!DOCTYPE score-partwise SYSTEM \"a.dtd\" [<!ENTITY % all SYSTEM \"b.dtd\"> %all;]>",
    ] {
        assert_eq!(fault(&format!("{declaration}\n{body}")), Fault::OwnDefinitions);
    }
    let named = "<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
        \"file:///etc/hosts\">";
    assert!(matches!(fault(&format!("{named}{body}")), Fault::NotXml { .. }));
    assert_eq!(text(&format!("{named}{}", with("C", "C"))), "voice Voice1  clef G2\n  mn C5\n");
}

#[test]
fn numbers_that_are_none() {
    let bad = |element, value: &str| Fault::BadNumber { element, value: value.to_owned() };
    for value in ["0", "-1", "1e9", "x", "", "99999999999999999999"] {
        let divisions = format!("<divisions>{value}</divisions>");
        assert_eq!(fault(&with("<divisions>12</divisions>", &divisions)), bad("divisions", value));
    }
    for value in ["-24", "NaN", "1000000000", "24.00001"] {
        let duration = format!("<duration>{value}</duration>");
        assert_eq!(fault(&with("<duration>24</duration>", &duration)), bad("duration", value));
    }
    let bare = "<duration>24</duration><type>half</type>";
    assert_eq!(fault(&with(bare, "")), bad("duration", ""));
    for (many, time, element, value) in [
        ("0", "2", "actual-notes", "0"),
        ("3", "0", "normal-notes", "0"),
        ("3", "", "normal-notes", ""),
    ] {
        let tuplet = format!(
            "<type>half</type><time-modification><actual-notes>{many}</actual-notes>\
             <normal-notes>{time}</normal-notes></time-modification>"
        );
        assert_eq!(fault(&with("<type>half</type>", &tuplet)), bad(element, value));
    }
}

#[test]
fn pitches_that_are_none() {
    for (old, new) in [
        ("<octave>5</octave>", "<octave>1000000000000000000</octave>"),
        ("<octave>5</octave>", "<octave>-1</octave>"),
        ("<octave>5</octave>", "<octave>10</octave>"),
        ("<octave>5</octave>", ""),
        ("<step>C</step>", "<step>H</step>"),
        ("<step>C</step>", ""),
        ("<step>C</step>", "<step>C</step><alter>99</alter>"),
        ("<step>C</step>", "<step>C</step><alter>x</alter>"),
    ] {
        assert_eq!(fault(&with(old, new)), Fault::NoSuchPitch, "{new}");
    }
    let transposed = "</key><transpose><chromatic>120</chromatic></transpose>";
    assert_eq!(fault(&with("</key>", transposed)), Fault::NoSuchPitch);
    let absurd = "</key><transpose><chromatic>1000000000000000000</chromatic></transpose>";
    assert!(matches!(fault(&with("</key>", absurd)), Fault::BadNumber { .. }));
}

#[test]
fn lengths_beyond_reason() {
    let lasting = |duration: &str| {
        with("<duration>24</duration>", &format!("<duration>{duration}</duration>"))
    };
    assert_eq!(fault(&lasting("999999999")), Fault::TooLong);
    assert_eq!(text(&lasting("239976")), "voice Voice1  clef G2\n  br C5=9999\n");
    assert_eq!(fault(&lasting("239977")), Fault::TooLong);
    // 8000 minims and the third part of one: numerator and denominator have four digits at most.
    assert_eq!(fault(&lasting("192008")), Fault::Unwritable { minims: "24001/3".to_owned() });
    let forward = "</attributes><forward><duration>999999999</duration></forward>";
    assert_eq!(fault(&with("</attributes>", forward)), Fault::TooLong);
    let back = "</attributes><backup><duration>999999999</duration></backup>";
    assert_eq!(fault(&with("</attributes>", back)), Fault::TooLong);
}

#[test]
fn a_piece_of_endless_silence() {
    let measure = "<forward><duration>239976</duration></forward>";
    let mut measures = vec!["C5 half"];
    measures.extend(std::iter::repeat_n(measure, 1100));
    assert_eq!(fault(&of_parts(&[&measures])), Fault::TooLong);
    // The longest silence is written as one rest.
    assert_eq!(music(&measures[..2]), "mn C5 br _=9999");
    assert_eq!(fault(&of_parts(&[&measures[..60]])), Fault::TooLong);
}

#[test]
fn more_than_a_parts_file_may_hold() {
    let words = "word ".repeat(4 << 20);
    let direction =
        format!("<direction><direction-type><words>{words}</words></direction-type></direction>");
    let measure = direction + &notes("C5 half");
    assert_eq!(fault(&of_parts(&[&[&measure]])), Fault::TooMuchMusic);
    let title = format!("<score-partwise version=\"4.0\"><movement-title>{words}</movement-title>");
    assert_eq!(fault(&with("<score-partwise version=\"4.0\">", &title)), Fault::TooMuchMusic);
}

#[test]
fn more_silence_than_a_parts_file_may_hold() {
    // One part goes on, and all others are silent meanwhile.
    let (long, other) = (vec!["C5 quarter"; 8000], ["C5 quarter"]);
    let mut parts: Vec<&[&str]> = vec![&long];
    parts.extend([other.as_slice(); 61]);
    assert!(read(&of_parts(&parts)).is_ok());
    parts.push(&other);
    assert_eq!(fault(&of_parts(&parts)), Fault::TooMuchMusic);
}

#[test]
fn divisions_that_do_not_go_together() {
    let notes = [9973, 9967, 9949].map(|divisions| {
        format!(
            "<attributes><divisions>{divisions}</divisions></attributes><note><pitch>\
             <step>C</step><octave>5</octave></pitch><duration>1</duration></note>"
        )
    });
    assert_eq!(fault(&of_parts(&[&[&notes.concat()]])), Fault::TooFine);
    let finest = "<attributes><divisions>999999999.999</divisions></attributes>";
    let measure = finest.to_owned() + &super::notes("C5 half");
    assert_eq!(fault(&of_parts(&[&[&measure]])), Fault::TooFine);
}

#[test]
fn going_back_too_far_stops_at_the_beginning() {
    let measure = notes("C5 half") + "<backup><duration>48</duration></backup>" + &notes("E5 half");
    let (text, remarks) = text_and_remarks(&of_parts(&[&[&measure]]));
    assert_eq!(text, "voice Voice1  clef G2\n  mn C5\n\nvoice Voice2  clef G2\n  mn E5\n");
    assert_eq!(remarks.len(), 2, "{remarks:?}");
}

#[test]
fn the_number_of_voices_is_limited() {
    let part: &[&str] = &["C5 half"];
    assert!(read(&of_parts(&vec![part; 64])).is_ok());
    assert_eq!(fault(&of_parts(&vec![part; 65])), Fault::TooManyVoices { voices: 65 });
    let voices: String = (1..=65)
        .map(|voice| {
            let voice = format!("<voice>{voice}</voice></note>");
            notes("C5 half").replace("</note>", &voice) + "<backup><duration>24</duration></backup>"
        })
        .collect();
    assert_eq!(fault(&of_parts(&[&[&voices]])), Fault::TooManyVoices { voices: 65 });
    let stacked = (notes("C5 half") + "<backup><duration>24</duration></backup>").repeat(1000);
    assert!(matches!(fault(&of_parts(&[&[&stacked]])), Fault::TooManyVoices { .. }));
}

#[test]
fn deep_nesting_is_no_matter() {
    let depth = 300_000;
    let nested = "<note>".repeat(depth) + &"</note>".repeat(depth);
    for place in ["<part-name/>", "<octave>5</octave>", "</attributes>", "<part-list>"] {
        let xml = with(place, &(nested.clone() + place));
        assert_eq!(text(&xml), "voice Voice1  clef G2\n  mn C5\n", "{place}");
    }
    let bad = Fault::BadNumber { element: "duration", value: String::new() };
    assert_eq!(fault(&of_parts(&[&[&nested]])), bad);
}

#[test]
fn an_error_says_where_and_what_to_do() {
    let xml = of_parts(&[&["C5 half", "D5 half"]]).replace("<step>D</step>", "<step>X</step>");
    assert_eq!(
        read(&xml).unwrap_err().to_string(),
        "score, line 3: this note has no step or no octave; a step is one of A to G, and an octave \
         is from 0 to 9, also when the transposition of the part is considered"
    );
}

#[test]
fn a_compressed_score_is_read_alike() {
    let xml = of_parts(&[&["C5 half"]]);
    let packed = read_musicxml("score", &crate::write_mxl(&xml).unwrap(), None);
    assert_eq!(packed.unwrap(), read(&xml).unwrap());
}
