//! Strips of pictures of the source, where somebody has allowed that they are shown.

use std::collections::BTreeMap;
use std::sync::Arc;

use cartella::{Example, Facsimile, Strip, facsimile};

use crate::fault::{Fault, Place};
use crate::text::{Figure, Manuscript};

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

/// The strips of an example and by whose leave they are shown; nothing without that.
pub(crate) fn strips(
    manuscript: &Manuscript,
    figure: &Figure,
    example: Example<'_>,
    pictures: &Pictures,
) -> Option<(Strips, String)> {
    let credit = permission(manuscript, figure)?;
    let strip = |place: &Facsimile| {
        let key = (beside(&figure.file, &place.file), place.page);
        let Page { picture, size, scale } = pictures.get(&key)?.clone().ok()?;
        let [x, y, width, height] =
            [place.x, place.y, place.width, place.height].map(|length| length * scale);
        let strip = Strip { picture, size, x, y, width, height, angle: place.angle };
        Some(((place.voice, place.line), strip))
    };
    let strips: Strips = example.piece().head.facsimiles.iter().filter_map(strip).collect();
    (!strips.is_empty()).then_some((strips, credit))
}

/// Reads the pictures of an example, if they may be shown; each that cannot be read is told once.
pub(crate) fn read(
    (manuscript, figure): (&Manuscript, &Figure),
    example: Example<'_>,
    open: &dyn Fn(&str) -> Result<Vec<u8>, String>,
    pictures: &mut Pictures,
    faults: &mut Vec<Fault>,
) {
    if permission(manuscript, figure).is_none() {
        return;
    }
    for strip in &example.piece().head.facsimiles {
        let file = beside(&figure.file, &strip.file);
        let key = (file.clone(), strip.page);
        if pictures.contains_key(&key) {
            continue;
        }
        let read = open(&file).and_then(|bytes| page(&file, bytes, strip.page));
        if let Err(message) = &read {
            let line = example.document().place(strip.span).0;
            let place = Place { file: figure.file.clone(), line };
            faults.push(Fault { place, message: message.clone() });
        }
        pictures.insert(key, read);
    }
}

/// By whose leave an example's pictures are shown: as is said of it, or else of the book.
fn permission(manuscript: &Manuscript, figure: &Figure) -> Option<String> {
    let own = figure.options.permission.as_ref();
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
