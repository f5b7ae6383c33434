//! Parts, voices, staves, names.

use super::*;

fn in_voice(name: &str, text: &str) -> String {
    notes(text).replace("</note>", &format!("<voice>{name}</voice></note>"))
}

fn on_staff(number: u32, text: &str) -> String {
    notes(text).replace("</note>", &format!("<staff>{number}</staff></note>"))
}

fn backup(duration: u32) -> String {
    format!("<backup><duration>{duration}</duration></backup>")
}

#[test]
fn parts_are_voices_from_the_top() {
    let xml = of_parts(&[&["C5 half", "D5 half"], &["_ half", "E4 half"]]);
    assert_eq!(
        text(&xml),
        "voice Cantus  clef G2\n  mn C5 D5\n\nvoice Tenor  clef G2\n  mn _ E4\n"
    );
}

#[test]
fn voices_take_the_names_of_their_parts() {
    let xml = of_parts(&[&["C5 half"], &["E4 half"], &["E4 half"], &["C4 half"]]);
    let names = ["Cantus", "Tenor", "Tenor II", "part-name"];
    let xml = names.iter().fold(xml, |xml, name| {
        let name = match *name {
            "part-name" => "<part-name print-object=\"no\">Nobody</part-name>".to_owned(),
            name => format!("<part-name>{name}</part-name>"),
        };
        xml.replacen("<part-name/>", &name, 1)
    });
    let (text, _) = text_and_remarks(&xml);
    let voices: Vec<&str> = text.lines().filter(|line| line.starts_with("voice")).collect();
    assert_eq!(
        voices,
        [
            "voice Cantus  clef G2",
            "voice Tenor  clef G2",
            "voice Tenor-II  clef G2",
            "voice Bassus  clef G2"
        ]
    );
}

/// A keyboard score is one part: its voices are named apart from it, or have numbers.
#[test]
fn voices_of_one_part_may_be_named_apart() {
    let measure = in_voice("1", "C5 half") + &backup(24) + &in_voice("2", "E4 half");
    let xml = of_parts(&[&[&measure]]);
    let names = |said: &str| -> Vec<String> {
        let said = format!(
            "<identification><miscellaneous><miscellaneous-field name=\"voices\">{said}\
             </miscellaneous-field></miscellaneous></identification><part-list>"
        );
        let (text, _) = text_and_remarks(&xml.replace("<part-list>", &said));
        let lines = text.lines().filter_map(|line| line.strip_prefix("voice "));
        lines.filter_map(|line| line.split(' ').next().map(str::to_owned)).collect()
    };
    assert_eq!(names("Altus Bassus"), ["Altus", "Bassus"]);
    assert_eq!(names("Altus"), ["Voice1", "Voice2"]);
}

#[test]
fn several_voices_on_a_staff() {
    let measure = in_voice("2", "C5 half, D5 half") + &backup(48) + &in_voice("1", "E4 whole");
    let xml = of_parts(&[&[&measure, &in_voice("1", "F4 half")]]);
    let xml = xml.replace("<part-name/>", "<part-name>Organ</part-name>");
    assert_eq!(
        text(&xml),
        "voice Organ-1  clef G2\n  sb E4 mn F4\n\nvoice Organ-2  clef G2\n  mn C5 D5 _\n"
    );
}

#[test]
fn a_voice_may_begin_late_and_end_early() {
    let measures =
        ["C5 half", &(in_voice("2", "E5 half") + &backup(24) + &notes("C5 half")), "C5 half"];
    assert_eq!(
        text(&of_parts(&[&measures])),
        "voice Voice1  clef G2\n  mn C5 C5 C5\n\nvoice Voice2  clef G2\n  mn _ E5 _\n"
    );
}

#[test]
fn measures_are_filled() {
    let xml = of_parts(&[&["C5 half", "C5 whole"], &["D5 whole", "D5 half"]]);
    assert_eq!(
        text(&xml),
        "voice Cantus  clef G2\n  mn C5 _ sb C5\n\nvoice Tenor  clef G2\n  sb D5 mn D5 _\n"
    );
    let xml = of_parts(&[&["C5 half", "C5 half"], &["D5 half"]]);
    assert_eq!(
        text(&xml),
        "voice Cantus  clef G2\n  mn C5 C5\n\nvoice Tenor  clef G2\n  mn D5 _\n"
    );
}

#[test]
fn voices_may_be_numbered_anew_on_each_staff() {
    let clef = "<attributes><clef number=\"2\"><sign>F</sign><line>4</line></clef></attributes>";
    let measure =
        clef.to_owned() + &on_staff(1, "C5 half, D5 half") + &backup(48) + &on_staff(2, "C3 whole");
    assert_eq!(
        text(&of_parts(&[&[&measure]])),
        "voice Voice1  clef G2\n  mn C5 D5\n\nvoice Voice2  clef F4\n  sb C3\n"
    );
}

#[test]
fn a_voice_that_wanders_between_staves_has_one_clef() {
    let clef = "<attributes><clef number=\"2\"><sign>F</sign><line>4</line></clef></attributes>";
    let measure = clef.to_owned() + &on_staff(1, "C4 half, D4 half") + &on_staff(2, "G3 half");
    assert_eq!(text(&of_parts(&[&[&measure]])), "voice Voice1  clef C3\n  mn C4 D4 G3\n");
}

#[test]
fn what_overlaps_has_a_voice_of_its_own() {
    let measure = notes("C5 whole") + &backup(24) + &notes("E5 half");
    let (text, remarks) = text_and_remarks(&of_parts(&[&[&measure]]));
    assert_eq!(text, "voice Voice1  clef G2\n  sb C5\n\nvoice Voice2  clef G2\n  mn _ E5\n");
    assert_eq!(
        remarks,
        ["notes that overlap with others of their voice have a voice of their own"]
    );
}

/// In the file each triplet lasts 341 of 256 divisions; the other voice begins where three of
/// them end.
#[test]
fn voices_meet_after_rounded_lengths() {
    let triplet = "<note><pitch><step>C</step><octave>5</octave></pitch><duration>341</duration>\
        <voice>1</voice><type>half</type><time-modification><actual-notes>3</actual-notes>\
        <normal-notes>2</normal-notes></time-modification></note>";
    let whole = "<note><pitch><step>A</step><octave>4</octave></pitch><duration>1024</duration>\
        <voice>2</voice></note>";
    let measure = "<attributes><divisions>256</divisions></attributes>".to_owned()
        + &triplet.repeat(3)
        + &backup(1023)
        + whole;
    let second = "<attributes><divisions>256</divisions></attributes>".to_owned()
        + &triplet.repeat(6)
        + &backup(1023)
        + whole;
    let (text, remarks) = text_and_remarks(&score(&[&[&measure, &second]]));
    assert_eq!(remarks, [] as [&str; 0]);
    assert_eq!(
        text,
        "voice Voice1  clef G2\n  ratio 3:2 mn C5 C5 C5 C5 C5 C5 C5 C5 C5\n\n\
         voice Voice2  clef G2\n  sb A4 _ A4\n"
    );
}

/// Where the measures have the parts, the same is read.
#[test]
fn a_timewise_score_is_turned_round() {
    let parts = |upper: &str, lower: &str| {
        let lower = if lower.is_empty() {
            String::new()
        } else {
            format!("<part id=\"P2\">{}</part>", notes(lower))
        };
        format!("<measure><part id=\"P1\">{}</part>{lower}</measure>", notes(upper))
    };
    let xml = format!(
        "<score-timewise><part-list/><measure><part id=\"P1\">{BEGIN}</part>\
         <part id=\"P2\">{BEGIN}</part></measure>{}{}{}</score-timewise>",
        parts("C5 half", "E4 half"),
        parts("D5 half", ""),
        parts("E5 half", "F4 half"),
    );
    assert_eq!(
        text(&xml),
        "voice Cantus  clef G2\n  mn C5 D5 E5\n\nvoice Tenor  clef G2\n  mn E4 _ F4\n"
    );
}

#[test]
fn a_part_may_be_silent() {
    let xml = of_parts(&[&["_ whole"], &["C5 whole"]]);
    assert_eq!(text(&xml), "voice Cantus  clef G2\n  sb _\n\nvoice Tenor  clef G2\n  sb C5\n");
}
