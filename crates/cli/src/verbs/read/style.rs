//! `--print-style`: how the print looks that is read.

use std::path::Path;

use cartella::facsimile::Network;

use crate::files::{self, Failure, shown};

/// No file of a style is larger.
const LARGEST: usize = 16 << 20;

/// The network by which pictures are read: that of a style, or the one that ships.
pub(super) fn network(style: Option<&Path>) -> Result<Network, Failure> {
    let Some(path) = style else { return Ok(Network::shipped()) };
    let bytes = files::read(path, LARGEST)?;
    Network::of_style(&bytes).ok_or_else(|| {
        Failure::Said(format!(
            "{} is no style of a print, or that of another version: `cartella read --learn` writes one",
            shown(path)
        ))
    })
}
