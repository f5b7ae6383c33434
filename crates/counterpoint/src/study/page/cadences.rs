//! The cadences, and what enters upon them.

use rudiments::Time;
use score::{SheetBody, Table};

use super::About;
use super::subjects::name;
use super::words::{bars, interval, minims, place, step, voice};
use crate::study::EntryPoint;
use crate::study::cadences::{Cadence, CadenceKind, EvadedBy, Role};

/// A line a cadence.
pub(super) fn cadences(about: &About<'_>) -> SheetBody {
    let found = &about.study.cadences;
    if found.is_empty() {
        return SheetBody::Text(vec!["none".to_owned()]);
    }
    let columns = ["bar", "goal", "kind", "voices", "", "what", "entries"];
    let rows = found.iter().enumerate().map(|(number, cadence)| {
        let points = about.study.entry_points.iter().filter(|point| point.cadence == number);
        let entries: Vec<String> = points.map(|point| enters(about, point)).collect();
        vec![
            self::bar(about, cadence),
            step(cadence.goal),
            kind(cadence),
            roles(about, cadence),
            cadence.suspension.map_or(String::new(), |numbers| numbers.name().to_owned()),
            what(about, cadence),
            entries.join("; "),
        ]
    });
    let mut rows: Vec<Vec<String>> = rows.collect();
    let mut columns = columns.map(str::to_owned).to_vec();
    // A column with nothing in it, as where no entry falls upon a cadence, is left out.
    for place in (0..columns.len()).rev() {
        if rows.iter().all(|row| row[place].is_empty()) {
            columns.remove(place);
            for row in &mut rows {
                row.remove(place);
            }
        }
    }
    SheetBody::Table(Table { columns, rows })
}

pub(super) fn bar(about: &About<'_>, cadence: &Cadence) -> String {
    bars(about.score, cadence.dissonance.unwrap_or(cadence.resolution), cadence.at)
}

/// The interval of the two lowest voices; one without a suspension is called plain.
pub(super) fn kind(cadence: &Cadence) -> String {
    match cadence.kind {
        CadenceKind::None => "plain".to_owned(),
        kind => kind.name().to_owned(),
    }
}

/// Who does what, each by its name and the first letter of its role.
fn roles(about: &About<'_>, cadence: &Cadence) -> String {
    let of = |role: Role| {
        let event = cadence.roles.of(role)?;
        Some(format!("{} {}", voice(about.score, event), &role.name()[..1]))
    };
    Role::ALL.into_iter().filter_map(of).collect::<Vec<_>>().join(", ")
}

fn what(about: &About<'_>, cadence: &Cadence) -> String {
    let mut said = cadence.name().to_owned();
    if let Some(by) = cadence.evaded_by {
        said.push_str(match by {
            EvadedBy::Cantizans => " by the cantizans",
            EvadedBy::Tenorizans => " by the tenorizans",
            EvadedBy::Bassizans => " by the bassizans",
            EvadedBy::Rest => " by a rest",
            EvadedBy::Entry => " by the lowest voice",
        });
    }
    if let Some(plagal) = cadence.plagal {
        said.push_str(&format!(", plagal ending in bar {}", place(about.score, plagal)));
    }
    said
}

/// `S1 enters in the Bassus upon the goal`.
fn enters(about: &About<'_>, point: &EntryPoint) -> String {
    let entry = &about.study.imitations.entries[point.entry];
    let name = match about.study.imitations.subjects.len() {
        1 => String::new(),
        _ => format!(" with {}", name(entry.subject)),
    };
    format!("{} enters{name} {}", voice(about.score, entry.first), upon(point))
}

pub(super) fn upon(point: &EntryPoint) -> String {
    if point.before_goal == Time::ZERO {
        return "upon the goal".to_owned();
    }
    if point.before_goal < Time::ZERO {
        return format!("{} after the goal", minims(Time::ZERO - point.before_goal));
    }
    match point.after_dissonance {
        Some(after) if after == Time::ZERO => "with the dissonance".to_owned(),
        Some(after) if after > Time::ZERO => {
            format!("{} after the dissonance", minims(after))
        }
        _ => format!("{} before the goal", minims(point.before_goal)),
    }
}

/// A cadence in a few words, for whoever names it elsewhere: `D seventh`.
pub(super) fn short(cadence: &Cadence) -> String {
    format!("{} {}", step(cadence.goal), kind(cadence))
}

/// The interval at which an entry answers, in words, for a label.
pub(super) fn answer(steps: i32, delay: Time) -> String {
    format!("{}, after {}", interval(steps), delay.spoken())
}
