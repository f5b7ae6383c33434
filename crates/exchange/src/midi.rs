//! A score as a Standard MIDI File (MIDI 1.0, *Standard MIDI Files 1.0*, RP-001), to be heard.

use std::borrow::Cow;

use midly::num::{u4, u7, u15, u24, u28};
use midly::{
    Format, Header, MetaMessage, MidiMessage, Smf, Timing, Track, TrackEvent, TrackEventKind,
};
use rudiments::{Interval, Pitch, Quarters, Time};
use score::{Close, Score, legible};

use crate::{Error, MidiError};

/// Microseconds of a quarter: a minim, which is a half note, lasts one second. So a semibreve is
/// beaten about as slowly as one breathes, as theorists describe the tactus (common practice).
const TEMPO: u32 = 500_000;

/// Ticks of a quarter, unless exactness asks for another number.
const USUAL_TICKS: i64 = 480;

/// How loud every note is, of 127.
const VELOCITY: u8 = 80;

/// Writes a score, moved by an interval if one is given, as a MIDI file of format 1.
///
/// The first track has the title, the tempo (a minim is a second) and the meter; each voice has a
/// track with its name, and a channel of its own as far as there are channels (the tenth, for
/// percussion, is left out). A minim is a half note. All onsets and lengths are exact: a quarter
/// has as many ticks as that asks for. Notes that sound on across a bar line are one.
///
/// # Errors
/// If the lengths are too fine or the piece too long for the format, or if a pitch has no key.
pub fn write_midi(score: &Score, transpose: Option<Interval>) -> Result<Vec<u8>, Error> {
    let ticks = ticks_of_a_quarter(score)?;
    let clock = Clock { ticks, end: score.length };
    let header = Header {
        format: Format::Parallel,
        timing: Timing::Metrical(u15::try_from(ticks as u16).ok_or(MidiError::TooFine)?),
    };
    let title = score.heading.full_title();
    let title = title.as_deref().map(legible);
    let names: Vec<Cow<'_, str>> = score.voices.iter().map(|voice| legible(&voice.name)).collect();
    let mut smf = Smf::new(header);
    smf.tracks.push(first_track(score, title.as_deref(), clock)?);
    for (place, name) in names.iter().enumerate() {
        smf.tracks.push(track(score, place, name, transpose, clock)?);
    }
    let mut bytes = Vec::new();
    // Writing to memory fails only for what the format cannot hold.
    smf.write_std(&mut bytes).map_err(|_| MidiError::TooLong)?;
    Ok(bytes)
}

/// How times become ticks.
#[derive(Clone, Copy)]
struct Clock {
    /// Ticks of a quarter.
    ticks: i64,
    /// The end of the score.
    end: Time,
}

impl Clock {
    /// The ticks from one moment to a later one.
    fn between(self, from: Time, to: Time) -> Result<u28, MidiError> {
        let ticks = quarters(to - from) * self.ticks;
        let ticks = u32::try_from(ticks.numerator()).map_err(|_| MidiError::TooLong)?;
        u28::try_from(ticks).ok_or(MidiError::TooLong)
    }
}

/// A minim is a half note.
fn quarters(time: Time) -> Quarters {
    Quarters::of(time, Quarters::whole(2))
}

/// The usual number of ticks, or the least above it that makes all times whole.
fn ticks_of_a_quarter(score: &Score) -> Result<i64, MidiError> {
    let events = score.voices.iter().flat_map(|voice| &voice.events);
    let times = events.flat_map(|event| [event.onset, event.length]).chain([score.length]);
    let most = u15::max_value().as_int() as i64;
    let mut common = 1;
    for time in times {
        let parts = quarters(time).denominator();
        if common % parts != 0 {
            common = least_common_multiple(common, parts)
                .filter(|all| *all <= most)
                .ok_or(MidiError::TooFine)?;
        }
    }
    Ok(common * ((USUAL_TICKS + common - 1) / common))
}

fn first_track<'t>(
    score: &Score,
    title: Option<&'t str>,
    clock: Clock,
) -> Result<Track<'t>, MidiError> {
    let mut metas = Vec::new();
    if let Some(title) = title {
        metas.push((Time::ZERO, MetaMessage::TrackName(title.as_bytes())));
    }
    metas.push((Time::ZERO, MetaMessage::Tempo(u24::from(TEMPO))));
    metas.extend(meters(score));
    let mut track: Track<'t> = Vec::with_capacity(metas.len() + 1);
    let mut now = Time::ZERO;
    for (at, meta) in metas {
        track.push(TrackEvent { delta: clock.between(now, at)?, kind: TrackEventKind::Meta(meta) });
        now = at;
    }
    track.push(end(clock.between(now, clock.end.max(now))?));
    Ok(track)
}

/// The meters in half notes, at the beginning and wherever bars have another length; a bar that is cut
/// short by the end of a section goes on under the one before. 48 clocks of MIDI make a half note, and
/// eight 32nds a quarter.
fn meters(score: &Score) -> Vec<(Time, MetaMessage<'static>)> {
    let minims =
        |length: Time| length.exactly(Time::minims(1)).and_then(|count| u8::try_from(count).ok());
    let first = score.bars.first().map_or(score.bar, |bar| bar.end - bar.start);
    let lengths = score.bars.iter().filter(|bar| bar.close == Close::Plain);
    let lengths = lengths.map(|bar| (bar.start, bar.end - bar.start));
    let mut meters: Vec<(Time, u8)> = Vec::new();
    for (at, length) in [(Time::ZERO, first)].into_iter().chain(lengths) {
        if let Some(minims) = minims(length)
            && meters.last().is_none_or(|(_, before)| *before != minims)
        {
            meters.push((at, minims));
        }
    }
    let message = |minims| MetaMessage::TimeSignature(minims, 1, 48, 8);
    meters.into_iter().map(|(at, minims)| (at, message(minims))).collect()
}

fn end<'s>(delta: u28) -> TrackEvent<'s> {
    TrackEvent { delta, kind: TrackEventKind::Meta(MetaMessage::EndOfTrack) }
}

/// The track of the voice of that place from the top, from 0.
fn track<'t>(
    score: &Score,
    place: usize,
    name: &'t str,
    transpose: Option<Interval>,
    clock: Clock,
) -> Result<Track<'t>, MidiError> {
    let voice = &score.voices[place];
    let no_key = |at: Time, pitch: Pitch| MidiError::NoKey {
        voice: voice.name.clone(),
        bar: score.bar_at(at).map_or(1, |bar| bar.number),
        pitch,
    };
    let name = TrackEventKind::Meta(MetaMessage::TrackName(name.as_bytes()));
    let mut track = vec![TrackEvent { delta: u28::from(0), kind: name }];
    let channel = channel(place);
    let mut now = Time::ZERO;
    for event in voice.events.iter().filter(|event| !event.is_rest()) {
        let mut keys: Vec<u7> = Vec::with_capacity(event.notes.len());
        for note in &event.notes {
            let pitch = transpose.map_or(note.pitch, |interval| interval.from(note.pitch));
            let key = u8::try_from(pitch.key_number()).ok().and_then(u7::try_from);
            let key = key.ok_or_else(|| no_key(event.onset, pitch))?;
            if !keys.contains(&key) {
                keys.push(key);
            }
        }
        let on = |key| MidiMessage::NoteOn { key, vel: u7::from(VELOCITY) };
        let off = |key| MidiMessage::NoteOff { key, vel: u7::from(0) };
        let messages = keys
            .iter()
            .map(|key| (event.onset, on(*key)))
            .chain(keys.iter().map(|key| (event.end(), off(*key))));
        for (at, message) in messages {
            let kind = TrackEventKind::Midi { channel, message };
            track.push(TrackEvent { delta: clock.between(now, at)?, kind });
            now = at;
        }
    }
    track.push(end(clock.between(now, clock.end.max(now))?));
    Ok(track)
}

/// The channel of the voice of that place from the top, from 0: the tenth is for percussion.
fn channel(place: usize) -> u4 {
    let channel = place % 15;
    u4::from(if channel < 9 { channel } else { channel + 1 } as u8)
}

fn least_common_multiple(one: i64, other: i64) -> Option<i64> {
    let (mut divisor, mut rest) = (one, other);
    while rest != 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    (one / divisor).checked_mul(other)
}

#[cfg(test)]
mod tests {
    use notation::parse;
    use rudiments::Direction;
    use score::{BarLength, align, reckon};

    use super::*;

    fn midi(text: &str, transpose: Option<Interval>) -> Result<Vec<u8>, MidiError> {
        let piece = parse(text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        write_midi(&score, transpose).map_err(|error| match error {
            Error::Midi(error) => error,
            other => panic!("{other}"),
        })
    }

    #[test]
    fn meters_change_with_the_bars() {
        let text = "voice C clef C1 sign O\n br G4 A sign C br A G lg A\n";
        let piece = parse(text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        let found: Vec<(Time, u8)> = meters(&score)
            .into_iter()
            .map(|(at, meta)| match meta {
                MetaMessage::TimeSignature(minims, ..) => (at, minims),
                other => panic!("{other:?}"),
            })
            .collect();
        assert_eq!(found, [(Time::ZERO, 6), (Time::minims(12), 4)]);
    }

    /// *Standard MIDI Files 1.0* (RP-001), byte for byte: the header chunk, then two tracks.
    #[test]
    fn a_whole_file() {
        let bytes = midi("title A\nvoice C clef C1\n mn C4 D4 sb _\n", None).unwrap();
        let first = [
            &[0x00, 0xff, 0x03, 0x01, b'A'][..],
            // 500 000 microseconds of a quarter.
            &[0x00, 0xff, 0x51, 0x03, 0x07, 0xa1, 0x20],
            // 4/2.
            &[0x00, 0xff, 0x58, 0x04, 0x04, 0x01, 0x30, 0x08],
            // 3840 ticks later the end.
            &[0x9e, 0x00, 0xff, 0x2f, 0x00],
        ]
        .concat();
        let second = [
            &[0x00, 0xff, 0x03, 0x01, b'C'][..],
            // Middle C on, and off 960 ticks later; D likewise.
            &[0x00, 0x90, 0x3c, 0x50, 0x87, 0x40, 0x80, 0x3c, 0x00],
            &[0x00, 0x90, 0x3e, 0x50, 0x87, 0x40, 0x80, 0x3e, 0x00],
            &[0x8f, 0x00, 0xff, 0x2f, 0x00],
        ]
        .concat();
        let chunk = |kind: &[u8], content: &[u8]| {
            [kind, &(content.len() as u32).to_be_bytes(), content].concat()
        };
        let expected = [
            chunk(b"MThd", &[0, 1, 0, 2, 0x01, 0xe0]),
            chunk(b"MTrk", &first),
            chunk(b"MTrk", &second),
        ];
        assert_eq!(bytes, expected.concat());
    }

    #[test]
    fn ticks_are_as_fine_as_need_be() {
        let ticks = |music: &str| {
            let bytes = midi(&format!("voice C clef C1\n {music}\n"), None)?;
            Ok(u16::from_be_bytes([bytes[12], bytes[13]]))
        };
        assert_eq!(ticks("mn C4"), Ok(480));
        assert_eq!(ticks("ratio 3:2 sf C4 D E ratio 1:1 lg C4"), Ok(480));
        assert_eq!(ticks("ratio 7:4 mn C4 D E F G A B ratio 1:1 lg C5"), Ok(483));
        assert_eq!(ticks("mn C4=1/9973 D4=9972/9973 lg C4"), Ok(9973));
        assert_eq!(ticks("mn C4=1/9973 D4=1/5 lg C4"), Err(MidiError::TooFine));
    }

    #[test]
    fn pitches_are_transposed_and_have_keys() {
        let keys = |music: &str, interval: Option<Interval>| {
            let bytes = midi(&format!("voice C clef C1\n {music}\n"), interval)?;
            let smf = Smf::parse(&bytes).unwrap();
            let on = |event: &TrackEvent<'_>| match event.kind {
                TrackEventKind::Midi { message: MidiMessage::NoteOn { key, .. }, .. } => {
                    Some(key.as_int())
                }
                _ => None,
            };
            Ok(smf.tracks[1].iter().filter_map(on).collect::<Vec<u8>>())
        };
        assert_eq!(keys("sb C4 F#4 D4+A4", None), Ok(vec![60, 66, 62, 69]));
        assert_eq!(keys("sb C4", Interval::of_number(4, Direction::Down)), Ok(vec![55]));
        assert_eq!(keys("sb C0 G9", None), Ok(vec![12, 127]));
        let error = |music: &str, interval| {
            let error: MidiError = keys(music, interval).unwrap_err();
            error.to_string()
        };
        let beyond = "is beyond the 128 keys of MIDI: look whether the octave, the clef and the \
                      transposition are right";
        assert_eq!(error("br C4 lg A9", None), format!("A9 in C, bar 2, {beyond}"));
        let up = Interval::of_number(2, Direction::Up);
        assert_eq!(error("br C4 sb _ G9", up), format!("A9 in C, bar 2, {beyond}"));
        let down = Interval::of_number(15, Direction::Down);
        assert_eq!(error("br C0", down), format!("C-2 in C, bar 1, {beyond}"));
    }

    #[test]
    fn a_silence_that_the_format_cannot_hold() {
        let text = "voice C clef C1\n br _*9999 mn C4=1/9973 D4=9972/9973 lg C4\n";
        assert_eq!(midi(text, None), Err(MidiError::TooLong));
    }

    #[test]
    fn the_tenth_channel_is_left_out() {
        let channels: Vec<u8> = (0..17).map(|place| channel(place).as_int()).collect();
        assert_eq!(channels, [0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 14, 15, 0, 1]);
    }
}
