//! Black minims.

use super::*;

/// `■` a coloured semibreve; `m` what looks like a semiminim, `f` a fusa; `M` a minim, `_` a
/// semiminim rest, `/` a line end; else as it is.
fn black(layer: &str) -> String {
    let item = |item| match item {
        "■" => r#"<note pname="d" oct="4" dur="semibrevis" colored="true"/>"#.to_owned(),
        "m" => notes("e4 semiminima"),
        "m." => notes("e4 semiminima, <dot/>"),
        "f" => notes("e4 fusa"),
        "M" => notes("a4 minima"),
        "_" => notes("_ semiminima"),
        "/" => "<sb/>".to_owned(),
        item => item.to_owned(),
    };
    layer.split(' ').map(item).collect()
}

fn read(layer: &str) -> (String, String) {
    let (text, remark) = line_and_remark(&black(layer));
    (text.replace('\n', " "), remark)
}

const TWO: &str = "2 semiminims beside black notes are read as black minims";

#[test]
fn a_semiminim_that_completes_three_parts() {
    let (text, remark) = read("M ■ m M");
    assert_eq!(text, "mn A4 { sb D4 mn E4 } A4");
    assert_eq!(remark, "1 semiminim beside black notes is read as a black minim");
}

#[test]
fn semiminims_between_black_notes() {
    assert_eq!(read("■ m m ■ M"), ("{ sb D4 mn E4 E4 sb D4 } mn A4".into(), TWO.into()));
}

#[test]
fn no_more_are_taken_than_complete_the_threes() {
    let (text, _) = read("■ m m m M");
    assert_eq!(text, "{ sb D4 mn E4 } sm E4 E4 mn A4");
    // Three black semibreves are complete.
    assert_eq!(line(&black("■ ■ ■ m m")), "{ sb D4 D4 D4 } sm E4 E4");
}

#[test]
fn smaller_notes_and_dots() {
    let (text, remark) = read("■ m. f ■ M");
    assert_eq!(text, "{ sb D4 mn E4. sm E4 sb D4 } mn A4");
    assert_eq!(
        remark,
        "2 semiminims and smaller notes beside black notes are read as black minims and semiminims"
    );
}

#[test]
fn what_does_not_complete_stays() {
    for (layer, text) in [
        ("■ m ■ M", "{ sb D4 } sm E4 { sb D4 } mn A4"),
        ("■ m ■ _ m", "{ sb D4 } sm E4 { sb D4 } sm _ E4"),
        ("■ ■ m", "{ sb D4 D4 } sm E4"),
    ] {
        let (read, remark) = read(layer);
        assert_eq!(read, text);
        assert!(remark.contains("do not go in threes"), "{remark}");
    }
}

/// Nothing there could be a black minim, so there is nothing to say.
#[test]
fn black_notes_alone() {
    assert_eq!(line(&black("■ M m")), "{ sb D4 } mn A4 sm E4");
    assert_eq!(line(&black("■ _ m")), "{ sb D4 } sm _ E4");
}

#[test]
fn a_group_runs_across_lines_but_not_across_signs() {
    let (text, _) = section(&measure("dbl", &black("■ m / m ■ M")));
    assert_eq!(text, "{ sb D4 mn E4 /\nE4 sb D4 } mn A4");
    let layer = black("■ <mensur/> m").replace("<mensur/>", "<mensur sign=\"C\"/>");
    assert_eq!(line(&layer), "{ sb D4 } sign C sm E4");
}

/// A black note that is imperfect needs no company.
#[test]
fn where_values_are_perfect_nothing_is_inferred() {
    let layer = black("M <mensur/> ■ m M").replace("<mensur/>", "<mensur sign=\"O\"/>");
    let (text, remark) = line_and_remark(&layer);
    assert_eq!(text, "mn A4 sign O { sb D4 } sm E4 mn A4");
    assert!(remark.contains("makes values perfect"), "{remark}");
}
