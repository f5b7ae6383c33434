//! The columns of a table: as wide as their widest cell; where that is too much, the widest give way.

use score::Table;

use super::words::Words;
use crate::fonts::Face;
use crate::units::Sp;

/// The face of what stands over columns.
pub(super) const HEAD: Face = Face::Italic;

/// Between two columns.
const GAP: Sp = Sp(1.8);

/// Where columns stand.
pub(super) struct Columns {
    /// From where on, and how wide.
    places: Vec<(Sp, Sp)>,
}

impl Columns {
    /// Those of a table that is at most so wide.
    pub(super) fn of(table: &Table, width: Sp, words: &Words<'_>) -> Columns {
        let count = table.rows.iter().map(Vec::len).chain([table.columns.len()]).max().unwrap_or(0);
        let mut widths = vec![Sp::ZERO; count];
        let heads = table.columns.iter().enumerate().map(|(place, text)| (place, text, HEAD));
        let cells = table.rows.iter().flat_map(|row| row.iter().enumerate());
        let cells = cells.map(|(place, text)| (place, text, Face::Roman));
        for (place, text, face) in heads.chain(cells) {
            let line = words.lines(text, Sp(f64::INFINITY), face);
            let natural = line.first().map_or(Sp::ZERO, |line| line.width);
            // A hair more, so that what just fits is not broken.
            widths[place] = widths[place].max(natural + Sp(0.01));
        }
        let room = width - GAP * count.saturating_sub(1) as f64;
        narrow(&mut widths, room);
        let mut x = Sp::ZERO;
        let place = |width: Sp| {
            let place = (x, width);
            x += width + GAP;
            place
        };
        Columns { places: widths.into_iter().map(place).collect() }
    }

    /// Where a column begins, and how wide it is.
    pub(super) fn place(&self, column: usize) -> Option<(Sp, Sp)> {
        self.places.get(column).copied()
    }
}

/// Makes the widest columns narrower, to one width, until all together have room.
fn narrow(widths: &mut [Sp], room: Sp) {
    let sum = |widths: &[Sp]| widths.iter().copied().sum::<Sp>();
    if sum(widths) <= room {
        return;
    }
    let mut sorted = widths.to_vec();
    sorted.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut left = room;
    for (place, width) in sorted.iter().enumerate() {
        let share = left / (sorted.len() - place) as f64;
        if *width > share {
            let share = share.max(Sp(1.0));
            for width in widths.iter_mut() {
                *width = width.min(share);
            }
            return;
        }
        left -= *width;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn narrowed(widths: &[f64], room: f64) -> Vec<f64> {
        let mut widths: Vec<Sp> = widths.iter().copied().map(Sp).collect();
        narrow(&mut widths, Sp(room));
        widths.into_iter().map(|width| width.0).collect()
    }

    #[test]
    fn only_the_widest_give_way() {
        assert_eq!(narrowed(&[2.0, 3.0], 10.0), [2.0, 3.0]);
        assert_eq!(narrowed(&[2.0, 30.0], 10.0), [2.0, 8.0]);
        assert_eq!(narrowed(&[20.0, 2.0, 30.0], 10.0), [4.0, 2.0, 4.0]);
    }
}
