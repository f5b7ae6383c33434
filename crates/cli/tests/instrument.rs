//! Files of sound, and how they and MIDI are tuned.

mod support;

use std::fs;

use support::{run, run_for_bytes};

const DUO: &str = "title A duo\nvoice Cantus clef C1\n br Eb5 lg Bb4 //\n\
                   voice Bassus clef F4\n br Ab2 lg Eb3 //\n";

fn folder() -> tempfile::TempDir {
    support::folder(&[("duo.parts", DUO)])
}

#[test]
fn sound_is_written_in_files_and_on_streams() {
    let folder = folder();
    let (status, out, _) =
        run(folder.path(), "score duo.parts -o duo.wav -o duo.flac --keys Ab --instrument plucked");
    assert_eq!((status, out.as_str()), (0, ""));
    let [wav, flac] =
        ["duo.wav", "duo.flac"].map(|name| fs::read(folder.path().join(name)).unwrap());
    assert!(wav.starts_with(b"RIFF") && &wav[8..12] == b"WAVE");
    assert!(flac.starts_with(b"fLaC") && flac.len() < wav.len());
    let (status, bytes, err) = run_for_bytes(
        folder.path(),
        "score duo.parts --as wav -o - --keys Ab --instrument plucked",
    );
    assert_eq!((status, err.as_str()), (0, ""));
    assert_eq!(bytes, wav);
    // Nothing unfinished is left.
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 3);
}

/// `RIFF` has its sizes and the rate at the places that the specification of WAV gives (Microsoft and IBM
/// 1991): 2 channels, 44 100 samples a second, 16 bits.
#[test]
fn the_head_of_a_wav_file_is_true() {
    let folder = folder();
    assert_eq!(run(folder.path(), "score duo.parts -o duo.wav --room none").0, 0);
    let bytes = fs::read(folder.path().join("duo.wav")).unwrap();
    let word = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap());
    let half = |at: usize| u16::from_le_bytes(bytes[at..at + 2].try_into().unwrap());
    assert_eq!(word(4) as usize, bytes.len() - 8);
    assert_eq!((half(22), word(24), half(34)), (2, 44_100, 16));
}

#[test]
fn what_the_keyboard_lacks_is_said_in_a_line() {
    let folder = folder();
    let said = "duo.parts: the keyboard does not have every note of quarter-comma meantone: Ab (bar 1) \
                sounds as G#; a wolf: Ab-Eb of 738 cents (bar 1); `--keys G#/Ab` has them\n";
    assert!(include_str!("../../../docs/playing.md").contains(said));
    for out in ["duo.flac", "duo.mid", "duo.mid --tuning bend"] {
        let answer = run(folder.path(), &format!("score duo.parts -o {out}"));
        assert_eq!(answer, (0, String::new(), said.to_owned()), "{out}");
    }
    for options in ["--keys G#/Ab", "--temperament equal", "--temperament just", "--tuning none"] {
        let answer = run(folder.path(), &format!("score duo.parts -o duo.mid {options}"));
        assert_eq!(answer, (0, String::new(), String::new()), "{options}");
    }
    // Nobody hears a silent voice.
    let (_, _, err) = run(folder.path(), "score duo.parts -o duo.wav --mute Bassus");
    assert_eq!(err, "");
}

#[test]
fn midi_is_tuned_as_it_is_asked() {
    let folder = folder();
    let midi = |options: &str| {
        assert_eq!(run(folder.path(), &format!("score duo.parts -o duo.mid {options}")).0, 0);
        fs::read(folder.path().join("duo.mid")).unwrap()
    };
    let has =
        |bytes: &[u8], message: &[u8]| bytes.windows(message.len()).any(|window| window == message);
    // A change of tuning of 64 keys, at the beginning; registered parameter 0, a bend of two semitones.
    let table = &[0x7f, 0x7f, 0x08, 0x02, 0x00, 64];
    let reach = &[101, 0, 0, 100, 0, 0, 6, 2];
    let bytes = midi("");
    assert!(has(&bytes, table));
    let bytes = midi("--tuning bend");
    assert!(!has(&bytes, table) && has(&bytes, reach));
    for options in ["--tuning none", "--temperament equal"] {
        assert!(!has(&midi(options), table), "{options}");
    }
}

#[test]
fn options_without_effect_are_refused() {
    let folder = folder();
    for (options, said) in [
        ("-o a.svg --pitch 415", "nothing is written that can be heard"),
        ("-o a.mid --stops 8", "for files of sound"),
        ("-o a.wav --tuning bend", "how a MIDI file is tuned"),
        ("-o a.wav --instrument plain --stops 8", "those of the organ"),
        ("-o a.wav --temperament equal --keys Ab", "leave --keys out"),
        ("-o a.wav --keys Hb", "`Hb` is not a note"),
        ("-o a.wav --keys Ab,G#", "named before"),
        ("-o a.wav --pitch 41", "type hertz from 330 to 550"),
    ] {
        let (status, out, err) = run(folder.path(), &format!("score duo.parts {options}"));
        assert_eq!((status, out.as_str()), (2, ""), "{options}");
        assert!(err.contains(said), "{options}: {err}");
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

/// A file is whole or not there.
#[test]
fn what_is_too_long_leaves_no_file() {
    let text = "voice Cantus clef C1\n br _*9999 lg C5\n";
    let folder = support::folder(&[("long.parts", text)]);
    let (status, _, err) = run(folder.path(), "score long.parts -o long.wav");
    assert_eq!(status, 2);
    assert!(err.contains("at most 3 hours"), "{err}");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}
