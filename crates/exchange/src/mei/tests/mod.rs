//! Small MEI files and the text that they become. Elements and attributes are those of the MEI
//! Guidelines, version 4.0, modules *mensural*, *shared*, *edittrans* and *critapp* (from memory).

mod between;
mod black;
mod editor;
mod head;
mod lengths;
mod notes;
mod refused;
mod remarks;

use super::*;
use crate::Remark;

const STAFF: &str = r#"<staffDef n="1" notationtype="mensural.white" lines="5"
    clef.shape="C" clef.line="1" key.sig="0" mensur.sign="C"/>"#;

/// A file with this staff definition and these measures, or other elements of a section.
fn file(staff: &str, section: &str) -> String {
    format!(
        "<mei xmlns=\"http://www.music-encoding.org/ns/mei\"><meiHead/><music><body><mdiv><score>\
         <scoreDef><staffGrp>{staff}</staffGrp></scoreDef><section>{section}</section>\
         </score></mdiv></body></music></mei>"
    )
}

fn measure(right: &str, layer: &str) -> String {
    format!(
        "<measure right=\"{right}\"><staff n=\"1\"><layer n=\"1\">{layer}</layer></staff></measure>"
    )
}

/// `d4 minima`: a note; `_ brevis`: a rest; several, parted by commas. What else is XML already.
fn notes(text: &str) -> String {
    let xml = |item: &str| match item.split_once(' ') {
        Some(("_", dur)) => format!("<rest dur=\"{dur}\"/>"),
        Some((pitch, dur)) if !item.starts_with('<') => {
            let (pname, oct) = pitch.split_at(1);
            format!("<note pname=\"{pname}\" oct=\"{oct}\" dur=\"{dur}\"/>")
        }
        _ => item.to_owned(),
    };
    text.split(", ").map(xml).collect()
}

fn read_one(text: &str) -> Result<Reading, ReadError> {
    read_mei(&[MeiPart { name: "cantus", text }]).map_err(|error| match error {
        Error::Read(error) => error,
        other => panic!("{other}"),
    })
}

/// The text lines of a voice, and the remarks, from the content of its section.
fn section(section: &str) -> (String, Vec<String>) {
    let reading = read_one(&file(STAFF, section)).unwrap();
    let text = reading.text.strip_prefix("sign    C\n\nvoice Cantus  clef C1\n").unwrap();
    let lines: Vec<&str> = text.lines().map(str::trim_start).collect();
    (lines.join("\n"), reading.remarks.into_iter().map(|remark| remark.what).collect())
}

/// The text of one printed line, that gives no reason for remarks.
fn line(layer: &str) -> String {
    let (text, remarks) = section(&measure("dbl", layer));
    assert_eq!(remarks, [] as [&str; 0]);
    text
}

/// The same where something is not kept: the text, and the one remark.
fn line_and_remark(layer: &str) -> (String, String) {
    let (text, mut remarks) = section(&measure("dbl", layer));
    assert_eq!(remarks.len(), 1, "{remarks:?}");
    (text, remarks.remove(0))
}

fn fault(text: &str) -> Fault {
    read_one(text).unwrap_err().fault
}

/// What is written must be read by the parser of the parts file without errors.
#[test]
fn the_text_is_a_parts_file() {
    let colored = r#"<note pname="d" oct="5" dur="brevis" colored="true"/>"#;
    let choice = format!(
        "<choice><sic>{colored}</sic><corr><ligature form=\"obliqua\">{colored}{colored}</ligature>\
         </corr></choice>"
    );
    let layer = format!(
        "<dir>a; \"b\" | c</dir>{choice}<supplied>{choice}{}</supplied><ligature>{colored}{choice}\
         {colored}</ligature>{colored}<barLine form=\"dbl\"/><mensur sign=\"C\" slash=\"1\"/>\
         <keySig sig=\"2f\"/><rest dur=\"longa\" spaces=\"3\"/>",
        notes("d4 minima, <dot form=\"div\"/>, _ fusa, <custos pname=\"d\" oct=\"4\"/>, <sb/>")
    );
    let reading = read_one(&file(STAFF, &measure("rptend", &layer))).unwrap();
    let parsed = notation::parse(&reading.text);
    // A ligature that cannot be one is kept as it is encoded; the notes here all stand at one place.
    let wrong = |found: &&notation::Diagnostic| {
        found.is_error() && found.code != notation::Code::NoLigature
    };
    let errors: Vec<_> = parsed.diagnostics.iter().filter(wrong).collect();
    assert!(errors.is_empty(), "{}\n{errors:?}", reading.text);
    insta::assert_snapshot!(reading.text, @r#"
    sign    C

    voice Cantus  clef C1
      "a; ”b” | c" < { br D5 } | ( { br D5 \ D5 } ) > [ < { D5 } | ( { D5 \ D5 } ) > mn D4.: fu _ ~D4 /
      ] ( { D5 } < { D5 } | { D5 D5 } > { D5 ) D5 } || sign C| signature Bb,Eb lg _3 ::
    "#);
}
