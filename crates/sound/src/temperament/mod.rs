//! Temperaments: how large a fifth is, which notes the keys have, and how high all is.
//!
//! A [`Temperament`] is data: the size of its fifth, of which all its intervals are made, with its
//! published source. [`Keys`] say which notes a keyboard has: twelve an octave, or more where keys are
//! split. A [`Tuning`] is both, with the pitch of A; it gives every note of a performance its frequency,
//! and [`Tuning::lapses`] what of the music it does not have.

mod just;
mod keys;
mod lapses;
#[cfg(test)]
pub(crate) mod testing;

use rudiments::Pitch;
use score::Performance;

pub use keys::{Keys, KeysError, Note};
pub use lapses::{Lack, Lapses, Wolf};

/// A way to divide the octave.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Temperament {
    /// Fifths a quarter of a comma narrow, so that major thirds are pure.
    #[default]
    QuarterComma,
    /// Fifths a sixth of a comma narrow, so that the tritone is pure.
    SixthComma,
    /// Fifths two sevenths of a comma narrow, so that the chromatic semitone is pure, and minor and
    /// major thirds are narrow alike.
    TwoSevenths,
    /// Pure fifths.
    Pythagorean,
    /// Pure intervals against the bass, for study. No keyboard has them.
    Just,
    /// Fifths a twelfth of the Pythagorean comma narrow, so that twelve of them close the circle.
    Equal,
}

impl Temperament {
    /// All of them.
    pub const ALL: [Temperament; 6] = [
        Temperament::QuarterComma,
        Temperament::SixthComma,
        Temperament::TwoSevenths,
        Temperament::Pythagorean,
        Temperament::Just,
        Temperament::Equal,
    ];

    /// What it is called in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Temperament::QuarterComma => "quarter-comma meantone",
            Temperament::SixthComma => "sixth-comma meantone",
            Temperament::TwoSevenths => "two-sevenths-comma meantone",
            Temperament::Pythagorean => "Pythagorean tuning",
            Temperament::Just => "just intonation against the bass",
            Temperament::Equal => "equal temperament",
        }
    }

    /// Where it is described. (Titles, years and places are from memory.)
    pub fn source(self) -> &'static str {
        match self {
            Temperament::QuarterComma => {
                "Pietro Aron, Thoscanello de la musica, Venice 1523, book II, chapter 41, as it has been \
                 understood since; with its measure in Gioseffo Zarlino, Dimostrationi harmoniche, \
                 Venice 1571"
            }
            Temperament::SixthComma => {
                "described for Gottfried Silbermann's organs by Georg Andreas Sorge, Gespräch zwischen \
                 einem Musico theoretico und einem Studioso musices, Lobenstein 1748; narrower fifths than \
                 pure ones, wider than Aron's, from the sixteenth century on (common practice)"
            }
            Temperament::TwoSevenths => {
                "Gioseffo Zarlino, Le istitutioni harmoniche, Venice 1558, part II, chapter 42"
            }
            Temperament::Pythagorean => {
                "Henri Arnaut de Zwolle, manuscript of about 1440 (Paris, lat. 7295); the wolf between G \
                 sharp and E flat or, with flats on the black keys, between B and F sharp"
            }
            Temperament::Just => {
                "the ratios of Gioseffo Zarlino, Le istitutioni harmoniche, Venice 1558, part III, on the \
                 consonances"
            }
            Temperament::Equal => {
                "Marin Mersenne, Harmonie universelle, Paris 1636, as eleven mean proportionals"
            }
        }
    }

    /// The size of its fifth in cents. The bass of just intonation moves in quarter-comma meantone.
    pub fn fifth(self) -> f64 {
        let pure = cents(3.0 / 2.0);
        let comma = cents(81.0 / 80.0);
        match self {
            Temperament::QuarterComma | Temperament::Just => pure - comma / 4.0,
            Temperament::SixthComma => pure - comma / 6.0,
            Temperament::TwoSevenths => pure - comma * 2.0 / 7.0,
            Temperament::Pythagorean => pure,
            Temperament::Equal => 700.0,
        }
    }

    /// Whether it matters which notes the keys have.
    fn has_keys(self) -> bool {
        !matches!(self, Temperament::Just | Temperament::Equal)
    }
}

/// The size of an interval in cents, twelve hundred of which are an octave (Alexander Ellis, 1885).
fn cents(ratio: f64) -> f64 {
    1200.0 * ratio.log2()
}

/// The usual pitches of A4, in hertz: French chamber pitch, low pitch, modern pitch, and the high pitch of
/// organs and winds about 1600 (common practice of today's players).
pub const PITCHES: [u16; 4] = [392, 415, 440, 466];

/// A tuned keyboard.
#[derive(Clone, PartialEq, Debug)]
pub struct Tuning {
    /// The temperament.
    pub temperament: Temperament,
    /// Which notes the keys have. Just intonation and equal temperament have all.
    pub keys: Keys,
    /// The frequency of A4, in hertz.
    pub pitch: f64,
}

impl Default for Tuning {
    fn default() -> Tuning {
        Tuning { temperament: Temperament::default(), keys: Keys::default(), pitch: 440.0 }
    }
}

impl Tuning {
    /// The lowest and the highest frequency of A4 that makes sense.
    pub const PITCH_RANGE: [f64; 2] = [330.0, 550.0];

    /// The note that sounds for a pitch, which another has where the keys lack it.
    pub fn note(&self, pitch: Pitch) -> Note {
        let wanted = Note::of(pitch);
        if self.temperament.has_keys() { self.keys.nearest(wanted) } else { wanted }
    }

    /// How far above A4 a pitch sounds, in cents.
    pub fn cents(&self, pitch: Pitch) -> f64 {
        self.above_a(self.note(pitch), pitch.key_number())
    }

    /// The frequency of a pitch, in hertz. In just intonation that is the one that it has in the bass.
    ///
    /// ```
    /// use rudiments::{Pitch, Step, Tone};
    /// use sound::Tuning;
    ///
    /// let third = |step| Tuning::default().frequency(Pitch::new(Tone::new(step, 4), 0));
    /// assert!((third(Step::E) / third(Step::C) - 5.0 / 4.0).abs() < 1e-12); // pure, in meantone
    /// ```
    pub fn frequency(&self, pitch: Pitch) -> f64 {
        self.pitch * (self.cents(pitch) / 1200.0).exp2()
    }

    /// The frequency of every note of a performance, in hertz.
    pub fn frequencies(&self, performance: &Performance) -> Vec<f64> {
        match self.temperament {
            Temperament::Just => just::frequencies(self, performance),
            _ => performance.notes.iter().map(|note| self.frequency(note.pitch)).collect(),
        }
    }

    /// The frequency of each of the 128 keys of MIDI 1.0, in hertz; of a split key, that of its first note.
    pub fn keyboard(&self) -> [f64; 128] {
        std::array::from_fn(|key| {
            let above_a = self.above_a(self.keys.first(key % 12), key as i32);
            self.pitch * (above_a / 1200.0).exp2()
        })
    }

    /// What of a performance the tuning does not have, with the bars. Silent voices are left out.
    pub fn lapses(&self, performance: &Performance) -> Lapses {
        lapses::lapses(self, performance)
    }

    /// A note on a key is so many fifths and octaves above A4.
    fn above_a(&self, note: Note, key: i32) -> f64 {
        let fifths = note.fifths() - A.fifths();
        let octaves = (key - A4 - 7 * fifths) / 12;
        self.temperament.fifth() * f64::from(fifths) + 1200.0 * f64::from(octaves)
    }
}

/// The note that the pitch is taken from.
const A: Note = Note::at(3);

/// Its key: that of A4 in MIDI 1.0.
const A4: i32 = 69;

#[cfg(test)]
mod tests {
    use super::testing::pitch;
    use super::*;

    /// Cents above C of the notes from C to B, with C#, Eb, F#, G# and Bb. J. Murray Barbour, *Tuning and
    /// Temperament* (East Lansing 1951): Pythagorean tuning, Aron's meantone; whole cents, as printed there (from memory).
    const BARBOUR: [(Temperament, [i32; 12]); 3] = [
        (Temperament::Pythagorean, [0, 114, 204, 294, 408, 498, 612, 702, 816, 906, 996, 1110]),
        (Temperament::QuarterComma, [0, 76, 193, 310, 386, 503, 579, 697, 773, 890, 1007, 1083]),
        (Temperament::Equal, [0, 100, 200, 300, 400, 500, 600, 700, 800, 900, 1000, 1100]),
    ];

    const NAMES: [&str; 12] =
        ["C4", "C#4", "D4", "Eb4", "E4", "F4", "F#4", "G4", "G#4", "A4", "Bb4", "B4"];

    #[test]
    fn notes_stand_where_the_published_tables_have_them() {
        for (temperament, table) in BARBOUR {
            let tuning = Tuning { temperament, ..Tuning::default() };
            let c = tuning.cents(pitch("C4"));
            for (name, cents) in NAMES.iter().zip(table) {
                let found = tuning.cents(pitch(name)) - c;
                assert!((found - f64::from(cents)).abs() <= 0.51, "{temperament:?} {name} {found}");
            }
        }
    }

    /// What each temperament is made for. The wolf of quarter-comma meantone has 737.6 cents
    /// (Barbour, as above: 738; from memory).
    #[test]
    fn what_is_pure_is_pure() {
        let size = |temperament, lower: &str, upper: &str| {
            let tuning = Tuning { temperament, ..Tuning::default() };
            tuning.cents(pitch(upper)) - tuning.cents(pitch(lower))
        };
        let near =
            |one: f64, other: f64, within: f64| assert!((one - other).abs() < within, "{one}");
        near(size(Temperament::QuarterComma, "C4", "E4"), cents(5.0 / 4.0), 1e-9);
        near(size(Temperament::QuarterComma, "G#3", "Eb4"), 737.6, 0.05);
        near(size(Temperament::TwoSevenths, "C4", "C#4"), cents(25.0 / 24.0), 1e-9);
        near(size(Temperament::SixthComma, "F4", "B4"), cents(45.0 / 32.0), 1e-9);
        near(size(Temperament::Pythagorean, "D4", "A4"), cents(3.0 / 2.0), 1e-9);
        near(size(Temperament::Pythagorean, "G#3", "Eb4"), 678.5, 0.05);
        near(size(Temperament::Equal, "G#3", "Eb4"), 700.0, 1e-9);
        // Two sevenths: major and minor thirds are a seventh of a comma narrow alike.
        let seventh = cents(81.0 / 80.0) / 7.0;
        near(size(Temperament::TwoSevenths, "C4", "E4"), cents(5.0 / 4.0) - seventh, 1e-9);
        near(size(Temperament::TwoSevenths, "E4", "G4"), cents(6.0 / 5.0) - seventh, 1e-9);
    }

    /// The pitch is that of A4 in every temperament, whatever the keys have; octaves are pure.
    #[test]
    fn a_is_where_it_is_asked_for() {
        for temperament in Temperament::ALL {
            for hertz in PITCHES {
                let tuning = Tuning { temperament, pitch: f64::from(hertz), keys: Keys::default() };
                let found = ["A3", "A4", "A5"].map(|name| tuning.frequency(pitch(name)));
                let a4 = f64::from(hertz);
                for (found, expected) in found.iter().zip([a4 / 2.0, a4, a4 * 2.0]) {
                    assert!((found - expected).abs() < 1e-9, "{temperament:?} {found}");
                }
            }
        }
    }

    /// ISO 16: A4 is 440 Hz; so middle C of equal temperament is 261.626 Hz (common practice).
    #[test]
    fn equal_temperament_has_the_usual_frequencies() {
        let tuning = Tuning { temperament: Temperament::Equal, ..Tuning::default() };
        assert!((tuning.frequency(pitch("C4")) - 261.6256).abs() < 1e-4);
        let alike = |one: &str, other: &str| {
            let [one, other] = [one, other].map(|name| tuning.frequency(pitch(name)));
            assert!((one - other).abs() < 1e-9);
        };
        alike("G#4", "Ab4");
        alike("B#3", "C4");
    }

    #[test]
    fn a_keyboard_has_the_notes_of_its_keys() {
        let tuning = Tuning { keys: "Ab/G#".parse().unwrap(), ..Tuning::default() };
        let keyboard = tuning.keyboard();
        for name in ["C-1", "C4", "Eb4", "Ab4", "B4", "G9"] {
            let pitch = pitch(name);
            let away = keyboard[pitch.key_number() as usize] - tuning.frequency(pitch);
            assert!(away.abs() < 1e-6, "{name}: {away}");
        }
    }

    #[test]
    fn a_note_without_a_key_sounds_as_its_neighbour() {
        let tuning = Tuning::default();
        assert_eq!(tuning.note(pitch("Ab4")).to_string(), "G#");
        assert!((tuning.cents(pitch("Ab4")) - tuning.cents(pitch("G#4"))).abs() < 1e-9);
        let split = Tuning { keys: "G#/Ab".parse().unwrap(), ..Tuning::default() };
        // The great diesis: an octave less three pure thirds, 128:125.
        let diesis = split.cents(pitch("Ab4")) - split.cents(pitch("G#4"));
        assert!((diesis - cents(128.0 / 125.0)).abs() < 1e-9, "{diesis}");
    }
}
