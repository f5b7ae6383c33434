//! How the notes of a piece are inflected: which signs they have amid which melodies, and beside which
//! notes.

use std::collections::HashMap;

use crate::against::Against;
use crate::dyad::Discord;
use crate::length::Length;
use crate::rules::inflection::Elsewhere;
use crate::rules::rule::{Heard, Meeting, OfEvent, OfMeeting};
use crate::rules::{Figure, Inflection, Listed, Observed, Sink};
use crate::texture::{Height, Line, Note, Texture};

/// A melody of fewer steps comes again by chance.
const FEWEST_STEPS: usize = 3;

/// So many notes before and after a note, its repetitions left out, are near by.
const NEAR: usize = 4;

/// So many repetitions of a note are passed over at most to see what is near by.
const REPETITIONS: usize = 16;

/// So many minims before and after a note another voice has the same step at the time.
const AT_THE_TIME: i64 = 2;

/// The steps from the second note before a note to the second after it, and how long the three inner ones
/// last; where a rest or an end is, there is no step.
type Around = ([Option<i16>; 4], [Option<Length>; 3]);

/// How a note stands between those before and after it, in semitones.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Turn {
    come: Option<i16>,
    leave: Option<i16>,
    altered: bool,
}

impl Turn {
    fn intervals(self) -> (Option<i16>, Option<i16>) {
        (self.come, self.leave)
    }
}

/// How the note in the midst of every melody stands between its neighbours, and how often so. These ways
/// are few, however often a melody comes.
pub(crate) struct Inflections(HashMap<Around, Vec<(Turn, usize)>>);

impl Inflections {
    /// All melodies of a texture.
    pub(crate) fn new(texture: &Texture) -> Inflections {
        let mut all: HashMap<Around, Vec<(Turn, usize)>> = HashMap::new();
        for line in &texture.lines {
            for place in 0..line.notes.len() {
                if let Some((around, turn)) = around(place, |place| line.notes.get(place).copied())
                {
                    let turns = all.entry(around).or_default();
                    match turns.iter_mut().find(|(known, _)| *known == turn) {
                        Some((_, count)) => *count += 1,
                        None => turns.push((turn, 1)),
                    }
                }
            }
        }
        Inflections(all)
    }

    /// What is observed at a place of a voice as it is `read`; `typed` are the notes that the texture has.
    pub(crate) fn observe(
        &self,
        place: usize,
        typed: &[Note],
        read: impl Fn(usize) -> Option<Note> + Copy,
        against: &mut Against<'_>,
        mut seen: impl FnMut(Inflection),
    ) {
        let Some(note) = read(place) else { return };
        let Some(height) = note.pitch else { return };
        let mut compared = |like: bool, elsewhere: Elsewhere| {
            Inflection::of(height.altered, like, elsewhere).into_iter().for_each(&mut seen);
        };
        if let Some(like) = self.like_melody(place, typed, read) {
            compared(like, Elsewhere::Melody);
        }
        for like in near(place, height, read) {
            compared(like, Elsewhere::Near);
        }
        let minim = note.measure.minim;
        let others = against.near(note.onset, AT_THE_TIME * minim).filter_map(|other| other.pitch);
        let (mut like, mut unlike) = (false, false);
        for other in others.filter(|other| (other.rung - height.rung) % 7 == 0) {
            let same = (other.semitones - height.semitones) % 12 == 0;
            *(if same { &mut like } else { &mut unlike }) = true;
        }
        for (there, like) in [(like, true), (unlike, false)] {
            if there {
                compared(like, Elsewhere::Other);
            }
        }
        let mut clash = FalseInterval(false);
        against.seek(note.onset);
        against.note(None, &note, 0, &mut clash);
        if clash.0 {
            let signed = height.altered;
            seen(if signed { Inflection::SignedFalse } else { Inflection::PlainFalse });
        }
    }

    /// Where a melody comes elsewhere with the intervals that it has as it is `read` at a place: the line
    /// and the note.
    pub(crate) fn elsewhere(
        texture: &Texture,
        (line_number, place): (usize, usize),
        read: impl Fn(usize) -> Option<Note>,
    ) -> Option<(&Line, &Note)> {
        let wanted = around(place, read)?;
        let mut all = texture.lines.iter().enumerate().flat_map(|(number, line)| {
            line.notes.iter().enumerate().map(move |(place, note)| ((number, place), line, note))
        });
        all.find_map(|(at, line, note)| {
            let (melody, turn) = around(at.1, |place| line.notes.get(place).copied())?;
            let alike = melody == wanted.0 && turn.intervals() == wanted.1.intervals();
            (at != (line_number, place) && alike).then_some((line, note))
        })
    }

    /// Whether a note stands between its neighbours as where the melody comes elsewhere; nothing where
    /// it comes nowhere, or no sign is in question.
    fn like_melody(
        &self,
        place: usize,
        typed: &[Note],
        read: impl Fn(usize) -> Option<Note> + Copy,
    ) -> Option<bool> {
        let (around_it, turn) = around(place, read)?;
        let own = around(place, |place| typed.get(place).copied());
        let own = own.filter(|(own, _)| *own == around_it).map(|(_, turn)| turn);
        let turns = self.0.get(&around_it)?;
        let without = |wanted: &dyn Fn(&Turn) -> bool| {
            let all: usize =
                turns.iter().filter(|(turn, _)| wanted(turn)).map(|(_, count)| count).sum();
            // Where another slip is mended, the piece as typed may not have it.
            all.saturating_sub(usize::from(own.is_some_and(|own| wanted(&own))))
        };
        let alike = |other: &Turn| other.intervals() == turn.intervals();
        let like = without(&alike);
        let unlike = without(&|other| !alike(other) && (turn.altered || other.altered));
        (like + unlike > 0).then_some(like >= unlike)
    }
}

/// The melody around a note, and how the note stands in it. Nothing for a note among rests, of which no
/// melody says anything.
fn around(place: usize, note: impl Fn(usize) -> Option<Note>) -> Option<(Around, Turn)> {
    let five = [-2, -1, 0, 1, 2].map(|offset| note(place.checked_add_signed(offset)?));
    let height = |place: usize| five[place].and_then(|note| note.pitch);
    let own = height(2)?;
    let step = |from: usize| Some(height(from + 1)?.rung - height(from)?.rung);
    let steps = [0, 1, 2, 3].map(step);
    let lengths = [1, 2, 3].map(|place| five[place].map(|note| note.class));
    let semitones = |from: usize| Some(height(from + 1)?.semitones - height(from)?.semitones);
    let turn = Turn { come: semitones(1), leave: semitones(2), altered: own.altered };
    let connected = steps.iter().flatten().count();
    (connected >= FEWEST_STEPS).then_some(((steps, lengths), turn))
}

/// Whether the nearest notes on the same step before and after a note are as it is; its repetitions are
/// it, and a rest ends what is near.
fn near(
    place: usize,
    height: Height,
    read: impl Fn(usize) -> Option<Note> + Copy,
) -> impl Iterator<Item = bool> {
    let nearest = |places: &mut dyn Iterator<Item = usize>| {
        let heights = places.map_while(|place| read(place)?.pitch);
        let mut others = heights.take(REPETITIONS).skip_while(|other| *other == height).take(NEAR);
        others.find(|other| other.rung == height.rung).map(|other| other == height)
    };
    let before = nearest(&mut (0..place).rev());
    let after = nearest(&mut (place + 1..));
    before.into_iter().chain(after)
}

/// Whether a note is struck together with another that it makes a false interval with.
struct FalseInterval(bool);

impl Sink for FalseInterval {
    fn event<R: Listed + OfEvent>(&mut self, _: R, _: &Heard<'_>) {}

    fn meeting<R: Listed + OfMeeting>(&mut self, seen: R, _: &Meeting<'_>) {
        if let Observed::Dissonance(dissonance) = seen.what() {
            self.0 |= dissonance.figure == Figure::Together
                && matches!(dissonance.discord, Discord::Tritone | Discord::Chromatic);
        }
    }
}

#[cfg(test)]
mod tests {
    use notation::parse;
    use score::{BarLength, align, reckon};

    use super::*;

    /// Where the melody around the third note of the first voice comes elsewhere with the same intervals.
    fn elsewhere(first: &str, second: &str) -> Option<(String, u32)> {
        let text = format!("voice A clef C1\n {first}\nvoice B clef C4\n {second}\n");
        let piece = parse(&text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        let texture = Texture::new(&piece, &score);
        let read = |place: usize| texture.lines[0].notes.get(place).copied();
        let found = Inflections::elsewhere(&texture, (0, 2), read);
        found.map(|(line, note)| (line.name.clone(), note.event))
    }

    #[test]
    fn a_melody_is_found_with_its_intervals_and_values() {
        let there = Some(("B".to_owned(), 3));
        assert_eq!(elsewhere("mn A4 G F#4 G A", "mn _ A3 G F#3 G A"), there);
        assert_eq!(elsewhere("mn A4 G F#4 G A", "mn _ D4 C B3 C D"), there);
        assert_eq!(elsewhere("mn A4 G F#4 G A", "mn _ A3 G F3 G A"), None);
        assert_eq!(elsewhere("mn A4 G F#4 G A", "mn _ A3 G sb F#3 mn G A"), None);
    }
}
