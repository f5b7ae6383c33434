//! What is drawn: the plan, the first imitation alone, the cadences on cards, and marks in the score.

use notation::MarkColor;
use rudiments::Time;
use score::{
    Card, Excerpt, Mark, Plan, PlannedCadence, PlannedEntry, PlannedSection, PlannedSubject, Run,
    Score, Shade, SheetBody,
};

use super::About;
use super::cadences::{answer, bar, kind, short};
use super::subjects::{form, name, notes};
use super::words::step;
use crate::observe::EventId;
use crate::study::cadences::{Cadence, Role, Roles};
use crate::study::imitation::{Entry, Form};
use crate::study::{Numbers, Severity, Study};

/// So many cadences have cards.
const MOST_CARDS: usize = 6;
/// So many bars of an imitation are drawn.
const MOST_BARS: u32 = 16;

/// The plan of the piece.
pub(super) fn plan(about: &About<'_>) -> Plan {
    let found = &about.study.imitations;
    let mut plan = Plan::of(about.score);
    plan.subjects = found
        .subjects
        .iter()
        .enumerate()
        .map(|(number, subject)| PlannedSubject {
            name: name(number),
            notes: notes(about, subject),
        })
        .collect();
    plan.entries = found
        .entries
        .iter()
        .map(|entry| PlannedEntry {
            voice: entry.first.voice,
            from: entry.onset,
            to: entry.end,
            subject: entry.subject,
            inverted: entry.form == Form::Inverted,
            label: label(entry),
        })
        .collect();
    plan.cadences = about.study.cadences.iter().map(planned).collect();
    if plan.sections.is_empty() {
        plan.sections = duos(about);
    }
    plan
}

fn label(entry: &Entry) -> String {
    entry.before.map_or_else(String::new, |before| answer(before.steps, before.delay))
}

fn planned(cadence: &Cadence) -> PlannedCadence {
    PlannedCadence {
        at: cadence.at,
        letter: step(cadence.goal),
        kind: kind(cadence),
        evaded: cadence.is_evaded(),
        phrygian: cadence.phrygian,
    }
}

/// Two voices that are alone, one pair after the other.
fn duos(about: &About<'_>) -> Vec<PlannedSection> {
    let found = &about.study.imitations;
    let alone = found.duos.iter().filter(|duo| duo.alone).enumerate();
    let sections = alone.map(|(number, duo)| PlannedSection {
        from: found.entries[duo.first].onset,
        name: format!("duo {}", number + 1),
    });
    sections.collect()
}

/// The first imitation of two voices, with the intervals between them.
pub(super) fn reduction(about: &About<'_>) -> Option<SheetBody> {
    let (score, found) = (about.score, &about.study.imitations);
    let of_canon = found.canons.first().and_then(|canon| {
        let follower = canon.followers.first()?;
        let from = Run::one(canon.dux.voice, canon.dux.event).time(score)?.0;
        Some((canon.dux.voice, follower.first.voice, from, score.length))
    });
    let of_entries = || {
        found.entries.iter().find_map(|entry| {
            let before = &found.entries[entry.before?.entry];
            let apart = before.first.voice != entry.first.voice;
            apart.then_some((before.first.voice, entry.first.voice, before.onset, entry.end))
        })
    };
    let (one, other, from, to) = of_canon.or_else(of_entries)?;
    let (first, last) = (score.bar_at(from)?.number, bar_before(score, to)?);
    let last = last.min(first + MOST_BARS - 1);
    let duo = with_figures(score, first, last, [one, other])?;
    Some(SheetBody::Reduction(Box::new(duo)))
}

/// The number of the bar that a moment ends, or is in.
fn bar_before(score: &Score, to: Time) -> Option<u32> {
    let bar = score.bar_at(to)?;
    let is_end = bar.start == to && to > Time::ZERO;
    Some(if is_end { bar.number.saturating_sub(1).max(1) } else { bar.number })
}

/// Some bars of two voices, with figures between them, and nothing else.
fn with_figures(score: &Score, first: u32, last: u32, voices: [usize; 2]) -> Option<Score> {
    let mut duo = Excerpt::bars(first..=last).voices(voices).of(score).ok()?;
    duo.marks.clear();
    duo.annotations.shades.clear();
    duo.annotations.figures = duo.interval_figures(0, 1);
    Some(duo)
}

/// The cadences with a suspension, two bars or so each: the cantizans, and the voice against which it is
/// suspended.
pub(super) fn cards(about: &About<'_>) -> Option<SheetBody> {
    let score = about.score;
    let suspended = about.study.cadences.iter().filter(|cadence| cadence.dissonance.is_some());
    let cards = suspended.filter_map(|cadence| {
        let own = cadence.roles.cantizans?;
        let Roles { tenorizans, bassizans, .. } = cadence.roles;
        let carries = match cadence.suspension {
            Some(Numbers::FourThree) => bassizans.or(tenorizans),
            _ => tenorizans.or(bassizans),
        };
        let other = carries?;
        let from = score.bar_at(cadence.dissonance?)?.number;
        let to = score.bar_at(cadence.at)?.number;
        let music = with_figures(score, from, to, [own.voice, other.voice])?;
        let title = format!("bar {} {}", bar(about, cadence), short(cadence));
        Some(Card { title, music })
    });
    let cards: Vec<Card> = cards.take(MOST_CARDS).collect();
    (!cards.is_empty()).then_some(SheetBody::Cards(cards))
}

/// One colour a subject, so that they are told apart; each is a line of its own kind too.
const COLORS: [MarkColor; 4] =
    [MarkColor::Blue, MarkColor::Orange, MarkColor::Green, MarkColor::Purple];

/// Marks a score with what a study says: entries in brackets, cadential semibreves shaded, the letter of
/// each role at its note, and circles round what is untreated.
pub fn annotate(study: &Study, score: &mut Score) {
    let found = &study.imitations;
    for entry in &found.entries {
        let run =
            Run { voice: entry.first.voice, first: entry.first.event, last: entry.last.event };
        let mut words = name(entry.subject);
        for said in [entry.before.map(|_| label(entry)), form(entry.form).map(str::to_owned)] {
            words.extend(said.map(|said| format!(" {said}")));
        }
        let color = (found.subjects.len() > 1).then(|| COLORS[entry.subject % COLORS.len()]);
        score.marks.push(Mark { color, ..Mark::bracket(run, words) });
    }
    for cadence in &study.cadences {
        if let Some(from) = cadence.dissonance {
            score.annotations.shades.push(Shade { from, to: cadence.at });
        }
        for role in Role::ALL {
            if let Some(event) = cadence.roles.of(role) {
                score.marks.push(Mark::letter(one(event), &role.name()[..1]));
            }
        }
    }
    let untreated = study.findings.iter().filter(|found| found.severity == Severity::Fault);
    for pair in untreated.filter_map(|found| found.pair) {
        score.marks.extend(Mark::clash(one(pair.one), one(pair.other), "untreated"));
    }
    score.annotations.shades.sort_by_key(|shade| shade.from);
    score.annotations.shades.dedup();
}

fn one(event: EventId) -> Run {
    Run::one(event.voice, event.event)
}
