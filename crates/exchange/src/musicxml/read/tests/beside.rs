//! What stands over the piece and over the notes.

use super::*;

/// The head of the text of a score with these elements at its beginning.
fn head(elements: &str) -> String {
    let xml = of_parts(&[&["C5 half"]]);
    let xml = xml.replace("<part-list>", &format!("{elements}<part-list>"));
    let (text, _) = text_and_remarks(&xml);
    text.split_once("\nvoice").unwrap().0.to_owned()
}

#[test]
fn title_and_names() {
    let elements = "<work><work-number>3</work-number><work-title>A  book</work-title></work>\
        <movement-title>A duo;\n the first</movement-title><identification>\
        <creator type=\"composer\">N. N.</creator><creator type=\"editor\">E. E.</creator>\
        <creator>X</creator><rights>free</rights><source>A print</source><encoding>\
        <software>S</software></encoding><miscellaneous>\
        <miscellaneous-field name=\"note\">A note</miscellaneous-field></miscellaneous>\
        </identification>";
    assert_eq!(
        head(elements),
        "title A book. A duo; the first\nsource A print\neditor E. E.\nnote Number: 3\n\
         note Composer: N. N.\nnote By: X\nnote free\nnote A note\n"
    );
}

#[test]
fn an_empty_title_is_none() {
    let elements = "<work><work-title> \u{feff} </work-title></work>\
        <movement-title>\u{feff}</movement-title>";
    let (text, _) = text_and_remarks(
        &of_parts(&[&["C5 half"]]).replace("<part-list>", &format!("{elements}<part-list>")),
    );
    assert_eq!(text, "voice Voice1 clef G2\n  mn C5\n");
}

fn direction(content: &str) -> String {
    format!("<direction><direction-type>{content}</direction-type></direction>")
}

#[test]
fn words_over_the_staff() {
    let measure =
        notes("C5 half") + &direction("<words>Prima \"pars\"</words>") + &notes("D5 half");
    assert_eq!(music(&[&measure]), "mn C5 \"Prima ”pars”\" D5");
    let rehearsal = direction("<rehearsal>B</rehearsal>") + &notes("C5 half");
    assert_eq!(music(&["C5 half", &rehearsal]), "mn C5 \"B\" C5");
    let later =
        direction("<words>late</words>").replace("</direction>", "<offset>24</offset></direction>");
    assert_eq!(music(&[&(later + &notes("C5 half, D5 half"))]), "mn C5 \"late\" D5");
}

#[test]
fn words_belong_to_their_voice() {
    let words =
        direction("<words>low</words>").replace("</direction>", "<voice>2</voice></direction>");
    let low = notes("C4 half").replace("</note>", "<voice>2</voice></note>");
    let measure = words + &notes("C5 half") + "<backup><duration>24</duration></backup>" + &low;
    assert_eq!(
        text(&of_parts(&[&[&measure]])),
        "voice Voice1 clef G2\n  mn C5\n\nvoice Voice2 clef G2\n  \"low\" mn C4\n"
    );
}

#[test]
fn coronas_and_signa() {
    let fermata = "<notations><fermata/></notations>";
    assert_eq!(music(&[&format!("C5 half {fermata}, D5 half.")]), "mn C5^ D5.");
    assert_eq!(music(&[&format!("C5 half, _ half {fermata}, _ half")]), "mn C5 _^ _");
    let tied = format!("C5 half, C5 quarter <tie type=\"stop\"/>{fermata}");
    assert_eq!(music(&[&tied]), "mn C5.^");
    let signum = notes("C5 half") + &direction("<segno/>") + &notes("D5 half");
    assert_eq!(music(&[&signum]), "mn C5 D5%");
}
