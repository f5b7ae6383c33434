//! Brackets in MusicXML: for pieces made at random, each that begins ends, over the right notes, and
//! none has the number of another beside it.

use std::collections::BTreeMap;
use std::process::Command;

use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::TestRunner;
use roxmltree::{Document, Node};
use score::{BarLength, Options, Reduction, Score, Staves, TimedEvent, TimedVoice};
use suite::{aligned, musicxml, schema_validator};

fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        10 => "[A-G][2-5]\\.?",
        4 => "(br|sb|mn|sm)",
        4 => "_(\\*[2-4])?",
        1 => "\\( (br|sb) [DE]4 ([GA]4 |_ )?[CF]4 \\)",
        1 => "\\( br D4 (\\\\ )?C4 \\)",
        1 => "\\{ (_ )?[DE]4 (_ )?(_ )?(mn )?[GA]3( _)? \\}",
        1 => "(\\{ _ \\}|\\( _ _ \\)|\\( sb G4 \\))",
        1 => "\\( [DE]4 \\{ [FG]4 \\) E4 \\}",
        1 => "\\{ mn G4 \\( A4 \\} B4 \\)",
        1 => "[({] mn G4 < [DE]3 | F4 _ > \\[ A4 \\] D4 [)}]",
        1 => "[(){}]",
        1 => "(\\|\\||ratio 3:2|ratio 1:1|\"words\"|sign 3|sign C)",
    ]
}

fn piece() -> impl Strategy<Value = String> {
    let voice = prop::collection::vec(word(), 1..24).prop_map(|words| words.join(" ")).boxed();
    let some = prop_oneof![4 => 1..5_usize, 1 => 5..24_usize];
    let voices = some.prop_flat_map(move |count| prop::collection::vec(voice.clone(), count));
    (voices, any::<bool>()).prop_map(|(voices, canon)| {
        let mut text = String::new();
        for (place, music) in voices.iter().enumerate() {
            let clef = ["C1", "C3", "F4"][place % 3];
            text.push_str(&format!("voice V{place} clef {clef}\n  mn G3 {music}\n"));
        }
        if canon {
            text.push_str("voice Comes canon V0 5 below after 3\n");
        }
        text
    })
}

/// A bracket as the file has it: a half-open stretch of time in divisions.
#[derive(Debug)]
struct Bracket {
    voice: usize,
    number: u32,
    solid: bool,
    from: i64,
    to: i64,
}

/// The brackets of a part. Each is checked to begin right before a note of its voice, to end right after
/// one, and to end on the staff on which it begins.
fn brackets(part: Node<'_, '_>) -> Vec<Bracket> {
    let mut open: BTreeMap<u32, (Bracket, String)> = BTreeMap::new();
    let mut closed = Vec::new();
    let mut begin = 0;
    for measure in part.children().filter(|node| node.has_tag_name("measure")) {
        let (mut now, mut end) = (begin, begin);
        for element in measure.children().filter(Node::is_element) {
            if let Some(duration) = number(element, "duration") {
                match element.tag_name().name() {
                    "backup" => now -= duration,
                    _ if has(element, "chord") => {}
                    _ => now += duration,
                }
                end = end.max(now);
            }
            let Some(bracket) = element.descendants().find(|node| node.has_tag_name("bracket"))
            else {
                continue;
            };
            let says = |name: &str| bracket.attribute(name).unwrap_or_default().to_owned();
            let voice = number(element, "voice").unwrap() as usize;
            let staff = said(element, "staff").unwrap_or_default().to_owned();
            let (id, solid) = (says("number").parse().unwrap(), says("line-type") == "solid");
            assert!((1..=16).contains(&id));
            let beside: Box<dyn Iterator<Item = Node<'_, '_>>> = if says("type") == "start" {
                let bracket = Bracket { voice, number: id, solid, from: now, to: now };
                let before = open.insert(id, (bracket, staff));
                assert!(before.is_none(), "{id} begins twice");
                Box::new(element.next_siblings())
            } else {
                assert_eq!(says("type"), "stop");
                let (mut bracket, of_start) = open.remove(&id).expect("it was begun");
                assert_eq!((bracket.voice, bracket.solid, of_start), (voice, solid, staff));
                bracket.to = now;
                closed.push(bracket);
                Box::new(element.prev_siblings())
            };
            let note = beside.into_iter().find(|node| node.has_tag_name("note")).unwrap();
            assert!(has(note, "pitch"), "a bracket begins and ends with a note");
            assert_eq!(number(note, "voice"), Some(voice as i64));
        }
        begin = end;
    }
    assert!(open.is_empty(), "not ended: {open:?}");
    closed
}

fn said<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    node.children().find(|child| child.has_tag_name(name))?.text()
}

fn number(node: Node<'_, '_>, name: &str) -> Option<i64> {
    said(node, name)?.parse().ok()
}

fn has(node: Node<'_, '_>, name: &str) -> bool {
    node.children().any(|child| child.has_tag_name(name))
}

/// How many ligatures, and passages in coloration, of a voice hold a note. A silence that nobody printed
/// parts them.
fn meant(voice: &TimedVoice) -> (usize, usize) {
    let events: Vec<&TimedEvent> =
        voice.events.iter().filter(|event| event.length.is_positive()).collect();
    let holds_a_note = |events: &[&TimedEvent]| events.iter().any(|event| !event.is_rest());
    let ligatures = events.chunk_by(|one, next| one.ligature == next.ligature);
    let ligatures = ligatures.filter(|run| run[0].ligature.is_some() && holds_a_note(run));
    let passages = events.chunk_by(|one, next| one.colored == next.colored);
    let passages = passages.filter(|run| run[0].colored && holds_a_note(run));
    (ligatures.count(), passages.count())
}

fn check(text: &str, score: &Score, staves: Staves, reduction: Reduction) {
    let xml = musicxml(score, Options { staves, reduction, ..Options::default() });
    let document = Document::parse(&xml).unwrap();
    let parts = document.root_element().children().filter(|node| node.has_tag_name("part"));
    let all: Vec<Vec<Bracket>> = parts.map(brackets).collect();
    for brackets in &all {
        for (place, one) in brackets.iter().enumerate() {
            let beside = brackets[..place].iter().filter(|other| other.number == one.number);
            for other in beside {
                assert!(other.to <= one.from || one.to <= other.from, "{one:?} {other:?}\n{text}");
            }
        }
    }
    let most = if staves == Staves::Open { usize::MAX } else { 8 };
    if score.voices.len() > most {
        return;
    }
    for (place, voice) in score.voices.iter().enumerate() {
        let of_voice = all.iter().flatten().filter(|bracket| bracket.voice == place + 1);
        let (solid, dashed): (Vec<_>, Vec<_>) = of_voice.partition(|bracket| bracket.solid);
        assert_eq!((solid.len(), dashed.len()), meant(voice), "{}\n{text}", voice.name);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn every_bracket_has_two_ends(text in piece(), open in any::<bool>(), reduction in 0..3_usize) {
        let (score, _) = aligned(&text, BarLength::Semibreve);
        let staves = if open { Staves::Open } else { Staves::Keyboard };
        let reduction = [Reduction::Original, Reduction::Halved, Reduction::Quartered][reduction];
        check(&text, &score, staves, reduction);
    }
}

/// A rest at the edge of a passage, or between two, that stands across a bar line or is joined to others.
#[test]
fn rests_and_bar_lines() {
    for music in [
        "{ sb G4 _*4 } _ G4",
        "_ { _ sb G4 } G4",
        "{ sb G4 _ } _ { _ G4 }",
        "{ mn G4 br _ mn A4 } G4",
        "mn G4 { br A4 } ( br G4 A4 ) { _*9 } sb A4",
        "( sb G4 _*3 A4 ) G4",
    ] {
        let text = format!("voice A clef C1\n  sb {music}\nvoice B clef F4\n  br D3 D D D\n");
        let (score, _) = aligned(&text, BarLength::Semibreve);
        for staves in [Staves::Keyboard, Staves::Open] {
            check(&text, &score, staves, Reduction::Original);
        }
    }
}

/// Some of these pieces as the schema of the W3C sees them.
#[test]
fn generated_pieces_are_valid() {
    let Some(validator) = schema_validator() else { return };
    let mut runner = TestRunner::deterministic();
    let folder = tempfile::tempdir().unwrap();
    let files: Vec<_> = (0..60)
        .map(|number| {
            let text = piece().new_tree(&mut runner).unwrap().current();
            let (score, _) = aligned(&text, BarLength::Breve);
            let staves = if number % 2 == 0 { Staves::Keyboard } else { Staves::Open };
            let file = folder.path().join(format!("{number}.musicxml"));
            std::fs::write(&file, musicxml(&score, Options { staves, ..Options::default() }))
                .unwrap();
            file
        })
        .collect();
    let output = Command::new(validator).args(&files).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}
