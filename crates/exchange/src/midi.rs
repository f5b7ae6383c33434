//! A performance as a Standard MIDI File (MIDI 1.0, *Standard MIDI Files 1.0*, RP-001), to be heard.

mod pace;
mod tuning;

use std::borrow::Cow;

use midly::num::{u4, u7, u15, u28};
use midly::{
    Format, Header, MetaMessage, MidiMessage, Smf, Timing, Track, TrackEvent, TrackEventKind,
};
use rudiments::{Quarters, Time};
use score::{Close, Performance, PlayedNote, PlayedVoice, Score, legible};

use crate::{Error, MidiError};
use pace::Paces;
use tuning::{Said, Tuned};

pub use tuning::MidiTuning;

/// Ticks of a quarter, unless exactness asks for another number.
const USUAL_TICKS: i64 = 480;

/// How hard a note is struck that is as loud as usual, of 127.
const USUAL_VELOCITY: f64 = 80.0;

/// The controller that says where a channel is heard (MIDI 1.0, controller 10), and its middle.
const PAN: u8 = 10;
const PAN_MIDDLE: f64 = 64.0;

/// The channel of percussion, and the high and the low wood block on it (*General MIDI System Level 1*,
/// percussion key map).
const PERCUSSION: u8 = 9;
const STRONG_STROKE: u8 = 76;
const WEAK_STROKE: u8 = 77;

/// Writes how a score is played as a MIDI file of format 1.
///
/// The first track has the title, the tempo, the meter, and a marker at every bar, `bar 5`; each voice
/// has a track with its name, and a channel of its own as far as there are channels (the tenth, for
/// percussion, has only the strokes that are counted before the music, in a last track). A minim is a
/// half note. All onsets are exact: a quarter has as many ticks as that asks for. So are lengths, but
/// for notes that are let go early, whose ends are exact to half a tick. Notes that sound on across a
/// bar line are one; voices that are silent have no notes.
///
/// # Errors
/// If the lengths are too fine or the piece too long for the format, or if a pitch has no key.
pub fn write_midi(score: &Score, performance: &Performance) -> Result<Vec<u8>, Error> {
    write_tuned_midi(score, performance, MidiTuning::Unsaid)
}

/// The same, with how high its notes are.
///
/// # Errors
/// As [`write_midi`]; and if there are not enough channels for notes that are bent apart.
pub fn write_tuned_midi(
    score: &Score,
    performance: &Performance,
    tuning: MidiTuning<'_>,
) -> Result<Vec<u8>, Error> {
    let ticks = ticks_of_a_quarter(performance)?;
    let is_heard = |note: &PlayedNote| performance.voices[note.voice].loudness > 0.0;
    let keys = performance.notes.iter().map(|note| key_number(note).filter(|_| is_heard(note)));
    let keys: Vec<Option<u8>> = keys.collect();
    let tuned = Tuned::of(tuning, &keys);
    let file = File { score, performance, ticks, paces: Paces::of(performance), tuned: &tuned };
    let header = Header {
        format: Format::Parallel,
        timing: Timing::Metrical(u15::try_from(ticks as u16).ok_or(MidiError::TooFine)?),
    };
    let title = score.heading.full_title();
    let title = title.as_deref().map(legible);
    let markers: Vec<String> =
        performance.bars.iter().map(|bar| format!("bar {}", bar.number)).collect();
    let names: Vec<Cow<'_, str>> = score.voices.iter().map(|voice| legible(&voice.name)).collect();
    let mut of_voices: Vec<Vec<usize>> = vec![Vec::new(); score.voices.len()];
    for (place, note) in performance.notes.iter().enumerate() {
        of_voices[note.voice].push(place);
    }
    let channels = file.channels(&of_voices)?;
    let mut smf = Smf::new(header);
    smf.tracks.push(file.first_track(title.as_deref(), &markers)?);
    for (place, (name, notes)) in names.iter().zip(&of_voices).enumerate() {
        smf.tracks.push(file.voice(place, name, notes, &channels[place])?);
    }
    if !performance.strokes.is_empty() {
        smf.tracks.push(file.strokes()?);
    }
    let mut bytes = Vec::new();
    // Writing to memory fails only for what the format cannot hold.
    smf.write_std(&mut bytes).map_err(|_| MidiError::TooLong)?;
    Ok(bytes)
}

/// What happens at a tick.
type Event<'s> = (i64, TrackEventKind<'s>);

/// What all tracks are made of.
struct File<'f> {
    score: &'f Score,
    performance: &'f Performance,
    /// Ticks of a quarter.
    ticks: i64,
    paces: Paces,
    tuned: &'f Tuned,
}

impl<'f> File<'f> {
    /// The tick of a moment; exact for all that the performance counts.
    fn tick(&self, at: Time) -> i64 {
        (quarters(at) * self.ticks).numerator()
    }

    /// The track of events in any order of time; those at one tick stay in their order.
    fn track<'t>(&self, mut events: Vec<Event<'t>>) -> Result<Track<'t>, MidiError> {
        events.sort_by_key(|(tick, _)| *tick);
        let last = events.last().map_or(0, |(tick, _)| *tick);
        let end = TrackEventKind::Meta(MetaMessage::EndOfTrack);
        events.push((self.tick(self.performance.end).max(last), end));
        let mut now = 0;
        let delta = |(tick, kind): Event<'t>| {
            let delta = u32::try_from(tick - now).map_err(|_| MidiError::TooLong)?;
            now = tick;
            Ok(TrackEvent { delta: u28::try_from(delta).ok_or(MidiError::TooLong)?, kind })
        };
        events.into_iter().map(delta).collect()
    }

    fn first_track<'t>(
        &self,
        title: Option<&'t str>,
        markers: &'t [String],
    ) -> Result<Track<'t>, MidiError>
    where
        'f: 't,
    {
        let mut metas: Vec<(Time, MetaMessage<'t>)> = Vec::new();
        metas.extend(title.map(|title| (Time::ZERO, MetaMessage::TrackName(title.as_bytes()))));
        metas.extend(self.paces.tempi().map(|(at, tempo)| (at, MetaMessage::Tempo(tempo))));
        metas.extend(meters(self.score, self.performance));
        let bars = self.performance.bars.iter().zip(markers);
        metas.extend(bars.map(|(bar, text)| (bar.start, MetaMessage::Marker(text.as_bytes()))));
        let event = |(at, meta)| (self.tick(at), TrackEventKind::Meta(meta));
        let tunings = self.tuned.first.iter();
        let tunings = tunings.map(|message| (0, TrackEventKind::SysEx(message)));
        self.track(metas.into_iter().map(event).chain(tunings).collect())
    }

    /// The channels of each voice: one, or if notes of its are bent apart, as many as it strikes together.
    fn channels(&self, of_voices: &[Vec<usize>]) -> Result<Vec<Vec<u4>>, MidiError> {
        let places = || self.score.voices.iter().map(|voice| voice.place);
        let mut channels: Vec<Vec<u4>> = places().map(|place| vec![channel(place)]).collect();
        if !self.tuned.bends() {
            return Ok(channels);
        }
        if places().any(|place| place >= CHANNELS) {
            return Err(MidiError::TooManyBends);
        }
        let mut free = (0..CHANNELS).filter(|channel| places().all(|place| place != *channel));
        for (channels, notes) in channels.iter_mut().zip(of_voices) {
            let notes = notes.iter().map(|note| &self.performance.notes[*note]);
            let notes: Vec<&PlayedNote> = notes.collect();
            let events = notes.chunk_by(|one, other| one.start == other.start);
            for _ in 1..events.map(<[_]>::len).max().unwrap_or(1) {
                channels.push(channel(free.next().ok_or(MidiError::TooManyBends)?));
            }
        }
        Ok(channels)
    }

    /// The track of the voice of that place in the score, from 0.
    fn voice<'t>(
        &self,
        place: usize,
        name: &'t str,
        notes: &[usize],
        channels: &[u4],
    ) -> Result<Track<'t>, MidiError>
    where
        'f: 't,
    {
        let played = self.performance.voices[place];
        let mut events = vec![(0, TrackEventKind::Meta(MetaMessage::TrackName(name.as_bytes())))];
        for channel in channels {
            let messages = pan(played).into_iter().chain(self.tuned.of_channel());
            let midi = |message| (0, TrackEventKind::Midi { channel: *channel, message });
            events.extend(messages.map(midi));
        }
        let mut bends = vec![None; channels.len()];
        // The keys of the event that is played, each of which is struck once; and when it begins.
        let (mut keys, mut begun): (Vec<u7>, Time) = (Vec::new(), Time::ZERO);
        for place in notes.iter().filter(|_| played.loudness > 0.0) {
            let note = &self.performance.notes[*place];
            let key = self.key(note)?;
            if begun != note.start {
                (keys, begun) = (Vec::new(), note.start);
            }
            // Where notes are bent, each of an event has a channel of its own.
            let lane = keys.len() % channels.len();
            let midi = |message| TrackEventKind::Midi { channel: channels[lane], message };
            if let Some(said) = self.tuned.before(*place, &mut bends[lane]) {
                let kind = match said {
                    Said::Everywhere(kind) => kind,
                    Said::Channel(message) => midi(message),
                };
                events.push((self.tick(note.start), kind));
            }
            if keys.contains(&key) {
                continue;
            }
            keys.push(key);
            let vel = velocity(played);
            events.push((self.tick(note.start), midi(MidiMessage::NoteOn { key, vel })));
            let vel = u7::from(0);
            events.push((self.release(note), midi(MidiMessage::NoteOff { key, vel })));
        }
        self.track(events)
    }

    /// The key of a note.
    fn key(&self, note: &PlayedNote) -> Result<u7, MidiError> {
        key_number(note).map(u7::from).ok_or_else(|| {
            let bars = &self.performance.bars;
            let begun = bars.partition_point(|bar| bar.start <= note.start);
            MidiError::NoKey {
                voice: self.score.voices[note.voice].name.clone(),
                bar: begun.checked_sub(1).map_or(1, |bar| bars[bar].number),
                pitch: note.pitch,
            }
        })
    }

    /// The tick at which a note is let go.
    fn release(&self, note: &PlayedNote) -> i64 {
        let (on, end) = (self.tick(note.start), self.tick(note.end));
        let early = self.performance.clock.seconds(note.end) - note.released;
        let quarters = 2.0 * self.paces.minims_before(note.end, early);
        (end - (quarters * self.ticks as f64).round() as i64).max(on + 1).min(end)
    }

    fn strokes<'t>(&self) -> Result<Track<'t>, MidiError> {
        let channel = u4::from(PERCUSSION);
        let mut events = vec![(0, TrackEventKind::Meta(MetaMessage::TrackName(b"count-in")))];
        for stroke in &self.performance.strokes {
            let key = u7::from(if stroke.strong { STRONG_STROKE } else { WEAK_STROKE });
            let (on, off) = (self.tick(stroke.at), self.tick(stroke.at) + self.ticks / 4);
            let vel = u7::from(USUAL_VELOCITY as u8);
            for (tick, message) in [
                (on, MidiMessage::NoteOn { key, vel }),
                (off, MidiMessage::NoteOff { key, vel: u7::from(0) }),
            ] {
                events.push((tick, TrackEventKind::Midi { channel, message }));
            }
        }
        self.track(events)
    }
}

/// The number of its key, of 128.
fn key_number(note: &PlayedNote) -> Option<u8> {
    u8::try_from(note.pitch.key_number()).ok().filter(|key| *key < 128)
}

/// A minim is a half note.
fn quarters(time: Time) -> Quarters {
    Quarters::of(time, Quarters::whole(2))
}

/// Where a voice is heard, if not in the middle.
fn pan(voice: PlayedVoice) -> Option<MidiMessage> {
    let value = (PAN_MIDDLE + voice.pan * (PAN_MIDDLE - 1.0)).round();
    let value = u7::from(value.clamp(0.0, 127.0) as u8);
    let controller = u7::from(PAN);
    (value != u7::from(PAN_MIDDLE as u8)).then_some(MidiMessage::Controller { controller, value })
}

/// How hard the keys of a voice are struck: amplitudes go by the square of it, as *Downloadable Sounds
/// Level 1* has it (from memory).
fn velocity(voice: PlayedVoice) -> u7 {
    u7::from((USUAL_VELOCITY * voice.loudness.sqrt()).round().clamp(1.0, 127.0) as u8)
}

/// The usual number of ticks, or the least above it that makes all moments whole.
fn ticks_of_a_quarter(performance: &Performance) -> Result<i64, MidiError> {
    let notes = performance.notes.iter().flat_map(|note| [note.start, note.end]);
    let bars = performance.bars.iter().flat_map(|bar| [bar.start, bar.end]);
    let strokes = performance.strokes.iter().map(|stroke| stroke.at);
    let holds = performance.clock.holds().map(|hold| hold.at);
    let most = u15::max_value().as_int() as i64;
    let mut common = 1;
    for time in notes.chain(bars).chain(strokes).chain(holds) {
        let parts = quarters(time).denominator();
        if common % parts != 0 {
            common = least_common_multiple(common, parts)
                .filter(|all| *all <= most)
                .ok_or(MidiError::TooFine)?;
        }
    }
    Ok(common * ((USUAL_TICKS + common - 1) / common))
}

/// The meters in half notes, at the beginning and wherever bars have another length; a bar that is cut
/// short by the end of a section goes on under the one before. 48 clocks of MIDI make a half note, and
/// eight 32nds a quarter.
fn meters(score: &Score, performance: &Performance) -> Vec<(Time, MetaMessage<'static>)> {
    let minims =
        |length: Time| length.exactly(Time::minims(1)).and_then(|count| u8::try_from(count).ok());
    let bars = &performance.bars;
    let first = bars.first().map_or(score.bar, |bar| bar.end - bar.start);
    let plain = bars.iter().filter(|bar| score.bars[bar.bar].close == Close::Plain);
    let lengths = plain.map(|bar| (bar.start, bar.end - bar.start));
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

/// So many channels are not for percussion.
const CHANNELS: usize = 15;

/// The channel of the voice of that place from the top, from 0: the tenth is for percussion.
fn channel(place: usize) -> u4 {
    let channel = place % CHANNELS;
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
    use rudiments::{Direction, Interval};
    use score::{BarLength, align, reckon};
    use sound::{Playing, perform};

    use super::*;

    fn score(text: &str) -> Score {
        let piece = parse(text).piece;
        align(&piece, reckon(&piece), BarLength::Breve).score
    }

    fn played(
        score: &Score,
        playing: &Playing,
        by: Option<Interval>,
    ) -> Result<Vec<u8>, MidiError> {
        write_midi(score, &perform(score, playing, by)).map_err(|error| match error {
            Error::Midi(error) => error,
            other => panic!("{other}"),
        })
    }

    fn midi(text: &str, transpose: Option<Interval>) -> Result<Vec<u8>, MidiError> {
        played(&score(text), &Playing::exact(), transpose)
    }

    /// What a track says: the tick, and the message in a few words.
    fn said(bytes: &[u8], track: usize) -> Vec<String> {
        let smf = Smf::parse(bytes).unwrap();
        let mut now = 0;
        let say = |event: &TrackEvent<'_>| {
            now += event.delta.as_int();
            let kind = match event.kind {
                TrackEventKind::Midi { channel, message } => match message {
                    MidiMessage::NoteOn { key, vel } => format!("on {channel} {key} {vel}"),
                    MidiMessage::NoteOff { key, .. } => format!("off {channel} {key}"),
                    MidiMessage::Controller { controller, value } => {
                        format!("control {channel} {controller} {value}")
                    }
                    other => panic!("{other:?}"),
                },
                TrackEventKind::Meta(meta) => match meta {
                    MetaMessage::Tempo(tempo) => format!("tempo {tempo}"),
                    MetaMessage::Marker(text) | MetaMessage::TrackName(text) => {
                        String::from_utf8_lossy(text).into_owned()
                    }
                    MetaMessage::TimeSignature(minims, ..) => format!("{minims}/2"),
                    MetaMessage::EndOfTrack => "end".to_owned(),
                    other => panic!("{other:?}"),
                },
                other => panic!("{other:?}"),
            };
            format!("{now} {kind}")
        };
        smf.tracks[track].iter().map(say).collect()
    }

    /// The hold of a corona: two minims more in the last minim, so that three pass in its time.
    #[test]
    fn what_is_held_goes_slower() {
        let score = score("voice C clef C1\n sb C4 mn D^ E br F\n");
        let touch = sound::Touch { corona: Time::minims(2), ..sound::Touch::EXACT };
        let bytes = played(&score, &Playing { touch, ..Playing::exact() }, None).unwrap();
        assert_eq!(
            said(&bytes, 0),
            [
                "0 tempo 500000",
                "0 4/2",
                "0 bar 1",
                "1920 tempo 1500000",
                "2880 tempo 500000",
                "3840 bar 2",
                "7680 end"
            ]
        );
    }

    #[test]
    fn notes_are_let_go_early() {
        let score = score("voice C clef C1\n mn C4 C sb D\n");
        let touch = sound::Touch { repeated: 0.1, ..sound::Touch::EXACT };
        let bytes = played(&score, &Playing { touch, ..Playing::exact() }, None).unwrap();
        // A tenth of the 960 ticks of a minim.
        let notes = ["0 on 0 60 80", "864 off 0 60", "960 on 0 60 80", "1920 off 0 60"];
        assert_eq!(said(&bytes, 1)[1..5], notes);
    }

    #[test]
    fn voices_have_their_seats_and_loudness() {
        let score = score("voice A clef C1\n br C4\nvoice B clef C1\n br D4\n");
        let mut playing = Playing { seats: Playing::of(&score).seats, ..Playing::exact() };
        playing.seats[0].loudness = 0.25;
        playing.seats[1].loudness = 0.0;
        let bytes = played(&score, &playing, None).unwrap();
        let first = ["0 A", "0 control 0 10 26", "0 on 0 60 40", "3840 off 0 60", "3840 end"];
        assert_eq!(said(&bytes, 1), first);
        assert_eq!(said(&bytes, 2), ["0 B", "0 control 1 10 102", "3840 end"]);
    }

    #[test]
    fn a_count_before_the_music() {
        let score = score("voice C clef C1\n br C4\n");
        let bytes = played(&score, &Playing { count_in: 1, ..Playing::exact() }, None).unwrap();
        assert_eq!(said(&bytes, 0)[2..], ["3840 bar 1", "7680 end"]);
        assert_eq!(said(&bytes, 1)[1], "3840 on 0 60 80");
        let strokes = said(&bytes, 2);
        assert_eq!(strokes[..4], ["0 count-in", "0 on 9 76 80", "120 off 9 76", "960 on 9 77 80"]);
    }

    #[test]
    fn meters_change_with_the_bars() {
        let text = "voice C clef C1 sign O\n br G4 A sign C br A G lg A\n";
        let score = score(text);
        let performance = perform(&score, &Playing::exact(), None);
        let found: Vec<(Time, u8)> = meters(&score, &performance)
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
            // The marker of the bar.
            &[0x00, 0xff, 0x06, 0x05, b'b', b'a', b'r', b' ', b'1'],
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
