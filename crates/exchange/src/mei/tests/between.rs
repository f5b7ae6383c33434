//! What stands between notes.

use super::*;

#[test]
fn changes_of_clef_signature_and_sign() {
    assert_eq!(
        line(&notes(
            "d4 minima, <clef shape=\"C\" line=\"2\"/>, <keySig sig=\"1f\"/>, \
             <mensur sign=\"O\" dot=\"true\"/>, d4 minima, <proport num=\"3\" numbase=\"2\"/>, \
             d4 minima"
        )),
        "mn D4 clef C2 signature Bb sign O. D4 sign 3/2 D4"
    );
}

#[test]
fn changes_by_a_definition() {
    let between = r#"<staffDef n="1" clef.shape="F" clef.line="4" key.sig="2s" mensur.sign="C"
        mensur.slash="1"/>"#;
    let (text, remarks) = section(
        &(measure("invis", &notes("d4 minima")) + between + &measure("dbl", &notes("d3 minima"))),
    );
    assert_eq!(text, "mn D4 /\nclef F4 signature F#,C# sign C| D3");
    assert_eq!(remarks, [] as [&str; 0]);
}

#[test]
fn a_clef_in_force_is_no_change_but_a_sign_is_printed_again() {
    let again = r#"<scoreDef clef.shape="C" clef.line="1" key.sig="0" mensur.sign="C"/>"#;
    let (text, _) = section(
        &(measure("dbl", &notes("d4 minima")) + again + &measure("dbl", &notes("d4 minima"))),
    );
    assert_eq!(text, "mn D4 || sign C D4");
}

#[test]
fn signs() {
    for (mei, sign) in [
        (r#"<mensur sign="C"/>"#, "C"),
        (r#"<mensur sign="C" slash="1"/>"#, "C|"),
        (r#"<mensur sign="O"/>"#, "O"),
        (r#"<mensur sign="O" tempus="3" prolatio="2"/>"#, "O"),
        (r#"<mensur sign="C" dot="true" prolatio="3"/>"#, "C."),
        (r#"<mensur sign="C" orient="reversed"/>"#, "rC"),
        (r#"<mensur sign="C" slash="1" num="3"/>"#, "C|3"),
        (r#"<mensur sign="C"/><proport num="3"/>"#, "C3"),
        (r#"<mensur num="3" numbase="2"/>"#, "3/2"),
        (r#"<proport num="2"/>"#, "2"),
    ] {
        assert_eq!(line(&notes(&format!("d4 minima, {mei}"))), format!("mn D4 sign {sign}"));
    }
}

#[test]
fn what_a_sign_cannot_say_is_remarked() {
    for (mei, sign) in [
        (r#"<mensur sign="C" slash="2"/>"#, " sign C|"),
        (r#"<mensur sign="C" orient="90CW"/>"#, " sign C"),
        (r#"<mensur sign="C" num="100"/>"#, " sign C"),
        (r#"<mensur sign="C" num="0"/>"#, " sign C"),
        (r#"<mensur sign="C" tempus="4"/>"#, " sign C"),
        (r#"<proport num="150" numbase="100"/>"#, " ratio 3:2"),
        (r#"<proport numbase="2"/>"#, " ratio 1:2"),
        ("<mensur/>", ""),
    ] {
        let (text, _) = line_and_remark(&notes(&format!("d4 minima, {mei}")));
        assert_eq!(text, format!("mn D4{sign}"));
    }
}

#[test]
fn divisions_that_a_sign_does_not_show_are_readings() {
    for (mei, sign) in [
        (r#"<mensur sign="C" tempus="3"/>"#, "sign C perfect br"),
        (r#"<mensur sign="O" tempus="2"/>"#, "sign O imperfect br"),
        (r#"<mensur sign="O" modusmaior="2" modusminor="3"/>"#, "sign O perfect lg"),
        (r#"<mensur sign="C" tempus="3"/><proport num="2"/>"#, "sign C2 perfect br"),
        // A figure 3 leaves open what is perfect.
        (r#"<mensur num="3" tempus="2" prolatio="3"/>"#, "sign 3 imperfect br perfect sb"),
        (r#"<mensur tempus="3"/>"#, "perfect br"),
    ] {
        assert_eq!(line(&notes(&format!("d4 minima, {mei}"))), format!("mn D4 {sign}"), "{mei}");
    }
}

#[test]
fn divisions_at_the_beginning() {
    let staff = STAFF.replace("lines=", "tempus=\"3\" modusminor=\"2\" lines=");
    let text = read_one(&file(&staff, &measure("dbl", &notes("d4 longa")))).unwrap().text;
    assert!(text.ends_with("\n  perfect br lg D4\n"), "{text}");
    // A sign after them says all anew.
    let layer = format!("<mensur sign=\"O\" tempus=\"3\"/>{}", notes("d4 longa"));
    let staff = staff.replace(" mensur.sign=\"C\"", "");
    let text = read_one(&file(&staff, &measure("dbl", &layer))).unwrap().text;
    assert!(text.ends_with("\n  lg D4\n"), "{text}");
}

#[test]
fn a_signature_by_its_signs() {
    let signs = r#"<keyAccid pname="b" accid="f"/><keyAccid pname="e" accid="f"/>"#;
    assert_eq!(
        line(&notes(&format!("d4 minima, <keySig>{signs}</keySig>"))),
        "mn D4 signature Bb,Eb"
    );
}

#[test]
fn lines_end_with_measures() {
    let (text, _) = section(
        &(measure("invis", &notes("d4 minima, <custos pname=\"e\" oct=\"4\"/>"))
            + &measure("invis", &notes("e4 minima"))),
    );
    assert_eq!(text, "mn D4 ~E4 /\nE4");
}

#[test]
fn lines_and_pages_end_where_the_next_begin() {
    let layer = notes("<pb/>, <sb/>, d4 minima, <sb/>, e4 minima, <sb/>, <pb/>, f4 minima");
    let staff = format!("<staff n=\"1\"><layer>{layer}</layer></staff>");
    assert_eq!(section(&staff).0, "mn D4 /\nE4 //\nF4");
}

#[test]
fn measures_between_marked_line_ends_end_no_lines() {
    let (text, _) = section(
        &(measure("invis", &notes("d4 minima"))
            + &measure("invis", &notes("e4 minima"))
            + "<sb/>"
            + &measure("invis", &notes("f4 minima"))),
    );
    assert_eq!(text, "mn D4 E4 /\nF4");
}

#[test]
fn a_double_bar_inside_ends_a_section() {
    let measures = measure("dbl", &notes("d4 longa")) + &measure("dbl", &notes("e4 longa"));
    assert_eq!(section(&measures).0, "lg D4 || E4");
    assert_eq!(line(&notes("d4 longa, <barLine form=\"dbl\"/>, e4 longa")), "lg D4 || E4");
}

#[test]
fn repeats() {
    assert_eq!(line(&notes("d4 longa, <barLine form=\"rptend\"/>, e4 longa")), "lg D4 :: E4");
    let (text, _) = section(&measure("rptend", &notes("d4 longa")));
    assert_eq!(text, "lg D4 ::");
}

#[test]
fn other_bar_lines_are_not_kept() {
    let (text, remark) = line_and_remark(&notes("d4 longa, <barLine/>, e4 longa"));
    assert_eq!(text, "lg D4 E4");
    assert_eq!(remark, "a bar line that is neither double nor a repeat is not kept");
}
