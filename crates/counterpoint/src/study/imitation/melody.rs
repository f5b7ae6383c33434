//! The voices as melodies: notes repeated are one tone, rests part them.

use crate::texture::{Line, Note, Texture};

/// How a tone follows what is before it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Start {
    /// After a rest, or at the beginning of the piece or of a section.
    Rest,
    /// After a note of a semibreve or more, as after the end of a phrase.
    Long,
    /// In the midst of a phrase.
    Run,
}

impl Start {
    pub(super) const COUNT: usize = 3;
}

/// A note, or several in a row on the same step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tone {
    /// Staff steps.
    pub(super) rung: i32,
    /// When its first note begins, in ticks.
    pub(super) onset: i64,
    /// When its last note begins.
    pub(super) last_onset: i64,
    /// When it is over.
    pub(super) end: i64,
    /// Its first note, as a place in the line.
    pub(super) first: usize,
    /// Its last note.
    pub(super) last: usize,
    /// How it follows what is before it.
    pub(super) start: Start,
}

impl Tone {
    /// How many notes it is.
    pub(super) fn notes(&self) -> usize {
        self.last - self.first + 1
    }
}

/// A voice as tones.
#[derive(Clone, Debug)]
pub(super) struct Melody {
    /// The line of the texture.
    pub(super) line: usize,
    /// In order of time.
    pub(super) tones: Vec<Tone>,
}

impl Melody {
    pub(super) fn of(texture: &Texture, number: usize) -> Melody {
        let line: &Line = &texture.lines[number];
        let mut tones: Vec<Tone> = Vec::new();
        let long = |note: &Note| note.end - note.onset >= 2 * note.measure.minim;
        // The note before, unless a rest or the end of a section parts them.
        let mut before: Option<usize> = None;
        for (place, note) in line.notes.iter().enumerate() {
            let Some(pitch) = note.pitch else {
                before = None;
                continue;
            };
            let before_it = before.map(|place| &line.notes[place]);
            let before_it = before_it.filter(|before| before.section == note.section);
            before = Some(place);
            let start = match before_it {
                None => Start::Rest,
                Some(before) if long(before) => Start::Long,
                Some(_) => Start::Run,
            };
            let rung = i32::from(pitch.rung);
            match tones.last_mut() {
                Some(last) if start != Start::Rest && last.rung == rung => {
                    last.last = place;
                    last.last_onset = note.onset;
                    last.end = note.end;
                    if last.start == Start::Run {
                        last.start = start;
                    }
                }
                _ => tones.push(Tone {
                    rung,
                    onset: note.onset,
                    last_onset: note.onset,
                    end: note.end,
                    first: place,
                    last: place,
                    start,
                }),
            }
        }
        Melody { line: number, tones }
    }

    /// Whether the next tone follows without a rest.
    pub(super) fn goes_on(&self, place: usize) -> bool {
        self.tones.get(place + 1).is_some_and(|next| next.start != Start::Rest)
    }

    /// Steps from a tone to the next one, if it follows without a rest.
    pub(super) fn step(&self, place: usize) -> Option<i32> {
        self.goes_on(place).then(|| self.tones[place + 1].rung - self.tones[place].rung)
    }

    /// From the beginning of a tone to that of the next; if none follows, to its end.
    pub(super) fn value(&self, place: usize) -> i64 {
        let tone = &self.tones[place];
        self.tones.get(place + 1).map_or(tone.end, |next| next.onset) - tone.onset
    }
}
