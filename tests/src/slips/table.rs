//! The table of how well planted slips are found.

use std::collections::BTreeSet;
use std::fmt;

use counterpoint::mend::{Suggestion, retype};
use notation::{Piece, apply, parse};

use super::Trial;
use super::measure::{Rate, is_rhythm, names, planted, planted_twice, trial};
use super::pieces::{Group, Material};
use super::plant::{Kind, PITCH, RHYTHM};
use super::slots::{SlotVoice, text_of_slots};

/// How many slips are planted in each piece: of each kind of rhythm, of pitch, and two at once.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs)]
pub struct Amount {
    pub rhythm: usize,
    pub pitch: usize,
    pub pairs: usize,
}

impl Amount {
    /// As reported.
    pub fn full(group: Group) -> Amount {
        match group {
            Group::Madrigals => Amount { rhythm: 12, pitch: 20, pairs: 20 },
            Group::Duos => Amount { rhythm: 4, pitch: 6, pairs: 5 },
            Group::Threes => Amount { rhythm: 8, pitch: 0, pairs: 0 },
        }
    }

    /// A sample, for a quick look.
    pub fn sample(_: Group) -> Amount {
        Amount { rhythm: 1, pitch: 1, pairs: 1 }
    }
}

/// What was found in a group of pieces.
#[derive(Clone, Debug)]
pub struct Results {
    /// The group.
    pub group: Group,
    /// By kind.
    pub kinds: Vec<(Kind, Rate)>,
    /// All slips of rhythm, by the event named.
    pub rhythm: Rate,
    /// All slips of rhythm; where the suggestion makes the same music as the clean piece, it
    /// counts too.
    pub same_music: Rate,
    /// How often the first suggestion that names the event also makes the slip disappear.
    pub undone: (usize, usize),
    /// Two slips: both among the first five, one, and all.
    pub pairs: (usize, usize, usize),
    /// Clean pieces, and how many have a suggestion of at least a half.
    pub clean: (usize, usize),
    /// What is suggested for clean pieces with a tenth or more, and in how many of their copies with
    /// slips it is suggested too.
    pub oddities: Vec<(String, usize)>,
    /// By tenths of confidence: slips that are suggested.
    pub confidence: [Bin; 10],
}

/// Suggested slips of about the same confidence.
#[derive(Clone, Copy, Debug, Default)]
pub struct Bin {
    /// All of them.
    pub cases: usize,
    /// Those of which a reading names the planted event.
    pub right: usize,
    /// All of them, if what is suggested for the clean piece too is counted once, there, and not again
    /// in each of its copies.
    pub places: usize,
}

/// A slip that is suggested for a clean piece.
struct Oddity {
    /// The first of its readings.
    reading: Suggestion,
    /// In how many copies it is suggested too.
    copies: usize,
}

/// Plants slips in the pieces of a group, and looks how they are found.
pub fn measure(pieces: &[Material], group: Group, amount: Amount) -> Results {
    let all = RHYTHM.into_iter().chain(PITCH);
    let mut results = Results {
        group,
        kinds: all.map(|kind| (kind, Rate::default())).collect(),
        rhythm: Rate::default(),
        same_music: Rate::default(),
        undone: (0, 0),
        pairs: (0, 0, 0),
        clean: (0, 0),
        oddities: Vec::new(),
        confidence: [Bin::default(); 10],
    };
    for piece in pieces.iter().filter(|piece| piece.group == group) {
        let clean = music(&parse(&text_of_slots(&piece.voices)).piece);
        let mut oddities = results.count_clean(piece);
        for place in 0..results.kinds.len() {
            let kind = results.kinds[place].0;
            let each = if is_rhythm(kind) { amount.rhythm } else { amount.pitch };
            for slip in planted(piece, &[kind], each, SEED) {
                let trial = trial(piece, vec![slip]);
                results.count(place, &trial, &clean);
                results.count_confidence(&trial, piece, &mut oddities);
            }
        }
        for (first, second) in planted_twice(piece, amount.pairs, SEED) {
            let trial = trial(piece, vec![first, second]);
            let found = [0, 1].map(|slip| trial.rank(slip).is_some_and(|rank| rank <= 5));
            let found = found.into_iter().filter(|found| *found).count();
            results.pairs.0 += usize::from(found == 2);
            results.pairs.1 += usize::from(found == 1);
            results.pairs.2 += 1;
        }
        let told = oddities.into_iter().filter(|oddity| oddity.reading.slip_confidence >= TOLD);
        results.oddities.extend(told.map(|Oddity { reading, copies }| {
            let (name, index) = (&reading.name, reading.index.unwrap_or(0));
            let (change, confidence) = (reading.change(), reading.slip_confidence);
            (format!("{} {name} {index}: {change} ({confidence:.2})", piece.name), copies)
        }));
    }
    results
}

/// From this confidence on it is told what is suggested for clean pieces.
const TOLD: f64 = 0.1;

/// Other than the seeds of the tuning program.
const SEED: u64 = 1725;

impl Results {
    fn count(&mut self, place: usize, trial: &Trial, clean: &Music) {
        let slip = &trial.slips[0];
        let rank = trial.rank(0);
        let parsed = parse(&trial.text);
        let mended = |suggestion| {
            let edits = retype(&trial.text, &parsed, suggestion)?;
            Some(&music(&parse(&apply(&trial.text, &edits)).piece) == clean)
        };
        let kind = self.kinds[place].0;
        let mut of_kind = rank;
        if is_rhythm(kind) {
            let same = trial.suggestions.iter().find(|found| mended(found) == Some(true));
            let same = rank.into_iter().chain(same.map(|found| found.rank)).min();
            self.same_music.count(same);
            self.rhythm.count(rank);
            // Of rests in a row nobody can say which one is left out, or too many.
            let index = slip.index as usize;
            let beside = index.saturating_sub(2)..index + 1;
            if slip.voices[slip.voice]
                .events()
                .get(beside)
                .is_some_and(|events| events.iter().any(|event| event.is_rest()))
            {
                of_kind = same;
            }
        }
        self.kinds[place].1.count(of_kind);
        if let Some(found) = trial.suggestions.iter().find(|found| names(found, slip)) {
            self.undone.0 += usize::from(mended(found) == Some(true));
            self.undone.1 += 1;
        }
    }

    /// What is suggested for a piece without slips.
    fn count_clean(&mut self, piece: &Material) -> Vec<Oddity> {
        let suggestions = trial(piece, Vec::new()).suggestions;
        let likeliest = suggestions.first().map_or(0.0, |first| first.slip_confidence);
        self.clean.0 += 1;
        self.clean.1 += usize::from(likeliest >= 0.5);
        let mut told = BTreeSet::new();
        let first = suggestions.into_iter().filter(|found| told.insert(found.slip));
        let oddities: Vec<Oddity> = first.map(|reading| Oddity { reading, copies: 0 }).collect();
        for Oddity { reading, .. } in &oddities {
            self.confidence[tenth(reading)].places += 1;
        }
        oddities
    }

    /// How sure the suggestions are for a piece with a slip.
    fn count_confidence(&mut self, trial: &Trial, piece: &Material, oddities: &mut [Oddity]) {
        let slip = &trial.slips[0];
        // Where an event of the copy stands in the clean piece.
        let more = |voices: &[SlotVoice]| voices[slip.voice].events().len() as i64;
        let moved = more(&piece.voices) - more(&slip.voices);
        let clean_index = |found: &Suggestion| {
            let index = found.index?;
            let moves = found.voice == slip.voice && index >= slip.index;
            index.checked_add_signed(if moves { moved as i32 } else { 0 })
        };
        let slips: BTreeSet<usize> = trial.suggestions.iter().map(|found| found.slip).collect();
        for number in slips {
            let readings = || trial.suggestions.iter().filter(|found| found.slip == number);
            let Some(first) = readings().next() else { continue };
            let right = readings().any(|found| names(found, slip));
            let known = oddities.iter_mut().find(|oddity| {
                let known = &oddity.reading;
                (known.voice, known.index) == (first.voice, clean_index(first))
                    && known.change() == first.change()
            });
            let bin = &mut self.confidence[tenth(first)];
            bin.cases += 1;
            bin.right += usize::from(right);
            match known.filter(|_| !right) {
                Some(oddity) => oddity.copies += 1,
                None => bin.places += 1,
            }
        }
    }

    /// The hits of a kind.
    pub fn of(&self, kind: Kind) -> Rate {
        self.kinds
            .iter()
            .find(|(known, _)| *known == kind)
            .map(|(_, rate)| *rate)
            .unwrap_or_default()
    }
}

/// The tenth of the confidence of the slip of a suggestion.
fn tenth(suggestion: &Suggestion) -> usize {
    ((suggestion.slip_confidence * 10.0) as usize).min(9)
}

/// What sounds in each voice: when, what, how long.
type Music = Vec<Vec<(rudiments::Time, Option<rudiments::Pitch>, rudiments::Time)>>;

fn music(piece: &Piece) -> Music {
    let score = score::align(piece, score::reckon(piece), score::BarLength::Breve).score;
    let voices = score.voices.into_iter().map(|voice| {
        let mut sounds: Vec<(rudiments::Time, Option<rudiments::Pitch>, rudiments::Time)> =
            Vec::new();
        for event in &voice.events {
            let pitch = event.notes.first().map(|note| note.pitch);
            match sounds.last_mut() {
                // Rests in a row are one silence, however they are written.
                Some((_, None, length)) if pitch.is_none() => *length += event.length,
                _ => sounds.push((event.onset, pitch, event.length)),
            }
        }
        sounds
    });
    voices.collect()
}

impl fmt::Display for Results {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{:?}\n", self.group)?;
        let row = |f: &mut fmt::Formatter<'_>, name: &str, rate: &Rate| {
            let [first, three, five] = rate.percent();
            writeln!(f, "{name:<22}{:>5}{first:>8.1}{three:>8.1}{five:>8.1}", rate.count)
        };
        writeln!(f, "{:<22}{:>5}{:>8}{:>8}{:>8}", "", "slips", "first", "3", "5")?;
        for (kind, rate) in self.kinds.iter().filter(|(_, rate)| rate.count > 0) {
            row(f, &format!("{kind:?}"), rate)?;
        }
        row(f, "all of rhythm", &self.rhythm)?;
        row(f, "or the same music", &self.same_music)?;
        let (undone, named) = self.undone;
        writeln!(f, "\nOf {named} events named, {undone} readings undo the slip.")?;
        let (both, one, pairs) = self.pairs;
        writeln!(
            f,
            "Of {pairs} pairs of slips, both are among the first five in {both}, one in {one}."
        )?;
        let (clean, alarms) = &self.clean;
        writeln!(
            f,
            "Of {clean} clean pieces, {alarms} have a suggestion of a half or more. From a tenth on, and in how many of \
             their copies:"
        )?;
        for (oddity, copies) in &self.oddities {
            writeln!(f, "    {oddity}, {copies}")?;
        }
        // What is suggested for the clean piece counts once among the places.
        writeln!(
            f,
            "\n{:<22}{:>5}{:>8}{:>8}{:>8}",
            "confidence", "cases", "right", "places", "right"
        )?;
        for (tenth, Bin { cases, right, places }) in self.confidence.iter().enumerate() {
            let percent = |all: usize| 100.0 * *right as f64 / all.max(1) as f64;
            let (of_cases, of_places) = (percent(*cases), percent(*places));
            let from = tenth as f64 / 10.0;
            writeln!(f, "from {from:.1}{cases:>19}{of_cases:>8.1}{places:>8}{of_places:>8.1}")?;
        }
        Ok(())
    }
}
