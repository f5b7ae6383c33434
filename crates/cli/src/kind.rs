//! The kinds of score that can be written.

use std::path::Path;

use clap::ValueEnum;

/// A kind of score that can be written.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Kind {
    Musicxml,
    Mxl,
    Svg,
    Pdf,
    Png,
    Mid,
}

impl Kind {
    /// The ending of its files' names.
    pub(crate) fn ending(self) -> &'static str {
        match self {
            Kind::Musicxml => "musicxml",
            Kind::Mxl => "mxl",
            Kind::Svg => "svg",
            Kind::Pdf => "pdf",
            Kind::Png => "png",
            Kind::Mid => "mid",
        }
    }

    /// The kind of a file by its name.
    pub(crate) fn of(path: &Path) -> Option<Kind> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        Kind::value_variants().iter().copied().find(|kind| kind.ending() == ending)
    }
}
