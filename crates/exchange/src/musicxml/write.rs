//! An arrangement as a partwise score for notation editors.
//!
//! Nothing musical is decided here: every sign, tie, stem and staff is in the [`Arrangement`].
//! A keyboard score is one part of two staves; an open score has a part for each voice. In both
//! the voice number is the voice's place from the top, from 1. The output depends on nothing but
//! the arrangement. There is no document type declaration: many readers refuse one, and the
//! format does not ask for it.
//!
//! A passage that all voices count in a proportion has a meter of its own. The format can let a
//! meter change, but not say what note of the new one lasts as long as what note of the old one,
//! other than by a tempo: then every reader that adds up durations, and every voice compared with
//! the source, would be wrong from there on. So durations stay those of the minim grid, by time
//! modifications whose tuplets have neither bracket nor figure. The time signature is that of the
//! durations, which no reader can find too short or too long for its bar, and with it, as
//! `interchangeable`, that of the notes as written: `4/2 = 6/2`. A program that does not show the
//! second still shows the words over the top staff: `3: three minims in the time of two`.

mod brackets;
mod heading;
mod marks;
mod moments;
mod note;
mod octaves;
mod tags;

use rudiments::{Clef, Signature, Time};
use score::{
    ArrangedBar, Arrangement, Bar, Close, Meter, MeterSymbol, NoteValue, Staff, Staves, Words,
};

use brackets::Brackets;
use marks::VoiceMarks;
use moments::Moments;
use note::Notes;
pub use octaves::MusicXmlError;
use tags::Tags;

use crate::Error;

/// Bytes that a segment takes: 230 in a keyboard score of the largest of the madrigals of 1582;
/// rounded up, so that the buffer seldom grows.
const BYTES_A_SEGMENT: usize = 256;

/// Writes an arrangement as MusicXML 4.0, partwise, in UTF-8.
///
/// Durations are exact: a quarter is divided into the common denominator of all lengths.
///
/// - A passage in a proportion that all voices count has the time signature of its durations, with
///   that of its notes as `interchangeable`; its tuplets are not shown.
/// - The editor's accidentals are accidental marks above their notes, of level `editorial`.
/// - Supplied and emended notes, and those whose reading is in doubt, have a level that says so.
/// - Ligatures are solid brackets, coloration dashed ones; a signum congruentiae is a segno. Of more than
///   16 brackets over one part at once, which is all that the format has numbers for, the others are left
///   out.
/// - A mark is words and, in the same direction, the beginning of a bracket over its notes, in its
///   colour: with hooks for a bracket; without, and with the words in a circle, for circles; with
///   arrows for arrows. What an analysis says in words alone has none.
/// - Figures between two staves are words below the upper one; what is shaded has dashes below the lowest.
/// - A segment that no modern note can write has a duration, but no type.
/// - A score without voices or bars gets an empty part or bar, as the format wants one.
///
/// # Errors
/// If a pitch, transposed, is beyond the octaves 0 to 9, which are all that the format has.
pub fn write_musicxml(arrangement: &Arrangement<'_>) -> Result<String, Error> {
    octaves::check(arrangement)?;
    let segments: usize = arrangement.bars.iter().flat_map(|bar| &bar.voices).map(Vec::len).sum();
    let mut tags = Tags::with_capacity(4096 + segments * BYTES_A_SEGMENT);
    tags.raw("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    tags.open("score-partwise version=\"4.0\"");
    let parts = parts(arrangement);
    // A part of several voices cannot be called after them all.
    let names = || {
        let names = arrangement.score.voices.iter().map(|voice| voice.name.as_str());
        names.collect::<Vec<_>>().join(" ")
    };
    let names = parts.iter().any(|part| part.name.is_empty()).then(names);
    let reduction = arrangement.options.reduction;
    let broken = !arrangement.score.breaks.is_empty();
    heading::write(&mut tags, &arrangement.score.heading, reduction, names.as_deref(), broken);
    heading::write_parts(&mut tags, &parts);
    let divisions = divisions(arrangement);
    let mut marks = VoiceMarks::of(arrangement.score);
    for (place, part) in parts.iter().enumerate() {
        let brackets = Brackets::new(part.voices.len());
        let (tags, marks) = (&mut tags, &mut marks);
        let moments = match place {
            0 => Moments::of(&arrangement.score.annotations),
            _ => Moments::default(),
        };
        PartWriter { tags, arrangement, part, divisions, brackets, marks, moments }.write(place);
    }
    tags.close("score-partwise");
    Ok(tags.finish())
}

/// A part of the score.
struct Part<'a> {
    /// What it is called.
    name: &'a str,
    /// The first of its staves.
    first_staff: usize,
    /// Its staves.
    staves: &'a [Staff],
    /// Its voices, as places in the score's.
    voices: std::ops::Range<usize>,
}

/// The parts; at least one.
fn parts<'a>(arrangement: &'a Arrangement<'_>) -> Vec<Part<'a>> {
    let voices = &arrangement.score.voices;
    if arrangement.options.staves == Staves::Keyboard || voices.is_empty() {
        let staves = arrangement.staves.as_slice();
        return vec![Part { name: "", first_staff: 0, staves, voices: 0..voices.len() }];
    }
    let part = |(place, staff): (usize, &'a Staff)| Part {
        name: &voices[place].name,
        first_staff: place,
        staves: std::slice::from_ref(staff),
        voices: place..place + 1,
    };
    arrangement.staves.iter().enumerate().map(part).collect()
}

/// Divisions of a quarter: the common denominator of all lengths.
fn divisions(arrangement: &Arrangement<'_>) -> i64 {
    let quarters = |length: Time| arrangement.options.reduction.quarters(length);
    let segments = arrangement.bars.iter().flat_map(|bar| bar.voices.iter().flatten());
    let bars = arrangement.score.bars.iter().map(|bar| bar.end - bar.start);
    segments.map(|segment| segment.length).chain(bars).fold(1, |common, length| {
        let parts = quarters(length).denominator();
        if common % parts == 0 { common } else { least_common_multiple(common, parts) }
    })
}

fn least_common_multiple(one: i64, other: i64) -> i64 {
    let (mut divisor, mut rest) = (one, other);
    while rest != 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    one / divisor * other
}

/// Writes one part.
struct PartWriter<'a, 's> {
    tags: &'a mut Tags,
    arrangement: &'a Arrangement<'a>,
    part: &'a Part<'a>,
    divisions: i64,
    brackets: Brackets,
    /// Beside the voices of the score.
    marks: &'a mut [VoiceMarks<'s>],
    /// What is said of moments, in the highest voice of the first part.
    moments: Moments,
}

impl PartWriter<'_, '_> {
    fn write(mut self, place: usize) {
        self.tags.open(&format!("part id=\"P{}\"", place + 1));
        let score = self.arrangement.score;
        for (place, (bar, arranged)) in score.bars.iter().zip(&self.arrangement.bars).enumerate() {
            self.tags.open(&format!("measure number=\"{}\"", bar.number));
            self.measure(place, bar, arranged);
            self.tags.close("measure");
        }
        if score.bars.is_empty() {
            self.tags.open("measure number=\"1\"");
            self.tags.close("measure");
        }
        self.tags.close("part");
    }

    fn measure(&mut self, place: usize, bar: &Bar, arranged: &ArrangedBar<'_>) {
        let breaks = &self.arrangement.score.breaks;
        if let Ok(one) = breaks.binary_search_by_key(&place, |one| one.bar) {
            let page = breaks[one].page;
            self.tags.empty(if page {
                "print new-page=\"yes\""
            } else {
                "print new-system=\"yes\""
            });
        }
        self.attributes(place, arranged);
        if arranged.repeat_begins {
            self.tags.open("barline location=\"left\"");
            self.tags.leaf("bar-style", "heavy-light");
            self.tags.empty("repeat direction=\"forward\"");
            self.tags.close("barline");
        }
        let mut back = 0;
        for voice in self.part.voices.clone() {
            if back > 0 {
                self.tags.open("backup");
                self.tags.number("duration", back);
                self.tags.close("backup");
            }
            back = self.voice(voice, arranged);
        }
        self.close(bar.close);
    }

    /// Divisions, signature, meter and clefs, where they begin or change.
    fn attributes(&mut self, place: usize, arranged: &ArrangedBar<'_>) {
        let signature = self.part.staves.first().and_then(|staff| {
            let changes = &staff.signatures;
            changes.binary_search_by_key(&place, |(bar, _)| *bar).ok().map(|at| changes[at].1)
        });
        let staves = self.part.staves.iter().enumerate();
        let clefs = staves.filter_map(|(number, staff)| {
            let changes = &staff.clefs;
            let change = changes.binary_search_by_key(&place, |(bar, _)| *bar).ok()?;
            Some((number, changes[change].1, staff.octave_change))
        });
        let clefs: Vec<(usize, Clef, i8)> = clefs.collect();
        if place > 0 && signature.is_none() && arranged.meter.is_none() && clefs.is_empty() {
            return;
        }
        self.tags.open("attributes");
        if place == 0 {
            self.tags.number("divisions", self.divisions);
        }
        if let Some(signature) = signature {
            self.key(signature);
        }
        if let Some(meter) = arranged.meter {
            self.time(meter);
        }
        if place == 0 && self.part.staves.len() > 1 {
            self.tags.number("staves", self.part.staves.len() as i64);
            self.tags.leaf("part-symbol", "brace");
        }
        for (number, clef, octave_change) in clefs {
            self.clef(number, clef, octave_change);
        }
        self.tags.close("attributes");
    }

    fn key(&mut self, signature: Signature) {
        self.tags.open("key");
        if let Some(fifths) = signature.fifths() {
            self.tags.number("fifths", fifths as i64);
        } else {
            for (step, alteration) in signature.signs() {
                self.tags.leaf("key-step", note::letter(step));
                self.tags.number("key-alter", alteration as i64);
            }
        }
        self.tags.close("key");
    }

    fn time(&mut self, meter: Meter) {
        self.tags.open(match (meter.shown, meter.symbol) {
            (false, _) => "time print-object=\"no\"",
            (true, None) => "time",
            (true, Some(MeterSymbol::Common)) => "time symbol=\"common\"",
            (true, Some(MeterSymbol::Cut)) => "time symbol=\"cut\"",
        });
        let written = (meter.beats, meter.beat);
        self.beats(meter.plain.unwrap_or(written));
        if meter.plain.is_some() && meter.shown {
            self.tags.open("interchangeable");
            self.tags.leaf("time-relation", "equals");
            self.beats(written);
            self.tags.close("interchangeable");
        }
        self.tags.close("time");
    }

    fn beats(&mut self, (beats, beat): (u32, NoteValue)) {
        self.tags.number("beats", beats as i64);
        self.tags.number("beat-type", 1 << -beat.power());
    }

    fn clef(&mut self, number: usize, clef: Clef, octave_change: i8) {
        if self.part.staves.len() > 1 {
            self.tags.open(&format!("clef number=\"{}\"", number + 1));
        } else {
            self.tags.open("clef");
        }
        self.tags.leaf("sign", &clef.shape.letter().to_string());
        self.tags.number("line", clef.line as i64);
        if octave_change != 0 {
            self.tags.number("clef-octave-change", octave_change as i64);
        }
        self.tags.close("clef");
    }

    /// Writes what a voice has in a bar; says how long that is.
    fn voice(&mut self, voice: usize, arranged: &ArrangedBar<'_>) -> i64 {
        let first = arranged.words.partition_point(|words| words.voice < voice);
        let after = arranged.words.partition_point(|words| words.voice <= voice);
        let mut words = arranged.words[first..after].iter().peekable();
        let mut length = 0;
        let several = self.part.staves.len() > 1;
        let last_staff = self.part.first_staff + self.part.staves.len().saturating_sub(1);
        let mut notes = Notes {
            timed: &self.arrangement.score.voices[voice],
            voice,
            first_staff: self.part.first_staff,
            several_staves: several,
            first_voice: self.part.voices.start,
            brackets: &mut self.brackets,
            reduction: self.arrangement.options.reduction,
            divisions: self.divisions,
            tags: self.tags,
        };
        for segment in &arranged.voices[voice] {
            while let Some(Words { text, .. }) = words.next_if(|words| words.at <= segment.onset) {
                notes.words(text, segment.staff);
            }
            if voice == self.part.voices.start {
                self.moments.begin(segment, last_staff, &mut notes);
            }
            self.marks[voice].begin(segment, &mut notes);
            length += notes.segment(segment);
            self.marks[voice].end(segment, &mut notes);
            if voice == self.part.voices.start && segment.end() == self.arrangement.score.length {
                self.moments.end(last_staff, &mut notes);
            }
        }
        let last = arranged.voices[voice].last().map_or(0, |segment| segment.staff);
        for Words { text, .. } in words {
            notes.words(text, last.max(self.part.first_staff));
        }
        length
    }

    fn close(&mut self, close: Close) {
        let (style, repeated) = match close {
            Close::Plain => return,
            Close::Section => ("light-light", false),
            Close::Repeat | Close::FinalRepeat => ("light-heavy", true),
            Close::Final => ("light-heavy", false),
        };
        self.tags.open("barline location=\"right\"");
        self.tags.leaf("bar-style", style);
        if repeated {
            self.tags.empty("repeat direction=\"backward\"");
        }
        self.tags.close("barline");
    }
}

#[cfg(test)]
mod tests;
