//! What an instrument has not: notes beyond its compass, and the keys that a short octave leaves out.

use cartella::{Mark, MarkColor, MarkShape, Pitch, Run, Score};

/// The keys that there are.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Compass {
    lowest: i32,
    highest: i32,
}

/// `C2-C6`
pub(crate) fn parse(text: &str) -> Result<Compass, String> {
    let key = |text: &str| {
        let (letter, octave) = text.trim().split_at_checked(1)?;
        let step = cartella::Step::from_letter(letter.chars().next()?)?;
        let octave = octave.parse::<i8>().ok().filter(|octave| (0..=9).contains(octave))?;
        Some(Pitch { tone: cartella::Tone::new(step, octave), alteration: 0 }.key_number())
    };
    let keys = text.split_once(['-', '–']).and_then(|(low, high)| Some((key(low)?, key(high)?)));
    match keys {
        Some((lowest, highest)) if lowest < highest => Ok(Compass { lowest, highest }),
        _ => Err(format!(
            "`{text}` is no compass: type its lowest and its highest key with their octaves, C2-C6"
        )),
    }
}

/// The keys above the lowest C that a short octave leaves out: C sharp, D sharp, F sharp, G sharp (common
/// practice: E, F sharp and G sharp of the keyboard sound C, D and E).
const LEFT_OUT: [i32; 4] = [1, 3, 6, 8];

/// Whether an instrument has a note.
fn has(compass: Option<Compass>, short_octave: bool, pitch: Pitch) -> bool {
    let key = pitch.key_number();
    let Compass { lowest, highest } = compass.unwrap_or(Compass { lowest: 36, highest: 127 });
    let is_within = compass.is_none() || (lowest..=highest).contains(&key);
    is_within && !(short_octave && LEFT_OUT.contains(&(key - lowest)))
}

/// Rings the notes that an instrument has not; whether there are any.
pub(crate) fn mark(score: &mut Score, compass: Option<Compass>, short_octave: bool) -> bool {
    if compass.is_none() && !short_octave {
        return false;
    }
    let mut marks = Vec::new();
    for (voice, timed) in score.voices.iter().enumerate() {
        for (place, event) in timed.events.iter().enumerate() {
            if event.notes.iter().any(|note| !has(compass, short_octave, note.pitch)) {
                marks.push(Mark {
                    run: Run::one(voice, place),
                    shape: MarkShape::Circle,
                    color: Some(MarkColor::Red),
                    words: String::new(),
                });
            }
        }
    }
    let any = !marks.is_empty();
    score.marks.extend(marks);
    any
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pitch(name: &str) -> Pitch {
        let document = cartella::Document::parse(format!("voice A clef F4\n  sb {name}\n"));
        let score = document.score(cartella::BarLength::Breve).score;
        score.voices[0].events[0].notes[0].pitch
    }

    #[test]
    fn a_compass_has_both_its_ends() {
        let compass = parse("C2-C6").ok();
        for (name, is_there) in
            [("C2", true), ("B1", false), ("C6", true), ("C#6", false), ("D4", true)]
        {
            assert_eq!(has(compass, false, pitch(name)), is_there, "{name}");
        }
        for text in ["", "C2", "C6-C2", "2-6", "H2-C6", "C2-C66"] {
            assert!(parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_short_octave_lacks_four_keys() {
        let lacks = |name| !has(parse("C2-C6").ok(), true, pitch(name));
        assert!(["C#2", "Eb2", "F#2", "G#2"].into_iter().all(lacks));
        assert!(!["C2", "D2", "E2", "F2", "G2", "A2", "Bb2", "C#3"].into_iter().any(lacks));
    }
}
