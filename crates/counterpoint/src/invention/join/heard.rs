//! What a study says of voices that stand in no text yet: the same figures, findings and cadences.

use std::collections::HashSet;

use rudiments::Mensuration;

use super::super::line::{Line, MINIM, Tick, ticks};
use crate::observe::EventId;
use crate::study::cadences::{Cadence, suspended_cadences};
use crate::study::moments::Moments;
use crate::study::suspension::{Suspension, suspensions};
use crate::study::{Finding, Rule, RuleSet, Severity, judge_texture};
use crate::texture::{Height, Measure, SungLine, SungNote, Texture};

/// By which rules pairs are joined.
const RULES: RuleSet = RuleSet::About1560;

/// Voices as a study hears them.
pub(super) struct Heard {
    pub(super) texture: Texture,
    pub(super) moments: Moments,
    pub(super) suspensions: Vec<Suspension>,
    pub(super) findings: Vec<Finding>,
}

/// How voices are counted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Counted(Measure);

impl Counted {
    /// In breves of two semibreves, from the beginning.
    pub(super) fn plain() -> Counted {
        Counted(Measure::throughout(MINIM, Mensuration::IMPERFECT, 0))
    }

    /// Whether a moment begins a semibreve.
    pub(super) fn is_strong(self, at: i64) -> bool {
        self.0.rank(at) <= crate::rank::Rank::Semibreve
    }
}

/// What stands in a fault, whatever voices are around it.
pub(super) type Known = HashSet<(Rule, Vec<EventId>)>;

impl Heard {
    /// Voices, each with its number; the order is that of the score, top voice first.
    pub(super) fn new(counted: Counted, lines: &[(usize, &[Tick])]) -> Heard {
        let voices = lines.iter().map(|(voice, line)| SungLine {
            voice: *voice,
            notes: line.iter().map(|note| sung(*note)).collect(),
        });
        let texture = Texture::sung(counted.0, voices.collect());
        let moments = Moments::new(&texture);
        let suspensions = suspensions(&texture, &moments);
        let findings = judge_texture(&texture, &moments, &suspensions, RULES).findings;
        Heard { texture, moments, suspensions, findings }
    }

    /// The faults from a moment up to another.
    pub(super) fn faults(&self, from: i64, until: i64) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(move |finding| {
            finding.severity == Severity::Fault && (from..until).contains(&ticks(finding.at))
        })
    }

    /// All faults, to be told again.
    pub(super) fn known(&self) -> Known {
        let all = self.faults(i64::MIN, i64::MAX);
        all.map(|finding| (finding.rule, finding.events.clone())).collect()
    }

    /// The cadences with a suspension.
    pub(super) fn cadences(&self) -> Vec<Cadence> {
        suspended_cadences(&self.texture, &self.moments, &self.suspensions)
    }
}

fn sung(note: Tick) -> SungNote {
    let height = Height { rung: note.rung as i16, semitones: note.key as i16, altered: false };
    SungNote { onset: note.on, end: note.off, height, event: note.number }
}

/// The notes of a voice that sound between two moments.
pub(super) fn within(line: &Line, from: i64, until: i64) -> &[Tick] {
    let first = line.partition_point(|note| note.off <= from);
    let last = line.partition_point(|note| note.on < until);
    &line[first.min(last)..last]
}
