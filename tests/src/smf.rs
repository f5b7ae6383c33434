//! What a Standard MIDI File says sounds, read by itself (*Standard MIDI Files 1.0*, RP-001).

use num_rational::Ratio;

/// A track of a file.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct MidiTrack {
    /// Its name.
    pub name: String,
    /// Its notes, in order of their ends.
    pub notes: Vec<MidiNote>,
    /// The tempi that are set in it, in microseconds of a quarter.
    pub tempi: Vec<u32>,
    /// The same, each with where it is set, in quarters.
    pub tempi_at: Vec<(Ratio<i64>, u32)>,
    /// Where it ends, in quarters.
    pub end: Ratio<i64>,
}

/// A note of a track.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct MidiNote {
    /// In quarters, from the beginning.
    pub onset: Ratio<i64>,
    /// The key: middle C is 60.
    pub key: u8,
    /// In quarters.
    pub length: Ratio<i64>,
}

/// The tracks of a file of format 1.
///
/// # Panics
/// If it is none, or if any note is begun twice, or not ended.
pub fn midi_tracks(bytes: &[u8]) -> Vec<MidiTrack> {
    let (kind, header, mut rest) = chunk(bytes);
    assert_eq!((kind, header.len()), (&b"MThd"[..], 6));
    let word = |place: usize| u16::from_be_bytes([header[place], header[place + 1]]);
    assert_eq!(word(0), 1, "the format");
    let ticks = word(4);
    assert!((1..0x8000).contains(&ticks), "ticks of a quarter");
    let mut tracks = Vec::new();
    while !rest.is_empty() {
        let (kind, content, after) = chunk(rest);
        assert_eq!(kind, b"MTrk");
        tracks.push(track(content, ticks as i64));
        rest = after;
    }
    assert_eq!(tracks.len(), word(2) as usize);
    tracks
}

fn chunk(bytes: &[u8]) -> (&[u8], &[u8], &[u8]) {
    let length = u32::from_be_bytes(bytes[4..8].try_into().unwrap()) as usize;
    (&bytes[..4], &bytes[8..8 + length], &bytes[8 + length..])
}

fn track(mut bytes: &[u8], ticks: i64) -> MidiTrack {
    let mut track = MidiTrack::default();
    let (mut now, mut status) = (0_i64, 0);
    let mut sounding: Vec<(u8, i64)> = Vec::new();
    loop {
        now += number(&mut bytes) as i64;
        if bytes[0] >= 0x80 {
            status = bytes[0];
            bytes = &bytes[1..];
        }
        if status == 0xff {
            let kind = bytes[0];
            bytes = &bytes[1..];
            let length = number(&mut bytes) as usize;
            let (content, after) = bytes.split_at(length);
            bytes = after;
            match kind {
                0x03 => track.name = String::from_utf8(content.to_vec()).unwrap(),
                0x51 => {
                    let tempo = content.iter().fold(0, |all, byte| all << 8 | *byte as u32);
                    track.tempi.push(tempo);
                    track.tempi_at.push((Ratio::new(now, ticks), tempo));
                }
                0x2f => break,
                _ => {}
            }
            continue;
        }
        let (key, velocity) = (bytes[0], bytes[1]);
        match status >> 4 {
            // A controller.
            0xb => {}
            0x9 if velocity > 0 => {
                assert!(sounding.iter().all(|(other, _)| *other != key), "key {key} begun twice");
                sounding.push((key, now));
            }
            0x8 | 0x9 => {
                let place = sounding.iter().position(|(other, _)| *other == key).unwrap();
                let (_, onset) = sounding.swap_remove(place);
                let (onset, length) = (Ratio::new(onset, ticks), Ratio::new(now - onset, ticks));
                track.notes.push(MidiNote { onset, key, length });
            }
            other => panic!("status {other:x}"),
        }
        bytes = &bytes[2..];
    }
    assert!(bytes.is_empty() && sounding.is_empty());
    track.end = Ratio::new(now, ticks);
    track
}

/// A number of seven bits a byte.
fn number(bytes: &mut &[u8]) -> u32 {
    let mut number = 0;
    loop {
        let byte = bytes[0];
        *bytes = &bytes[1..];
        number = number << 7 | (byte & 0x7f) as u32;
        if byte < 0x80 {
            return number;
        }
    }
}
