use notation::{Code, parse};

use super::*;
use crate::reckon::reckon;

fn aligned(text: &str) -> Aligned {
    let parsed = parse(text);
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve)
}

fn codes(text: &str) -> Vec<Code> {
    aligned(text).diagnostics.into_iter().map(|diagnostic| diagnostic.code).collect()
}

/// Two voices, the music of each.
fn duo(cantus: &str, tenor: &str) -> String {
    format!("voice Cantus clef C1\n  {cantus}\nvoice Tenor clef C4\n  {tenor}\n")
}

/// Onset and length of every event of a voice.
fn times(aligned: &Aligned, voice: usize) -> String {
    let events = &aligned.score.voices[voice].events;
    let shown: Vec<String> = events.iter().map(|e| format!("{}:{}", e.onset, e.length)).collect();
    shown.join(" ")
}

fn bars(aligned: &Aligned) -> String {
    let shown: Vec<String> =
        aligned.score.bars.iter().map(|bar| format!("{}-{}", bar.start, bar.end)).collect();
    shown.join(" ")
}

#[test]
fn a_final_is_held_or_trimmed_to_its_bar() {
    let aligned = aligned(&duo("sb G A mn G F lg G", "br D3 sb E mn C D"));
    assert_eq!(times(&aligned, 0), "0:2 2:2 4:1 5:1 6:2");
    assert_eq!(times(&aligned, 1), "0:4 4:2 6:1 7:1");
    assert_eq!(bars(&aligned), "0-4 4-8");
}

#[test]
fn no_bar_begins_with_a_last_note_in_a_short_proportion() {
    let aligned = aligned(&duo("sb G mn A ratio 3:2 G", "sb E4 mn D ratio 3:2 G"));
    assert_eq!(times(&aligned, 0), "0:2 2:1 3:1");
    assert_eq!(bars(&aligned), "0-4");
}

#[test]
fn no_bar_begins_with_two_short_proportions() {
    let two = |rest: &str| {
        let voice = |before: &str| format!("{before} ratio 3:2 mn G ratio 3:1 G {rest}");
        bars(&aligned(&duo(&voice("sb G mn A"), &voice("sb E4 mn D"))))
    };
    assert_eq!(two(""), "0-4");
    assert_eq!(two("sign C br A lg G"), "0-4 4-8 8-12");
}

#[test]
fn a_voice_half_a_minim_short_is_an_error() {
    let text = duo("sb G A mn G F lg G", "br D3 mn E sm C lg D");
    let found = aligned(&text).diagnostics;
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].code, Code::NotTogether);
    // Of two voices, either may be wrong.
    assert_eq!(found[0].message, "Cantus comes to its last note after 6 minims, Tenor after 5 1/2");
    assert_eq!(found[0].related[0].1, "the last note of Tenor");
}

#[test]
fn the_voice_that_differs_from_most_is_the_wrong_one() {
    let text = format!(
        "{}voice Bassus clef F4\n  br D3 sb C mn D lg G2\n",
        duo("br G sb A lg G", "br D3 sb C lg D")
    );
    let found = aligned(&text).diagnostics;
    assert_eq!(found.len(), 1);
    assert!(found[0].message.starts_with("Bassus comes to its last note 1 minim late"));
    let help = found[0].help.as_deref().unwrap();
    assert_eq!(help, "up to the last note, in minims: Cantus 6, Tenor 6, Bassus 7");
}

/// The first voice may be the wrong one.
#[test]
fn the_first_voice_is_named_where_the_others_agree() {
    let text = format!(
        "{}voice Bassus clef F4\n  br D3 sb C lg G2\n",
        duo("br G mn A lg G", "br D3 sb C lg D")
    );
    let found = aligned(&text).diagnostics;
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].message, "Cantus comes to its last note 1 minim early");
}

#[test]
fn where_as_many_end_at_one_time_as_at_another_all_are_named() {
    let text = format!(
        "{}voice Altus clef C4\n br D3 mn C lg D\nvoice Bassus clef F4\n  br D3 sb C lg G2\n",
        duo("br G mn A lg G", "br D3 sb C lg D")
    );
    let found = aligned(&text).diagnostics;
    assert_eq!(found.len(), 1);
    assert_eq!(
        found[0].message,
        "Tenor and Bassus come to their last notes after 6 minims, Cantus and Altus after 5"
    );
    let help = found[0].help.as_deref().unwrap();
    assert!(help.starts_with("a value, a dot or a rest is wrong in one of them;"), "{help}");
}

#[test]
fn a_last_note_is_held_while_others_move_if_it_has_its_length() {
    let text = duo("br G A lg G", "br D3 lg D");
    assert_eq!(codes(&text), [Code::NotTogether]);
    let help = aligned(&text).diagnostics.remove(0).help.unwrap();
    assert!(help.ends_with("type its length after it: =8"), "{help}");
    assert_eq!(codes(&text.replace("lg D\n", "lg D=8\n")), []);
    let three = format!("{text}voice Bassus clef F4\n  br G2 A lg G\n");
    assert_eq!(codes(&three), [Code::NotTogether]);
    assert_eq!(codes(&three.replace("lg D\n", "lg D=8\n")), []);
    // A length that does not reach to where the others end is no reason.
    assert_eq!(codes(&text.replace("lg D\n", "lg D=3\n")), [Code::NotTogether]);
}

#[test]
fn voices_whose_values_lead_to_the_same_place_end_together() {
    assert_eq!(codes(&duo("br G A lg G", "br D3 lg D.")), []);
    assert_eq!(codes(&duo("sb G A G", "sb D3 br C")), []);
}

#[test]
fn a_voice_that_ends_within_a_proportion_is_told_so() {
    let alone = |music: &str| codes(&format!("voice Cantus clef C1\n {music}\n"));
    for music in [
        "ratio 3:2 mn G4 A",
        "sb G4 ratio 3:2 mn A G A ratio 1:1 sb G ratio 3:2 mn A G",
        "ratio 3:2 mn G4 A lg G",
        "ratio 3:2 mn G4 _",
        "ratio 3:2 { sb G4 sb A }",
        "ratio 3:2 mn G4 A ratio 1:1 br G",
        "ratio 5:4 mn G4 A G A",
        "ratio 3:2 mn G4 A || ratio 1:1 lg G",
    ] {
        assert_eq!(alone(music), [Code::EndsBroken], "{music}");
    }
    for music in [
        "ratio 3:2 mn G4 A G",
        "ratio 3:2 mn G4 A G A",
        "ratio 3:2 mn G4 A G lg A",
        "ratio 3:2 mn G4 A G || A G A",
        "ratio 3:2 mn G4 lg A",
        "ratio 3:2 sm G4 A G ratio 1:1 A",
        "mn G4 sm A fu G sf A",
        "mn G4=1/3 A",
    ] {
        assert_eq!(alone(music), [], "{music}");
    }
}

#[test]
fn voices_that_end_within_a_proportion_together_may_mean_it() {
    let triple = "ratio 3:2 mn G A G A";
    assert_eq!(codes(&duo(&format!("{triple} G"), "ratio 3:2 mn D3 C D C D")), []);
    // What is said once is not said again.
    assert_eq!(codes(&duo(&format!("{triple} G"), "sb D3 D")), [Code::NotTogether]);
    // A last rest is silent anyway, so only its count is told.
    let found = codes(&duo("ratio 3:2 mn G A G A _", "sb D3 mn D"));
    assert_eq!(found, [Code::EndsBroken]);
}

#[test]
fn a_voice_that_stops_long_before_the_end_is_silent() {
    let aligned = aligned(&duo("br G A G A G lg G", "br D3 sb D"));
    assert_eq!(times(&aligned, 1), "0:4 4:2 6:18");
    assert!(aligned.score.voices[1].events[2].is_rest());
}

#[test]
fn inside_a_piece_voices_meet_by_their_values() {
    let aligned = aligned(&duo("br G sb G || br A lg G", "sb D3 D D || br C lg D"));
    assert_eq!(bars(&aligned), "0-4 4-6 6-10 10-14");
    assert_eq!(aligned.score.bars[1].close, Close::Section);
    assert_eq!(aligned.score.bars[3].close, Close::Final);
}

#[test]
fn a_long_before_a_double_bar_is_trimmed_as_a_final_is() {
    let aligned = aligned(&duo("br G lg G || br A lg G", "br D3 lg D || br C lg D"));
    assert_eq!(bars(&aligned), "0-4 4-8 8-12 12-16");
}

#[test]
fn voices_that_do_not_meet_at_a_double_bar() {
    let text = duo("sb G A G br A || br A lg G", "sb D3 C mn D br C || br C lg D");
    let found = aligned(&text).diagnostics;
    assert_eq!(found[0].code, Code::NotMeeting);
    let message = "Cantus comes to its last note of section 1 after 6 minims, Tenor after 5";
    assert_eq!(found[0].message, message);
}

#[test]
fn a_double_bar_is_taken_from_the_other_voices() {
    let text = duo("br G lg G || br A lg G", "br D3 lg D br C lg D");
    let aligned = aligned(&text);
    assert_eq!(aligned.diagnostics.len(), 1);
    assert_eq!(aligned.diagnostics[0].code, Code::SectionTaken);
    assert_eq!(times(&aligned, 1), "0:4 4:4 8:4 12:4");
    // It may be a stray one: in two voices nothing is sure.
    assert_eq!(aligned.diagnostics[0].fix, None);
}

#[test]
fn a_double_bar_that_most_voices_have_can_be_typed() {
    let text = duo("br G lg G || br A lg G", "br D3 lg D br C lg D");
    let text = format!("{text}voice Bassus clef F4\n br G2 lg G || br A2 lg G\n");
    let found = aligned(&text).diagnostics;
    assert_eq!(found.len(), 1);
    let fixed = notation::apply(&text, &[found[0].fix.clone().unwrap()]);
    assert_eq!(codes(&fixed), []);
}

#[test]
fn a_double_bar_where_nothing_ends_is_an_error() {
    let text = duo("br G sb G || sb A lg G", "br D3 sb D. sb D lg D");
    assert!(codes(&text).contains(&Code::NotMeeting));
}

#[test]
fn a_repeat_is_an_end_of_a_section() {
    let aligned = aligned(&duo("br G A :: br A lg G ::", "br D3 D :: br C lg D ::"));
    let closes: Vec<Close> = aligned.score.bars.iter().map(|bar| bar.close).collect();
    assert_eq!(closes, [Close::Plain, Close::Repeat, Close::Plain, Close::FinalRepeat]);
}

#[test]
fn in_a_stacked_source_the_line_is_named() {
    let cantus = "sb G A / G F / G A / lg G";
    let tenor = "sb D3 D / mn E D E / sb D C / lg D";
    let found = aligned(&format!("layout stacked\n{}", duo(cantus, tenor))).diagnostics;
    assert_eq!(found[0].code, Code::NotTogether);
    let (_, label) = &found[0].related[1];
    assert!(label.starts_with("from source line 2 on the sums stay apart: "), "{label}");
}

#[test]
fn a_note_may_overhang_the_end_of_a_source_line() {
    let cantus = "sb G A / mn G sb F mn G / sb G mn A / lg G";
    let tenor = "sb D3 mn C D / br E / sb D sb C / lg D";
    let found = aligned(&format!("layout stacked\n{}", duo(cantus, tenor))).diagnostics;
    let (_, label) = &found[0].related[1];
    assert_eq!(label, "from source line 3 on the sums stay apart: Cantus 11, Tenor 12");
}

#[test]
fn source_lines_are_counted() {
    let text = format!("layout stacked\n{}", duo("br G / A / lg G", "br D3 C / lg D"));
    assert_eq!(codes(&text), [Code::SourceLinesDiffer]);
}

#[test]
fn printed_bar_lines_are_compared_bar_by_bar() {
    let text = "layout barred\nvoice C clef C1\n  sb G A | mn G sb A | sb G F | G A | lg G\n";
    let found = aligned(text).diagnostics;
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].message, "the printed bar 2 of C has 3 minims, not 4");
}

/// A voice needs no `/` or `//` at its end, unless others have one there.
#[test]
fn the_end_of_the_last_line_is_typed_in_all_voices_or_in_none() {
    let stacked = |cantus, tenor| format!("layout stacked\n{}", duo(cantus, tenor));
    assert_eq!(codes(&stacked("br G / A lg G", "br D3 / C lg D")), []);
    assert_eq!(codes(&stacked("br G / A lg G //", "br D3 / C lg D //")), []);
    let text = stacked("br G / A lg G //", "br D3 / C lg D");
    let found = aligned(&text).diagnostics;
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].message, "Tenor has no // at its end, but other voices have");
    assert_eq!(codes(&text.replace("lg D\n", "lg D //\n")), []);
    // The end of the piece is no end of a section.
    assert_eq!(codes(&duo("br G A lg G ||", "br D3 C lg D")), []);
}

#[test]
fn a_follower_that_is_cut_short() {
    let canon = |dux: &str, after: u32| {
        format!("voice Dux clef C4\n {dux}\nvoice Comes canon Dux 5 above after {after}\n")
    };
    let music = "sb D3 E F G A G F E lg D3";
    assert_eq!(codes(&canon(music, 2)), []);
    let found = aligned(&canon(music, 6)).diagnostics;
    assert_eq!(found.len(), 1);
    assert_eq!(
        found[0].message,
        "Comes is cut short: the end comes before it has followed the last 2 notes of Dux"
    );
    // A signum or a corona where it ends says that this is meant.
    for sign in ["%", "^"] {
        assert_eq!(codes(&canon(&music.replace("G F E", &format!("G F{sign} E")), 6)), []);
        assert_eq!(
            codes(&canon(&music.replace("G F E", &format!("G{sign} F E")), 6)),
            [Code::CutShort]
        );
    }
}

#[test]
fn a_canon_follows_in_its_own_signature() {
    let text = "voice Dux clef C3\n  sb F3 Bb3 G A lg F\n\
                voice Comes canon Dux 5 above after 4 clef C1\n";
    let aligned = aligned(text);
    let comes = &aligned.score.voices[1];
    let heard: Vec<String> = comes
        .events
        .iter()
        .flat_map(|event| &event.notes)
        .map(|note| note.pitch.to_string())
        .collect();
    assert_eq!(heard, ["C4", "F4", "D4", "E4"]);
    assert_eq!(times(&aligned, 1), "0:4 4:2 6:2 8:2 10:2");
}

#[test]
fn a_piece_without_music_has_no_bars() {
    let parsed = parse("");
    let aligned = align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve);
    assert!(aligned.score.bars.is_empty() && aligned.score.voices.is_empty());
}

#[test]
fn threes_of_semibreves_are_not_divided_by_bars() {
    let text = duo(
        "sb G4 ratio 3:2 sb G A B A G F ratio 1:1 lg G",
        "sb D3 ratio 3:2 br D sb E br F sb D ratio 1:1 lg D",
    );
    let parsed = parse(&text);
    let aligned = align(&parsed.piece, reckon(&parsed.piece), BarLength::Semibreve);
    assert_eq!(bars(&aligned), "0-2 2-6 6-10 10-12");
}

/// Six in the time of four are three in the time of two.
#[test]
fn equal_proportions_make_a_common_meter() {
    let bars_under = |ratio: &str| {
        let music = |clef_music: &str| clef_music.replace("3:2", ratio);
        let text = duo(
            &music("sb G4 ratio 3:2 sb G A B A G F ratio 1:1 lg G"),
            "sb D3 ratio 3:2 br D sb E br F sb D ratio 1:1 lg D",
        );
        bars(&aligned(&text))
    };
    assert_eq!(bars_under("6:4"), bars_under("3:2"));
    assert_eq!(bars_under("3:2"), "0-2 2-6 6-10 10-14");
}

/// Common practice of editions: the bar is the breve of the sign.
#[test]
fn a_bar_is_the_breve_of_its_sign() {
    let of = |sign: &str, bar| {
        let text = format!("sign {sign}\nvoice A clef C1\n sb G A B A B A G A B A G A lg G\n");
        let parsed = notation::parse(&text);
        let aligned = align(&parsed.piece, reckon(&parsed.piece), bar);
        bars(&aligned).split(' ').take(2).collect::<Vec<_>>().join(" ")
    };
    for (sign, breve, semibreve) in [
        ("C", "0-4 4-8", "0-2 2-4"),
        ("O", "0-6 6-12", "0-2 2-4"),
        ("C.", "0-6 6-12", "0-3 3-6"),
        ("O.", "0-9 9-18", "0-3 3-6"),
    ] {
        assert_eq!(of(sign, BarLength::Breve), breve, "{sign}");
        assert_eq!(of(sign, BarLength::Semibreve), semibreve, "{sign}");
    }
}

#[test]
fn bars_change_with_the_sign_of_most_voices() {
    let text = "voice A clef C1 sign O\n br G G sign C br A lg G\n\
                voice B clef C1 sign O\n br G G sign C br A lg G\n\
                voice C clef C1 sign C\n br G sb G br G sb G br A lg G\n";
    let aligned = aligned(text);
    assert_eq!(bars(&aligned), "0-6 6-12 12-16 16-20");
    let found: Vec<&Diagnostic> =
        aligned.diagnostics.iter().filter(|found| found.code == Code::BarsOfOthers).collect();
    assert_eq!(found.len(), 1);
    assert_eq!(
        found[0].message,
        "bars are drawn by the sign of the other voices, not by that of C"
    );
}

#[test]
fn bars_begin_anew_where_all_voices_change_together() {
    let voice = "sb G sign 3 ratio 3:2 sb A B C A B C sign C sb A lg G";
    let together = aligned(&duo(voice, voice));
    assert_eq!(bars(&together), "0-2 2-6 6-10 10-14");
    let apart = aligned(&duo(voice, "sb D3 br D D sb D lg D"));
    assert_eq!(bars(&apart), "0-4 4-8 8-12 12-16");
}
