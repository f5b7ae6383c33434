//! `read --learn`: how a print looks, learned from its pictures, and from lines of it that are proofed.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
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

use super::Input;
use super::scanned::is_picture;
use super::style::network;
use crate::Outcome;
use crate::arguments::Read;
use crate::files::{self, Failure, Inputs, folder, is_standard_output};
use crate::interruption::interrupted;
use crate::many::progress;
use crate::piece::Loaded;
use crate::printed::{Printed, in_line};
use crate::streams::say;
use crate::verbs::scans::each_page;

pub(super) fn run(options: &Read, inputs: &[Input]) -> Result<Outcome, Failure> {
    if is_standard_output(&options.output) {
        let said = "the style of a print is no text: name its file, as in -o valdeluz.style";
        return Err(Failure::Said(said.to_owned()));
    }
    let paths: Vec<PathBuf> = inputs.iter().map(|input| input.path.clone()).collect();
    let files = Inputs::of(&paths);
    files::check_place(&options.output, options.replace, &files)?;
    let start = network(options.print_style.as_deref())?;
    let mut wanted = Wanted::default();
    for path in &paths {
        if is_picture(path)? {
            let unread = |error| Failure::Unread(path.clone(), error);
            wanted.picture(path).map_err(unread)?.all = true;
        } else if wanted.take_parts(path)? == Outcome::Findings {
            return Ok(Outcome::Findings);
        }
    }
    let doubtful = wanted.doubtful;
    let print = Print::of(wanted)?;
    say_left_out(doubtful, "a doubt (?) stands in it");
    say_left_out(print.without_staff, "no staff is found there in the picture");
    if print.known.is_empty() && print.others.is_empty() {
        say(&Printed::plain("there is no line to learn from; nothing is written\n"));
        return Ok(Outcome::Findings);
    }
    let mut workers = Cores { bar: None, end: end() };
    let learned = learn(&start, &print.known, &print.others, options.steps.into(), &mut workers);
    workers.bar.iter().for_each(ProgressBar::finish_and_clear);
    say(&Printed::plain(print.summary(&start, &learned)));
    files::write_new(&options.output, &learned.network.style(), options.replace, &files)?;
    Ok(Outcome::Done)
}

fn say_left_out(count: usize, why: &str) {
    if count > 0 {
        let are = if count == 1 { "is" } else { "are" };
        let lines = lines(count);
        say(&Printed::plain(format!("{lines} {are} not taken as proofed: {why}\n")));
    }
}

fn lines(count: usize) -> String {
    format!("{count} {}", if count == 1 { "line" } else { "lines" })
}

/// A line that is proofed: where it stands, and what it may be.
type Proofed = (Facsimile, Vec<Vec<Sort>>);

/// What of a file of pictures is wanted.
#[derive(Default)]
struct Pages {
    /// All pages, and not only those with lines that are proofed.
    all: bool,
    /// These lines, by their pages.
    proofed: BTreeMap<u32, Vec<Proofed>>,
}

/// All pictures that there are of a print, each once, however often and by whatever name it is named.
#[derive(Default)]
struct Wanted {
    pictures: BTreeMap<PathBuf, Pages>,
    doubtful: usize,
}

impl Wanted {
    fn picture(&mut self, path: &Path) -> io::Result<&mut Pages> {
        Ok(self.pictures.entry(fs::canonicalize(path)?).or_default())
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
        let mut is_placed = false;
        for place in &piece.head.facsimiles {
            let is_it =
                |line: &&SourceLine| (Some(line.voice), line.number) == (place.voice, place.line);
            let Some(line) = copied.lines.iter().find(is_it) else { continue };
            is_placed = true;
            let pages = self.picture(&folder(path).join(&place.file)).map_err(|error| {
                let picture = in_line(&place.file);
                Failure::Said(format!(
                    "{name}: its head names {picture}, which cannot be read: {error}"
                ))
            })?;
            let proofed = pages.proofed.entry(place.page).or_default();
            let items = &piece.voices[line.voice].items[line.items.clone()];
            let mut events = items.iter().filter_map(|item| item.event());
            if events.any(|event| event.signs.has(NoteSign::Doubt)) {
                self.doubtful += 1;
            } else {
                proofed.push((place.clone(), rows(&copied, line)));
            }
        }
        if !is_placed {
            return Err(Failure::Said(format!(
                "{name}: its head does not say where its lines stand in pictures: `cartella proof {name} \
                 --strips --facsimile … --write` writes it there"
            )));
        }
        Ok(Outcome::Done)
    }
}

/// The staves of a print: those that are proofed, and others.
#[derive(Default)]
struct Print {
    known: Vec<Known>,
    others: Vec<GrayImage>,
    /// How many proofed lines have no staff.
    without_staff: usize,
}

impl Print {
    fn of(wanted: Wanted) -> Result<Print, Failure> {
        let mut print = Print::default();
        for (path, mut pages) in wanted.pictures {
            each_page(&path, |number, page| match pages.proofed.remove(&number) {
                Some(proofed) => print.take_page(page, proofed),
                None if pages.all => print.take_page(page, Vec::new()),
                None => {}
            })?;
            print.without_staff += pages.proofed.values().map(Vec::len).sum::<usize>();
        }
        Ok(print)
    }

    /// Takes the staves of a page, of which some are proofed.
    fn take_page(&mut self, page: &Page, proofed: Vec<Proofed>) {
        let found = strips(&page.picture);
        let sizes = Sizes::of(&page.picture, &found);
        let mut staves: Vec<Option<&Strip>> =
            found.iter().map(|staff| (!staff.empty).then_some(staff)).collect();
        for (place, rows) in proofed {
            let nearest = nearest(&staves, &place, page.scale);
            match nearest.and_then(|number| staves[number].take()) {
                Some(staff) => self.known.push(Known { laid: sizes.laid(staff), rows }),
                None => self.without_staff += 1,
            }
        }
        self.others.extend(staves.into_iter().flatten().map(|staff| sizes.laid(staff)));
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
        if !self.others.is_empty() {
            let lines = lines(self.others.len());
            let by_itself = learned.by_itself;
            said += &format!(
                "of {lines} not proofed, {by_itself} could be read surely enough to learn from\n"
            );
        }
        if !self.known.is_empty() {
            let lines = lines(self.known.len());
            let signs: usize = self.known.iter().map(|known| known.rows[0].len()).sum();
            let (before, now) = (wrong(before), wrong(&learned.network));
            said += &format!(
                "of {signs} signs on {lines} proofed, {before} were read wrong before, and {now} now\n"
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
fn end() -> &'static AtomicBool {
    static END: AtomicBool = AtomicBool::new(false);
    thread::spawn(|| {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_io().build();
        if let Ok(runtime) = runtime {
            runtime.block_on(interrupted());
            END.store(true, Ordering::Relaxed);
        }
    });
    &END
}
