//! The music on a page: a reduction over its whole width, and cards beside one another.

use score::{Card, Options, Score, Staves, arrange};

use super::words::Words;
use super::{Shop, Strip};
use crate::engraving::engrave_at;
use crate::frame::{BlockKind, Picture};
use crate::look::Look;
use crate::practice::STAFF;
use crate::units::{Mm, Sp};
use crate::voice_names;

/// So many cards stand beside one another, if the music of each has room in one system.
const MOST_CARDS: usize = 3;

/// In cards notes stand closer than usual, by this part of the space that they need.
const CLOSE: f64 = 0.7;

/// Between two cards, and between two rows of them.
const BETWEEN_CARDS: Sp = Sp(2.0);
const BETWEEN_ROWS: Sp = Sp(2.0);

/// Between two systems of a reduction.
const BETWEEN_SYSTEMS: Sp = Sp(2.5);

/// Draws music for a page.
pub(super) struct Music<'s> {
    shop: &'s Shop<'s>,
    /// The names of the voices of all music so far.
    pub(super) voices: Vec<String>,
}

impl<'s> Music<'s> {
    pub(super) fn new(shop: &'s Shop<'s>) -> Music<'s> {
        Music { shop, voices: Vec::new() }
    }

    /// Draws a score without its heading, in that width, with notes as loose as that.
    fn draw(&self, score: &Score, width: Sp, looseness: f64) -> Picture {
        let bare = Score { heading: score::Heading::default(), ..score.clone() };
        let options = Options { staves: Staves::Open, ..self.shop.options };
        let look = Look {
            width: Mm(width.0 * self.shop.space.0),
            staff: Mm(STAFF.0 * self.shop.space.0),
            margin: Mm::ZERO,
            ..Look::default()
        };
        engrave_at(&arrange(&bare, options), &look, looseness)
    }

    /// The systems of a picture as they stand in it; their voices are counted through the page.
    fn systems(
        &mut self,
        picture: Picture,
        score: &Score,
    ) -> Vec<(Sp, Sp, BlockKind, crate::frame::Frame)> {
        let (offset, space) = (self.voices.len(), picture.space);
        self.voices.extend(score.voices.iter().map(|voice| voice.name.clone()));
        let blocks = picture.blocks.into_iter().map(|mut block| {
            for of in block.frame.items.iter_mut().filter_map(|item| item.of.as_mut()) {
                of.voice += offset;
            }
            (Sp(block.x / space), Sp(block.y / space), block.kind, block.frame)
        });
        blocks.collect()
    }

    /// Each system a strip.
    pub(super) fn reduction(&mut self, score: &Score) -> Vec<Strip> {
        let picture = self.draw(score, self.shop.width(), 1.0);
        let strip = |(x, _, kind, frame)| {
            let mut strip = Strip::of(kind, frame, BETWEEN_SYSTEMS);
            strip.frames.iter_mut().for_each(|frame| frame.0 = x);
            strip
        };
        self.systems(picture, score).into_iter().map(strip).collect()
    }

    /// Each row of cards a strip: as many beside one another as have room in one system each.
    pub(super) fn cards(&mut self, cards: &[Card], words: &Words<'_>) -> Vec<Strip> {
        let width = self.shop.width();
        let named: Vec<Score> = cards.iter().map(|card| with_short_names(&card.music)).collect();
        let room = |across: usize| (width - BETWEEN_CARDS * (across - 1) as f64) / across as f64;
        let drawn = |across: usize| -> Vec<Picture> {
            named.iter().map(|score| self.draw(score, room(across), CLOSE)).collect()
        };
        let fits = |across: usize, picture: &Picture| {
            picture.blocks.len() <= 1 && picture.width / picture.space <= room(across).0 + 1e-6
        };
        let tried = (2..=MOST_CARDS).rev().map(|across| (across, drawn(across)));
        let mut tried = tried.filter(|(across, all)| all.iter().all(|one| fits(*across, one)));
        let (across, pictures) = tried.next().unwrap_or_else(|| (1, drawn(1)));
        let (room, mut drawn) = (room(across), pictures.into_iter().zip(cards).peekable());
        let mut strips = Vec::new();
        while drawn.peek().is_some() {
            let mut row =
                Strip { frames: Vec::new(), height: Sp::ZERO, before: BETWEEN_ROWS, stays: false };
            let of_row: Vec<_> = drawn.by_ref().take(across).collect();
            let titles: Vec<_> =
                of_row.iter().map(|(_, card)| words.card(&card.title, room)).collect();
            // The staves of a row begin at one height.
            let top = |picture: &Picture| {
                let area = picture.blocks.first().and_then(|block| block.frame.area);
                area.map_or(Sp::ZERO, |area| -area.top)
            };
            let highest = titles.iter().map(|(_, height)| *height).fold(Sp::ZERO, Sp::max);
            let staves = of_row.iter().map(|(picture, _)| top(picture)).fold(Sp::ZERO, Sp::max);
            for (place, ((picture, card), (title, _))) in of_row.into_iter().zip(titles).enumerate()
            {
                let left = (room + BETWEEN_CARDS) * place as f64;
                row.frames.push((left, Sp::ZERO, BlockKind::Text, title));
                let down = highest + staves - top(&picture);
                for (x, y, kind, frame) in self.systems(picture, &card.music) {
                    let bottom = frame.area.map_or(STAFF, |area| area.bottom);
                    row.height = row.height.max(down + y + bottom);
                    row.frames.push((left + x, down + y, kind, frame));
                }
            }
            strips.push(row);
        }
        strips
    }
}

/// A score whose voices have short names, as cards have little room.
fn with_short_names(score: &Score) -> Score {
    let mut score = score.clone();
    let names: Vec<&str> = score.voices.iter().map(|voice| voice.name.as_str()).collect();
    let short = voice_names::short(&names);
    for (voice, name) in score.voices.iter_mut().zip(short) {
        voice.name = name;
    }
    score
}
