//! Pictures of pages in an SVG file: each stands once, and strips of it are seen through windows.

use std::fmt::Write as _;
use std::sync::Arc;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use super::number::Number;
use crate::strip::{Format, Strip};

/// The pictures that a file has.
#[derive(Default)]
pub(super) struct Pictures(Vec<Strip>);

impl Pictures {
    /// Shows a strip in a window: left, top, width, height.
    pub(super) fn strip(
        &mut self,
        strip: &Strip,
        (x, y, width, height): (Number, Number, Number, Number),
        out: &mut String,
    ) {
        let is_it = |other: &Strip| Arc::ptr_eq(&other.picture, &strip.picture);
        let place = self.0.iter().position(is_it).unwrap_or_else(|| {
            self.0.push(strip.clone());
            self.0.len() - 1
        });
        let (left, top) = (strip.x + strip.width / 2.0, strip.y + strip.height / 2.0);
        let _ = write!(
            out,
            "<svg x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" viewBox=\"{} {} {} {}\" \
             preserveAspectRatio=\"none\"><use href=\"#page{place}\" transform=\"rotate({} {left} {top})\"/></svg>",
            strip.x, strip.y, strip.width, strip.height, -strip.angle
        );
    }

    /// The definitions.
    pub(super) fn write(&self, out: &mut String) {
        for (place, strip) in self.0.iter().enumerate() {
            let kind = match strip.format() {
                Some(Format::Png) => "png",
                Some(Format::Jpeg) => "jpeg",
                None => continue,
            };
            let (width, height) = strip.size;
            let _ = write!(
                out,
                "<defs><image id=\"page{place}\" width=\"{width}\" height=\"{height}\" \
                 href=\"data:image/{kind};base64,"
            );
            STANDARD.encode_string(&strip.picture, out);
            out.push_str("\"/></defs>\n");
        }
    }
}
