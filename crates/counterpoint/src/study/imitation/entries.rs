//! From what was found to entries and subjects with all that is said of them.

use rudiments::{Pitch, Time};
use score::Score;

use super::compared::{Exactness, pitch};
use super::likeness::{Likeness, Material, Place};
use super::melody::{Start, Tone};
use super::subjects::{Found, FoundEntry};
use super::syllables::{Solmization, solmize};
use super::{Entry, Form, Freedoms, Meeting, Quality, Relation, Subject};
use crate::observe::EventId;
use crate::rank::Rank;
use crate::texture::{Height, Line, Note, Texture};

/// What entries are made from.
struct Making<'m> {
    material: &'m Material,
    texture: &'m Texture,
    score: &'m Score,
}

/// The subjects in order of their first entries, and all entries in order of time.
pub(super) fn entries(
    material: &Material,
    texture: &Texture,
    score: &Score,
    found: &[Found],
) -> (Vec<Subject>, Vec<Entry>) {
    let making = Making { material, texture, score };
    let onset = |entry: &FoundEntry| (material.tone(entry.place).onset, entry.place);
    let mut order: Vec<&Found> = found.iter().filter(|found| !found.entries.is_empty()).collect();
    order.sort_by_key(|found| found.entries.first().map(onset));
    let made: Vec<Made> = order.iter().map(|found| making.subject(found)).collect();
    // Where each entry stands in order of time: its subject, and its number in it.
    let mut places: Vec<(usize, usize)> = made
        .iter()
        .enumerate()
        .flat_map(|(subject, made)| (0..made.entries.len()).map(move |number| (subject, number)))
        .collect();
    places.sort_by_key(|(subject, number)| {
        let entry = &made[*subject].entries[*number];
        (entry.onset, entry.first.voice, *subject)
    });
    let mut numbers: Vec<Vec<usize>> =
        made.iter().map(|made| vec![0; made.entries.len()]).collect();
    for (place, (subject, number)) in places.iter().enumerate() {
        numbers[*subject][*number] = place;
    }
    let entries = places.iter().map(|(subject, number)| {
        let mut entry = made[*subject].entries[*number].clone();
        entry.subject = *subject;
        for relation in [&mut entry.before, &mut entry.model].into_iter().flatten() {
            relation.entry = numbers[*subject][relation.entry];
        }
        entry
    });
    let entries = entries.collect();
    let subjects = made.into_iter().zip(numbers).map(|(made, numbers)| {
        let model = numbers[made.model];
        Subject { model, entries: numbers, ..made.subject }
    });
    (subjects.collect(), entries)
}

/// A subject with its entries, which are numbered within it.
struct Made {
    subject: Subject,
    model: usize,
    entries: Vec<Entry>,
}

/// The notes of an entry, as places in its line.
#[derive(Clone, Copy)]
struct Stretch {
    first: usize,
    last: usize,
}

impl Making<'_> {
    fn line(&self, place: Place) -> &Line {
        &self.texture.lines[self.material.melodies[place.melody].line]
    }

    fn id(&self, place: Place, note: usize) -> EventId {
        let line = self.line(place);
        EventId { voice: line.voice, event: line.notes[note].event as usize }
    }

    fn time(&self, ticks: i64) -> Time {
        Time::new(ticks, self.texture.minim)
    }

    /// The tones of a melody from a place on.
    fn tones(&self, place: Place, count: usize) -> &[Tone] {
        let tones = &self.material.melodies[place.melody].tones[place.tone..];
        &tones[..count.min(tones.len())]
    }

    fn subject(&self, found: &Found) -> Made {
        // How often the first and the last tone are struck in every entry.
        let counts = |number: usize| {
            let whole = found.entries.iter().filter(|entry| entry.likeness.tones > number);
            whole
                .filter_map(|entry| self.tones(entry.place, number + 1).get(number))
                .map(Tone::notes)
                .min()
                .unwrap_or(1)
        };
        let ends = [counts(0), counts(found.tones.saturating_sub(1))];
        let stretch = |entry: &FoundEntry| match found.named {
            Some((place, first, last)) if place == entry.place => Stretch { first, last },
            _ => self.stretch(entry, found.tones, ends),
        };
        // A first tone that is struck several times may count from its first note or a later one.
        let mut all = found.entries.clone();
        all.sort_by_key(|entry| {
            (self.line(entry.place).notes[stretch(entry).first].onset, entry.place)
        });
        let is_whole = |entry: &FoundEntry| entry.likeness.tones >= found.tones;
        let model = match found.named {
            Some((place, ..)) => all.iter().position(|entry| entry.place == place),
            None => all.iter().position(is_whole),
        };
        let model = model.unwrap_or(0);
        let of_model = &all[model];
        let mut entries: Vec<Entry> = Vec::with_capacity(all.len());
        for (number, entry) in all.iter().enumerate() {
            let likeness = (number != model).then(|| {
                let mirror = is_mirrored(entry) != is_mirrored(of_model);
                self.material.compare(of_model.place, entry.place, mirror, true)
            });
            let made = self.entry(of_model, entry, found.tones, likeness, stretch(entry));
            entries.push(made);
        }
        self.relate(&mut entries, model, &all);
        let own = stretch(of_model);
        let line = self.line(of_model.place);
        let sung = notes(line, own);
        let first = &self.score.voices[line.voice].events[line.notes[own.first].event as usize];
        let rungs: Vec<i32> = sung.iter().map(|(_, height)| i32::from(height.rung)).collect();
        let subject = Subject {
            model,
            entries: Vec::new(),
            notes: sung.iter().map(|(note, _)| self.id(of_model.place, *note)).collect(),
            shape: rungs.windows(2).map(|two| two[1] - two[0]).collect(),
            syllables: syllables(line, own),
            first_value: first.value,
            dotted: first.dotted,
            length: entries[model].end - entries[model].onset,
            named: found.named.is_some(),
        };
        Made { subject, model, entries }
    }

    /// The notes of an entry: of a first tone that is struck again, those that all entries have,
    /// unless it begins after a rest; of the last one those that all have.
    fn stretch(&self, entry: &FoundEntry, of_subject: usize, ends: [usize; 2]) -> Stretch {
        let count = entry.likeness.tones.min(of_subject).max(1);
        let tones = self.tones(entry.place, count);
        let (first, last) = (tones[0], tones[tones.len() - 1]);
        let own = if first.start == Start::Rest { first.notes() } else { ends[0] };
        let struck = if count == of_subject { ends[1] } else { 1 };
        let first = first.last + 1 - own.min(first.notes());
        Stretch { first, last: (last.first + struck - 1).min(last.last).max(first) }
    }

    fn entry(
        &self,
        model: &FoundEntry,
        entry: &FoundEntry,
        of_subject: usize,
        likeness: Option<Likeness>,
        stretch: Stretch,
    ) -> Entry {
        let line = self.line(entry.place);
        let count = entry.likeness.tones.min(of_subject);
        let form = likeness.map_or(Form::Direct, |likeness| likeness.form);
        let (one, other) = (self.tones(model.place, count), self.tones(entry.place, count));
        let heights = one.iter().zip(other).enumerate().filter_map(|(number, (one, other))| {
            let of = |line: &Line, tone: &Tone| {
                line.notes[if number == 0 { tone.last } else { tone.first }].pitch
            };
            Some((of(self.line(model.place), one)?, of(line, other)?))
        });
        let heights: Vec<(Height, Height)> = heights.collect();
        let exactness = Exactness::of(&heights, form);
        let head = likeness.is_some_and(|likeness| likeness.head);
        let quality = if head { Quality::Head } else { exactness.quality() };
        let sung = notes(line, stretch);
        let more = self.tones(entry.place, likeness.map_or(0, |likeness| likeness.tones));
        let further = more.iter().skip(count).map(Tone::notes).sum::<usize>();
        let (first, last) = (&line.notes[stretch.first], &line.notes[stretch.last]);
        Entry {
            subject: 0,
            first: self.id(entry.place, stretch.first),
            last: self.id(entry.place, stretch.last),
            onset: self.time(first.onset),
            end: self.time(last.end),
            before: None,
            model: None,
            form,
            quality,
            signs: if quality == Quality::Steps { exactness.signs } else { Vec::new() },
            syllables: syllables(line, stretch),
            notes: sung.len(),
            exact: sung.len().saturating_sub(heights.len() - exactness.exact),
            along: sung.len() + further,
            meeting: None,
            freedoms: likeness.map_or_else(Freedoms::default, |likeness| {
                self.freedoms(model, entry, count, of_subject, likeness.form)
            }),
        }
    }

    fn freedoms(
        &self,
        model: &FoundEntry,
        entry: &FoundEntry,
        count: usize,
        of_subject: usize,
        form: Form,
    ) -> Freedoms {
        let value = |place: Place, number: usize| {
            self.material.melodies[place.melody].value(place.tone + number)
        };
        let differs = |number: usize| {
            let (own, other) = (value(entry.place, number), value(model.place, number));
            match form {
                Form::Augmented => own != other * 2,
                Form::Diminished => own * 2 != other,
                Form::Direct | Form::Inverted => own != other,
            }
        };
        let one = self.tones(model.place, count);
        let other = self.tones(entry.place, count);
        let inner = 1..count.saturating_sub(1);
        let repeats = |number: &usize| one[*number].notes() != other[*number].notes();
        // The place is that of the second note: the first may have been shortened.
        let on_tactus = |place: Place| {
            let tone = self.material.tone(Place { tone: place.tone + 1, ..place });
            let note = &self.line(place).notes[tone.first];
            note.measure.rank(note.onset) <= Rank::Semibreve
        };
        Freedoms {
            first_value: count > 1 && differs(0),
            values: inner.clone().any(differs),
            repetition: inner.clone().any(|number| repeats(&number)),
            shorter: count < of_subject,
            other_minim: count > 1 && on_tactus(model.place) != on_tactus(entry.place),
        }
    }

    /// How the entries of a subject stand to one another.
    fn relate(&self, entries: &mut [Entry], model: usize, found: &[FoundEntry]) {
        let rung = |number: usize| self.material.tone(found[number].place).rung;
        let between = |entries: &[Entry], other: usize, number: usize| Relation {
            entry: other,
            steps: rung(number) - rung(other),
            delay: entries[number].onset - entries[other].onset,
        };
        for number in 0..entries.len() {
            entries[number].model = (number != model).then(|| between(entries, model, number));
            let Some(before) = number.checked_sub(1) else { continue };
            entries[number].before = Some(between(entries, before, number));
            let (end, onset) = (entries[before].end, entries[number].onset);
            let overlap = if end > onset { Meeting::Close(end - onset) } else { Meeting::After };
            entries[number].meeting = Some(overlap);
        }
    }
}

fn is_mirrored(entry: &FoundEntry) -> bool {
    entry.likeness.form == Form::Inverted
}

/// The notes of a stretch that sound, as places in the line.
fn notes(line: &Line, stretch: Stretch) -> Vec<(usize, Height)> {
    let sounding = |place: usize| line.notes[place].pitch.map(|height| (place, height));
    (stretch.first..=stretch.last).filter_map(sounding).collect()
}

fn syllables(line: &Line, stretch: Stretch) -> Vec<Solmization> {
    let pitches: Vec<Pitch> =
        notes(line, stretch).into_iter().map(|(_, height)| pitch(height)).collect();
    let first: &Note = &line.notes[stretch.first];
    solmize(&pitches, first.signature)
}
