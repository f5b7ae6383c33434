//! On which side of its staff a mark stands, so that it is seen whose it is.

use std::cmp::Ordering;

use rudiments::Time;
use score::Segment;

use super::super::Workshop;
use super::super::brackets::Member;
use super::super::draft::Side;

/// So many of its first bars decide for a mark, however long it is.
const DECIDING: usize = 12;

/// The side of a mark of a voice from one moment to another, on the staff of one of its signs: that on which no other voice sounds on the staff meanwhile, or the fewer do. Where
/// that is none, or as many, the side of the sign's stem. It is the same in all
/// systems.
pub(super) fn side(workshop: &Workshop<'_>, first: &Member, (from, to): (Time, Time)) -> Side {
    let score = workshop.arrangement.score;
    let begun = score.bars.partition_point(|bar| bar.end <= from);
    let after = score.bars.partition_point(|bar| bar.start < to).min(begun + DECIDING);
    let (voice, staff) = (first.origin.voice, first.origin.staff);
    let (mut higher, mut lower) = (Time::ZERO, Time::ZERO);
    for bar in &workshop.arrangement.bars[begun.min(after)..after] {
        let of_mark = bar.voices[voice].iter().filter(|own| own.onset < to && from < own.end());
        for own in of_mark.filter(|own| own.staff == staff) {
            let others = bar.voices.iter().enumerate().filter(|(other, _)| *other != voice);
            for other in others.flat_map(|(_, segments)| segments) {
                let meanwhile = other.end().min(own.end()) - other.onset.max(own.onset);
                if other.staff != staff || !meanwhile.is_positive() {
                    continue;
                }
                match rung(other).zip(rung(own)).map(|(other, own)| other.cmp(&own)) {
                    Some(Ordering::Greater) => higher += meanwhile,
                    Some(Ordering::Less) => lower += meanwhile,
                    _ => {}
                }
            }
        }
    }
    match higher.cmp(&lower) {
        Ordering::Less => Side::Above,
        Ordering::Greater => Side::Below,
        Ordering::Equal => first.side,
    }
}

/// The rung of the first note of a segment; nothing for a rest.
fn rung(segment: &Segment) -> Option<i32> {
    segment.notes.first().map(|note| note.pitch.tone.rung())
}
