//! A strip of a page picture, to be printed above the line that was copied from it.

use std::sync::Arc;

/// A box in a picture of a page, turned round its middle: what [`notation::Facsimile`] says of a line, with
/// the picture itself.
///
/// Lengths are in pixels of the picture, from its upper left corner.
#[derive(Clone, PartialEq, Debug)]
pub struct Strip {
    /// The bytes of the picture, PNG or JPEG. The strips of a page share them.
    pub picture: Arc<[u8]>,
    /// How many pixels it is wide and high.
    pub size: (u32, u32),
    /// The left edge of the box, before it is turned.
    pub x: f64,
    /// Its upper edge.
    pub y: f64,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// By how many degrees it is turned, clockwise: the picture is turned back by as much.
    pub angle: f64,
}

/// The formats that a strip may be of.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Format {
    Png,
    Jpeg,
}

impl Strip {
    /// Its format, by its first bytes (PNG specification, section 5.2; ISO/IEC 10918-1, annex B); nothing
    /// where it is of no known one.
    pub(crate) fn format(&self) -> Option<Format> {
        match &*self.picture {
            [0x89, b'P', b'N', b'G', ..] => Some(Format::Png),
            [0xff, 0xd8, 0xff, ..] => Some(Format::Jpeg),
            _ => None,
        }
    }

    /// How high it is where it is so wide.
    pub(crate) fn height_at(&self, width: f64) -> f64 {
        if self.width > 0.0 { width * self.height / self.width } else { 0.0 }
    }
}
