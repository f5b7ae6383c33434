use notation::parse;

use super::*;

/// The lengths of a voice's events, in minims.
fn lengths(music: &str) -> String {
    let parsed = parse(&format!("voice Cantus clef C1\n  {music}\n"));
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    let reckoned = reckon(&parsed.piece);
    let events = reckoned.voices[0].sections.iter().flat_map(|section| &section.events);
    events.map(|event| event.length.to_string()).collect::<Vec<_>>().join(" ")
}

fn codes(text: &str) -> Vec<&'static str> {
    reckon(&parse(text).piece).diagnostics.iter().map(|found| found.code.number()).collect()
}

#[test]
fn two_of_the_smaller_in_one_of_the_larger() {
    assert_eq!(lengths("mx G lg G br G sb G mn G sm G fu G sf G"), "16 8 4 2 1 1/2 1/4 1/8");
}

#[test]
fn a_dot_adds_half() {
    assert_eq!(lengths("sb G. mn G. .G _."), "3 3/2 1/2 3/2");
    assert_eq!(lengths("sb G.+ G.:"), "3 2");
}

#[test]
fn long_rests_have_as_many_breves_as_spaces() {
    assert_eq!(lengths("lg _2 _3 _"), "8 12 8");
}

#[test]
fn coloration_takes_a_third_away() {
    assert_eq!(lengths("{ sb G mn G } mn G"), "4/3 2/3 1");
}

#[test]
fn a_ratio_scales_until_the_next_ratio_or_sign() {
    assert_eq!(lengths("ratio 3:2 sb G G G sign C G"), "4/3 4/3 4/3 2");
    assert_eq!(lengths("ratio 3:2 sb G ratio 4:1 G ratio 1:1 G"), "4/3 1/2 2");
}

#[test]
fn an_editors_length_is_what_it_is() {
    assert_eq!(lengths("ratio 3:2 sb G=5/2 { G=1/7 }"), "5/2 1/7");
}

#[test]
fn what_is_read_is_counted() {
    assert_eq!(lengths("mn G < fu G. .A | sm G. .A > [ sb G ] mn G"), "1 3/4 1/4 2 1");
}

#[test]
fn a_length_that_cannot_be_kept_is_counted_plainly() {
    let text = "voice C clef C1\n  mn G=1/9973 A=1/9967\n";
    let reckoned = reckon(&parse(text).piece);
    assert_eq!(reckoned.diagnostics[0].code, Code::TimeTooFine);
    assert_eq!(reckoned.voices[0].sections[0].events[1].length, Time::minims(1));
}

#[test]
fn a_sign_that_is_kept_is_said_once() {
    assert_eq!(codes("sign O\nvoice A clef C1\n br G\nvoice B clef C1\n br G\n"), ["W106"]);
    assert_eq!(codes("voice A clef C1\n br G sign 3 G perfect br G\n"), ["W106", "W106"]);
}

#[test]
fn a_sign_that_the_editor_reads_is_not_doubtful() {
    assert_eq!(codes("voice A clef C1\n br G sign 3 ratio 3:2 G\n"), [] as [&str; 0]);
}

#[test]
fn sections_end_at_double_bars() {
    let parsed = parse("voice A clef C1\n br G || G :: G\n");
    let reckoned = reckon(&parsed.piece);
    let ends: Vec<Option<bool>> = reckoned.voices[0]
        .sections
        .iter()
        .map(|section| section.end.map(|end| end.repeat))
        .collect();
    assert_eq!(ends, [Some(false), Some(true), None]);
}

#[test]
fn a_double_bar_at_the_end_begins_no_section() {
    let parsed = parse("voice A clef C1\n br G || /\n");
    assert_eq!(reckon(&parsed.piece).voices[0].sections.len(), 1);
}
