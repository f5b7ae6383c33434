//! The way back through the network: by how much the loss changes with each weight.

use ndarray::linalg::general_mat_mul;
use ndarray::{ArrayView2, ArrayViewMut2, Axis, Slice};

use super::alignment::aligned;
use crate::likelihood::Steps;
use crate::network::planes::Planes;
use crate::network::weights::{Layer, SMALL};
use crate::network::{ALONG, Network, Odds, is_added, joined, joined_on, parted, prepared};

/// By how much the loss of a staff changes with each weight of a network.
#[derive(Clone, Debug)]
pub(super) struct Gradient {
    /// In the order of [`Network::parts`].
    pub(super) parts: Vec<Vec<f32>>,
}

/// The gradient for a staff as ink, of which the row of sorts is known; nothing where it cannot stand there.
pub(super) fn gradient(network: &Network, ink: Planes, row: &[usize]) -> Option<Gradient> {
    let (mut seen, mut made) = (Vec::new(), Vec::new());
    let mut planes = ink;
    for (number, layer) in network.layers.iter().enumerate() {
        let into = prepared(number, planes.clone());
        let sums = into.convolved(layer);
        let mut out = sums.clone();
        layer.norm.apply(&mut out.values);
        seen.push(planes);
        planes = joined_on(number, into, out);
        made.push(sums);
    }
    let odds = network.put_out(&planes).iter().map(|outputs| joined(outputs)).collect();
    let steps = Steps::of(&Odds { steps: odds });
    let aligned = aligned(&steps, row)?;
    // As in the training, a long row counts no more than a short one.
    let part = 1.0 / row.len().max(1) as f32;
    let outputs = of_outputs(&steps, &aligned, part);

    let mut parts: Vec<Vec<f32>> = network.parts().map(|part| vec![0.0; part.len()]).collect();
    let count = parts.len();
    let mut back = through_outputs(network, &planes, &outputs, &mut parts[count - 2..]);
    for (number, layer) in network.layers.iter().enumerate().rev() {
        let parts = &mut parts[5 * number..5 * number + 5];
        let before = seen.pop()?;
        let into = prepared(number, before.clone());
        let mut below = if is_added(number) { back.clone() } else { into.like() };
        through_norm(layer, &made.pop()?, &mut back, parts);
        through_layer(layer, &into, &back, &mut parts[0], (number > 0).then_some(&mut below));
        back = unprepared(&before, &into, below);
    }
    Some(Gradient { parts })
}

/// By how much the loss changes with each output, for each step.
fn of_outputs(steps: &Steps, aligned: &[Vec<f32>], part: f32) -> Vec<Vec<f32>> {
    let one = |(step, aligned): (usize, &Vec<f32>)| {
        let changes = aligned.iter().enumerate();
        let changes = changes.map(|(sort, aligned)| part * (steps.likely(step, sort) - aligned));
        parted(&changes.collect::<Vec<f32>>())
    };
    aligned.iter().enumerate().map(one).collect()
}

/// Back through the last layer, whose weights and bias these are.
fn through_outputs(
    network: &Network,
    line: &Planes,
    outputs: &[Vec<f32>],
    parts: &mut [Vec<f32>],
) -> Planes {
    let mut back = line.like();
    for (step, outputs) in outputs.iter().enumerate() {
        for (number, change) in outputs.iter().enumerate() {
            parts[1][number] += change;
            for channel in 0..ALONG {
                let (weight, value) = (number * ALONG + channel, channel * line.columns + step);
                parts[0][weight] += change * line.values[value];
                back.values[value] += change * network.outputs[weight];
            }
        }
    }
    back
}

/// Back through a normalisation and what cuts off below 0; its statistics stay as they are.
fn through_norm(layer: &Layer, sums: &Planes, back: &mut Planes, parts: &mut [Vec<f32>]) {
    let size = (sums.rows * sums.columns).max(1);
    let channels = sums.values.chunks_exact(size).zip(back.values.chunks_exact_mut(size));
    for (channel, (sums, back)) in channels.enumerate() {
        let (scale, shift) = layer.norm.of_channel(channel);
        let mean = layer.norm.mean[channel];
        let deviation = (layer.norm.variance[channel] + SMALL).sqrt();
        for (sum, back) in sums.iter().zip(back) {
            if scale * sum + shift <= 0.0 {
                *back = 0.0;
                continue;
            }
            parts[1][channel] += *back * (sum - mean) / deviation;
            parts[2][channel] += *back;
            *back *= scale;
        }
    }
}

/// Back through a convolution: to its weights, and to what it saw.
fn through_layer(
    layer: &Layer,
    into: &Planes,
    back: &Planes,
    weights: &mut [f32],
    mut below: Option<&mut Planes>,
) {
    let (out, deep) = (layer.channels.0, layer.weights.len() / layer.channels.0);
    let (Ok(kernel), Ok(mut changes), Ok(all)) = (
        ArrayView2::from_shape((out, deep), &layer.weights),
        ArrayViewMut2::from_shape((out, deep), weights),
        ArrayView2::from_shape((out, into.rows * into.columns), &back.values),
    ) else {
        return;
    };
    let (mut laid, mut lower) = (Vec::new(), Vec::new());
    for rows in into.portions(deep) {
        let (start, wide) = (rows.start * into.columns, rows.len() * into.columns);
        let part = all.slice_axis(Axis(1), Slice::from(start..start + wide));
        into.lay_out(layer, rows.clone(), &mut laid);
        let Ok(matrix) = ArrayView2::from_shape((deep, wide), &laid) else { return };
        general_mat_mul(1.0, &part, &matrix.t(), 1.0, &mut changes);
        let Some(below) = &mut below else { continue };
        lower.resize(deep * wide, 0.0);
        let Ok(mut matrix) = ArrayViewMut2::from_shape((deep, wide), &mut lower) else { return };
        general_mat_mul(1.0, &kernel.t(), &part, 0.0, &mut matrix);
        below.take_back(layer, rows, &lower);
    }
}

/// Back through what a layer does with the planes before it: to the largest of those that were thinned out.
fn unprepared(before: &Planes, into: &Planes, back: Planes) -> Planes {
    if before.rows == into.rows && before.columns == into.columns {
        return back;
    }
    if into.rows == 1 && before.columns == into.columns {
        return Planes { channels: before.channels, rows: before.rows, ..back };
    }
    let (rows, columns) = (before.rows / into.rows, before.columns / into.columns.max(1));
    let mut wide = before.like();
    for (number, (change, most)) in back.values.iter().zip(&into.values).enumerate() {
        let (line, column) = (number / into.columns, number % into.columns);
        let (channel, row) = (line / into.rows, line % into.rows);
        let places = (0..rows).flat_map(|down| (0..columns).map(move |across| (down, across)));
        let place = |(down, across): (usize, usize)| {
            (channel * before.rows + row * rows + down) * before.columns + column * columns + across
        };
        // Of several that are the largest, the first, as in the training.
        if let Some(place) = places.map(place).find(|place| before.values[*place] >= *most) {
            wide.values[place] += change;
        }
    }
    wide
}
