//! Why a suggestion is made, in a sentence for musicians.

use rudiments::Time;
use score::Score;

use super::candidate::Candidate;
use super::clashes;
use super::search::Hypothesis;
use super::words::number;
use crate::inflections::Inflections;
use crate::kinds::Kinds;
use crate::rules::rule::Rule;
use crate::rules::{Direct, Dissonance, Likeness};
use crate::slip::{Kind, Repair};
use crate::texture::{Line, Texture};
use crate::weights::Weights;

/// Why: `changed` is how often more the reading has each kind of observation than what is typed;
/// other slips may be mended in the texture.
pub(crate) fn reason(
    typed: &Texture,
    texture: &Texture,
    hypothesis: &Hypothesis,
    changed: &Weights,
    score: &Score,
) -> String {
    let mut reason = effect(typed, texture, hypothesis, changed, score);
    if let Some(clashes) = clashes::told(texture, score, hypothesis) {
        reason = format!("{reason}: as typed, {clashes}");
    }
    let like = |likeness| changed.of(likeness);
    let more = like(Likeness::LikeOne) + like(Likeness::LikeMost);
    if hypothesis.candidate.kind.is_rhythm() && more >= 3.0 {
        let count = number(more.round() as i64);
        reason = format!(
            "{reason}; {count} notes more then have the values of the same melody elsewhere"
        );
    }
    reason
}

/// What is read, and what that changes.
fn effect(
    typed: &Texture,
    texture: &Texture,
    hypothesis: &Hypothesis,
    changed: &Weights,
    score: &Score,
) -> String {
    let line = &texture.lines[hypothesis.voice];
    let candidate = &hypothesis.candidate;
    let name = &line.name;
    let length = length(candidate.shift.abs(), texture.minim);
    let (direction, later) =
        if candidate.shift > 0 { ("short", "later") } else { ("long", "earlier") };
    let is_so =
        missing(typed, hypothesis.voice, line.notes[candidate.at].section) == Some(candidate.shift);
    let fewer = Dissonance::all()
        .into_iter()
        .filter(|dissonance| dissonance.is_clash())
        .map(|dissonance| -changed.of(dissonance))
        .sum::<f32>()
        .round() as i64;
    let follow = if candidate.kind.is_rhythm() { " that follow" } else { "" };
    let effect = match fewer {
        1 => "a clash disappears".to_owned(),
        2.. => format!("the {} clashes{follow} disappear", number(fewer)),
        _ if candidate.kind.is_rhythm() => {
            "what follows falls on its natural place in the tactus".to_owned()
        }
        _ => "the voices go together better".to_owned(),
    };
    let note = &line.notes[candidate.at];
    let thing = if note.pitch.is_some() { "note" } else { "rest" };
    let dot = |dotted: bool| if dotted { "dotted " } else { "" };
    let with = match candidate.repair {
        Repair::Value { value, dotted } => {
            let rest = if note.pitch.is_some() { "" } else { " rest" };
            format!("with a {}{}{rest} here", dot(dotted), value.name())
        }
        Repair::Pair { first, second } => {
            format!("with a dotted {} and a {} here", first.name(), second.name())
        }
        Repair::Degrees { smaller, events } => {
            let value = note.shape.value.degrees_smaller(smaller).unwrap_or(note.shape.value);
            let from = if events == 1 {
                format!("this {thing}")
            } else {
                format!("the {} from this {thing} on", notes_and_rests(events))
            };
            match candidate.kind {
                Kind::ValueWordTooMany => {
                    format!("with the value before it for {from}, {}s,", value.name())
                }
                _ => format!("with `{value}` for {from}"),
            }
        }
        Repair::InsertNote { value, dotted, tone } => {
            let name = value.name();
            format!("with a {}{name} more before this {thing}, such as {tone},", dot(dotted))
        }
        Repair::InsertRest { value } => {
            format!("with a {} rest more before this {thing}", value.name())
        }
        Repair::Delete if candidate.kind.is_twin() => {
            format!("without this {thing}, which repeats the one before,")
        }
        Repair::Delete => format!("without this {thing}"),
        Repair::InsertLine { .. } => {
            return if is_so {
                format!(
                    "{name} is {length} short, as long as a source line may be; if one was left \
                     out before this {thing}, {effect}"
                )
            } else {
                format!("if a source line was left out before this {thing}, {effect}")
            };
        }
        Repair::Tone(tone) => format!("with {tone} here"),
        Repair::Exchange { first, second } => format!("with {first} before {second} here"),
        Repair::Sign(sign) => {
            let tone = note.pitch.map_or(String::new(), |pitch| pitch.tone().to_string());
            let like = like_elsewhere(texture, hypothesis, score).unwrap_or_default();
            match sign {
                Some(sign) => format!("with {} before {tone}{like}", name_of(sign)),
                None => format!("without the sign before {tone}{like}"),
            }
        }
        Repair::Transpose { steps, events } => format!(
            "with {events} notes and rests from here on {} {}, as under another clef,",
            if steps.abs() == 2 { "a third" } else { "a fifth" },
            if steps > 0 { "higher" } else { "lower" }
        ),
    };
    let announced = if changed.of(Direct::Differs) < 0.0 {
        format!(", and {}", Direct::Agrees.sentence())
    } else {
        String::new()
    };
    if candidate.kind.is_rhythm() && is_so {
        format!("{name} is {length} {direction}; {with} {effect}{announced}")
    } else if candidate.kind.is_rhythm() {
        format!("{with} {effect}{announced}; all that follows comes {length} {later}")
    } else {
        format!("{with} {effect}{announced}")
    }
}

/// `, as Tenor has the same melody in bar 5,` where a melody comes elsewhere with the intervals that
/// another sign gives it.
fn like_elsewhere(texture: &Texture, hypothesis: &Hypothesis, score: &Score) -> Option<String> {
    let Candidate { at, from, .. } = hypothesis.candidate;
    let notes = &texture.lines[hypothesis.voice].notes;
    let changed = hypothesis.candidate.read(&texture.lines[hypothesis.voice]);
    let read = |place: usize| {
        let inside = place.checked_sub(from).and_then(|inside| changed.get(inside));
        inside.or(notes.get(place)).copied()
    };
    let (line, note) = Inflections::elsewhere(texture, (hypothesis.voice, at), read)?;
    let bar = score.bar_at(Time::new(note.onset, texture.minim))?.number;
    Some(format!(", as {} has the same melody in bar {bar},", line.name))
}

/// By how much a voice comes to the last note of its section too early, in ticks; negative if too
/// late, nothing if the others do not agree on when that is.
fn missing(texture: &Texture, voice: usize, section: u32) -> Option<i64> {
    let last = |line: &Line| {
        let end = line.notes.partition_point(|note| note.section <= section);
        line.notes[..end].last().filter(|note| note.section == section).map(|note| note.onset)
    };
    let others = texture.lines.iter().enumerate();
    let others: Vec<i64> =
        others.filter(|(other, _)| *other != voice).filter_map(|(_, line)| last(line)).collect();
    // Most of them, should one more voice have a slip.
    let together =
        others.iter().find(|at| others.iter().filter(|o| o == at).count() * 2 > others.len())?;
    Some(together - last(&texture.lines[voice])?)
}

/// `two notes and rests`
fn notes_and_rests(count: u32) -> String {
    format!("{} notes and rests", number(count.into()))
}

fn name_of(sign: rudiments::Accidental) -> &'static str {
    match sign {
        rudiments::Accidental::Sharp => "a sharp",
        rudiments::Accidental::Flat => "a flat",
        rudiments::Accidental::Natural => "a natural",
    }
}

/// A length in words: `half a minim`, `2 1/2 minims`.
pub(super) fn length(ticks: i64, minim: i64) -> String {
    let time = Time::new(ticks, minim);
    if time == Time::new(1, 2) {
        "half a minim".to_owned()
    } else if time == Time::new(1, 4) {
        "a quarter of a minim".to_owned()
    } else if time == Time::minims(1) {
        "a minim".to_owned()
    } else if time < Time::minims(1) {
        format!("{} of a minim", time.spoken())
    } else {
        format!("{} minims", time.spoken())
    }
}
