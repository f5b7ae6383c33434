//! `read --learn`: how a print looks, learned from its pictures, and from lines of it that are proofed.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use cartella::facsimile::image::GrayImage;
use cartella::facsimile::{
    Kind, Known, Learned, Network, Page, Sizes, Sort, Strip, Workers, learn, read as read_staff,
    strips,
};
use cartella::{Copied, Facsimile, NoteSign, SourceLine};
use indicatif::ProgressBar;
use rayon::prelude::*;

use super::scanned::is_picture;
use super::style::network;
use crate::Outcome;
use crate::arguments::Read;
use crate::files::{self, Failure, Inputs, folder, is_standard_output};
use crate::many::progress;
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::streams::say;
use crate::verbs::scans::each_page;

pub(super) fn run(options: &Read) -> Result<Outcome, Failure> {
    if is_standard_output(&options.output) {
        let said = "the style of a print is no text: name its file, as in -o valdeluz.style";
        return Err(Failure::Said(said.to_owned()));
    }
    let inputs = Inputs::of(&options.inputs);
    files::check_place(&options.output, options.replace, &inputs)?;
    let start = network(options.print_style.as_deref())?;
    let mut print = Print::default();
    for path in &options.inputs {
        if is_picture(path)? {
            print.take_pictures(path)?;
        } else if print.take_parts(path)? == Outcome::Findings {
            return Ok(Outcome::Findings);
        }
    }
    print.say_left_out();
    if print.known.is_empty() && print.others.is_empty() {
        say(&Printed::plain("there is no line to learn from; nothing is written\n"));
        return Ok(Outcome::Findings);
    }
    let mut workers = Cores { bar: None, end: interrupted() };
    let learned = learn(&start, &print.known, &print.others, options.steps.into(), &mut workers);
    workers.bar.iter().for_each(ProgressBar::finish_and_clear);
    say(&Printed::plain(print.summary(&start, &learned)));
    files::write_new(&options.output, &learned.network.style(), options.replace, &inputs)?;
    Ok(Outcome::Done)
}

/// What there is of a print: lines that are proofed, and others.
#[derive(Default)]
struct Print {
    known: Vec<Known>,
    others: Vec<GrayImage>,
    doubtful: usize,
    without_staff: usize,
}

impl Print {
    fn take_pictures(&mut self, path: &Path) -> Result<(), Failure> {
        each_page(path, |_, page| self.take_page(page, Vec::new()))
    }

    /// Takes the staves of a page, of which some are known.
    fn take_page(&mut self, page: &Page, known: Vec<(&Facsimile, Vec<Vec<Sort>>)>) {
        let found = strips(&page.picture);
        let sizes = Sizes::of(&page.picture, &found);
        let mut staves: Vec<Option<&Strip>> =
            found.iter().map(|staff| (!staff.empty).then_some(staff)).collect();
        for (place, rows) in known {
            let Some(number) = nearest(&staves, place, page.scale) else {
                self.without_staff += 1;
                continue;
            };
            let staff = staves[number].take();
            self.known.extend(staff.map(|staff| Known { laid: sizes.laid(staff), rows }));
        }
        self.others.extend(staves.into_iter().flatten().map(|staff| sizes.laid(staff)));
    }

    /// Takes the pages in which the head of a parts file finds its lines.
    fn take_parts(&mut self, path: &Path) -> Result<Outcome, Failure> {
        let loaded = Loaded::read(path)?;
        let example = loaded.one()?;
        let copied = example.copied();
        let name = loaded.label(example);
        let errors = loaded.errors(example, &copied.diagnostics);
        if Outcome::of(&errors) == Outcome::Findings {
            say(&Printed::plain(format!("{name} has errors; `cartella check` lists them\n")));
            return Ok(Outcome::Findings);
        }
        let piece = example.piece();
        let mut pages: BTreeMap<(&str, u32), Vec<_>> = BTreeMap::new();
        for place in &piece.head.facsimiles {
            let line = copied
                .lines
                .iter()
                .find(|line| (Some(line.voice), line.number) == (place.voice, place.line));
            let Some(line) = line else { continue };
            let known = pages.entry((&place.file, place.page)).or_default();
            let items = &piece.voices[line.voice].items[line.items.clone()];
            let mut events = items.iter().filter_map(|item| item.event());
            if events.any(|event| event.signs.has(NoteSign::Doubt)) {
                self.doubtful += 1;
            } else {
                known.push((place, rows(&copied, line)));
            }
        }
        if pages.is_empty() {
            return Err(Failure::Said(format!(
                "{name}: its head does not say where its lines stand in pictures: `cartella proof {name} \
                 --strips --facsimile … --write` writes it there"
            )));
        }
        let mut files: Vec<&str> = pages.keys().map(|(file, _)| *file).collect();
        files.dedup();
        for file in files {
            each_page(&folder(path).join(file), |number, page| {
                if let Some(known) = pages.remove(&(file, number)) {
                    self.take_page(page, known);
                }
            })?;
        }
        self.without_staff += pages.values().map(Vec::len).sum::<usize>();
        Ok(Outcome::Done)
    }

    fn say_left_out(&self) {
        for (count, why) in [
            (self.doubtful, "with a doubt (?)"),
            (self.without_staff, "no staff is found there in the picture"),
        ] {
            if count > 0 {
                let lines = if count == 1 { "line is" } else { "lines are" };
                say(&Printed::plain(format!("{count} {lines} not taken as proofed: {why}\n")));
            }
        }
    }

    /// From what was learned, and how much of what is known was read wrong before, and is now.
    fn summary(&self, before: &Network, learned: &Learned) -> String {
        let wrong = |network: &Network| -> usize {
            let of_line = |known: &Known| {
                let printed = known.row(network).unwrap_or_default().to_vec();
                let sorts = read_staff(&known.laid, network).sorts;
                let found: Vec<Sort> = sorts.iter().map(|read| read.sort).collect();
                strsim::generic_levenshtein(&printed, &found)
            };
            self.known.par_iter().map(of_line).sum()
        };
        let (done, all) = learned.steps;
        let mut said = String::new();
        if done < all {
            said += &format!(
                "interrupted after {done} of {all} steps; what was learned by then is kept\n"
            );
        }
        said += &format!(
            "learned from {} of {} lines that nobody has proofed\n",
            learned.by_itself,
            self.others.len()
        );
        if !self.known.is_empty() {
            let signs: usize = self.known.iter().map(|known| known.rows[0].len()).sum();
            said += &format!(
                "and from {} proofed, of whose {signs} signs {} were read wrong before, and {} are now\n",
                self.known.len(),
                wrong(before),
                wrong(&learned.network)
            );
        }
        said
    }
}

/// What stands on a line. After the last of a voice there may be a double bar, which is not typed.
fn rows(copied: &Copied<'_>, line: &SourceLine) -> Vec<Vec<Sort>> {
    let sorts = copied.sorts(line);
    let goes_on =
        copied.lines.iter().any(|other| other.voice == line.voice && other.number > line.number);
    if goes_on {
        return vec![sorts];
    }
    let ended = sorts.iter().copied().chain([Sort::of(Kind::DoubleBar)]).collect();
    vec![sorts, ended]
}

/// The staff whose middle is nearest to that of a box, if it lies in it.
fn nearest(staves: &[Option<&Strip>], place: &Facsimile, scale: f64) -> Option<usize> {
    let away = |staff: &Strip| {
        let x = (staff.x + staff.width / 2.0) / scale - place.x - place.width / 2.0;
        let y = (staff.y + staff.height / 2.0) / scale - place.y - place.height / 2.0;
        (x.abs(), y.abs())
    };
    let placed =
        staves.iter().enumerate().filter_map(|(number, staff)| Some((number, away((*staff)?))));
    let inside = placed.filter(|(_, (x, y))| *x < place.width / 2.0 && *y < place.height / 2.0);
    inside.min_by(|one, other| one.1.1.total_cmp(&other.1.1)).map(|(number, _)| number)
}

/// All cores, with a bar for whoever looks at a terminal.
struct Cores {
    bar: Option<ProgressBar>,
    end: &'static AtomicBool,
}

impl Workers for Cores {
    fn each<R: Send>(&self, count: usize, work: impl Fn(usize) -> R + Sync) -> Vec<R> {
        (0..count).into_par_iter().map(&work).collect()
    }

    fn go_on(&mut self, done: usize, of: usize) -> bool {
        self.bar.get_or_insert_with(|| progress(of)).set_position(done as u64);
        !self.end.load(Ordering::Relaxed)
    }
}

/// Becomes true when the user interrupts the program, which then goes on to its end.
fn interrupted() -> &'static AtomicBool {
    static END: AtomicBool = AtomicBool::new(false);
    thread::spawn(|| {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_io().build();
        if let Ok(runtime) = runtime
            && runtime.block_on(tokio::signal::ctrl_c()).is_ok()
        {
            END.store(true, Ordering::Relaxed);
        }
    });
    &END
}
