//! `find`: the examples of a collection that have what is asked for.

mod chapter;
mod miniatures;

use std::path::{Path, PathBuf};

use cartella::invention::Subject;
use cartella::{Document, SubjectError, subject};
use catalogue::{Hit, Question, Row, Sought};
use rayon::prelude::*;
use serde::Serialize;

use crate::Outcome;
use crate::arguments::{Cleffing, Find, Format};
use crate::collection::{Collected, Studied, collect};
use crate::files::{self, Failure, Inputs, shown};
use crate::printed::Printed;
use crate::report::{Source, counted, json};
use crate::streams::{self, Stream, say};
use crate::verbs::catalogue::{label, tell_of_errors};

/// An example that has what is asked for.
struct Answer {
    path: PathBuf,
    file: String,
    row: Row,
    hit: Hit,
}

impl Answer {
    /// `F.parts#NAME`
    fn label(&self) -> String {
        label(&self.file, &self.row)
    }
}

/// What is written.
enum Kind {
    Sheet,
    Chapter,
}

fn kind(path: &Path) -> Result<Kind, Failure> {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_ascii_lowercase());
    match ending.as_deref() {
        Some("pdf") => Ok(Kind::Sheet),
        Some("md") => Ok(Kind::Chapter),
        _ => Err(Failure::Said(format!(
            "{} is neither a .pdf nor a .md: name one of these",
            shown(path)
        ))),
    }
}

pub(crate) fn run(options: &Find, colors: bool) -> Result<Outcome, Failure> {
    for path in &options.output {
        kind(path)?;
    }
    files::check_distinct(&options.output)?;
    let question = question(options, colors)?;
    if question == Question::default() {
        let said = "say what is to be found: --subject, --imitation, --cadence, --upon, --topic, \
                    --voices, --mode or --clefs";
        return Err(Failure::Said(said.to_owned()));
    }
    let collected = collect(&options.collection)?;
    let (answers, faulty) = answers(&question, &collected);
    match options.format {
        Format::Json => streams::answer(Stream::Output, &listed(&answers))?,
        Format::Text => streams::answer(Stream::Output, &told(&answers))?,
    }
    for path in &options.output {
        match kind(path)? {
            Kind::Sheet => {
                let sheet = miniatures::sheet(&asked(options), &answers, path)?;
                files::write(path, &sheet, &Inputs::default())?;
            }
            Kind::Chapter => {
                let chapter = chapter::text(&asked(options), &answers, path);
                files::write_new(path, chapter.as_bytes(), options.replace, &Inputs::default())?;
            }
        }
    }
    let outcome = tell_of_errors(&faulty);
    let examples = counted(answers.len(), "example");
    say(&Printed::plain(format!(
        "{examples} found in {}\n",
        counted(collected.files.len(), "file")
    )));
    collected.whole()?;
    Ok(outcome)
}

/// What is asked.
fn question(options: &Find, colors: bool) -> Result<Question, Failure> {
    let subject = match &options.subject {
        Some(typed) => {
            let subject = typed_subject(typed, colors)?;
            let said = "one note stands everywhere: type at least two";
            Some(Sought::new(&subject).ok_or_else(|| Failure::Said(said.to_owned()))?)
        }
        None => None,
    };
    Ok(Question {
        subject,
        direct: options.direct,
        imitation: options.imitation,
        cadences: options.cadence.clone(),
        upon: options.upon.clone(),
        topics: options.topic.clone(),
        voices: options.voices.map(usize::from),
        mode: options.mode,
        clefs: options.clefs.map(|clefs| match clefs {
            Cleffing::High => "high".to_owned(),
            Cleffing::Low => "low".to_owned(),
        }),
    })
}

/// A subject as it is typed. It is found on any step, so its first note needs no octave.
fn typed_subject(typed: &str, colors: bool) -> Result<Subject, Failure> {
    let first = match subject(typed) {
        Ok(subject) => return Ok(subject),
        Err(SubjectError::Faulty(found)) => found.first().map(|first| first.span),
        Err(_) => return Err(Failure::Said(format!("`{typed}` has no note"))),
    };
    let is_letter = |word: &str| word.len() == 1 && word.starts_with(char::is_alphabetic);
    let line = match first.filter(|span| is_letter(span.of(typed))) {
        Some(span) => {
            let (before, after) = typed.split_at(span.end as usize);
            format!("{before}4{after}")
        }
        None => typed.to_owned(),
    };
    match subject(&line) {
        Ok(subject) => Ok(subject),
        Err(SubjectError::Faulty(found)) => {
            let document = Document::parse(line.as_str());
            let source = Source { name: "the subject", document: &document };
            let shown = source.render(&found, colors);
            Err(Failure::Found(shown, "the subject has errors".to_owned()))
        }
        Err(_) => Err(Failure::Said(format!("`{typed}` has no note"))),
    }
}

/// The examples that have it, those most like it first; and the names of all that have errors. Each row
/// is read once.
fn answers(question: &Question, collected: &Collected) -> (Vec<Answer>, Vec<String>) {
    let of_file = |file: &Studied| {
        let (mut answers, mut faulty) = (Vec::new(), Vec::new());
        let rows = if question.needs_melodies() { file.sung() } else { file.rows() };
        for row in rows {
            if row.errors > 0 {
                faulty.push(label(&file.name, &row));
            }
            if let Some(hit) = question.answer(&row) {
                let (path, file) = (file.path.clone(), file.name.clone());
                answers.push(Answer { path, file, row, hit });
            }
        }
        (answers, faulty)
    };
    let found: Vec<_> = collected.files.par_iter().map(of_file).collect();
    let (answers, faulty): (Vec<_>, Vec<_>) = found.into_iter().unzip();
    let mut answers: Vec<Answer> = answers.into_iter().flatten().collect();
    answers.sort_by_key(|answer| answer.hit.distance);
    (answers, faulty.into_iter().flatten().collect())
}

/// For people.
fn told(answers: &[Answer]) -> Printed {
    let line = |answer: &Answer| {
        let title =
            answer.row.title.as_deref().map_or_else(String::new, |title| format!("  {title}"));
        let why: String = answer.hit.why.iter().map(|why| format!("    {why}\n")).collect();
        format!("{}{title}\n{why}", answer.label())
    };
    Printed::plain(answers.iter().map(line).collect::<String>())
}

#[derive(Serialize)]
struct Listed<'a> {
    version: u32,
    file: &'a str,
    example: Option<&'a str>,
    title: Option<&'a str>,
    topics: &'a [String],
    bars: (u32, u32),
    distance: u8,
    found: &'a [String],
}

/// For programs: an answer a line.
fn listed(answers: &[Answer]) -> Printed {
    answers.iter().fold(Printed::default(), |all, Answer { file, row, hit, .. }| {
        all + json(&Listed {
            version: 1,
            file,
            example: row.example.as_deref(),
            title: row.title.as_deref(),
            topics: &row.topics,
            bars: hit.bars,
            distance: hit.distance,
            found: &hit.why,
        })
    })
}

/// What was asked, in a line: it stands over what is written.
fn asked(options: &Find) -> String {
    let mut asked: Vec<String> = options.subject.iter().cloned().collect();
    // The words as they were typed.
    let said = |imitated: &catalogue::Imitated| {
        let steps = imitated.steps.map(|steps| cartella::invention::Steps(steps).to_string());
        let delay = imitated.delay.map(|delay| format!("after {delay}"));
        [steps, delay].into_iter().flatten().collect::<Vec<_>>().join(" ")
    };
    asked.extend(options.imitation.iter().map(said));
    asked.extend(options.cadence.iter().map(|goal| format!("cadence {goal}")));
    asked.extend(options.upon.iter().map(|goal| format!("entry upon cadence {goal}")));
    asked.extend(options.topic.iter().cloned());
    asked.extend(options.voices.map(|voices| counted(voices.into(), "voice")));
    asked.extend(options.mode.map(|mode| format!("mode {mode}")));
    asked.extend(options.clefs.map(|clefs| match clefs {
        Cleffing::High => "high clefs".to_owned(),
        Cleffing::Low => "low clefs".to_owned(),
    }));
    asked.join(", ")
}
