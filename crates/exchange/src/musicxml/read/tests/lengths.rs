//! Values, ties, tuplets, rests.

use super::*;

#[test]
fn values_and_dots() {
    assert_eq!(
        music(&["C5 breve, C5 whole., C5 half, C5 quarter., C5 eighth"]),
        "br C5 sb C5. mn C5 sm C5. fu C5"
    );
}

#[test]
fn the_minim_may_be_another_note() {
    let xml = of_parts(&[&["C5 whole, C5 quarter, C5 eighth"]]);
    let values = |minim| read_musicxml("score", xml.as_bytes(), minim).unwrap().text;
    assert_eq!(values(None), "voice Voice1  clef G2\n  sb C5 sm C5 fu C5\n");
    assert_eq!(values(Some(Minim::Quarter)), "voice Voice1  clef G2\n  br C5 mn C5 sm C5\n");
    assert_eq!(values(Some(Minim::Eighth)), "voice Voice1  clef G2\n  lg C5 sb C5 mn C5\n");
}

#[test]
fn a_file_may_say_which_note_is_the_minim() {
    let field = "<score-partwise version=\"4.0\"><identification><miscellaneous>\
        <miscellaneous-field name=\"minim\">quarter</miscellaneous-field></miscellaneous>\
        </identification>";
    let xml = of_parts(&[&["C5 quarter"]]).replace("<score-partwise version=\"4.0\">", field);
    assert_eq!(text(&xml), "voice Voice1  clef G2\n  mn C5\n");
    let told = read_musicxml("score", xml.as_bytes(), Some(Minim::Half)).unwrap();
    assert_eq!(told.text, "voice Voice1  clef G2\n  sm C5\n");
}

#[test]
fn ties_are_joined() {
    let (start, stop) = ("<tie type=\"start\"/>", "<tie type=\"stop\"/>");
    let measures = [
        format!("C5 half, D5 half {start}"),
        format!("D5 half {stop}{start}"),
        format!("D5 whole {stop}, D5 half"),
    ];
    let measures: Vec<&str> = measures.iter().map(String::as_str).collect();
    assert_eq!(music(&measures), "mn C5 br D5 mn D5");
}

#[test]
fn ties_may_be_only_drawn() {
    let stop = "<notations><tied type=\"stop\"/></notations>";
    assert_eq!(music(&["C5 half", &format!("C5 half {stop}")]), "sb C5");
}

#[test]
fn a_tie_that_joins_nothing_is_not_kept() {
    let stop = "<tie type=\"stop\"/>";
    let remark = "a tie that does not join whole notes or chords of one voice is not kept";
    for (before, music) in [("D5 half", "mn D5 C5"), ("C5 half, _ half", "mn C5 _ C5")] {
        let (found, remarks) = music_and_remarks(&[&format!("{before}, C5 half {stop}")]);
        assert_eq!((found.as_str(), remarks), (music, vec![remark.to_owned()]));
    }
}

#[test]
fn lengths_of_no_value() {
    let stop = "<tie type=\"stop\"/>";
    let tied = format!("C5 breve, C5 quarter {stop}, D5 half");
    assert_eq!(music(&[&tied]), "br C5=9/2 mn D5");
    let short =
        "<note><pitch><step>C</step><octave>5</octave></pitch><duration>1.5</duration></note>";
    assert_eq!(music(&[&short.repeat(2), "D5 quarter"]), "sf C5=1/16 C5=1/16 sm D5");
}

/// The `<duration>` of each is rounded to whole divisions: 12 times 4/7 is 6.86.
#[test]
fn tuplets_are_exact() {
    let seven = |duration: u32| {
        format!(
            "<note><pitch><step>D</step><octave>5</octave></pitch><duration>{duration}</duration>\
             <type>quarter</type><time-modification><actual-notes>7</actual-notes>\
             <normal-notes>4</normal-notes></time-modification></note>"
        )
    };
    let measure = seven(7).repeat(6) + &seven(6) + &notes("C5 half");
    assert_eq!(music(&[&measure]), "ratio 7:4 sm D5 D5 D5 D5 D5 D5 D5 ratio 1:1 mn C5");
}

#[test]
fn a_passage_in_a_ratio_is_not_interrupted() {
    let three = "<time-modification><actual-notes>6</actual-notes><normal-notes>4</normal-notes>\
        </time-modification>";
    let in_three = |note: &str, duration: u32| {
        let note = super::note(&format!("{note} {three}"));
        let from = note.find("<duration>").unwrap() + 10;
        let to = note.find("</duration>").unwrap();
        format!("{}{duration}{}", &note[..from], &note[to..])
    };
    let measure = [
        in_three("D5 half.", 24),
        in_three("E5 quarter", 8),
        in_three("_ half", 16),
        notes("C5 half, C5 half"),
    ];
    assert_eq!(music(&[&measure.concat()]), "ratio 3:2 mn D5. sm E5 mn _ ratio 1:1 C5 C5");
}

#[test]
fn a_note_tied_out_of_a_tuplet() {
    let triplet = "<note><pitch><step>D</step><octave>5</octave></pitch><duration>8</duration>\
        <tie type=\"stop\"/><type>quarter</type><time-modification>\
        <actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification></note>";
    let rest = triplet.replace("stop", "start");
    let measure = notes("D5 half") + triplet + &rest.repeat(2);
    assert_eq!(music(&[&measure]), "ratio 3:2 sb D5 sm D5 D5");
    let measure = notes("D5 whole") + triplet + &rest.repeat(2);
    assert_eq!(music(&[&measure]), "sb D5=7/3 ratio 3:2 sm D5 D5");
}

#[test]
fn a_duration_that_denies_the_tuplet_is_believed() {
    let note = "<note><pitch><step>D</step><octave>5</octave></pitch><duration>24</duration>\
        <type>half</type><time-modification><actual-notes>3</actual-notes>\
        <normal-notes>2</normal-notes></time-modification></note>";
    let (found, remarks) = music_and_remarks(&[note]);
    assert_eq!(found, "ratio 3:2 mn D5.");
    assert_eq!(
        remarks,
        ["the duration of a note in a tuplet differs from its type: its duration is read"]
    );
}

#[test]
fn a_duration_that_is_missing_follows_from_the_type() {
    let note =
        "<note><pitch><step>D</step><octave>5</octave></pitch><type>half</type><dot/></note>";
    assert_eq!(music(&[note]), "mn D5.");
}

#[test]
fn rests_stand_on_their_beats() {
    assert_eq!(
        music(&["C5 quarter, _ quarter, _ half, _ whole", "C5 whole"]),
        "sm C5 _ mn _ sb _ C5"
    );
    let measures = ["C5 breve", "_ whole, _ whole", "_ half, C5 half, _ whole", "C5 breve"];
    assert_eq!(music(&measures), "br C5 _ mn _ C5 sb _ br C5");
}

#[test]
fn a_rest_for_the_measure_is_as_long_as_the_measure() {
    let rest = "<note><rest measure=\"yes\"/><duration>48</duration></note>";
    let xml = of_parts(&[&["C5 whole.", "C5 half"], &[rest, "D5 half"]]);
    assert_eq!(
        text(&xml),
        "voice Cantus  clef G2\n  sb C5. mn C5\n\nvoice Tenor  clef G2\n  sb _ mn _ D5\n"
    );
}

#[test]
fn what_is_gone_forward_over_is_silent() {
    let forward = "<forward><duration>24</duration></forward>";
    assert_eq!(music(&[&(notes("C5 half") + forward + &notes("C5 half"))]), "mn C5 _ C5");
}

#[test]
fn notes_that_are_not_heard_are_silent() {
    let cue = notes("C5 half <cue/>") + &notes("D5 half") + &notes("_ half");
    let drum = "<note><unpitched/><duration>24</duration></note>";
    let grace = "<note><grace/><pitch><step>C</step><octave>5</octave></pitch></note>";
    let (found, remarks) =
        music_and_remarks(&[&cue, drum, &(grace.to_owned() + &notes("C5 half"))]);
    assert_eq!(found, "mn _ D5 _ _ C5");
    assert_eq!(
        remarks,
        [
            "cue notes are not kept",
            "notes without a pitch are kept as rests",
            "grace notes are not kept"
        ]
    );
}

#[test]
fn notes_that_are_not_shown_are_heard() {
    let hidden = notes("C5 half").replace("<note>", "<note print-object=\"no\">");
    assert_eq!(music(&[&hidden]), "mn C5");
}
