use notation::parse;

use super::*;
use crate::why;

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
fn a_sign_whose_reading_is_divided_is_said_once() {
    let text =
        "voice A clef C1\n br G sign 3 G\nvoice B clef C1\n br G sign 3 G sign C G sign 3 G\n";
    assert_eq!(codes(text), ["W106"]);
    assert_eq!(codes("sign O\nvoice A clef C1\n br G\nvoice B clef C1\n br G\n"), [] as [&str; 0]);
    assert_eq!(codes("voice A clef C1\n br G perfect br G\n"), [] as [&str; 0]);
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
        .map(|section| section.close.map(|end| end.repeat))
        .collect();
    assert_eq!(ends, [Some(false), Some(true), None]);
}

#[test]
fn a_double_bar_at_the_end_begins_no_section() {
    let parsed = parse("voice A clef C1\n br G || /\n");
    assert_eq!(reckon(&parsed.piece).voices[0].sections.len(), 1);
}

/// Two voices; the lengths of the first.
fn lengths_of_first(head: &str, first: &str, second: &str) -> String {
    let parsed = parse(&two(head, first, second));
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    let reckoned = reckon(&parsed.piece);
    let events = reckoned.voices[0].sections.iter().flat_map(|section| &section.events);
    events.map(|event| event.length.to_string()).collect::<Vec<_>>().join(" ")
}

fn two(head: &str, first: &str, second: &str) -> String {
    format!("{head}voice A clef C1\n {first}\nvoice B clef C1\n {second}\n")
}

fn codes_of_two(first: &str, second: &str) -> Vec<&'static str> {
    codes(&two("", first, second))
}

#[test]
fn a_stroke_in_one_voice_halves_where_the_voices_meet_so() {
    let (cut, whole) = ("sign C| br G G lg G", "sign C sb G G lg G");
    assert_eq!(lengths_of_first("", cut, whole), "2 2 4");
    assert_eq!(codes_of_two(cut, whole), ["W107"]);
}

#[test]
fn a_stroke_in_one_voice_is_nothing_where_the_voices_meet_so() {
    let (cut, whole) = ("sign C| sb G G lg G", "sign C sb G G lg G");
    assert_eq!(lengths_of_first("", cut, whole), "2 2 8");
    assert_eq!(codes_of_two(cut, whole), ["W107"]);
    assert_eq!(codes_of_two("sign C| ratio 1:1 sb G lg G", "sign C sb G lg G"), [] as [&str; 0]);
}

#[test]
fn voices_that_change_from_stroke_to_none_together_ask_nothing() {
    let voice = "sign C| sb G G sign C G G lg G";
    assert_eq!(codes_of_two(voice, voice), [] as [&str; 0]);
}

#[test]
fn a_dot_of_prolation_in_one_voice_augments_where_the_voices_meet_so() {
    let (tenor, others) = ("sign C. mn G G G sb G lg G", "sign C sb G G G br G sb G lg G");
    assert_eq!(lengths_of_first("", tenor, others), "2 2 2 6 24");
}

#[test]
fn a_three_in_one_voice_is_read_as_the_others_need_it() {
    let minims = "mn G G G";
    let tripla = format!("sign C sb G sign 3 {minims} sign C lg G");
    assert_eq!(lengths_of_first("", &tripla, "sign C sb G mn G lg G"), "2 1/3 1/3 1/3 8");
    assert_eq!(lengths_of_first("", &tripla, "sign C sb G G lg G"), "2 2/3 2/3 2/3 8");
    assert_eq!(codes_of_two(&tripla, "sign C sb G mn G lg G"), ["W107"]);
}

#[test]
fn two_proportions_at_once_are_exact() {
    let five = "ratio 5:4 mn G G G G G ratio 1:1 lg G";
    let seven = "ratio 7:4 mn G G G G G G G ratio 1:1 lg G";
    let parsed = parse(&two("", five, seven));
    let reckoned = reckon(&parsed.piece);
    let last =
        |voice: usize| reckoned.voices[voice].sections[0].events.last().unwrap().onset.passed();
    assert_eq!((last(0), last(1)), (Time::minims(4), Time::minims(4)));
    assert_eq!(reckoned.diagnostics, []);
}

#[test]
fn a_proportion_that_cannot_be_kept_is_an_error() {
    assert_eq!(codes("voice A clef C1\n mn G sign 99 G\n"), ["E043"]);
    let primes = [61, 59, 53, 47, 43, 41];
    let ratios = primes.map(|prime| format!("ratio {prime}:1 mn G"));
    let found = codes(&format!("voice A clef C1\n {}\n", ratios.join(" ")));
    assert!(!found.is_empty() && found.iter().all(|code| *code == "E043"), "{found:?}");
}

#[test]
fn black_notes_are_read_as_the_others_need_it() {
    let black = "sign C| sb G { sb G mn G G sb G } lg G";
    assert_eq!(lengths_of_first("", black, "sign C| sb G G lg G"), "2 2/3 1/3 1/3 2/3 8");
    assert_eq!(lengths_of_first("", black, "sign C| sb G br G lg G"), "2 4/3 2/3 2/3 4/3 8");
    let under_c = black.replace("C|", "C");
    assert_eq!(lengths_of_first("", &under_c, "sign C sb G br G lg G"), "2 4/3 2/3 2/3 4/3 8");
}

#[test]
fn a_black_semibreve_and_minim_go_with_the_others() {
    let pair = "sb G { sb G mn G } lg G";
    let quavers = "sb G mn G sm G G lg G";
    assert_eq!(lengths_of_first("sign C|\n", pair, quavers), "2 3/2 1/2 8");
    assert_eq!(codes(&two("sign C|\n", pair, quavers)), ["W106", "W107"]);
    assert_eq!(lengths_of_first("sign C|\n", pair, "sb G G lg G"), "2 4/3 2/3 8");
    let triple = "sb G ratio 3:2 mn G G G ratio 1:1 lg G";
    assert_eq!(lengths_of_first("sign C|\n", pair, triple), "2 4/3 2/3 8");
    assert_eq!(
        lengths_of_first("sign C|\n", &pair.replace('{', "ratio 3:2 {"), quavers),
        "2 4/3 2/3 16/3"
    );
}

#[test]
fn a_figure_at_a_black_group_marks_it_alone() {
    let in_it = "sign C sb G { sb G sign 3 mn G sb G mn G } sb G";
    assert_eq!(lengths(in_it), "2 2/3 1/3 2/3 1/3 2");
    let before_it = "sign C sb G sign 3 { sb G mn G sb G mn G } sb G";
    assert_eq!(lengths(before_it), "2 2/3 1/3 2/3 1/3 2");
}

#[test]
fn an_editors_ratio_holds_for_black_notes_too() {
    assert_eq!(lengths("ratio 3:2 sb G mn G { sb G mn G }"), "4/3 2/3 4/3 2/3");
    assert_eq!(lengths("sign 3/2 sb G mn G { sb G mn G }"), "4/3 2/3 4/3 2/3");
}

/// Each reading of a black group can be typed, and is not asked about then.
#[test]
fn an_editor_decides_how_a_black_group_is_read() {
    let read = |music: &str| {
        let parsed = parse(&format!("voice A clef C1 sign C|\n sb G4 {music} sb G G\n"));
        let is_doubtful = !reckon(&parsed.piece).diagnostics.is_empty();
        (lengths(&format!("sign C| sb G {music} sb G")), is_doubtful)
    };
    let decided = |lengths: &str| (lengths.to_owned(), false);
    assert_eq!(read("ratio 3:2 { mn G G G } ratio 1:1"), decided("2 2/3 2/3 2/3 2"));
    assert_eq!(read("ratio 1:1 { mn G G G G }"), decided("2 1 1 1 1 2"));
    assert_eq!(read("{ sb G=3/2 mn G=1/2 }"), decided("2 3/2 1/2 2"));
    assert!(read("{ sb G=3/2 mn G }").1);
    assert!(read("{ sb G mn G }").1);
}

#[test]
fn a_ratio_after_a_sign_says_all_that_its_figures_say() {
    assert_eq!(lengths("sign 3/2 ratio 3:2 sb G G"), "4/3 4/3");
    assert_eq!(lengths("sign 3/2 ratio 3:2 perfect sb sb G G"), "2 2");
    assert_eq!(lengths("sign 3/2 perfect sb ratio 3:2 sb G G"), "2 2");
    assert_eq!(lengths("sign O ratio 1:2 br G G"), "12 12");
}

#[test]
fn lengths_beyond_measure_are_survived() {
    let typed = ["1/9973", "1/9967", "1/9949", "1/9941", "1/9931", "1/9929", "99999/2"];
    let music: Vec<String> = typed.iter().map(|length| format!("sb G={length} {{ A }}")).collect();
    let parsed = parse(&format!("voice A clef C1 sign O\n br G4 {} br G\n", music.join(" ")));
    assert!(reckon(&parsed.piece).diagnostics.iter().any(|found| found.code == Code::TimeTooFine));
}

#[test]
fn a_few_letters_do_not_become_a_long_score() {
    let length = |music: &str| {
        let parsed = parse(&format!("voice C clef C1\n  {music}\n"));
        let reckoned = reckon(&parsed.piece);
        let mut all = parsed.diagnostics.iter().chain(&reckoned.diagnostics);
        let long = all.any(|found| found.code == Code::TooLarge);
        (reckoned.voices[0].sections[0].end.passed(), long)
    };
    assert_eq!(length("br C5=9999 D=9999"), (Time::minims(19_998), false));
    let longest = notation::longest_voice(1);
    let perfect = "perfect mx perfect lg perfect br perfect sb";
    for music in [
        "br C5=9999 ".repeat(1000),
        format!("ratio 1:64 mx {}", "C5 ".repeat(1000)),
        format!("{perfect} mx {}", "C5 ".repeat(10_000)),
    ] {
        let (long, reported) = length(&music);
        assert!(long <= longest && long > longest - Time::minims(9999) && reported, "{long}");
    }
    assert_eq!(length(&"lg C5=22 ".repeat(10_000)), (Time::minims(220_000), false));
}

/// A score of one voice, and why its events last as long as they do.
fn whys(text: &str) -> Vec<String> {
    let parsed = parse(text);
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    let score = crate::align(&parsed.piece, reckon(&parsed.piece), crate::BarLength::Breve).score;
    let voice = &score.voices[0];
    let indexes = voice.events.iter().filter_map(|event| event.index);
    indexes.filter_map(|index| why(&score, &voice.name, index)).collect()
}

#[test]
fn every_length_has_its_reason() {
    let text =
        "voice A clef C1 sign O\n br G sb A br G A sb F E lg G sign 3 sb G. mn F sb G lg G\n";
    assert_eq!(
        whys(text),
        [
            "A 1, a breve, lasts 4 minims: what follows makes it imperfect and takes a third of it",
            "A 2, a semibreve, lasts 2 minims: two of the smaller value make one of it, and no rule changes that",
            "A 3, a breve, lasts 6 minims: like before like is perfect, three of the smaller",
            "A 4, a breve, lasts 6 minims: it is perfect, three of the smaller, as nothing makes it \
             imperfect",
            "A 5, a semibreve, lasts 2 minims: two of the smaller value make one of it, and no rule changes that",
            "A 6, a semibreve, lasts 4 minims: it is altered, that is doubled, to fill the \
             perfection before a larger note",
            "A 7, a longa, lasts 12 minims: two of the smaller value make one of it, and no rule changes that",
            "A 8, a dotted semibreve, lasts 2 minims: the dot adds half of it; 3 of any value go in \
             the time of 2",
            "A 9, a minim, lasts 2/3 minim: two of the smaller value make one of it, and no rule changes that; 3 of any value go in the time of 2",
            "A 10, a semibreve, lasts 1 1/3 minims: two of the smaller value make one of it, and no rule changes that; 3 of any value go in the time of 2",
            "A 11, a longa, lasts 4 minims: the last of its section, it is held or trimmed to where \
             the voices meet",
        ]
    );
}

#[test]
fn there_is_no_reason_where_there_is_no_event() {
    let parsed = parse("voice A clef C1\n br G4\n");
    let score = crate::align(&parsed.piece, reckon(&parsed.piece), crate::BarLength::Breve).score;
    assert_eq!(why(&score, "A", 2), None);
    assert_eq!(why(&score, "B", 1), None);
}
