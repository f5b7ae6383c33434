//! What a MusicXML file says sounds, read by itself: only the XML parser is shared with the
//! program.

use std::collections::BTreeMap;

use num_rational::Ratio;
use roxmltree::{Document, Node, ParsingOptions};

/// A note that begins: tied notes are one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SoundingNote {
    /// In quarter notes, from the beginning.
    pub onset: Ratio<i64>,
    /// In quarter notes.
    pub length: Ratio<i64>,
    /// The letter.
    pub step: char,
    /// Semitones of alteration.
    pub alter: i32,
    /// Scientific octave of what sounds.
    pub octave: i32,
    /// Whether an accidental stands above it as an editor's.
    pub editorial: bool,
}

/// The notes of a voice of a part, in order of time.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SoundingVoice {
    /// The number of the part, from 0.
    pub part: usize,
    /// The text of `<voice>`.
    pub voice: String,
    /// Its notes.
    pub notes: Vec<SoundingNote>,
}

/// A time in quarter notes as minims, where a minim is a half note.
pub fn minims(quarters: Ratio<i64>) -> Ratio<i64> {
    quarters / 2
}

/// Everything that sounds in a partwise score, voice by voice.
///
/// # Panics
/// If the text is no such score.
pub fn sounding_voices(xml: &str) -> Vec<SoundingVoice> {
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    let document = Document::parse_with_options(xml, options).unwrap();
    let parts = children(document.root_element(), "part");
    parts.enumerate().flat_map(|(part, node)| of_part(part, node)).collect()
}

fn of_part(part: usize, node: Node<'_, '_>) -> Vec<SoundingVoice> {
    let mut voices: BTreeMap<String, Vec<SoundingNote>> = BTreeMap::new();
    let (mut divisions, mut start) = (1, Ratio::from_integer(0));
    for measure in children(node, "measure") {
        let (mut now, mut longest, mut before) = (start, start, start);
        for element in measure.children().filter(Node::is_element) {
            if let Some(found) = child(element, "divisions") {
                divisions = number(found);
            }
            let length = child(element, "duration").map_or(Ratio::from_integer(0), |duration| {
                exact(element).unwrap_or_else(|| Ratio::new(number(duration), divisions))
            });
            match element.tag_name().name() {
                "backup" => now -= length,
                "forward" => now += length,
                "note" if child(element, "grace").is_none() => {
                    let chord = child(element, "chord").is_some();
                    let onset = if chord { before } else { now };
                    before = onset;
                    if !chord {
                        now += length;
                    }
                    let voice = child(element, "voice").map_or("1", text).to_owned();
                    sound(voices.entry(voice).or_default(), element, onset, length);
                }
                _ => {}
            }
            longest = longest.max(now);
        }
        start = longest;
    }
    voices.into_iter().map(|(voice, notes)| SoundingVoice { part, voice, notes }).collect()
}

/// Adds a note to its voice, or to the note that it is tied to.
fn sound(
    notes: &mut Vec<SoundingNote>,
    element: Node<'_, '_>,
    onset: Ratio<i64>,
    length: Ratio<i64>,
) {
    let Some(pitch) = child(element, "pitch") else { return };
    let step = child(pitch, "step").map_or("C", text).chars().next().unwrap();
    let octave = child(pitch, "octave").map_or(0, number) as i32;
    let alter = child(pitch, "alter").map_or(0, number) as i32;
    let tied = children(element, "tie").any(|tie| tie.attribute("type") == Some("stop"));
    let same = |note: &&mut SoundingNote| {
        (note.step, note.octave) == (step, octave) && note.onset + note.length == onset
    };
    if tied && let Some(note) = notes.iter_mut().rev().find(same) {
        note.length += length;
        return;
    }
    let editorial = element.descendants().any(|node| node.has_tag_name("accidental-mark"));
    notes.push(SoundingNote { onset, length, step, alter, octave, editorial });
}

/// The exact length of a note with a tuplet, in quarters, whatever its rounded duration says.
fn exact(element: Node<'_, '_>) -> Option<Ratio<i64>> {
    let modification = child(element, "time-modification")?;
    let quarters = match text(child(element, "type")?) {
        "breve" => Ratio::from_integer(8),
        "whole" => Ratio::from_integer(4),
        "half" => Ratio::from_integer(2),
        "quarter" => Ratio::from_integer(1),
        "eighth" => Ratio::new(1, 2),
        "16th" => Ratio::new(1, 4),
        "32nd" => Ratio::new(1, 8),
        _ => return None,
    };
    let dots = children(element, "dot").count() as u32;
    let dotted = quarters * Ratio::new(2_i64.pow(dots + 1) - 1, 2_i64.pow(dots));
    let figure = |name| child(modification, name).map(number);
    Some(dotted * Ratio::new(figure("normal-notes")?, figure("actual-notes")?))
}

fn children<'a, 'i>(node: Node<'a, 'i>, name: &'static str) -> impl Iterator<Item = Node<'a, 'i>> {
    node.children().filter(move |child| child.has_tag_name(name))
}

fn child<'a, 'i>(node: Node<'a, 'i>, name: &'static str) -> Option<Node<'a, 'i>> {
    node.children().find(|child| child.has_tag_name(name))
}

fn text<'a>(node: Node<'a, '_>) -> &'a str {
    node.text().unwrap_or("").trim()
}

fn number(node: Node<'_, '_>) -> i64 {
    text(node).parse().unwrap()
}
