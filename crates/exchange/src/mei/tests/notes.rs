//! Notes and rests.

use super::*;

#[test]
fn a_value_is_written_where_it_changes() {
    assert_eq!(
        line(&notes("d4 minima, e4 minima, f4 semiminima, _ semiminima, _ brevis")),
        "mn D4 E4 sm F4 _ br _"
    );
}

#[test]
fn all_values() {
    assert_eq!(
        line(&notes(
            "d4 maxima, d4 longa, d4 brevis, d4 semibrevis, d4 minima, d4 semiminima, d4 fusa, \
             d4 semifusa"
        )),
        "mx D4 lg D4 br D4 sb D4 mn D4 sm D4 fu D4 sf D4"
    );
}

#[test]
fn a_dot_encoded_twice_is_one() {
    let note = r#"<note pname="d" oct="4" dur="minima" dots="1"/>"#;
    assert_eq!(line(&format!("{note}<dot/>")), "mn D4.");
    assert_eq!(line(note), "mn D4.");
    assert_eq!(line(&notes("d4 minima, <dot/>, e4 minima")), "mn D4. E4");
    assert_eq!(line(r#"<note pname="d" oct="4" dur="minima"><dot/></note>"#), "mn D4.");
}

#[test]
fn a_dot_may_say_what_it_does() {
    assert_eq!(line(&notes("d4 brevis, <dot form=\"div\"/>")), "br D4.:");
    assert_eq!(line(&notes("d4 brevis, <dot form=\"aug\"/>")), "br D4.+");
}

#[test]
fn a_dot_too_many_is_not_kept() {
    let (text, remark) = line_and_remark(&notes("d4 minima, <dot/>, <dot/>"));
    assert_eq!((text.as_str(), remark.as_str()), ("mn D4.", event::SECOND_DOT));
    let (text, _) = line_and_remark(&notes("<dot/>, d4 minima"));
    assert_eq!(text, "mn D4");
}

#[test]
fn printed_accidentals() {
    let note = |accid| format!("<note pname=\"b\" oct=\"3\" dur=\"minima\">{accid}</note>");
    assert_eq!(line(&note(r#"<accid accid="s"/>"#)), "mn B#3");
    assert_eq!(line(&note(r#"<accid accid="x"/>"#)), "mn B#3");
    assert_eq!(line(&note(r#"<accid accid="f"/>"#)), "mn Bb3");
    assert_eq!(line(&note(r#"<accid accid="n"/>"#)), "mn Bn3");
    assert_eq!(line(r#"<note pname="b" oct="3" dur="minima" accid="f"/>"#), "mn Bb3");
}

#[test]
fn an_accidental_that_only_sounds_is_not_printed() {
    let layer =
        r#"<note pname="b" oct="3" dur="minima" accid.ges="f"><accid accid.ges="f"/></note>"#;
    assert_eq!(line(layer), "mn B3");
}

#[test]
fn editorial_accidentals() {
    let note = |accid| format!("<note pname=\"f\" oct=\"4\" dur=\"minima\">{accid}</note>");
    assert_eq!(line(&note(r#"<accid accid="s" func="edit"/>"#)), "mn F[#]4");
    assert_eq!(line(&note(r#"<supplied><accid accid="s"/></supplied>"#)), "mn F[#]4");
    let corrected =
        r#"<choice><sic><accid accid="s"/></sic><corr><accid accid="n"/></corr></choice>"#;
    assert_eq!(line(&note(corrected)), "mn F#[n]4");
}

#[test]
fn an_accidental_out_of_this_repertory_is_not_kept() {
    let (text, remark) =
        line_and_remark(r#"<note pname="f" oct="4" dur="minima"><accid accid="ss"/></note>"#);
    assert_eq!(text, "mn F4");
    assert_eq!(remark, "an accidental other than sharp, flat and natural is not kept");
}

#[test]
fn a_long_rest_over_two_or_three_spaces() {
    assert_eq!(line(r#"<rest dur="longa"/>"#), "lg _");
    assert_eq!(line(r#"<rest dur="longa" spaces="2"/>"#), "lg _2");
    assert_eq!(line(r#"<rest dur="longa" spaces="3"/>"#), "lg _3");
    assert_eq!(line(r#"<rest dur="longa" lines="4"/>"#), "lg _3");
    assert_eq!(line(r#"<rest dur="brevis" spaces="1"/>"#), "br _");
}

#[test]
fn several_notes_at_once() {
    let notes = r#"<note pname="d" oct="4"/><note pname="a" oct="4"><accid accid="f"/></note>"#;
    assert_eq!(line(&format!("<chord dur=\"longa\" dots=\"1\">{notes}</chord>")), "lg D4+Ab4.");
}

#[test]
fn several_notes_with_values_of_their_own() {
    assert_eq!(line(&format!("<chord>{}</chord>", notes("d4 longa, a4 longa"))), "lg D4+A4");
    let (text, remark) =
        line_and_remark(&format!("<chord>{}</chord>", notes("d4 longa, a4 brevis")));
    assert_eq!(text, "lg D4+A4");
    assert_eq!(remark, "of several notes at once, all have the value of the first");
}

#[test]
fn a_value_may_be_the_same_throughout() {
    let staff = STAFF.replace("lines=", "dur.default=\"semibrevis\" lines=");
    let text = file(&staff, &measure("dbl", r#"<note pname="d" oct="4"/>"#));
    assert!(read_one(&text).unwrap().text.ends_with("\n  sb D4\n"));
}

#[test]
fn coloration_is_a_group() {
    let colored = r#"<note pname="d" oct="4" dur="semibrevis" colored="true"/>"#;
    let plain = notes("e4 minima");
    assert_eq!(
        line(&format!("{plain}{colored}{colored}{plain}{colored}")),
        "mn E4 { sb D4 D4 } mn E4 { sb D4 }"
    );
}

#[test]
fn coloration_runs_across_lines_and_ligatures() {
    let colored = r#"<note pname="d" oct="4" dur="brevis" colored="true"/>"#;
    let (text, _) = section(
        &(measure("invis", &format!("{colored}<custos pname=\"d\" oct=\"4\"/>"))
            + &measure("dbl", colored)),
    );
    assert_eq!(text, "{ br D4 ~D4 /\nD4 }");
    assert_eq!(
        line(&format!("{colored}<ligature>{colored}{}</ligature>", notes("e4 brevis"))),
        "{ br D4 ( D4 } E4 )"
    );
}

#[test]
fn coloration_stays_within_the_editors_groups() {
    let colored = r#"<note pname="d" oct="4" dur="brevis" colored="true"/>"#;
    assert_eq!(
        line(&format!("{colored}<supplied>{colored}</supplied>{colored}")),
        "{ br D4 } [ { D4 } ] { D4 }"
    );
}

#[test]
fn ligatures() {
    let pair = notes("d4 semibrevis, e4 semibrevis");
    assert_eq!(line(&format!("<ligature form=\"recta\">{pair}</ligature>")), "( sb D4 E4 )");
    assert_eq!(line(&format!("<ligature form=\"obliqua\">{pair}</ligature>")), "( sb D4 \\ E4 )");
}

#[test]
fn notes_of_a_ligature_may_name_its_oblique_bodies() {
    let note =
        |pname, lig| format!("<note pname=\"{pname}\" oct=\"4\" dur=\"brevis\" lig=\"{lig}\"/>");
    let layer = ["a", "g", "f", "e"].map(|pname| note(pname, "obliqua")).concat();
    assert_eq!(line(&format!("<ligature>{layer}</ligature>")), "( br A4 \\ G4 F4 \\ E4 )");
    let layer = note("a", "recta") + &note("g", "obliqua") + &note("f", "obliqua");
    assert_eq!(line(&format!("<ligature>{layer}</ligature>")), "( br A4 G4 \\ F4 )");
}

#[test]
fn a_longer_oblique_ligature_is_a_guess() {
    let layer = notes("a4 brevis, g4 brevis, f4 brevis");
    let (text, remark) = line_and_remark(&format!("<ligature form=\"obliqua\">{layer}</ligature>"));
    assert_eq!(text, "( br A4 \\ G4 F4 )");
    assert!(remark.ends_with("the first two are joined"), "{remark}");
}

#[test]
fn a_corona_in_each_of_its_forms() {
    assert_eq!(line(r#"<note pname="d" oct="4" dur="longa" fermata="above"/>"#), "lg D4^");
    assert_eq!(line(r#"<note pname="d" oct="4" dur="longa"><fermata/></note>"#), "lg D4^");
    let layer = r#"<note xml:id="a" pname="d" oct="4" dur="longa"/>"#;
    let apart = measure("dbl", layer).replace("</measure>", "<fermata startid=\"#a\"/></measure>");
    assert_eq!(section(&apart), ("lg D4^".to_owned(), vec![]));
}

#[test]
fn a_signum_where_the_file_says_so() {
    let layer = r#"<note xml:id="a" pname="d" oct="4" dur="longa"/>"#;
    for sign in [
        r##"<dir startid="#a">signum congruentiae</dir>"##,
        r##"<symbol startid="#a" glyph.name="mensuralSignumUp"/>"##,
        r##"<symbol startid="#a" type="signum-congruentiae"/>"##,
    ] {
        let apart = measure("dbl", layer).replace("</measure>", &format!("{sign}</measure>"));
        assert_eq!(section(&apart), ("lg D4%".to_owned(), vec![]), "{sign}");
    }
}

#[test]
fn words_stand_before_their_note() {
    let layer =
        r#"<note pname="d" oct="4" dur="longa"/><note xml:id="a" pname="e" oct="4" dur="longa"/>"#;
    let apart = measure("dbl", layer)
        .replace("</measure>", "<dir startid=\"#a\">Secunda\n  pars: \"B\"</dir></measure>");
    assert_eq!(section(&apart).0, "lg D4 \"Secunda pars: \u{201d}B\u{201d}\" E4");
    assert_eq!(line("<dir>tacet</dir><rest dur=\"longa\"/>"), "\"tacet\" lg _");
}

#[test]
fn a_sign_to_no_note_is_not_kept() {
    for sign in [r##"<fermata startid="#none"/>"##, "<fermata tstamp=\"1\"/>"] {
        let text = measure("dbl", &notes("d4 longa"));
        let (text, remarks) = section(&text.replace("</measure>", &format!("{sign}</measure>")));
        assert_eq!(text, "lg D4");
        assert_eq!(remarks, ["a sign or words that name no note are not kept"]);
    }
}
