//! A picture in pixels: the SVG, drawn by resvg.

use png::{BitDepth, ColorType, Encoder, PixelDimensions, Unit};
use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg;

use crate::Error;
use crate::frame::{Ink, Picture};
use crate::hairline::on_pixels;
use crate::svg;
use crate::units::Mm;

/// So many pixels are drawn at once; a long picture is drawn in bands, and takes no more memory.
const BAND: u32 = 1 << 23;

/// A picture with more pixels on a side is not drawn: few programs show it.
const LONGEST: f64 = 65_535.0;

/// Nor is one with more pixels than this; A4 at 1200 to an inch has fewer.
const MOST: f64 = 2e8;

const MM_OF_INCH: f64 = 25.4;

/// CSS pixels in an inch, in which resvg counts.
const CSS_PIXELS: f64 = 96.0;

/// What is behind the music.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Ground {
    /// White paper.
    #[default]
    White,
    /// Nothing, so that whatever the picture is laid upon shows through.
    Transparent,
}

/// The picture as a PNG file with so many pixels to an inch, in shades of grey; in colours
/// where it has coloured marks. The file
/// says its resolution, so that it is printed in its true size, and holds the comment, if there is
/// one (a chunk `tEXt`; Latin-1). Upright and level lines fill whole pixels.
///
/// # Errors
/// If it is too large.
pub fn png(
    picture: &Picture,
    dpi: f64,
    ground: Ground,
    comment: Option<&str>,
) -> Result<Vec<u8>, Error> {
    in_bands(picture, dpi, ground, comment, BAND)
}

/// The same, in bands of so many pixels.
fn in_bands(
    picture: &Picture,
    dpi: f64,
    ground: Ground,
    comment: Option<&str>,
    band: u32,
) -> Result<Vec<u8>, Error> {
    let pixels = |length: Mm| (length.0 * dpi / MM_OF_INCH).round().max(1.0);
    let (width, height) = (pixels(picture.width), pixels(picture.height));
    if width > LONGEST || height > LONGEST || width * height > MOST {
        return Err(Error::TooLarge(width as u64, height as u64));
    }
    let (width, height) = (width as u32, height as u32);
    let white = ground == Ground::White;
    let svg = svg::exact(&on_pixels(picture, Mm(MM_OF_INCH / dpi)), white);
    let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).map_err(Error::unwritten)?;

    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, width, height);
    let colored = is_colored(picture);
    encoder.set_color(match (colored, ground) {
        (true, Ground::White) => ColorType::Rgb,
        (true, Ground::Transparent) => ColorType::Rgba,
        (false, Ground::White) => ColorType::Grayscale,
        (false, Ground::Transparent) => ColorType::GrayscaleAlpha,
    });
    encoder.set_depth(BitDepth::Eight);
    let per_metre = (dpi * 1000.0 / MM_OF_INCH).round() as u32;
    let dimensions = PixelDimensions { xppu: per_metre, yppu: per_metre, unit: Unit::Meter };
    encoder.set_pixel_dims(Some(dimensions));
    if let Some(comment) = comment {
        encoder
            .add_text_chunk("Comment".to_owned(), comment.to_owned())
            .map_err(Error::unwritten)?;
    }
    let mut writer = encoder.write_header().map_err(Error::unwritten)?;
    let mut stream = writer.stream_writer().map_err(Error::unwritten)?;
    let scale = (dpi / CSS_PIXELS) as f32;
    let rows = (band / width).clamp(1, height);
    for top in (0..height).step_by(rows as usize) {
        let rows = rows.min(height - top);
        let mut drawn = Pixmap::new(width, rows).ok_or_else(|| Error::unwritten("no memory"))?;
        if white {
            drawn.fill(Color::WHITE);
        }
        let place = Transform::from_scale(scale, scale).post_translate(0.0, -(top as f32));
        resvg::render(&tree, place, &mut drawn.as_mut());
        let bytes = samples(&drawn, colored, ground);
        std::io::Write::write_all(&mut stream, &bytes).map_err(Error::unwritten)?;
    }
    stream.finish().map_err(Error::unwritten)?;
    writer.finish().map_err(Error::unwritten)?;
    Ok(bytes)
}

/// The samples of what is drawn, as a PNG file has them.
fn samples(drawn: &Pixmap, colored: bool, ground: Ground) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(drawn.pixels().len() * 4);
    for pixel in drawn.pixels() {
        // In the file, colours are not multiplied by how opaque they are.
        let pixel = pixel.demultiply();
        if colored {
            bytes.extend([pixel.red(), pixel.green(), pixel.blue()]);
        } else {
            bytes.push(pixel.green());
        }
        if ground == Ground::Transparent {
            bytes.push(pixel.alpha());
        }
    }
    bytes
}

/// Whether anything in it may be neither black nor grey.
fn is_colored(picture: &Picture) -> bool {
    let mut items = picture.blocks.iter().flat_map(|block| &block.frame.items);
    items.any(|item| matches!(item.ink, Ink::Painted(..) | Ink::Picture { .. }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{TWO_VOICES, picture};

    fn decoded(bytes: &[u8]) -> (png::Info<'static>, Vec<u8>) {
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut pixels).unwrap();
        (reader.info().clone(), pixels)
    }

    #[test]
    fn a_picture_has_the_size_that_it_says() {
        let picture = picture(TWO_VOICES);
        let (info, pixels) = decoded(&png(&picture, 254.0, Ground::White, None).unwrap());
        // Ten pixels to a millimetre, ten thousand to a metre.
        assert_eq!(info.width, 2100);
        assert_eq!(info.height, (picture.height.0 * 10.0).round() as u32);
        assert_eq!(info.pixel_dims.unwrap().xppu, 10_000);
        assert!(pixels.contains(&0) && pixels.contains(&255), "black and white");
    }

    #[test]
    fn a_coloured_mark_is_in_its_colour() {
        let mark = |color: &str| format!("mark Cantus 1-4 {color} \"a\"\n{TWO_VOICES}");
        let (info, pixels) =
            decoded(&png(&picture(&mark("red")), 127.0, Ground::White, None).unwrap());
        assert_eq!(info.color_type, ColorType::Rgb);
        assert!(pixels.chunks(3).any(|pixel| pixel == notation::MarkColor::Red.rgb()));
        let (info, _) = decoded(&png(&picture(&mark("")), 127.0, Ground::White, None).unwrap());
        assert_eq!(info.color_type, ColorType::Grayscale);
    }

    #[test]
    fn what_is_behind_shows_through() {
        let picture = picture(TWO_VOICES);
        let (info, pixels) = decoded(&png(&picture, 127.0, Ground::Transparent, None).unwrap());
        assert_eq!(info.color_type, ColorType::GrayscaleAlpha);
        let (_, white) = decoded(&png(&picture, 127.0, Ground::White, None).unwrap());
        for (pixel, on_white) in pixels.chunks(2).zip(&white) {
            assert!(pixel[0] <= 1, "all ink is black: {pixel:?}");
            assert!((255 - pixel[1]).abs_diff(*on_white) <= 1, "{pixel:?} on white: {on_white}");
        }
        let red = format!("mark Cantus 1-4 red \"a\"\n{TWO_VOICES}");
        let png = png(&crate::testing::picture(&red), 127.0, Ground::Transparent, None).unwrap();
        assert_eq!(decoded(&png).0.color_type, ColorType::Rgba);
    }

    #[test]
    fn bands_join() {
        let picture = picture(TWO_VOICES);
        let whole = decoded(&in_bands(&picture, 127.0, Ground::White, None, BAND).unwrap()).1;
        let bands = decoded(&in_bands(&picture, 127.0, Ground::White, None, 1050 * 7).unwrap()).1;
        // An edge on the border of two samples, of which resvg takes four a pixel, may fall to the
        // other one.
        let differences: Vec<u8> =
            whole.iter().zip(&bands).map(|(one, two)| one.abs_diff(*two)).collect();
        assert!(differences.iter().all(|difference| *difference <= 64));
        let seen = differences.iter().filter(|difference| **difference > 8).count();
        assert!(seen * 1000 < differences.len(), "{seen} of {}", differences.len());
    }

    #[test]
    fn what_is_too_large_is_an_error() {
        let mut picture = picture(TWO_VOICES);
        picture.height = Mm(1e6);
        assert!(matches!(
            png(&picture, 254.0, Ground::White, None),
            Err(Error::TooLarge(2100, 10_000_000))
        ));
    }
}
