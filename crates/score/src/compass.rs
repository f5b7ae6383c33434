//! What an instrument has not, and music moved by octaves so that the instrument has it.

use rudiments::{Interval, Pitch};

use crate::mark::Run;
use crate::timed::{Score, TimedEvent};

/// The keys that an instrument has.
///
/// ```
/// use rudiments::{Pitch, Step, Tone};
/// use score::Compass;
///
/// let pitch = |step, octave| Pitch::new(Tone::new(step, octave), 0);
/// let spinet = Compass::new(pitch(Step::C, 2), pitch(Step::C, 5)).unwrap();
/// assert!(spinet.has(pitch(Step::C, 5)) && !spinet.has(pitch(Step::D, 5)));
/// ```
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Compass {
    /// Keys as semitones above the C five octaves below middle C.
    lowest: i32,
    highest: i32,
    short_octave: bool,
}

/// The keys above the lowest that a short octave leaves out, where that is a C: C sharp, D sharp, F sharp,
/// G sharp (common practice: E, F sharp and G sharp of the keyboard sound C, D and E).
const LEFT_OUT: [i32; 4] = [1, 3, 6, 8];

impl Compass {
    /// From the lowest key to the highest; nothing where they are the wrong way round.
    pub fn new(lowest: Pitch, highest: Pitch) -> Option<Compass> {
        let (lowest, highest) = (lowest.key_number(), highest.key_number());
        (lowest < highest).then_some(Compass { lowest, highest, short_octave: false })
    }

    /// The same with a short octave above its lowest key.
    #[must_use]
    pub fn with_short_octave(self) -> Compass {
        Compass { short_octave: true, ..self }
    }

    /// Whether it has a pitch.
    pub fn has(&self, pitch: Pitch) -> bool {
        let key = pitch.key_number();
        let is_left_out = self.short_octave && LEFT_OUT.contains(&(key - self.lowest));
        (self.lowest..=self.highest).contains(&key) && !is_left_out
    }

    /// By how many octaves a pitch that it has not may be moved into it: up from below and from where
    /// keys are left out, down from above.
    fn way(&self, pitch: Pitch) -> i32 {
        if pitch.key_number() > self.highest { -1 } else { 1 }
    }
}

/// Notes that were moved.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Moved {
    /// Which.
    pub run: Run,
    /// By how many octaves, up positive.
    pub octaves: i32,
}

impl Score {
    /// The notes that an instrument has not, where the score is played at an interval.
    pub fn beyond(&self, compass: &Compass, at: Option<Interval>) -> Vec<Run> {
        let mut beyond = Vec::new();
        for (place, voice) in self.voices.iter().enumerate() {
            let events = voice.events.iter().enumerate();
            let outside = events.filter(|(_, event)| !is_within(event, compass, at, 0));
            beyond.extend(outside.map(|(event, _)| Run::one(place, event)));
        }
        beyond
    }

    /// Moves notes that an instrument has not by an octave, with as many of their neighbours as are needed
    /// for the line to be sung: with the fewest so that it moves to the first of them and from the last as
    /// voices do, by a step, a leap up to the fifth, a minor sixth up or an octave (Zarlino, *Istitutioni
    /// harmoniche*, 1558, III, ch. 37; from memory), or a rest stands there. What cannot be moved so,
    /// because the instrument has not all of it there either, stays. Returns what was moved, voice by
    /// voice in order of time. Linear in the notes.
    pub fn move_within(&mut self, compass: &Compass, at: Option<Interval>) -> Vec<Moved> {
        let mut moved = Vec::new();
        for (place, voice) in self.voices.iter_mut().enumerate() {
            let stretches = stretches(&voice.events, compass, at);
            for &Stretch { first, last, octaves } in &stretches {
                for event in &mut voice.events[first..=last] {
                    for note in &mut event.notes {
                        note.pitch = moved_by(note.pitch, octaves);
                    }
                }
            }
            let run = |one: &Stretch| Run { voice: place, first: one.first, last: one.last };
            moved.extend(stretches.iter().map(|one| Moved { run: run(one), octaves: one.octaves }));
        }
        moved
    }
}

fn moved_by(pitch: Pitch, octaves: i32) -> Pitch {
    Pitch::new(pitch.tone.up(7 * octaves), pitch.alteration)
}

/// Whether an instrument has all notes of an event that is moved by octaves.
fn is_within(event: &TimedEvent, compass: &Compass, at: Option<Interval>, octaves: i32) -> bool {
    let has = |pitch: Pitch| compass.has(at.map_or(pitch, |at| at.from(pitch)));
    event.notes.iter().all(|note| has(moved_by(note.pitch, octaves)))
}

/// Events of a voice that are moved together.
#[derive(Clone, Copy)]
struct Stretch {
    first: usize,
    last: usize,
    octaves: i32,
}

fn stretches(events: &[TimedEvent], compass: &Compass, at: Option<Interval>) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    let mut next = 0;
    while next < events.len() {
        let place = next;
        next += 1;
        let event = &events[place];
        let outside =
            event.notes.iter().map(|note| at.map_or(note.pitch, |at| at.from(note.pitch)));
        let Some(outside) = { outside }.find(|pitch| !compass.has(*pitch)) else { continue };
        let octaves = compass.way(outside);
        let fits = |place: usize| is_within(&events[place], compass, at, octaves);
        if !fits(place) {
            continue;
        }
        // What was moved before it stays as it was moved.
        let before = found.last().copied();
        let octaves_of = |event: usize| {
            before
                .filter(|one| (one.first..=one.last).contains(&event))
                .map_or(0, |one| one.octaves)
        };
        let is_joined = |from: usize, to: usize, moved: [i32; 2]| {
            let Some((one, other)) = events[from].notes.first().zip(events[to].notes.first())
            else {
                return true;
            };
            is_sung(moved_by(one.pitch, moved[0]), moved_by(other.pitch, moved[1]))
        };
        let mut first = Some(place);
        while let Some(at) = first.filter(|at| *at > 0) {
            if is_joined(at - 1, at, [octaves_of(at - 1), octaves]) {
                break;
            }
            first = match before.filter(|one| one.last + 1 == at) {
                // It is moved with what was moved before.
                Some(one) => (one.octaves == octaves).then_some(one.first),
                None => Some(at - 1).filter(|before| fits(*before)),
            };
            if before.is_some_and(|one| Some(one.first) == first) {
                break;
            }
        }
        let mut last = Some(place);
        while let Some(at) = last.filter(|at| at + 1 < events.len()) {
            if is_joined(at, at + 1, [octaves, 0]) {
                break;
            }
            last = Some(at + 1).filter(|after| fits(*after));
        }
        let Some((first, last)) = first.zip(last) else { continue };
        if before.is_some_and(|one| one.first == first) {
            found.pop();
        }
        found.push(Stretch { first, last, octaves });
        next = last + 1;
    }
    found
}

/// Whether a voice moves so from one note to another.
fn is_sung(from: Pitch, to: Pitch) -> bool {
    let (steps, semitones) =
        (to.tone.rung() - from.tone.rung(), to.key_number() - from.key_number());
    match steps.abs() {
        0 => semitones == 0,
        1 => (1..=2).contains(&semitones.abs()),
        2 => (3..=4).contains(&semitones.abs()),
        3 => semitones.abs() == 5,
        4 => semitones.abs() == 7,
        5 => semitones == 8,
        7 => semitones.abs() == 12,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use rudiments::Direction;

    use super::*;
    use crate::{BarLength, align, reckon};

    fn pitch(name: &str) -> Pitch {
        score(&format!("sb {name}")).voices[0].events[0].notes[0].pitch
    }

    fn compass(lowest: &str, highest: &str) -> Compass {
        Compass::new(pitch(lowest), pitch(highest)).unwrap()
    }

    fn score(music: &str) -> Score {
        let piece = notation::parse(&format!("voice A clef F4\n  {music}\n")).piece;
        align(&piece, reckon(&piece), BarLength::Breve).score
    }

    /// The notes after they were moved into C3 to C5, and which were.
    fn moved(music: &str, at: Option<Interval>) -> (String, Vec<(usize, usize, i32)>) {
        let mut score = score(music);
        let moved = score.move_within(&compass("C3", "C5"), at);
        let name = |event: &TimedEvent| {
            event.notes.first().map_or("_".to_owned(), |note| note.pitch.to_string())
        };
        let names: Vec<String> = score.voices[0].events.iter().map(name).collect();
        let told = moved.iter().map(|one| (one.run.first + 1, one.run.last + 1, one.octaves));
        (names.join(" "), told.collect())
    }

    #[test]
    fn a_compass_has_both_its_ends() {
        let spinet = compass("C2", "C6");
        for (name, is_there) in
            [("C2", true), ("B1", false), ("C6", true), ("C#6", false), ("D4", true)]
        {
            assert_eq!(spinet.has(pitch(name)), is_there, "{name}");
        }
        assert_eq!(Compass::new(pitch("C4"), pitch("C3")), None);
    }

    #[test]
    fn a_short_octave_lacks_four_keys() {
        let short = compass("C2", "C6").with_short_octave();
        assert!(["C#2", "Eb2", "F#2", "G#2"].into_iter().all(|name| !short.has(pitch(name))));
        let there = ["C2", "D2", "E2", "F2", "G2", "A2", "Bb2", "C#3"];
        assert!(there.into_iter().all(|name| short.has(pitch(name))));
    }

    /// A note that is reached and left by leaps of a fifth or a fourth is moved alone; of a scale, as much
    /// as hangs together.
    #[test]
    fn the_fewest_notes_are_moved() {
        assert_eq!(moved("sb C3 F2 C3", None), ("C3 F3 C3".into(), vec![(2, 2, 1)]));
        assert_eq!(moved("mn G3 C3 B2 A2 B2 C3 G3", None).1, [(2, 6, 1)]);
        assert_eq!(moved("mn G3 C3 B2 A2 B2 C3 G3", None).0, "G3 C4 B3 A3 B3 C4 G3");
        // Down from above.
        assert_eq!(moved("mn G4 C5 D5 C5 G4", None), ("G4 C4 D4 C4 G4".into(), vec![(2, 4, -1)]));
    }

    #[test]
    fn a_rest_parts_a_line() {
        assert_eq!(moved("mn C3 D3 _ A2 G2 _ E3", None).1, [(4, 5, 1)]);
        assert_eq!(moved("mn A2 _ E3", None).1, [(1, 1, 1)]);
    }

    /// Two notes outside, so near that one would be moved without the other.
    #[test]
    fn what_is_moved_twice_is_moved_together() {
        let (notes, stretches) = moved("mn G3 C3 B2 C3 D3 C3 B2 C3 G3", None);
        assert_eq!(notes, "G3 C4 B3 C4 D4 C4 B3 C4 G3");
        assert_eq!(stretches, [(2, 8, 1)]);
    }

    #[test]
    fn what_has_no_room_stays() {
        let narrow = compass("C3", "G3");
        let mut tight = score("mn B2 C3 D3 E3 F3 G3");
        let before = tight.clone();
        assert_eq!(tight.move_within(&narrow, None), []);
        assert_eq!(tight, before);
        assert_eq!(tight.beyond(&narrow, None), [Run::one(0, 0)]);
    }

    /// At an interval, other notes are outside.
    #[test]
    fn by_what_sounds_where_it_is_transposed() {
        let fifth = Interval::of_number(5, Direction::Down);
        assert_eq!(moved("mn C4 G3 F3 G3 C4", None).1, []);
        assert_eq!(moved("mn C4 G3 F3 G3 C4", fifth).1, [(2, 4, 1)]);
    }

    #[test]
    fn voices_move_by_what_is_sung() {
        let sung = |from: &str, to: &str| is_sung(pitch(from), pitch(to));
        for to in ["C3", "B2", "D3", "E3", "Eb3", "F3", "G3", "Ab3", "C4", "F2", "G2", "C2"] {
            assert!(sung("C3", to), "{to}");
        }
        for to in ["F#3", "A3", "B3", "Bb3", "D4", "E2", "D2", "C#3"] {
            assert!(!sung("C3", to), "{to}");
        }
    }

    proptest! {
        /// Whatever is moved is inside afterwards; it is moved by octaves, nothing else changes, and no line
        /// is sung worse at the ends of what was moved than voices move.
        #[test]
        fn moved_lines_are_sung(rungs in prop::collection::vec(prop::option::weighted(0.9, 12_i32..40), 1..40)) {
            let note = |rung: &Option<i32>| rung.map_or("_".to_owned(), |rung| rudiments::Tone::on_rung(rung).to_string());
            let music = format!("mn {}", rungs.iter().map(note).collect::<Vec<_>>().join(" "));
            let before = score(&music);
            let mut after = before.clone();
            let compass = compass("C3", "C5");
            let moved = after.move_within(&compass, None);
            let (old, new) = (&before.voices[0].events, &after.voices[0].events);
            let mut octaves = vec![0; old.len()];
            for one in &moved {
                for place in one.run.events() {
                    prop_assert_eq!(octaves[place], 0);
                    octaves[place] = one.octaves;
                    prop_assert!(is_within(&new[place], &compass, None, 0));
                }
                for (from, to) in [(one.run.first.wrapping_sub(1), one.run.first), (one.run.last, one.run.last + 1)] {
                    let Some((from, to)) = new.get(from).zip(new.get(to)) else { continue };
                    let Some((from, to)) = from.notes.first().zip(to.notes.first()) else { continue };
                    prop_assert!(is_sung(from.pitch, to.pitch), "{} {}", from.pitch, to.pitch);
                }
            }
            for (place, (old, new)) in old.iter().zip(new).enumerate() {
                for (old, new) in old.notes.iter().zip(&new.notes) {
                    prop_assert_eq!(moved_by(old.pitch, octaves[place]), new.pitch);
                }
            }
        }
    }
}
