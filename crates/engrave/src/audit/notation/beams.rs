//! Beams: those of two voices stay apart, and no stem runs into one of another voice.

use std::collections::BTreeMap;

use super::{Note, Survey, middle};
use crate::audit::FindingKind;
use crate::frame::{Ink, Item, Origin, Role};
use crate::practice::{BEAM, BEAM_DISTANCE};
use crate::units::{Point, Sp};

/// Common practice: a stem is at most as long as that.
const LONGEST_BEAMED_STEM: Sp = Sp(7.0);

impl<'p> Survey<'p> {
    /// Beams: none runs into that of another voice, or so near to it that the two are read as one
    /// for shorter values; no stem of another voice runs through one or ends in it; and no stem is
    /// so long that its beam is out of sight.
    pub(super) fn beams(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        let mut beams: Vec<Beam<'p>> = self.block.frame.items.iter().filter_map(Beam::of).collect();
        beams.sort_by(|one, two| one.left.x.0.total_cmp(&two.left.x.0));
        for (rank, beam) in beams.iter().enumerate() {
            self.look(FindingKind::BeamsMerge);
            let later = beams[rank + 1..].iter().take_while(|other| other.left.x < beam.right.x);
            let merged = later
                .filter(|other| other.origin.voice != beam.origin.voice)
                .find(|other| beam.merges(other));
            if let Some(other) = merged {
                self.found(FindingKind::BeamsMerge, &[beam.item, other.item]);
            }
        }
        let mut stems: Vec<(&Note<'p>, &Item, Point, Point)> = notes
            .values()
            .filter_map(|note| note.stem.map(|(item, from, to)| (note, item, from, to)))
            .collect();
        stems.sort_by(|one, two| one.2.x.0.total_cmp(&two.2.x.0));
        for beam in &beams {
            let inset = Sp(0.1);
            let first = stems.partition_point(|stem| stem.2.x < beam.left.x - inset);
            let under: Vec<_> =
                stems[first..].iter().take_while(|stem| stem.2.x < beam.right.x + inset).collect();
            // Stems that end together at a beam have it in common.
            let own = |x: Sp, tip: Sp| {
                under.iter().any(|(note, _, from, to)| {
                    note.of.voice == beam.origin.voice
                        && (from.x - x).abs() < Sp(0.02)
                        && (to.y - tip).abs() < Sp(0.02)
                })
            };
            for (note, item, from, to) in &under {
                if note.of.voice == beam.origin.voice || own(from.x, to.y) {
                    continue;
                }
                self.look(FindingKind::StemInBeam);
                let (top, bottom) = (from.y.min(to.y), from.y.max(to.y));
                let there = beam.at(from.x);
                if top < there + BEAM / 2.0 && there - BEAM / 2.0 < bottom {
                    self.found(FindingKind::StemInBeam, &[item, beam.item]);
                }
            }
        }
        for note in notes.values() {
            let Some((item, _, to)) = note.stem else { continue };
            let beamed = beams.iter().any(|beam| {
                let x = beam.left.x - Sp(0.1) < to.x && to.x < beam.right.x + Sp(0.1);
                x && beam.origin.staff == note.of.staff && (beam.at(to.x) - to.y).abs() < BEAM
            });
            if note.has_flag || !beamed {
                continue;
            }
            self.look(FindingKind::LongBeamedStem);
            // From the head that is nearest to the beam: those of a chord lie along the stem.
            let first = stems.partition_point(|stem| stem.2.x < to.x - Sp(0.02));
            let here = stems[first..].iter().take_while(|stem| stem.2.x < to.x + Sp(0.02));
            let common = here.filter(|stem| (stem.3.y - to.y).abs() < Sp(0.02));
            let heads = common.flat_map(|(note, ..)| &note.heads);
            let nearest = heads.map(|(_, _, area)| (middle(*area) - to.y).abs()).reduce(Sp::min);
            if nearest.is_some_and(|length| length > LONGEST_BEAMED_STEM) {
                self.found(FindingKind::LongBeamedStem, &[item]);
            }
        }
    }
}

/// A beam by its middle line.
struct Beam<'p> {
    item: &'p Item,
    origin: Origin,
    left: Point,
    right: Point,
}

impl<'p> Beam<'p> {
    fn of(item: &'p Item) -> Option<Beam<'p>> {
        let (Role::Beam, Ink::Shape(shape), Some(origin)) = (item.role, &item.ink, item.of) else {
            return None;
        };
        let corners = shape.points(0);
        let [left, right, ..] = corners.as_slice() else { return None };
        let half = BEAM / 2.0;
        Some(Beam {
            item,
            origin,
            left: left.moved(Sp::ZERO, half),
            right: right.moved(Sp::ZERO, half),
        })
    }

    fn at(&self, x: Sp) -> Sp {
        let part = (x - self.left.x) / (self.right.x - self.left.x).max(Sp(0.01));
        self.left.y + (self.right.y - self.left.y) * part
    }

    /// Whether the two cross, or run beside one another as the beams of one voice do.
    fn merges(&self, other: &Beam<'_>) -> bool {
        let (from, to) = (self.left.x.max(other.left.x), self.right.x.min(other.right.x));
        if to - from < Sp(0.1) {
            return false;
        }
        let (before, after) = (self.at(from) - other.at(from), self.at(to) - other.at(to));
        let crosses = (before.0 < 0.0) != (after.0 < 0.0);
        crosses || before.abs().min(after.abs()) < BEAM_DISTANCE + Sp(0.1)
    }
}
