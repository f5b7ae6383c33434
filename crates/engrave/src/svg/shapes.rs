//! The drawings that an SVG file has once and refers to.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use super::number::Digits;
use super::path;
use crate::fonts::Face;
use crate::frame::{Ink, Item, Role};
use crate::glyphs::{Sign, Signs};
use crate::lettering;
use crate::look::Look;
use crate::outline::Outline;
use crate::practice::{STAFF, STEM, STEM_BEGINS};
use crate::units::{Mm, Point, Sp};

/// A drawing that is referred to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Shape {
    /// A sign in thousandths of its usual size, perhaps upside down.
    Sign { sign: Sign, size: u32, flipped: bool },
    /// A head with its stem, which ends so many quarters of a space away.
    Note { head: Sign, up: bool, quarters: u32 },
    /// A glyph of a face, in thousandths of the em.
    Letter(Face, u32),
}

impl Shape {
    pub(super) fn of_sign(sign: Sign, scale: f64, flipped: bool) -> Shape {
        Shape::Sign { sign, size: (scale * 1000.0).round() as u32, flipped }
    }

    /// The head and the stem of a note as one drawing, if that has the usual distances; with it the
    /// place of the head.
    pub(super) fn of_note(head: &Item, stem: &Item, signs: &Signs) -> Option<(Shape, Point)> {
        let Ink::Sign { sign, at, scale, flipped: false } = head.ink else { return None };
        let Ink::Line { from, to, thickness } = stem.ink else { return None };
        let roles = (head.role, stem.role) == (Role::Head, Role::Stem);
        if !roles || (scale, thickness) != (1.0, STEM) {
            return None;
        }
        let up = to.y < at.y;
        let quarters = ((to.y - at.y).abs() / Sp(0.25)).round();
        let shape = Shape::Note { head: sign, up, quarters: quarters as u32 };
        let (usual_from, usual_to) = stem_of(sign, up, quarters, signs);
        let near = |one: Point, other: Point| {
            (at.x + other.x - one.x).abs() < Sp(0.005) && (at.y + other.y - one.y).abs() < Sp(0.005)
        };
        (near(from, usual_from) && near(to, usual_to)).then_some((shape, at))
    }

    /// The id of the drawing: the same in all files with staves as high, since it says what is drawn,
    /// and another where the drawing has another size.
    pub(super) fn id(self, space: Mm) -> String {
        let mut id = match self {
            Shape::Sign { sign, size, flipped } => {
                let size = if size == 1000 { String::new() } else { format!("-{size}") };
                format!("{}{size}{}", name(sign), if flipped { "-f" } else { "" })
            }
            Shape::Note { head, up, quarters } => {
                format!("{}{}{quarters}", name(head), if up { 'u' } else { 'd' })
            }
            Shape::Letter(face, glyph) => {
                let face = match face {
                    Face::Music => 'M',
                    Face::Roman => 'R',
                    Face::Italic => 'I',
                    Face::Bold => 'B',
                };
                return format!("{face}{glyph}");
            }
        };
        let usual = Look::STAFF.0 / STAFF.0;
        if (space.0 - usual).abs() > 1e-6 {
            let _ = write!(id, "_{}", (space.0 * 1000.0).round());
        }
        id
    }

    /// Its path data at a place; `scale` is as long as a space, or as the em of a letter.
    pub(super) fn draw(
        self,
        signs: &Signs,
        scale: f64,
        at: (f64, f64),
        digits: Digits,
        out: &mut String,
    ) {
        let mut path =
            |outline: &Outline, scale: f64| path::outline(outline, scale, at, digits, out);
        match self {
            Shape::Sign { sign, size, flipped } => {
                let drawn = signs.outline(sign).clone();
                let drawn = if flipped { drawn.flipped() } else { drawn };
                path(&drawn, scale * f64::from(size) / 1000.0);
            }
            Shape::Note { head, up, quarters } => {
                path(signs.outline(head), scale);
                // The way round that heads go: where outlines of one path go opposite ways, they make a hole.
                let mut corners = stem(head, up, quarters, signs);
                if up {
                    corners.reverse();
                }
                path(&Outline::polygon(corners), scale);
            }
            Shape::Letter(face, glyph) => path(&lettering::outline(face, glyph), scale),
        }
    }

    /// Defines it.
    fn define(self, signs: &Signs, space: Mm, out: &mut String) {
        let id = self.id(space);
        match self {
            // Notes are many, and their heads are few.
            Shape::Note { head, up, quarters } => {
                let stem = Outline::polygon(stem(head, up, quarters, signs));
                let head = Shape::of_sign(head, 1.0, false).id(space);
                let _ = write!(out, "<g id=\"{id}\"><use href=\"#{head}\"/><path d=\"");
                path::outline(&stem, space.0, (0.0, 0.0), Digits(3), out);
                out.push_str("\"/></g>\n");
            }
            // Letters are in thousandths of the em, whatever the size.
            Shape::Sign { .. } | Shape::Letter(..) => {
                let (scale, digits) = match self {
                    Shape::Letter(..) => (1000.0, Digits(0)),
                    _ => (space.0, Digits(3)),
                };
                let _ = write!(out, "<path id=\"{id}\" d=\"");
                self.draw(signs, scale, (0.0, 0.0), digits, out);
                out.push_str("\"/>\n");
            }
        }
    }
}

/// The corners of the stem of a head, which ends so many quarters of a space away.
fn stem(head: Sign, up: bool, quarters: u32, signs: &Signs) -> [(f64, f64); 4] {
    let (from, to) = stem_of(head, up, f64::from(quarters), signs);
    let (left, right) = ((from.x - STEM / 2.0).0, (from.x + STEM / 2.0).0);
    [(left, from.y.0), (right, from.y.0), (right, to.y.0), (left, to.y.0)]
}

/// Where the stem of a head begins and ends, from the place of the head.
fn stem_of(head: Sign, up: bool, quarters: f64, signs: &Signs) -> (Point, Point) {
    let half = STEM / 2.0;
    let x = if up { signs.width(head) - half } else { half };
    let side = if up { -1.0 } else { 1.0 };
    (Point::new(x, STEM_BEGINS * side), Point::new(x, Sp(quarters / 4.0 * side)))
}

/// The name of a sign in ids.
fn name(sign: Sign) -> String {
    let head = match sign {
        Sign::HeadMaxima => "hm",
        Sign::HeadLonga => "hl",
        Sign::HeadBreve => "hb",
        Sign::HeadWhole => "h1",
        Sign::HeadHalf => "h2",
        Sign::HeadBlack => "h4",
        other => return format!("{other:?}").to_lowercase(),
    };
    head.to_owned()
}

/// The drawings that a file refers to.
#[derive(Default)]
pub(super) struct Shapes(BTreeSet<Shape>);

impl Shapes {
    /// The id of a drawing, which is then defined.
    pub(super) fn id(&mut self, shape: Shape, space: Mm) -> String {
        if let Shape::Note { head, .. } = shape {
            self.0.insert(Shape::of_sign(head, 1.0, false));
        }
        self.0.insert(shape);
        shape.id(space)
    }

    /// The definitions.
    pub(super) fn write(&self, signs: &Signs, space: Mm, out: &mut String) {
        out.push_str("<defs>\n");
        for shape in &self.0 {
            shape.define(signs, space, out);
        }
        out.push_str("</defs>\n");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_say_what_is_drawn() {
        let usual = Mm(1.5);
        let note = Shape::Note { head: Sign::HeadHalf, up: true, quarters: 14 };
        assert_eq!(note.id(usual), "h2u14");
        assert_eq!(note.id(Mm(2.25)), "h2u14_2250");
        assert_eq!(Shape::of_sign(Sign::Sharp, 1.0, false).id(usual), "sharp");
        assert_eq!(Shape::of_sign(Sign::Flag1, 0.87, true).id(usual), "flag1-870-f");
        assert_eq!(Shape::Letter(Face::Italic, 40).id(Mm(2.25)), "I40");
    }

    #[test]
    fn no_two_signs_have_one_id() {
        let ids: BTreeSet<String> = Sign::ALL.iter().map(|sign| name(*sign)).collect();
        assert_eq!(ids.len(), Sign::ALL.len());
    }
}
