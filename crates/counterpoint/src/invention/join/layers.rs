//! How two voices can go on: all good ways, minim by minim.
//!
//! Of all ways to the same two notes, reached by moves of the same kind, only the best is kept: whatever
//! follows is as good after each of them. So the search sees every way, and grows with the number of
//! minims alone.

use std::collections::BTreeMap;

use rudiments::{Pitch, Signature, Tone};

use super::super::answer::is_melodic;
use super::super::judge::pitch;
use super::super::line::{Line, MINIM, Tick};
use super::super::treatment::is_concord;

/// The widest move, in steps: a fifth.
const WIDEST: i32 = 4;

/// The widest compass of a voice, in steps: a tenth.
const COMPASS: i32 = 9;

/// A voice on its way: the note that it sounds, and how it came to it: by a leap down or up (-2, 2), a
/// step (-1, 1), or struck again (0).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Way {
    pub(super) note: Tick,
    pub(super) came: i32,
}

/// Two voices on their way.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub(super) ways: [Way; 2],
    pub(super) cost: u32,
    /// The node a minim before from which this comes.
    before: usize,
}

/// What two voices may sing from a moment on.
pub(super) struct Layers {
    signature: Signature,
    /// From when on.
    begin: i64,
    /// The lowest and the highest that each voice may sing.
    compass: [(i32, i32); 2],
    /// Whether the first voice lies above.
    first_above: bool,
    /// For each minim from the beginning on, what may sound just before.
    nodes: Vec<Vec<Node>>,
}

impl Layers {
    /// Two voices whose last notes end at a moment.
    pub(super) fn new(lines: &[Line; 2], signature: Signature) -> Option<Layers> {
        let [first, second] = lines.each_ref().map(way);
        let ways = [first?, second?];
        let compass = lines.each_ref().map(|line| {
            let rungs = || line.iter().map(|note| note.rung);
            let (low, high) = (rungs().min().unwrap_or(0), rungs().max().unwrap_or(0));
            (low.min(high - COMPASS), high.max(low + COMPASS))
        });
        Some(Layers {
            signature,
            begin: ways[0].note.off,
            compass,
            first_above: ways[0].note.rung >= ways[1].note.rung,
            nodes: vec![vec![Node { ways, cost: 0, before: 0 }]],
        })
    }

    /// Goes on for so many minims in all good ways.
    pub(super) fn grow(&mut self, minims: usize) {
        while self.nodes.len() <= minims {
            let next = self.after(self.nodes.len() - 1);
            self.nodes.push(next);
        }
    }

    /// What may sound just before so many minims are over, the best first.
    pub(super) fn at(&self, minims: usize) -> impl Iterator<Item = (usize, &Node)> {
        let nodes = self.nodes.get(minims).map(Vec::as_slice).unwrap_or_default();
        let mut order: Vec<(usize, &Node)> = nodes.iter().enumerate().collect();
        order.sort_by_key(|(place, node)| (node.cost, *place));
        order.into_iter()
    }

    /// The notes of both voices on the way to a node, in order of time.
    pub(super) fn notes(&self, minims: usize, place: usize) -> [Vec<Tick>; 2] {
        let mut notes = [Vec::new(), Vec::new()];
        let mut place = place;
        for layer in (1..=minims).rev() {
            let node = &self.nodes[layer][place];
            let before = &self.nodes[layer - 1][node.before];
            for (voice, notes) in notes.iter_mut().enumerate() {
                if node.ways[voice].note.on != before.ways[voice].note.on {
                    notes.insert(0, node.ways[voice].note);
                }
            }
            place = node.before;
        }
        notes
    }

    /// The nodes a minim later.
    fn after(&self, minim: usize) -> Vec<Node> {
        let at = self.begin + minim as i64 * MINIM;
        let mut found: BTreeMap<[(i32, i64, i64, i32); 2], Node> = BTreeMap::new();
        for (before, node) in self.nodes[minim].iter().enumerate() {
            for first in self.next(node, 0, at) {
                for second in self.next(node, 1, at) {
                    let ways = [first, second];
                    let Some(cost) = self.meet(node, ways, at) else { continue };
                    let cost = node.cost + cost;
                    let key = ways.map(|way| (way.note.rung, way.note.on, way.note.off, way.came));
                    let better = found.get(&key).is_none_or(|known| cost < known.cost);
                    if better {
                        found.insert(key, Node { ways, cost, before });
                    }
                }
            }
        }
        found.into_values().collect()
    }

    /// What a voice may sound from a moment on: what it holds, or a new minim or semibreve.
    fn next(&self, node: &Node, voice: usize, at: i64) -> Vec<Way> {
        let now = node.ways[voice];
        if now.note.off > at {
            return vec![now];
        }
        let ends = [at + MINIM, at + 2 * MINIM];
        ends.into_iter().flat_map(|end| self.moves(now, voice, end)).collect()
    }

    /// All notes to which a voice may move, up to a moment.
    pub(super) fn moves(&self, from: Way, voice: usize, end: i64) -> Vec<Way> {
        let moves = -WIDEST..=WIDEST;
        moves.filter_map(|steps| self.to(from, voice, from.note.rung + steps, end)).collect()
    }

    /// A voice that moves to a rung and sounds it up to a moment, if that is sung: no leap beyond a fifth
    /// or by an interval that is not pure, no two leaps in one direction, nothing struck three times.
    pub(super) fn to(&self, from: Way, voice: usize, rung: i32, end: i64) -> Option<Way> {
        let note = self.note(rung, from.note.off, end);
        let steps = rung - from.note.rung;
        let came = steps.clamp(-2, 2);
        let (low, high) = self.compass[voice];
        let again = came == from.came && matches!(came, -2 | 0 | 2);
        let sung = steps.abs() <= WIDEST
            && (low..=high).contains(&rung)
            && !again
            && is_melodic(pitch(from.note), pitch(note));
        sung.then_some(Way { note, came })
    }

    /// A note as the signature has it.
    pub(super) fn note(&self, rung: i32, on: i64, off: i64) -> Tick {
        let tone = Tone::on_rung(rung);
        Tick::of(Pitch::new(tone, self.signature.alteration(tone.step)), on, off, 0)
    }

    /// How well two voices meet at a moment, the less the better; nothing where they must not: a
    /// dissonance, voices that cross, two perfect consonances of a kind in similar or contrary motion.
    pub(super) fn meet(&self, before: &Node, ways: [Way; 2], at: i64) -> Option<u32> {
        let [first, second] = ways.map(|way| way.note);
        let above = first.rung - second.rung;
        let crosses = if self.first_above { above < 0 } else { above > 0 };
        if crosses || !is_concord(first, second) {
            return None;
        }
        let new = ways.map(|way| way.note.on == at);
        let moved = [0, 1].map(|voice| {
            let from = before.ways[voice].note;
            if new[voice] { ways[voice].note.rung - from.rung } else { 0 }
        });
        let was = (before.ways[0].note.rung - before.ways[1].note.rung).abs();
        let both = moved[0] != 0 && moved[1] != 0;
        let class = |steps: i32| steps.abs() % 7;
        let perfect = matches!(class(above), 0 | 4);
        if both && perfect && class(above) == class(was) {
            return None;
        }
        let one = |voice: usize| match moved[voice].abs() {
            steps if steps == 1 || !new[voice] => 0,
            2 => 1,
            _ => 2,
        };
        let syncopated = |voice: usize| {
            let note = ways[voice].note;
            u32::from(new[voice] && note.off - note.on > MINIM && (at / MINIM) % 2 != 0)
        };
        let similar = moved[0].signum() * moved[1].signum() > 0;
        let direct = if similar && perfect { 2 } else { 0 };
        let leaps = if moved[0].abs() > 1 && moved[1].abs() > 1 { 2 } else { 0 };
        let unison = if above == 0 { 2 } else { 0 };
        Some(one(0) + one(1) + syncopated(0) + syncopated(1) + direct + leaps + unison)
    }
}

/// A voice at the end of its notes.
fn way(line: &Line) -> Option<Way> {
    let note = *line.last()?;
    let before = line.len().checked_sub(2).map(|place| line[place]);
    let before = before.filter(|before| before.off == note.on);
    // After a rest any move is good: as after a step.
    let came = before.map_or(1, |before| (note.rung - before.rung).clamp(-2, 2));
    Some(Way { note, came })
}
