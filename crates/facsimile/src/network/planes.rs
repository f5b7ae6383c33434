//! Feature planes, and what a layer makes of them.

use std::ops::Range;

use ndarray::linalg::general_mat_mul;
use ndarray::{ArrayView2, ArrayViewMut2, Axis, Slice};

use super::weights::Layer;

/// So many values of the matrix that a layer is multiplied with are laid out at once: what stays near the
/// processor.
const AT_ONCE: usize = 1 << 17;

/// Channels, each of rows of columns.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Planes {
    pub(crate) channels: usize,
    pub(crate) rows: usize,
    pub(crate) columns: usize,
    pub(crate) values: Vec<f32>,
}

impl Planes {
    pub(crate) fn empty(channels: usize, rows: usize, columns: usize) -> Planes {
        Planes { channels, rows, columns, values: vec![0.0; channels * rows * columns] }
    }

    /// As many, all 0.
    pub(crate) fn like(&self) -> Planes {
        Planes::empty(self.channels, self.rows, self.columns)
    }

    /// A row of a channel.
    fn row(&self, channel: usize, row: usize) -> &[f32] {
        let start = (channel * self.rows + row) * self.columns;
        &self.values[start..start + self.columns]
    }

    /// The largest of so many rows and columns each.
    pub(crate) fn thinned(self, rows: usize, columns: usize) -> Planes {
        if rows * columns == 1 {
            return self;
        }
        let mut thin = Planes::empty(self.channels, self.rows / rows, self.columns / columns);
        let lines = thin.values.chunks_exact_mut(thin.columns.max(1));
        for (number, line) in lines.enumerate() {
            let (channel, row) = (number / thin.rows, number % thin.rows);
            line.fill(f32::NEG_INFINITY);
            for above in 0..rows {
                let pieces = self.row(channel, row * rows + above).chunks_exact(columns);
                for (most, piece) in line.iter_mut().zip(pieces) {
                    *most = piece.iter().copied().fold(*most, f32::max);
                }
            }
        }
        thin
    }

    /// All rows of a channel as channels of one row.
    pub(crate) fn flat(self) -> Planes {
        Planes { channels: self.channels * self.rows, rows: 1, ..self }
    }

    /// What the convolution of a layer makes of them: as many rows and columns, nothing lying beyond the
    /// edges.
    pub(crate) fn convolved(&self, layer: &Layer) -> Planes {
        let mut out = Planes::empty(layer.channels.0, self.rows, self.columns);
        self.multiplied(layer, &mut out);
        out
    }

    /// The same, some rows at a time as one product of matrices.
    fn multiplied(&self, layer: &Layer, out: &mut Planes) {
        let deep = layer.channels.1 * layer.reach.0 * layer.reach.1;
        let size = self.rows * self.columns;
        let Ok(weights) = ArrayView2::from_shape((layer.channels.0, deep), &layer.weights) else {
            return;
        };
        let Ok(mut all) = ArrayViewMut2::from_shape((layer.channels.0, size), &mut out.values)
        else {
            return;
        };
        let mut laid = Vec::new();
        for rows in self.portions(deep) {
            let wide = rows.len() * self.columns;
            let start = rows.start * self.columns;
            self.lay_out(layer, rows, &mut laid);
            let Ok(matrix) = ArrayView2::from_shape((deep, wide), &laid) else { return };
            let mut part = all.slice_axis_mut(Axis(1), Slice::from(start..start + wide));
            general_mat_mul(1.0, &weights, &matrix, 0.0, &mut part);
        }
    }

    /// Its rows in portions that stay near the processor, where each place is laid out as so many values.
    pub(crate) fn portions(&self, deep: usize) -> impl Iterator<Item = Range<usize>> + use<> {
        let rows = self.rows;
        let at_once = (AT_ONCE / (deep * self.columns).max(1)).clamp(1, rows.max(1));
        (0..rows).step_by(at_once).map(move |first| first..(first + at_once).min(rows))
    }

    /// What a layer sees from each place of some rows, place by place from left to right.
    pub(crate) fn lay_out(&self, layer: &Layer, rows: Range<usize>, laid: &mut Vec<f32>) {
        laid.clear();
        let (high, wide) = layer.reach;
        for channel in 0..layer.channels.1 {
            for down in 0..high {
                for across in 0..wide {
                    let shift = (across as isize - (wide / 2) as isize) * layer.apart as isize;
                    for row in rows.clone() {
                        let row = (row + down).checked_sub(high / 2).filter(|row| *row < self.rows);
                        match row {
                            Some(row) => shifted(self.row(channel, row), shift, laid),
                            None => laid.resize(laid.len() + self.columns, 0.0),
                        }
                    }
                }
            }
        }
    }

    /// Adds what was laid out of some rows, place by place, back to where it was seen.
    pub(crate) fn take_back(&mut self, layer: &Layer, rows: Range<usize>, laid: &[f32]) {
        let (high, wide) = layer.reach;
        let mut lines = laid.chunks_exact(self.columns.max(1));
        for channel in 0..layer.channels.1 {
            for down in 0..high {
                for across in 0..wide {
                    let shift = (across as isize - (wide / 2) as isize) * layer.apart as isize;
                    for row in rows.clone() {
                        let Some(line) = lines.next() else { return };
                        let row = (row + down).checked_sub(high / 2).filter(|row| *row < self.rows);
                        if let Some(row) = row {
                            let start = (channel * self.rows + row) * self.columns;
                            add_shifted(line, shift, &mut self.values[start..start + self.columns]);
                        }
                    }
                }
            }
        }
    }
}

/// Adds to a row what was seen of it from so many columns to the left.
fn add_shifted(seen: &[f32], shift: isize, row: &mut [f32]) {
    let by = shift.unsigned_abs().min(row.len());
    let (seen, row) = if shift < 0 {
        (&seen[by..], &mut row[..seen.len() - by])
    } else {
        (&seen[..seen.len() - by], &mut row[by..])
    };
    for (value, seen) in row.iter_mut().zip(seen) {
        *value += seen;
    }
}

/// Adds a row seen from so many columns to the left, nothing lying beyond its ends.
fn shifted(row: &[f32], shift: isize, to: &mut Vec<f32>) {
    let by = shift.unsigned_abs().min(row.len());
    if shift < 0 {
        to.resize(to.len() + by, 0.0);
        to.extend_from_slice(&row[..row.len() - by]);
    } else {
        to.extend_from_slice(&row[by..]);
        to.resize(to.len() + by, 0.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::weights::Norm;

    /// One channel, of which a layer takes the sum of a place and its neighbours.
    #[test]
    fn a_layer_sees_nothing_beyond_the_edges() {
        let planes = Planes {
            channels: 1,
            rows: 2,
            columns: 3,
            values: vec![1.0, 2.0, 3.0, 10.0, 20.0, 30.0],
        };
        let norm =
            Norm { scale: vec![1.0], shift: vec![0.0], mean: vec![0.0], variance: vec![1.0] };
        let layer =
            Layer { channels: (1, 1), reach: (3, 3), apart: 1, weights: vec![1.0; 9], norm };
        let mut out = planes.convolved(&layer);
        layer.norm.apply(&mut out.values);
        let summed: Vec<f32> = out.values.iter().map(|sum| sum.round()).collect();
        assert_eq!(summed, [33.0, 66.0, 55.0, 33.0, 66.0, 55.0]);
        let thin = planes.thinned(2, 2);
        assert_eq!((thin.rows, thin.columns, thin.values), (1, 1, vec![20.0]));
    }

    #[test]
    fn columns_may_stand_apart() {
        let mut laid = Vec::new();
        shifted(&[1.0, 2.0, 3.0], -2, &mut laid);
        shifted(&[1.0, 2.0, 3.0], 2, &mut laid);
        assert_eq!(laid, [0.0, 0.0, 1.0, 3.0, 0.0, 0.0]);
    }
}
