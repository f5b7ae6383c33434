//! Small scores and the text that they become. Elements and attributes are those of MusicXML 4.0
//! (W3C Music Notation Community Group, final report of 1 June 2021).

mod beside;
mod breaks;
mod lengths;
mod pitches;
mod refused;
mod remarks;
mod sections;
mod voices;

use super::*;

/// What stands at the beginning of each part: a quarter has twelve divisions.
const BEGIN: &str = "<attributes><divisions>12</divisions><key><fifths>0</fifths></key>\
    <clef><sign>G</sign><line>2</line></clef></attributes>";

/// A score of these parts, each the content of its measures.
fn score(parts: &[&[&str]]) -> String {
    let list = (1..=parts.len())
        .map(|place| format!("<score-part id=\"P{place}\"><part-name/></score-part>"));
    let parts = parts.iter().enumerate().map(|(place, measures)| {
        let measures = measures.iter().map(|content| format!("<measure>{content}</measure>\n"));
        format!("<part id=\"P{}\">\n{}</part>\n", place + 1, measures.collect::<String>())
    });
    let (list, parts) = (list.collect::<String>(), parts.collect::<String>());
    format!("<score-partwise version=\"4.0\"><part-list>{list}</part-list>{parts}</score-partwise>")
}

/// Notes, written as `F#4 half. more`: step, alteration, octave; type and dots; and other elements
/// of the note, as they are. `_` is a rest. Several are parted by `, `.
fn notes(text: &str) -> String {
    text.split(", ").map(note).collect()
}

fn note(text: &str) -> String {
    let mut parts = text.splitn(3, ' ');
    let (pitch, value) = (parts.next().unwrap(), parts.next().unwrap());
    let more = parts.next().unwrap_or("");
    let kind = value.trim_end_matches('.');
    let dots = value.len() - kind.len();
    let plain = match kind {
        "breve" => 96,
        "whole" => 48,
        "half" => 24,
        "quarter" => 12,
        "eighth" => 6,
        other => panic!("{other}"),
    };
    let duration = plain * 2 - (plain >> dots);
    let heard = match pitch.as_bytes() {
        [b'_'] => "<rest/>".to_owned(),
        [step, sign @ .., octave] => {
            let alter = match sign {
                b"#" => "<alter>1</alter>",
                b"b" => "<alter>-1</alter>",
                b"##" => "<alter>2</alter>",
                _ => "",
            };
            let (step, octave) = (*step as char, *octave as char);
            format!("<pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>")
        }
        _ => panic!("{pitch}"),
    };
    let dots = "<dot/>".repeat(dots);
    format!("<note>{heard}<duration>{duration}</duration><type>{kind}</type>{dots}{more}</note>")
}

/// A part with these measures, of notes written as above; what begins with `<` is XML already.
fn part(measures: &[&str]) -> Vec<String> {
    let content = |(place, measure): (usize, &&str)| {
        let begin = if place == 0 { BEGIN } else { "" };
        let measure = if measure.starts_with('<') { (*measure).to_owned() } else { notes(measure) };
        format!("{begin}{measure}")
    };
    measures.iter().enumerate().map(content).collect()
}

/// A score of such parts.
fn of_parts(parts: &[&[&str]]) -> String {
    let parts: Vec<Vec<String>> = parts.iter().map(|measures| part(measures)).collect();
    let parts: Vec<Vec<&str>> =
        parts.iter().map(|measures| measures.iter().map(String::as_str).collect()).collect();
    let parts: Vec<&[&str]> = parts.iter().map(Vec::as_slice).collect();
    score(&parts)
}

fn read(xml: &str) -> Result<Reading, Error> {
    read_musicxml("score", xml.as_bytes(), None)
}

/// The text of a score, which must be a parts file without errors, and its remarks.
fn text_and_remarks(xml: &str) -> (String, Vec<String>) {
    let Reading { text, remarks } = read(xml).unwrap();
    let parsed = notation::parse(&text);
    let errors: Vec<_> = parsed.diagnostics.iter().filter(|found| found.is_error()).collect();
    assert!(errors.is_empty(), "{text}\n{errors:#?}");
    (text, remarks.into_iter().map(|remark| remark.what).collect())
}

/// The text of a score that gives no reason for remarks.
fn text(xml: &str) -> String {
    let (text, remarks) = text_and_remarks(xml);
    assert_eq!(remarks, [] as [&str; 0]);
    text
}

/// The music of the one voice of a score, on one line.
fn music_and_remarks(measures: &[&str]) -> (String, Vec<String>) {
    let (text, remarks) = text_and_remarks(&of_parts(&[measures]));
    let music = text.strip_prefix("voice Voice1  clef G2\n").unwrap_or(&text).to_owned();
    let words: Vec<&str> = music.split_whitespace().collect();
    (words.join(" "), remarks)
}

/// The same without any remark.
fn music(measures: &[&str]) -> String {
    let (music, remarks) = music_and_remarks(measures);
    assert_eq!(remarks, [] as [&str; 0]);
    music
}

fn fault(xml: &str) -> Fault {
    read(xml).unwrap_err().fault().unwrap().clone()
}
