//! The pages of a file as pictures.

use std::fmt;
use std::io::Cursor;

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::hayro_syntax::object::dict::keys::{SUBTYPE, WIDTH};
use hayro::hayro_syntax::object::{Name, Stream};
use hayro::hayro_syntax::page::Page as PdfPage;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use image::{GrayImage, ImageFormat, ImageReader, Limits};

/// The most pixels that a picture is wide or high.
const WIDEST: u32 = 30_000;

/// The most pixels of a picture: a double page of a choir book at 600 to the inch.
const LARGEST: u64 = 300_000_000;

/// The most pages of a PDF file that are looked at.
const MOST_PAGES: usize = 1000;

/// How many pixels a page of a PDF has on its longer side where it has no picture in it.
const DRAWN: f32 = 2400.0;

/// How many pixels a page of a PDF has on either side at most.
const LARGEST_DRAWN: f32 = 6000.0;

/// A page of a file as a picture.
pub struct Page {
    /// In shades of grey.
    pub picture: GrayImage,
    /// How many pixels a unit of the file is: 1 where the file is a picture; for a PDF file, whose unit is
    /// the point, 72 to the inch, those of the picture that is made of the page.
    pub scale: f64,
}

impl Page {
    /// The picture as a PNG file.
    ///
    /// # Errors
    /// If it has no size.
    pub fn png(&self) -> Result<Vec<u8>, Unreadable> {
        let mut bytes = Cursor::new(Vec::new());
        let written = self.picture.write_to(&mut bytes, ImageFormat::Png);
        written.map_err(|error| Unreadable::Broken(error.to_string()))?;
        Ok(bytes.into_inner())
    }
}

/// Why a file cannot be read as pictures.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Unreadable {
    /// It is neither PNG nor JPEG nor PDF.
    Kind,
    /// It has too many pixels or pages.
    Large,
    /// It is damaged, or has what is not known here; what the reader says of it.
    Broken(String),
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unreadable::Kind => write!(f, "it is not a picture: PNG, JPEG and PDF files are read"),
            Unreadable::Large => write!(
                f,
                "it is too large: a picture has at most {} million pixels and is at most {WIDEST} wide \
                 and high; a PDF file has at most {MOST_PAGES} pages",
                LARGEST / 1_000_000
            ),
            Unreadable::Broken(why) => write!(f, "it cannot be read: {why}"),
        }
    }
}

impl std::error::Error for Unreadable {}

/// The pages of a PNG, JPEG or PDF file; the first two have one.
///
/// # Errors
/// If it is none of these, too large, or damaged.
pub fn pages(bytes: &[u8]) -> Result<Vec<Page>, Unreadable> {
    if is_pdf(bytes) {
        return of_pdf(bytes);
    }
    match image::guess_format(bytes) {
        Ok(format @ (ImageFormat::Png | ImageFormat::Jpeg)) => {
            Ok(vec![Page { picture: of_picture(bytes, format)?, scale: 1.0 }])
        }
        _ => Err(Unreadable::Kind),
    }
}

/// A page of such a file, by its number from 1, with how many the file has; nothing where it has no such
/// page. No other page is drawn.
///
/// # Errors
/// As [`pages`].
pub fn page(bytes: &[u8], number: u32) -> Result<Option<(Page, usize)>, Unreadable> {
    let Some(place) = (number as usize).checked_sub(1) else { return Ok(None) };
    if !is_pdf(bytes) {
        let mut all = pages(bytes)?;
        return Ok((place == 0).then(|| (all.remove(0), 1)));
    }
    let pdf = read_pdf(bytes)?;
    let drawn = pdf.pages().get(place).map(|page| drawn(page, &RenderCache::new()));
    Ok(drawn.transpose()?.map(|page| (page, pdf.pages().len())))
}

/// A PDF file may begin with other bytes (ISO 32000-1, annex H, note 13).
fn is_pdf(bytes: &[u8]) -> bool {
    bytes[..bytes.len().min(1024)].windows(5).any(|five| five == b"%PDF-")
}

fn of_picture(bytes: &[u8], format: ImageFormat) -> Result<GrayImage, Unreadable> {
    let broken = |error: image::ImageError| match error {
        image::ImageError::Limits(_) => Unreadable::Large,
        other => Unreadable::Broken(other.to_string()),
    };
    let reader = || {
        let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
        let mut limits = Limits::default();
        limits.max_image_width = Some(WIDEST);
        limits.max_image_height = Some(WIDEST);
        limits.max_alloc = Some(8 * LARGEST);
        reader.limits(limits);
        reader
    };
    let (width, height) = reader().into_dimensions().map_err(broken)?;
    if u64::from(width) * u64::from(height) > LARGEST {
        return Err(Unreadable::Large);
    }
    Ok(reader().decode().map_err(broken)?.into_luma8())
}

fn read_pdf(bytes: &[u8]) -> Result<Pdf, Unreadable> {
    let pdf = Pdf::new(bytes.to_vec())
        .map_err(|error| Unreadable::Broken(format!("{error:?}").to_lowercase()))?;
    if pdf.pages().len() > MOST_PAGES { Err(Unreadable::Large) } else { Ok(pdf) }
}

fn of_pdf(bytes: &[u8]) -> Result<Vec<Page>, Unreadable> {
    let pdf = read_pdf(bytes)?;
    let cache = RenderCache::new();
    pdf.pages().iter().map(|page| drawn(page, &cache)).collect()
}

fn drawn<'a>(page: &'a PdfPage<'a>, cache: &RenderCache<'a>) -> Result<Page, Unreadable> {
    let (width, height) = page.render_dimensions();
    let longer = width.max(height);
    let scale = widest_picture(page).map_or(DRAWN / longer, |pixels| pixels as f32 / width);
    let scale = scale.min(LARGEST_DRAWN / longer);
    if !(width * scale >= 1.0 && height * scale >= 1.0) {
        return Err(Unreadable::Broken("a page has no size".to_owned()));
    }
    // The renderer cuts off parts of pixels.
    let whole = |length: f32| ((length * scale).round() + 0.1) / length;
    let settings =
        PixmapSettings { x_scale: whole(width), y_scale: whole(height), bg_color: WHITE };
    let (interpreter, renderer) = (InterpreterSettings::default(), RenderSettings::default());
    let pixels = render(page, cache, &interpreter, &renderer, &settings);
    let (width, height) = (u32::from(pixels.width()), u32::from(pixels.height()));
    // The weights of red, green and blue in what is seen as light (ITU-R BT.709).
    let grey = pixels.data().iter().map(|pixel| {
        let light =
            2126 * u32::from(pixel.r) + 7152 * u32::from(pixel.g) + 722 * u32::from(pixel.b);
        ((light + 5000) / 10_000) as u8
    });
    let picture = GrayImage::from_raw(width, height, grey.collect()).unwrap_or_default();
    Ok(Page { picture, scale: f64::from(scale) })
}

/// The width of the widest picture on a page, in pixels.
fn widest_picture(page: &PdfPage<'_>) -> Option<u32> {
    let objects = &page.resources().x_objects;
    let widths = objects.keys().filter_map(|name| {
        let dict = objects.get::<Stream<'_>>(name)?.dict().clone();
        let is_image = dict.get::<Name<'_>>(SUBTYPE).is_some_and(|kind| &*kind == b"Image");
        dict.get::<u32>(WIDTH).filter(|_| is_image)
    });
    widths.max()
}
