//! What was studied, kept for the next time: one file for each folder that is asked about.
//!
//! Rows are kept by the content of their file, so a file that is renamed is not studied again, and one
//! that is changed is. To see that a file is unchanged, its size and the time of its last change are
//! enough, unless that is so late that another change might not have moved it. What another program
//! version has studied is not taken, nor what is damaged: all is then studied again.

use std::collections::HashMap;
use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use serde::{Deserialize, Serialize};

use super::folders::{Listed, nanoseconds};
use crate::content::content;
use crate::files::{self, Failure, Inputs};

/// With this a shelf begins; the number goes up when what is kept is kept otherwise.
const BEGINNING: &[u8] = b"cartella catalogue 2\n";

/// Within so many nanoseconds, two changes of a file may bear the same time: on some systems times are
/// whole seconds, on some two.
const SAME_TIME: u64 = 2_000_000_000;

/// All that is kept of a folder, as bytes.
#[derive(Default)]
pub(super) struct Shelf(Vec<u8>);

#[derive(Serialize, Deserialize)]
struct Kept<'k> {
    /// Which program studied it.
    #[serde(borrow)]
    program: &'k str,
    /// When it was written.
    written: Option<u64>,
    #[serde(borrow)]
    files: Vec<KeptFile<'k>>,
}

#[derive(Serialize, Deserialize)]
struct KeptFile<'k> {
    name: &'k str,
    size: u64,
    changed: Option<u64>,
    content: u128,
    rows: &'k [u8],
}

/// What is kept, to be looked up.
pub(super) struct Stored<'k> {
    written: Option<u64>,
    by_name: HashMap<&'k str, KeptFile<'k>>,
    by_content: HashMap<u128, &'k [u8]>,
}

impl Shelf {
    /// Reads a shelf; one that is missing, damaged, or of another version is empty.
    pub(super) fn read(place: &Path) -> Shelf {
        let bytes = fs::read(place).unwrap_or_default();
        let whole = bytes.strip_prefix(BEGINNING).and_then(|rest| rest.split_first_chunk::<16>());
        match whole {
            Some((sum, rest)) if content(rest).to_le_bytes() == *sum => Shelf(rest.to_vec()),
            _ => Shelf::default(),
        }
    }

    pub(super) fn stored(&self) -> Stored<'_> {
        let kept = postcard::from_bytes::<Kept<'_>>(&self.0).ok();
        let kept = kept.filter(|kept| kept.program == program());
        let (written, files) = kept.map_or((None, Vec::new()), |kept| (kept.written, kept.files));
        let by_content = files.iter().map(|file| (file.content, file.rows)).collect();
        let by_name = files.into_iter().map(|file| (file.name, file)).collect();
        Stored { written, by_name, by_content }
    }
}

impl<'k> Stored<'k> {
    /// The rows of a file that has not changed, and what names its content.
    pub(super) fn unchanged(&self, file: &Listed) -> Option<(&'k [u8], u128)> {
        let kept = self.by_name.get(file.name.as_str())?;
        let is_old = file.changed? + SAME_TIME < self.written?;
        let is_same = kept.size == file.size && kept.changed == file.changed;
        (is_old && is_same).then_some((kept.rows, kept.content))
    }

    /// The rows of a content.
    pub(super) fn of_content(&self, content: u128) -> Option<&'k [u8]> {
        self.by_content.get(&content).copied()
    }

    pub(super) fn len(&self) -> usize {
        self.by_name.len()
    }
}

/// Keeps rows.
pub(super) fn write<'k>(
    place: &Path,
    files: impl Iterator<Item = (&'k Listed, &'k (Vec<u8>, u128))>,
) -> Result<(), Failure> {
    let files = files.map(|(file, (rows, content))| KeptFile {
        name: &file.name,
        size: file.size,
        changed: file.changed,
        content: *content,
        rows,
    });
    let program = program();
    let written = nanoseconds(SystemTime::now());
    let kept = Kept { program: &program, written, files: files.collect() };
    let kept = postcard::to_stdvec(&kept).map_err(|error| Failure::Said(error.to_string()))?;
    let sum = content(&kept).to_le_bytes();
    let folder = files::folder(place);
    fs::create_dir_all(folder).map_err(|error| Failure::Unwritten(folder.to_owned(), error))?;
    files::write(place, &[BEGINNING, &sum, &kept].concat(), &Inputs::default())
}

/// Which program this is: its version, and the size and the date of its file, since one version is built
/// many times.
fn program() -> String {
    let file = env::current_exe().and_then(fs::metadata);
    let built = file.ok().map(|file| (file.len(), file.modified().ok().and_then(nanoseconds)));
    format!("{} {built:?}", env!("CARGO_PKG_VERSION"))
}

/// Where the shelf of a folder stands: in the folder that is named, else in the user's cache. Nothing
/// where there is none.
pub(super) fn place(root: &Path, cache: Option<&Path>) -> Option<PathBuf> {
    let of_user = || {
        let named = |name: &str| env::var_os(name).filter(|it| !it.is_empty()).map(PathBuf::from);
        let cache = named("XDG_CACHE_HOME").or_else(|| named("LOCALAPPDATA"));
        Some(cache.or_else(|| Some(named("HOME")?.join(".cache")))?.join("cartella"))
    };
    let cache = cache.map(Path::to_owned).or_else(of_user)?;
    let root = fs::canonicalize(root).ok()?;
    let name = content(root.to_string_lossy().as_bytes());
    Some(cache.join(format!("catalogue-{name:032x}")))
}
