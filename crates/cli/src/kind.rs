//! The kinds of score that can be written.

use std::path::Path;

use clap::ValueEnum;

/// A kind of score that can be written.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Kind {
    #[value(alias = "xml")]
    Musicxml,
    Mxl,
    Svg,
    Pdf,
    Png,
    #[value(alias = "midi")]
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

    /// The kind of a file by its name: `.xml` and `.midi` are endings too.
    pub(crate) fn of(path: &Path) -> Option<Kind> {
        Kind::from_str(path.extension()?.to_str()?, true).ok()
    }
}
