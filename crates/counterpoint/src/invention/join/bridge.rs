//! Bridges: what the first pair sings after its last note, so that the second can enter upon it.

use std::collections::{BTreeMap, BTreeSet};

use rudiments::{Pitch, Signature, Step, Tone};

use super::super::line::{Line, MINIM, Tick};
use super::first::{Bridge, First};
use super::heard::Counted;
use super::layers::{Layers, Node, Way};
use super::place::Goal;

/// So long a new last note is held, if nothing speaks against it: a breve.
const HELD: i64 = 4 * MINIM;

/// The first pair without the length of its last notes, and all its ways from there.
pub(super) struct Stem {
    lines: [Line; 2],
    end: i64,
    counted: Counted,
    signature: Signature,
    layers: Layers,
}

impl Stem {
    /// The last notes of a pair are semibreves, or shorter if they are typed so; nothing where they do not
    /// sound together, or do not end with a minim.
    pub(super) fn new(first: &First, counted: Counted, signature: Signature) -> Option<Stem> {
        let last = first.last();
        let ends = first.lines.iter().filter_map(|line| line.last()).map(|note| note.off);
        let written = ends.clone().max()?;
        let end = written.min(last + 2 * MINIM);
        if ends.min()? <= last || end < last + MINIM || end % MINIM != 0 {
            return None;
        }
        let mut lines = first.lines.clone();
        for note in lines.iter_mut().filter_map(|line| line.last_mut()) {
            note.off = end;
        }
        let layers = Layers::new(&lines, signature)?;
        Some(Stem { lines, end, counted, signature, layers })
    }

    /// The bridges of so many minims without a cadence: the best to each pair of last notes.
    pub(super) fn plain(&mut self, minims: usize) -> Vec<First> {
        self.layers.grow(minims);
        let at = self.end + minims as i64 * MINIM;
        let mut seen = BTreeSet::new();
        let mut all: Vec<(u32, usize, [Way; 2])> = Vec::new();
        for (place, node) in self.layers.at(minims) {
            if node.ways.iter().any(|way| way.note.off != at) {
                continue;
            }
            for first in self.layers.moves(node.ways[0], 0, at + HELD) {
                for second in self.layers.moves(node.ways[1], 1, at + HELD) {
                    if let Some(cost) = self.layers.meet(node, [first, second], at) {
                        let rests = match (first.note.rung - second.note.rung).abs() % 7 {
                            0 | 4 => 0,
                            _ => 2,
                        };
                        let weak = if self.counted.is_strong(at) { 0 } else { 2 };
                        all.push((node.cost + cost + rests + weak, place, [first, second]));
                    }
                }
            }
        }
        all.sort_by_key(|(cost, place, ways)| (*cost, *place, ways.map(|way| way.note.rung)));
        all.retain(|(_, _, ways)| seen.insert(ways.map(|way| way.note.rung)));
        let first = |(cost, place, ways): (u32, usize, [Way; 2])| {
            let rung = ways[0].note.rung.min(ways[1].note.rung);
            let goal = Goal { dissonance: None, at, rung };
            let notes = ways.map(|way| vec![way.note]);
            self.first(minims, goal, End { layer: minims, place, held: None, notes, cost })
        };
        all.into_iter().map(first).collect()
    }

    /// The bridges of so many minims that end with a cadence, resolved in this manner; of those that sound
    /// alike from an entry on, the best.
    pub(super) fn cadences(&mut self, minims: usize, resolved: Resolved) -> Vec<First> {
        let at = self.end + minims as i64 * MINIM;
        let dissonance = at - 2 * MINIM;
        if minims < 2 || !self.counted.is_strong(dissonance) {
            return Vec::new();
        }
        let layer = minims.saturating_sub(3);
        self.layers.grow(layer);
        let mut found = Vec::new();
        for close in self.closes() {
            // Nobody hears what sounded earlier than a semibreve before the dissonance: of all ways that
            // sound alike from there on, the best.
            let mut best: BTreeMap<Sounds, End> = BTreeMap::new();
            for (place, node) in self.layers.at(layer) {
                self.reach(node, &close, dissonance, |cost, arrival| {
                    let cost = node.cost + cost;
                    let sounds = arrival.sounds(node);
                    if best.get(&sounds).is_none_or(|known| cost < known.cost) {
                        best.insert(
                            sounds,
                            arrival.end(&self.layers, layer, place, resolved, cost),
                        );
                    }
                });
            }
            let mut ends: Vec<End> = best.into_values().collect();
            ends.sort_by_cached_key(End::rank);
            let goal = Goal { dissonance: Some(dissonance), at, rung: close.goal };
            let mut seen = BTreeSet::new();
            for end in ends {
                let mut first = self.first(minims, goal, end);
                // Who enters hears only what sounds from then on: at the dissonance or later, a minim
                // before it, or a semibreve before it.
                let moments = [0, 1, 2].map(|minims| dissonance - minims * MINIM);
                let mut is_new = |at: &i64| seen.insert((*at, late(&first.lines, *at)));
                let new = moments.map(|at| is_new(&at).then_some(at)).into_iter().flatten().next();
                if let (Some(at), Some(bridge)) = (new, first.bridge.as_mut()) {
                    bridge.serves = if at == dissonance { i64::MAX } else { at };
                    found.push(first);
                }
            }
        }
        found
    }

    /// Brings a pair from a minim before the dissonance to its goal, in all ways.
    fn reach(
        &self,
        node: &Node,
        close: &Close,
        dissonance: i64,
        mut take: impl FnMut(u32, Arrival),
    ) {
        let (own, other) = (close.cantizans, 1 - close.cantizans);
        let preparation = dissonance - MINIM;
        let from = node.ways[own];
        let goal = self.layers.note(close.goal, preparation, dissonance + MINIM);
        let holds = from.note.rung == goal.rung && from.note.key == goal.key;
        let at_once = self.end == dissonance;
        if from.note.off != if at_once { dissonance } else { preparation } || at_once && !holds {
            return;
        }
        let prepared = if holds {
            Some(Way { note: Tick { off: dissonance + MINIM, ..from.note }, came: from.came })
        } else {
            self.layers.to(from, own, close.goal, dissonance + MINIM)
        };
        let Some(prepared) = prepared else { return };
        let with = node.ways[other];
        let nexts = if with.note.off >= dissonance {
            vec![with]
        } else {
            self.layers.moves(with, other, dissonance)
        };
        for next in nexts {
            let mut ways = [prepared; 2];
            ways[other] = next;
            let meets = if at_once { Some(0) } else { self.layers.meet(node, ways, preparation) };
            let Some(cost) = meets else { continue };
            for &[struck, last] in &close.with {
                let after = dissonance + 2 * MINIM;
                let Some(struck) = self.layers.to(next, other, struck, after) else { continue };
                let leading = self.leading(close.goal, dissonance + MINIM, after);
                let leap = u32::from(struck.came.abs() > 1);
                let struck = struck.note;
                let next = (next.note.on != with.note.on).then_some(next.note);
                let prepared = prepared.note;
                let arrival =
                    Arrival { own, prepared, holds, leading, goal: close.goal, next, struck, last };
                take(cost + leap, arrival);
            }
        }
    }

    /// The leading note: a semitone below the goal, unless a semitone lies above that (in *mi*).
    fn leading(&self, goal: i32, on: i64, off: i64) -> Tick {
        let [below, at, above] =
            [goal - 1, goal, goal + 1].map(|rung| self.layers.note(rung, on, off));
        let raised = i32::from(at.key - below.key == 2 && above.key - at.key == 2);
        Tick { key: below.key + raised, ..below }
    }

    /// All cadences of two voices on all goals near them.
    fn closes(&self) -> Vec<Close> {
        let mut closes = Vec::new();
        for cantizans in [0, 1] {
            let [own, other] = [cantizans, 1 - cantizans]
                .map(|voice| self.lines[voice].last().map_or(0, |note| note.rung));
            for goal in own - 9..=own + 9 {
                if !self.is_goal(goal) {
                    continue;
                }
                for octave in -2..=1 {
                    let low = goal + 7 * octave;
                    let near = |rung: i32| (rung - other).abs() <= 9;
                    let mut with = Vec::new();
                    if near(low) {
                        with.push([low + 1, low]);
                    }
                    // The bassizans, below the cantizans: a fourth up or a fifth down.
                    if octave <= 0 && near(low - 3) {
                        with.extend([[low - 3, low], [low - 3, low - 7]]);
                    }
                    if !with.is_empty() {
                        closes.push(Close { cantizans, goal, with });
                    }
                }
            }
        }
        closes
    }

    /// Whether a cadence is made on a tone: it has a pure fifth above it (common practice).
    fn is_goal(&self, rung: i32) -> bool {
        let key = |steps: i32| {
            let tone = Tone::on_rung(rung + steps);
            Pitch::new(tone, self.signature.alteration(tone.step)).key_number()
        };
        Tone::on_rung(rung).step != Step::B && key(4) - key(0) == 7
    }

    /// The pair with a way of the layers and more notes after it.
    fn first(&self, minims: usize, goal: Goal, end: End) -> First {
        let mut lines = self.lines.clone();
        for (line, way) in lines.iter_mut().zip(self.layers.notes(end.layer, end.place)) {
            line.extend(way);
        }
        if let Some((voice, off)) = end.held
            && let Some(last) = lines[voice].last_mut()
        {
            last.off = off;
        }
        for (line, notes) in lines.iter_mut().zip(end.notes) {
            line.extend(notes);
            for (number, note) in (1..).zip(line.iter_mut()) {
                note.number = number;
            }
        }
        let bridge =
            Bridge { begin: self.end, minims: minims as i64, cost: end.cost, serves: i64::MAX };
        First { lines, goals: vec![goal], bridge: Some(bridge) }
    }
}

/// How the suspended note of a cadence comes to the leading note: the two ornaments have a semiminim
/// before it (Jeppesen; from memory).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Resolved {
    /// By step.
    Plainly,
    /// By step, a semiminim too early, and struck again in its place.
    Early,
    /// By way of the third below.
    FromBelow,
}

/// What two voices sound from a moment on.
fn late(lines: &[Line; 2], at: i64) -> [Vec<(i64, i32)>; 2] {
    lines.each_ref().map(|line| {
        let late = line.iter().filter(|note| note.off > at);
        late.map(|note| (note.on.max(at), note.rung)).collect()
    })
}

/// How a pair comes from a minim before the dissonance to its goal.
struct Arrival {
    /// Which voice is the cantizans.
    own: usize,
    /// The suspended note, and whether it is one that sounded already.
    prepared: Tick,
    holds: bool,
    leading: Tick,
    goal: i32,
    /// What the other voice begins meanwhile, if it does not go on with what it sounds.
    next: Option<Tick>,
    /// What it strikes against the suspended note, and to which rung it goes.
    struck: Tick,
    last: i32,
}

/// What sounds from a semibreve before the dissonance on.
type Sounds = ([(i32, i64); 2], bool, Option<i32>, [i32; 2]);

impl Arrival {
    /// What is heard of it by who enters.
    fn sounds(&self, node: &Node) -> Sounds {
        let from = self.struck.on - 2 * MINIM;
        let before = node.ways.map(|way| (way.note.rung, way.note.on.max(from)));
        let next = self.next.map(|next| next.rung);
        (before, self.holds, next, [self.struck.rung, self.last])
    }

    fn end(
        &self,
        layers: &Layers,
        layer: usize,
        place: usize,
        resolved: Resolved,
        cost: u32,
    ) -> End {
        let after = self.struck.off;
        let last = |rung: i32| layers.note(rung, after, after + HELD);
        let (due, early) = (self.leading.on, self.leading.on - MINIM / 2);
        let ornament = match resolved {
            Resolved::Plainly => None,
            Resolved::Early => Some(Tick { on: early, off: due, ..self.leading }),
            Resolved::FromBelow => Some(layers.note(self.goal - 2, early, due)),
        };
        let off = if ornament.is_some() { early } else { due };
        let prepared = (!self.holds).then_some(Tick { off, ..self.prepared });
        let mut notes = [Vec::new(), Vec::new()];
        notes[self.own] =
            prepared.into_iter().chain(ornament).chain([self.leading, last(self.goal)]).collect();
        let next = self.next.into_iter();
        notes[1 - self.own] = next.chain([self.struck, last(self.last)]).collect();
        let held = self.holds.then_some((self.own, off));
        End { layer, place, held, notes, cost }
    }
}

/// How a bridge ends.
struct End {
    /// From which node of which layer it goes on.
    layer: usize,
    place: usize,
    /// Which voice holds what it sounds there, and up to when.
    held: Option<(usize, i64)>,
    /// What follows.
    notes: [Vec<Tick>; 2],
    cost: u32,
}

impl End {
    /// The best first; those that are as good in a fixed order.
    fn rank(&self) -> (u32, usize, Vec<i32>) {
        let rungs = self.notes.iter().flatten().map(|note| note.rung);
        (self.cost, self.place, rungs.collect())
    }
}

/// A cadence of two voices.
struct Close {
    /// Which voice has the goal suspended.
    cantizans: usize,
    /// The goal, as its rung there.
    goal: i32,
    /// What the other voice may sing: a note with the dissonance, and one with the goal.
    with: Vec<[i32; 2]>,
}
