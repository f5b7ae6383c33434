//! Bar lines, repeats, and the line that joins the staves of a system.

use score::Close;

use crate::frame::{Ink, Item, Role};
use crate::glyphs::Sign;
use crate::look::BarLines;
use crate::practice::{BAR_LINE, BETWEEN_BAR_LINES, STAFF, STAFF_LINE, THICK_BAR_LINE};
use crate::spacing::REPEAT_DOTS;
use crate::units::{Area, Point, Sp};

/// Draws bar lines on staves at these heights.
pub(super) struct BarLinePen<'t> {
    /// Where the staves begin, from the top.
    pub(super) tops: &'t [Sp],
    pub(super) look: BarLines,
    /// Where words stand between the staves that no line is to run through.
    pub(super) spared: &'t [Area],
    pub(super) items: &'t mut Vec<Item>,
}

impl BarLinePen<'_> {
    /// The bar line whose left edge is at `x`.
    pub(super) fn close(&mut self, close: Close, x: Sp) {
        match close {
            Close::Plain => match self.look {
                BarLines::Through => self.through(x, BAR_LINE),
                BarLines::Between => self.between(x),
                BarLines::None => {}
            },
            Close::Section => {
                self.through(x, BAR_LINE);
                self.through(x + BAR_LINE + BETWEEN_BAR_LINES, BAR_LINE);
            }
            Close::Final => {
                self.through(x, BAR_LINE);
                self.through(x + BAR_LINE + BETWEEN_BAR_LINES, THICK_BAR_LINE);
            }
            Close::Repeat | Close::FinalRepeat => {
                self.dots(x);
                self.through(x + REPEAT_DOTS, BAR_LINE);
                self.through(x + REPEAT_DOTS + BAR_LINE + BETWEEN_BAR_LINES, THICK_BAR_LINE);
            }
        }
    }

    /// The sign with which a repeated section begins.
    pub(super) fn repeat_begins(&mut self, x: Sp) {
        self.through(x, THICK_BAR_LINE);
        self.through(x + THICK_BAR_LINE + BETWEEN_BAR_LINES, BAR_LINE);
        self.dots(x + THICK_BAR_LINE + BETWEEN_BAR_LINES + BAR_LINE + Sp(0.35));
    }

    /// The line at the left end of a system of several staves.
    pub(super) fn joining(&mut self) {
        if self.tops.len() > 1 {
            self.through(Sp::ZERO, BAR_LINE);
        }
    }

    fn through(&mut self, x: Sp, thickness: Sp) {
        let (Some(first), Some(last)) = (self.tops.first(), self.tops.last()) else { return };
        self.line(x, *first - STAFF_LINE / 2.0, *last + STAFF + STAFF_LINE / 2.0, thickness);
    }

    fn between(&mut self, x: Sp) {
        for pair in self.tops.windows(2) {
            self.line(x, pair[0] + STAFF, pair[1], BAR_LINE);
        }
    }

    fn line(&mut self, x: Sp, top: Sp, bottom: Sp, thickness: Sp) {
        let middle = x + thickness / 2.0;
        let line = Area::new(x, top, x + thickness, bottom);
        let mut gaps: Vec<(Sp, Sp)> = self
            .spared
            .iter()
            .filter(|words| words.meets(line))
            .map(|words| (words.top, words.bottom))
            .collect();
        gaps.sort_by(|one, other| one.0.0.total_cmp(&other.0.0));
        gaps.push((bottom, bottom));
        let mut from = top;
        for (gap, end) in gaps {
            if gap > from {
                let (from, to) = (Point::new(middle, from), Point::new(middle, gap));
                let ink = Ink::Line { from, to, thickness };
                self.items.push(Item { role: Role::BarLine, of: None, ink });
            }
            from = from.max(end);
        }
    }

    fn dots(&mut self, x: Sp) {
        for top in self.tops {
            for y in [Sp(1.5), Sp(2.5)] {
                let at = Point::new(x, *top + y);
                let ink = Ink::Sign { sign: Sign::Dot, at, scale: 1.0, flipped: false };
                self.items.push(Item { role: Role::BarLine, of: None, ink });
            }
        }
    }
}
