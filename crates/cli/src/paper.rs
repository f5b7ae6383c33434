//! Paper: whether a score is divided into pages, and how large they are.

use cartella::{Ground, Look, Mm, Paper, Picture, cropped};
use clap::{Args, ValueEnum};

use crate::kind::Kind;

/// What pictures and pages stand on.
#[derive(Args, Clone, Copy)]
pub(crate) struct OnPaper {
    /// Divide the picture into pages, each a file of its own: score-1.svg, score-2.svg; a PDF always
    /// has pages, A4 unless told otherwise. `fit` is one page that is no larger than the music, for
    /// other documents
    #[arg(long, value_enum, ignore_case = true, value_name = "PAPER")]
    page: Option<Size>,
    /// Turn the paper
    #[arg(long)]
    landscape: bool,
    /// The white on all sides in millimetres: 12 unless told otherwise, 1 on a page that fits
    #[arg(long, value_name = "MM", value_parser = clap::value_parser!(u8).range(0..=50))]
    margin: Option<u8>,
    /// Print the editor's notes, under the last system
    #[arg(long)]
    notes: bool,
    /// How fine a PNG is, in pixels to an inch
    #[arg(long, default_value_t = 200, value_name = "PIXELS", value_parser = clap::value_parser!(u16).range(36..=1200))]
    dpi: u16,
    /// Leave the ground of a PNG transparent, not white
    #[arg(long)]
    transparent: bool,
}

/// What a score alone has on paper.
#[derive(Args, Clone, Copy)]
pub(crate) struct Filling {
    /// How a piece fills its pages: as many as it needs, or one, with smaller staves
    #[arg(long, value_enum, ignore_case = true, default_value = "pages", value_name = "PAGES")]
    fit: Fit,
    /// How the source begins each voice, and how far the voice reaches, before the first system: on
    /// pages, always, or never
    #[arg(long, value_enum, ignore_case = true, default_value = "pages", value_name = "WHERE")]
    incipits: Incipits,
}

impl Filling {
    /// A look with incipits where they are asked for, that fills pages as it is asked for.
    pub(crate) fn look(self, look: Look, on_pages: bool) -> Look {
        let incipits = match self.incipits {
            Incipits::Pages => on_pages,
            Incipits::Always => true,
            Incipits::Never => false,
        };
        Look { incipits, fit: self.fit(), ..look }
    }

    /// Whether incipits are asked for wherever music is drawn.
    pub(crate) fn always_has_incipits(self) -> bool {
        self.incipits == Incipits::Always
    }

    /// How a piece fills its pages.
    pub(crate) fn fit(self) -> cartella::Fit {
        match self.fit {
            Fit::Pages => cartella::Fit::Pages,
            Fit::One => cartella::Fit::OnePage,
        }
    }

    /// What contradicts itself.
    pub(crate) fn check(self, paper: OnPaper, kinds: &[Kind]) -> Result<(), &'static str> {
        if self.fit == Fit::One && (paper.is_cropped() || !paper.divides_any(kinds)) {
            return Err(
                "--fit one sets the piece on one page of paper, and here is no paper: write a \
                        PDF, or add --page a4 or --page letter",
            );
        }
        Ok(())
    }
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Size {
    /// 210 by 297 millimetres
    A4,
    /// 8½ by 11 inches
    Letter,
    /// As large as the music
    Fit,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Fit {
    /// As many as it needs
    Pages,
    /// One
    One,
}

/// The least white on paper: most printers reach no farther.
const LEAST_ON_PAPER: u8 = 5;

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
        let margin = self.margin();
        Look { margin, notes: self.notes, file_title: on_pages, ..look }
    }

    /// The paper.
    pub(crate) fn paper(self) -> Paper {
        let paper = match self.page {
            None | Some(Size::A4 | Size::Fit) => Paper::A4,
            Some(Size::Letter) => Paper::LETTER,
        };
        let paper = if self.landscape { paper.landscape() } else { paper };
        Paper { margin: self.margin(), ..paper }
    }

    /// The white on all sides.
    pub(crate) fn margin(self) -> Mm {
        Mm(self.margin.map_or(if self.is_cropped() { 1.0 } else { 12.0 }, f64::from))
    }

    /// Whether there is no paper, but a page that is no larger than the music.
    pub(crate) fn is_cropped(self) -> bool {
        self.page == Some(Size::Fit)
    }

    /// A picture of the whole piece, cropped if that is asked for.
    pub(crate) fn trimmed(self, picture: Picture) -> Picture {
        if self.is_cropped() { cropped(picture, self.margin()) } else { picture }
    }

    /// What is behind the music of a PNG.
    pub(crate) fn ground(self) -> Ground {
        if self.transparent { Ground::Transparent } else { Ground::White }
    }

    /// Pixels to an inch.
    pub(crate) fn dpi(self) -> f64 {
        self.dpi.into()
    }

    /// Whether what is of that kind has pages.
    pub(crate) fn divides(self, kind: Kind) -> bool {
        match kind {
            Kind::Pdf => true,
            Kind::Svg | Kind::Png => self.page.is_some() && !self.is_cropped(),
            Kind::Musicxml | Kind::Mxl | Kind::Mid | Kind::Wav | Kind::Flac | Kind::Html => false,
        }
    }

    /// Whether pages are looked at when the score is of these kinds.
    pub(crate) fn divides_any(self, kinds: &[Kind]) -> bool {
        self.divides(Kind::Svg) || kinds.contains(&Kind::Pdf)
    }

    /// What contradicts itself.
    pub(crate) fn check(self, has_width: bool, kinds: &[Kind]) -> Result<(), &'static str> {
        if self.margin.is_some_and(|margin| margin < LEAST_ON_PAPER) && !self.is_cropped() {
            return Err(
                "on paper, and around a whole picture, --margin is at least 5; --page fit \
                        takes less",
            );
        }
        if self.transparent && !kinds.contains(&Kind::Png) {
            return Err(
                "--transparent is for the ground of a PNG, and none is written: leave it out, \
                        or name a PNG: -o duo.png",
            );
        }
        if self.is_cropped() {
            return if self.landscape {
                Err("--landscape turns the paper, and --page fit is as large as the music: leave \
                     out one of them")
            } else {
                Ok(())
            };
        }
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
