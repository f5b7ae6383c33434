//! What is said of the lengths of single notes. `num` and `numbase`, and the names of qualities, are
//! those of MEI 4.0, `att.duration.ratio` and `att.duration.quality` (from memory).

use super::*;

/// `d brevis 3:2`, `d semibrevis altera`, `d minima`: notes in the octave of middle C; `_` a rest.
fn said(text: &str) -> String {
    let note = |note: &str| {
        let words: Vec<&str> = note.split(' ').collect();
        let more = match words.get(2).map(|word| word.split_once(':').ok_or(*word)) {
            Some(Ok((num, base))) => format!(" num=\"{num}\" numbase=\"{base}\""),
            Some(Err(quality)) => format!(" dur.quality=\"{quality}\""),
            None => String::new(),
        };
        match words[0] {
            "_" => format!("<rest dur=\"{}\"{more}/>", words[1]),
            step => format!("<note pname=\"{step}\" oct=\"4\" dur=\"{}\"{more}/>", words[1]),
        }
    };
    text.split(", ").map(note).collect()
}

/// The same under a sign, of which nothing is to be said.
fn under(sign: &str, text: &str) -> String {
    let staff = STAFF.replace("\"C\"/>", &format!("\"{sign}\"/>"));
    let reading = read_one(&file(&staff, &measure("dbl", &said(text)))).unwrap();
    assert_eq!(reading.remarks, []);
    let line = reading.text.lines().last().unwrap();
    line.trim_start().to_owned()
}

#[test]
fn what_the_rules_say_by_themselves_is_not_said() {
    // Made imperfect by what follows, perfect before its like, altered.
    assert_eq!(
        under("O", "d brevis imperfecta, e semibrevis, f brevis perfecta, g brevis"),
        "br D4 sb E4 br F4 G4"
    );
    assert_eq!(
        under("O", "d brevis, e semibrevis, f semibrevis altera, g brevis"),
        "br D4 sb E4 F4 br G4"
    );
    assert_eq!(
        under("O", "d brevis 3:2, e semibrevis, f brevis, d semibrevis, f semibrevis 1:2, g longa"),
        "br D4 sb E4 br F4 sb D4 F4 lg G4"
    );
}

#[test]
fn what_they_do_not_say_is_the_editors_length() {
    assert_eq!(under("O", "d brevis imperfecta, e brevis, f brevis"), "br D4=4 E4 F4");
    assert_eq!(under("C", "d brevis perfecta, e brevis, f brevis"), "br D4=6 E4 F4");
    assert_eq!(under("C", "d semibrevis altera, e brevis, f brevis"), "sb D4=4 br E4 F4");
    assert_eq!(under("C", "d minima 3:2, e minima, f brevis"), "mn D4=2/3 E4 br F4");
    assert_eq!(under("C", "_ minima 3:2, e minima, f brevis"), "mn _=2/3 E4 br F4");
}

#[test]
fn a_dot_that_adds_counts_too() {
    let layer = said("d minima 3:2, e minima, f brevis").replacen("/>", " dots=\"1\"/>", 1);
    assert_eq!(line(&layer), "mn D4.=1 E4 br F4");
}

#[test]
fn notes_in_a_row_stand_under_a_ratio() {
    assert_eq!(
        under("C", "d minima, e minima 3:2, _ minima 3:2, f minima 3:2, g semibrevis, a longa"),
        "mn D4 ratio 3:2 E4 _ F4 ratio 1:1 sb G4 lg A4"
    );
    assert_eq!(
        under("C", "e minima 3:2, f minima 3:2, f minima 3:2, g minima 6:4, g longa 3:2"),
        "ratio 3:2 mn E4 F4 F4 G4 lg G4"
    );
    // Where breves are perfect, 3:2 may be imperfection: here by the note before, against the rule
    // of like before like, and by the note after.
    assert_eq!(
        under("O", "e semibrevis, d brevis 3:2, c brevis 3:2, e semibrevis, g longa"),
        "sb E4 br D4=4 C4 sb E4 lg G4"
    );
}

#[test]
fn a_ratio_stands_outside_ligatures_and_coloration() {
    let [d, e] = ["d semibrevis 3:2", "e semibrevis 3:2"].map(said);
    let (after, last) = (said("f semibrevis"), said("g longa"));
    assert_eq!(
        line(&format!("{after}<ligature>{d}{e}</ligature>{after}{last}")),
        "sb F4 ratio 3:2 ( D4 E4 ) ratio 1:1 F4 lg G4"
    );
    let black = (d + &e).replace("/>", " colored=\"true\"/>");
    assert_eq!(
        line(&format!("{after}{black}{after}{last}")),
        "sb F4 ratio 3:2 { D4 E4 } ratio 1:1 F4 lg G4"
    );
}

#[test]
fn a_single_black_note_lasts_as_long_as_is_said() {
    let black = |ratio| said(&format!("d semibrevis {ratio}")).replace("/>", " colored=\"true\"/>");
    let after = said("f semibrevis, g longa");
    assert_eq!(line(&(black("3:2") + &after)), "{ sb D4 } F4 lg G4");
    assert_eq!(line(&(black("4:3") + &after)), "{ sb D4=3/2 } F4 lg G4");
}

#[test]
fn what_is_in_a_proportion_already() {
    let sign =
        |layer: &str| format!("{}<proport num=\"3\" numbase=\"2\"/>{layer}", said("c longa"));
    // 3/2 is three in the time of two, and what is perfect is left open.
    let (text, remarks) = section(&measure(
        "dbl",
        &sign(&said("d minima 2:1, e minima, f semibrevis imperfecta, g longa")),
    ));
    assert_eq!(remarks, [] as [&str; 0]);
    assert_eq!(text, "lg C4 sign 3/2 mn D4=1/3 E4 sb F4=4/3 lg G4");
    let (text, remark) = line_and_remark(&sign(&said("f brevis 3:2, g longa")));
    assert_eq!(text, "lg C4 sign 3/2 br F4 lg G4");
    assert!(remark.starts_with("the proportion of a note or rest"), "{remark}");
}

#[test]
fn what_cannot_be_kept_is_remarked() {
    for layer in ["d minima 0:1", "d minima 65:1", "d minima x:1", "d semibrevis maior"] {
        let (_, remark) = line_and_remark(&said(&format!("{layer}, f longa")));
        assert!(remark.ends_with("is not kept") || remark.contains("1 to 64"), "{remark}");
    }
    let corrected = format!(
        "<choice><sic>{}</sic><corr>{}</corr></choice>{}",
        said("d minima 3:2"),
        said("d minima"),
        said("g longa")
    );
    let (text, remark) = line_and_remark(&corrected);
    assert_eq!(text, "< mn D4 | mn D4 > lg G4");
    assert!(remark.contains("corrected"), "{remark}");
}
