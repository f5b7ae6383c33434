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
use crate::compass::{self, Done};
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

/// How a sheet tells of notes outside the compass.
#[derive(Clone, Copy)]
enum Said {
    /// They are marked.
    Drawn,
    /// They stand as in the source.
    Beside,
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
        let Sheet { task, level, .. } = *self.options;
        if task == Task::Keys {
            return Ok((self.keys(&aligned), Vec::new()));
        }
        let mut done = self.within_compass(&mut aligned, None);
        let mut answer = aligned.clone();
        let said = tasks::set(task, level, &mut aligned, &study, &self.texts)?;
        if task == Task::Voices {
            // The copy shows what the source has: what is to be played otherwise is said.
            let mut copied = aligned.example().copied();
            copied.heading.notes = vec![said];
            copied.heading.notes.extend(self.said(&done, &aligned, Said::Beside));
            let setting = Copy::default();
            let picture = copied.on_paper(&self.look(), &self.paper, &setting, &|_, _| None);
            return Ok((vec![picture], Vec::new()));
        }
        done.draw(&mut answer);
        answer.score.heading.notes = vec![self.texts.text("answer").to_owned()];
        answer.score.heading.notes.extend(self.said(&done, &answer, Said::Drawn));
        done.draw(&mut aligned);
        aligned.score.heading.notes = vec![said];
        aligned.score.heading.notes.extend(self.said(&done, &aligned, Said::Drawn));
        if matches!(task, Task::Follower | Task::Entry) {
            // It often names the interval.
            aligned.score.heading.title = None;
        }
        let picture = |aligned| self.picture(aligned, Staves::Open, None);
        Ok((vec![picture(&aligned)], vec![picture(&answer)]))
    }

    /// A piece as it is, and on other keys.
    fn keys(&self, aligned: &Aligned<'_>) -> Vec<Picture> {
        let others = USUAL.iter().filter_map(|(number, way)| Interval::of_number(*number, *way));
        let all = std::iter::once(None).chain(others.map(Some));
        let sheet = |at: Option<Interval>| {
            let mut aligned = aligned.clone();
            let mut done = self.within_compass(&mut aligned, at);
            done.draw(&mut aligned);
            let said = match at {
                None => self.texts.text("keys-as-written").to_owned(),
                Some(at) => {
                    let interval = self.texts.interval(at.steps());
                    self.texts.text("keys").replace("{interval}", &interval)
                }
            };
            aligned.score.heading.notes = vec![said];
            aligned.score.heading.notes.extend(self.said(&done, &aligned, Said::Drawn));
            self.picture(&aligned, Staves::Keyboard, at)
        };
        all.map(sheet).collect()
    }

    /// Deals with what the instrument has not, where the piece is played at an interval.
    fn within_compass(&self, aligned: &mut Aligned<'_>, at: Option<Interval>) -> Done {
        let Sheet { compass, short_octave, outside, .. } = *self.options;
        match compass::keys(compass, short_octave) {
            Some(keys) => Done::with(aligned, &keys, outside, at),
            None => Done::default(),
        }
    }

    /// What is said of that on the sheet.
    fn said(&self, done: &Done, aligned: &Aligned<'_>, how: Said) -> Vec<String> {
        let (up, down, ringed) = match how {
            Said::Drawn => ("moved-up", "moved-down", "outside"),
            Said::Beside => ("play-up", "play-down", "not-there"),
        };
        let all = [(&done.up, up), (&done.down, down), (&done.ringed, ringed)];
        let said = all.into_iter().filter(|(runs, _)| !runs.is_empty()).map(|(runs, key)| {
            self.texts.text(key).replace("{places}", &compass::places(runs, aligned))
        });
        said.collect()
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
