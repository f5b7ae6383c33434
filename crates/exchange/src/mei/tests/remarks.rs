//! What is not kept.

use super::*;

#[test]
fn words_under_notes_are_counted() {
    let verse = "<verse n=\"1\"><syl>a</syl></verse>";
    let note = format!("\n<note pname=\"d\" oct=\"4\" dur=\"minima\">{verse}</note>");
    let text = file(STAFF, &measure("dbl", &note.repeat(3)));
    let remarks = read_one(&text).unwrap().remarks;
    assert_eq!(
        remarks.iter().map(Remark::to_string).collect::<Vec<_>>(),
        ["cantus, line 3: the words under the notes are not kept (3 times; this is the first)"]
    );
}

#[test]
fn music_in_an_unknown_element_is_kept() {
    let (text, remark) = line_and_remark(&format!("<beam>{}</beam>", notes("d4 fusa, e4 fusa")));
    assert_eq!(
        (text.as_str(), remark.as_str()),
        ("fu D4 E4", "`beam` is not kept, only the music in it")
    );
    let (text, remark) = line_and_remark(&(notes("d4 fusa") + "<annot><p>seen</p></annot>"));
    assert_eq!((text.as_str(), remark.as_str()), ("fu D4", "`annot` is not kept"));
}

#[test]
fn an_unknown_attribute_is_named() {
    let (_, remark) = line_and_remark(r#"<note pname="d" oct="4" dur="longa" stem.dir="up"/>"#);
    assert_eq!(remark, "`stem.dir` of `note` is not kept");
}

#[test]
fn layout_is_passed_over() {
    let layer = notes("<space dur=\"4\"/>, <note pname=\"d\" oct=\"4\" dur=\"longa\" ho=\"2\"/>");
    assert_eq!(line(&layer), "lg D4");
}
