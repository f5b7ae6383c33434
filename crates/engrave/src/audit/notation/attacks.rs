//! What strikes together on a staff: its columns, and the order of its stems.

use std::collections::BTreeMap;

use rudiments::Time;

use super::{Note, Survey, middle};
use crate::audit::FindingKind;
use crate::frame::{Ink, Item, Origin, Role};
use crate::practice::BEAM;
use crate::units::{Point, Sp};

/// Heads that begin at places farther apart stand in columns of their own.
const ONE_COLUMN: Sp = Sp(0.25);

/// Two millimetres: heads of an attack that are farther apart look as if one came later.
const WIDE: Sp = Sp(2.0 / 1.5);

impl<'p> Survey<'p> {
    /// What begins together on a staff.
    pub(super) fn attacks(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        let mut attacks: BTreeMap<(usize, usize, Time), Vec<&Note<'p>>> = BTreeMap::new();
        for note in notes.values().filter(|note| note.is_note()) {
            attacks.entry((note.of.bar, note.of.staff, note.of.onset)).or_default().push(note);
        }
        for attack in attacks.into_values() {
            self.columns(&attack);
            self.beat(&attack);
            self.order(&attack);
        }
    }

    /// Heads that begin together stand below one another, unless a second or a unison has no room
    /// there (Gould, Ross).
    fn columns(&mut self, attack: &[&Note<'p>]) {
        let heads: Vec<_> = attack.iter().flat_map(|note| &note.heads).collect();
        if heads.len() < 2 {
            return;
        }
        self.look(FindingKind::TornAttack);
        self.look(FindingKind::WideAttack);
        let Some(first) =
            heads.iter().reduce(|one, two| if two.2.left < one.2.left { two } else { one })
        else {
            return;
        };
        let Some(last) =
            heads.iter().reduce(|one, two| if two.2.left > one.2.left { two } else { one })
        else {
            return;
        };
        let spread = last.2.left - first.2.left;
        if spread <= ONE_COLUMN {
            return;
        }
        let close = heads.iter().enumerate().any(|(rank, one)| {
            heads[..rank].iter().any(|two| {
                let same = one.1 == two.1 && one.2 == two.2;
                !same && (middle(one.2) - middle(two.2)).abs() < Sp(0.6)
            })
        });
        if !close && !unequal_parts(attack) {
            self.found(FindingKind::TornAttack, &[last.0, first.0]);
        }
        let needs_room = attack.iter().any(|note| !note.dots.is_empty() || note.has_flag);
        if spread > WIDE && !close && !needs_room {
            self.found(FindingKind::WideAttack, &[last.0, first.0]);
        }
    }

    /// What stands aside for want of room stands behind the outer voices, not before them (Gould: a
    /// third part is moved to the right; from memory), unless that would be so far to the right, as
    /// behind a breve, that it seemed to come later, or its stem would run through their beam. The heads
    /// of one stem stand on both sides of it.
    fn beat(&mut self, attack: &[&Note<'p>]) {
        let [_, _, _, ..] = attack else { return };
        let left = |note: &Note<'p>| note.left().unwrap_or(Sp::ZERO);
        let heights = || attack.iter().map(|note| note.height());
        let (Some(top), Some(bottom)) = (heights().reduce(Sp::min), heights().reduce(Sp::max))
        else {
            return;
        };
        let outer = |note: &Note<'p>| note.height() == top || note.height() == bottom;
        let heads = attack.iter().filter(|note| outer(note)).flat_map(|note| &note.heads);
        if heads.map(|(_, _, area)| area.width()).any(|width| width > WIDE) {
            return;
        }
        self.look(FindingKind::EarlyHead);
        let first = attack.iter().filter(|note| outer(note)).map(|note| left(note));
        let Some(first) = first.reduce(Sp::min) else { return };
        let bound = |note: &Note<'p>| {
            let (Some((_, own, own_tip)), Some(up)) = (note.stem, note.is_up()) else {
                return false;
            };
            attack.iter().filter(|other| outer(other) && other.is_up() == Some(up)).any(|other| {
                let Some((_, stem, tip)) = other.stem else { return false };
                let one_stem = (stem.x - own.x).abs() < Sp(0.02) && tip == own_tip;
                one_stem || self.is_beamed(tip)
            })
        };
        let is_early = |note: &&&Note<'p>| !outer(note) && left(note) < first - Sp(0.4);
        let early = attack.iter().filter(is_early).find(|note| !bound(note));
        if let Some((head, ..)) = early.and_then(|note| note.heads.first()) {
            self.found(FindingKind::EarlyHead, &[head]);
        }
    }

    /// Whether a stem that ends there ends at a beam.
    fn is_beamed(&self, tip: Point) -> bool {
        let beams = self.block.frame.items.iter().filter(|item| item.role == Role::Beam);
        let mut shapes = beams.filter_map(|item| match &item.ink {
            Ink::Shape(shape) => Some(shape.area().grown(Sp(0.1), BEAM)),
            _ => None,
        });
        shapes.any(|area| area.contains(tip))
    }

    /// Of two voices that strike together, the higher has its stem up, the lower its stem down, or
    /// both have one (common practice).
    fn order(&mut self, attack: &[&Note<'p>]) {
        let stemmed: Vec<(&Note<'p>, bool)> =
            attack.iter().filter_map(|note| Some((*note, note.is_up()?))).collect();
        if stemmed.len() < 2 {
            return;
        }
        self.look(FindingKind::StemAgainstOrder);
        for (rank, (one, up)) in stemmed.iter().enumerate() {
            for (other, other_up) in &stemmed[..rank] {
                let (high, low, high_up, low_up) = if one.height() < other.height() {
                    (one, other, up, other_up)
                } else {
                    (other, one, other_up, up)
                };
                let apart = low.height() - high.height() > Sp(0.1);
                if apart && !high_up && *low_up {
                    let stems = [high, low].map(|note| note.stem.map(|(item, ..)| item));
                    let stems: Vec<&Item> = stems.into_iter().flatten().collect();
                    self.found(FindingKind::StemAgainstOrder, &stems);
                    return;
                }
            }
        }
    }
}

/// Whether three parts or more strike together, and the stem of one would run through the head of
/// another that has another value: then it has to stand beside it.
fn unequal_parts(attack: &[&Note<'_>]) -> bool {
    let meets = |note: &&&Note<'_>, other: &Note<'_>| {
        let beyond = match note.is_up() {
            Some(true) => other.height() < note.height(),
            Some(false) => other.height() > note.height(),
            None => false,
        };
        beyond && other.of.end != note.of.end
    };
    attack.len() > 2 && attack.iter().any(|note| attack.iter().any(|other| meets(&note, other)))
}
