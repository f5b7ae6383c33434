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
        "title   A book. A duo; the first\ncomposer N. N.\nsource  A print\neditor  E. E.\n\
         note    Number: 3\nnote    By: X\nnote    free\nnote    A note\n"
    );
}

#[test]
fn an_empty_title_is_none() {
    let elements = "<work><work-title> \u{feff} </work-title></work>\
        <movement-title>\u{feff}</movement-title>";
    let (text, _) = text_and_remarks(
        &of_parts(&[&["C5 half"]]).replace("<part-list>", &format!("{elements}<part-list>")),
    );
    assert_eq!(text, "voice Voice1  clef G2\n  mn C5\n");
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
        "voice Voice1  clef G2\n  mn C5\n\nvoice Voice2  clef G2\n  \"low\" mn C4\n"
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

/// Words and the beginning of a bracket in one direction.
fn marked(words: &str, bracket: &str) -> String {
    format!(
        "<direction><direction-type>{words}</direction-type><direction-type>\
         <bracket type=\"start\" number=\"2\" {bracket}/></direction-type></direction>"
    )
}

const STOP: &str = "<bracket type=\"stop\" number=\"2\" line-end=\"down\"/>";

#[test]
fn words_with_a_bracket_are_a_mark() {
    let read = |words: &str, bracket: &str| {
        let measure = notes("C5 half")
            + &marked(words, bracket)
            + &notes("D5 half, E5 half")
            + &direction(STOP)
            + &notes("F5 half");
        let text = text(&of_parts(&[&[&measure]]));
        text.split_once('\n').unwrap().0.to_owned()
    };
    let words = "<words>a \"b\"</words>";
    assert_eq!(read(words, "line-end=\"down\""), "mark    Voice1 2-3 \"a ”b”\"");
    let circle = "<words enclosure=\"circle\"/>";
    let color = "line-end=\"none\" color=\"#d55E00\"";
    assert_eq!(read(circle, color), "mark    Voice1 2-3 circle red");
    assert_eq!(
        read(words, "line-end=\"arrow\" color=\"#123456\""),
        "mark    Voice1 2-3 arrow \"a ”b”\""
    );
}

#[test]
fn a_mark_without_an_end_is_words() {
    let measure = marked("<words>a</words>", "line-end=\"down\"") + &notes("C5 half, D5 half");
    assert_eq!(music(&[&measure]), "\"a\" mn C5 D5");
    let alone = notes("C5 half") + &direction(STOP);
    let (music, remarks) = music_and_remarks(&[&alone]);
    assert_eq!(music, "mn C5");
    assert_eq!(remarks, ["brackets and lines over the staff are not kept"]);
}

/// What was written is read again: marks that overlap, over bar lines, at rests, in two voices.
#[test]
fn marks_come_back() {
    const HEAD: &str = "mark    Cantus 1-4 \"soggetto\"\nmark    Cantus 2-7 circle blue \"<&>\"\n\
                        mark    Cantus 2-2 arrow red\nmark    Tenor 1-3 green \"risposta\"\n\
                        mark    Tenor 3-6 sky\n";
    let text = format!(
        "{HEAD}\nvoice Cantus  clef C1\n  sb A4. mn B C5 D sb D C lg D\n\
         voice Tenor  clef C4\n  br _ sb D3 mn G F sb E lg D3\n"
    );
    let parsed = notation::parse(&text);
    assert!(!parsed.has_errors(), "{:?}", parsed.diagnostics);
    let score = score::align(&parsed.piece, score::reckon(&parsed.piece), score::BarLength::Breve);
    for staves in [score::Staves::Keyboard, score::Staves::Open] {
        let options = score::Options { staves, ..score::Options::default() };
        let arrangement = score::arrange(&score.score, options);
        let xml = crate::write_musicxml(&arrangement).unwrap();
        let (text, _) = text_and_remarks(&xml);
        let marks = text.lines().filter(|line| line.starts_with("mark"));
        let marks: Vec<String> =
            marks.map(|line| line.replace("Voice1", "Cantus").replace("Voice2", "Tenor")).collect();
        let mut expected: Vec<&str> = HEAD.lines().collect();
        expected.sort_unstable();
        let mut marks: Vec<&str> = marks.iter().map(String::as_str).collect();
        marks.sort_unstable();
        assert_eq!(marks, expected, "{staves:?}");
    }
}
