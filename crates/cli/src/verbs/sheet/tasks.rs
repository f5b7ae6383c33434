//! What is to be done on a sheet, and what of the music is taken away for it.

use cartella::{Aligned, Score, Study, Time};

use super::texts::Texts;
use crate::arguments::{Level, Task};

/// An imitation to be practised: a leader, and a voice that follows.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Followed {
    leader: usize,
    follower: usize,
    /// When the follower enters.
    at: Time,
    /// When it has had the subject.
    until: Time,
    steps: i32,
    delay: Time,
}

/// Why there is no such sheet.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum NoTask {
    /// No voice follows another.
    NoImitation,
    /// There is one voice alone.
    OneVoice,
}

impl NoTask {
    pub(super) fn said(self) -> &'static str {
        match self {
            NoTask::NoImitation => "no voice follows another in it",
            NoTask::OneVoice => "it has one voice alone",
        }
    }
}

/// Takes away from a score what is to be found, and says what is to be done.
pub(super) fn set(
    task: Task,
    level: Level,
    aligned: &mut Aligned<'_>,
    study: &Study,
    texts: &Texts,
) -> Result<String, NoTask> {
    let score = &mut aligned.score;
    let level_number = match level {
        Level::One => 1,
        Level::Two => 2,
        Level::Three => 3,
    };
    Ok(match task {
        Task::Follower => {
            let found = followed(study, score).ok_or(NoTask::NoImitation)?;
            let first = if level == Level::One { after_first(score, found) } else { found.at };
            score.blank(found.follower, first, score.length);
            let key = format!("follower-{level_number}");
            filled(texts.text(&key), score, found, texts)
        }
        Task::Entry => {
            let found = followed(study, score).ok_or(NoTask::NoImitation)?;
            // What follows the subject would give the entry away, and so would rests before it.
            for voice in 0..score.voices.len() {
                let from =
                    if voice == found.leader { found.until - found.delay } else { Time::ZERO };
                score.blank(voice, from, score.length);
            }
            hide_rests(score, found.leader);
            let key = format!("entry-{level_number}");
            filled(texts.text(&key), score, found, texts)
        }
        Task::Continue => {
            let found = followed(study, score).ok_or(NoTask::NoImitation)?;
            for voice in 0..score.voices.len() {
                score.blank(voice, found.until, score.length);
            }
            texts.text("continue").to_owned()
        }
        Task::Bass | Task::Cadences => {
            let voices = score.voices.len();
            if voices < 2 {
                return Err(NoTask::OneVoice);
            }
            let mut from = Time::ZERO;
            let mut empty = Vec::new();
            if task == Task::Cadences {
                for cadence in &study.cadences {
                    let begins = cadence.preparation.unwrap_or(cadence.resolution);
                    empty.push((from, begins));
                    // The goal itself is given too.
                    from = cadence.at + Time::new(1, 1000);
                }
            }
            empty.push((from, score.length));
            for voice in 0..voices - 1 {
                for (from, to) in empty.iter().filter(|(from, to)| from < to) {
                    score.blank(voice, *from, *to);
                }
            }
            texts.text(if task == Task::Bass { "bass" } else { "cadences" }).to_owned()
        }
        Task::Voices => texts.text("voices").to_owned(),
        Task::Keys => texts.text("keys-as-written").to_owned(),
    })
}

/// What is said of an imitation.
fn filled(text: &str, score: &Score, found: Followed, texts: &Texts) -> String {
    text.replace("{voice}", &score.voices[found.follower].name)
        .replace("{interval}", &texts.interval(found.steps))
        .replace("{delay}", &found.delay.to_string())
}

/// The first voice that follows another: in a canon, else with a subject.
fn followed(study: &Study, score: &Score) -> Option<Followed> {
    let found = &study.imitations;
    let canon = found.canons.iter().find_map(|canon| {
        let follower = canon.followers.first()?;
        let last = &score.voices[follower.last.voice].events[follower.last.event];
        Some(Followed {
            leader: canon.dux.voice,
            follower: follower.first.voice,
            at: follower.onset,
            until: last.onset + last.length,
            steps: follower.steps,
            delay: follower.delay,
        })
    });
    canon.or_else(|| {
        found.entries.iter().find_map(|entry| {
            let before = entry.before?;
            let leader = found.entries.get(before.entry)?;
            (leader.first.voice != entry.first.voice && before.delay > Time::ZERO).then_some(
                Followed {
                    leader: leader.first.voice,
                    follower: entry.first.voice,
                    at: entry.onset,
                    until: entry.end,
                    steps: before.steps,
                    delay: before.delay,
                },
            )
        })
    })
}

/// When the first note of the follower is over.
fn after_first(score: &Score, found: Followed) -> Time {
    let mut events = score.voices[found.follower].events.iter();
    let first = events.find(|event| event.onset >= found.at && !event.is_rest());
    first.map_or(found.at, |event| event.onset + event.length)
}

/// Where only the subject is given, the rests of the others would say when they enter: they are taken
/// for notes that are not seen.
fn hide_rests(score: &mut Score, leader: usize) {
    let given = score.voices[leader].events.iter().find(|event| !event.is_rest()).cloned();
    let Some(given) = given else { return };
    let others = score.voices.iter_mut().enumerate().filter(|(voice, _)| *voice != leader);
    for (_, timed) in others {
        let own =
            timed.events.iter().find(|event| !event.is_rest()).map(|event| event.notes.clone());
        let notes = own.unwrap_or_else(|| given.notes.clone());
        for event in timed.events.iter_mut().filter(|event| event.is_rest()) {
            event.notes.clone_from(&notes);
        }
    }
}
