//! Pitches as the file has them, and as they sound.

use rudiments::{Pitch, Signature, Step, Tone};

/// By how much a part sounds above what is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Transposition {
    steps: i32,
    semitones: i32,
}

impl Transposition {
    /// By so many semitones and, where that is said, staff steps.
    pub(super) fn new(steps: Option<i32>, semitones: i32) -> Transposition {
        let steps = steps.unwrap_or_else(|| {
            // The usual size of an interval of so many semitones; the fourth, not the fifth, for
            // the tritone.
            let within = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];
            within[semitones.rem_euclid(12) as usize] + 7 * semitones.div_euclid(12)
        });
        Transposition { steps, semitones }
    }

    /// By so many octaves.
    pub(super) fn octaves(octaves: i32) -> Transposition {
        Transposition { steps: 7 * octaves, semitones: 12 * octaves }
    }

    /// By so many octaves more.
    pub(super) fn and_octaves(self, octaves: i32) -> Transposition {
        let more = Transposition::octaves(octaves);
        let (steps, semitones) = (self.steps + more.steps, self.semitones + more.semitones);
        Transposition { steps, semitones }
    }

    /// Whether sounding notes have the same accidentals as written ones.
    pub(super) fn keeps_accidentals(self) -> bool {
        self.semitones % 12 == 0 && self.steps % 7 == 0
    }

    /// What sounds of a written pitch. An alteration beyond two semitones is spelled anew.
    pub(super) fn of_pitch(self, written: Pitch) -> Pitch {
        let key = written.key_number() + self.semitones;
        let tone = written.tone.up(self.steps);
        let alteration = key - Pitch::new(tone, 0).key_number();
        if (-2..=2).contains(&alteration) {
            Pitch::new(tone, alteration as i8)
        } else {
            of_key(key)
        }
    }

    /// The signature of a part as it sounds. An interval moves all signs along the circle of
    /// fifths, of which it is a number of fifths less a number of octaves (common practice).
    pub(super) fn of_signature(self, written: Signature) -> Signature {
        let fifths = 7 * self.semitones - 12 * self.steps;
        match written.fifths().map(|written| written + fifths) {
            _ if fifths == 0 => written,
            Some(sounding @ -7..=7) => Signature::of_fifths(sounding),
            _ => Signature::NONE,
        }
    }
}

/// A written pitch; nothing if it is altered by more than an octave.
pub(super) fn written(step: Step, octave: i8, semitones: i64) -> Option<Pitch> {
    let tone = Tone::new(step, octave);
    match semitones {
        -2..=2 => Some(Pitch::new(tone, semitones as i8)),
        -12..=12 => Some(of_key(Pitch::new(tone, 0).key_number() + semitones as i32)),
        _ => None,
    }
}

/// The pitch of a key, with a sharp for a black one.
fn of_key(key: i32) -> Pitch {
    let tone = |key: i32| {
        let octave = (key.div_euclid(12) - 1).clamp(-100, 100) as i8;
        let natural = |step: &&Step| Pitch::new(Tone::new(**step, octave), 0).key_number() == key;
        Step::ALL.iter().find(natural).map(|step| Tone::new(*step, octave))
    };
    match (tone(key), tone(key - 1)) {
        (Some(natural), _) => Pitch::new(natural, 0),
        (None, Some(below)) => Pitch::new(below, 1),
        // Beyond all octaves.
        (None, None) => Pitch::new(Tone::new(Step::C, 100), 0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sounding(transposition: Transposition, pitch: (Step, i8, i8)) -> String {
        let (step, octave, alteration) = pitch;
        transposition.of_pitch(Pitch::new(Tone::new(step, octave), alteration)).to_string()
    }

    /// Common practice: the clarinet in B flat sounds a major second lower, the horn in F a fifth.
    #[test]
    fn transposing_instruments() {
        let clarinet = Transposition::new(Some(-1), -2);
        assert_eq!(sounding(clarinet, (Step::C, 4, 0)), "Bb3");
        assert_eq!(sounding(clarinet, (Step::F, 4, 1)), "E4");
        assert_eq!(clarinet.of_signature(Signature::NONE), Signature::of_fifths(-2));
        let horn = Transposition::new(None, -7);
        assert_eq!(sounding(horn, (Step::C, 5, 0)), "F4");
        assert_eq!(horn.of_signature(Signature::of_fifths(1)), Signature::NONE);
        let bass = Transposition::new(None, 0).and_octaves(-1);
        assert_eq!(sounding(bass, (Step::B, 3, -1)), "Bb2");
        assert_eq!(bass, Transposition::octaves(-1));
        assert_eq!(bass.of_signature(Signature::of_fifths(-3)), Signature::of_fifths(-3));
    }

    #[test]
    fn what_cannot_be_altered_is_spelled_anew() {
        assert_eq!(written(Step::C, 4, 7).unwrap().to_string(), "G4");
        assert_eq!(written(Step::C, 4, -3).unwrap().to_string(), "A3");
        assert_eq!(written(Step::C, 4, 1_000_000), None);
        assert_eq!(sounding(Transposition::new(Some(0), 6), (Step::C, 4, 0)), "F#4");
        assert_eq!(of_key(i32::MAX / 2).tone.octave, 100);
    }
}
