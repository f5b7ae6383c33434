//! Pictures in pixels: drawn by resvg, kept as PNG files, compared.

use std::fs::File;
use std::io::{BufReader, BufWriter};
use std::path::Path;

use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg;

/// Pixels to a millimetre in the pictures that are kept.
const PIXELS_KEPT: f32 = 4.0;

/// How much a square of four pixels may differ from the kept picture, of 255: machines round alike
/// but for a shade.
const TOLERANCE: u32 = 6;

/// Compares an SVG file with the picture of that name in `tests/tests/pictures`, which
/// `INSTA_UPDATE=always` draws anew.
///
/// # Panics
/// If it differs.
pub fn compare_with_kept(name: &str, svg: &str) {
    let raster = rendered(svg, PIXELS_KEPT);
    let name = name.replace([' ', ',', '\''], "_");
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/pictures/{name}.png"));
    if std::env::var_os("INSTA_UPDATE").is_some_and(|update| update == "always") {
        raster.write(&kept);
    }
    let before = Raster::read(&kept);
    assert_eq!((before.width, before.height), (raster.width, raster.height), "{name}");
    let difference = before.worst_square(&raster, 4);
    assert!(difference <= TOLERANCE, "{name} differs from the kept picture by {difference}");
}

/// A picture in pixels: how black each is, row by row.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Raster {
    /// Pixels in a row.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// From 0, white, to 255, black.
    pub black: Vec<u8>,
}

/// An SVG file as resvg draws it, so many pixels to a millimetre.
///
/// # Panics
/// If it cannot be drawn.
pub fn rendered(svg: &str, pixels_per_mm: f32) -> Raster {
    let tree = usvg::Tree::from_str(svg, &usvg::Options::default()).expect("the SVG is valid");
    // usvg counts 96 pixels to an inch.
    let scale = pixels_per_mm * 25.4 / 96.0;
    let size = tree.size();
    let (width, height) = (size.width() * scale, size.height() * scale);
    let mut pixels =
        Pixmap::new(width.ceil() as u32, height.ceil() as u32).expect("the picture has a size");
    pixels.fill(Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixels.as_mut());
    Raster {
        width: pixels.width(),
        height: pixels.height(),
        black: pixels.pixels().iter().map(|pixel| 255 - pixel.green()).collect(),
    }
}

impl Raster {
    /// How black a pixel is; nothing is black outside of the picture.
    fn at(&self, x: u32, y: u32) -> u8 {
        let inside = x < self.width && y < self.height;
        if inside { self.black[(y * self.width + x) as usize] } else { 0 }
    }

    /// How black all pixels of a square are together.
    fn square(&self, left: u32, top: u32, side: u32) -> u32 {
        let pixels = (top..top + side).flat_map(|y| (left..left + side).map(move |x| (x, y)));
        pixels.map(|(x, y)| u32::from(self.at(x, y))).sum()
    }

    /// Where two pictures differ most: both are cut into squares, and of each the average is
    /// taken, so that edges drawn a little softer or harder do not count. From 0 to 255.
    pub fn worst_square(&self, other: &Raster, side: u32) -> u32 {
        let squares = self.corners(other, side).map(|(left, top)| {
            self.square(left, top, side).abs_diff(other.square(left, top, side))
        });
        squares.max().unwrap_or(0) / (side * side)
    }

    /// The same in squares without a border: a pixel counts less the farther it is from the middle, down
    /// to nothing at a `side`, and the squares overlap by half. So a line that is drawn one row of pixels
    /// higher or lower counts little wherever it is.
    pub fn worst_blur(&self, other: &Raster, side: u32) -> u32 {
        let weight = |place: u32| (side - place.abs_diff(side)) as i32;
        let difference = |x: u32, y: u32| i32::from(self.at(x, y)) - i32::from(other.at(x, y));
        let squares = self.corners(other, side).map(|(left, top)| {
            let row = |y: u32| -> i32 {
                let pixels = (1..2 * side).map(|x| weight(x) * difference(left + x, top + y));
                pixels.sum()
            };
            let all: i32 = (1..2 * side).map(|y| weight(y) * row(y)).sum();
            all.unsigned_abs()
        });
        squares.max().unwrap_or(0) / side.pow(4)
    }

    /// The upper left corners of squares that cover both pictures.
    fn corners(&self, other: &Raster, side: u32) -> impl Iterator<Item = (u32, u32)> + use<> {
        let (width, height) = (self.width.max(other.width), self.height.max(other.height));
        let tops = (0..height).step_by(side as usize);
        tops.flat_map(move |top| (0..width).step_by(side as usize).map(move |left| (left, top)))
    }

    /// Reads a PNG file of 8 bits a channel; of colours, green counts, as in
    /// [`rendered`].
    ///
    /// # Panics
    /// If it is no such file.
    pub fn read(path: &Path) -> Raster {
        let file = File::open(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let mut reader = png::Decoder::new(BufReader::new(file)).read_info().expect("a PNG file");
        let mut bytes = vec![0; reader.output_buffer_size().expect("a small PNG file")];
        let frame = reader.next_frame(&mut bytes).expect("a whole PNG file");
        assert_eq!(frame.bit_depth, png::BitDepth::Eight);
        let channels = frame.color_type.samples();
        let green = usize::from(channels >= 3);
        let black = bytes.chunks_exact(channels).map(|pixel| 255 - pixel[green]).collect();
        Raster { width: frame.width, height: frame.height, black }
    }

    /// Writes a PNG file in shades of grey.
    ///
    /// # Panics
    /// If it cannot be written.
    pub fn write(&self, path: &Path) {
        let file = File::create(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let mut encoder = png::Encoder::new(BufWriter::new(file), self.width, self.height);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_compression(png::Compression::High);
        let white: Vec<u8> = self.black.iter().map(|black| 255 - black).collect();
        let mut writer = encoder.write_header().expect("a header");
        writer.write_image_data(&white).expect("pixels");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn white(width: u32, height: u32) -> Raster {
        Raster { width, height, black: vec![0; (width * height) as usize] }
    }

    #[test]
    fn a_square_that_differs_is_found() {
        let mut spotted = white(8, 8);
        spotted.black[9] = 160;
        assert_eq!(white(8, 8).worst_square(&spotted, 4), 10);
        assert_eq!(spotted.worst_square(&spotted.clone(), 4), 0);
    }

    /// A line that is a row lower counts little; one that is missing is found.
    #[test]
    fn a_line_a_row_lower_is_nearly_the_same() {
        let line = |row: usize| {
            let mut lined = white(32, 32);
            lined.black[row * 32..(row + 1) * 32].fill(255);
            lined
        };
        assert_eq!(line(15).worst_square(&line(16), 8), 31);
        assert_eq!(line(15).worst_blur(&line(16), 8), 3);
        assert_eq!(line(15).worst_blur(&white(32, 32), 8), 27);
    }

    #[test]
    fn a_file_is_read_as_it_was_written() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("spot.png");
        let mut spotted = white(5, 3);
        spotted.black[7] = 200;
        spotted.write(&path);
        assert_eq!(Raster::read(&path), spotted);
    }
}
