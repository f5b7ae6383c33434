//! `sheet`: practice sheets, and a second file with the answers.

mod tasks;
mod texts;

use std::path::{Path, PathBuf};

use cartella::{
    Aligned, Arranged, Copy, Direction, Interval, Look, Options, Paper, Picture, RuleSet, Staves,
    engrave_on, pages,
};

use crate::Outcome;
use crate::arguments::{Sheet, Task};
use crate::compass;
use crate::files::{self, Failure, Inputs, is_standard_output};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::streams::say;
use crate::verbs::pictures::written;
use texts::Texts;

/// By which intervals a piece is usually transposed: a fourth and a fifth down, as in high clefs, and a
/// step up and down (common practice).
const USUAL: [(u32, Direction); 4] =
    [(4, Direction::Down), (5, Direction::Down), (2, Direction::Up), (2, Direction::Down)];

pub(crate) fn run(options: &Sheet, colors: bool) -> Result<Outcome, Failure> {
    let output = &options.output;
    if is_standard_output(output) {
        let said = "the sheet and its answers are two files: name one, as in -o sheet.pdf";
        return Err(Failure::Said(said.to_owned()));
    }
    if output.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case("pdf")) {
        return Err(Failure::Said(format!("{} is no .pdf: name one", files::shown(output))));
    }
    let answers = answers_beside(output);
    let has_answers = !matches!(options.task, Task::Voices | Task::Keys);
    let inputs = Inputs::of(&options.files);
    inputs.refuse(output)?;
    let there = [output, &answers].into_iter().take(1 + usize::from(has_answers));
    if let Some(there) = there.filter(|path| path.exists()).find(|_| !options.replace) {
        return Err(Failure::There(there.clone()));
    }
    let sheets = Sheets { options, texts: Texts::of(options.lang), paper: options.paper() };
    let (mut asked, mut answered, mut outcome) = (Vec::new(), Vec::new(), Outcome::Done);
    for path in &options.files {
        let loaded = Loaded::read(path)?;
        for example in loaded.examples() {
            let name = loaded.label(example);
            let aligned = example.score(cartella::BarLength::Breve);
            let errors = loaded.errors(example, &aligned.diagnostics);
            say(&loaded.source(&name).render(&errors, colors));
            outcome = outcome.max(Outcome::of(&errors));
            match sheets.of(aligned) {
                Ok((sheet, answer)) => {
                    asked.extend(sheet);
                    answered.extend(answer);
                }
                Err(why) => {
                    outcome = Outcome::Findings;
                    say(&Printed::plain(format!("{name} is left out: {}\n", why.said())));
                }
            }
        }
    }
    if asked.is_empty() {
        return Err(Failure::Said("there is nothing to practise: nothing is written".to_owned()));
    }
    let written = |pictures| written(&pages(pictures, &sheets.paper), output);
    let sheet = written(asked)?;
    let answer = if has_answers { Some(written(answered)?) } else { None };
    files::write(output, &sheet, &inputs)?;
    if let Some(answer) = answer {
        files::write(&answers, &answer, &inputs)?;
    }
    Ok(outcome)
}

/// `sheet-answers.pdf` beside `sheet.pdf`.
fn answers_beside(output: &Path) -> PathBuf {
    let stem = output.file_stem().map(|stem| stem.to_string_lossy()).unwrap_or_default();
    output.with_file_name(format!("{stem}-answers.pdf"))
}

/// What all sheets of a run have in common.
struct Sheets<'o> {
    options: &'o Sheet,
    texts: Texts,
    paper: Paper,
}

impl Sheets<'_> {
    /// The pictures of an example's sheet, and of its answer.
    fn of(&self, mut aligned: Aligned<'_>) -> Result<(Vec<Picture>, Vec<Picture>), tasks::NoTask> {
        let study = aligned.study(RuleSet::default());
        let Sheet { task, level, compass, short_octave, .. } = *self.options;
        let is_outside = compass::mark(&mut aligned.score, compass, short_octave);
        let mut answer = aligned.clone();
        let mut notes = vec![tasks::set(task, level, &mut aligned, &study, &self.texts)?];
        if is_outside {
            notes.push(self.texts.text("outside").to_owned());
        }
        aligned.score.heading.notes = notes;
        if matches!(task, Task::Follower | Task::Entry) {
            // It often names the interval.
            aligned.score.heading.title = None;
        }
        answer.score.heading.notes = vec![self.texts.text("answer").to_owned()];
        Ok(match task {
            Task::Voices => {
                let mut copied = aligned.example().copied();
                copied.heading.notes.clone_from(&aligned.score.heading.notes);
                let setting = Copy::default();
                let picture = copied.on_paper(&self.look(), &self.paper, &setting, &|_, _| None);
                (vec![picture], Vec::new())
            }
            Task::Keys => {
                let mut sheets = vec![self.picture(&aligned, Staves::Keyboard, None)];
                for (number, direction) in USUAL {
                    let Some(interval) = Interval::of_number(number, direction) else { continue };
                    let said = self.texts.text("keys");
                    let said = said.replace("{interval}", &self.texts.interval(interval.steps()));
                    aligned.score.heading.notes = vec![said];
                    sheets.push(self.picture(&aligned, Staves::Keyboard, Some(interval)));
                }
                (sheets, Vec::new())
            }
            _ => {
                let picture = |aligned| self.picture(aligned, Staves::Open, None);
                (vec![picture(&aligned)], vec![picture(&answer)])
            }
        })
    }

    fn look(&self) -> Look {
        let staff = if self.options.large { Look::LARGE_STAFF } else { Look::STAFF };
        Look { notes: true, incipits: false, staff, ..Look::default() }
    }

    fn picture(
        &self,
        aligned: &Aligned<'_>,
        staves: Staves,
        transpose: Option<Interval>,
    ) -> Picture {
        let arranged: Arranged<'_> =
            aligned.arrangement(Options { staves, transpose, ..Options::default() });
        engrave_on(&arranged.arrangement, &self.look(), &self.paper)
    }
}
