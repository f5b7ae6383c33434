//! Which clashes a suggestion would undo: in which bars, with which voices.

use std::collections::BTreeMap;

use rudiments::Time;
use score::Score;

use super::search::Hypothesis;
use super::words::number;
use crate::against::Against;
use crate::dyad::Discord;
use crate::rules::rule::{Heard, Meeting, OfEvent, OfMeeting};
use crate::rules::{Listed, Observed, Sink};
use crate::texture::Texture;

/// So many clashes are told, the first ones.
const TOLD: usize = 6;

/// The clashes of a voice as they come.
#[derive(Default)]
struct Clashes(Vec<(i64, usize, Discord)>);

impl Sink for Clashes {
    fn event<R: Listed + OfEvent>(&mut self, _: R, _: &Heard<'_>) {}

    fn meeting<R: Listed + OfMeeting>(&mut self, seen: R, meeting: &Meeting<'_>) {
        if let Observed::Dissonance(dissonance) = seen.what()
            && dissonance.is_clash()
        {
            self.0.push((meeting.at, meeting.line, dissonance.discord));
        }
    }
}

/// `bars 12 to 15 have two seconds or sevenths with Tenor and a fourth with Bassus`: the clashes as
/// typed from where a hypothesis changes something, the first ones if they are many. Nothing where
/// there is none.
pub(super) fn told(texture: &Texture, score: &Score, hypothesis: &Hypothesis) -> Option<String> {
    let line = &texture.lines[hypothesis.voice];
    let candidate = &hypothesis.candidate;
    let to = if candidate.shift == 0 { candidate.to } else { line.notes.len() };
    let mut against = Against::new(texture, hypothesis.voice);
    let mut clashes = Clashes::default();
    against.stretch(&line.notes, candidate.from..to, 0, &mut clashes, |_| ());
    let first: Vec<_> = clashes.0.into_iter().take(TOLD).collect();
    let bar = |at: i64| score.bar_at(Time::new(at, texture.minim)).map(|bar| bar.number);
    let (from, until) = (bar(first.first()?.0)?, bar(first.last()?.0)?);
    let mut by_voice: BTreeMap<usize, BTreeMap<Discord, i64>> = BTreeMap::new();
    for (_, other, discord) in first {
        *by_voice.entry(other).or_default().entry(discord).or_default() += 1;
    }
    let with = by_voice.into_iter().map(|(other, discords)| {
        let discords: Vec<String> =
            discords.into_iter().map(|(discord, count)| counted(discord, count)).collect();
        format!("{} with {}", discords.join(" and "), texture.lines[other].name)
    });
    let bars = if from == until {
        format!("bar {from} has")
    } else {
        format!("bars {from} to {until} have")
    };
    Some(format!("{bars} {}", with.collect::<Vec<String>>().join(", ")))
}

fn counted(discord: Discord, count: i64) -> String {
    let (one, more) = match discord {
        Discord::Fourth => ("a fourth", "fourths"),
        Discord::Tritone => ("a tritone", "tritones"),
        Discord::Second => ("a second or seventh", "seconds or sevenths"),
        Discord::Chromatic => ("a chromatic interval", "chromatic intervals"),
    };
    if count == 1 { one.to_owned() } else { format!("{} {more}", number(count)) }
}
