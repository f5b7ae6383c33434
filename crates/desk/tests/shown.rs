//! What a text shows.

use desk::message::{Edit, Event, Finding, Shown};
use desk::{Desk, View, why_at};

fn shown(text: &str, cursor: usize) -> Shown {
    let view = View { text, cursor: cursor as u32, width: 180.0, ..View::default() };
    Desk::new().show(&view, &[])
}

/// Shown with the cursor behind some word.
fn behind(text: &str, word: &str) -> Shown {
    shown(text, text.find(word).unwrap() + word.len())
}

fn codes(shown: &Shown) -> Vec<&str> {
    shown.findings.iter().map(|found| found.code).collect()
}

fn with(text: &str, edits: &[Edit]) -> String {
    let mut text = text.to_owned();
    for Edit { start, end, text: instead } in edits.iter().rev() {
        text.replace_range(*start as usize..*end as usize, instead);
    }
    text
}

#[test]
fn a_voice_that_is_typed_raises_nothing_about_its_length() {
    let text = "voice Cantus clef C1\n  sb A4 B A B lg A //\nvoice Tenor clef C4\n  sb D3 E\n\
                voice Bassus clef F4\n";
    assert_eq!(codes(&behind(text, "D3 E")), [] as [&str; 0]);
    // Elsewhere the same text has faults.
    assert_eq!(codes(&behind(text, "sb A4")), ["E041", "W113"]);
    // With its double bar the voice is finished.
    let finished = text.replace("D3 E", "D3 E //");
    assert!(codes(&behind(&finished, "D3 E")).contains(&"E041"));
    // What is wrong in it is said all the same.
    let wrong = text.replace("D3 E", "D3 xylophone E");
    assert_eq!(codes(&behind(&wrong, "E\nvoice")), ["E001"]);
}

#[test]
fn an_octave_is_chosen_at_its_letter() {
    let text = "voice Cantus clef C1\n  sb A4 D A4 C A4 lg A //\n";
    let found = behind(text, "lg A").findings;
    let asked: Vec<&Finding> = found.iter().filter(|found| found.code == "E003").collect();
    assert_eq!(asked.len(), 1, "{found:?}");
    let labels: Vec<&str> = asked[0].choices.iter().map(|choice| choice.label.as_str()).collect();
    assert_eq!(labels, ["D5", "D4"]);
    let chosen = with(text, &asked[0].choices[0].edits);
    assert!(chosen.contains("A4 D5 A4"), "{chosen}");
    assert_eq!(codes(&behind(&chosen, "lg A")), [] as [&str; 0]);
}

#[test]
fn several_octaves_are_asked_each_at_its_letter() {
    let text = "voice Cantus clef C1\n  sb A4 D A4 D A4 D A4 lg A //\n";
    let found = behind(text, "lg A").findings;
    let places: Vec<&str> = found
        .iter()
        .filter(|found| found.code == "E003" && found.choices.len() == 2)
        .map(|found| &text[found.start as usize..found.end as usize])
        .collect();
    assert_eq!(places, ["D", "D", "D"], "{found:?}");
}

#[test]
fn what_is_mechanical_has_its_fix() {
    let text = "voice Cantus clef C1\n  SB A4 B lg C5 //\n";
    let found = behind(text, "lg").findings;
    let fix = found[0].fix.as_ref().unwrap();
    assert_eq!(fix.label, "SB \u{2192} sb");
    assert_eq!(with(text, &fix.edits), text.replace("SB", "sb"));
}

#[test]
fn notes_say_where_when_and_why() {
    let text = "voice Cantus clef C1\n  sb A4. mn B4 _ [ mn C5 ] lg F#4 //\n";
    let events = behind(text, "lg").events;
    let said: Vec<(u32, &str)> = events.iter().map(|one| (one.index, one.what.as_str())).collect();
    let expected = [
        (1, "dotted semibreve A4"),
        (2, "minim B4"),
        (3, "minim rest"),
        (0, "minim C5"),
        (4, "longa F#4"),
    ];
    assert_eq!(said, expected);
    assert_eq!((events[1].from, events[1].until), (3.0, 4.0));
    assert_eq!(&text[events[1].start as usize..events[1].end as usize], "B4");
    let why = |event: &Event| why_at(text, None, event.voice, event.start).unwrap();
    assert!(why(&events[0]).starts_with("Cantus 1, a dotted semibreve, lasts 3 minims: "));
    assert!(why(&events[3]).starts_with("Cantus (supplied), a minim, lasts 1 minim: "));
    assert_eq!(why_at(text, None, 1, events[0].start), None);
}

#[test]
fn the_line_of_the_cursor_is_drawn_as_printed() {
    let text = "voice Cantus clef C1\n  sb A4 B ~C /\n  sb C5 B lg A //\nvoice Tenor clef C4\n  br D3 E lg F //\n";
    let line = |word: &str| behind(text, word).voice.map(|voice| (voice.index, voice.line));
    assert_eq!(line("A4 B"), Some((0, 1)));
    assert_eq!(line("C5 B"), Some((0, 2)));
    assert_eq!(line("voice Tenor"), Some((1, 1)));
    assert_eq!(shown("title A\nvoice Cantus clef C1\n", 3).voice, None);
    let drawn = behind(text, "C5 B").voice.unwrap().svg;
    assert!(
        drawn.contains("data-voice=\"Cantus\"") && drawn.contains("data-index=\"3\""),
        "{drawn}"
    );
}

#[test]
fn systems_do_not_change_with_what_is_typed_before_them_in_the_text() {
    let text = "voice Cantus clef C1\n  sb A4 B lg A //\n";
    let before = shown(text, 0).systems;
    let after = shown(&format!("title  A line\n\n; a comment\n{text}"), 0).systems;
    assert_eq!(before, after);
    assert_eq!(before.len(), 1);
}

#[test]
fn the_example_that_is_named_is_shown_or_the_one_of_the_cursor() {
    let text = "example 1\nvoice A clef C1\n  sb A4 B\nexample 2\nvoice A clef C1\n  sb A4 B C5\n";
    let events = |example: Option<&str>, cursor: usize| {
        let view = View { text, example, cursor: cursor as u32, width: 180.0 };
        Desk::new().show(&view, &[]).events.len()
    };
    assert_eq!((events(Some("1"), 60), events(Some("2"), 0)), (2, 3));
    assert_eq!((events(None, 0), events(Some("gone"), 60)), (2, 3));
}

#[test]
fn a_text_without_music_shows_nothing_and_fails_at_nothing() {
    for text in ["", "title A duo", "voice Cantus clef C1\n", "voice", "\u{feff}", "example 1\n"] {
        let shown = shown(text, text.len());
        assert_eq!((shown.systems.len(), shown.bars, &shown.failed), (0, 0, &None), "{text:?}");
    }
}

#[test]
fn any_width_and_cursor_will_do() {
    let text = "voice Cantus clef C1\n  sb A4 B lg A // ; é\n";
    for width in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e300, 1.0] {
        for cursor in [0, 45, 46, u32::MAX] {
            let view = View { text, cursor, width, ..View::default() };
            assert_eq!(Desk::new().show(&view, &[]).events.len(), 3, "{width} {cursor}");
        }
    }
}
