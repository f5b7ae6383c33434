//! What is imitated in a piece, as a listing for people.

use std::fmt::Write;

use cartella::Score;
use counterpoint::EventId;
use counterpoint::study::imitation::syllables::Solmization;
use counterpoint::study::imitation::{Imitations, Meeting, imitations};

use crate::slips::scored;

/// The score of a parts file and what is imitated in it.
pub fn imitated(text: &str) -> (Score, Imitations) {
    let (piece, score) = scored(text);
    let found = imitations(&piece, &score);
    (score, found)
}

/// All subjects, entries, duos and canons of a parts file, a line each.
pub fn listing(text: &str) -> String {
    let (score, found) = imitated(text);
    let name = |id: EventId| score.voices[id.voice].name.as_str();
    let index = |id: EventId| {
        let index = score.voices[id.voice].events[id.event].index;
        index.map_or("–".to_owned(), |index| index.to_string())
    };
    let place = |at: rudiments::Time| {
        score.bar_at(at).map_or_else(String::new, |bar| {
            let minim = at - bar.start + rudiments::Time::minims(1);
            format!("{}.{minim}", bar.number)
        })
    };
    let sung = |syllables: &[Solmization]| {
        syllables.iter().map(|note| note.syllable.name()).collect::<Vec<_>>().join(" ")
    };
    let mut said = String::new();
    for canon in &found.canons {
        let _ = writeln!(said, "canon, dux {} {}", name(canon.dux), index(canon.dux));
        for follower in &canon.followers {
            let _ = writeln!(
                said,
                "  {} {:+} after {} {:?} {:?}: {} notes, {} exact{}",
                name(follower.first),
                follower.steps,
                follower.delay,
                follower.form,
                follower.quality,
                follower.notes,
                follower.exact,
                if follower.unwritten { ", unwritten" } else { "" }
            );
        }
    }
    for (number, subject) in found.subjects.iter().enumerate() {
        let shape: Vec<String> = subject.shape.iter().map(|step| format!("{step:+}")).collect();
        let (first, last) = (subject.notes[0], subject.notes[subject.notes.len() - 1]);
        let _ = writeln!(
            said,
            "S{} {} {}-{}  {}  {}  {}{} {} minims{}",
            number + 1,
            name(first),
            index(first),
            index(last),
            shape.join(" "),
            sung(&subject.syllables),
            subject.first_value.letters(),
            if subject.dotted { "." } else { "" },
            subject.length,
            if subject.named { " (named)" } else { "" }
        );
        for place_of in &subject.entries {
            let entry = &found.entries[*place_of];
            let relation = |relation: Option<counterpoint::study::imitation::Relation>| {
                relation.map_or("      –      ".to_owned(), |relation| {
                    let other = &found.entries[relation.entry];
                    format!("{} {:+} after {}", name(other.first), relation.steps, relation.delay)
                })
            };
            let meeting = match entry.meeting {
                Some(Meeting::Close(overlap)) => format!("close {overlap}"),
                Some(Meeting::After) => "after".to_owned(),
                None => String::new(),
            };
            let freedoms = entry.freedoms;
            let freedoms: Vec<&str> = [
                (freedoms.first_value, "first value"),
                (freedoms.values, "values"),
                (freedoms.repetition, "repetition"),
                (freedoms.shorter, "shorter"),
                (freedoms.other_minim, "other minim"),
            ]
            .into_iter()
            .filter_map(|(is, name)| is.then_some(name))
            .collect();
            let signs: Vec<String> = entry.signs.iter().map(ToString::to_string).collect();
            let _ = writeln!(
                said,
                "  {:>3} {:>6} {} {}-{} | {} | {} | {} | {:?} {:?} {} {}/{} along {} {}",
                place_of + 1,
                place(entry.onset),
                name(entry.first),
                index(entry.first),
                index(entry.last),
                relation(entry.before),
                relation(entry.model),
                meeting,
                entry.form,
                entry.quality,
                signs.join(" "),
                entry.exact,
                entry.notes,
                entry.along,
                freedoms.join(", "),
            );
        }
    }
    for (number, duo) in found.duos.iter().enumerate() {
        let answers = duo.answers.map_or_else(String::new, |answer| {
            format!(
                " = duo {} {:+} after {}, {:?}",
                answer.duo + 1,
                answer.steps,
                answer.delay,
                answer.order
            )
        });
        let alone = if duo.alone { " alone" } else { "" };
        let _ = writeln!(
            said,
            "duo {}: entries {} and {}{alone}{answers}",
            number + 1,
            duo.first + 1,
            duo.second + 1
        );
    }
    said
}
