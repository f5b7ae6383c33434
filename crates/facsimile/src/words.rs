//! Where words stand below a staff: a box round each, or round each syllable that stands apart. They are not
//! read.

use std::ops::Range;

use image::GrayImage;

use crate::area::Area;
use crate::laid::{Band, SPACE, Sizes};
use crate::strip::Strip;

/// So many spaces below the middle line words begin at the earliest: below the lowest line and what touches it.
const NEAREST: f64 = 2.7;

/// So many spaces below the middle line words end at the latest, if no other staff is nearer.
const FARTHEST: f64 = 8.0;

/// So many spaces above its middle line the next staff has for what stands above it.
const ABOVE_NEXT: f64 = 2.5;

/// The height of small letters, in rows: about a space (measured on prints of the time).
const LETTERS: usize = SPACE;

/// So far letters reach above and below small ones, in rows.
const REACH: usize = SPACE;

/// Ink is at least so much of the way from paper to the lines of the staff.
const INKED: f32 = 0.6;

/// What has no ink over so many columns parts two words.
const PARTED: usize = SPACE / 2;

/// What is narrower, in columns, is a stem, or a stain.
const NARROWEST: usize = SPACE * 3 / 4;

/// What runs on over so many columns is a rule of the page; no letter does.
const RULE: usize = 2 * SPACE;

/// What fills more than this part of the room between a staff and its words belongs to a clef, or to an initial.
const HANGING: f64 = 0.25;

/// Words take at least this part of the columns of a line that has any.
const LEAST: f64 = 0.015;

/// The words below each staff of a picture, from left to right, in pixels; none below an empty one.
pub fn words(picture: &GrayImage, strips: &[Strip]) -> Vec<Vec<Area>> {
    let sizes = Sizes::of(picture, strips);
    let rooms: Vec<f64> = strips.iter().map(|strip| room(strip, strips)).collect();
    // Below the last staff of a page the foot of the page follows: its words are as near as those of the others.
    let mut known: Vec<f64> = rooms.iter().copied().filter(|room| *room < FARTHEST).collect();
    known.sort_by(f64::total_cmp);
    let usual = known.get(known.len() / 2).copied().unwrap_or(FARTHEST);
    let of = |(strip, room): (&Strip, f64)| {
        if strip.empty { Vec::new() } else { below(&sizes, strip, room.min(usual)) }
    };
    strips.iter().zip(rooms).map(of).collect()
}

/// How many spaces below its middle line the words of a staff end at the latest.
fn room(strip: &Strip, strips: &[Strip]) -> f64 {
    let ends = |strip: &Strip| (strip.x, strip.x + strip.width);
    let (left, right) = ends(strip);
    let centre = |strip: &Strip| strip.y + strip.height / 2.0;
    let lower = strips.iter().filter(|other| {
        let (from, to) = ends(other);
        from < right && to > left && centre(other) > centre(strip)
    });
    let rooms = lower.map(|other| {
        let x = f64::midpoint(left.max(other.x), right.min(other.x + other.width));
        (other.middle_at(x) - strip.middle_at(x) - ABOVE_NEXT * other.space) / strip.space
    });
    rooms.fold(FARTHEST, f64::min)
}

fn below(sizes: &Sizes, strip: &Strip, room: f64) -> Vec<Area> {
    let rows = ((room - NEAREST) * SPACE as f64) as usize;
    if rows < LETTERS {
        return Vec::new();
    }
    let band = sizes.band(strip, NEAREST, rows);
    let columns = band.columns();
    let inked = letters_alone(&band, rows);
    let inked = |column: usize, row: usize| inked[row * columns + column];
    // Small letters stand where, over their height, most is inked.
    let ink: Vec<usize> =
        (0..rows).map(|row| (0..columns).filter(|column| inked(*column, row)).count()).collect();
    let sum = |from: usize| ink[from..from + LETTERS].iter().sum::<usize>();
    let first = (0..=rows - LETTERS).rev().max_by_key(|from| sum(*from)).unwrap_or(0);
    let letters = first..first + LETTERS;
    let is_full = |column: usize| letters.clone().any(|row| inked(column, row));
    let mut clusters: Vec<Range<usize>> = Vec::new();
    for column in (0..columns).filter(|column| is_full(*column)) {
        match clusters.last_mut() {
            Some(last) if column < last.end + PARTED => last.end = column + 1,
            _ => clusters.push(column..column + 1),
        }
    }
    let hangs = |cluster: &Range<usize>| {
        let above = cluster.clone().flat_map(|column| (0..first).map(move |row| (column, row)));
        let full = above.filter(|(column, row)| inked(*column, *row)).count();
        full as f64 > HANGING * (cluster.len() * first) as f64
    };
    clusters.retain(|cluster| cluster.len() >= NARROWEST && !hangs(cluster));
    let all: usize = clusters.iter().map(ExactSizeIterator::len).sum();
    if (all as f64) < LEAST * columns as f64 {
        return Vec::new();
    }
    let boxed = |cluster: Range<usize>| {
        let any = |row: &usize| cluster.clone().any(|column| inked(column, *row));
        let top = letters.start.saturating_sub(REACH);
        let bottom = (letters.end + REACH).min(rows);
        let top = (top..letters.end).find(any).unwrap_or(letters.start);
        let bottom = (letters.start..bottom).rfind(any).map_or(letters.end, |last| last + 1);
        band.area(cluster, top..bottom)
    };
    clusters.into_iter().map(boxed).collect()
}

/// Which places of a band are inked, row by row, without the rules of the page.
fn letters_alone(band: &Band, rows: usize) -> Vec<bool> {
    let columns = band.columns();
    let mut inked = Vec::with_capacity(rows * columns);
    for row in 0..rows {
        let is_inked = |column: &usize| band.ink(*column, row) >= INKED;
        let mut column = 0;
        while column < columns {
            let run = (column..columns).take_while(is_inked).count();
            let paper = (column + run..columns).take_while(|column| !is_inked(column)).count();
            inked.extend(std::iter::repeat_n(run < RULE, run));
            inked.extend(std::iter::repeat_n(false, paper));
            column += run + paper;
        }
    }
    inked
}
