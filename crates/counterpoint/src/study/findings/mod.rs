//! What the rules of a date find in a piece: faults, licences, and what is worth a remark.
//!
//! Each file has one subject, and names its source.

mod crossing;
mod dissonance;
mod keys;
mod melody;
mod outer;
mod relation;
mod sentence;
mod species;
mod together;

use rudiments::Time;
use score::Score;

use super::figures::{Dissonances, Pair};
use super::moments::{Moments, NoteRef, minims};
use super::rules::{Rule, RuleSet, Severity};
use super::species::Exercises;
use crate::observe::EventId;
use crate::texture::Texture;

/// Something that the rules find.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    /// What it is about; its name is that of the rule: `parallel-fifths`.
    pub rule: Rule,
    /// How much it weighs.
    pub severity: Severity,
    /// When, in minims from the beginning of the piece.
    pub at: Time,
    /// The events of which it is said, at least one; top voice first. Of a movement, those to which
    /// the voices move; of a leap, both ends; of a held key, first the voice that holds it.
    pub events: Vec<EventId>,
    /// The dissonance, if it is about one.
    pub pair: Option<Pair>,
}

impl Finding {
    /// Where it is, in words: `bar 3, minim 2, Cantus 7 and Tenor 5`. Events are called by their
    /// numbers in the source; `score` is what was studied.
    pub fn place(&self, score: &Score) -> String {
        sentence::place(self, score)
    }

    /// What it is, in plain words without a place: `two fifths in a row, in the same direction`.
    pub fn text(&self) -> String {
        sentence::text(self)
    }

    /// Both in a sentence.
    pub fn sentence(&self, score: &Score) -> String {
        format!("{}: {}", self.place(score), self.text())
    }
}

/// Everything that a rule set finds in a piece, in order of time.
pub(crate) fn findings(
    texture: &Texture,
    moments: &Moments,
    dissonances: &Dissonances,
    exercises: &Exercises,
    rules: RuleSet,
) -> Vec<Finding> {
    let sings = |line: &&crate::texture::Line| line.notes.iter().any(|note| note.pitch.is_some());
    let voices = texture.lines.iter().filter(sings).count();
    let mut found = Found { texture, rules, voices, findings: Vec::new() };
    together::find(moments, &mut found);
    outer::find(moments, &mut found);
    crossing::find(moments, &mut found);
    relation::find(&mut found);
    keys::find(moments, &mut found);
    species::find(exercises, moments, &mut found);
    melody::find(&mut found);
    dissonance::find(dissonances, &mut found);
    let mut findings = found.findings;
    findings.sort_by(|one, other| {
        let key = |finding: &Finding| (finding.at, finding.rule);
        key(one).cmp(&key(other)).then_with(|| one.events.cmp(&other.events))
    });
    findings
}

/// What was found so far.
struct Found<'t> {
    texture: &'t Texture,
    rules: RuleSet,
    /// How many voices have a note.
    voices: usize,
    findings: Vec<Finding>,
}

impl Found<'_> {
    /// Adds what a movement makes, unless the rules leave it free.
    fn movement(&mut self, rule: Rule, at: i64, notes: &[NoteRef]) {
        let Some(severity) = self.rules.movement(rule, self.voices) else { return };
        let events = notes.iter().map(|note| note.id(self.texture)).collect();
        let at = minims(self.texture, at);
        self.findings.push(Finding { rule, severity, at, events, pair: None });
    }
}

#[cfg(test)]
mod testing;
