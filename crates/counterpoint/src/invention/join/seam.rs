//! Whether a second pair enters well upon a first: every pair of voices is judged anew.

use super::super::line::{Line, MINIM, Tick};
use super::super::treatment::is_concord;
use super::heard::{Counted, Heard, Known, within};

/// Both pairs, side by side in time; the first pair has the numbers 0 and 1, the second 2 and 3.
pub(super) type Voices = [Line; 4];

/// How voices are judged where they are joined.
pub(super) struct Seam {
    pub(super) counted: Counted,
    /// The faults that the pairs have by themselves.
    pub(super) known: Known,
    /// How wide a hand reaches, in staff steps.
    pub(super) reach: i32,
}

/// So long before and after what is looked at the voices are heard: what a note comes from and where it
/// goes decides what it is.
const AROUND: i64 = 8 * MINIM;

/// So long before an entry something may be spoilt by it: a suspension that it does not let resolve.
const BEFORE: i64 = 4 * MINIM;

impl Seam {
    /// What is heard where the second pair enters at a moment and the first has new notes from another
    /// on; nothing if it does not enter well, or if anything is wrong that is not wrong in a pair alone.
    pub(super) fn judged(&self, voices: &Voices, at: i64, new: i64) -> Option<Heard> {
        let chords = chords(voices, at);
        if !enters_consonant(voices, at) || !self.reaches(&chords) || !chords.iter().all(agree) {
            return None;
        }
        let order = by_height(voices);
        let heard = |from: i64, until: i64| {
            let lines: Vec<(usize, &[Tick])> = order
                .iter()
                .map(|voice| (*voice, within(&voices[*voice], from - AROUND, until + AROUND)))
                .collect();
            let heard = Heard::new(self.counted, &lines);
            let is_new = |finding: &crate::study::Finding| {
                !self.known.contains(&(finding.rule, finding.events.clone()))
            };
            let good = !heard.faults(from, until).any(is_new);
            good.then_some(heard)
        };
        let from = (at - BEFORE).min(new);
        let near = heard(from, at + BEFORE)?;
        if !enters_free(voices, at, &near) {
            return None;
        }
        let end = end(&voices[..2]);
        if end <= at { Some(near) } else { heard(from, end + BEFORE) }
    }

    /// Whether two hands reach all that sounds.
    fn reaches(&self, chords: &[Chord]) -> bool {
        chords.iter().all(|chord| {
            let mut rungs: Vec<i32> = chord.iter().flatten().map(|note| note.rung).collect();
            rungs.sort_unstable();
            let span = |hand: &[i32]| hand.last().unwrap_or(&0) - hand.first().unwrap_or(&0);
            (0..=rungs.len()).any(|cut| {
                let (left, right) = rungs.split_at(cut);
                span(left) <= self.reach && span(right) <= self.reach
            })
        })
    }
}

/// What each voice sounds at a moment.
type Chord = [Option<Tick>; 4];

/// Whatever sounds together from a moment on while the first pair sounds.
fn chords(voices: &Voices, at: i64) -> Vec<Chord> {
    let end = end(&voices[..2]);
    let lines = voices.each_ref().map(|line| within(line, at, end));
    let mut onsets: Vec<i64> =
        lines.iter().flat_map(|line| line.iter()).map(|note| note.on.max(at)).collect();
    onsets.sort_unstable();
    onsets.dedup();
    onsets.into_iter().map(|moment| lines.map(|line| sounding(line, moment))).collect()
}

/// Whether no step sounds with one sign in the first pair and with another in the second (*mi contra fa*:
/// Zarlino III, ch. 30; from memory). A study takes it for a passing note where it passes.
fn agree(chord: &Chord) -> bool {
    let (first, second) = chord.split_at(2);
    first.iter().flatten().all(|one| {
        second.iter().flatten().all(|other| {
            let (steps, semitones) = (one.rung - other.rung, one.key - other.key);
            steps % 7 != 0 || semitones % 12 == 0
        })
    })
}

/// When the last of some voices ends.
pub(super) fn end(lines: &[Line]) -> i64 {
    lines.iter().filter_map(|line| line.last()).map(|note| note.off).max().unwrap_or(0)
}

/// The note that sounds at a moment.
pub(super) fn sounding(line: &[Tick], at: i64) -> Option<Tick> {
    let begun = line.partition_point(|note| note.on <= at);
    line[..begun].last().copied().filter(|note| at < note.off)
}

/// The notes with which the second pair enters.
fn entering(voices: &Voices, at: i64) -> impl Iterator<Item = Tick> {
    voices[2..].iter().filter_map(|line| line.first().copied()).filter(move |note| note.on == at)
}

/// Whether a note that enters is consonant with the lowest, if it is not that itself.
fn enters_consonant(voices: &Voices, at: i64) -> bool {
    let all = voices.iter().filter_map(|line| sounding(line, at));
    let Some(lowest) = all.min_by_key(|note| (note.rung, note.key)) else { return true };
    entering(voices, at).all(|note| note == lowest || is_concord(note, lowest))
}

/// Whether a note that enters is not the leading note, and neither doubles what is suspended in the
/// first pair nor takes its resolution.
fn enters_free(voices: &Voices, at: i64, heard: &Heard) -> bool {
    let of_first = |line: u32| heard.texture.lines[line as usize].voice < 2;
    let suspensions = heard.suspensions.iter().filter(|one| of_first(one.held.line));
    let mut suspensions = suspensions.map(|one| {
        let held = one.held.of(&heard.texture).pitch.map_or(0, |height| i32::from(height.rung));
        (one.dissonance, one.resolved.of(&heard.texture).end, held)
    });
    suspensions.all(|(dissonance, end, held)| {
        entering(voices, at).all(|note| {
            let meets = dissonance < note.off && at < end;
            !(meets && matches!((held - note.rung).rem_euclid(7), 0 | 1))
        })
    })
}

/// The numbers of the voices, the highest first, by what they sing on average.
fn by_height(voices: &Voices) -> [usize; 4] {
    let mut order = [0, 1, 2, 3];
    order.sort_by_key(|voice| std::cmp::Reverse(height(&voices[*voice])));
    order
}

/// How high a voice sings on average, in parts of a step.
pub(super) fn height(line: &Line) -> i64 {
    let rungs: i64 = line.iter().map(|note| i64::from(note.rung)).sum();
    rungs * 64 / line.len().max(1) as i64
}
