//! What is written, read back by the XML parser alone.

use std::collections::HashMap;
use std::fmt::Write as _;

use notation::{MarkShape, parse};
use proptest::prelude::*;
use roxmltree::{Document, Node};
use rudiments::{Direction, Interval, Quarters, Time};
use score::{
    BarLength, Clefs, Figure, Mark, Options, Reduction, Run, Score, Shade, Staves, align, arrange,
    reckon,
};

use super::write_musicxml;

fn score(text: &str) -> Score {
    let piece = parse(text).piece;
    align(&piece, reckon(&piece), BarLength::Breve).score
}

fn written(text: &str, options: Options) -> String {
    write_musicxml(&arrange(&score(text), options)).unwrap()
}

fn keyboard(text: &str) -> String {
    written(text, Options::default())
}

const OPEN: Options = Options {
    staves: Staves::Open,
    reduction: Reduction::Original,
    transpose: None,
    reach: Options::USUAL_REACH,
    stems: score::Stems::Pitch,
    rests: score::Rests::Needed,
    clefs: Clefs::Fitting,
};

/// The text of every element of that name, in order.
fn all(xml: &str, name: &str) -> Vec<String> {
    let document = Document::parse(xml).unwrap();
    let found = document.descendants().filter(|node| node.has_tag_name(name));
    found.map(|node| node.text().unwrap_or("").to_owned()).collect()
}

/// The attributes of every element of that name, in order: `type=start number=1`.
fn attributes(xml: &str, name: &str) -> Vec<String> {
    let document = Document::parse(xml).unwrap();
    let found = document.descendants().filter(|node| node.has_tag_name(name));
    let say = |node: Node<'_, '_>| {
        let attributes = node.attributes().map(|a| format!("{}={}", a.name(), a.value()));
        attributes.collect::<Vec<_>>().join(" ")
    };
    found.map(say).collect()
}

#[test]
fn a_little_score() {
    let text = "title Two voices\nsource Valdeluz part-books, fol. 3r\nsign C|\n\
                voice Cantus clef C1\n sb _ _ A4 B C / mn C5 sb D mn C[#] lg D //\n\
                voice Tenor clef C4\n sb D3 E F G A / mn A3 F sb E lg D //\n";
    insta::assert_snapshot!(keyboard(text));
}

#[test]
fn what_a_person_typed_is_escaped() {
    let text = "title Lauda & <Gloria>\ncomposer C. <D>\neditor A. \"B\"\nnote one\nnote two\n\
                voice A&B clef C1\n lg G4\n";
    let xml = written(text, OPEN);
    assert_eq!(all(&xml, "work-title"), ["Lauda & <Gloria>"]);
    assert_eq!(all(&xml, "creator"), ["C. <D>", "A. \"B\""]);
    assert_eq!(all(&xml, "miscellaneous-field"), ["one", "two"]);
    assert_eq!(all(&xml, "part-name"), ["A&B"]);
}

#[test]
fn an_open_score_has_a_part_a_voice() {
    let text =
        "voice Cantus clef C1\n lg G4\nvoice Tenor clef C4\n lg D3\nvoice Bassus clef F4\n lg G2\n";
    let xml = written(text, OPEN);
    assert_eq!(all(&xml, "part-name"), ["Cantus", "Tenor", "Bassus"]);
    assert_eq!(all(&xml, "voice"), ["1", "2", "3"]);
    assert_eq!(all(&xml, "sign"), ["G", "F", "F"]);
    assert_eq!(all(&xml, "staff"), [] as [&str; 0]);
}

#[test]
fn a_keyboard_score_is_one_part_of_two_staves() {
    let text = "voice Cantus clef C1\n br G4 lg G4\nvoice Bassus clef F4\n br G2 lg G2\n";
    let xml = keyboard(text);
    assert_eq!(all(&xml, "staves"), ["2"]);
    assert_eq!(all(&xml, "part-symbol"), ["brace"]);
    assert_eq!(all(&xml, "voice"), ["1", "2", "1", "2"]);
    assert_eq!(all(&xml, "staff"), ["1", "2", "1", "2"]);
}

#[test]
fn bar_lines_and_repeats() {
    let text = "voice Cantus clef C1\n br G4 A || br A G :: br A sb G :: br A lg G\n";
    let xml = keyboard(text);
    let styles = all(&xml, "bar-style");
    assert_eq!(
        styles,
        ["light-light", "heavy-light", "light-heavy", "heavy-light", "light-heavy", "light-heavy"]
    );
    assert_eq!(
        attributes(&xml, "repeat"),
        ["direction=forward", "direction=backward", "direction=forward", "direction=backward"]
    );
    // The third section ends with half a bar.
    assert_eq!(all(&xml, "beats"), ["4", "2", "4"]);
    assert_eq!(attributes(&xml, "time"), ["", "print-object=no", "print-object=no"]);
    let numbers: Vec<String> = (1..=8).map(|number| format!("number={number}")).collect();
    assert_eq!(attributes(&xml, "measure"), numbers);
}

/// A rest that other voices of the staff cover is there, as time needs it, but not seen.
#[test]
fn rests_that_are_left_out_are_not_printed() {
    let text = "voice A clef C1\n br A4\nvoice B clef C1\n sb G4 _\nvoice F clef F4\n br C3\n";
    let shown = |rests| {
        let xml = written(text, Options { rests, ..Options::default() });
        attributes(&xml, "note")
    };
    let notes = |rest: &str| ["", "", rest, ""].map(str::to_owned).to_vec();
    assert_eq!(shown(score::Rests::Needed), notes("print-object=no"));
    assert_eq!(shown(score::Rests::All), notes(""));
}

#[test]
fn signs_of_meter() {
    let sign = |sign: &str| {
        attributes(&keyboard(&format!("sign {sign}\nvoice A clef C1\n lg G4\n")), "time")
    };
    assert_eq!(sign("C|"), ["symbol=cut"]);
    assert_eq!(sign("C"), ["symbol=common"]);
    assert_eq!(sign("O"), [""]);
}

#[test]
fn accidentals_say_whose_they_are() {
    let xml = keyboard("voice A clef C1\n mn F#4 F F[#] G F F5 br G\n");
    assert_eq!(all(&xml, "alter"), ["1", "1", "1"]);
    assert_eq!(all(&xml, "accidental"), ["sharp", "natural"]);
    assert_eq!(attributes(&xml, "accidental"), ["", "cautionary=yes"]);
    assert_eq!(all(&xml, "accidental-mark"), ["sharp"]);
    assert_eq!(all(&xml, "level"), ["editorial"]);
}

#[test]
fn brackets_of_ligatures_and_coloration_have_their_numbers() {
    let brackets = |text: &str| -> Vec<String> {
        let all = attributes(&keyboard(text), "bracket").into_iter();
        all.map(|bracket| bracket.replace(" line-end=down", "")).collect()
    };
    let overlapping = "voice A clef C1\n { mn G4 ( G A } G ) br G lg G\n";
    assert_eq!(
        brackets(overlapping),
        [
            "type=start number=2 line-type=dashed",
            "type=start number=1 line-type=solid",
            "type=stop number=2 line-type=dashed",
            "type=stop number=1 line-type=solid",
        ]
    );
    let in_two_voices = "voice A clef C1\n ( sb G4 A ) lg G\nvoice B clef C1\n ( sb G4 A ) lg G\n";
    assert_eq!(
        brackets(in_two_voices),
        [
            "type=start number=1 line-type=solid",
            "type=stop number=1 line-type=solid",
            "type=start number=3 line-type=solid",
            "type=stop number=3 line-type=solid",
        ]
    );
}

#[test]
fn words_and_marks() {
    let text = "voice A clef C1\n \"Prima pars\" br G4% A^ \"Secunda pars\" lg G^\n";
    let xml = keyboard(text);
    assert_eq!(all(&xml, "words"), ["Prima pars", "Secunda pars"]);
    assert_eq!(all(&xml, "segno").len(), 1);
    assert_eq!(all(&xml, "fermata").len(), 2);
}

#[test]
fn what_the_editor_did_has_a_level() {
    let text = "voice A clef C1\n br G4 [ A ] < G | A > G? lg G\n";
    assert_eq!(all(&keyboard(text), "level"), ["supplied", "emended", "doubtful"]);
}

#[test]
fn a_signature_that_is_no_usual_one_is_spelled_out() {
    let xml = keyboard("signature Eb\nvoice A clef C1\n lg G4\n");
    assert_eq!(all(&xml, "key-step"), ["E"]);
    assert_eq!(all(&xml, "key-alter"), ["-1"]);
    assert_eq!(all(&keyboard("signature Bb,Eb\nvoice A clef C1\n lg G4\n"), "fifths"), ["-2"]);
}

#[test]
fn tuplets_are_bracketed_and_exact() {
    let upper = "voice A clef C1\n br G4 ratio 3:2 mn A B C A B C ratio 1:1 lg G\n";
    let xml = keyboard(&format!("{upper}voice B clef C1\n br G4 A lg G\n"));
    assert_eq!(all(&xml, "divisions"), ["3"]);
    assert_eq!(all(&xml, "actual-notes"), ["3"; 6]);
    assert_eq!(
        attributes(&xml, "tuplet"),
        ["type=start number=1 bracket=yes", "type=stop number=1"].repeat(2)
    );
}

#[test]
fn a_proportion_of_all_voices_has_a_meter_and_no_brackets() {
    let voice = "br G4 sign 3 ratio 3:2 sb A B C sign C br A lg G\n";
    let xml = keyboard(&format!("voice A clef C1\n {voice}voice B clef C1\n {voice}"));
    assert_eq!(all(&xml, "beats"), ["4", "4", "3", "4"]);
    assert_eq!(all(&xml, "beat-type"), ["2", "2", "1", "2"]);
    assert_eq!(all(&xml, "time-relation"), ["equals"]);
    assert_eq!(all(&xml, "actual-notes"), ["3"; 6]);
    let hidden = "type=start number=1 bracket=no show-number=none";
    assert_eq!(attributes(&xml, "tuplet"), [hidden, "type=stop number=1"].repeat(2));
    assert_eq!(all(&xml, "words"), ["3: three semibreves in the time of two", "C"]);
}

/// The typed limits of an octave, and beyond them by an interval, a canon and a place on the staff.
#[test]
fn octaves_that_the_format_has_not() {
    let write = |text: &str, transpose: Option<Interval>| {
        let score = score(text);
        let arrangement = arrange(&score, Options { transpose, ..OPEN });
        write_musicxml(&arrangement).map_err(|error| error.to_string())
    };
    let dux = "voice A clef C1\n br C0 B9 lg G9\n";
    assert_eq!(all(&write(dux, None).unwrap(), "octave"), ["0", "9", "9"]);
    let beyond = |pitch: &str, voice: &str, bar: u32| {
        Err(format!(
            "{pitch} in {voice}, bar {bar}, is beyond the octaves 0 to 9 of MusicXML: look whether the \
             octave, the clef and the transposition are right"
        ))
    };
    let up = Interval::of_number(5, Direction::Up);
    assert_eq!(write(dux, up), beyond("F#10", "A", 2));
    assert_eq!(write(dux, Interval::of_number(2, Direction::Down)), beyond("Bb-1", "A", 1));
    let canon = format!("{dux}voice B canon A 2 above after 4\n");
    assert_eq!(write(&canon, None), beyond("C10", "B", 3));
    let places = "voice A clef G2 positions\n br 3 99 lg 3\n";
    assert!(write(places, None).unwrap_err().contains("in A, bar 2,"));
}

#[test]
fn nothing_is_still_a_score() {
    let xml = keyboard("");
    assert_eq!(attributes(&xml, "measure"), ["number=1"]);
    assert_eq!(attributes(&written("", OPEN), "part"), ["id=P1"]);
}

/// Onset, length and key number of each note of a voice, tied ones as one; sorted.
type Sounds = Vec<(Time, Time, i32)>;

/// What the file says sounds, by voice number. Knows nothing of how it was written.
fn sounds_in(xml: &str, minim: Quarters) -> HashMap<usize, Sounds> {
    let document = Document::parse(xml).unwrap();
    let child = |node: Node<'_, '_>, name: &str| {
        node.children()
            .find(|child| child.has_tag_name(name))
            .and_then(|node| node.text().map(str::to_owned))
    };
    let integer = |text: String| text.parse::<i64>().unwrap();
    let mut voices: HashMap<usize, Sounds> = HashMap::new();
    for part in document.root_element().children().filter(|node| node.has_tag_name("part")) {
        let mut divisions = 1;
        let mut begin = Time::ZERO;
        // The notes that wait for the other end of their tie.
        let mut tied: Vec<(usize, Time, Time, i32)> = Vec::new();
        for measure in part.children().filter(|node| node.has_tag_name("measure")) {
            let (mut now, mut end, mut onset) = (begin, begin, begin);
            for element in measure.children().filter(Node::is_element) {
                if let Some(typed) = child(element, "divisions") {
                    divisions = integer(typed);
                }
                let Some(duration) = child(element, "duration").map(integer) else { continue };
                let length = Quarters::new(duration, divisions).minims(minim);
                match element.tag_name().name() {
                    "backup" => now = now - length,
                    "note" => {
                        if !element.children().any(|c| c.has_tag_name("chord")) {
                            onset = now;
                            now += length;
                        }
                        let Some(pitch) = element.children().find(|c| c.has_tag_name("pitch"))
                        else {
                            end = end.max(now);
                            continue;
                        };
                        let step = child(pitch, "step").unwrap();
                        let step = [0, 2, 4, 5, 7, 9, 11]["CDEFGAB".find(&step).unwrap()];
                        let alter = child(pitch, "alter").map_or(0, integer);
                        let octave = child(pitch, "octave").map_or(0, integer);
                        let key = ((octave + 1) * 12 + step + alter) as i32;
                        let voice = integer(child(element, "voice").unwrap()) as usize;
                        let tie = |kind: &str| {
                            element
                                .children()
                                .any(|c| c.has_tag_name("tie") && c.attribute("type") == Some(kind))
                        };
                        let (mut from, mut lasts) = (onset, length);
                        if tie("stop") {
                            let same = |held: &(usize, Time, Time, i32)| {
                                (held.0, held.1 + held.2, held.3) == (voice, onset, key)
                            };
                            let held = tied.iter().position(same).expect("a tie from nowhere");
                            let (_, began, lasted, _) = tied.remove(held);
                            (from, lasts) = (began, lasted + length);
                        }
                        if tie("start") {
                            tied.push((voice, from, lasts, key));
                        } else {
                            voices.entry(voice).or_default().push((from, lasts, key));
                        }
                    }
                    other => panic!("{other}"),
                }
                end = end.max(now);
            }
            begin = end;
        }
        assert!(tied.is_empty(), "a tie to nowhere");
    }
    for sounds in voices.values_mut() {
        sounds.sort_unstable();
    }
    voices
}

/// What the score says sounds.
fn sounds_of(score: &Score, transpose: Option<Interval>) -> HashMap<usize, Sounds> {
    let mut voices: HashMap<usize, Sounds> = HashMap::new();
    for (place, voice) in score.voices.iter().enumerate() {
        for event in &voice.events {
            for note in &event.notes {
                let pitch = transpose.map_or(note.pitch, |interval| interval.from(note.pitch));
                let sound = (event.onset, event.length, pitch.key_number());
                voices.entry(place + 1).or_default().push(sound);
            }
        }
    }
    for sounds in voices.values_mut() {
        sounds.sort_unstable();
    }
    voices
}

/// A voice of a parts file with much of what may stand in one.
fn any_voice() -> impl Strategy<Value = String> {
    let note = (
        prop::sample::select(vec!["C4", "D4", "E4", "F#4", "G4", "Bb4", "C5", "F[#]4", "F4", "B4"]),
        any::<u8>(),
    )
        .prop_map(|(note, mark)| match mark % 16 {
            0 => format!("{note}."),
            1 => format!("{note}=5/7"),
            2 => format!("{note}^"),
            3 => format!("{note}+A3"),
            _ => note.to_owned(),
        });
    let word = prop_oneof![
        8 => note,
        2 => Just("_".to_owned()),
        4 => prop::sample::select(vec!["br", "sb", "mn", "sm", "fu"]).prop_map(str::to_owned),
        1 => prop::sample::select(vec!["ratio 3:2", "ratio 1:1", "ratio 4:3"]).prop_map(str::to_owned),
        1 => Just("{ sb D4 mn E4 }".to_owned()),
        1 => Just("( sb D4 E4 )".to_owned()),
        1 => Just("\"words\"".to_owned()),
    ];
    prop::collection::vec(word, 1..16).prop_map(|words| format!("sb {} lg G4", words.join(" ")))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn what_is_written_sounds_as_the_score_does(
        voices in prop::collection::vec(any_voice(), 1..4),
        open in any::<bool>(),
        reduction in prop::sample::select(vec![Reduction::Original, Reduction::Halved, Reduction::Quartered]),
        down in prop::option::of(2..6_u32),
    ) {
        let mut text = String::new();
        for (place, voice) in voices.iter().enumerate() {
            let _ = writeln!(text, "voice V{place} clef C2\n {voice}");
        }
        let score = score(&text);
        let staves = if open { Staves::Open } else { Staves::Keyboard };
        let transpose = down.and_then(|number| Interval::of_number(number, Direction::Down));
        let options = Options { staves, reduction, transpose, ..Options::default() };
        let xml = write_musicxml(&arrange(&score, options)).unwrap();
        let minim = reduction.quarters(Time::minims(1));
        prop_assert_eq!(sounds_in(&xml, minim), sounds_of(&score, transpose));
    }
}

#[test]
fn a_mark_is_words_and_a_bracket_in_one_direction() {
    let text = "mark Cantus 2-4 circle blue \"a < b\"\nsign C|\n\
                voice Cantus clef C1\n sb A4 B C5 D lg E\n";
    let xml = keyboard(text);
    assert_eq!(attributes(&xml, "words"), ["enclosure=circle color=#0072B2"]);
    assert_eq!(all(&xml, "words"), ["a < b"]);
    let line = "number=16 line-end=none line-type=dashed color=#0072B2";
    let edges = ["start", "stop"].map(|edge| format!("type={edge} {line}"));
    assert_eq!(attributes(&xml, "bracket"), edges);
    let document = Document::parse(&xml).unwrap();
    let directions: Vec<usize> = document
        .descendants()
        .filter(|node| node.has_tag_name("direction"))
        .map(|node| node.children().filter(|child| child.has_tag_name("direction-type")).count())
        .collect();
    assert_eq!(directions, [2, 1]);
}

/// Of more marks at one time than there are numbers, the words stay.
#[test]
fn words_of_many_marks_at_once() {
    let marks = "mark Cantus 1-3 \"m\"\n".repeat(20);
    let xml = keyboard(&format!("{marks}voice Cantus clef C1\n sb A4 B C5 D lg E\n"));
    assert_eq!(all(&xml, "words").len(), 20);
    assert_eq!(attributes(&xml, "bracket").len(), 32);
}

#[test]
fn what_an_analysis_says_in_words_has_no_bracket() {
    let mut score = score("voice Cantus clef C1\n sb A4 B C5 D lg E\n");
    let (run, words) = (Run::one(0, 1), "sm G".to_owned());
    score.marks.push(Mark { run, shape: MarkShape::Doubt, color: None, words });
    let xml = write_musicxml(&arrange(&score, Options::default())).unwrap();
    assert_eq!((all(&xml, "words"), attributes(&xml, "bracket").len()), (vec!["sm G ?".into()], 0));
}

#[test]
fn figures_and_shades_are_below_their_staves() {
    let mut score =
        score("voice Cantus clef C1\n sb A4 B lg C5\nvoice Tenor clef C4\n sb D3 mn E3 F lg C3\n");
    let minims = Time::minims;
    score.annotations.shades = vec![Shade { from: minims(3), to: minims(4) }];
    score.annotations.figures = vec![
        Figure { leads_on: true, ..Figure::new(minims(2), "7") },
        Figure::new(minims(3), "6"),
        Figure::new(minims(4), "8"),
    ];
    let xml = write_musicxml(&arrange(&score, Options::default())).unwrap();
    let document = Document::parse(&xml).unwrap();
    let text = |node: Node<'_, '_>, name: &str| {
        let child = node.descendants().find(|child| child.has_tag_name(name));
        child.and_then(|child| child.text()).unwrap_or("-").to_owned()
    };
    let directions = document.descendants().filter(|node| node.has_tag_name("direction"));
    let below = directions.filter(|node| node.attribute("placement") == Some("below"));
    let said: Vec<String> = below
        .map(|node| {
            let dashes = node.descendants().find(|child| child.has_tag_name("dashes"));
            let edge = dashes.and_then(|dashes| dashes.attribute("type")).unwrap_or("figure");
            let words = text(node, "words");
            format!("{edge} {words} +{} staff {}", text(node, "offset"), text(node, "staff"))
        })
        .collect();
    assert_eq!(
        said,
        [
            "figure 7\u{2013} +- staff 1",
            "figure 6 +2 staff 1",
            "start - +2 staff 2",
            "figure 8 +- staff 1",
            "stop - +- staff 2",
        ]
    );
}
