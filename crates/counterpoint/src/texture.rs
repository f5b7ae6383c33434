//! The voices as bare numbers, made for counting: onsets in whole ticks, steps and keys, and how
//! each note is come to and left.

use notation::{Event, ItemId, ItemKind, Layout, Piece};
use rudiments::{Pitch, Signature, Time, Tone};
use score::{Close, Score};

use crate::place::{Length, length_class};

/// All voices of a piece on one grid of ticks.
#[derive(Clone, Debug)]
pub(crate) struct Texture {
    /// Ticks in a minim; divisible by 24, so that every length has its half, quarter and third.
    pub(crate) minim: i64,
    /// The voices, top voice first.
    pub(crate) lines: Vec<Line>,
    /// Where each section begins, and where the last one ends.
    pub(crate) bounds: Vec<i64>,
}

/// A voice.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    /// Its name.
    pub(crate) name: String,
    /// Its place in the piece.
    pub(crate) place: usize,
    /// Whether it is written out; a canon is not, and cannot have a slip of its own.
    pub(crate) written: bool,
    /// Its notes and rests, in order of time.
    pub(crate) notes: Vec<Note>,
}

/// A note or rest.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Note {
    /// When it begins, in ticks.
    pub(crate) onset: i64,
    /// When it is over; a final is held.
    pub(crate) end: i64,
    /// The signature in force.
    pub(crate) signature: Signature,
    /// How long it lasts by its value, whether it is held or not.
    pub(crate) length: i64,
    /// What sounds; nothing for a rest.
    pub(crate) pitch: Option<Key>,
    /// Steps from the note directly before; none after a rest.
    pub(crate) come: Option<i8>,
    /// Steps to the note directly after; none before a rest.
    pub(crate) leave: Option<i8>,
    /// The class of its length.
    pub(crate) class: Length,
    /// The class of the length of the event before.
    pub(crate) before: Option<Length>,
    /// The section in which it stands, from 0.
    pub(crate) section: u32,
    /// Its item in the piece's voice.
    pub(crate) item: u32,
    /// What else is known of it.
    pub(crate) facts: Facts,
}

/// A pitch as numbers.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Key {
    /// Staff steps; see [`rudiments::Tone::rung`].
    pub(crate) rung: i16,
    /// Semitones; see [`rudiments::Pitch::key_number`].
    pub(crate) semitones: i16,
    /// Whether a sign alters it from what the signature makes of it.
    pub(crate) altered: bool,
}

/// What the source says about an event beside its sound.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) struct Facts {
    /// The rung that a direct at the end of the line before announces.
    pub(crate) direct: Option<i16>,
    /// Whether it is the first of a line of the source.
    pub(crate) begins_line: bool,
    /// Where other voices have the line end that follows this event, in a stacked source.
    pub(crate) line_sum: Option<i64>,
    /// Whether a printed bar line follows.
    pub(crate) bar_line: bool,
    /// Whether it is the last of its section.
    pub(crate) last: bool,
    /// Whether it stands outside plain counting: a ratio, coloration, an editor's length.
    pub(crate) odd: bool,
    /// Whether the editor has set its length.
    pub(crate) set: bool,
    /// Whether the source has it, so that it may have been mistyped or misprinted.
    pub(crate) printed: bool,
}

impl Key {
    /// A pitch under a signature.
    pub(crate) fn of(pitch: Pitch, signature: Signature) -> Key {
        Key {
            rung: pitch.tone.rung() as i16,
            semitones: pitch.key_number() as i16,
            altered: pitch.alteration != signature.alteration(pitch.tone.step),
        }
    }

    /// The tone.
    pub(crate) fn tone(self) -> Tone {
        Tone::on_rung(i32::from(self.rung))
    }
}

impl Texture {
    /// The texture of a piece; one pass over each voice.
    pub(crate) fn new(piece: &Piece, score: &Score) -> Texture {
        let minim = ticks_in_a_minim(score);
        let ticks = |time: Time| time.numerator() * (minim / time.denominator());
        let mut bounds = vec![0];
        let ends = score.bars.iter().filter(|bar| bar.close != Close::Plain);
        bounds.extend(ends.map(|bar| ticks(bar.end)));
        let mut lines: Vec<Line> = Vec::new();
        for voice in &score.voices {
            let place = voice.place;
            let written = piece.voices[place].canon.is_none();
            let items = read_events(piece, place);
            let mut notes = Vec::with_capacity(voice.events.len());
            let mut next = 0;
            for event in &voice.events {
                let (onset, end) = (ticks(event.onset), ticks(event.end()));
                let section = bounds.partition_point(|bound| *bound <= onset).max(1) - 1;
                let is_this = |item: &ReadEvent<'_>| {
                    event.item == Some(ItemId { voice: place, item: item.place })
                };
                let item = items.get(next).copied().filter(is_this);
                next += item.is_some() as usize;
                if written && item.is_none() {
                    continue;
                }
                let odd = event.proportion.many() != event.proportion.in_time_of();
                let source = item.map(|item| item.event);
                let set = source.is_some_and(|event| event.length.is_some());
                let length = match source {
                    Some(source) if !set && !odd && source.spaces().is_none() => {
                        let plain = event.value.plain();
                        ticks(if event.dotted { plain + plain.half() } else { plain })
                    }
                    _ => end - onset,
                };
                let signature = item.map_or(voice.signature, |item| item.signature);
                let pitch = event.notes.first().map(|note| Key::of(note.pitch, signature));
                let facts = item.map(|item| item.facts).unwrap_or_default();
                let class = length_class(length, minim, pitch.is_none());
                notes.push(Note {
                    onset,
                    end,
                    signature,
                    length,
                    pitch,
                    come: None,
                    leave: None,
                    class,
                    before: None,
                    section: section as u32,
                    item: item.map_or(0, |item| item.place as u32),
                    facts: Facts { odd: odd || set, set, printed: item.is_some(), ..facts },
                });
            }
            relate(&mut notes);
            for place in 0..notes.len() {
                let section = notes[place].section;
                notes[place].facts.last =
                    notes.get(place + 1).is_none_or(|next| next.section != section);
            }
            lines.push(Line { name: voice.name.clone(), place, written, notes });
        }
        let mut texture = Texture { minim, lines, bounds };
        if piece.head.layout == Layout::Stacked {
            texture.compare_line_ends(piece);
        }
        texture
    }

    /// Where the section of a note begins.
    pub(crate) fn start_of(&self, note: &Note) -> i64 {
        self.bounds.get(note.section as usize).copied().unwrap_or(0)
    }

    /// Where the section of a note ends.
    pub(crate) fn end_of(&self, note: &Note) -> i64 {
        self.bounds.get(note.section as usize + 1).copied().unwrap_or(i64::MAX)
    }

    /// Notes for every line end of a stacked source where most of the other voices have it.
    fn compare_line_ends(&mut self, piece: &Piece) {
        let ends: Vec<Vec<(usize, i64)>> =
            self.lines.iter().map(|line| line_ends(piece, line)).collect();
        for (voice, own) in ends.iter().enumerate() {
            for (number, (note, _)) in own.iter().enumerate() {
                let others: Vec<i64> = ends
                    .iter()
                    .enumerate()
                    .filter(|(other, _)| *other != voice)
                    .filter_map(|(_, ends)| ends.get(number).map(|(_, end)| *end))
                    .collect();
                let count = |end: i64| others.iter().filter(|other| **other == end).count();
                let most = others.iter().copied().max_by_key(|end| count(*end));
                self.lines[voice].notes[*note].facts.line_sum = most;
            }
        }
    }
}

/// The line ends of a voice: the note before each, and when that is over.
fn line_ends(piece: &Piece, line: &Line) -> Vec<(usize, i64)> {
    let mut ends = Vec::new();
    let mut next = 0;
    for (place, item) in piece.voices[line.place].items.iter().enumerate() {
        while line.notes.get(next).is_some_and(|note| (note.item as usize) < place) {
            next += 1;
        }
        if matches!(item.kind, ItemKind::LineEnd | ItemKind::PageEnd) && next > 0 {
            ends.push((next - 1, line.notes[next - 1].end));
        }
    }
    ends
}

/// Fills in how every note is come to and left.
pub(crate) fn relate(notes: &mut [Note]) {
    for place in 0..notes.len() {
        let before = place.checked_sub(1).map(|before| notes[before]);
        let after = notes.get(place + 1).copied();
        let note = &mut notes[place];
        relate_one(before.as_ref(), note, after.as_ref());
    }
}

/// Fills in how one note is come to and left.
pub(crate) fn relate_one(before: Option<&Note>, note: &mut Note, after: Option<&Note>) {
    let steps =
        |from: Option<Key>, to: Option<Key>| Some((to?.rung - from?.rung).clamp(-100, 100) as i8);
    note.come = before.and_then(|before| steps(before.pitch, note.pitch));
    note.leave = after.and_then(|after| steps(note.pitch, after.pitch));
    note.before = before.map(|before| before.class);
}

/// An event that is read, with what surrounds it in the source.
#[derive(Clone, Copy)]
struct ReadEvent<'p> {
    event: &'p Event,
    place: usize,
    signature: Signature,
    facts: Facts,
}

/// The events of a voice that are read, in order.
fn read_events(piece: &Piece, place: usize) -> Vec<ReadEvent<'_>> {
    let voice = &piece.voices[place];
    let mut events: Vec<ReadEvent<'_>> = Vec::new();
    let mut signature = voice.signature;
    let mut pending = Facts { begins_line: true, ..Facts::default() };
    for (place, item) in voice.items.iter().enumerate() {
        if !item.standing.is_read() {
            continue;
        }
        match &item.kind {
            ItemKind::Event(event) => {
                // A direct announces the next note, over rests.
                let direct = if event.is_rest() { None } else { pending.direct.take() };
                let facts = Facts { direct, ..pending };
                pending.begins_line = false;

                events.push(ReadEvent { event, place, signature, facts });
            }
            ItemKind::Signature(changed) => signature = *changed,
            ItemKind::Direct(tone) => pending.direct = Some(tone.rung() as i16),
            ItemKind::LineEnd | ItemKind::PageEnd => pending.begins_line = true,
            ItemKind::BarLine => {
                if let Some(last) = events.last_mut() {
                    last.facts.bar_line = true;
                }
            }
            _ => {}
        }
    }
    events
}

/// The spaces of a long rest.
trait Spaces {
    fn spaces(&self) -> Option<u8>;
}

impl Spaces for Event {
    fn spaces(&self) -> Option<u8> {
        match self.sound {
            notation::Sound::Rest { spaces } => spaces,
            notation::Sound::Notes(_) => None,
        }
    }
}

/// Ticks so fine that every onset, and the half, quarter and third of every length, is whole.
fn ticks_in_a_minim(score: &Score) -> i64 {
    let times = score.voices.iter().flat_map(|voice| &voice.events);
    let common = times.fold(8, |common, event| {
        let with = lcm(common, event.onset.denominator());
        lcm(with, event.length.denominator())
    });
    common * 12
}

/// Reckoning keeps the common denominator of a piece small.
fn lcm(a: i64, b: i64) -> i64 {
    let (mut divisor, mut rest) = (a, b);
    while rest != 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    a / divisor * b
}

#[cfg(test)]
mod tests {
    use notation::parse;
    use score::{BarLength, align, reckon};

    use super::*;

    fn texture(text: &str) -> Texture {
        let piece = parse(text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        Texture::new(&piece, &score)
    }

    #[test]
    fn a_direct_is_kept_for_the_next_note_over_rests() {
        let texture = texture("voice A clef C1\n mn D4 ~F4 / _ F G\n");
        let rung = rudiments::Tone::new(rudiments::Step::F, 4).rung() as i16;
        let directs: Vec<_> = texture.lines[0].notes.iter().map(|n| n.facts.direct).collect();
        assert_eq!(directs, [None, None, Some(rung), None]);
        assert!(texture.lines[0].notes[1].facts.begins_line);
        assert!(!texture.lines[0].notes[2].facts.begins_line);
    }

    #[test]
    fn finals_are_the_last_of_each_section() {
        let texture =
            texture("voice A clef C1\n br D4 E || F lg G\nvoice B clef C4\n lg D3 || C\n");
        let last = |line: usize| -> Vec<bool> {
            texture.lines[line].notes.iter().map(|note| note.facts.last).collect()
        };
        assert_eq!(last(0), [false, true, false, true]);
        assert_eq!(last(1), [true, true]);
    }

    #[test]
    fn every_length_has_its_half_and_third() {
        let texture = texture("voice A clef C1\n sf D4 { mn E }\n");
        let notes = &texture.lines[0].notes;
        assert!(notes.iter().all(|note| note.length % 6 == 0), "{notes:#?}");
        assert_eq!(texture.minim % 24, 0);
    }
}
