//! The strips that are printed above the lines of a sheet.

use std::collections::HashMap;
use std::collections::hash_map::Entry;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use cartella::{Copied, Facsimile, Strip};

use super::sources::matched;
use crate::arguments::Proof;
use crate::files::{Failure, folder, is_stream, shown};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::verbs::scans::Pictures;

/// The strips by voice and line; without a voice, of systems.
pub(in super::super) type Strips = HashMap<(Option<usize>, u32), Strip>;

/// The strips of a piece: of the pictures that `--facsimile` names, or else of those that the head names; and
/// what is to be said of those that are not to be had.
pub(in super::super) fn printed(
    loaded: &Loaded,
    copied: &Copied<'_>,
    options: &Proof,
) -> Result<(Strips, Printed), Failure> {
    let mut drawer = Drawer::default();
    let mut strips = Strips::new();
    let mut said = Vec::new();
    if options.facsimile.is_empty() {
        let from = if is_stream(&loaded.path) { Path::new(".") } else { folder(&loaded.path) };
        for one in &copied.example().piece().head.facsimiles {
            let Facsimile { x, y, width, height, angle, .. } = *one;
            let place = [x, y, width, height, angle];
            match drawer.strip(&from.join(&one.file), one.page, place) {
                Ok(strip) => drop(strips.insert((one.voice, one.line), strip)),
                Err(why) => said.push(why),
            }
        }
    } else {
        let matched = matched(copied, &options.facsimile)?;
        said = matched.said;
        for placed in matched.placed {
            let found = placed.found;
            let box_ = &found.strip;
            let place = [box_.x, box_.y, box_.width, box_.height, box_.angle];
            match drawer.strip(&found.file, found.page, place) {
                Ok(strip) => drop(strips.insert((Some(placed.voice), placed.line), strip)),
                Err(why) => said.push(why),
            }
        }
    }
    said.dedup();
    let lines = said.iter().map(|said| Printed::plain(format!("{}: {said}\n", loaded.name)));
    Ok((strips, lines.fold(Printed::default(), |all, line| all + line)))
}

/// Pages that strips are cut out of, each read once.
#[derive(Default)]
struct Drawer {
    files: HashMap<PathBuf, Result<Pictures, String>>,
    pages: HashMap<(PathBuf, u32), Arc<[u8]>>,
}

impl Drawer {
    /// A box of a page, in the units of the file; or why it cannot be had.
    fn strip(&mut self, path: &Path, page: u32, place: [f64; 5]) -> Result<Strip, String> {
        let file = self
            .files
            .entry(path.to_owned())
            .or_insert_with(|| Pictures::read(path).map_err(|failure| failure.to_string()));
        let file = file.as_ref().map_err(Clone::clone)?;
        let read = (page as usize).checked_sub(1).and_then(|page| file.pages.get(page));
        let read = read.ok_or_else(|| format!("{} has no page {page}", shown(path)))?;
        let is_pdf = !file.bytes.starts_with(b"\x89PNG") && !file.bytes.starts_with(b"\xff\xd8");
        let picture = match self.pages.entry((path.to_owned(), page)) {
            Entry::Occupied(there) => there.get().clone(),
            Entry::Vacant(free) if is_pdf => {
                let drawn = read.png().map_err(|error| format!("{}: {error}", shown(path)))?;
                free.insert(drawn.into()).clone()
            }
            Entry::Vacant(free) => free.insert(file.bytes.as_slice().into()).clone(),
        };
        let [x, y, width, height] = [0, 1, 2, 3].map(|at| place[at] * read.scale);
        let size = read.picture.dimensions();
        Ok(Strip { picture, size, x, y, width, height, angle: place[4] })
    }
}
