//! How a voice moves from note to note (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 37, on
//! moving by step and by the consonant leaps; from memory).

use crate::texture::Note;

/// The number of classes of melodic motion.
pub(crate) const MOTIONS: usize = 12;

/// The number of classes of two motions in a row.
pub(crate) const TURNS: usize = 12;

/// The class of the motion by which a note is come to; nothing after a rest.
///
/// 0 the same note, 1 a second, 2 a third, 3 a fourth, 4 a fifth, 5 a minor sixth up, 6 an octave,
/// 7 another sixth, 8 a seventh, 9 more than an octave, 10 a tritone or another chromatic leap, 11
/// a chromatic step.
pub(crate) fn motion(before: &Note, note: &Note) -> Option<usize> {
    let (from, to) = (before.pitch?, note.pitch?);
    let (steps, semitones) = (to.rung - from.rung, to.semitones - from.semitones);
    Some(match (steps.abs(), semitones.abs()) {
        (0, 0) => 0,
        (1, 1 | 2) => 1,
        (2, 3 | 4) => 2,
        (3, 5) => 3,
        (4, 7) => 4,
        (5, 8) if steps > 0 => 5,
        (5, 8 | 9) => 7,
        (7, 12) => 6,
        (6, 10 | 11) => 8,
        (8.., _) => 9,
        (0 | 1, _) => 11,
        _ => 10,
    })
}

/// The class of two motions in a row.
///
/// 0 two steps on, 1 step and back, 2 a step then a leap on, 3 a step then a leap back, 4 a leap
/// then a step on, 5 a leap then a step back, 6 two leaps on, 7 two leaps there and back, 8 a
/// repeated note among them. Of the turns by step, which cadences and their signs depend on, some
/// are told apart: 9 a semitone down and back, 10 a tone down and back on a minim or more, 11 a
/// tone up and back.
pub(crate) fn turn(before: &Note, note: &Note) -> Option<usize> {
    let (come, leave) = (note.come?, note.leave?);
    let on = (come > 0) == (leave > 0);
    Some(match (come.abs(), leave.abs()) {
        (0, _) | (_, 0) => 8,
        (1, 1) if on => 0,
        (1, 1) => match note.pitch?.semitones - before.pitch?.semitones {
            -1 => 9,
            -2 if note.length >= before.length => 10,
            2 => 11,
            _ => 1,
        },
        (1, _) => 2 + usize::from(!on),
        (_, 1) => 4 + usize::from(!on),
        _ => 6 + usize::from(!on),
    })
}

#[cfg(test)]
mod tests {
    use notation::parse;
    use score::{BarLength, align, reckon};

    use super::*;
    use crate::texture::Texture;

    /// The motions and the turns of a voice.
    fn classes(music: &str) -> (Vec<Option<usize>>, Vec<Option<usize>>) {
        let text = format!("voice A clef C1\n mn {music}\n");
        let piece = parse(&text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        let texture = Texture::new(&piece, &score);
        let notes = &texture.lines[0].notes;
        let pairs = || notes.windows(2);
        (
            pairs().map(|pair| motion(&pair[0], &pair[1])).collect(),
            pairs().map(|pair| turn(&pair[0], &pair[1])).collect(),
        )
    }

    #[test]
    fn motions() {
        let (motions, _) = classes("D4 D4 E4 G4 C4 C5 D4 B4 F4 F#4 _ G4");
        let expected = [0, 1, 2, 4, 6, 8, 7, 10, 11].map(Some);
        assert_eq!(motions[..9], expected);
        assert_eq!(motions[9..], [None, None]);
    }

    #[test]
    fn a_cadence_turns_down_a_semitone() {
        let (_, turns) = classes("D5 C#5 D5 C5 D5");
        assert_eq!(turns, [Some(9), Some(1), Some(10), None]);
    }
}
