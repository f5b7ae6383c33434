//! Pages: pictures of pieces cut into systems, and the systems placed again, page by page.
//!
//! A page is a [`Picture`] like any other, so that whatever can be done with a picture can be done
//! with a page. Nothing is drawn anew here but the head of a page.

mod breaking;
mod cropped;
mod fitting;
mod hands;
mod paper;
mod running;
mod spread;
mod strips;

use std::ops::Range;

pub use cropped::cropped;
pub(crate) use fitting::shrunk_to_fit;
pub use fitting::{SMALLEST_ON_ONE_PAGE, engrave_on};
pub use paper::Paper;

use self::breaking::{Begins, Room, Slat};
pub(crate) use self::running::{HEAD, head};
use self::strips::{Strip, strips};
use crate::frame::{Block, Picture};
use crate::glyphs::Signs;
use crate::lettering::Letterer;
use crate::practice::BETWEEN_SYSTEMS;
use crate::units::{Mm, Sp};

/// Between the last system of a piece and the title of the next.
const BETWEEN_PIECES: Sp = Sp(11.0);

/// Systems stay near their natural distance: a page is spread down to its bottom margin if that makes
/// distances no greater than so many times the least; else it has white at its foot. (Gould: pages
/// are filled, but systems do not drift apart; from memory.)
const LOOSEST: f64 = 1.6;

/// Pieces on pages.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Book {
    /// The pages, in order.
    pub pages: Vec<Picture>,
    /// The pieces, in order.
    pub contents: Vec<Entry>,
    /// Places that lead elsewhere, for files that can do so.
    pub links: Vec<Link>,
    /// The language of its words, as in `de`; English where nothing is said.
    pub language: Option<String>,
}

/// A place on a page that leads elsewhere.
#[derive(Clone, PartialEq, Debug)]
pub struct Link {
    /// The page on which it is, from 1.
    pub page: usize,
    /// Its upper left corner, from that of the page.
    pub at: (Mm, Mm),
    /// How wide and high it is.
    pub size: (Mm, Mm),
    /// Where it leads.
    pub to: LinkTarget,
    /// Where it leads, in words, for screen readers.
    pub words: String,
}

/// Where a link leads.
#[derive(Clone, PartialEq, Debug)]
pub enum LinkTarget {
    /// To a page, from 1, and so far from its top.
    Page(usize, Mm),
    /// To an address outside.
    Address(String),
}

/// Where a piece begins.
#[derive(Clone, PartialEq, Debug)]
pub struct Entry {
    /// Its title.
    pub title: Option<String>,
    /// Who wrote it.
    pub composer: Option<String>,
    /// Where it is printed.
    pub source: Option<String>,
    /// The page, from 1.
    pub page: usize,
    /// The top of its title or first system, from the top of the page.
    pub y: Mm,
}

/// What pages need to know of a piece.
struct Piece {
    title: Option<String>,
    composer: Option<String>,
    source: Option<String>,
    voices: Vec<String>,
    space: Mm,
    /// Its strips, among those of all pieces.
    strips: Range<usize>,
}

/// Sets pieces one after another on pages of that paper; [`engrave_on`] draws pictures that fit.
///
/// Systems are divided over the pages so that there are no more pages than needed, no last system
/// is alone on its page if that can be helped, pages are evenly full, and, if it costs little, an
/// odd page, which is turned, ends where a hand rests. A piece that fits on one page is not split;
/// one that does not, or whose staves have another size, begins a page. Linear in the number of
/// systems.
pub fn pages(pictures: Vec<Picture>, paper: &Paper) -> Book {
    let (pieces, strips) = cut(pictures);
    let slats = slats(&pieces, &strips, paper);
    let ranges = breaking::pages(&slats, rooms(&pieces, paper));
    let mut setter = Setter {
        paper,
        pieces,
        strips: strips.into_iter().map(Some).collect(),
        slats,
        letterer: Letterer::default(),
        signs: Signs::all(),
        contents: Vec::new(),
        level: None,
    };
    let pages = ranges.iter().enumerate().map(|(place, range)| setter.page(place + 1, range));
    let pages = pages.collect();
    Book { pages, contents: setter.contents, ..Book::default() }
}

/// The room on pages, where those after the first have a head.
fn rooms(pieces: &[Piece], paper: &Paper) -> Room {
    let space = pieces.first().map_or(Mm(1.5), |piece| piece.space);
    let largest = pieces.iter().map(|piece| piece.space).fold(space, Mm::max);
    let room = paper.room().0;
    Room { first: room, others: room - largest.0 * HEAD.0 }
}

/// The strips of all pieces.
fn cut(pictures: Vec<Picture>) -> (Vec<Piece>, Vec<Strip>) {
    let mut all = Vec::new();
    let pieces = pictures.into_iter().map(|mut picture| {
        let (title, source) = (picture.title.take(), picture.source.take());
        let composer = picture.composer.take();
        let (voices, space) = (std::mem::take(&mut picture.voices), picture.space);
        let from = all.len();
        all.extend(strips(picture));
        Piece { title, composer, source, voices, space, strips: from..all.len() }
    });
    (pieces.collect(), all)
}

/// What breaking is told.
fn slats(pieces: &[Piece], strips: &[Strip], paper: &Paper) -> Vec<Slat> {
    let mut slats: Vec<Slat> = Vec::with_capacity(strips.len());
    let mut before: Option<Mm> = None;
    for piece in pieces {
        let of_piece = &strips[piece.strips.clone()];
        let height: Mm = of_piece.iter().map(|strip| strip.height + strip.white).sum();
        let whole = height <= paper.room() - Mm(HEAD.0 * piece.space.0);
        let anew = !whole || before.is_some_and(|space| (space - piece.space).abs() > Mm(1e-6));
        before = Some(piece.space);
        let mut free = false;
        for (place, strip) in of_piece.iter().enumerate() {
            let last = place + 1 == of_piece.len();
            slats.push(Slat {
                height: strip.height.0,
                white: if last { BETWEEN_PIECES.0 * piece.space.0 } else { strip.white.0 },
                begins: match (place, whole) {
                    _ if strip.begins_page => Begins::Must,
                    (0, _) if anew => Begins::Must,
                    (0, _) | (_, false) => Begins::May,
                    (_, true) => Begins::Never,
                },
                of_many: of_piece.len() > 1,
                // Between two pieces there is always time.
                free: place == 0 || free || strip.begins_free,
            });
            free = strip.ends_free;
        }
    }
    slats
}

/// Places the strips of one page after another.
struct Setter<'p> {
    paper: &'p Paper,
    pieces: Vec<Piece>,
    /// Those that stand on no page yet.
    strips: Vec<Option<Strip>>,
    slats: Vec<Slat>,
    letterer: Letterer,
    signs: &'static Signs,
    contents: Vec<Entry>,
    /// The distance of systems on the page before, if its piece may go on.
    level: Option<Mm>,
}

impl Setter<'_> {
    fn page(&mut self, number: usize, range: &Range<usize>) -> Picture {
        let first = self.pieces.partition_point(|piece| piece.strips.end <= range.start);
        let piece = &self.pieces[first];
        let space = piece.space;
        let (margin, width) = (self.paper.margin, self.paper.width);
        let mut page = Picture {
            title: piece.title.clone(),
            composer: piece.composer.clone(),
            source: piece.source.clone(),
            voices: Vec::new(),
            width,
            height: self.paper.height,
            margin,
            space,
            page_begins: Vec::new(),
            blocks: Vec::new(),
        };
        let mut y = margin;
        if number > 1 {
            let goes_on = piece.strips.start < range.start;
            let title = piece.title.as_deref().filter(|_| goes_on);
            let measures = (margin, width, space);
            page.blocks.push(running::head(number, title, measures, &self.letterer, self.signs));
            y += Mm(HEAD.0 * space.0);
        }
        let more = self.spread(range, self.paper.height - margin - y, space);
        let mut at = first;
        for (place, strip) in range.clone().enumerate() {
            while self.pieces[at].strips.end <= strip {
                at += 1;
            }
            let piece = &self.pieces[at];
            if piece.strips.start == strip || place == 0 {
                page.voices.extend(piece.voices.iter().cloned());
            }
            if piece.strips.start == strip {
                let (title, source) = (piece.title.clone(), piece.source.clone());
                let composer = piece.composer.clone();
                self.contents.push(Entry { title, composer, source, page: number, y });
            }
            let offset = page.voices.len() - piece.voices.len();
            let Some(placed) = self.strips[strip].take() else { continue };
            let blocks = placed.blocks.into_iter().map(|block| moved(block, y, offset));
            page.blocks.extend(blocks);
            y += Mm(self.slats[strip].height + self.slats[strip].white);
            y += more.get(place).copied().unwrap_or(Mm::ZERO);
        }
        page
    }

    /// By how much the white after each strip of a page grows, but after the last.
    fn spread(&mut self, range: &Range<usize>, room: Mm, space: Mm) -> Vec<Mm> {
        let least = Mm(BETWEEN_SYSTEMS.0 * space.0);
        let distance = |strip: usize| {
            let of_strip = self.strips[strip].as_ref().filter(|_| !self.begins_piece(strip + 1));
            of_strip.map_or(least, |strip| strip.between)
        };
        let distances: Vec<Mm> = (range.start..range.end - 1).map(distance).collect();
        let heights: f64 = self.slats[range.clone()].iter().map(|strip| strip.height).sum();
        let white: f64 = self.slats[range.start..range.end - 1].iter().map(|slat| slat.white).sum();
        let slack = (room - Mm(heights + white)).max(Mm::ZERO);
        // The white between two pieces grows twice as much, so that pieces stay apart.
        let between_pieces: Vec<bool> =
            (range.start..range.end - 1).map(|strip| self.begins_piece(strip + 1)).collect();
        let twice = distances.iter().zip(&between_pieces).filter(|(_, between)| **between);
        let weighed: Vec<Mm> =
            distances.iter().copied().chain(twice.map(|(distance, _)| *distance)).collect();
        let full = spread::level(&weighed, slack);
        let next = self.slats.get(range.end);
        let last = next.is_none_or(|next| next.begins == Begins::Must);
        let before = self.level.filter(|_| !self.begins_piece(range.start));
        let before = before.unwrap_or(Mm::ZERO);
        let level = match last {
            true if full <= before.max(least * LOOSEST) => full,
            true => before,
            false => full.min(least * LOOSEST),
        };
        self.level = Some(level);
        let growth = spread::growth(&distances, level).into_iter().zip(between_pieces);
        growth.map(|(more, between)| if between { more * 2.0 } else { more }).collect()
    }

    fn begins_piece(&self, strip: usize) -> bool {
        self.pieces.binary_search_by_key(&strip, |piece| piece.strips.start).is_ok()
    }
}

/// A block of a strip on its page, whose voices are counted from `offset`.
fn moved(mut block: Block, y: Mm, offset: usize) -> Block {
    block.y += y;
    if offset > 0 && block.system().is_some() {
        for of in block.frame.items.iter_mut().filter_map(|item| item.of.as_mut()) {
            of.voice += offset;
        }
    }
    block
}
