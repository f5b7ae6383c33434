//! Words as they stand above and below a staff, set in the letters of the engraver.

use cartella::{Document, Options, Paper, Sheet, SheetBody, SheetPart, sheet};
use facsimile::ROWS;
use suite::{Dice, rendered};

/// Lines of words in pixels: how black each is.
pub(crate) struct Words(Vec<Line>);

struct Line {
    width: usize,
    height: usize,
    black: Vec<u8>,
}

/// Syllables that sound like words for singing.
const SYLLABLES: [&str; 40] = [
    "a", "mor", "che", "non", "si", "lau", "ro", "mi", "o", "cor", "te", "la", "gri", "ma", "du",
    "ra", "vi", "ta", "Per", "Et", "il", "bel", "fo", "co", "do", "glia", "ij", "so", "spi", "ri",
    "Al", "le", "lu", "ia", "Do", "mi", "nus", "quo", "ni", "am",
];

impl Words {
    /// Lines of several sizes.
    pub(crate) fn thrown(dice: &mut Dice) -> Words {
        let mut lines = Vec::new();
        for _ in 0..4 {
            let mut text = String::new();
            while text.len() < 2500 {
                for _ in 0..=(dice.throw() * 3.0) as usize {
                    text.push_str(SYLLABLES[(dice.throw() * 40.0) as usize]);
                }
                text.push_str([" ", " ", "- ", ", ", "   "][(dice.throw() * 5.0) as usize]);
            }
            let part = SheetPart { heading: String::new(), body: SheetBody::Text(vec![text]) };
            let page = Sheet { title: String::new(), facts: Vec::new(), parts: vec![part] };
            let book = sheet(&page, Options::default(), &Paper::A4);
            let svg = Document::parse("").svg(&book.pages[0]);
            let raster = rendered(&svg, dice.between(3.0, 5.5) as f32);
            let width = raster.width as usize;
            let rows: Vec<&[u8]> = raster.black.chunks_exact(width).collect();
            let is_inky = |row: &&[u8]| row.iter().any(|black| *black > 60);
            for run in rows.chunk_by(|one, next| is_inky(one) == is_inky(next)) {
                if is_inky(&run[0]) && (6..40).contains(&run.len()) {
                    lines.push(Line { width, height: run.len(), black: run.concat() });
                }
            }
        }
        Words(lines)
    }

    /// Lays some above and below the staff in the middle of a picture, each pixel as black as its blackest.
    pub(crate) fn strew(&self, dice: &mut Dice, ink: &mut [u8], columns: usize) {
        if self.0.is_empty() {
            return;
        }
        let mut rows = Vec::new();
        if dice.throw() < 0.75 {
            rows.push(dice.between(71.0, 96.0));
        }
        if dice.throw() < 0.55 {
            rows.push(dice.between(-8.0, 10.0));
        }
        for row in rows {
            let faint = dice.between(0.6, 1.0);
            let mut x = dice.between(0.0, 120.0) as usize;
            while x < columns {
                let line = &self.0[(dice.throw() * self.0.len() as f64) as usize % self.0.len()];
                let length = dice.between(20.0, 180.0) as usize;
                let from = (dice.throw() * (line.width.saturating_sub(length)) as f64) as usize;
                let top = row as isize + dice.between(-1.5, 1.5) as isize;
                for y in 0..line.height {
                    let Some(to) =
                        top.checked_add_unsigned(y).filter(|y| (0..ROWS as isize).contains(y))
                    else {
                        continue;
                    };
                    for column in 0..length.min(columns - x).min(line.width - from) {
                        let black = f64::from(line.black[y * line.width + from + column]) * faint;
                        let at = &mut ink[to as usize * columns + x + column];
                        *at = (*at).max(black as u8);
                    }
                }
                x += length + dice.between(5.0, 90.0) as usize;
            }
        }
    }
}
