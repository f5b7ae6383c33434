//! What is not kept.

use super::*;

#[test]
fn what_is_not_kept_is_listed_once() {
    let lyric = "<lyric><text>a</text></lyric>";
    let notation = "<notations><slur type=\"start\"/><dynamics><p/></dynamics><articulations>\
        <staccato/></articulations></notations>";
    let direction = "<direction><direction-type><wedge type=\"stop\"/></direction-type>\
        <sound tempo=\"60\"/></direction>";
    let measure = direction.to_owned()
        + &notes(&format!("C5 half {lyric}{notation}"))
        + "\n"
        + &notes(&format!("C5 half {notation}{lyric}"))
        + "<harmony/><figured-bass/><print/><listening/>";
    let reading = read(&of_parts(&[&[&measure, &measure]])).unwrap();
    let remarks: Vec<String> = reading.remarks.iter().map(crate::Remark::to_string).collect();
    assert_eq!(
        remarks,
        [
            "score, line 2: the tempo is not kept (2 times; this is the first)",
            "score, line 2: dynamics are not kept (6 times; this is the first)",
            "score, line 2: slurs are not kept (4 times; this is the first)",
            "score, line 2: articulations are not kept (4 times; this is the first)",
            "score, line 2: the words under the notes are not kept (4 times; this is the first)",
            "score, line 3: chord symbols are not kept (2 times; this is the first)",
            "score, line 3: figures of the bass are not kept (2 times; this is the first)",
        ]
    );
}

#[test]
fn how_music_is_drawn_and_played_is_no_loss() {
    let more = "<stem>up</stem><beam number=\"1\">begin</beam><instrument id=\"i\"/>\
        <notations><tied type=\"start\"/><tuplet type=\"start\"/></notations>";
    let attributes = "<attributes><staves>1</staves><part-symbol>none</part-symbol>\
        <staff-details><staff-lines>5</staff-lines></staff-details>\
        <measure-style><multiple-rest>2</multiple-rest></measure-style></attributes>";
    let measure = attributes.to_owned() + &notes(&format!("C5 half {more}")) + "<sound/><print/>";
    assert_eq!(music(&[&measure]), "mn C5");
}

#[test]
fn measures_that_are_no_bars_are_remarked() {
    let time = |beats: &str, value: &str| {
        let time = format!(
            "<attributes><time><beats>{beats}</beats><beat-type>{value}</beat-type></time>\
             </attributes>"
        );
        music_and_remarks(&[&(time + &notes("C5 half"))]).1
    };
    let not_kept =
        "measures that are no breve and no semibreve long are not kept: bars are drawn anew";
    for (beats, value) in [("4", "4"), ("2", "1"), ("4", "2"), ("2", "2"), ("2+2", "4")] {
        assert_eq!(time(beats, value), [] as [&str; 0], "{beats}/{value}");
    }
    for (beats, value) in [("3", "2"), ("3+2", "8"), ("6", "4")] {
        assert_eq!(time(beats, value), [not_kept], "{beats}/{value}");
    }
    for (beats, value) in [("0", "4"), ("4", "0"), ("x", "4"), ("1e9", "4"), ("-4", "4")] {
        assert_eq!(time(beats, value), [] as [&str; 0], "{beats}/{value}");
    }
}

#[test]
fn signs_that_stand_for_music_are_remarked() {
    let style = "<attributes><measure-style><measure-repeat type=\"start\">1</measure-repeat>\
        </measure-style></attributes>";
    let (found, remarks) = music_and_remarks(&[&(style.to_owned() + &notes("C5 half"))]);
    assert_eq!(found, "mn C5");
    assert_eq!(remarks, ["signs that repeat a measure or beat are not kept"]);
}
