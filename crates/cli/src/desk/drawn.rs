//! Pages of pictures that were drawn lately.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::SystemTime;

use cartella::facsimile::Page;

/// Pages that were drawn, the last used last.
#[derive(Default)]
pub(super) struct Drawn(pub(super) Vec<(Key, Arc<Shown>)>);

/// A page of a file as it was at some time.
pub(super) type Key = (PathBuf, SystemTime, u32);

/// A page of a file, ready to be shown.
pub(super) struct Shown {
    pub(super) page: Page,
    /// How many pages the file has.
    pub(super) pages: usize,
    /// It, and what kind of file that is.
    pub(super) bytes: Vec<u8>,
    pub(super) kind: &'static str,
}
