//! `check`: everything that is wrong or doubtful.

use std::borrow::Cow;
use std::path::{Path, PathBuf};

use cartella::{
    Aligned, Cause, DecidedOctave, Diagnostic, Document, Edit, Example, Fixed, Looked, Score, What,
    causes,
};
use serde::Serialize;

use crate::Outcome;
use crate::arguments::{Check, Format};
use crate::files::{self, Failure, is_stream};
use crate::many::{Answer, Frame, each};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::{Listed, Source, count, counted, part};
use crate::streams::Stream;
use crate::verbs::why;
use crate::watch;

#[derive(Serialize)]
struct CheckedFile<'a> {
    file: Cow<'a, str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    example: Option<&'a str>,
    diagnostics: Vec<Listed<'a>>,
    worth_looking_at: Vec<ListedCause<'a>>,
}

#[derive(Serialize)]
struct ListedCause<'a> {
    line: u32,
    column: u32,
    /// What is the matter, in a sentence.
    text: String,
    /// Of a slip: its voice, event and likelihood.
    #[serde(skip_serializing_if = "Option::is_none")]
    voice: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    index: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    confidence: Option<f64>,
    /// The codes of what comes from it.
    codes: Vec<&'static str>,
}

/// A piece of more tokens is not searched for slips; `mend` does it all the same.
const MOST_SEARCHED: usize = 10_000;

pub(crate) fn run(options: &Check, colors: bool) -> Result<Outcome, Failure> {
    // What is mended of standard input goes to standard output.
    let to = Stream::beside(options.fix && options.files.iter().any(|path| is_stream(path)));
    let check = |paths: &[PathBuf]| match options.format {
        Format::Text => {
            let frame = Frame::none(to);
            each(paths, options.many.jobs, &frame, |path| check_file(path, options, colors))
        }
        Format::Json => check_as_json(paths, options, to),
    };
    if options.watch { watch::again(&options.files, check) } else { check(&options.files) }
}

fn check_file(path: &Path, options: &Check, colors: bool) -> Result<Answer, Failure> {
    let (loaded, err) = load(path, options)?;
    if let Some(which) = &options.why {
        return why::answer(&loaded, which, options.bars);
    }
    let shared = loaded.document.shared_diagnostics();
    let mut out = loaded.source(&loaded.name).render(shared, colors);
    let mut outcome = Outcome::of(shared);
    for example in loaded.examples() {
        let Aligned { score, diagnostics, .. } = checked(example, options);
        let name = loaded.label(example);
        let source = loaded.source(&name);
        out += source.render(&diagnostics, colors);
        let looked = looked(example);
        let causes = causes(example.piece(), &diagnostics, &looked);
        let worth = worth_looking_at(&causes, &diagnostics, &score, &source);
        let summary = summary(&score, &diagnostics, &causes);
        out += Printed::plain(format!("{worth}{name}: {summary}\n"));
        outcome = outcome.max(Outcome::of(&diagnostics));
    }
    Ok(Answer { out, err, outcome })
}

/// One object for all files, written file by file.
fn check_as_json(paths: &[PathBuf], options: &Check, to: Stream) -> Result<Outcome, Failure> {
    let opening = "{\"version\":1,\"files\":[".into();
    let frame = Frame { opening, between: ",", closing: "]}\n", ..Frame::none(to) };
    each(paths, options.many.jobs, &frame, |path| {
        let (loaded, err) = load(path, options)?;
        let source = loaded.source(&loaded.name);
        let shared = loaded.document.shared_diagnostics();
        let (mut parts, mut outcome) = (Vec::new(), Outcome::of(shared));
        if !shared.is_empty() {
            let (diagnostics, worth_looking_at) = (source.listed(shared), Vec::new());
            parts.push(part(&CheckedFile {
                file: loaded.file(),
                example: None,
                diagnostics,
                worth_looking_at,
            }));
        }
        for example in loaded.examples() {
            let Aligned { score, diagnostics, .. } = checked(example, options);
            let looked = looked(example);
            let causes = causes(example.piece(), &diagnostics, &looked);
            parts.push(part(&CheckedFile {
                file: loaded.file(),
                example: example.name(),
                diagnostics: source.listed(&diagnostics),
                worth_looking_at: causes
                    .iter()
                    .map(|cause| listed(cause, &score, &source))
                    .collect(),
            }));
            outcome = outcome.max(Outcome::of(&diagnostics));
        }
        let joined = parts.into_iter().reduce(|all, part| all + Printed::as_it_is(",") + part);
        Ok(Answer { out: joined.unwrap_or_default(), err, outcome })
    })
}

/// The file, with what is mechanical mended if that was asked for, and what is said of that.
fn load(path: &Path, options: &Check) -> Result<(Loaded, Printed), Failure> {
    let loaded = Loaded::read(path)?;
    if !options.fix {
        return Ok((loaded, Printed::default()));
    }
    let mut diagnostics = match loaded.only {
        Some(_) => Vec::new(),
        None => loaded.document.shared_diagnostics().to_vec(),
    };
    diagnostics.extend(loaded.examples().flat_map(|example| checked(example, options).diagnostics));
    let Fixed { text, made, left_out } = loaded.document.fix(&diagnostics);
    let mut said = String::new();
    for (count, what) in [(made, "mended"), (left_out, "not mended, since the music would change")]
    {
        if count > 0 {
            said.push_str(&format!("{}: {} {what}\n", loaded.name, counted(count, "place")));
        }
    }
    let before = loaded.document.text().to_owned();
    let mut loaded =
        if made > 0 { Loaded { document: Document::parse(text), ..loaded } } else { loaded };
    if options.octaves {
        said.push_str(&type_octaves(&mut loaded, options));
    }
    let after = loaded.document.text();
    if after != before || is_stream(&loaded.path) {
        files::replace(&loaded.path, before.as_bytes(), after.as_bytes())?;
    }
    Ok((loaded, Printed::plain(said)))
}

/// Types the octaves that are sure enough, and says which.
fn type_octaves(loaded: &mut Loaded, options: &Check) -> String {
    let bar = options.bars.bar.into();
    let octaves: Vec<DecidedOctave> =
        loaded.examples().flat_map(|example| example.score(bar).octaves()).collect();
    if octaves.is_empty() {
        return String::new();
    }
    let mut said = String::new();
    for octave in &octaves {
        let (line, column) = loaded.document.place(octave.span);
        let typed = octave.span.of(loaded.document.text());
        said.push_str(&format!("{}:{line}:{column}: {typed} is {}\n", loaded.name, octave.tone));
    }
    let count = counted(octaves.len(), "octave");
    said.push_str(&format!(
        "{}: {count} typed, for which the other voices and the line speak alike\n",
        loaded.name
    ));
    let edits: Vec<Edit> = octaves.into_iter().map(|octave| octave.edit).collect();
    loaded.document = Document::parse(loaded.document.with(&edits));
    said
}

/// The score, and all that was noticed.
fn checked<'d>(example: Example<'d>, options: &Check) -> Aligned<'d> {
    example.check(options.bars.bar.into(), options.reach)
}

/// How an example stands, in a few words.
fn summary(score: &Score, diagnostics: &[Diagnostic], causes: &[Cause<'_>]) -> String {
    let size = format!(
        "{}, {}, {} minims",
        counted(score.voices.len(), "voice"),
        counted(score.bars.len(), "bar"),
        score.length.spoken()
    );
    match (count(diagnostics), causes.len()) {
        (Some(count), _) => format!("{count}; {size}"),
        (None, 0) => format!("nothing wrong; {size}"),
        (None, places) => format!("no error, but {} to look at; {size}", counted(places, "place")),
    }
}

/// What may be wrong by the counterpoint. What cannot be read cannot be weighed.
fn looked(example: Example<'_>) -> Looked {
    let voices = &example.piece().voices;
    let size: usize = voices.iter().map(|voice| voice.items.len()).sum();
    if size > MOST_SEARCHED { Looked::default() } else { example.look() }
}

/// The causes, a line each; nothing where that would only repeat a single diagnostic.
fn worth_looking_at(
    causes: &[Cause<'_>],
    diagnostics: &[Diagnostic],
    score: &Score,
    source: &Source<'_>,
) -> String {
    let is_news = |cause: &Cause<'_>| !matches!(cause.what, What::Noticed(_));
    if causes.is_empty() || !(diagnostics.len() > 1 || causes.iter().any(is_news)) {
        return String::new();
    }
    let lines = causes.iter().map(|cause| {
        let (line, column) = source.place(cause.span());
        format!("  {}:{line}:{column}: {}\n", source.name, sentence(cause, score))
    });
    format!("worth looking at:\n{}\n", lines.collect::<String>())
}

/// A cause in a sentence.
fn sentence(cause: &Cause<'_>, score: &Score) -> String {
    match cause.what {
        What::Slip(slip) => {
            let index = slip.index.map_or(String::new(), |index| format!(" {index}"));
            let (name, change) = (&slip.name, slip.change());
            format!("{name}{index}: {change} ({:.2}); {}", slip.slip_confidence, slip.reason)
        }
        What::Unexplained(fault, more) => of_a_kind(fault.sentence(score), more),
        What::Noticed(first) => of_a_kind(first.message.clone(), cause.noticed.len() - 1),
    }
}

/// The first of a kind, and how many more there are.
fn of_a_kind(first: String, more: usize) -> String {
    if more == 0 { first } else { format!("{first}, and {more} more of this kind") }
}

fn listed<'a>(cause: &Cause<'a>, score: &Score, source: &Source<'_>) -> ListedCause<'a> {
    let (line, column) = source.place(cause.span());
    let slip = match cause.what {
        What::Slip(slip) => Some(slip),
        What::Unexplained(..) | What::Noticed(_) => None,
    };
    ListedCause {
        line,
        column,
        text: sentence(cause, score),
        voice: slip.map(|slip| slip.name.as_str()),
        index: slip.and_then(|slip| slip.index),
        confidence: slip.map(|slip| (slip.slip_confidence * 100.0).round() / 100.0),
        codes: cause.noticed.iter().map(|found| found.code.number()).collect(),
    }
}
