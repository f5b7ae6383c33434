//! How a MIDI file says how high its notes are: by messages of the MIDI Tuning Standard (MIDI 1.0,
//! CA-020 and the *MIDI Tuning* chapter of its detailed specification, from memory), or by bending the
//! pitch of channels.

use midly::num::{u7, u14};
use midly::{MidiMessage, PitchBend, TrackEventKind};

/// How high the notes of a MIDI file are.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub enum MidiTuning<'t> {
    /// As whoever plays it has tuned: usually in equal temperament at 440 Hz.
    #[default]
    Unsaid,
    /// By a table of the MIDI Tuning Standard: the frequencies of the 128 keys, and those of the notes of the
    /// performance, in hertz. Where a note differs from its key, the key is tuned anew before it.
    Table {
        /// Of each key.
        keys: &'t [f64; 128],
        /// Of each note of the performance.
        notes: &'t [f64],
    },
    /// By pitch bend: the frequencies of the notes of the performance, in hertz. Every voice bends its channel
    /// before a note.
    Bend {
        /// Of each note of the performance.
        notes: &'t [f64],
    },
}

/// Where a frequency is between keys, as the standard writes it: the key below, and parts of a semitone in
/// 14 bits.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Height([u8; 3]);

impl Height {
    /// The highest there is; the one above it means that nothing changes.
    const HIGHEST: i64 = (128 << 14) - 2;

    /// The nearest to a frequency in hertz.
    pub(super) fn of(frequency: f64) -> Height {
        let parts = (semitones(frequency) * f64::from(1 << 14)).round() as i64;
        let parts = parts.clamp(0, Height::HIGHEST);
        Height([(parts >> 14) as u8, (parts >> 7) as u8 & 0x7f, parts as u8 & 0x7f])
    }

    /// That of a key of equal temperament at 440 Hz.
    fn is_of(self, key: u8) -> bool {
        self.0 == [key, 0, 0]
    }
}

/// Semitones above the lowest key, fractions among them; A4 is key 69.
fn semitones(frequency: f64) -> f64 {
    69.0 + 12.0 * (frequency / 440.0).log2()
}

/// So many keys are tuned by one message.
const KEYS: usize = 64;

/// The message that tunes keys at once, on all devices, as the first program of tunings: *single note
/// tuning change*, real time. As a file has it, without its first byte.
pub(super) fn tune(keys: &[(u8, Height)]) -> Vec<u8> {
    let mut message = vec![0x7f, 0x7f, 0x08, 0x02, PROGRAM, keys.len() as u8];
    message.extend(
        keys.iter().flat_map(|(key, Height([semitone, high, low]))| [*key, *semitone, *high, *low]),
    );
    message.push(0xf7);
    message
}

/// The program of tunings.
const PROGRAM: u8 = 0;

/// How the notes of a performance are tuned: what is said at the beginning, and before each note.
#[derive(Default)]
pub(super) struct Tuned {
    /// Messages for all devices, at the beginning.
    pub(super) first: Vec<Vec<u8>>,
    /// Whether channels are to take the program of tunings.
    is_table: bool,
    /// How many semitones the bend of a channel reaches.
    reach: Option<u8>,
    /// Before each note, a message or a bend.
    before: Vec<Before>,
}

/// What is said before a note.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
enum Before {
    #[default]
    Nothing,
    Tune(Vec<u8>),
    Bend(u14),
}

impl Tuned {
    /// How notes of these keys, in the order of the performance, are tuned.
    pub(super) fn of(tuning: MidiTuning<'_>, keys: &[Option<u8>]) -> Tuned {
        match tuning {
            MidiTuning::Unsaid => Tuned::default(),
            MidiTuning::Table { keys: table, notes } => Tuned::by_table(table, keys, notes),
            MidiTuning::Bend { notes } => Tuned::by_bend(keys, notes),
        }
    }

    fn by_table(table: &[f64; 128], keys: &[Option<u8>], notes: &[f64]) -> Tuned {
        let mut now: Vec<(u8, Height)> = (0..).zip(table.map(Height::of)).collect();
        let first = now.clone();
        let tune_anew = |(key, frequency): (&Option<u8>, &f64)| {
            let (Some(key), height) = (*key, Height::of(*frequency)) else {
                return Before::Nothing;
            };
            let is_new = now[usize::from(key)].1 != height;
            now[usize::from(key)].1 = height;
            if is_new { Before::Tune(tune(&[(key, height)])) } else { Before::Nothing }
        };
        let before: Vec<Before> = keys.iter().zip(notes).map(tune_anew).collect();
        let is_usual = first.iter().all(|(key, height)| height.is_of(*key))
            && before.iter().all(|before| *before == Before::Nothing);
        if is_usual {
            return Tuned::default();
        }
        let first = first.chunks(KEYS).map(tune).collect();
        Tuned { first, is_table: true, reach: None, before }
    }

    fn by_bend(keys: &[Option<u8>], notes: &[f64]) -> Tuned {
        let away = |(key, frequency): (&Option<u8>, &f64)| {
            key.map_or(0.0, |key| semitones(*frequency) - f64::from(key))
        };
        let away: Vec<f64> = keys.iter().zip(notes).map(away).collect();
        let most = away.iter().fold(0.0_f64, |most, away| most.max(away.abs()));
        // Two semitones are usual; 8192 steps downwards, and one less upwards.
        let reach = (most * 1.001).ceil().clamp(2.0, 24.0);
        let bend = |away: &f64| {
            let steps = (away / reach * 8192.0).round().clamp(-8192.0, 8191.0);
            Before::Bend(u14::from((steps + 8192.0) as u16))
        };
        let before = away.iter().map(bend).collect();
        Tuned { first: Vec::new(), is_table: false, reach: Some(reach as u8), before }
    }

    /// Whether notes that are struck together in a voice need channels of their own.
    pub(super) fn bends(&self) -> bool {
        self.reach.is_some()
    }

    /// What a channel is told at the beginning.
    pub(super) fn of_channel(&self) -> Vec<MidiMessage> {
        let mut messages = Vec::new();
        if self.is_table {
            messages.extend(parameter(TUNING_BANK, 0));
            messages.extend(parameter(TUNING_PROGRAM, PROGRAM));
        }
        if let Some(reach) = self.reach {
            messages.extend(parameter(BEND_REACH, reach));
        }
        if !messages.is_empty() {
            // No parameter is meant any more.
            messages.extend([control(101, 127), control(100, 127)]);
        }
        messages
    }

    /// What is said before a note, if it is not what was said before the one before it.
    pub(super) fn before(&self, note: usize, last: &mut Option<u14>) -> Option<Said<'_>> {
        match self.before.get(note)? {
            Before::Nothing => None,
            Before::Tune(message) => Some(Said::Everywhere(TrackEventKind::SysEx(message))),
            Before::Bend(bend) => {
                let is_new = *last != Some(*bend);
                *last = Some(*bend);
                is_new.then_some(Said::Channel(MidiMessage::PitchBend { bend: PitchBend(*bend) }))
            }
        }
    }
}

/// To whom it is said.
pub(super) enum Said<'s> {
    Everywhere(TrackEventKind<'s>),
    Channel(MidiMessage),
}

/// Registered parameters of MIDI 1.0.
const BEND_REACH: u8 = 0;
const TUNING_PROGRAM: u8 = 3;
const TUNING_BANK: u8 = 4;

/// Sets a registered parameter.
fn parameter(number: u8, value: u8) -> [MidiMessage; 4] {
    [control(101, 0), control(100, number), control(6, value), control(38, 0)]
}

fn control(controller: u8, value: u8) -> MidiMessage {
    MidiMessage::Controller { controller: u7::from(controller), value: u7::from(value) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of the MIDI Tuning Standard's own table of frequency data (from memory).
    #[test]
    fn heights_are_those_of_the_standard() {
        for (frequency, bytes) in [
            (8.175_799, [0x00, 0x00, 0x00]),
            (8.661_957, [0x01, 0x00, 0x00]),
            (16.351_598, [0x0c, 0x00, 0x00]),
            (261.625_565, [0x3c, 0x00, 0x00]),
            (277.182_631, [0x3d, 0x00, 0x00]),
            (439.998_449, [0x44, 0x7f, 0x7f]),
            (440.0, [0x45, 0x00, 0x00]),
            (440.001_551, [0x45, 0x00, 0x01]),
            (8_372.018_090, [0x78, 0x00, 0x00]),
            (8_372.047_605, [0x78, 0x00, 0x01]),
            (12_543.853_951, [0x7f, 0x00, 0x00]),
            (12_543.898_175, [0x7f, 0x00, 0x01]),
            (13_289.656_616, [0x7f, 0x7f, 0x7e]),
        ] {
            assert_eq!(Height::of(frequency), Height(bytes), "{frequency}");
        }
        // What cannot be said is said as nearly as can be.
        assert_eq!(Height::of(20_000.0), Height([0x7f, 0x7f, 0x7e]));
        assert_eq!(Height::of(1.0), Height([0, 0, 0]));
    }

    /// `F0 7F <device> 08 02 tt ll [kk xx yy zz] … F7`, as the standard lays out a single note tuning change
    /// (from memory); 7F is every device.
    #[test]
    fn a_change_of_tuning_is_laid_out_as_the_standard_says() {
        let message = tune(&[(0x3c, Height::of(261.625_565)), (0x45, Height::of(440.001_551))]);
        let expected = [
            &[0x7f, 0x7f, 0x08, 0x02, 0x00, 0x02][..],
            &[0x3c, 0x3c, 0x00, 0x00],
            &[0x45, 0x45, 0x00, 0x01],
            &[0xf7],
        ];
        assert_eq!(message, expected.concat());
    }

    fn equal() -> [f64; 128] {
        std::array::from_fn(|key| 440.0 * ((key as f64 - 69.0) / 12.0).exp2())
    }

    #[test]
    fn a_key_is_tuned_anew_where_a_note_differs() {
        let keys = equal();
        let (sharp, flat) = (keys[63] * 0.99, keys[63] * 1.01);
        let notes = [keys[60], sharp, keys[60], sharp, flat];
        let tuning = MidiTuning::Table { keys: &keys, notes: &notes };
        let tuned = Tuned::of(tuning, &[60, 63, 60, 63, 63].map(Some));
        let said: Vec<bool> = tuned.before.iter().map(|said| *said != Before::Nothing).collect();
        assert_eq!(said, [false, true, false, false, true]);
        // All 128 keys, in two messages.
        assert_eq!(tuned.first.iter().map(Vec::len).collect::<Vec<_>>(), [7 + 4 * 64, 7 + 4 * 64]);
    }

    #[test]
    fn what_is_tuned_as_usual_is_not_tuned() {
        let keys = equal();
        let tuning = MidiTuning::Table { keys: &keys, notes: &[keys[60]] };
        let tuned = Tuned::of(tuning, &[Some(60)]);
        assert!(tuned.first.is_empty() && tuned.of_channel().is_empty());
    }

    /// MIDI 1.0: 0x2000 is no bend; a channel reaches two semitones unless told otherwise.
    #[test]
    fn bends_are_parts_of_the_reach() {
        let bends = |cents: &[f64]| {
            let notes: Vec<f64> =
                cents.iter().map(|cents| 440.0 * (cents / 1200.0).exp2()).collect();
            let keys = vec![Some(69); notes.len()];
            let tuned = Tuned::of(MidiTuning::Bend { notes: &notes }, &keys);
            let bend = |before: &Before| match before {
                Before::Bend(bend) => bend.as_int(),
                other => panic!("{other:?}"),
            };
            (tuned.reach, tuned.before.iter().map(bend).collect::<Vec<u16>>())
        };
        assert_eq!(bends(&[0.0, 100.0, -50.0]), (Some(2), vec![0x2000, 0x3000, 0x1800]));
        // Low pitch and a flat together.
        assert_eq!(bends(&[-220.0, 0.0]), (Some(3), vec![2185, 0x2000]));
    }
}
