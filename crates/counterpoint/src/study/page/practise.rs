//! Three things to practise, made of what was found.

use rudiments::Time;
use score::Run;

use super::About;
use super::cadences::upon;
use super::subjects::name;
use super::words::{in_bars, index, interval, minims, place, step, voice};
use crate::study::imitation::{Meeting, Quality};

/// The intervals at which a subject is first tried, nearest first (common practice).
const TRIED: [i32; 6] = [4, -3, 7, -4, 3, -7];

/// At most three; fewer where there is less.
pub(super) fn practise(about: &About<'_>) -> Vec<String> {
    let things = [follower(about), entry(about), elsewhere(about)];
    let things: Vec<String> = things.into_iter().flatten().collect();
    let numbered = things.iter().enumerate().map(|(place, what)| format!("{}  {what}", place + 1));
    let told: Vec<String> = numbered.collect();
    if told.is_empty() { vec!["nothing: no imitation was found".to_owned()] } else { told }
}

/// The closest exact answer, at a fourth, fifth or octave if there is one, is to be played from its model
/// alone.
fn follower(about: &About<'_>) -> Option<String> {
    let found = &about.study.imitations;
    let of_canon = found.canons.first().and_then(|canon| Some((canon, canon.followers.first()?)));
    if let Some((canon, follower)) = of_canon {
        let (dux, comes) = (voice(about.score, canon.dux), voice(about.score, follower.first));
        let (interval, delay) = (interval(follower.steps), minims(follower.delay));
        return Some(format!(
            "cover the {comes}, and follow the {dux} at the {interval} after {delay}"
        ));
    }
    // Who begins together with another follows nobody.
    let answers = found.entries.iter().filter_map(|entry| Some((entry, entry.before?)));
    let answers = answers.filter(|(_, before)| before.delay.is_positive());
    let (best, before) = answers.min_by_key(|(entry, before)| {
        let usual = matches!(before.steps.rem_euclid(7), 0 | 3 | 4);
        let close = matches!(entry.meeting, Some(Meeting::Close(_)));
        (entry.quality != Quality::Exact, !usual, !close, entry.onset)
    })?;
    let own = voice(about.score, best.first);
    let other = voice(about.score, found.entries[before.entry].first);
    let bars =
        in_bars(about.score, best.onset, last_moment(about, best.last).unwrap_or(best.onset));
    let (interval, delay) = (interval(before.steps), minims(before.delay));
    Some(format!(
        "cover the {own} in {bars}, and answer the {other} at the {interval} after {delay}"
    ))
}

fn last_moment(about: &About<'_>, event: crate::EventId) -> Option<Time> {
    Run::one(event.voice, event.event).time(about.score).map(|(begin, _)| begin)
}

/// What enters upon a cadence enters elsewhere upon it.
fn entry(about: &About<'_>) -> Option<String> {
    let study = about.study;
    let cadence_of = |point: &crate::study::EntryPoint| &study.cadences[point.cadence];
    let point = study.entry_points.iter().find(|point| cadence_of(point).dissonance.is_some())?;
    let cadence = cadence_of(point);
    let dissonance = cadence.dissonance?;
    let own = voice(about.score, study.imitations.entries[point.entry].first);
    let other = if point.after_dissonance == Some(Time::ZERO) {
        format!("upon the goal (bar {})", place(about.score, cadence.at))
    } else {
        format!("on the cadential semibreve (bar {})", place(about.score, dissonance))
    };
    let (upon, goal) = (upon(point), step(cadence.goal));
    let bars = in_bars(about.score, dissonance, cadence.at);
    Some(format!("the {own} enters {upon} of the cadence on {goal} ({bars}): let it enter {other}"))
}

/// The subject at an interval at which the piece does not have it.
fn elsewhere(about: &About<'_>) -> Option<String> {
    let found = &about.study.imitations;
    let subject = found.subjects.first()?;
    let used: Vec<i32> = subject
        .entries
        .iter()
        .filter_map(|entry| Some(found.entries[*entry].before?.steps))
        .collect();
    let free = TRIED.into_iter().find(|steps| !used.contains(steps))?;
    let (first, last) = (*subject.notes.first()?, *subject.notes.last()?);
    let (first_index, last_index) = (index(about.score, first)?, index(about.score, last)?);
    Some(format!(
        "{} ({} {first_index}\u{2013}{last_index}) at the {}: after how many minims can it enter?",
        name(0),
        voice(about.score, first),
        interval(free)
    ))
}
