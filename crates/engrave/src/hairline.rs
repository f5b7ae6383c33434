//! Lines thick enough for what they are drawn on.

use crate::frame::{Ink, Picture};
use crate::units::{Mm, Sp};

/// The thinnest line that printers promise to print: a quarter of a point (common practice).
pub(crate) const PRINTED: Mm = Mm(25.4 / 72.0 / 4.0);

/// The picture with no line thinner than that.
pub(crate) fn thickened(picture: &Picture, least: Mm) -> Picture {
    let mut picture = picture.clone();
    let least = Sp(least / picture.space);
    for item in picture.blocks.iter_mut().flat_map(|block| &mut block.frame.items) {
        if let Ink::Line { thickness, .. } = &mut item.ink {
            *thickness = thickness.max(least);
        }
    }
    picture
}

/// The picture with upright and level lines that fill whole pixels, so that all lines of a staff are
/// equally thick and black; none moves by more than half a pixel.
pub(crate) fn on_pixels(picture: &Picture, pixel: Mm) -> Picture {
    let mut picture = thickened(picture, pixel);
    let pixel = Sp(pixel / picture.space);
    for block in &mut picture.blocks {
        let (left, top) = (Sp(block.x / picture.space), Sp(block.y / picture.space));
        for item in &mut block.frame.items {
            let Ink::Line { from, to, thickness } = &mut item.ink else { continue };
            let level = (from.y - to.y).abs() < Sp(1e-6);
            if !level && (from.x - to.x).abs() > Sp(1e-6) {
                continue;
            }
            let whole = Sp((*thickness / pixel).round() * pixel.0);
            // The middle of the line, so that its edge lies between two pixels.
            let snapped = |middle: Sp, origin: Sp| {
                let edge = ((origin + middle - whole / 2.0) / pixel).round();
                pixel * edge + whole / 2.0 - origin
            };
            if level {
                from.y = snapped(from.y, top);
                to.y = from.y;
            } else {
                from.x = snapped(from.x, left);
                to.x = from.x;
            }
            *thickness = whole;
        }
    }
    picture
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{TWO_VOICES, picture};

    fn thinnest(picture: &Picture) -> Mm {
        let items = picture.blocks.iter().flat_map(|block| &block.frame.items);
        let lines = items.filter_map(|item| match item.ink {
            Ink::Line { thickness, .. } => Some(picture.space * thickness.0),
            _ => None,
        });
        lines.fold(Mm(f64::INFINITY), Mm::min)
    }

    #[test]
    fn a_thin_line_becomes_thicker() {
        let mut picture = picture(TWO_VOICES);
        picture.space = Mm(0.5);
        assert!(thinnest(&picture) < PRINTED);
        assert!((thinnest(&thickened(&picture, PRINTED)) - PRINTED).abs() < Mm(1e-9));
    }

    #[test]
    fn lines_fill_pixels() {
        let pixel = Mm(0.127);
        let picture = on_pixels(&picture(TWO_VOICES), pixel);
        for block in &picture.blocks {
            for item in &block.frame.items {
                let Ink::Line { from, to, thickness } = item.ink else { continue };
                let edge = if from.y == to.y {
                    block.y + picture.space * (from.y - thickness / 2.0).0
                } else {
                    block.x + picture.space * (from.x - thickness / 2.0).0
                };
                for length in [edge, picture.space * thickness.0] {
                    let pixels = length / pixel;
                    assert!((pixels - pixels.round()).abs() < 1e-6, "{:?}: {pixels}", item.role);
                }
            }
        }
    }

    #[test]
    fn a_thick_line_stays() {
        let picture = picture(TWO_VOICES);
        assert_eq!(thickened(&picture, PRINTED), picture);
    }
}
