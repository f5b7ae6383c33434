//! Every moment at which some voice begins or ends a note, and what sounds then.
//!
//! The lowest voice is what sounds lowest now, not the one that is called Bassus: a bass that rests
//! lays bare a fourth above it (Zarlino, *Istitutioni harmoniche*, 1558, III, of the fourth; from
//! memory). Of several notes of one voice at once the first is looked at.

use rudiments::Time;

use crate::observe::EventId;
use crate::texture::{Height, Note, Texture};

/// A note or rest of a texture.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(crate) struct NoteRef {
    /// Its place in [`Texture::lines`].
    pub(crate) line: u32,
    /// Its place in [`crate::texture::Line::notes`].
    pub(crate) note: u32,
}

impl NoteRef {
    pub(crate) fn new(line: usize, note: usize) -> NoteRef {
        NoteRef { line: line as u32, note: note as u32 }
    }

    /// An event of the score as a note.
    pub(crate) fn of_event(texture: &Texture, id: EventId) -> Option<NoteRef> {
        let line = texture.lines.iter().position(|line| line.voice == id.voice)?;
        let notes = &texture.lines[line].notes;
        let place = notes.binary_search_by_key(&id.event, |note| note.event as usize).ok()?;
        Some(NoteRef::new(line, place))
    }

    /// The note itself.
    pub(crate) fn of(self, texture: &Texture) -> &Note {
        &texture.lines[self.line as usize].notes[self.note as usize]
    }

    /// The note itself, to be changed.
    pub(crate) fn of_mut(self, texture: &mut Texture) -> &mut Note {
        &mut texture.lines[self.line as usize].notes[self.note as usize]
    }

    /// The note or rest directly before it in its line.
    pub(crate) fn before(self) -> Option<NoteRef> {
        Some(NoteRef { note: self.note.checked_sub(1)?, ..self })
    }

    /// The note or rest directly after it in its line.
    pub(crate) fn after(self, texture: &Texture) -> Option<NoteRef> {
        let after = NoteRef { note: self.note + 1, ..self };
        let notes = &texture.lines[self.line as usize].notes;
        (notes.len() > after.note as usize).then_some(after)
    }

    /// Its event in the score.
    pub(crate) fn id(self, texture: &Texture) -> EventId {
        let line = &texture.lines[self.line as usize];
        EventId { voice: line.voice, event: self.of(texture).event as usize }
    }
}

/// A note that sounds at a moment.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Sounding {
    pub(crate) note: NoteRef,
    pub(crate) height: Height,
    /// Whether it begins at this moment.
    pub(crate) struck: bool,
}

impl Sounding {
    /// By this, notes are lower or higher than one another.
    pub(crate) fn pitch(&self) -> (i16, i16) {
        (self.height.rung, self.height.semitones)
    }
}

/// A moment, and what sounds then, top voice first.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Moment<'m> {
    /// In ticks from the beginning of the piece.
    pub(crate) at: i64,
    pub(crate) sounding: &'m [Sounding],
    /// The place in `sounding` of the lowest note; of several that are as low, the lowest voice's.
    lowest: usize,
}

impl<'m> Moment<'m> {
    /// What sounds lowest.
    pub(crate) fn lowest(&self) -> Option<&'m Sounding> {
        self.sounding.get(self.lowest)
    }

    /// What a line sounds.
    pub(crate) fn of_line(&self, line: u32) -> Option<&'m Sounding> {
        let place =
            self.sounding.binary_search_by_key(&line, |sounding| sounding.note.line).ok()?;
        self.sounding.get(place)
    }

    /// Whether a note is as low as the lowest.
    pub(crate) fn is_lowest(&self, sounding: &Sounding) -> bool {
        self.lowest().is_some_and(|lowest| lowest.pitch() == sounding.pitch())
    }
}

/// All moments of a piece, in order.
#[derive(Clone, Debug)]
pub(crate) struct Moments {
    moments: Vec<Entry>,
    sounding: Vec<Sounding>,
}

#[derive(Clone, Copy, Debug)]
struct Entry {
    at: i64,
    /// Where what sounds then begins in the list of all.
    first: usize,
    lowest: usize,
}

impl Moments {
    /// The moments of a texture: one sort of all beginnings and ends, and one pass.
    pub(crate) fn new(texture: &Texture) -> Moments {
        let notes = || texture.lines.iter().flat_map(|line| &line.notes);
        let sung = notes().filter(|note| note.pitch.is_some() && note.onset < note.end);
        let mut times: Vec<i64> = sung.flat_map(|note| [note.onset, note.end]).collect();
        times.sort_unstable();
        times.dedup();
        let mut cursors = vec![0; texture.lines.len()];
        let mut moments =
            Moments { moments: Vec::with_capacity(times.len()), sounding: Vec::new() };
        for at in times {
            moments.add(texture, at, &mut cursors);
        }
        moments
    }

    fn add(&mut self, texture: &Texture, at: i64, cursors: &mut [usize]) {
        let first = self.sounding.len();
        let mut lowest = 0;
        for (line, cursor) in cursors.iter_mut().enumerate() {
            let notes = &texture.lines[line].notes;
            while notes.get(*cursor).is_some_and(|note| note.end <= at) {
                *cursor += 1;
            }
            let Some(note) = notes.get(*cursor).filter(|note| note.onset <= at) else { continue };
            let Some(height) = note.pitch else { continue };
            let struck = note.onset == at;
            let sounding = Sounding { note: NoteRef::new(line, *cursor), height, struck };
            let so_far = self.sounding.get(first + lowest);
            if so_far.is_none_or(|lowest| sounding.pitch() <= lowest.pitch()) {
                lowest = self.sounding.len() - first;
            }
            self.sounding.push(sounding);
        }
        self.moments.push(Entry { at, first, lowest });
    }

    /// How many there are.
    pub(crate) fn len(&self) -> usize {
        self.moments.len()
    }

    /// A moment by its place in the order.
    pub(crate) fn get(&self, place: usize) -> Option<Moment<'_>> {
        let Entry { at, first, lowest } = *self.moments.get(place)?;
        let end = self.moments.get(place + 1).map_or(self.sounding.len(), |next| next.first);
        Some(Moment { at, sounding: &self.sounding[first..end], lowest })
    }

    /// All, in order.
    pub(crate) fn iter(&self) -> impl DoubleEndedIterator<Item = Moment<'_>> {
        (0..self.len()).filter_map(|place| self.get(place))
    }

    /// The place of the last moment that is not after a time: what sounds then still sounds.
    pub(crate) fn place(&self, at: i64) -> Option<usize> {
        self.moments.partition_point(|moment| moment.at <= at).checked_sub(1)
    }

    /// What sounds at a time.
    pub(crate) fn at(&self, at: i64) -> Option<Moment<'_>> {
        self.get(self.place(at)?)
    }
}

/// A moment of the grid in minims.
pub(crate) fn minims(texture: &Texture, at: i64) -> Time {
    Time::new(at, texture.minim)
}

#[cfg(test)]
mod tests {
    use super::super::testing::texture;
    use super::*;

    fn heard(text: &str) -> Vec<String> {
        let texture = texture(text);
        let moments = Moments::new(&texture);
        let names = |moment: Moment<'_>| {
            let name = |sounding: &Sounding| {
                let mark = if sounding.struck { "" } else { "-" };
                format!("{mark}{}", sounding.height.tone())
            };
            let all: Vec<String> = moment.sounding.iter().map(name).collect();
            let lowest = moment.lowest().map_or("silence".to_owned(), name);
            format!("{}: {} over {lowest}", minims(&texture, moment.at), all.join(" "))
        };
        moments.iter().map(names).collect()
    }

    #[test]
    fn beginnings_and_ends_are_moments() {
        let heard = heard("voice A clef C1\n sb A4 B4 _\nvoice B clef C4\n mn F4 _ E4 _ sb _\n");
        assert_eq!(
            heard,
            [
                "0: A4 F4 over F4",
                "1: -A4 over -A4",
                "2: B4 E4 over E4",
                "3: -B4 over -B4",
                "4:  over silence"
            ]
        );
    }

    #[test]
    fn the_lowest_is_what_sounds_lowest() {
        let heard = heard("voice A clef C1\n mn D4 D4\nvoice B clef C4\n mn F4 D4\n");
        assert_eq!(heard[0], "0: D4 F4 over D4");
        assert_eq!(heard[1], "1: D4 D4 over D4");
    }

    #[test]
    fn nothing_sounds_in_rests() {
        assert_eq!(heard(""), [] as [&str; 0]);
        assert_eq!(heard("voice A clef C1\n br _ _\n"), [] as [&str; 0]);
    }

    #[test]
    fn what_sounds_between_moments() {
        let texture = texture("voice A clef C1\n br A4 B4\nvoice B clef C4\n mn _ sb. F4 br E4\n");
        let moments = Moments::new(&texture);
        let minim = texture.minim;
        assert_eq!(moments.at(3 * minim).map(|moment| moment.at), Some(minim));
        assert_eq!(moments.at(0).and_then(|moment| moment.of_line(1)), None);
        assert!(moments.at(minim).and_then(|moment| moment.of_line(1)).is_some());
        assert!(moments.at(-1).is_none());
    }
}
