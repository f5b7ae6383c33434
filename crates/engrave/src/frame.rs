//! Frames: what is drawn, and for which note. Exporters see these plain types and nothing else.

use std::collections::BTreeSet;
use std::ops::Range;

use notation::{MarkColor, Span};
use rudiments::Time;

use crate::glyphs::{Sign, Signs};
use crate::lettering::{CAPITAL_HEIGHT, DESCENT, Lettering};
use crate::outline::Outline;
use crate::strip::Strip;
use crate::units::{Area, Mm, Point, Sp};

/// A whole picture: blocks below one another.
#[derive(Clone, PartialEq, Debug)]
pub struct Picture {
    /// What the piece is called, for exporters that can say so.
    pub title: Option<String>,
    /// Who wrote it.
    pub composer: Option<String>,
    /// Where it is printed.
    pub source: Option<String>,
    /// The names of the voices, top voice first.
    pub voices: Vec<String>,
    /// The width of the page, margins included.
    pub width: Mm,
    /// Its height, margins included.
    pub height: Mm,
    /// The white on all sides, into which nothing reaches.
    pub margin: Mm,
    /// How large a staff space is.
    pub space: Mm,
    /// The systems with which the editor lets a page begin, by their numbers from 1.
    pub page_begins: Vec<u32>,
    /// The title and the systems, from the top.
    pub blocks: Vec<Block>,
}

impl Picture {
    /// The characters in its words that no face has, each once. Their numbers are drawn instead.
    pub fn missing_characters(&self) -> BTreeSet<char> {
        let items = self.blocks.iter().flat_map(|block| &block.frame.items);
        let missing = items.filter_map(|item| match &item.ink {
            Ink::Letters { letters, .. } => Some(&letters.missing),
            _ => None,
        });
        missing.flatten().copied().collect()
    }
}

/// A frame at its place.
#[derive(Clone, PartialEq, Debug)]
pub struct Block {
    /// Where the origin of the frame lies, from the left of the page.
    pub x: Mm,
    /// Where it lies, from the top of the page.
    pub y: Mm,
    /// What the frame is.
    pub kind: BlockKind,
    /// What is drawn.
    pub frame: Frame,
}

impl Block {
    /// The number of the system, or of the lines of a copy, from 1; none for a title and the like.
    pub fn system(&self) -> Option<u32> {
        match self.kind {
            BlockKind::System(number) | BlockKind::Copy(number) => Some(number),
            BlockKind::Title
            | BlockKind::Incipits
            | BlockKind::Running
            | BlockKind::Notes
            | BlockKind::Plan
            | BlockKind::Text => None,
        }
    }
}

/// What a block is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum BlockKind {
    /// The title of the piece, with its source.
    Title,
    /// How the source begins each voice, before the first system.
    Incipits,
    /// What stands at the head of a page: its number, and the title of a piece that goes on.
    Running,
    /// A system, by its number from 1.
    System(u32),
    /// Bars of the plan of a piece, or its key.
    Plan,
    /// Words between drawings.
    Text,
    /// The editor's notes, under the last system.
    Notes,
    /// Lines of the source in a diplomatic copy: one, or those of all voices; by their number from 1.
    Copy(u32),
}

/// Things drawn around an origin. In a system, the origin is the left end of the uppermost staff
/// line.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Frame {
    /// What is drawn, from the back to the front.
    pub items: Vec<Item>,
    /// The staves of a system, from the top.
    pub staves: Vec<StaffPlace>,
    /// The bars of a system, from 0.
    pub bars: Range<usize>,
    /// When the score of a system begins in the piece; not at its beginning, if it is an excerpt.
    pub begins: Time,
    /// The rectangle around everything.
    pub area: Option<Area>,
}

impl Frame {
    /// The same so many times as large, around its origin.
    #[must_use]
    pub fn scaled(mut self, by: f64) -> Frame {
        let point = |point: Point| Point::new(point.x * by, point.y * by);
        let whole = |area: Area| {
            Area::new(area.left * by, area.top * by, area.right * by, area.bottom * by)
        };
        for item in &mut self.items {
            match &mut item.ink {
                Ink::Sign { at, scale, .. } => (*at, *scale) = (point(*at), *scale * by),
                Ink::Line { from, to, thickness } => {
                    (*from, *to, *thickness) = (point(*from), point(*to), *thickness * by);
                }
                Ink::Shape(outline) | Ink::Painted(outline, _) | Ink::Shaded(outline) => {
                    *outline = std::mem::take(outline).scaled(by);
                }
                Ink::Letters { letters, at } => {
                    (**letters, *at) = (letters.as_ref().clone().scaled(by), point(*at));
                }
                Ink::Picture { area, .. } => *area = whole(*area),
                Ink::Shared => {}
            }
        }
        for staff in &mut self.staves {
            staff.bottom = staff.bottom * by;
            staff.clef_changes.iter_mut().for_each(|(x, _)| *x = *x * by);
        }
        self.area = self.area.map(whole);
        self
    }
}

/// Where a staff of a system stands.
#[derive(Clone, PartialEq, Debug)]
pub struct StaffPlace {
    /// The clef with which it begins.
    pub clef: rudiments::Clef,
    /// The clefs that follow, with the bar lines from which each holds, from the left.
    pub clef_changes: Vec<(Sp, rudiments::Clef)>,
    /// Octaves that it sounds higher than the clef says.
    pub octave_change: i8,
    /// The middle of its lowest line.
    pub bottom: Sp,
}

/// One thing that is drawn.
#[derive(Clone, PartialEq, Debug)]
pub struct Item {
    /// What it is.
    pub role: Role,
    /// The note or rest to which it belongs.
    pub of: Option<Origin>,
    /// How it is drawn.
    pub ink: Ink,
}

/// The note or rest for which something stands: one modern sign; tied signs of one printed note
/// are several.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Origin {
    /// Its voice, from the top, from 0.
    pub voice: usize,
    /// The bar, from 0.
    pub bar: usize,
    /// The number of the bar.
    pub bar_number: u32,
    /// Its place among the voice's signs of the bar, from 0.
    pub place: usize,
    /// Its staff, from the top, from 0.
    pub staff: usize,
    /// When it begins, in minims from the beginning of the score.
    pub onset: Time,
    /// The number of the printed note or rest in its voice, from 1; none for what is supplied.
    pub index: Option<u32>,
    /// Its token in the parts file.
    pub span: Span,
    /// When it is over.
    pub end: Time,
}

/// What an item is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[allow(missing_docs)]
pub enum Role {
    /// A stretch of time that is shaded, behind all else.
    Shade,
    StaffLine,
    LedgerLine,
    BarLine,
    /// Brace or bracket before the staves.
    SystemBracket,
    Clef,
    /// Signs of the signature.
    Signature,
    /// Figures of the meter.
    Meter,
    /// The sign of the period above the meter.
    PeriodSign,
    Head,
    Stem,
    Beam,
    Flag,
    Dot,
    Accidental,
    /// An editor's accidental, small above the staff or before its note.
    Editorial,
    /// Parentheses and square brackets around accidentals, notes and rests.
    Enclosure,
    Rest,
    Tie,
    /// The thin line that leads a voice to the other hand.
    VoiceLead,
    /// The figure of a tuplet.
    TupletFigure,
    /// Brackets of tuplets, ligatures and coloration.
    NoteBracket,
    Corona,
    Signum,
    /// Words of the source, and signs inside the piece.
    Words,
    /// A bracket or an arrow of a mark, or the line under its words.
    Mark,
    /// The circle of a mark.
    MarkCircle,
    /// What a mark says.
    MarkWords,
    /// The number of an interval between two staves, and the line that leads from one to another.
    Figure,
    BarNumber,
    /// What an incipit has beside its clef and signature.
    Incipit,
    VoiceName,
    /// The title of a piece, and the name of an example.
    Title,
    /// Composer, source and editor.
    Heading,
    /// A note of the editor's.
    Note,
    /// Number and running title of a page.
    PageHead,
    /// In a copy: a direct.
    Direct,
    /// What the editor of a copy says: a reading, a doubt, a length.
    Reading,
    /// The bracket over what is read otherwise.
    ReadingBracket,
    /// How many minims have gone by at the end of a line of a copy.
    Count,
    /// The number of a line of the source.
    LineNumber,
    /// The strip of a page picture from which a line was copied.
    Facsimile,
    /// A stretch of a plan in which a voice sounds.
    PlanBand,
    /// A line of a plan: that of a bar, a section or a cadence.
    PlanLine,
    /// An entry in a plan, with its pattern.
    PlanEntry,
    /// Words of a plan.
    PlanWords,
    /// What stands in the margin of a page of words, or over its drawings.
    SheetHeading,
    /// Words of a page, and the lines between its parts.
    SheetWords,
}

/// The light grey of what is shaded, from 0 for black to 255 for white: dark enough to be printed, light
/// enough to be read and written upon.
pub(crate) const GREY: u8 = 222;

/// How something is drawn.
#[derive(Clone, PartialEq, Debug)]
pub enum Ink {
    /// A sign of music.
    Sign {
        /// Which.
        sign: Sign,
        /// Where its origin lies.
        at: Point,
        /// Its size, 1 being usual.
        scale: f64,
        /// Whether it is turned upside down.
        flipped: bool,
    },
    /// A straight line with square ends.
    Line {
        /// From here
        from: Point,
        /// to here.
        to: Point,
        /// How thick.
        thickness: Sp,
    },
    /// A filled drawing.
    Shape(Outline),
    /// A filled drawing in the colour of a mark. All else is black or grey.
    Painted(Outline, MarkColor),
    /// A filled drawing in a light grey, behind all that is black.
    Shaded(Outline),
    /// Words.
    Letters {
        /// The words, shaped; boxed, since most items are signs and lines, and there are many.
        letters: Box<Lettering>,
        /// Where their baseline begins.
        at: Point,
    },
    /// A strip of a page picture.
    Picture {
        /// Which.
        strip: Strip,
        /// Where it stands, straightened.
        area: Area,
    },
    /// Nothing: another sign stands for this one, as one rest may for two voices.
    Shared,
}

impl Item {
    /// The rectangle around its ink; nothing where it has none.
    pub fn area(&self, signs: &Signs) -> Option<Area> {
        match &self.ink {
            Ink::Sign { sign, at, scale, flipped } => {
                Some(sign_area(signs, *sign, *scale, *flipped).moved(at.x, at.y))
            }
            Ink::Line { from, to, thickness } => {
                let half = *thickness / 2.0;
                let line = Area::EMPTY.with(*from).with(*to);
                let upright = line.width() < line.height();
                Some(if upright { line.grown(half, Sp::ZERO) } else { line.grown(Sp::ZERO, half) })
            }
            Ink::Shape(outline) | Ink::Painted(outline, _) | Ink::Shaded(outline) => {
                Some(outline.area())
            }
            Ink::Letters { letters, at } => {
                let area = Area::new(
                    Sp::ZERO,
                    letters.size * -CAPITAL_HEIGHT,
                    letters.width,
                    if letters.descends() { letters.size * DESCENT } else { Sp::ZERO },
                );
                Some(area.moved(at.x, at.y))
            }
            Ink::Picture { area, .. } => Some(*area),
            Ink::Shared => None,
        }
    }

    /// Moved to the right and down.
    #[must_use]
    pub(crate) fn moved(mut self, x: Sp, y: Sp) -> Item {
        match &mut self.ink {
            Ink::Sign { at, .. } | Ink::Letters { at, .. } => *at = at.moved(x, y),
            Ink::Line { from, to, .. } => {
                *from = from.moved(x, y);
                *to = to.moved(x, y);
            }
            Ink::Shape(outline) | Ink::Painted(outline, _) | Ink::Shaded(outline) => {
                *outline = std::mem::take(outline).moved(x, y);
            }
            Ink::Picture { area, .. } => *area = area.moved(x, y),
            Ink::Shared => {}
        }
        self
    }
}

/// The rectangle around a sign at its size.
pub(crate) fn sign_area(signs: &Signs, sign: Sign, scale: f64, flipped: bool) -> Area {
    let Area { left, top, right, bottom } = signs.area(sign);
    let (top, bottom) = if flipped { (-bottom, -top) } else { (top, bottom) };
    Area::new(left * scale, top * scale, right * scale, bottom * scale)
}
