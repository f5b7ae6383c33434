//! A collection of examples: the parts files of folders, each studied once.
//!
//! What was studied is kept as rows, by the content of the file: see `shelf`.

mod folders;
mod shelf;

use std::path::{Path, PathBuf};

use cartella::{BarLength, RuleSet};
use catalogue::{Note, Row};
use rayon::prelude::*;

use crate::arguments::Collection;
use crate::content::content;
use crate::files::{self, Failure};
use crate::many::{BATCH, progress};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::streams::say;
use folders::Listed;
use shelf::Shelf;

/// A parts file with the rows of its examples, as they are kept: the rows, and behind them the melodies.
pub(crate) struct Studied {
    pub(crate) path: PathBuf,
    /// Its name in answers, the folder included as it was typed.
    pub(crate) name: String,
    rows: Vec<u8>,
}

impl Studied {
    /// What is known of its examples, in their order; without the melodies.
    pub(crate) fn rows(&self) -> Vec<Row> {
        self.read().0
    }

    /// The same with the melodies.
    pub(crate) fn sung(&self) -> Vec<Row> {
        let (rows, rest) = self.read();
        let melodies: Vec<Vec<Vec<Note>>> = postcard::from_bytes(rest).unwrap_or_default();
        rows.into_iter().zip(melodies).map(|(row, melodies)| row.with_melodies(melodies)).collect()
    }

    /// The rows, and the bytes behind them. What is kept was checked when it was taken from the shelf.
    fn read(&self) -> (Vec<Row>, &[u8]) {
        postcard::take_from_bytes(&self.rows).unwrap_or_default()
    }
}

/// What came of a collection.
pub(crate) struct Collected {
    /// Its files, in the order of the folders that were named, in each as people count.
    pub(crate) files: Vec<Studied>,
    /// How many files could not be read.
    pub(crate) failures: usize,
}

impl Collected {
    /// Says at the end that files could not be read.
    pub(crate) fn whole(&self) -> Result<(), Failure> {
        match (self.failures, self.files.len() + self.failures) {
            (0, _) => Ok(()),
            (failures, all) => Err(Failure::Said(format!("{failures} of {all} files failed"))),
        }
    }
}

/// Studies a collection, as far as it is not known already.
pub(crate) fn collect(options: &Collection) -> Result<Collected, Failure> {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(options.many.jobs.map_or(0, usize::from))
        .build()
        .map_err(|error| Failure::Said(error.to_string()))?;
    let mut all = Collected { files: Vec::new(), failures: 0 };
    for root in &options.folders {
        let listed = folders::parts_files(root)?;
        if listed.is_empty() {
            return Err(Failure::Said(format!("{} has no parts files", files::shown(root))));
        }
        pool.install(|| one(root, &listed, options, &mut all));
    }
    Ok(all)
}

/// A file that is known, or what is needed to study it.
enum Known<'s> {
    Rows(&'s [u8], u128),
    Unknown,
}

/// Studies one folder.
fn one(root: &Path, listed: &[Listed], options: &Collection, all: &mut Collected) {
    let place = if options.no_cache { None } else { shelf::place(root, options.cache.as_deref()) };
    let shelf = place.as_deref().map_or_else(Shelf::default, Shelf::read);
    let stored = shelf.stored();
    let known: Vec<Known<'_>> = listed
        .par_iter()
        .map(|file| {
            stored.unchanged(file).map_or(Known::Unknown, |(rows, hash)| Known::Rows(rows, hash))
        })
        .collect();
    let unknown = known.iter().filter(|one| matches!(one, Known::Unknown)).count();
    let bar = progress(unknown);
    let mut rows: Vec<Option<(Vec<u8>, u128)>> = Vec::with_capacity(listed.len());
    // In batches, so that what is said of files stands in their order and nothing waits in memory.
    for (files, known) in listed.chunks(BATCH).zip(known.chunks(BATCH)) {
        let studied: Vec<Result<(Vec<u8>, u128), Failure>> = files
            .par_iter()
            .zip(known)
            .map(|(file, known)| match known {
                Known::Rows(rows, hash) => Ok((rows.to_vec(), *hash)),
                Known::Unknown => {
                    let studied = study(file, |hash| stored.of_content(hash));
                    bar.inc(1);
                    studied
                }
            })
            .collect();
        for one in studied {
            rows.push(match one {
                Ok(found) => Some(found),
                Err(failure) => {
                    bar.suspend(|| say(&failure.printed()));
                    None
                }
            });
        }
    }
    bar.finish_and_clear();
    let is_known = unknown == 0 && stored.len() == listed.len();
    if let Some(place) = place.filter(|_| !is_known) {
        let kept = listed.iter().zip(&rows);
        let kept = kept.filter_map(|(file, rows)| Some((file, rows.as_ref()?)));
        if let Err(failure) = shelf::write(&place, kept) {
            say(&Printed::plain(format!("what was studied is not kept: {failure}\n")));
        }
    }
    for (file, rows) in listed.iter().zip(rows) {
        match rows {
            Some((rows, _)) => {
                all.files.push(Studied { path: file.path.clone(), name: file.name.clone(), rows });
            }
            None => all.failures += 1,
        }
    }
}

/// The rows of a file, and what names its content. `known` gives those of a content that was studied.
fn study<'s>(
    file: &Listed,
    known: impl Fn(u128) -> Option<&'s [u8]>,
) -> Result<(Vec<u8>, u128), Failure> {
    let bytes = files::read(&file.path, cartella::LARGEST_TEXT)?;
    let hash = content(&bytes);
    if let Some(rows) = known(hash) {
        return Ok((rows.to_vec(), hash));
    }
    let loaded = Loaded::of_bytes(&file.path, &bytes)?;
    let rows: Vec<Row> = loaded
        .examples()
        .map(|example| {
            let aligned = example.score(BarLength::Breve);
            Row::of(&aligned, &aligned.study(RuleSet::default()))
        })
        .collect();
    let melodies: Vec<_> = rows.iter().map(Row::melodies).collect();
    let bytes = postcard::to_stdvec(&rows).and_then(|bytes| postcard::to_extend(&melodies, bytes));
    Ok((bytes.map_err(|error| Failure::Said(error.to_string()))?, hash))
}
