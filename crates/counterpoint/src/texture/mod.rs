//! The voices as bare numbers, made for counting: onsets in whole ticks, steps and keys, and how
//! each note is come to and left.

mod measure;
mod note;
mod source;
mod sung;
mod typed_values;

use notation::{Layout, Piece};
use rudiments::{Proportion, Time, Value};
use score::{Close, NoteShape, Rule, Score, TimedVoice};

use crate::length::Length;
pub(crate) use measure::Measure;
use measure::{is_by_itself, measures, pace};
pub(crate) use note::{Facts, Height, Note, relate, relate_one};
use source::{ReadEvent, line_ends, read_events};
pub(crate) use sung::{SungLine, SungNote};
use typed_values::TypedValues;

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
    /// Its place in the score.
    pub(crate) voice: usize,
    /// Whether it is written out; a canon is not, and cannot have a slip of its own.
    pub(crate) written: bool,
    /// Its notes and rests, in order of time.
    pub(crate) notes: Vec<Note>,
}

impl Texture {
    /// The texture of a piece; one pass over each voice.
    pub(crate) fn new(piece: &Piece, score: &Score) -> Texture {
        let minim = ticks_in_a_minim(score);
        let mut bounds = vec![0];
        let ends = score.bars.iter().filter(|bar| bar.close != Close::Plain);
        bounds.extend(ends.map(|bar| ticks(bar.end, minim)));
        let grid = Grid { minim, bounds: &bounds };
        let lines = score.voices.iter().zip(measures(score, grid)).enumerate();
        let lines =
            lines.map(|(voice, (timed, measures))| Line::new(piece, voice, timed, &measures, grid));
        let lines = lines.collect();
        let mut texture = Texture { minim, lines, bounds };
        if piece.head.layout == Layout::Stacked {
            texture.compare_line_ends(piece);
        }
        texture
    }

    /// The same, with what only the text tells: where values are typed.
    pub(crate) fn of_text(text: &str, piece: &Piece, score: &Score) -> Texture {
        let mut texture = Texture::new(piece, score);
        let typed = TypedValues::of(text);
        for line in texture.lines.iter_mut().filter(|line| line.written) {
            let items = typed.before(&piece.voices[line.place]);
            for note in &mut line.notes {
                note.facts.value_typed = items.binary_search(&(note.item as usize)).is_ok();
            }
        }
        texture
    }

    /// Where the section of a note ends.
    pub(crate) fn end_of(&self, note: &Note) -> i64 {
        self.bounds.get(note.section as usize + 1).copied().unwrap_or(i64::MAX)
    }

    /// Notes for every line end of a stacked source where most of the other voices have it.
    fn compare_line_ends(&mut self, piece: &Piece) {
        let ends: Vec<Vec<(usize, i64)>> =
            self.lines.iter().map(|line| line_ends(piece, line.place, &line.notes)).collect();
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

/// The grid of a piece: ticks in a minim, and where the sections begin.
#[derive(Clone, Copy)]
struct Grid<'g> {
    minim: i64,
    bounds: &'g [i64],
}

impl Grid<'_> {
    fn ticks(self, time: Time) -> i64 {
        ticks(time, self.minim)
    }

    /// The section of a moment in ticks; the last one from its end on.
    fn section_at(self, at: i64) -> usize {
        let begun = self.bounds.partition_point(|bound| *bound <= at);
        (begun.max(1) - 1).min(self.sections() - 1)
    }

    fn sections(self) -> usize {
        self.bounds.len().saturating_sub(1).max(1)
    }
}

fn ticks(time: Time, minim: i64) -> i64 {
    time.numerator() * (minim / time.denominator())
}

impl Line {
    /// A voice of the score as notes on the grid.
    fn new(
        piece: &Piece,
        voice: usize,
        timed: &TimedVoice,
        measures: &[Measure],
        grid: Grid<'_>,
    ) -> Line {
        let place = timed.place;
        let written = piece.voices[place].canon.is_none();
        let read = read_events(piece, place);
        let mut notes = Vec::with_capacity(timed.events.len());
        for (number, item) in items(timed, &read).enumerate() {
            if !written || item.is_some() {
                notes.push(note(timed, number, item, measures[number], grid));
            }
        }
        relate(&mut notes);
        for place in 0..notes.len() {
            let section = notes[place].section;
            notes[place].facts.last =
                notes.get(place + 1).is_none_or(|next| next.section != section);
        }
        Line { name: timed.name.clone(), place, voice, written, notes }
    }
}

/// For each event of a voice of the score what the source has, if it has it in this voice.
fn items<'r, 'p>(
    timed: &'r TimedVoice,
    read: &'r [ReadEvent<'p>],
) -> impl Iterator<Item = Option<&'r ReadEvent<'p>>> {
    timed.events.iter().map(move |event| {
        let id = event.item.filter(|id| id.voice == timed.place)?;
        let number = read.binary_search_by_key(&id.item, |read| read.place).ok()?;
        read.get(number)
    })
}

/// The shape of what nobody printed.
const SILENCE: NoteShape = NoteShape {
    value: Value::Breve,
    rest: true,
    spaces: None,
    dot: None,
    completing: false,
    colored: false,
    set: None,
};

/// An event of a voice of the score as a note, not yet related to those around it.
fn note(
    timed: &TimedVoice,
    number: usize,
    item: Option<&ReadEvent<'_>>,
    measure: Measure,
    grid: Grid<'_>,
) -> Note {
    let event = &timed.events[number];
    let (onset, end) = (grid.ticks(event.onset), grid.ticks(event.end()));
    let odd = is_by_itself(event);
    let set = item.is_some_and(|item| item.event.length.is_some());
    let is_plain = !set && !odd && !item.is_some_and(ReadEvent::is_long_rest);
    let length = match item {
        Some(_) if is_plain && !measure.is_perfect() => {
            let plain = event.value.plain();
            measure.ticks(if event.dotted { plain + plain.half() } else { plain })
        }
        // What it would be if it were not held.
        Some(_) if is_plain && event.rule == Rule::Held => {
            measure.ticks(measure.mensuration.full(event.value))
        }
        _ => end - onset,
    };
    let shape = item.map_or(SILENCE, |item| NoteShape::of(item.event));
    let signature = item.map_or(timed.signature, |item| item.signature);
    let pitch = event.notes.first().map(|note| Height::of(note.pitch, signature));
    let facts = item.map(|item| item.facts).unwrap_or_default();
    Note {
        onset,
        end,
        signature,
        length,
        pitch,
        come: None,
        leave: None,
        class: Length::of(length, measure.minim, pitch.is_none()),
        before: None,
        measure,
        shape,
        section: grid.section_at(onset) as u32,
        item: item.map_or(0, |item| item.place as u32),
        event: number as u32,
        facts: Facts {
            odd: odd || set,
            set,
            printed: item.is_some(),
            several: event.notes.len() > 1,
            ..facts
        },
    }
}

/// Ticks so fine that every onset, and the half, quarter and third of every length, is whole.
fn ticks_in_a_minim(score: &Score) -> i64 {
    let times = score.voices.iter().flat_map(|voice| &voice.events);
    let common = times.fold(8, |common, event| {
        let minim = Time::minims(1) * pace(event).unwrap_or(Proportion::EQUAL);
        let times = [event.onset, event.length, minim];
        times.into_iter().fold(common, |common, time| lcm(common, time.denominator()))
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

    /// Ratios so many that no grid holds them all: most are errors, and are counted plainly.
    #[test]
    fn ratios_that_cannot_be_kept_do_not_make_the_grid_finer() {
        let primes = [3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61];
        let music: String = primes.iter().map(|many| format!("ratio {many}:1 sb D4 E ")).collect();
        let text = format!("voice A clef C1\n {music} lg D4\nvoice B clef C4\n lg D3\n");
        assert!(texture(&text).minim < 1_000_000_000);
    }
}
