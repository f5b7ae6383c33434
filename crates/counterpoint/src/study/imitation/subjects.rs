//! Which matches are entries of one subject, and where the subject ends.
//!
//! Every place is weighed by all that is like it: what speaks for its matches, together, less what
//! is needed to single it out in the piece. The strongest is a subject with its entries; the notes of
//! these are then spoken for, and the next strongest follows. So a turn that happens to come again
//! within a subject is none of its own.

use std::collections::HashSet;

use super::likeness::{Likeness, Material, Place};
use super::rarity::{BIT, Bits};
use super::windows::{Match, STEPS};
use super::{Form, melody::Start};

/// A subject and its entries.
#[derive(Debug)]
pub(super) struct Found {
    /// The entries in order of time.
    pub(super) entries: Vec<FoundEntry>,
    /// How many tones the subject has.
    pub(super) tones: usize,
    /// Where it is named by the head of the piece: its place, and its first and last note in the line.
    pub(super) named: Option<(Place, usize, usize)>,
}

/// An entry.
#[derive(Clone, Copy, Debug)]
pub(super) struct FoundEntry {
    pub(super) place: Place,
    /// How it is like the model, its tones counted as far as they go alike.
    pub(super) likeness: Likeness,
}

/// A subject that the head of the piece names.
#[derive(Clone, Copy, Debug)]
pub(super) struct Typed {
    /// Where it begins.
    pub(super) place: Place,
    /// How many tones it has.
    pub(super) tones: usize,
    /// Its first and last note, as places in the line.
    pub(super) notes: (usize, usize),
}

/// What must speak for an entry beyond chance. This and the next four, the costs in `likeness`, and the
/// numbers in `rarity` that no count gives, were searched for at random, one to three changed at a time, on
/// 1200 trials of planted entries, with a rest before each and without (seeds 3, 4, 5, 16, 1001 and 1002 of `cargo run --example planted`), and
/// rounded; the figures of `tests/tests/study_imitation.rs` are of other seeds. What is planted repeats
/// hardly a note, so what repeated notes count for is an estimate.
const OF_ENTRY: Bits = 11 * BIT / 2;
/// What must speak for an entry that breaks off more than a note before the end of the subject.
const OF_SHORTER: Bits = 10 * BIT;
/// What must speak for an entry that is like another of the subject, against the strongest.
const OF_FURTHER: Bits = 7 * BIT;
/// What must speak for a subject beyond chance.
const OF_SUBJECT: Bits = 7 * BIT / 2;

/// What each entry costs, since the best was chosen of all distances and forms.
const CHOICE: Bits = 3 * BIT;

/// Which notes are spoken for.
struct Taken(Vec<Vec<bool>>);

impl Taken {
    fn is_free(&self, place: Place, tones: usize) -> bool {
        let taken = &self.0[place.melody];
        let own = taken.iter().skip(place.tone).take(tones);
        !taken[place.tone] && own.filter(|taken| **taken).count() * 2 < tones
    }

    fn take(&mut self, place: Place, tones: usize) {
        self.0[place.melody]
            .iter_mut()
            .skip(place.tone)
            .take(tones)
            .for_each(|taken| *taken = true);
    }
}

/// The subjects of a piece, those that its head names first, then in order of strength.
pub(super) fn subjects(material: &Material, matches: &[Match], typed: &[Typed]) -> Vec<Found> {
    let mut taken =
        Taken(material.melodies.iter().map(|melody| vec![false; melody.tones.len()]).collect());
    let mut found = Vec::new();
    for typed in typed {
        if taken.is_free(typed.place, typed.tones) {
            let entries = everywhere(material, typed, &taken);
            found.push(settle(material, typed.place, entries, Some(typed), &mut taken));
        }
    }
    let links = Links::of(matches);
    let mut places: Vec<(Bits, Place)> = links
        .places()
        .map(|place| {
            (strength(material, place, &entries(material, matches, &links, place, &taken)), place)
        })
        .filter(|(strength, _)| *strength >= OF_SUBJECT)
        .collect();
    places.sort_by_key(|(strength, place)| (-strength, material.tone(*place).onset, *place));
    for (_, place) in places {
        let own = entries(material, matches, &links, place, &taken);
        if strength(material, place, &own) >= OF_SUBJECT {
            let all = with_those_of_entries(material, matches, &links, place, own, &taken);
            found.push(settle(material, place, all, None, &mut taken));
        }
    }
    found
}

/// For each place the matches that begin or end there.
struct Links(Vec<(Place, usize)>);

impl Links {
    fn of(matches: &[Match]) -> Links {
        let ends = matches.iter().enumerate();
        let mut links: Vec<(Place, usize)> =
            ends.flat_map(|(number, found)| [(found.from, number), (found.to, number)]).collect();
        links.sort_unstable();
        Links(links)
    }

    fn places(&self) -> impl Iterator<Item = Place> {
        self.0.chunk_by(|one, other| one.0 == other.0).map(|links| links[0].0)
    }

    fn at(&self, place: Place) -> &[(Place, usize)] {
        let from = self.0.partition_point(|link| link.0 < place);
        let to = self.0.partition_point(|link| link.0 <= place);
        &self.0[from..to]
    }
}

/// An entry, and what speaks for it.
type Weighed = (Bits, FoundEntry);

/// The entries that match a place, those for which most speaks first; none over another.
fn entries(
    material: &Material,
    matches: &[Match],
    links: &Links,
    place: Place,
    taken: &Taken,
) -> Vec<Weighed> {
    let mut all: Vec<Weighed> = links
        .at(place)
        .iter()
        .filter_map(|(_, number)| {
            let found = &matches[*number];
            let (other, likeness) = if found.from == place {
                (found.to, found.likeness)
            } else {
                (found.from, turned(found.likeness))
            };
            let bits = found.bits - material.rarity.start(material.tone(place).start);
            (bits >= OF_ENTRY).then_some((bits, FoundEntry { place: other, likeness }))
        })
        .collect();
    all.sort_by_key(|(bits, entry)| (-bits, entry.place));
    let tones = all.iter().map(|(_, entry)| entry.likeness.tones).max().unwrap_or(0);
    if !taken.is_free(place, tones.min(STEPS + 1)) {
        return Vec::new();
    }
    let mut chosen: Vec<Weighed> = Vec::new();
    let model = FoundEntry { place, likeness: same(tones.min(STEPS + 1)) };
    for (bits, entry) in all {
        let others = chosen.iter().map(|(_, other)| other).chain([&model]);
        let is_over = |other: &FoundEntry| overlap(&entry, other);
        if taken.is_free(entry.place, entry.likeness.tones) && !others.into_iter().any(is_over) {
            chosen.push((bits, entry));
        }
    }
    chosen
}

/// A likeness as the second melody has it.
fn turned(likeness: Likeness) -> Likeness {
    let form = match likeness.form {
        Form::Augmented => Form::Diminished,
        Form::Diminished => Form::Augmented,
        form => form,
    };
    Likeness { form, ..likeness }
}

/// The likeness of a melody to itself.
fn same(tones: usize) -> Likeness {
    Likeness { tones, bits: 0, form: Form::Direct, head: false }
}

/// Whether two entries have notes in common.
fn overlap(one: &FoundEntry, other: &FoundEntry) -> bool {
    one.place.melody == other.place.melody
        && one.place.tone < other.place.tone + other.likeness.tones
        && other.place.tone < one.place.tone + one.likeness.tones
}

/// What speaks for a subject: of each other voice the entry for which most speaks, since what a voice
/// repeats proves nothing. Entries come with those for which most speaks first.
fn strength(material: &Material, place: Place, entries: &[Weighed]) -> Bits {
    let mut counted = vec![place.melody];
    let mut sum = material.rarity.start(material.tone(place).start) - material.rarity.anywhere();
    for (bits, entry) in entries {
        if !counted.contains(&entry.place.melody) {
            counted.push(entry.place.melody);
            sum += bits - CHOICE;
        }
    }
    if counted.len() > 1 { sum } else { Bits::MIN }
}

/// The entries of a subject with those that match one of them rather than the strongest.
fn with_those_of_entries(
    material: &Material,
    matches: &[Match],
    links: &Links,
    place: Place,
    mut own: Vec<Weighed>,
    taken: &Taken,
) -> Vec<FoundEntry> {
    let tones = own.iter().map(|(_, entry)| entry.likeness.tones).max().unwrap_or(0);
    let mut all: Vec<FoundEntry> = vec![FoundEntry { place, likeness: same(tones) }];
    all.extend(own.drain(..).map(|(_, entry)| entry));
    let mut claimed = Claimed::default();
    for entry in &all {
        claimed.claim(entry);
    }
    let mut number = 1;
    while let Some(entry) = all.get(number).copied() {
        number += 1;
        for (_, further) in entries(material, matches, links, entry.place, taken) {
            let mirror = is_inverted(further.likeness) != is_inverted(entry.likeness);
            let likeness = material.compare(place, further.place, mirror, false);
            let further = FoundEntry { place: further.place, likeness };
            let bits = material.weigh(place, further.place, likeness);
            if likeness.tones > STEPS && bits >= OF_FURTHER && claimed.is_free(&further) {
                claimed.claim(&further);
                all.push(further);
            }
        }
    }
    all
}

fn is_inverted(likeness: Likeness) -> bool {
    likeness.form == Form::Inverted
}

/// The tones of the entries of a subject.
#[derive(Default)]
struct Claimed(HashSet<(usize, usize)>);

impl Claimed {
    fn tones(entry: &FoundEntry) -> impl Iterator<Item = (usize, usize)> + use<> {
        let Place { melody, tone } = entry.place;
        (tone..tone + entry.likeness.tones).map(move |tone| (melody, tone))
    }

    fn claim(&mut self, entry: &FoundEntry) {
        self.0.extend(Claimed::tones(entry));
    }

    fn is_free(&self, entry: &FoundEntry) -> bool {
        !Claimed::tones(entry).any(|tone| self.0.contains(&tone))
    }
}

/// All entries of a subject that the head of the piece names.
fn everywhere(material: &Material, typed: &Typed, taken: &Taken) -> Vec<FoundEntry> {
    let needed = typed.tones.saturating_sub(1).max(typed.tones.min(2));
    let model = material.tone(typed.place);
    let mut all: Vec<Weighed> = Vec::new();
    for (melody, tones) in material.melodies.iter().map(|melody| &melody.tones).enumerate() {
        for (tone, begins) in tones.iter().enumerate() {
            let place = Place { melody, tone };
            if place == typed.place || begins.onset == model.onset {
                continue;
            }
            let rest = begins.start == Start::Rest;
            for mirror in [false, true] {
                let likeness = material.compare(typed.place, place, mirror, rest);
                let bits = material.weigh_told(typed.place, place, likeness);
                let enough = likeness.tones >= needed || bits >= OF_ENTRY && likeness.tones > STEPS;
                // Outside the usual form and place a few notes prove nothing.
                if enough && bits >= if rest && !mirror { 0 } else { OF_ENTRY } {
                    all.push((bits, FoundEntry { place, likeness }));
                }
            }
        }
    }
    all.sort_by_key(|(bits, entry)| (-bits, entry.place));
    let mut chosen = vec![FoundEntry { place: typed.place, likeness: same(typed.tones) }];
    let mut claimed = Claimed::default();
    claimed.claim(&chosen[0]);
    for (_, mut entry) in all {
        let whole = entry.likeness;
        entry.likeness.tones = whole.tones.min(typed.tones);
        let is_free = taken.is_free(entry.place, entry.likeness.tones);
        if is_free && claimed.is_free(&entry) {
            claimed.claim(&entry);
            chosen.push(entry);
        }
    }
    chosen
}

/// Entries in order of time, and the subject's end.
///
/// The subject is the longest beginning that the entries share: where some share more than others,
/// the one that explains most notes of the entries that answer it.
fn settle(
    material: &Material,
    model: Place,
    mut entries: Vec<FoundEntry>,
    typed: Option<&Typed>,
    taken: &mut Taken,
) -> Found {
    let tones = typed.map_or_else(|| end(&entries, model), |typed| typed.tones);
    if typed.is_none() {
        entries.retain(|entry| {
            let bits = || material.weigh(model, entry.place, entry.likeness);
            entry.place == model || entry.likeness.tones + 1 >= tones || bits() >= OF_SHORTER
        });
    }
    entries.sort_by_key(|entry| (material.tone(entry.place).onset, entry.place));
    for entry in &entries {
        taken.take(entry.place, entry.likeness.tones.min(tones));
    }
    let named = typed.map(|typed| (typed.place, typed.notes.0, typed.notes.1));
    Found { entries, tones, named }
}

/// How many tones the subject has.
fn end(entries: &[FoundEntry], model: Place) -> usize {
    let others = entries.iter().filter(|entry| entry.place != model);
    let mut lengths: Vec<usize> = others.map(|entry| entry.likeness.tones).collect();
    lengths.sort_unstable_by(|one, other| other.cmp(one));
    let explained =
        lengths.iter().enumerate().map(|(number, tones)| ((number + 1) * tones, *tones));
    explained.max().map_or(0, |(_, tones)| tones)
}
