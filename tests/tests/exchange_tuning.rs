//! MIDI files in their tuning, read by another library and heard as a synthesizer hears them: every key
//! that is struck has the frequency that the tuning gives to its note.

use exchange::{MidiError, MidiTuning, write_tuned_midi};
use midi_file::MidiFile;
use midi_file::core::Message;
use midi_file::file::{Event, MetaEvent};
use score::{BarLength, Performance, Score};
use sound::{Playing, Temperament, Tuning, perform};
use suite::{MADRIGALS, aligned, fixtures, madrigal_parts, opendata};

/// What a channel has been told (MIDI 1.0: registered parameters and pitch bend).
#[derive(Clone, Copy)]
struct Channel {
    /// Controllers 101 and 100.
    parameter: (u8, u8),
    /// Semitones to which a bend reaches.
    reach: f64,
    /// From -1 to 1.
    bend: f64,
    /// The program of tunings it takes.
    program: Option<u8>,
}

/// A key that is struck: its number and its frequency, in order of time and then of the number.
type Heard = (u64, u8, f64);

/// Plays a file.
fn play(bytes: &[u8]) -> Vec<Heard> {
    let file = MidiFile::read(bytes).unwrap();
    let mut events: Vec<(u64, &Event)> = Vec::new();
    for track in file.tracks() {
        let mut now = 0;
        for event in track.events() {
            now += u64::from(event.delta_time());
            events.push((now, event.event()));
        }
    }
    // Tracks are heard together; at one moment the first one first.
    events.sort_by_key(|(now, _)| *now);
    let mut keys: Vec<f64> = (0..128).map(f64::from).collect();
    let usual = Channel { parameter: (127, 127), reach: 2.0, bend: 0.0, program: None };
    let mut channels = [usual; 16];
    let mut heard = Vec::new();
    for (now, event) in events {
        match event {
            Event::Sysex(message) => tune(&mut keys, message.data()),
            Event::Midi(Message::Control(control)) => {
                let channel = &mut channels[usize::from(control.channel().get())];
                tell(channel, control.control() as u8, control.value().get());
            }
            Event::Midi(Message::PitchBend(bend)) => {
                let channel = &mut channels[usize::from(bend.channel().get())];
                channel.bend = f64::from(i32::from(bend.pitch_bend().get()) - 8192) / 8192.0;
            }
            Event::Midi(Message::NoteOn(note)) if note.velocity().get() > 0 => {
                let channel = channels[usize::from(note.channel().get())];
                let key = note.note_number().get();
                let tuned = match channel.program {
                    Some(0) => keys[usize::from(key)],
                    _ => f64::from(key),
                };
                let semitones = tuned + channel.bend * channel.reach;
                heard.push((now, key, 440.0 * ((semitones - 69.0) / 12.0).exp2()));
            }
            Event::Meta(MetaEvent::Lyric(_)) => panic!("there are no words"),
            _ => {}
        }
    }
    heard.sort_by_key(|heard| (heard.0, heard.1));
    heard
}

/// A single note tuning change (MIDI Tuning Standard; from memory): 7F, a device, 08 02, a program, how many
/// keys, and for each the key and its height in semitones, 128ths, and 128ths of these.
fn tune(keys: &mut [f64], message: &[u8]) {
    let [0x7f, 0x7f, 0x08, 0x02, 0x00, count, changes @ .., 0xf7] = message else {
        panic!("{message:x?}");
    };
    assert_eq!(changes.len(), 4 * usize::from(*count));
    assert!(changes.iter().all(|byte| *byte < 0x80));
    for change in changes.chunks(4) {
        let [key, semitone, high, low] = *change else { unreachable!() };
        let parts = f64::from(u32::from(high) << 7 | u32::from(low));
        keys[usize::from(key)] = f64::from(semitone) + parts / 16384.0;
    }
}

fn tell(channel: &mut Channel, controller: u8, value: u8) {
    match (controller, channel.parameter) {
        (101, (_, low)) => channel.parameter = (value, low),
        (100, (high, _)) => channel.parameter = (high, value),
        (6, (0, 0)) => channel.reach = f64::from(value),
        (6, (0, 3)) => channel.program = Some(value),
        _ => {}
    }
}

/// Every note is heard as it is tuned: within a hundredth of a cent by a table, by pitch bend within a step of
/// the bend.
fn compare(name: &str, score: &Score, performance: &Performance, tuning: &Tuning) {
    let notes = tuning.frequencies(performance);
    let keys = &tuning.keyboard();
    let mut expected: Vec<(u8, f64)> = performance
        .notes
        .iter()
        .zip(&notes)
        .map(|(note, frequency)| (note.pitch.key_number() as u8, *frequency))
        .collect();
    expected.sort_by(|one, other| one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)));
    for (table, within) in [(true, 0.01), (false, 0.04)] {
        let said = if table {
            MidiTuning::Table { keys, notes: &notes }
        } else {
            MidiTuning::Bend { notes: &notes }
        };
        let bytes = write_tuned_midi(score, performance, said).unwrap();
        let mut heard: Vec<(u8, f64)> =
            play(&bytes).into_iter().map(|(_, key, frequency)| (key, frequency)).collect();
        heard.sort_by(|one, other| one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)));
        assert_eq!(heard.len(), expected.len(), "{name}");
        for ((key, heard), (expected_key, expected)) in heard.iter().zip(&expected) {
            assert_eq!(key, expected_key, "{name}");
            let cents = 1200.0 * (heard / expected).log2();
            assert!(cents.abs() < within, "{name}: key {key} is {cents} cents away");
        }
    }
}

fn tunings() -> Vec<Tuning> {
    let mut all: Vec<Tuning> = Temperament::ALL
        .into_iter()
        .map(|temperament| Tuning { temperament, ..Tuning::default() })
        .collect();
    all.push(Tuning { keys: "Eb/D#,G#/Ab".parse().unwrap(), pitch: 392.0, ..Tuning::default() });
    all
}

#[test]
fn every_fixture_is_heard_in_tune() {
    for (name, text) in fixtures() {
        let (score, _) = aligned(&text, BarLength::Breve);
        let performance = perform(&score, &Playing::of(&score), None);
        for tuning in tunings() {
            compare(&name, &score, &performance, &tuning);
        }
    }
}

#[test]
fn every_madrigal_is_heard_in_tune() {
    let Some(opendata) = opendata() else { return };
    for piece in MADRIGALS {
        let (score, _) = aligned(&madrigal_parts(&opendata, piece), BarLength::Breve);
        let performance = perform(&score, &Playing::of(&score), None);
        for tuning in [Tuning::default(), Tuning { pitch: 466.0, ..Tuning::default() }] {
            compare(piece, &score, &performance, &tuning);
        }
    }
}

/// Both notes of a split key in one piece, and two notes at once in one voice.
#[test]
fn split_keys_and_divided_notes_are_heard_in_tune() {
    let text = "voice A clef C1\n sb D#5+B4 Eb5+G4 lg D#5+B4\nvoice B clef F4\n sb B2 Eb3 lg B2\n";
    let (score, _) = aligned(text, BarLength::Breve);
    let performance = perform(&score, &Playing::of(&score), None);
    let tuning = Tuning { keys: "Eb/D#".parse().unwrap(), ..Tuning::default() };
    compare("split", &score, &performance, &tuning);
}

/// Sixteen voices cannot bend fifteen channels.
#[test]
fn too_many_voices_for_bends_are_refused() {
    let voice = |number| format!("voice V{number} clef C1\n lg C5\n");
    let text: String = (0..16).map(voice).collect();
    let (score, _) = aligned(&text, BarLength::Breve);
    let performance = perform(&score, &Playing::of(&score), None);
    let notes = Tuning::default().frequencies(&performance);
    let error = write_tuned_midi(&score, &performance, MidiTuning::Bend { notes: &notes });
    let Err(exchange::Error::Midi(error)) = error else { panic!("{error:?}") };
    assert_eq!(error, MidiError::TooManyBends);
    let keys = &Tuning::default().keyboard();
    assert!(
        write_tuned_midi(&score, &performance, MidiTuning::Table { keys, notes: &notes }).is_ok()
    );
}
