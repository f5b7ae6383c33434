//! Sheets of patterns and of questions: books of examples, made from parts files like any other.

use std::path::{Path, PathBuf};

use cartella::invention::{
    Ending, Entry, Part, PartNote, Pattern, Row, Steps, Subject, Verdict, row, write_out,
};
use cartella::{
    BarLength, Document, ImitationExample, Look, Options, Paper, engrave_on, imitation_examples,
    pages,
};

use super::questions::{Question, questions};
use crate::Outcome;
use crate::arguments::Imitate;
use crate::files::{self, Failure, Inputs, is_standard_output};
use crate::verbs::pictures::written;

/// Writes the plain stepwise subjects that rise, each with its mirror beside it.
pub(crate) fn patterns(
    found: &[Pattern],
    output: &Path,
    options: &Imitate,
) -> Result<Outcome, Failure> {
    let rising = found.iter().filter(|pattern| pattern.rising);
    let rows = rising.flat_map(|pattern| pattern.rows.iter().map(move |row| (pattern, row)));
    let examples: Vec<ImitationExample> =
        rows.filter_map(|(pattern, row)| model(&pattern.subject, row)).collect();
    put(&examples, output, options)?;
    Ok(Outcome::Done)
}

/// An imitation and its mirror.
fn model(subject: &Subject, found: &Row) -> Option<ImitationExample> {
    let mirrored = subject.mirrored();
    let opposite = Entry { steps: -found.entry.steps, ..found.entry };
    let there = row(&mirrored, opposite)?;
    let parts =
        |subject: &Subject, row: &Row| write_out(subject, &[row.entry], &row.signs, Ending::Open);
    let sections = vec![parts(subject, found)?, parts(&mirrored, &there)?];
    let notes = subject.notes().len();
    let mirror = Steps(opposite.steps);
    let title = format!("{notes} notes by step, {}; its mirror, {mirror}", found.entry);
    Some(ImitationExample { title, notes: Vec::new(), subject: subject.clone(), sections })
}

/// Writes questions, and their answers into a second file.
pub(crate) fn ask(count: usize, options: &Imitate) -> Result<Outcome, Failure> {
    let Some(output) = &options.output else {
        return Err(Failure::Said("name the sheet to write: -o questions.pdf".to_owned()));
    };
    if is_standard_output(output) {
        let said = "questions and answers are two files: name one, as in -o questions.pdf";
        return Err(Failure::Said(said.to_owned()));
    }
    let questions = questions(count);
    let asked: Vec<ImitationExample> = questions.iter().map(asked).collect();
    let answered: Vec<ImitationExample> = questions.iter().filter_map(answered).collect();
    let answers = answers_beside(output);
    files::check_distinct(&[output.clone(), answers.clone()])?;
    // Neither is written if the other cannot be.
    let sheets = [(&asked, output), (&answered, &answers)];
    let there = sheets.iter().find(|(_, path)| !options.replace && path.exists());
    if let Some((_, path)) = there {
        return Err(Failure::There((*path).clone()));
    }
    for (examples, path) in sheets {
        put(examples, path, options)?;
    }
    Ok(Outcome::Done)
}

/// `questions-answers.pdf` beside `questions.pdf`.
fn answers_beside(output: &Path) -> PathBuf {
    let stem = output.file_stem().map(|stem| stem.to_string_lossy()).unwrap_or_default();
    let ending = output.extension().map(|ending| format!(".{}", ending.to_string_lossy()));
    output.with_file_name(format!("{stem}-answers{}", ending.unwrap_or_default()))
}

/// The subject alone.
fn asked(question: &Question) -> ImitationExample {
    let notes = question.subject.notes().iter().map(|note| PartNote {
        pitch: note.pitch,
        at: note.at,
        length: note.length,
        is_subject: true,
        is_signed: false,
    });
    let part = Part { entry: None, notes: notes.collect() };
    ImitationExample {
        title: question.title(),
        notes: Vec::new(),
        subject: question.subject.clone(),
        sections: vec![vec![part]],
    }
}

/// The first answer written out, and what every delay comes to.
fn answered(question: &Question) -> Option<ImitationExample> {
    let found = question.answer()?;
    let parts = [Ending::Cadence, Ending::Open]
        .into_iter()
        .find_map(|ending| write_out(&question.subject, &[found.entry], &found.signs, ending))?;
    let sign = if found.verdict == Verdict::Accidental { ", with a sign" } else { "" };
    Some(ImitationExample {
        title: format!("{}{sign}", found.entry),
        notes: question.reasons(),
        subject: question.subject.clone(),
        sections: vec![parts],
    })
}

/// Writes examples as pages, or as a parts file.
fn put(examples: &[ImitationExample], output: &Path, options: &Imitate) -> Result<(), Failure> {
    put_examples(&imitation_examples(examples), output, options.replace)
}

/// Writes a parts file of examples as pages, or as it is.
pub(crate) fn put_examples(text: &str, output: &Path, replace: bool) -> Result<(), Failure> {
    let ending = output.extension().and_then(|ending| ending.to_str());
    let bytes = match ending {
        _ if is_standard_output(output) => text.as_bytes().to_vec(),
        Some("parts") => text.as_bytes().to_vec(),
        Some("pdf") => drawn(text, output)?,
        _ => {
            return Err(Failure::Said(format!(
                "{} is neither a .pdf nor a .parts: name one of these",
                files::shown(output)
            )));
        }
    };
    files::write_new(output, &bytes, replace, &Inputs::default())
}

/// The examples of a parts file as pages, with the editor's notes.
fn drawn(text: &str, output: &Path) -> Result<Vec<u8>, Failure> {
    let document = Document::parse(text);
    let paper = Paper::A4;
    let look = Look { notes: true, ..Look::default() };
    let pictures = document.examples().map(|example| {
        let aligned = example.score(BarLength::Breve);
        engrave_on(&aligned.arrangement(Options::default()).arrangement, &look, &paper)
    });
    written(&pages(pictures.collect(), &paper), output)
}
