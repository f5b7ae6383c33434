//! The columns of a table: as wide as their widest cell; where that is too much, the widest give way.

use crate::units::Sp;

/// Between two columns.
const GAP: Sp = Sp(1.8);

/// Where columns stand.
pub(super) struct Columns {
    /// From where on, and how wide.
    places: Vec<(Sp, Sp)>,
}

impl Columns {
    /// Columns whose widest cells are so wide, in a room of that width.
    pub(super) fn of(mut widths: Vec<Sp>, width: Sp) -> Columns {
        let room = width - GAP * widths.len().saturating_sub(1) as f64;
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
