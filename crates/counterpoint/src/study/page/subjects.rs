//! Subjects and their entries.

use rudiments::Time;
use score::{SheetBody, Table};

use super::About;
use super::words::{counted, interval, minims, number, pitch, place, run, sign, step, voice};
use crate::study::imitation::{Entry, Form, Meeting, Order, Quality, Subject};

/// What a subject is called.
pub(super) fn name(number: usize) -> String {
    format!("S{}", number + 1)
}

/// A line or two a subject, and one a canon.
pub(super) fn subjects(about: &About<'_>) -> Vec<String> {
    let found = &about.study.imitations;
    let mut lines: Vec<String> = found
        .subjects
        .iter()
        .enumerate()
        .map(|(number, subject)| format!("{}  {}", name(number), subject_in_words(about, subject)))
        .collect();
    for canon in &found.canons {
        let followers = canon.followers.iter().map(|follower| {
            let name = voice(about.score, follower.first);
            let (interval, delay) = (interval(follower.steps), minims(follower.delay));
            let form = form(follower.form).map_or(String::new(), |form| format!(", {form}"));
            format!("the {name} follows at the {interval} after {delay}{form}")
        });
        let followers = followers.collect::<Vec<_>>().join("; ");
        lines.push(format!(
            "canon over the whole: the {} leads; {followers}",
            voice(about.score, canon.dux)
        ));
    }
    if lines.is_empty() {
        lines.push("none: no melody is imitated".to_owned());
    }
    lines
}

fn subject_in_words(about: &About<'_>, subject: &Subject) -> String {
    let (Some(first), Some(last)) = (subject.notes.first(), subject.notes.last()) else {
        return String::new();
    };
    let syllables: Vec<&str> = subject.syllables.iter().map(|sung| sung.syllable.name()).collect();
    let entries = counted(subject.entries.len(), "entry").replace("entrys", "entries");
    format!(
        "{}: {}; {}; {}; {}; {entries}",
        run(about.score, *first, *last),
        notes(about, subject),
        shape(&subject.shape),
        minims(subject.length),
        syllables.join(" "),
    )
}

/// The letters of a subject, each with its sign.
pub(super) fn notes(about: &About<'_>, subject: &Subject) -> String {
    let pitches = subject.notes.iter().filter_map(|note| pitch(about.score, *note));
    pitches.map(step).collect::<Vec<_>>().join(" ")
}

/// So many moves of a melody are told; its letters stand beside them.
const MOST_TOLD: usize = 4;

/// How a melody goes: `fifth up, then down by step`.
fn shape(shape: &[i32]) -> String {
    let mut said: Vec<String> = Vec::new();
    for moves in shape.chunk_by(|one, other| one == other) {
        let way = if moves[0] > 0 { "up" } else { "down" };
        said.push(match moves[0].abs() {
            0 => match moves.len() {
                1 => "the same again".to_owned(),
                count => format!("the same {count} times more"),
            },
            1 => format!("{way} by step"),
            _ => {
                let leap = format!("{} {way}", number(moves[0]));
                if moves.len() > 1 { format!("{leap}, {} times", moves.len()) } else { leap }
            }
        });
    }
    if said.len() > MOST_TOLD {
        said.truncate(MOST_TOLD - 1);
        return format!("{}, and so on", said.join(", then "));
    }
    said.join(", then ")
}

/// A line an entry.
pub(super) fn entries(about: &About<'_>) -> SheetBody {
    let found = &about.study.imitations;
    if found.entries.is_empty() {
        let none = if found.canons.is_empty() { "none" } else { "none but those of the canon" };
        return SheetBody::Text(vec![none.to_owned()]);
    }
    let several = found.subjects.len() > 1;
    let mut columns = vec!["", "bar", "voice", "from", "interval", "after", "meets", "quality"];
    if several {
        columns.insert(1, "subject");
    }
    let rows = found.entries.iter().enumerate().map(|(place, entry)| {
        let mut row = row(about, place, entry);
        if several {
            row.insert(1, name(entry.subject));
        }
        row
    });
    SheetBody::Table(Table {
        columns: columns.into_iter().map(str::to_owned).collect(),
        rows: rows.collect(),
    })
}

const NOTHING: &str = "\u{2013}";

fn row(about: &About<'_>, number: usize, entry: &Entry) -> Vec<String> {
    let entries = &about.study.imitations.entries;
    let from = entry.before.map(|before| voice(about.score, entries[before.entry].first));
    let nothing = || NOTHING.to_owned();
    vec![
        (number + 1).to_string(),
        place(about.score, entry.onset),
        voice(about.score, entry.first).to_owned(),
        from.map_or_else(nothing, str::to_owned),
        entry.before.map_or_else(nothing, |before| interval(before.steps)),
        entry.before.map_or_else(nothing, |before| {
            let together = before.delay == Time::ZERO;
            if together { "together".to_owned() } else { before.delay.spoken().to_string() }
        }),
        meets(entry).unwrap_or_else(nothing),
        quality(about, number, entry),
    ]
}

fn meets(entry: &Entry) -> Option<String> {
    Some(match entry.meeting? {
        Meeting::Close(overlap) => format!("close, overlap {}", overlap.spoken()),
        Meeting::After => "after".to_owned(),
    })
}

/// How an entry is like its model, and what its duo does.
fn quality(about: &About<'_>, number: usize, entry: &Entry) -> String {
    let mut said: Vec<String> = Vec::new();
    if entry.model.is_none() {
        said.push("model".to_owned());
    } else {
        said.push(match entry.quality {
            Quality::Exact => "exact".to_owned(),
            Quality::Head => "fifth answered by fourth".to_owned(),
            Quality::Steps if entry.signs.is_empty() => "by steps".to_owned(),
            Quality::Steps => {
                let signs = entry.signs.iter().map(|pitch| sign(*pitch));
                let signs = signs.collect::<Vec<_>>().join(" and ");
                format!("by steps; exact with {signs}")
            }
        });
    }
    said.extend(form(entry.form).map(str::to_owned));
    if entry.freedoms.shorter {
        said.push("breaks off".to_owned());
    }
    let duos = &about.study.imitations.duos;
    let answers = duos.iter().enumerate().find(|(_, duo)| duo.first == number);
    if let Some((place, duo)) = answers
        && let Some(answer) = duo.answers
    {
        let order = match answer.order {
            Order::Same => "in the same order",
            Order::Exchanged => "above and below exchanged",
        };
        let at = match answer.steps {
            0 => "at the same place".to_owned(),
            steps => format!("at the {}", interval(steps)),
        };
        let after = minims(answer.delay);
        said.push(format!(
            "duo {} is duo {}, {at} after {after}, {order}",
            place + 1,
            answer.duo + 1
        ));
    }
    said.join("; ")
}

pub(super) fn form(form: Form) -> Option<&'static str> {
    match form {
        Form::Direct => None,
        Form::Inverted => Some("inverted"),
        Form::Augmented => Some("augmented"),
        Form::Diminished => Some("diminished"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_melody_is_described() {
        assert_eq!(shape(&[4, -1, -1, -1, -1]), "5th up, then down by step");
        assert_eq!(
            shape(&[0, 0, 1, 2, 2]),
            "the same 2 times more, then up by step, then 3rd up, 2 times"
        );
        assert_eq!(shape(&[0, -7]), "the same again, then 8ve down");
        assert_eq!(shape(&[-3, 1, 2, -1, 1]), "4th down, then up by step, then 3rd up, and so on");
    }
}
