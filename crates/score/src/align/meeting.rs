//! Where the voices meet at the end of a section, and whether they do.

use notation::{Code, Diagnostic, Piece, Span};
use rudiments::{Time, Value};

use super::finals::Final;
use super::measures::Measures;
use super::{BarLength, broken_end, source_lines, sums};
use crate::reckon::{InSection, ReckonedVoice};

/// How long a section is in which the voices' last events are these.
///
/// Where all values lead to the same place inside the piece, they meet there. The longs at the end
/// of a section stand for no particular length, as the last notes of a piece do: all are held or
/// trimmed to the end of the bar in which the last of them begins (common practice).
fn length(finals: &[Final<'_>], last: bool, measures: &Measures) -> Time {
    let latest = finals.iter().map(|f| f.onset).max().unwrap_or_default();
    let together = finals.iter().all(|f| f.end == finals[0].end);
    let of_no_length = last || finals.iter().any(|f| f.value <= Value::Longa);
    if finals.is_empty() {
        // A double bar after another, or at the very beginning.
        Time::ZERO
    } else if together && !of_no_length {
        finals[0].end.passed()
    } else {
        measures.end_of_bar(latest).passed()
    }
}

/// The length of a section, and what is wrong where the voices do not meet at its end.
pub(super) fn meet(
    piece: &Piece,
    voices: &[ReckonedVoice],
    number: usize,
    last: bool,
    measures: &Measures,
    diagnostics: &mut Vec<Diagnostic>,
) -> Time {
    let finals: Vec<Final<'_>> =
        voices.iter().filter_map(|voice| Final::of(piece, voice, number)).collect();
    let length = length(&finals, last, measures);
    let told_before = diagnostics.len();
    if finals.iter().any(|f| f.end != finals[0].end) {
        let notes: Vec<Final<'_>> = finals.iter().filter(|f| !f.is_rest).copied().collect();
        let told = apart(&notes);
        if !told.is_empty() {
            let of = Of { piece, voices, notes: &notes, number, last };
            match most_common(&notes) {
                Some(most) => diagnostics.extend(of.voices_apart(&told, most, length)),
                None => diagnostics.extend(of.all_voices(length)),
            }
        }
    }
    // Where it is said that a voice ends early or late, this would say it again.
    let told: Vec<Span> = diagnostics[told_before..].iter().flat_map(Diagnostic::spans).collect();
    let broken = broken_end::find(&finals).filter(|last| !told.contains(&last.span));
    diagnostics.extend(broken.map(broken_end::report));
    length
}

/// The length of a section by the voices that have it, for those that may not.
pub(super) fn length_of_section(
    piece: &Piece,
    voices: &[&ReckonedVoice],
    number: usize,
    bar: BarLength,
) -> Time {
    let finals: Vec<Final<'_>> =
        voices.iter().filter_map(|voice| Final::of(piece, voice, number)).collect();
    let measures = Measures::of_section(voices.iter().copied(), number, bar);
    length(&finals, false, &measures)
}

/// The last notes that do not begin when most of them do, where that is not meant.
fn apart<'f, 'p>(notes: &'f [Final<'p>]) -> Vec<&'f Final<'p>> {
    let most = most_common(notes);
    // Where as many begin at one time as at another, any of these may be meant to be held.
    let latest = notes.iter().map(|f| f.onset).max().unwrap_or_default();
    let with = most.unwrap_or(latest);
    let sounds_until = notes.iter().filter(|f| f.onset == with).map(|f| f.end).max();
    let is_meant = |f: &Final<'_>| {
        let sounds_together =
            if f.onset < with { f.end > with } else { sounds_until > Some(f.onset) };
        on_a_beat(f.onset) && sounds_together && (f.is_followed || f.has_editors_length)
    };
    notes.iter().filter(|f| f.onset != with && !is_meant(f)).collect()
}

fn on_a_beat(time: InSection) -> bool {
    time.passed().within(Value::Semibreve.plain()).is_zero()
}

/// When most of the last notes begin; nothing where as many begin at one time as at another.
fn most_common(notes: &[Final<'_>]) -> Option<InSection> {
    let count = |time: InSection| notes.iter().filter(|f| f.onset == time).count();
    let most = notes.iter().map(|f| f.onset).max_by_key(|time| count(*time))?;
    let others = notes.iter().map(|f| f.onset).filter(|time| *time != most);
    (others.map(count).max() < Some(count(most))).then_some(most)
}

/// A section at whose end the voices do not meet, and their last notes.
struct Of<'a> {
    piece: &'a Piece,
    voices: &'a [ReckonedVoice],
    notes: &'a [Final<'a>],
    number: usize,
    last: bool,
}

impl Of<'_> {
    fn code(&self) -> Code {
        if self.last { Code::NotTogether } else { Code::NotMeeting }
    }

    /// ` of section 2`, unless it is the piece that ends.
    fn which(&self) -> String {
        if self.last { String::new() } else { format!(" of section {}", self.number + 1) }
    }

    /// A diagnostic for each of these voices, which differ from most; `end` is where the section
    /// ends.
    fn voices_apart(&self, apart: &[&Final<'_>], most: InSection, end: Time) -> Vec<Diagnostic> {
        let source_line = source_lines::apart(self.piece, self.voices, self.number);
        let which = self.which();
        let lengths = sums(self.notes.iter().map(|f| (f.name, f.onset)));
        let report = |f: &&Final<'_>| {
            let (difference, direction) =
                if f.onset < most { (most - f.onset, "early") } else { (f.onset - most, "late") };
            let minims = if difference > Time::minims(1) { "minims" } else { "minim" };
            let name = f.name;
            let message = format!(
                "{name} comes to its last note{which} {} {minims} {direction}",
                difference.spoken()
            );
            let mut help = format!("up to the last note{which}, in minims: {lengths}");
            if on_a_beat(f.onset) && f.onset < most {
                help.push_str(&held(name, end - f.onset.passed()));
            }
            let found = Diagnostic::new(self.code(), f.span, message).help(help);
            match &source_line {
                Some((span, label)) => found.related(*span, label.clone()),
                None => found,
            }
        };
        apart.iter().map(report).collect()
    }

    /// One diagnostic for all voices, where as many come to their last notes at one time as at
    /// another, so that nobody can say which of them are wrong; `end` is where the section ends.
    fn all_voices(&self, end: Time) -> Option<Diagnostic> {
        let [first, others @ ..] = self.notes else { return None };
        let mut times: Vec<InSection> = self.notes.iter().map(|f| f.onset).collect();
        times.sort_unstable_by(|one, other| other.cmp(one));
        times.dedup();
        let of_time = |time: &InSection| {
            let names = self.notes.iter().filter(|f| f.onset == *time).map(|f| f.name);
            (and(&names.collect::<Vec<_>>()), time.passed().spoken())
        };
        let mut groups = times.iter().map(of_time);
        let (names, after) = groups.next()?;
        let which = self.which();
        let come = match self.notes.iter().filter(|f| f.onset == times[0]).count() {
            1 => format!("comes to its last note{which}"),
            _ => format!("come to their last notes{which}"),
        };
        let rest: String =
            groups.map(|(names, after)| format!(", {names} after {after}")).collect();
        let message = format!("{names} {come} after {after} minims{rest}");
        let of_them = if self.notes.len() == 2 { "one or the other" } else { "one of them" };
        let mut help =
            format!("a value, a dot or a rest is wrong in {of_them}; `cartella mend` looks for it");
        let early = self.notes.iter().min_by_key(|f| f.onset)?;
        if on_a_beat(early.onset) && self.notes.len() == 2 {
            help.push_str(&held(early.name, end - early.onset.passed()));
        }
        let found = Diagnostic::new(self.code(), first.span, message).help(help);
        let found = others
            .iter()
            .fold(found, |found, f| found.related(f.span, format!("the last note of {}", f.name)));
        Some(match source_lines::apart(self.piece, self.voices, self.number) {
            Some((span, label)) => found.related(span, label),
            None => found,
        })
    }
}

/// What to type where a last note is meant to be held.
fn held(name: &str, length: Time) -> String {
    format!(
        "; if {name} holds its last note while others move, type its length after it: ={length}"
    )
}

/// `Cantus, Altus and Tenor`
fn and(names: &[&str]) -> String {
    match names {
        [before @ .., last] if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        names => names.concat(),
    }
}
