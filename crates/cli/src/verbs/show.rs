//! `score --show`: what an analysis says, as marks at the notes.

use cartella::{
    Aligned, ItemId, LIKELY, Mark, MarkColor, MarkShape, RuleSet, Run, Score, Suggestion,
};

use crate::arguments::Show;
use crate::printed::Printed;

/// Suggestions below this are not drawn.
const WORTH: f64 = 0.05;

/// Adds what was asked for to the marks of the score; gives what is to be said of it.
pub(crate) fn add(shown: &[Show], name: &str, aligned: &mut Aligned<'_>) -> Printed {
    let mut said = Printed::default();
    if shown.contains(&Show::Slips) {
        said += slips(name, aligned);
    }
    if shown.contains(&Show::Study) {
        aligned.annotate(&aligned.study(RuleSet::default()));
    }
    said
}

/// Where a slip most likely is: a circle, and the rank with what would be read.
fn slips(name: &str, aligned: &mut Aligned<'_>) -> Printed {
    let example = aligned.example();
    if example.has_errors() {
        let what = example.name().map_or("file", |_| "example");
        let said = format!("the {what} has errors, so no slips are shown: correct them first");
        return Printed::plain(format!("{name}: {said}\n"));
    }
    let (found, score) = (example.mend(), &mut aligned.score);
    let worth = found.iter().filter(|suggestion| suggestion.confidence >= WORTH);
    let marks: Vec<Mark> = worth.filter_map(|slip| Some(mark(slip, at(slip, score)?))).collect();
    let none = marks.is_empty();
    score.marks.extend(marks);
    if none { Printed::plain(format!("{name}: no slip is found\n")) } else { Printed::default() }
}

/// The event of a suggestion; the last of its voice, where that is something left out at the end.
fn at(slip: &Suggestion, score: &Score) -> Option<Run> {
    let Suggestion { voice, item, .. } = *slip;
    Run::at(score, ItemId { voice, item }).or_else(|| {
        let place = score.voices.iter().position(|timed| timed.place == voice)?;
        let last = score.voices[place].events.len().checked_sub(1)?;
        Some(Run::one(place, last))
    })
}

/// Likely slips are red; others, in a piece where none may be, orange.
fn mark(slip: &Suggestion, run: Run) -> Mark {
    let Suggestion { rank, printed, read, slip_confidence, .. } = slip;
    let words = match (printed.is_empty(), read.is_empty()) {
        (true, _) => format!("{rank}: {read} before?"),
        (_, true) => format!("{rank}: too many?"),
        _ => format!("{rank}: {read}?"),
    };
    let color = if *slip_confidence >= LIKELY { MarkColor::Red } else { MarkColor::Orange };
    Mark { run, shape: MarkShape::Circle, color: Some(color), words }
}
