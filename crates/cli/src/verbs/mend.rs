//! `mend`: where a slip most likely is, and what it most likely was.

use std::borrow::Cow;

use cartella::{
    Aligned, BarLength, Code, Diagnostic, Example, LIKELY, Looked, Options, Score, SlipKind,
    Suggestion, Unexplained,
};
use serde::Serialize;

use crate::Outcome;
use crate::arguments::{Format, Mend};
use crate::files::{self, Failure};
use crate::many::{self, Frame, each};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::{self, Head, Source, count, json};
use crate::streams::{Stream, say};

/// Where nothing is likely, suggestions below this are not shown to a person, except for signs: few are
/// suggested, and each that is forgotten may also be left to the singers.
const WORTH: f64 = 0.05;

#[derive(Serialize)]
struct Answer<'s> {
    #[serde(flatten)]
    head: Head<'s>,
    suggestions: Vec<Listed<'s>>,
    unexplained: Vec<ListedUnexplained>,
    /// The errors, where there are some: then nothing is weighed.
    diagnostics: Vec<report::Listed<'s>>,
}

impl<'s> Answer<'s> {
    fn of(
        example: Example<'s>,
        file: Option<Cow<'s, str>>,
        suggestions: &'s [Suggestion],
        unexplained: Vec<ListedUnexplained>,
        diagnostics: Vec<report::Listed<'s>>,
        source: &Source<'_>,
    ) -> Answer<'s> {
        let suggestions = suggestions.iter().map(|suggestion| listed(suggestion, source)).collect();
        Answer { head: Head::new(file, example.name()), suggestions, unexplained, diagnostics }
    }
}

#[derive(Serialize)]
struct Listed<'s> {
    rank: usize,
    voice: &'s str,
    index: Option<u32>,
    line: u32,
    column: u32,
    printed: &'s str,
    read: &'s str,
    confidence: f64,
    slip: usize,
    slip_confidence: f64,
    reason: &'s str,
}

/// What no likely slip explains.
#[derive(Serialize)]
struct ListedUnexplained {
    bar: u32,
    to_bar: u32,
    at: String,
    until: String,
    line: u32,
    column: u32,
    text: String,
}

pub(crate) fn run(options: &Mend, colors: bool) -> Result<Outcome, Failure> {
    if let Some(rank) = options.apply.or(options.emend) {
        let [file] = options.files.as_slice() else {
            let said = "--apply and --emend change one piece: name one file";
            return Err(Failure::Said(said.to_owned()));
        };
        return change(&Loaded::read(file)?, rank, options.emend.is_some(), colors);
    }
    let several = options.files.len() > 1;
    let apart = if options.format == Format::Text { "\n" } else { "" };
    let frame =
        Frame { between: apart, sought: "errors or likely slips", ..Frame::none(Stream::Output) };
    each(&options.files, options.many.jobs, &frame, |path| {
        Ok(file(&Loaded::read(path)?, options.format, several, colors))
    })
}

/// The answer about a file, one of several or the only one.
fn file(loaded: &Loaded, format: Format, several: bool, colors: bool) -> many::Answer {
    let (mut out, mut err, mut outcome) = (Printed::default(), Printed::default(), Outcome::Done);
    let file = several.then(|| loaded.file());
    for (place, example) in loaded.examples().enumerate() {
        let name = loaded.label(example);
        let source = loaded.source(&name);
        if let Some(errors) = unweighed(loaded, example) {
            outcome = Outcome::Findings;
            if format == Format::Json {
                let listed = source.listed(&errors);
                let file = file.clone();
                out += json(&Answer::of(example, file, &[], Vec::new(), listed, &source));
            } else {
                err += refused(&source, &errors, colors);
            }
            continue;
        }
        let aligned = example.score(BarLength::Breve);
        let looked = aligned.look();
        if looked.suggestions.iter().any(|slip| slip.slip_confidence >= LIKELY) {
            outcome = Outcome::Findings;
        }
        out += match format {
            Format::Json => {
                let Looked { suggestions, unexplained } = &looked;
                let listed = |one| listed_unexplained(one, &aligned.score, &source);
                let unexplained = unexplained.iter().map(listed).collect();
                let file = file.clone();
                json(&Answer::of(example, file, suggestions, unexplained, Vec::new(), &source))
            }
            Format::Text => {
                let blank = if place > 0 && example.name().is_some() { "\n" } else { "" };
                Printed::plain(blank.to_owned() + &text(&aligned, &looked, &source))
            }
        };
    }
    if several && format == Format::Text && !out.is_empty() {
        out = loaded.heading() + out;
    }
    many::Answer { out, err, outcome }
}

/// The errors of an example that has some: what cannot be read cannot be weighed.
fn unweighed(loaded: &Loaded, example: Example<'_>) -> Option<Vec<Diagnostic>> {
    let shared = loaded.document.shared_diagnostics().iter();
    let found = shared.chain(example.diagnostics());
    example.has_errors().then(|| found.filter(|found| found.is_error()).cloned().collect())
}

fn refused(source: &Source<'_>, errors: &[Diagnostic], colors: bool) -> Printed {
    let (name, count) = (source.name, count(errors).unwrap_or_default());
    let last = format!(
        "{name}: {count}; correct this first: voices can be compared once all of it can be read\n"
    );
    source.render(errors, colors) + Printed::plain(last)
}

/// Changes the file as the suggestion of a rank has it.
fn change(
    loaded: &Loaded,
    rank: usize,
    as_emendation: bool,
    colors: bool,
) -> Result<Outcome, Failure> {
    let example = loaded.one()?;
    let name = loaded.label(example);
    let source = loaded.source(&name);
    if let Some(errors) = unweighed(loaded, example) {
        say(&refused(&source, &errors, colors));
        return Ok(Outcome::Findings);
    }
    let suggestions = example.mend();
    let said = |said: String| Failure::Said(format!("{name}: {said}"));
    let Some(suggestion) = suggestions.iter().find(|suggestion| suggestion.rank == rank) else {
        return Err(said(match suggestions.len() {
            0 => "there is no suggestion".to_owned(),
            last => format!("there is no suggestion {rank}; they go from 1 to {last}"),
        }));
    };
    let edits = if as_emendation { example.emend(suggestion) } else { example.retype(suggestion) };
    let edits = edits.ok_or_else(|| {
        said(format!("suggestion {rank} cannot be typed by itself: change the file by hand"))
    })?;
    let document = &loaded.document;
    files::replace(&loaded.path, document.text().as_bytes(), document.with(&edits).as_bytes())?;
    let (line, _) = source.place(suggestion.span);
    let how = if as_emendation { "emended" } else { "typed" };
    let (voice, change) = (&suggestion.name, suggestion.change());
    say(&Printed::plain(format!("{name}:{line}: {how} in {voice}: {change}\n")));
    Ok(Outcome::Done)
}

/// At most so many faults are told to a person.
const MOST_UNEXPLAINED: usize = 5;

/// The suggestions for a person, and what they do not explain.
fn text(aligned: &Aligned<'_>, looked: &Looked, source: &Source<'_>) -> String {
    let name = source.name;
    let Looked { suggestions, unexplained } = looked;
    let unexplained = told_unexplained(unexplained, &aligned.score, source);
    if suggestions.is_empty() {
        let alone = aligned.score.voices.len() < 2;
        let why =
            if alone { "; mend compares voices with each other, and here is one" } else { "" };
        return format!("{name}: no slip is found{why}\n{unexplained}");
    }
    let likely = suggestions.iter().any(|suggestion| suggestion.slip_confidence >= LIKELY);
    let shown: Vec<&Suggestion> = suggestions.iter().filter(|one| is_worth_showing(one)).collect();
    let mut slips: Vec<usize> = shown.iter().map(|one| one.slip).collect();
    slips.sort_unstable();
    slips.dedup();
    let of = |slip: usize| shown.iter().copied().filter(move |one| one.slip == slip);
    let told: String = slips.iter().map(|slip| told(of(*slip).collect(), source)).collect();
    let head = if told.is_empty() {
        format!("{name}: no slip is found\n")
    } else if likely {
        String::new()
    } else {
        format!("{name}: no slip is likely; if there is one, look here first:\n")
    };
    let next = match shown.first() {
        Some(Suggestion { rank, .. }) => format!(
            "to type number {rank}: `cartella mend {name} --apply {rank}`; if the source has it so, \
             `--emend {rank}`\n"
        ),
        None => String::new(),
    };
    format!("{}{head}{told}{unexplained}{next}", missing_signs(aligned.example(), source))
}

fn is_worth_showing(suggestion: &Suggestion) -> bool {
    suggestion.confidence >= WORTH || suggestion.kind == SlipKind::AccidentalLeftOut
}

/// What no likely slip explains; nothing where there is nothing.
fn told_unexplained(unexplained: &[Unexplained], score: &Score, source: &Source<'_>) -> String {
    if unexplained.is_empty() {
        return String::new();
    }
    let lines = unexplained.iter().take(MOST_UNEXPLAINED).map(|fault| {
        let (line, column) = source.place(fault.span);
        format!("  {}:{line}:{column}: {}\n", source.name, fault.sentence(score))
    });
    let lines: String = lines.collect();
    let more = match unexplained.len().saturating_sub(MOST_UNEXPLAINED) {
        0 => String::new(),
        more => format!("  and {more} more\n"),
    };
    format!("no likely slip explains this; compare it with the source:\n{lines}{more}")
}

/// Signs that seem to be missing: they displace whole passages, which then look like slips.
fn missing_signs(example: Example<'_>, source: &Source<'_>) -> String {
    let found = example.check(BarLength::Breve, Options::USUAL_REACH).diagnostics;
    let missing = found.iter().filter(|found| found.code == Code::MissingSign);
    let told = missing.map(|found| {
        let (line, column) = source.place(found.span);
        format!("look at this first: {}:{line}:{column}: {}\n", source.name, found.message)
    });
    told.collect()
}

fn listed<'s>(suggestion: &'s Suggestion, source: &Source<'_>) -> Listed<'s> {
    let (line, column) = source.place(suggestion.span);
    Listed {
        rank: suggestion.rank,
        voice: &suggestion.name,
        index: suggestion.index,
        line,
        column,
        printed: &suggestion.printed,
        read: &suggestion.read,
        confidence: rounded(suggestion.confidence),
        slip: suggestion.slip,
        slip_confidence: rounded(suggestion.slip_confidence),
        reason: &suggestion.reason,
    }
}

fn listed_unexplained(
    fault: &Unexplained,
    score: &Score,
    source: &Source<'_>,
) -> ListedUnexplained {
    let (line, column) = source.place(fault.span);
    let bar = |at| score.bar_at(at).map_or(0, |bar| bar.number);
    let (at, until) = (fault.at(), fault.until());
    let text = fault.sentence(score);
    let (bar, to_bar) = (bar(at), bar(until));
    ListedUnexplained {
        bar,
        to_bar,
        at: at.to_string(),
        until: until.to_string(),
        line,
        column,
        text,
    }
}

fn rounded(confidence: f64) -> f64 {
    (confidence * 100.0).round() / 100.0
}

/// A slip with its readings, the likeliest first: `1. Tenor 12, duet.parts:9:20: sm G -> mn G (0.93)`,
/// and the reason below it. Where there are several, what they have together stands above them.
fn told(readings: Vec<&Suggestion>, source: &Source<'_>) -> String {
    let (mut told, mut indent) = (String::new(), "");
    if let [first, _, ..] = readings.as_slice() {
        let Suggestion { name, slip_confidence, .. } = first;
        told = format!(
            "{name} has a slip ({slip_confidence:.2}), which may be at one of these places:\n"
        );
        indent = "  ";
    }
    for suggestion in readings {
        let Suggestion { rank, name, index, span, reason, confidence, .. } = suggestion;
        let (line, column) = source.place(*span);
        let index = index.map_or(String::new(), |index| format!(" {index}"));
        told.push_str(&format!(
            "{indent}{rank}. {name}{index}, {}:{line}:{column}: {} ({confidence:.2})\n{indent}   {reason}\n",
            source.name,
            suggestion.change()
        ));
    }
    told
}
