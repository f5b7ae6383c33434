use notation::{apply, parse};
use proptest::prelude::*;
use score::{BarLength, align, reckon};

use super::*;

/// A duo at the fifth, with a suspension at each cadence.
const DUO: &str = "\
voice Cantus  clef C1
  sb D4 E F G mn A sb G mn F# sb G A mn B4 A G F E sb D mn C# sb D _ A4 B mn C5 B A G sb F mn E D
  sb E mn D sb C# br D
voice Tenor  clef C4
  sb _ _ D3 E mn F E D sb C3 mn C sb D F mn G F E D sb C mn A3 G sb F mn E D sb C mn E D sb C mn E F
  sb C3 D E A2 br D3
";

/// The upper voice of a duo in tenths, and its lower one.
const TENTHS: [&str; 2] =
    ["sb E4 mn F G sb A mn G F sb E F G mn F E", "sb C3 mn D E sb F mn E D sb C D E mn D C"];

/// That duo three times, a line each; the second line of the upper voice is another.
fn in_tenths(second: &str) -> String {
    let [above, below] = TENTHS;
    format!(
        "voice Cantus clef C1\n {above} /\n {second} /\n {above} br E4 //\n\
         voice Tenor clef C4\n {below} /\n {below} /\n {below} br C3 //\n"
    )
}

fn mended(text: &str) -> Vec<Suggestion> {
    let piece = parse(text).piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    mend(text, &piece, &score)
}

#[test]
fn nothing_is_suggested_for_a_file_without_music() {
    assert_eq!(mended(""), []);
    assert_eq!(mended("voice A clef C1\nvoice B clef C4\n"), []);
}

#[test]
fn ranks_confidences_and_places_are_in_order() {
    let text = in_tenths(&TENTHS[0].replace("mn G F sb E F G", "mn G sb F E F G"));
    let found = mended(&text);
    assert!(found.len() <= MOST_SUGGESTIONS);
    for (place, suggestion) in found.iter().enumerate() {
        assert_eq!(suggestion.rank, place + 1);
        assert!((0.0..=1.0).contains(&suggestion.confidence));
        assert!(!suggestion.reason.is_empty());
        let typed = suggestion.span.of(&text);
        assert!(suggestion.printed.is_empty() || !typed.is_empty());
    }
    // Readings of a slip that is all but sure come first, though another place may be likelier than each.
    let order = |one: &Suggestion| {
        let first = one.slip_confidence >= ALL_BUT_SURE && one.confidence >= WORTH;
        (!first, -one.confidence)
    };
    assert!(found.is_sorted_by(|one, other| order(one) <= order(other)), "{found:#?}");
    assert!(found[0].slip_confidence >= ALL_BUT_SURE, "{found:#?}");
}

/// In two voices a cadence of D lacks its sign, after so many that have it, and after so many that do not.
fn leading_notes(signed: usize, plain: usize) -> Vec<String> {
    let phrase = |sign: &str| (format!("mn A4 sb D5 mn C{sign}5 sb D5"), "mn F3 F3 sb E3 D3");
    let signs = [vec!["#"; signed], vec![""; plain + 1]].concat();
    let (above, below): (Vec<String>, Vec<&str>) = signs.into_iter().map(phrase).unzip();
    let text = format!(
        "voice Cantus clef C1\n {} lg D5\nvoice Tenor clef F4\n {} lg D3\n",
        above.join(" "),
        below.join(" ")
    );
    let found = mended(&text).into_iter();
    let lacking = found.filter(|found| found.kind == Kind::AccidentalLeftOut);
    lacking
        .map(|found| format!("{} {}: {}", found.name, found.index.unwrap_or(0), found.change()))
        .collect()
}

/// A print that signs its other leading notes has overlooked the last; one that leaves most of them to
/// the singers has not (common practice).
#[test]
fn a_leading_note_that_lacks_its_sign_unlike_others() {
    let number = |phrase: u32| 4 * phrase + 3;
    assert_eq!(leading_notes(4, 0), [format!("Cantus {}: mn C5 -> mn C#5", number(4))]);
    assert_eq!(leading_notes(1, 2), [] as [&str; 0]);
}

/// A piece of four voices in plain counterpoint; what is said of a slip in it.
const FOUR: &str = "\
voice Cantus  clef C1
  mn D5 D sb C5 B4 mn A A sb A B4 mn C5 B A G sb A mn G4 F# sb G _ mn B4 B sb C5 mn D C B A sb G A B C5 D
  mn C5 B A G sb A G4 F# br G4
voice Altus  clef C3
  mn B4 B sb A G mn F# F# sb F# G mn A G F# E sb F# mn E4 D sb D _ mn G G sb G mn G A G F# sb E F# G G A
  mn G4 E F# G sb F#4 D D br D4
voice Tenor  clef C4
  mn G4 G sb E D mn D D sb D D mn E D D B3 sb D mn B3 A sb B _ mn D4 D sb E mn D E D D sb B3 D D E F#
  mn E4 G D D sb D4 B3 A br B3
voice Bassus  clef F4
  mn G3 G sb A3 G mn D D sb D G3 mn A3 G D E sb D mn E3 D sb G2 _ mn G3 G sb C3 mn B2 A G3 D sb E D G3 C3 D
  mn C3 E D B2 sb D3 G2 D3 br G2
";

#[test]
fn a_dot_too_many_is_named_with_its_reason() {
    let text = FOUR.replacen("sb C5 B4 mn A", "sb C5. B4 mn A", 1);
    let found = mended(&text);
    let first = &found[0];
    insta::assert_snapshot!(
        format!(
            "{} {}: {} -> {}\n{}",
            first.name,
            first.index.unwrap(),
            first.printed,
            first.read,
            first.reason
        ),
        @r"
    Cantus 3: sb C5. -> sb C5
    Cantus is a minim long; with a semibreve here the 25 clashes that follow disappear: as typed, bars 3 to 5 have a fourth and a second or seventh with Altus, two seconds or sevenths with Tenor, a fourth and a second or seventh with Bassus
    "
    );
}

/// Where all voices meet, no reason says that one is short or long.
#[test]
fn no_voice_is_called_short_that_is_not() {
    let other = DUO.replace("sb C# br D", "mn C# B4 br D");
    for text in [other.as_str(), FOUR] {
        for suggestion in mended(text) {
            let reason = &suggestion.reason;
            assert!(!reason.contains("short;") && !reason.contains("long;"), "{reason}");
        }
    }
}

#[test]
fn two_slips_in_two_voices_are_both_named() {
    let text = FOUR.replacen("sb C3 mn B2", "mn C3 mn B2", 1);
    let text = text.replacen("sb C5 B4 mn A", "sb C5. B4 mn A", 1);
    let found = mended(&text);
    let names: Vec<(&str, Option<u32>)> =
        found.iter().take(5).map(|s| (s.name.as_str(), s.index)).collect();
    assert!(names.contains(&("Bassus", Some(21))), "{names:?}");
    assert!(names.contains(&("Cantus", Some(3))), "{names:?}");
}

/// A direct that contradicts is evidence from the source.
#[test]
fn a_direct_that_contradicts_names_the_note() {
    let text = FOUR.replacen("sb A B4 mn C5", "sb A ~B4 / sb C5 mn C5", 1);
    let found = mended(&text);
    let slip = found.iter().find(|s| s.name == "Cantus" && s.index == Some(8));
    let slip = slip.unwrap_or_else(|| panic!("{found:#?}"));
    assert_eq!(slip.rank, 1);
    assert_eq!((slip.printed.as_str(), slip.read.as_str()), ("sb C5", "sb B4"));
    assert!(slip.reason.contains("agrees with the direct before it"), "{}", slip.reason);
}

/// The lines of a stacked source end together.
#[test]
fn the_lines_of_a_stacked_source_are_held_against_one_another() {
    let stacked = |with: bool| {
        let line = |text: &str| text.replace("sb _", "_");
        let text = FOUR.replace("sb G _ mn", "sb G / _ mn").replace("sb D _ mn", "sb D / _ mn");
        let text = text.replace("sb B _ mn", "sb B / _ mn").replace("sb G2 _ mn", "sb G2 / _ mn");
        let text = text.replacen("sb D mn E3", "mn D E3", 1);
        let layout = if with { "layout stacked\n" } else { "" };
        line(&format!("{layout}{text}"))
    };
    // The slip is at the Bassus' event 13, in the first line; without the lines, what comes right
    // after it might be as good a place.
    let in_the_line = |found: &[Suggestion]| -> f64 {
        let here = |s: &&Suggestion| s.name == "Bassus" && s.index <= Some(16);
        found.iter().filter(here).map(|s| s.confidence).sum()
    };
    let (with, without) = (mended(&stacked(true)), mended(&stacked(false)));
    assert!(in_the_line(&with) > 0.9, "{with:#?}");
    assert!(in_the_line(&with) >= in_the_line(&without), "{without:#?}");
}

/// Tokens as they come, good and bad.
fn anything() -> impl Strategy<Value = String> {
    let word = prop_oneof![
        6 => "[A-Ga-g][#b]?[2-5]?\\.?",
        2 => "mx|lg|br|sb|mn|sm|fu|sf",
        1 => "_|_\\*3|_2|\\|\\||::|/|//|~C4|\\(|\\)|\\{|\\}|\\[|\\]|<|>|\\|",
        1 => "ratio 3:2|ratio 61:1|ratio 59:64|sign 3|sign O|sign O\\.|clef F4|signature Bb",
        1 => "D=5/7|D=9999/9973|C+E",
    ];
    let voice =
        proptest::collection::vec(word, 0..16).prop_map(|words| format!("{}\n", words.join(" ")));
    proptest::collection::vec(voice, 1..4).prop_map(|voices| {
        let voices = voices.iter().enumerate();
        voices.map(|(n, music)| format!("voice V{n} clef C{}\n mn {music}", n + 1)).collect()
    })
}

/// Of readings that serve equally well, the one at a note that is marked as hard to make out is likelier.
#[test]
fn what_is_marked_doubtful_is_suspected_rather() {
    let text = in_tenths(&TENTHS[0].replace("mn G F sb E F G", "mn G sb F E F G"));
    let found = mended(&text);
    let is_other = |one: &&Suggestion| one.slip == found[0].slip && one.confidence < 0.3;
    let other = found.iter().find(is_other).unwrap();
    let mut doubted = text.clone();
    doubted.insert(other.span.end as usize, '?');
    let again = mended(&doubted);
    let of_it =
        again.iter().find(|one| (one.voice, one.item) == (other.voice, other.item)).unwrap();
    assert!(of_it.confidence > 2.0 * other.confidence, "{other:#?}\n{again:#?}");
    assert_eq!(of_it.repair, other.repair);
}

proptest! {
    // Each case is a whole search.
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Whatever is typed, suggestions are made in order, and what they say of the text is true.
    #[test]
    fn anything_may_be_typed(text in anything(), layout in 0..3_usize) {
        let head = ["", "layout stacked\n", "layout barred\n"][layout];
        let text = format!("{head}{text}voice V9 canon V0 5 above after 2\n");
        let parsed = parse(&text);
        for suggestion in mended(&text) {
            prop_assert!(suggestion.confidence.is_finite());
            prop_assert!(suggestion.span.range().end <= text.len());
            let edits = [retype(&text, &parsed, &suggestion), emend(&text, &parsed, &suggestion)];
            for edits in edits.into_iter().flatten() {
                prop_assert_ne!(apply(&text, &edits), text.clone());
            }
        }
    }
}

/// Three voices in sixths and thirds, in perfect time: breves that are imperfect before and after,
/// perfect before their like, and a dot of division in each line.
fn in_threes() -> String {
    let tune = [
        "br 0 sb 1 br 2 sb 1 sb 0 1 2 br 3 2 sb 1 0. 1 br 2 sb 3 4 3 br 2 sb 1",
        "br 2 1 sb 0 1. 0 br 1 sb 2 3 2 br 1 sb 0 br 1 sb 2 sb 3 2 1 br 0 2",
        "br 4 sb 3 2. 3 br 4 sb 3 2 1 br 0 sb 1 br 2 1 sb 2 1 0 br 1 sb 2",
        "br 3 sb 2 1. 2 br 1 0 sb 1 2 1 br 0 sb 1 br 2 sb 1 lg 0",
    ];
    let voice = |name: &str, clef: &str, above: i32| {
        let note = |word: &str| match word.trim_end_matches('.').parse::<i32>() {
            Ok(step) => {
                let tone = rudiments::Tone::new(rudiments::Step::D, 3).up(step + above);
                format!("{tone}{}", if word.ends_with('.') { "." } else { "" })
            }
            Err(_) => word.to_owned(),
        };
        let lines: Vec<String> = tune
            .iter()
            .map(|line| line.split(' ').map(note).collect::<Vec<_>>().join(" "))
            .collect();
        format!("voice {name} clef {clef} sign O\n  {}\n", lines.join(" /\n  "))
    };
    [voice("Cantus", "C3", 5), voice("Tenor", "C4", 2), voice("Bassus", "F4", 0)].concat()
}

/// What the first suggestion reads instead of what, with the tenor changed once.
fn first_in_threes(from: &str, to: &str) -> (String, String) {
    let text = in_threes();
    let tenor = text.find("Tenor").unwrap();
    let at = tenor + text[tenor..].find(from).unwrap();
    let slip = format!("{}{to}{}", &text[..at], &text[at + from.len()..]);
    let found = mended(&slip);
    let first = found.first().unwrap_or_else(|| panic!("{slip}"));
    assert_eq!(first.name, "Tenor", "{first:#?}");
    (first.printed.clone(), first.read.clone())
}

#[test]
fn slips_in_threes() {
    let text = in_threes();
    assert_eq!(mended(&text).iter().filter(|found| found.confidence > 0.3).count(), 0);
    let pair = |one: &str, other: &str| (one.to_owned(), other.to_owned());
    // A dot of division.
    assert_eq!(first_in_threes("G3 F3. G3 br A3", "G3 F3 G3 br A3"), pair("sb F3", "sb F3."));
    // Of two breves, the first is perfect no more.
    assert_eq!(first_in_threes("br B3 A3 sb G3", "br B3 sb A3 G3"), pair("sb A3", "br A3"));
    // A part of an imperfect breve.
    let (printed, read) = first_in_threes("br F3 sb G3 br A3", "br F3 br G3 br A3");
    assert_eq!((printed, read), pair("br G3", "sb G3"));
}

/// What is read with another sign than typed, and why.
fn signs(text: &str) -> Vec<String> {
    let found = mended(text).into_iter();
    found
        .filter(|found| matches!(found.repair, Repair::Sign(_)))
        .map(|found| format!("{} {}: {}", found.name, found.change(), found.reason))
        .collect()
}

#[test]
fn a_sign_that_makes_false_intervals_is_too_many() {
    let sure = mended(FOUR).into_iter().filter(|found| found.confidence >= 0.1);
    let of_sign = sure.filter(|found| matches!(found.repair, Repair::Sign(_)));
    assert_eq!(of_sign.map(|found| found.change()).collect::<Vec<_>>(), [] as [&str; 0]);
    assert_eq!(
        signs(&FOUR.replacen("mn G3 G sb A3", "mn G#3 G sb A3", 1)),
        [
            "Bassus mn G#3 -> mn G3: without the sign before G3 the three clashes disappear: as typed, \
          bar 1 has a tritone with Cantus, two chromatic intervals with Tenor"
        ]
    );
}

/// A line under a wrong clef: a fifth too high.
fn a_line_under_a_wrong_clef(sign: &str) -> Vec<Suggestion> {
    mended(&in_tenths(&format!("sb B4 mn C5 D5 sb E5 mn D5 C{sign}5 sb B4 C5 D5 mn C5 B4")))
}

/// Each line of a source has its clef (common practice), so what is misread under a wrong one ends with it.
#[test]
fn a_wrong_clef_holds_to_the_end_of_a_line() {
    let found = a_line_under_a_wrong_clef("");
    let Repair::Transpose { steps, events } = found[0].repair else { panic!("{found:#?}") };
    assert_eq!((steps, events, found[0].index), (-4, 11, Some(12)), "{found:#?}");
}

/// A sign goes with its note to a key that was built: a sharp at C to F.
#[test]
fn a_sign_stays_before_a_note_under_another_clef() {
    let found = a_line_under_a_wrong_clef("#");
    assert_eq!((found[0].kind, found[0].index), (Kind::WrongClef, Some(12)), "{found:#?}");
    assert!(found.iter().all(|found| !found.read.contains("B#")), "{found:#?}");
}
