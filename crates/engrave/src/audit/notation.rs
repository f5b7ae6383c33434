//! How notes stand on a staff: attacks, stems, beams, rests, ties and ledger lines.
//!
//! What is asked for is common practice as Elaine Gould, *Behind Bars* (2011), and Ted Ross, *The
//! Art of Music Engraving and Processing* (1970), have it; from memory. Lengths in millimetres are
//! those on a staff of six.

use std::collections::{BTreeMap, HashMap};

use rudiments::Time;

use super::{Finding, FindingKind, finding};
use crate::column::ledger_lines_at;
use crate::frame::{Block, Ink, Item, Origin, Role};
use crate::glyphs::{Sign, Signs};
use crate::practice::{BEAM, BEAM_DISTANCE, STAFF};
use crate::units::{Area, Point, Sp};

/// Heads that begin at places farther apart stand in columns of their own.
const ONE_COLUMN: Sp = Sp(0.25);

/// Two millimetres: heads of an attack that are farther apart look as if one came later.
const WIDE: Sp = Sp(2.0 / 1.5);

/// Common practice: a stem is at most as long as that.
const LONGEST_BEAMED_STEM: Sp = Sp(7.0);

/// A rest that reaches farther outside of its staff is out of its sight.
const FARTHEST_REST: Sp = Sp(2.0);

/// A tie that ends farther from its head does not arrive there.
const SHORT: Sp = Sp(1.0);

/// Notes on as many ledger lines are hard to read.
const MANY_LEDGER_LINES: usize = 2;

/// What was looked at in a system, and what was found.
pub(super) struct Survey<'p> {
    block: &'p Block,
    pub(super) findings: Vec<Finding>,
    /// Among how many things each kind was looked for.
    pub(super) of: BTreeMap<FindingKind, u32>,
}

/// Looks over a system.
pub(super) fn survey<'p>(block: &'p Block, signs: &Signs) -> Survey<'p> {
    let mut survey = Survey { block, findings: Vec::new(), of: BTreeMap::new() };
    let notes = notes(block, signs);
    survey.attacks(&notes);
    survey.breves(&notes, signs);
    survey.ledger_lines(&notes);
    survey.beams(&notes);
    survey.rests(&notes);
    survey.silence(&notes);
    survey.ties(&notes, signs);
    survey
}

/// A note or rest as it is drawn.
struct Note<'p> {
    of: Origin,
    heads: Vec<(&'p Item, Sign, Area)>,
    dots: Vec<Area>,
    /// From where the stem begins to where it ends.
    stem: Option<(&'p Item, Point, Point)>,
    /// The rest, unless it is left out, or another stands for it.
    rest: Option<(&'p Item, Area)>,
    has_flag: bool,
}

impl Note<'_> {
    fn is_note(&self) -> bool {
        !self.heads.is_empty()
    }

    fn is_drawn(&self) -> bool {
        self.is_note() || self.rest.is_some()
    }

    /// The middle of its heads.
    fn height(&self) -> Sp {
        let middles = self.heads.iter().map(|(_, _, area)| middle(*area));
        middles.sum::<Sp>() / self.heads.len().max(1) as f64
    }

    /// Where it begins, for what stands below one another.
    fn left(&self) -> Option<Sp> {
        let heads = self.heads.iter().map(|(_, _, area)| area.left);
        heads.chain(self.rest.map(|(_, area)| area.left)).reduce(Sp::min)
    }

    /// Whether its stem goes up; nothing for what has none.
    fn is_up(&self) -> Option<bool> {
        let square = |sign: Sign| matches!(sign, Sign::HeadLonga | Sign::HeadMaxima);
        let (_, from, to) = self.stem?;
        (!self.heads.iter().any(|(_, sign, _)| square(*sign))).then(|| to.y < from.y)
    }
}

fn middle(area: Area) -> Sp {
    (area.top + area.bottom) / 2.0
}

/// The notes and rests of a system, by origin.
fn notes<'p>(block: &'p Block, signs: &Signs) -> BTreeMap<Origin, Note<'p>> {
    let mut notes: BTreeMap<Origin, Note<'p>> = BTreeMap::new();
    for item in &block.frame.items {
        let Some(of) = item.of else { continue };
        let wanted =
            matches!(item.role, Role::Head | Role::Dot | Role::Stem | Role::Rest | Role::Flag);
        if !wanted {
            continue;
        }
        let note = notes.entry(of).or_insert_with(|| Note {
            of,
            heads: Vec::new(),
            dots: Vec::new(),
            stem: None,
            rest: None,
            has_flag: false,
        });
        match (item.role, &item.ink, item.area(signs)) {
            (Role::Head, Ink::Sign { sign, .. }, Some(area)) => {
                note.heads.push((item, *sign, area));
            }
            (Role::Dot, _, Some(area)) => note.dots.push(area),
            (Role::Stem, Ink::Line { from, to, .. }, _) => note.stem = Some((item, *from, *to)),
            (Role::Rest, _, Some(area)) => note.rest = Some((item, area)),
            (Role::Flag, ..) => note.has_flag = true,
            _ => {}
        }
    }
    notes
}

impl<'p> Survey<'p> {
    fn look(&mut self, kind: FindingKind) {
        *self.of.entry(kind).or_default() += 1;
    }

    fn found(&mut self, kind: FindingKind, items: &[&Item]) {
        self.findings.push(finding(kind, self.block, items));
    }

    /// What begins together on a staff.
    fn attacks(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        let mut attacks: BTreeMap<(usize, usize, Time), Vec<&Note<'p>>> = BTreeMap::new();
        for note in notes.values().filter(|note| note.is_note()) {
            attacks.entry((note.of.bar, note.of.staff, note.of.onset)).or_default().push(note);
        }
        for attack in attacks.into_values() {
            self.columns(&attack);
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

    /// The strokes beside a breve are its own: they touch no neighbour.
    fn breves(&mut self, notes: &BTreeMap<Origin, Note<'p>>, signs: &Signs) {
        let strokes = |sign: Sign, area: Area| {
            let points = signs.outline(sign).points(0);
            let outermost = points.into_iter().filter(|point| point.x < Sp(0.05));
            let high = outermost.fold(Area::EMPTY, Area::with).height() / 2.0;
            let white = Sp(-0.01);
            let area = Area { top: middle(area) - high, bottom: middle(area) + high, ..area };
            [
                Area { right: area.left + Sp(0.3), ..area },
                Area { left: area.right - Sp(0.3), ..area },
            ]
            .map(|side| side.grown(white, white))
        };
        let mut others: Vec<&Item> = self
            .block
            .frame
            .items
            .iter()
            .filter(|item| {
                matches!(item.role, Role::Head | Role::Accidental | Role::Stem | Role::Rest)
            })
            .collect();
        let left = |item: &Item| item.area(signs).map_or(f64::INFINITY, |area| area.left.0);
        others.sort_by(|one, two| left(one).total_cmp(&left(two)));
        for note in notes.values() {
            for (item, sign, area) in &note.heads {
                if !matches!(sign, Sign::HeadBreve | Sign::HeadBreveAmongOthers) {
                    continue;
                }
                self.look(FindingKind::BreveStroke);
                let from = others.partition_point(|other| left(other) < (area.left - Sp(4.0)).0);
                let near = others[from..].iter().take_while(|other| left(other) < area.right.0);
                let touched = near.filter(|other| other.of != item.of).find(|other| {
                    other.area(signs).is_some_and(|there| {
                        there != *area && strokes(*sign, *area).iter().any(|side| side.meets(there))
                    })
                });
                if let Some(other) = touched {
                    self.found(FindingKind::BreveStroke, &[item, other]);
                }
            }
        }
    }

    fn ledger_lines(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        for note in notes.values() {
            let Some(staff) = self.block.frame.staves.get(note.of.staff) else { continue };
            let top = staff.bottom - STAFF;
            for (item, _, area) in &note.heads {
                self.look(FindingKind::LedgerLines);
                let lines = ledger_lines_at(middle(*area) - top);
                if lines >= MANY_LEDGER_LINES {
                    self.found(FindingKind::LedgerLines, &[item]);
                }
            }
        }
    }

    /// Beams: none runs into that of another voice, or so near to it that the two are read as one
    /// for shorter values; no stem of another voice runs through one or ends in it; and no stem is
    /// so long that its beam is out of sight.
    fn beams(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
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

    /// Rests for a part of a bar: what other voices cover is left out as a rule, and none stands
    /// far from its staff.
    fn rests(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        for note in notes.values() {
            let Some((item, area)) = note.rest else { continue };
            self.look(FindingKind::RestOutside);
            if let Some(staff) = self.block.frame.staves.get(note.of.staff) {
                let over = staff.bottom - STAFF - area.top;
                let under = area.bottom - staff.bottom;
                if over.max(under) > FARTHEST_REST {
                    self.found(FindingKind::RestOutside, &[item]);
                }
            }
        }
        let mut sounding: HashMap<(usize, usize), Vec<(Time, Time)>> = HashMap::new();
        for Note { of, .. } in notes.values().filter(|note| note.is_note()) {
            sounding.entry((of.bar, of.staff)).or_default().push((of.onset, of.end));
        }
        let whole = whole_bars(notes);
        for note in notes.values().filter(|note| !note.is_note()) {
            let Origin { bar, staff, onset, end, .. } = note.of;
            let spans = sounding.get(&(bar, staff)).cloned().unwrap_or_default();
            let for_a_part = whole.get(&bar) != Some(&(onset, end));
            if for_a_part && uncovered(spans, onset, end).is_empty() {
                self.look(FindingKind::CoveredRest);
                if let Some((item, _)) = note.rest {
                    self.found(FindingKind::CoveredRest, &[item]);
                }
            }
        }
    }

    /// No staff is silent without a rest.
    fn silence(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        // Rests of the staff alone, which belong to no voice.
        let alone: Vec<Point> = self
            .block
            .frame
            .items
            .iter()
            .filter_map(|item| match item.ink {
                Ink::Sign { at, .. } if item.role == Role::Rest && item.of.is_none() => Some(at),
                _ => None,
            })
            .collect();
        let mut spans: HashMap<(usize, usize), Vec<(Time, Time)>> = HashMap::new();
        // Where what begins at each time stands.
        let mut columns: BTreeMap<(usize, Time), Sp> = BTreeMap::new();
        let whole = whole_bars(notes);
        for note in notes.values().filter(|note| note.is_drawn()) {
            let Origin { bar, staff, onset, end, .. } = note.of;
            spans.entry((bar, staff)).or_default().push((onset, end));
            let whole_rest = note.rest.is_some() && whole.get(&bar) == Some(&(onset, end));
            if let Some(left) = note.left().filter(|_| !whole_rest) {
                let column = columns.entry((bar, onset)).or_insert(left);
                *column = (*column).min(left);
            }
        }
        for (bar, (from, to)) in &whole {
            for (number, staff) in self.block.frame.staves.iter().enumerate() {
                self.look(FindingKind::SilentStaff);
                let here = spans.remove(&(*bar, number)).unwrap_or_default();
                let silent = uncovered(here, *from, *to).into_iter().any(|(begins, ends)| {
                    let left =
                        columns.range(..(*bar, begins)).next_back().map_or(Sp(-9.0), |(_, x)| *x);
                    let right =
                        columns.range((*bar, ends)..).next().map_or(Sp(f64::INFINITY), |(_, x)| *x);
                    let top = staff.bottom - STAFF;
                    !alone.iter().any(|at| {
                        left < at.x
                            && at.x < right
                            && top - FARTHEST_REST < at.y
                            && at.y < staff.bottom + FARTHEST_REST
                    })
                });
                if silent {
                    let found = finding(FindingKind::SilentStaff, self.block, &[]);
                    self.findings.push(Finding { bar: Some(*bar), ..found });
                }
            }
        }
    }

    /// Ties begin at a head and end at one, or at accidentals that stand before it.
    fn ties(&mut self, notes: &BTreeMap<Origin, Note<'p>>, signs: &Signs) {
        let mut accidentals: HashMap<(usize, Time), Sp> = HashMap::new();
        for item in &self.block.frame.items {
            let (Role::Accidental, Some(of), Some(area)) = (item.role, item.of, item.area(signs))
            else {
                continue;
            };
            let left = accidentals.entry((of.staff, of.onset)).or_insert(area.left);
            *left = (*left).min(area.left);
        }
        for item in &self.block.frame.items {
            let (Role::Tie, Ink::Shape(shape), Some(of)) = (item.role, &item.ink, item.of) else {
                continue;
            };
            let ends = shape.points(0);
            let [from, to, ..] = ends.as_slice() else { continue };
            self.look(FindingKind::ShortTie);
            let own = &notes[&of];
            let near = |note: &Note<'_>| {
                note.heads.iter().map(|(_, _, area)| *area).reduce(|one, two| {
                    let off = |area: Area| (middle(area) - from.y).abs();
                    if off(two) < off(one) { two } else { one }
                })
            };
            let Some(head) = near(own) else { continue };
            let comes_from_before = middle_x(head) > to.x;
            let after = notes.values().filter(|note| {
                note.of.voice == of.voice
                    && note.of.onset == of.end
                    && note.of.index == of.index
                    && note.is_note()
            });
            let reaches = |note: &Note<'_>| {
                let before = accidentals.get(&(note.of.staff, note.of.onset));
                near(note).map(|head| before.map_or(head.left, |x| x.min(head.left)) - to.x)
            };
            let short_at_end = if comes_from_before {
                head.left - to.x > SHORT
            } else {
                after.filter_map(reaches).any(|short| short > SHORT)
            };
            // Of two heads at one height, a tie of either begins behind both.
            let struck = notes.values().filter(|note| {
                (note.of.staff, note.of.onset) == (of.staff, of.onset) && note.of.bar == of.bar
            });
            let level = struck.flat_map(|note| &note.heads).map(|(_, _, area)| *area);
            let level = level.filter(|area| (middle(*area) - middle(head)).abs() < Sp(0.05));
            let head = level.reduce(Area::and).unwrap_or(head);
            let behind = own.dots.iter().map(|dot| dot.right).fold(head.right, Sp::max);
            let short_at_start = !comes_from_before && from.x - behind > SHORT;
            if short_at_end || short_at_start {
                self.found(FindingKind::ShortTie, &[item]);
            }
        }
    }
}

fn middle_x(area: Area) -> Sp {
    (area.left + area.right) / 2.0
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

/// From when to when each bar goes.
fn whole_bars(notes: &BTreeMap<Origin, Note<'_>>) -> BTreeMap<usize, (Time, Time)> {
    let mut bars: BTreeMap<usize, (Time, Time)> = BTreeMap::new();
    for Note { of, .. } in notes.values() {
        let bar = bars.entry(of.bar).or_insert((of.onset, of.end));
        *bar = (bar.0.min(of.onset), bar.1.max(of.end));
    }
    bars
}

/// The stretches between two times in which no span has a part.
fn uncovered(mut spans: Vec<(Time, Time)>, from: Time, to: Time) -> Vec<(Time, Time)> {
    spans.sort_unstable();
    let mut open = Vec::new();
    let mut at = from;
    for (begins, ends) in spans {
        if at < begins.min(to) {
            open.push((at, begins.min(to)));
        }
        at = at.max(ends);
    }
    if at < to {
        open.push((at, to));
    }
    open
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

#[cfg(test)]
mod tests {
    use super::super::{audit, measures};
    use super::*;
    use crate::frame::Picture;
    use crate::testing::picture;

    /// Two voices for each hand: a beam, a rest that stands for both of the left, one that is left
    /// out, a tie, and breves at the end.
    const FOUR: &str = "\
voice Cantus  clef C1
  fu C5 D E D sb E mn D br D5
voice Altus  clef C1
  mn A4 sb G4 br A4 mn F A4
voice Tenor  clef F4
  mn E3 _ C D br D3
voice Bassus  clef F4
  mn A2 _*2 G2 br D
";

    /// What is found, each kind once, after items were changed.
    fn found(change: impl FnOnce(&mut Vec<Item>)) -> Vec<FindingKind> {
        let mut picture = planted(|_| {});
        let before = counts(&picture);
        assert_eq!(audit(&picture), []);
        let system = picture.blocks.iter_mut().find(|block| block.system().is_some());
        change(&mut system.unwrap().frame.items);
        let after = counts(&picture);
        let more = before.iter().zip(after).filter(|(one, two)| two.1 > one.1);
        more.map(|(_, (kind, _))| kind).collect()
    }

    fn planted(change: impl FnOnce(&mut Vec<Item>)) -> Picture {
        let mut picture = picture(FOUR);
        change(&mut picture.blocks[0].frame.items);
        picture
    }

    fn counts(picture: &Picture) -> Vec<(FindingKind, u32)> {
        measures(picture).into_iter().map(|measure| (measure.kind, measure.found)).collect()
    }

    fn is_of(item: &Item, role: Role, voice: usize, bar: usize, place: usize) -> bool {
        let here = item.of.is_some_and(|of| (of.voice, of.bar, of.place) == (voice, bar, place));
        item.role == role && here
    }

    /// Moves all of a note that has one of the roles.
    fn shift(
        items: &mut [Item],
        roles: &[Role],
        (voice, bar, place): (usize, usize, usize),
        x: f64,
        y: f64,
    ) {
        let mut moved = 0;
        for item in items {
            if roles.iter().any(|role| is_of(item, *role, voice, bar, place)) {
                *item = item.clone().moved(Sp(x), Sp(y));
                moved += 1;
            }
        }
        assert!(moved > 0, "there is nothing to move");
    }

    const NOTE: &[Role] = &[Role::Head, Role::Stem];

    #[test]
    fn an_attack_that_is_torn() {
        let torn = found(|items| shift(items, NOTE, (1, 0, 0), 0.4, 0.0));
        assert_eq!(torn, [FindingKind::TornAttack]);
        let wide = found(|items| shift(items, NOTE, (1, 0, 0), -1.5, 0.0));
        assert_eq!(wide, [FindingKind::TornAttack, FindingKind::WideAttack]);
    }

    #[test]
    fn stems_against_the_order_of_pitch() {
        let turned = found(|items| {
            for item in items {
                for (voice, place, by) in [(0, 5, 7.0), (1, 2, -7.0)] {
                    let chosen = is_of(item, Role::Stem, voice, 0, place);
                    if let (true, Ink::Line { to, .. }) = (chosen, &mut item.ink) {
                        to.y += Sp(by);
                    }
                }
            }
        });
        assert_eq!(turned, [FindingKind::StemAgainstOrder]);
    }

    #[test]
    fn beams_that_misstate() {
        let beam =
            |items: &[Item]| items.iter().find(|item| item.role == Role::Beam).unwrap().clone();
        let doubled = found(|items| {
            let mut other = beam(items).moved(Sp::ZERO, Sp(0.75));
            other.of = other.of.map(|of| Origin { voice: 1, ..of });
            items.push(other);
        });
        assert!(doubled.contains(&FindingKind::BeamsMerge), "{doubled:?}");
        let crossed = found(|items| {
            let at = beam(items).area(&Signs::read()).unwrap();
            for item in items {
                if let (true, Ink::Line { from, to, .. }) =
                    (is_of(item, Role::Stem, 1, 0, 0), &mut item.ink)
                {
                    (from.x, to.x) = (at.left + Sp(1.0), at.left + Sp(1.0));
                    to.y = at.top - Sp(1.0);
                }
            }
        });
        assert!(crossed.contains(&FindingKind::StemInBeam), "{crossed:?}");
        let far = found(|items| {
            for item in items {
                match (&mut item.ink, item.of) {
                    (Ink::Line { to, .. }, Some(of))
                        if item.role == Role::Stem
                            && of.voice == 0
                            && of.place < 4
                            && of.bar == 0 =>
                    {
                        to.y -= Sp(4.0);
                    }
                    (_, _) if item.role == Role::Beam => {
                        *item = item.clone().moved(Sp::ZERO, Sp(-4.0));
                    }
                    _ => {}
                }
            }
        });
        assert_eq!(far, [FindingKind::LongBeamedStem]);
    }

    #[test]
    fn rests_that_are_missing_or_far_or_not_needed() {
        let is_drawn = |item: &Item| {
            item.role == Role::Rest
                && item.ink != Ink::Shared
                && item.of.is_some_and(|of| of.bar == 0)
        };
        let far = found(|items| {
            let rest = items.iter_mut().find(|item| is_drawn(item)).unwrap();
            *rest = rest.clone().moved(Sp::ZERO, Sp(4.5));
        });
        assert_eq!(far, [FindingKind::RestOutside]);
        let missing =
            found(|items| items.iter_mut().find(|item| is_drawn(item)).unwrap().ink = Ink::Shared);
        assert_eq!(missing, [FindingKind::SilentStaff]);
        let covered = found(|items| {
            let rest = items.iter().find(|item| is_drawn(item)).unwrap().ink.clone();
            let left_out = |item: &&mut Item| {
                item.role == Role::Rest && item.of.is_some_and(|of| of.onset == Time::minims(2))
            };
            items.iter_mut().find(left_out).unwrap().ink = rest;
        });
        assert_eq!(covered, [FindingKind::CoveredRest]);
    }

    #[test]
    fn a_tie_that_does_not_arrive() {
        let short = found(|items| {
            let tie = items.iter_mut().find(|item| item.role == Role::Tie).unwrap();
            *tie = tie.clone().moved(Sp(-2.5), Sp::ZERO);
        });
        assert_eq!(short, [FindingKind::ShortTie]);
    }

    #[test]
    fn a_head_at_the_stroke_of_a_breve() {
        let touched = found(|items| shift(items, &[Role::Head], (2, 1, 0), 2.2, 0.0));
        assert_eq!(touched, [FindingKind::BreveStroke]);
    }

    #[test]
    fn ledger_lines() {
        let far = found(|items| shift(items, NOTE, (0, 0, 4), 0.0, -4.0));
        assert_eq!(far, [FindingKind::LedgerLines]);
    }
}
