//! Lengths that cannot be mixed up, and the geometry made of them.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

macro_rules! length {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, PartialOrd, Debug, Default)]
        pub struct $name(pub f64);

        impl $name {
            /// No length.
            pub const ZERO: $name = $name(0.0);

            /// The greater of two.
            #[must_use]
            pub fn max(self, other: $name) -> $name {
                $name(self.0.max(other.0))
            }

            /// The lesser of two.
            #[must_use]
            pub fn min(self, other: $name) -> $name {
                $name(self.0.min(other.0))
            }

            /// Without its sign.
            #[must_use]
            pub fn abs(self) -> $name {
                $name(self.0.abs())
            }
        }

        impl Add for $name {
            type Output = $name;
            fn add(self, other: $name) -> $name {
                $name(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = $name;
            fn sub(self, other: $name) -> $name {
                $name(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = $name;
            fn neg(self) -> $name {
                $name(-self.0)
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: $name) {
                self.0 += other.0;
            }
        }

        impl SubAssign for $name {
            fn sub_assign(&mut self, other: $name) {
                self.0 -= other.0;
            }
        }

        impl Mul<f64> for $name {
            type Output = $name;
            fn mul(self, by: f64) -> $name {
                $name(self.0 * by)
            }
        }

        impl Div<f64> for $name {
            type Output = $name;
            fn div(self, by: f64) -> $name {
                $name(self.0 / by)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, by: $name) -> f64 {
                self.0 / by.0
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = $name>>(lengths: I) -> $name {
                lengths.fold($name::ZERO, Add::add)
            }
        }
    };
}

length! {
    /// A length in staff spaces: the distance of two neighbouring staff lines.
    Sp
}

length! {
    /// A length in millimetres.
    Mm
}

/// A point of a frame: `x` grows to the right, `y` downwards.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
#[allow(missing_docs)]
pub struct Point {
    pub x: Sp,
    pub y: Sp,
}

impl Point {
    /// The point at these coordinates.
    pub const fn new(x: Sp, y: Sp) -> Point {
        Point { x, y }
    }

    /// The point so far to the right and down of this one.
    #[must_use]
    pub fn moved(self, x: Sp, y: Sp) -> Point {
        Point::new(self.x + x, self.y + y)
    }
}

/// An upright rectangle of a frame.
#[derive(Clone, Copy, PartialEq, Debug)]
#[allow(missing_docs)]
pub struct Area {
    pub left: Sp,
    pub top: Sp,
    pub right: Sp,
    pub bottom: Sp,
}

impl Area {
    /// Nothing yet: [`Area::with`] makes it grow.
    pub const EMPTY: Area = Area {
        left: Sp(f64::INFINITY),
        top: Sp(f64::INFINITY),
        right: Sp(f64::NEG_INFINITY),
        bottom: Sp(f64::NEG_INFINITY),
    };

    /// From its edges, in the order of reading: left, top, right, bottom.
    pub const fn new(left: Sp, top: Sp, right: Sp, bottom: Sp) -> Area {
        Area { left, top, right, bottom }
    }

    /// Grown so that it holds the point.
    #[must_use]
    pub fn with(self, point: Point) -> Area {
        Area {
            left: self.left.min(point.x),
            top: self.top.min(point.y),
            right: self.right.max(point.x),
            bottom: self.bottom.max(point.y),
        }
    }

    /// Grown so that it holds the other.
    #[must_use]
    pub fn and(self, other: Area) -> Area {
        Area {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    /// Moved to the right and down.
    #[must_use]
    pub fn moved(self, x: Sp, y: Sp) -> Area {
        Area {
            left: self.left + x,
            top: self.top + y,
            right: self.right + x,
            bottom: self.bottom + y,
        }
    }

    /// Grown by a margin on all sides, or shrunk by a negative one.
    #[must_use]
    pub fn grown(self, x: Sp, y: Sp) -> Area {
        Area {
            left: self.left - x,
            top: self.top - y,
            right: self.right + x,
            bottom: self.bottom + y,
        }
    }

    /// Whether the two have a part in common that is more than an edge.
    pub fn meets(self, other: Area) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// Whether the point lies inside.
    pub fn contains(self, point: Point) -> bool {
        self.left < point.x && point.x < self.right && self.top < point.y && point.y < self.bottom
    }

    /// Its middle.
    pub fn middle(self) -> Point {
        Point::new((self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0)
    }

    /// From left to right.
    pub fn width(self) -> Sp {
        self.right - self.left
    }

    /// From top to bottom.
    pub fn height(self) -> Sp {
        self.bottom - self.top
    }
}
