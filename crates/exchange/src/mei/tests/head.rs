//! The head, and voices together.

use super::*;

fn voices(staves: &[(&str, &str)]) -> String {
    let texts: Vec<String> =
        staves.iter().map(|(_, staff)| file(staff, &measure("dbl", &notes("d4 longa")))).collect();
    let parts: Vec<MeiPart> =
        staves.iter().zip(&texts).map(|((name, _), text)| MeiPart { name, text }).collect();
    read_mei(&parts).unwrap().text
}

#[test]
fn what_all_voices_share_stands_in_the_head() {
    let flat = STAFF.replace("key.sig=\"0\"", "key.sig=\"1f\"");
    assert_eq!(
        voices(&[("cantus", &flat), ("cantus", &flat)]),
        "signature Bb\nsign    C\n\nvoice Cantus  clef C1\n  lg D4\n\nvoice Cantus-2  clef C1\n  lg D4\n"
    );
}

#[test]
fn what_some_voices_have_stands_with_them() {
    let flat = STAFF.replace("key.sig=\"0\"", "key.sig=\"1f\"");
    let cut = STAFF.replace("mensur.sign=\"C\"", "mensur.sign=\"C\" mensur.slash=\"1\"");
    assert_eq!(
        voices(&[("cantus", &flat), ("bassus", &cut)]),
        "voice Cantus  clef C1 signature Bb sign C\n  lg D4\n\nvoice Bassus  clef C1 sign C|\n  lg D4\n"
    );
}

#[test]
fn the_beginning_may_stand_in_elements() {
    let elements =
        "<clef shape=\"G\" line=\"2\"/><keySig sig=\"1f\"/><mensur sign=\"C\" slash=\"1\"/>";
    let inside = format!("<staffDef n=\"1\" notationtype=\"mensural\">{elements}</staffDef>");
    let text = file(&inside, &measure("dbl", &notes("d4 longa")));
    let head = "signature Bb\nsign    C|\n\nvoice Cantus  clef G2\n";
    assert_eq!(read_one(&text).unwrap().text, format!("{head}  lg D4\n"));
    let text =
        file("<staffDef n=\"1\"/>", &measure("dbl", &format!("{elements}{}", notes("d4 longa"))));
    assert_eq!(read_one(&text).unwrap().text, format!("{head}  lg D4\n"));
}

#[test]
fn a_voice_without_a_clef_is_read_with_a_remark() {
    let reading =
        read_one(&file("<staffDef n=\"1\"/>", &measure("dbl", &notes("d4 longa")))).unwrap();
    assert_eq!(reading.text, "voice Cantus\n  lg D4\n");
    assert_eq!(reading.remarks.len(), 1);
}

/// A voice is called as the file says, else after its part-book, else as is usual for so many; never
/// as its file.
#[test]
fn names_of_voices() {
    let names = |staves: &[(&str, &str)]| -> Vec<String> {
        let text = voices(staves);
        let lines = text.lines().filter_map(|line| line.strip_prefix("voice "));
        lines.filter_map(|line| line.split(' ').next().map(str::to_owned)).collect()
    };
    let named = STAFF.replace("/>", "><label>Altus  secundus</label></staffDef>");
    let attribute = STAFF.replace("/>", " label=\"Quintus\"/>");
    assert_eq!(names(&[("cantus", &named), ("b", &attribute)]), ["Altus-secundus", "Quintus"]);
    assert_eq!(names(&[("piece-01-cantus", STAFF), ("BASSUS", STAFF)]), ["Cantus", "Bassus"]);
    assert_eq!(
        names(&[("scan", STAFF), ("other", STAFF), ("x", STAFF)]),
        ["Cantus", "Tenor", "Bassus"]
    );
    assert_eq!(names(&[("x", STAFF); 9])[8], "Voice9");
}

#[test]
fn title_and_names() {
    let head = "<meiHead><fileDesc><titleStmt><title>  </title><composer>Invented\n Name</composer>\
        </titleStmt><sourceDesc><source><bibl>Valdeluz, fol. 3r</bibl></source></sourceDesc>\
        </fileDesc><workList><work><title>O dolce <rend>vita</rend></title></work></workList>\
        </meiHead>";
    let text = file(STAFF, &measure("dbl", &notes("d4 longa"))).replace("<meiHead/>", head);
    assert_eq!(
        read_one(&text).unwrap().text,
        "title   O dolce vita\ncomposer Invented Name\nsource  Valdeluz, fol. 3r\nsign    C\n\n\
         voice Cantus  clef C1\n  lg D4\n"
    );
}
