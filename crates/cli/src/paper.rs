//! Paper: whether a score is divided into pages, and how large they are.

use cartella::{Look, Mm, Paper};
use clap::{Args, ValueEnum};

use crate::kind::Kind;

/// What pictures and pages stand on.
#[derive(Args, Clone, Copy)]
pub(crate) struct OnPaper {
    /// Divide the picture into pages, each a file of its own: score-1.svg, score-2.svg; a PDF always
    /// has pages, A4 unless told otherwise
    #[arg(long, value_enum, ignore_case = true, value_name = "PAPER")]
    page: Option<Size>,
    /// Turn the paper
    #[arg(long)]
    landscape: bool,
    /// The white on all sides in millimetres
    #[arg(long, default_value_t = 12, value_name = "MM", value_parser = clap::value_parser!(u8).range(5..=50))]
    margin: u8,
    /// How the source begins each voice, and how far the voice reaches, before the first system: on
    /// pages, always, or never
    #[arg(long, value_enum, ignore_case = true, default_value = "pages", value_name = "WHERE")]
    incipits: Incipits,
    /// Print the editor's notes under the title
    #[arg(long)]
    notes: bool,
    /// How fine a PNG is, in pixels to an inch
    #[arg(long, default_value_t = 200, value_name = "PIXELS", value_parser = clap::value_parser!(u16).range(36..=1200))]
    dpi: u16,
}

#[derive(Clone, Copy, ValueEnum)]
enum Size {
    A4,
    Letter,
}

/// Where incipits stand.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Incipits {
    Pages,
    Always,
    Never,
}

impl OnPaper {
    /// A look with what an edition has over its music: on pages, and on pictures as far as asked for.
    pub(crate) fn look(self, look: Look, on_pages: bool) -> Look {
        let incipits = match self.incipits {
            Incipits::Pages => on_pages,
            Incipits::Always => true,
            Incipits::Never => false,
        };
        let margin = Mm(self.margin.into());
        Look { margin, notes: self.notes, incipits, file_title: on_pages, ..look }
    }

    /// The paper.
    pub(crate) fn paper(self) -> Paper {
        let paper = match self.page {
            None | Some(Size::A4) => Paper::A4,
            Some(Size::Letter) => Paper::LETTER,
        };
        let paper = if self.landscape { paper.landscape() } else { paper };
        Paper { margin: Mm(self.margin.into()), ..paper }
    }

    /// Pixels to an inch.
    pub(crate) fn dpi(self) -> f64 {
        self.dpi.into()
    }

    /// Whether what is of that kind has pages.
    pub(crate) fn divides(self, kind: Kind) -> bool {
        match kind {
            Kind::Pdf => true,
            Kind::Svg | Kind::Png => self.page.is_some(),
            Kind::Musicxml | Kind::Mxl | Kind::Mid => false,
        }
    }

    /// Whether pages are looked at when the score is of these kinds.
    pub(crate) fn divides_any(self, kinds: &[Kind]) -> bool {
        self.page.is_some() || kinds.contains(&Kind::Pdf)
    }

    /// What contradicts itself.
    pub(crate) fn check(self, has_width: bool, kinds: &[Kind]) -> Result<(), &'static str> {
        if has_width && self.page.is_some() {
            return Err(
                "--width is for one picture of the whole piece, and on pages the paper is as \
                        wide as it is: leave out --width or --page",
            );
        }
        if has_width && kinds.contains(&Kind::Pdf) {
            return Err("a PDF stands on paper, which is as wide as it is: leave out --width, or \
                        choose the paper by --page letter or --landscape");
        }
        if self.landscape && !self.divides_any(kinds) {
            return Err(
                "--landscape turns the paper, and a picture of the whole piece is on none: \
                        add --page a4 or --page letter",
            );
        }
        Ok(())
    }
}
