//! What no slip that is found explains, though nobody would have written it so: two fifths or octaves
//! in a row, and one untreated dissonance after another.
//!
//! The rules are those of about 1560, as `study` has them (Zarlino, *Istitutioni harmoniche*, 1558,
//! III, ch. 29; from memory). They are also heard with what singers add, and with the likely slips
//! mended, as both explain much.

use notation::{Piece, Span};
use rudiments::Time;
use score::Score;

use super::practice::proposed;
use super::words::number;
use crate::observe::EventId;
use crate::study::moments::Moments;
use crate::study::suspension::suspensions;
use crate::study::{Finding, Rule, RuleSet, Severity, hear, judge_texture};
use crate::texture::Texture;

/// So many untreated dissonances are a row. No clean madrigal or duo of the open data has so many.
const ROW: usize = 6;

/// At most so many minims, a breve, from one dissonance of a row to the next.
const APART: i64 = 4;

/// Something that is worth a look, though no slip is likely that explains it.
#[derive(Clone, PartialEq, Debug)]
pub struct Unexplained {
    /// What is found: one movement, or the dissonances of a row in order of time.
    pub findings: Vec<Finding>,
    /// The event to look at first: of a movement the upper voice's; of a row the first of the voice that
    /// is in most of its dissonances.
    pub event: EventId,
    /// The token of that event.
    pub span: Span,
}

impl Unexplained {
    /// When it begins, in minims from the beginning of the piece.
    pub fn at(&self) -> Time {
        self.findings.first().map_or(Time::ZERO, |first| first.at)
    }

    /// When the last of it is heard.
    pub fn until(&self) -> Time {
        self.findings.last().map_or(Time::ZERO, |last| last.at)
    }

    /// Where and what, in a sentence: `bar 6, minim 4, Cantus 21 and Altus 29: two fifths in a row, in
    /// the same direction`; `bars 10 to 13: seven dissonances in a row are untreated, and Altus has part
    /// in six of them`. `score` is what was looked at.
    pub fn sentence(&self, score: &Score) -> String {
        if let [finding] = self.findings.as_slice() {
            return finding.sentence(score);
        }
        let bar = |at: Time| score.bar_at(at).map_or(0, |bar| bar.number);
        let (from, to) = (bar(self.at()), bar(self.until()));
        let bars = if from == to { format!("bar {from}") } else { format!("bars {from} to {to}") };
        let voice = self.event.voice;
        let name = score.voices.get(voice).map_or("", |voice| voice.name.as_str());
        let count = |count: usize| number(count as i64);
        let (all, own) = (self.findings.len(), dissonant(&self.findings, voice));
        let part = if own == all {
            format!("{name} has part in all of them")
        } else {
            format!("{name} has part in {} of them", count(own))
        };
        format!("{bars}: {} dissonances in a row are untreated, and {part}", count(all))
    }
}

/// What is worth a look in a texture of a piece.
pub(super) fn unexplained(texture: &Texture, piece: &Piece, score: &Score) -> Vec<Unexplained> {
    let mut texture = texture.clone();
    let signs = proposed(&texture, score);
    hear(&mut texture, &signs);
    let moments = Moments::new(&texture);
    let suspensions = suspensions(&texture, &moments);
    let findings = judge_texture(&texture, &moments, &suspensions, RuleSet::About1560).findings;
    let is = |finding: &&Finding, rules: &[Rule]| {
        finding.severity == Severity::Fault && rules.contains(&finding.rule)
    };
    let parallel = [Rule::ParallelFifths, Rule::ParallelOctaves];
    let movements = findings.iter().filter(|one| is(one, &parallel)).map(|one| vec![one.clone()]);
    let untreated: Vec<Finding> =
        findings.iter().filter(|one| is(one, &[Rule::UntreatedDissonance])).cloned().collect();
    let together = |one: &Finding, next: &Finding| next.at - one.at <= Time::minims(APART);
    let rows = untreated.chunk_by(together).filter(|row| row.len() >= ROW).map(<[_]>::to_vec);
    let mut found: Vec<Unexplained> =
        rows.chain(movements).filter_map(|findings| fault(findings, piece, score)).collect();
    found.sort_by_key(Unexplained::at);
    found
}

fn fault(findings: Vec<Finding>, piece: &Piece, score: &Score) -> Option<Unexplained> {
    let mut voices: Vec<usize> =
        findings.iter().flat_map(|finding| &finding.events).map(|event| event.voice).collect();
    voices.sort_unstable();
    voices.dedup();
    let most = voices.iter().map(|voice| dissonant(&findings, *voice)).max()?;
    let voice = voices.into_iter().find(|voice| dissonant(&findings, *voice) == most)?;
    let mut events = findings.iter().flat_map(|finding| &finding.events);
    let event = *events.find(|event| event.voice == voice)?;
    let item = score.voices.get(voice)?.events.get(event.event)?.item?;
    let span = piece.voices.get(item.voice)?.items.get(item.item)?.span;
    Some(Unexplained { findings, event, span })
}

/// In how many of these a voice has part.
fn dissonant(findings: &[Finding], voice: usize) -> usize {
    let has_part = |finding: &&Finding| finding.events.iter().any(|event| event.voice == voice);
    findings.iter().filter(has_part).count()
}
