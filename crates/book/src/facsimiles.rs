//! Strips of pictures of the source, where somebody has allowed that they are shown.

use std::collections::BTreeMap;
use std::sync::Arc;

use cartella::{Strip, facsimile};

use crate::fault::Fault;
use crate::text::Manuscript;
use crate::whole::Book;

/// The strips of an example, by voice and line of the source.
pub(crate) type Strips = BTreeMap<(Option<usize>, u32), Strip>;

/// Pictures of pages, by file and page.
pub(crate) type Pictures = BTreeMap<(String, u32), Result<Page, String>>;

/// A picture of a page.
#[derive(Clone, Debug)]
pub(crate) struct Page {
    picture: Arc<[u8]>,
    size: (u32, u32),
    /// Pixels to a unit of the head.
    scale: f64,
}

impl Book {
    /// The strips of an example and by whose leave they are shown; nothing without that.
    pub(crate) fn strips(&self, figure: usize) -> Option<(Strips, String)> {
        let figure = &self.manuscript.figures[figure];
        let credit = permission(&self.manuscript, figure.options.permission.as_ref())?;
        let example = self.example(figure)?;
        let strips: Strips = example
            .piece()
            .head
            .facsimiles
            .iter()
            .filter_map(|strip| {
                let key = (beside(&figure.file, &strip.file), strip.page);
                let Page { picture, size, scale } = self.pictures.get(&key)?.clone().ok()?;
                let strip_of = Strip {
                    picture,
                    size,
                    x: strip.x * scale,
                    y: strip.y * scale,
                    width: strip.width * scale,
                    height: strip.height * scale,
                    angle: strip.angle,
                };
                Some(((strip.voice, strip.line), strip_of))
            })
            .collect();
        (!strips.is_empty()).then_some((strips, credit))
    }

    /// Reads the pictures of all examples that may be shown; each that cannot be read is told once.
    pub(crate) fn read_pictures(
        &mut self,
        open: &dyn Fn(&str) -> Result<Vec<u8>, String>,
    ) -> Vec<Fault> {
        let (mut pictures, mut faults) = (Pictures::new(), Vec::new());
        for figure in &self.manuscript.figures {
            if permission(&self.manuscript, figure.options.permission.as_ref()).is_none() {
                continue;
            }
            let Some(example) = self.example(figure) else { continue };
            for strip in &example.piece().head.facsimiles {
                let file = beside(&figure.file, &strip.file);
                let key = (file.clone(), strip.page);
                if pictures.contains_key(&key) {
                    continue;
                }
                let read = open(&file).and_then(|bytes| page(&file, bytes, strip.page));
                if let Err(message) = &read {
                    let line = self.documents[&figure.file].place(strip.span).0;
                    let place = crate::fault::Place { file: figure.file.clone(), line };
                    faults.push(Fault { place, message: message.clone() });
                }
                pictures.insert(key, read);
            }
        }
        self.pictures = pictures;
        faults
    }
}

/// By whose leave an example's pictures are shown: as is said of it, or else of the book.
fn permission(manuscript: &Manuscript, own: Option<&String>) -> Option<String> {
    own.or(manuscript.options.permission.as_ref()).filter(|said| !said.is_empty()).cloned()
}

/// The name of a file that another names, which stands in the same folder.
fn beside(file: &str, named: &str) -> String {
    match file.rsplit_once('/') {
        Some((folder, _)) => format!("{folder}/{named}"),
        None => named.to_owned(),
    }
}

fn page(file: &str, bytes: Vec<u8>, number: u32) -> Result<Page, String> {
    let is_pdf = !bytes.starts_with(b"\x89PNG") && !bytes.starts_with(b"\xff\xd8");
    let pages = facsimile::pages(&bytes).map_err(|error| format!("{file}: {error}"))?;
    let page = (number as usize).checked_sub(1).and_then(|place| pages.get(place));
    let page = page.ok_or_else(|| format!("{file} has no page {number}"))?;
    let picture =
        if is_pdf { page.png().map_err(|error| format!("{file}: {error}"))? } else { bytes };
    Ok(Page { picture: picture.into(), size: page.picture.dimensions(), scale: page.scale })
}
