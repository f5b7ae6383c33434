//! A page about a piece: title and facts, parts of words and tables with their headings in the margin,
//! the plan, and music with figures.
//!
//! Everything on it is first set in strips, one below the other, that stay whole; then the strips are
//! put on pages. A little smaller, most pieces fit on one.

mod music;
mod table;
mod words;

use score::{Options, Sheet, SheetBody, SheetPart};

use crate::frame::{Block, BlockKind, Frame, Picture};
use crate::glyphs::Signs;
use crate::lettering::Letterer;
use crate::pages::{Book, Entry, HEAD, Paper, head};
use crate::plan;
use crate::units::{Area, Mm, Sp};
use music::Music;
use words::Words;

/// How large a staff space is, at first and then as small as it may become so that all is on one page:
/// words of 10 to 8 points.
const SPACES: [Mm; 4] = [Mm(1.4), Mm(1.3), Mm(1.2), Mm(1.12)];

/// Between two parts, between a heading and what stands under it, and between the headings in the margin
/// and what stands beside them.
const BETWEEN_PARTS: Sp = Sp(2.4);
const UNDER_HEADING: Sp = Sp(1.0);
const BESIDE_HEADING: Sp = Sp(1.6);

/// Sets a page about a piece on paper of that kind, or several if it has no room on one. Music stands in
/// its values, and is transposed, as the options say; each voice has its own staff.
///
/// ```
/// use engrave::{Paper, pdf, sheet};
/// use score::{Options, Sheet, SheetBody, SheetPart};
///
/// let page = Sheet {
///     title: "A duo".into(),
///     facts: vec!["20 breves".into(), "final D".into()],
///     parts: vec![SheetPart {
///         heading: "Faults".into(),
///         body: SheetBody::Text(vec!["None.".into()]),
///     }],
/// };
/// let book = sheet(&page, Options::default(), &Paper::A4);
/// assert!(pdf(&book, None)?.starts_with(b"%PDF"));
/// # Ok::<(), engrave::Error>(())
/// ```
pub fn sheet(sheet: &Sheet, options: Options, paper: &Paper) -> Book {
    let (letterer, signs) = (Letterer::default(), Signs::all());
    let mut first = None;
    for space in SPACES {
        let shop = Shop { letterer: &letterer, signs, options, paper, space };
        let (voices, strips) = shop.strips(sheet);
        let book = shop.book(sheet, &voices, strips);
        if book.pages.len() == 1 {
            return book;
        }
        // What does not fit even so is not worth smaller letters.
        first.get_or_insert(book);
    }
    first.unwrap_or_default()
}

/// Something that stays whole on a page.
struct Strip {
    /// Its frames, each with its place from the left of the room and from the top of the strip.
    frames: Vec<(Sp, Sp, BlockKind, Frame)>,
    height: Sp,
    /// The white over it, if it does not begin a page.
    before: Sp,
    /// Whether it stands on one page with the strip after it.
    stays: bool,
}

/// What all of a sheet is set with.
struct Shop<'s> {
    letterer: &'s Letterer,
    signs: &'s Signs,
    options: Options,
    paper: &'s Paper,
    space: Mm,
}

impl Shop<'_> {
    /// The width between the margins.
    fn width(&self) -> Sp {
        Sp((self.paper.width - self.paper.margin * 2.0) / self.space)
    }

    /// All strips, from the top; and the names of the voices in their music.
    fn strips(&self, sheet: &Sheet) -> (Vec<String>, Vec<Strip>) {
        let words = Words { letterer: self.letterer, signs: self.signs };
        let mut strips = vec![words.title(&sheet.title, &sheet.facts, self.width())];
        let headings = sheet.parts.iter().filter(|part| stands_beside(part));
        let widths = headings.map(|part| words.heading(&part.heading).width);
        let margin = widths.reduce(Sp::max).filter(|width| *width > Sp::ZERO);
        let margin = margin.map_or(Sp::ZERO, |width| width + BESIDE_HEADING);
        let mut music = Music::new(self);
        for part in &sheet.parts {
            let from = strips.len();
            if stands_beside(part) {
                let room = (margin, self.width() - margin);
                strips.extend(match &part.body {
                    SheetBody::Text(paragraphs) => words.paragraphs(paragraphs, room),
                    SheetBody::Table(table) => words.table(table, room),
                    SheetBody::Plan(_) | SheetBody::Reduction(_) | SheetBody::Cards(_) => {
                        Vec::new()
                    }
                });
                if let Some(first) = strips.get_mut(from) {
                    words.put_beside(&part.heading, first);
                }
            } else {
                strips.extend(words.over(&part.heading));
                match &part.body {
                    SheetBody::Plan(plan) => strips.extend(self.plan(plan)),
                    SheetBody::Reduction(score) => strips.extend(music.reduction(score)),
                    SheetBody::Cards(cards) => strips.extend(music.cards(cards, &words)),
                    SheetBody::Text(_) | SheetBody::Table(_) => {}
                }
            }
            if let Some(first) = strips.get_mut(from) {
                first.before = BETWEEN_PARTS;
            }
        }
        (music.voices, strips)
    }

    fn plan(&self, plan: &score::Plan) -> Vec<Strip> {
        let frames = plan::frames(plan, self.width(), self.letterer, self.signs);
        let strip = |frame| Strip::of(BlockKind::Plan, frame, Sp(1.6));
        frames.into_iter().map(strip).collect()
    }

    /// Puts the strips on pages.
    fn book(&self, sheet: &Sheet, voices: &[String], strips: Vec<Strip>) -> Book {
        let mm = |length: Sp| Mm(length.0 * self.space.0);
        let margin = self.paper.margin;
        let room = Sp((self.paper.height - margin * 2.0) / self.space);
        let title = Some(sheet.title.as_str()).filter(|title| !title.is_empty());
        let mut pages: Vec<Picture> = Vec::new();
        let mut y = Sp::ZERO;
        let mut groups = strips.into_iter().peekable();
        let mut system = 0;
        while groups.peek().is_some() {
            // What stays together: strips up to one that does not hold the next.
            let mut group = Vec::new();
            for strip in groups.by_ref() {
                let stays = strip.stays;
                group.push(strip);
                if !stays {
                    break;
                }
            }
            let height: Sp = group.iter().map(|strip| strip.before + strip.height).sum();
            let new = pages.is_empty() || y + height > room + Sp(1e-6);
            if new {
                let number = pages.len() + 1;
                let mut page = self.page(title, voices);
                y = Sp::ZERO;
                if number > 1 {
                    let measures = (margin, self.paper.width, self.space);
                    page.blocks.push(head(number, title, measures, self.letterer, self.signs));
                    y = HEAD;
                }
                pages.push(page);
            }
            let Some(page) = pages.last_mut() else { continue };
            for (place, strip) in group.into_iter().enumerate() {
                y += if new && place == 0 { Sp::ZERO } else { strip.before };
                for (x, down, kind, frame) in strip.frames {
                    let kind = match kind {
                        // Systems are counted through the page, whatever music they are of.
                        BlockKind::System(_) => {
                            system += 1;
                            BlockKind::System(system)
                        }
                        other => other,
                    };
                    let (x, top) = (margin + mm(x), margin + mm(y + down));
                    page.blocks.push(Block { x, y: top, kind, frame });
                }
                y += strip.height;
            }
        }
        let entry = Entry {
            title: title.map(str::to_owned),
            composer: None,
            source: None,
            page: 1,
            y: margin,
        };
        Book { pages, contents: vec![entry], ..Book::default() }
    }

    fn page(&self, title: Option<&str>, voices: &[String]) -> Picture {
        Picture {
            title: title.map(str::to_owned),
            composer: None,
            source: None,
            voices: voices.to_vec(),
            width: self.paper.width,
            height: self.paper.height,
            margin: self.paper.margin,
            space: self.space,
            page_begins: Vec::new(),
            blocks: Vec::new(),
        }
    }
}

/// Whether the heading of a part stands in the margin beside it; over drawings, which need the width, it
/// stands above.
fn stands_beside(part: &SheetPart) -> bool {
    matches!(part.body, SheetBody::Text(_) | SheetBody::Table(_))
}

impl Strip {
    /// A strip of one frame.
    fn of(kind: BlockKind, frame: Frame, before: Sp) -> Strip {
        let area = frame.area.unwrap_or(Area::new(Sp::ZERO, Sp::ZERO, Sp::ZERO, Sp::ZERO));
        let frames = vec![(Sp::ZERO, -area.top, kind, frame)];
        Strip { frames, height: area.height(), before, stays: false }
    }
}

#[cfg(test)]
mod tests;
