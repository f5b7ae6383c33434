//! The systems of the score, each drawn by itself, and written anew only where it looks otherwise.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use cartella::{Arranged, BarLines, Look, Mm, Picture, apart, live_svg};

use crate::message::Drawn;

/// The systems that were drawn last.
#[derive(Default)]
pub(crate) struct Systems(Vec<(Picture, Drawn)>);

impl Systems {
    /// Draws an arrangement, so wide.
    pub(crate) fn draw(&mut self, arranged: &Arranged<'_>, width: Mm) -> Vec<Drawn> {
        let look = Look { width, margin: Mm(1.0), bar_lines: BarLines::Through, ..Look::default() };
        let pictures = apart(&arranged.picture(&look));
        let mut before: Vec<Option<(Picture, Drawn)>> =
            std::mem::take(&mut self.0).into_iter().map(Some).collect();
        self.0 = pictures
            .into_iter()
            .enumerate()
            .map(|(place, picture)| {
                let same = before
                    .get_mut(place)
                    .and_then(|before| before.take_if(|(before, _)| *before == picture));
                same.unwrap_or_else(|| {
                    let drawn = drawn(&picture);
                    (picture, drawn)
                })
            })
            .collect();
        self.0.iter().map(|(_, drawn)| drawn.clone()).collect()
    }
}

/// How wide all is drawn, in millimetres: as a page may be. What is no number is the least.
pub(crate) fn within(width: f64) -> Mm {
    let [least, most] = Look::WIDTH_RANGE;
    Mm(width).max(least).min(most)
}

fn drawn(picture: &Picture) -> Drawn {
    let svg = live_svg(picture);
    let hash = hash(&svg);
    let hundredths = |length: Mm| (length.0 * 100.0).round() / 100.0;
    let (width, height) = (hundredths(picture.width), hundredths(picture.height));
    Drawn { hash, svg: Some(svg), width, height }
}

/// Tells drawings apart; it need not stay the same from one version of the program to the next.
fn hash(text: &str) -> String {
    let mut hasher = DefaultHasher::new();
    text.hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}
