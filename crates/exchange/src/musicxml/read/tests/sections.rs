//! Double bars and repeats.

use super::*;

fn bar_line(location: &str, content: &str) -> String {
    format!("<barline location=\"{location}\">{content}</barline>")
}

fn style(style: &str) -> String {
    bar_line("right", &format!("<bar-style>{style}</bar-style>"))
}

#[test]
fn a_double_bar_stands_in_all_voices() {
    for kind in ["light-light", "light-heavy", "heavy-light", "heavy-heavy", "heavy"] {
        let first = notes("C5 half") + &style(kind);
        let xml = of_parts(&[&[&first, "D5 half"], &["E4 half", "F4 half"]]);
        assert_eq!(
            text(&xml),
            "voice Cantus  clef G2\n  mn C5 || D5\n\nvoice Tenor  clef G2\n  mn E4 || F4\n"
        );
    }
}

#[test]
fn other_bar_lines_are_plain() {
    for kind in ["regular", "dotted", "dashed", "tick", "short", "none"] {
        assert_eq!(music(&[&(notes("C5 half") + &style(kind)), "D5 half"]), "mn C5 D5");
    }
}

#[test]
fn the_end_of_the_piece_needs_no_mark() {
    assert_eq!(music(&[&(notes("C5 half") + &style("light-heavy"))]), "mn C5");
}

#[test]
fn repeats() {
    let back = bar_line("right", "<repeat direction=\"backward\"/>");
    let forward = bar_line("left", "<repeat direction=\"forward\"/>");
    assert_eq!(music(&[&(notes("C5 half") + &back), "D5 half"]), "mn C5 :: D5");
    assert_eq!(music(&[&(notes("C5 half") + &back)]), "mn C5 ::");
    let third = forward + &notes("E5 half") + &back;
    assert_eq!(music(&["C5 half", "D5 half", &third, "C5 half"]), "mn C5 D5 || E5 :: C5");
}

#[test]
fn a_repeat_over_a_double_bar_is_shorter() {
    let back = bar_line("right", "<repeat direction=\"backward\"/>");
    let (found, remarks) = music_and_remarks(&[
        &(notes("C5 half") + &style("light-light")),
        &(notes("D5 half") + &back),
        "E5 half",
    ]);
    assert_eq!(found, "mn C5 || D5 :: E5");
    assert_eq!(remarks, ["a repeat that goes back over a double bar goes back only to that"]);
}

#[test]
fn a_double_bar_in_the_middle_of_a_measure() {
    let middle = bar_line("middle", "<bar-style>light-light</bar-style>");
    let measure = notes("C5 half") + &middle + &notes("D5 half");
    let xml = of_parts(&[&[&measure], &["_ whole"]]);
    assert_eq!(
        text(&xml),
        "voice Cantus  clef G2\n  mn C5 || D5\n\nvoice Tenor  clef G2\n  mn _ || _\n"
    );
}

#[test]
fn a_double_bar_under_a_note_is_not_kept() {
    let first = notes("C5 half") + &style("light-light");
    let xml = of_parts(&[&[&first, "D5 half"], &["E4 half", "E4 half <tie type=\"stop\"/>"]]);
    let (text, remarks) = text_and_remarks(&xml);
    assert_eq!(text, "voice Cantus  clef G2\n  mn C5 D5\n\nvoice Tenor  clef G2\n  sb E4\n");
    assert_eq!(remarks, ["a double bar across which a note is held is not kept"]);
}

/// A long before a double bar would be trimmed to its bar.
#[test]
fn the_last_note_of_a_section_keeps_its_length() {
    let long = notes("C5 breve") + &notes("C5 breve <tie type=\"stop\"/>") + &style("light-light");
    assert_eq!(music(&[&long, "C5 breve, C5 breve <tie type=\"stop\"/>"]), "br C5=8 || lg C5");
}
