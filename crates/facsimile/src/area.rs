//! Rectangles in pictures.

/// A rectangle in a picture.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Area {
    /// Its left edge.
    pub x: f64,
    /// Its upper edge.
    pub y: f64,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
}

impl Area {
    /// The same in other units, of which a pixel has so many.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Area {
        let Area { x, y, width, height } = self;
        let [x, y, width, height] = [x, y, width, height].map(|length| length * factor);
        Area { x, y, width, height }
    }
}
