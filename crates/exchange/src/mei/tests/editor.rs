//! The editor's marks.

use super::*;

#[test]
fn unclear_notes() {
    assert_eq!(
        line(&format!("<unclear>{}</unclear>{}", notes("d4 minima"), notes("e4 minima"))),
        "mn D4? E4"
    );
    assert_eq!(
        line(r#"<note pname="d" oct="4" dur="minima"><unclear><dot/></unclear></note>"#),
        "mn D4.?"
    );
}

#[test]
fn supplied_notes() {
    assert_eq!(
        line(&format!(
            "{0}<supplied>{1}<supplied>{1}</supplied></supplied>{0}",
            notes("d4 minima"),
            notes("e4 fusa")
        )),
        "mn D4 [ fu E4 E4 ] D4"
    );
}

#[test]
fn corrections() {
    let choice = |sic: &str, corr: &str| {
        let (sic, corr) = (notes(sic), notes(corr));
        format!("<choice><corr>{corr}</corr><sic>{sic}</sic></choice>{}", notes("a4 minima"))
    };
    assert_eq!(line(&choice("d4 minima", "e4 fusa")), "< mn D4 | fu E4 > A4");
    assert_eq!(line(&choice("d4 minima", "")), "< mn D4 | > A4");
    assert_eq!(line(&choice("", "d4 minima")), "< | mn D4 > mn A4");
    assert_eq!(line(&choice("", "")), "mn A4");
}

#[test]
fn a_correction_within_a_correction() {
    let [d, e, f] = ["d4 minima", "e4 minima", "f4 minima"].map(notes);
    let inner = format!("<choice><sic>{e}</sic><corr>{f}</corr></choice>");
    let on_read = format!("<choice><sic>{d}</sic><corr>{inner}</corr></choice>");
    assert_eq!(line_and_remark(&on_read), ("< mn D4 | mn F4 >".into(), "`sic` is not kept".into()));
    let on_printed = format!("<choice><sic>{inner}</sic><corr>{d}</corr></choice>");
    let remark = "`corr` is not kept".into();
    assert_eq!(line_and_remark(&on_printed), ("< mn E4 | mn D4 >".into(), remark));
}

#[test]
fn after_a_correction_the_printed_clef_is_in_force() {
    let layer = "<choice><sic><clef shape=\"C\" line=\"2\"/></sic><corr/></choice>\
        <clef shape=\"C\" line=\"1\"/>";
    assert_eq!(line(&(notes("d4 minima") + layer)), "mn D4 < clef C2 | > clef C1");
}

#[test]
fn a_dot_cannot_be_supplied_alone() {
    let (text, remark) = line_and_remark(&notes("d4 minima, <supplied><dot/></supplied>"));
    assert_eq!((text.as_str(), remark.as_str()), ("mn D4.", event::EDITED_DOT));
}

#[test]
fn the_chosen_reading_is_read() {
    let rdg = notes("e4 minima");
    let (text, remark) =
        line_and_remark(&format!("<app><rdg>{rdg}</rdg><lem>{}</lem></app>", notes("d4 minima")));
    assert_eq!((text.as_str(), remark.as_str()), ("mn D4", "`rdg` is not kept"));
}
