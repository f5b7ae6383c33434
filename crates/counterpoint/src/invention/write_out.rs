//! One imitation made into music: the voices that are done first go on until the last has ended.

use rudiments::{Pitch, Signature, Step, Time, Tone};

use super::answer::{Answer, is_melodic};
use super::entry::Entry;
use super::judge::{Judged, Judging, RemarkKind, Strictness, judge};
use super::line::{Line, MINIM, Tactus, Tick, leader, ticks, time};
use super::subject::Subject;

/// How the music ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ending {
    /// With the last note of the last follower.
    Open,
    /// With a clausula vera after it: a suspension, and both voices by step to the octave or unison.
    Cadence,
}

/// A voice of the music.
#[derive(Clone, PartialEq, Debug)]
pub struct Part {
    /// How it enters; nothing for the leader.
    pub entry: Option<Entry>,
    /// Its notes, in order of time; before the first, and where a subject has rests, it is silent.
    pub notes: Vec<PartNote>,
}

/// A note of it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PartNote {
    /// What sounds.
    pub pitch: Pitch,
    /// When it begins, in minims.
    pub at: Time,
    /// How long it lasts, in minims.
    pub length: Time,
    /// Whether it belongs to the subject.
    pub is_subject: bool,
    /// Whether its alteration is another than subject and signature ask for.
    pub is_signed: bool,
}

/// So many notes are tried for a voice before another way is looked for.
const MOST_TRIED: usize = 1_000;

/// So many notes are tried in all before the search is given up.
const MOST_IN_ALL: usize = 20_000;

/// So many minims may lie between the last subject and the cadence.
const MOST_BRIDGE: i64 = 6;

/// The music of a subject and its followers, the leader first, with these signs for each follower; nothing
/// where no good continuation is found. The followers stand in the order of entry; at most three.
///
/// The new notes are minims and semibreves, by step if that is possible, consonant wherever a note begins.
/// In two voices they make no two perfect consonances of a kind in contrary motion either.
pub fn write_out(
    subject: &Subject,
    entries: &[Entry],
    signs: &[super::Signed],
    ending: Ending,
) -> Option<Vec<Part>> {
    let fits = |entry: &Entry| MINIM % entry.delay.denominator() == 0 && entry.delay.is_positive();
    if !entries.iter().all(fits) || entries.len() > 3 {
        return None;
    }
    let mut lines = vec![leader(subject)];
    for (number, entry) in (1..).zip(entries) {
        let mut answer = Answer::new(subject, entry.steps);
        for sign in signs.iter().filter(|sign| sign.voice == number) {
            let place = subject.notes().iter().position(|note| note.number == sign.note)?;
            answer.pitches[place] = sign.pitch;
        }
        lines.push(answer.line(subject, *entry));
    }
    let mut steps = vec![0];
    steps.extend(entries.iter().map(|entry| entry.steps));
    let mut writing = Writing {
        steps,
        tactus: Tactus::of(subject),
        signature: subject.signature(),
        value: ticks(subject.value()),
        tried: 0,
        in_all: 0,
    };
    let end = lines.iter().filter_map(|line| line.last()).map(|note| note.off).max()?;
    let lines = match ending {
        Ending::Open => writing.fill(&lines, end)?,
        Ending::Cadence => writing.close(&lines, end, &goals(subject))?,
    };
    let entries = std::iter::once(None).chain(entries.iter().copied().map(Some));
    let parts = entries.zip(lines).map(|(entry, line)| {
        let notes = line.into_iter().map(|note| part_note(note, subject, entry)).collect();
        Part { entry, notes }
    });
    Some(parts.collect())
}

fn part_note(note: Tick, subject: &Subject, entry: Option<Entry>) -> PartNote {
    let pitch = super::judge::pitch(note);
    let sung = subject.notes().iter().find(|sung| note.number > 0 && sung.number == note.number);
    let plain = match sung {
        Some(sung) => subject.answer(*sung, entry.map_or(0, |entry| entry.steps)),
        None => Pitch::new(pitch.tone, subject.signature().alteration(pitch.tone.step)),
    };
    PartNote {
        pitch,
        at: time(note.on),
        length: time(note.off - note.on),
        is_subject: sung.is_some(),
        is_signed: plain != pitch,
    }
}

/// On which steps a cadence is made, the likeliest first: where the subject begins, a fifth above, where
/// it ends, then all others. B has no fifth, nor has E where B is flat: there is no cadence on these
/// (common practice).
fn goals(subject: &Subject) -> Vec<Step> {
    let notes = subject.notes();
    let (Some(first), Some(last)) = (notes.first(), notes.last()) else { return Vec::new() };
    let begin = first.pitch.tone;
    let mut goals = vec![begin.step, begin.up(4).step, last.pitch.tone.step];
    goals.extend([Step::D, Step::G, Step::A, Step::C, Step::F, Step::E]);
    let mut seen = Vec::new();
    for step in goals {
        let key = |steps: i32| {
            let tone = Tone::new(step, 4).up(steps);
            Pitch::new(tone, subject.signature().alteration(tone.step)).key_number()
        };
        if key(4) - key(0) == 7 && !seen.contains(&step) {
            seen.push(step);
        }
    }
    seen
}

/// The notes that end a voice.
type Suffix = Vec<Tick>;

struct Writing {
    steps: Vec<i32>,
    tactus: Tactus,
    signature: Signature,
    /// The commonest length in the subject.
    value: i64,
    /// How many notes were tried for a voice, and in all.
    tried: usize,
    in_all: usize,
}

impl Writing {
    fn note(&self, rung: i32, on: i64, off: i64) -> Tick {
        let tone = Tone::on_rung(rung);
        Tick::of(Pitch::new(tone, self.signature.alteration(tone.step)), on, off, 0)
    }

    /// Lets all voices go on to the end.
    fn fill(&mut self, lines: &[Line], end: i64) -> Option<Vec<Line>> {
        let mut lines = lines.to_vec();
        let mut order: Vec<usize> = (0..lines.len()).collect();
        order.sort_by_key(|voice| std::cmp::Reverse(lines[*voice].last().map(|note| note.off)));
        for voice in order {
            lines[voice] = self.go_on(&lines, voice, &Vec::new(), end)?;
        }
        Some(lines)
    }

    /// Lets all voices go on to a cadence that follows as soon as one can.
    fn close(&mut self, lines: &[Line], end: i64, goals: &[Step]) -> Option<Vec<Line>> {
        let semibreve = 2 * MINIM;
        let latest = lines.len() - 1;
        let earliest = (end..end + 12 * MINIM).find(|at| self.tactus.weight(*at) >= semibreve)?;
        for at in (earliest..=end + MOST_BRIDGE * MINIM + semibreve).step_by(semibreve as usize) {
            for goal in goals {
                for partner in (0..latest).rev() {
                    for cantizans in [latest, partner] {
                        let tenorizans = if cantizans == latest { partner } else { latest };
                        let roles = [cantizans, tenorizans];
                        if let Some(closed) = self.close_on(lines, at, *goal, roles) {
                            return Some(closed);
                        }
                    }
                }
            }
        }
        None
    }

    /// A cadence on a goal, the dissonance at a moment, where the two voices have it near.
    fn close_on(
        &mut self,
        lines: &[Line],
        at: i64,
        goal: Step,
        roles: [usize; 2],
    ) -> Option<Vec<Line>> {
        let places = |voice: usize| {
            let near = lines[voice].last().map_or(28, |note| note.rung);
            let mut octaves: Vec<i32> =
                (0..9).map(|octave| Tone::new(goal, octave).rung()).collect();
            octaves.sort_by_key(|rung| (rung - near).abs());
            octaves.truncate(2);
            octaves
        };
        let [cantizans, tenorizans] = roles;
        for high in places(cantizans) {
            for low in places(tenorizans) {
                // In the unison the cantizans may lie above or below; more than two octaves are too wide.
                if (high - low).abs() > 14 {
                    continue;
                }
                let suffixes = [self.cantizans(high, at), self.tenorizans(low, at)];
                let mut filled = lines.to_vec();
                let mut order: Vec<usize> = (0..lines.len()).rev().collect();
                // The two of the cadence first.
                order.sort_by_key(|voice| !roles.contains(voice));
                let good = order.iter().all(|voice| {
                    let role = roles.iter().position(|role| role == voice);
                    let suffixes = match role {
                        Some(role) => vec![suffixes[role].clone()],
                        None => self.finals(high, lines[*voice].last(), at),
                    };
                    let line =
                        suffixes.iter().find_map(|suffix| self.go_on(&filled, *voice, suffix, 0));
                    line.map(|line| filled[*voice] = line).is_some()
                });
                if good && self.judged(&filled, 0, i64::MAX).fault.is_none() {
                    return Some(filled);
                }
            }
        }
        None
    }

    /// The goal, held over; the leading note below it; the goal.
    fn cantizans(&self, goal: i32, at: i64) -> Suffix {
        let mut leading = self.note(goal - 1, at + MINIM, at + 2 * MINIM);
        let above = self.note(goal + 1, 0, 0);
        let held = self.note(goal, at - MINIM, at + MINIM);
        // A tone below the goal is made a semitone, but not where a semitone lies above it (in mi).
        if held.key - leading.key == 2 && above.key - held.key == 2 {
            leading.key += 1;
        }
        vec![held, leading, self.note(goal, at + 2 * MINIM, at + 6 * MINIM)]
    }

    /// The step above the goal, and the goal.
    fn tenorizans(&self, goal: i32, at: i64) -> Suffix {
        vec![
            self.note(goal + 1, at, at + 2 * MINIM),
            self.note(goal, at + 2 * MINIM, at + 6 * MINIM),
        ]
    }

    /// The last notes of a voice that has no part in a cadence: goal, fifth or third, the nearest first.
    fn finals(&self, goal: i32, last: Option<&Tick>, at: i64) -> Vec<Suffix> {
        let near = last.map_or(goal, |last| last.rung);
        let mut rungs: Vec<i32> = (near - 7..=near + 7)
            .filter(|r| matches!((r - goal).rem_euclid(7), 0 | 2 | 4))
            .collect();
        rungs.sort_by_key(|rung| ((rung - near).abs(), -rung));
        let held = |rung| vec![self.note(rung, at + 2 * MINIM, at + 6 * MINIM)];
        rungs.into_iter().map(held).collect()
    }

    /// A voice that goes on, then ends with a suffix, or with a good last note at the end.
    fn go_on(&mut self, lines: &[Line], voice: usize, suffix: &Suffix, end: i64) -> Option<Line> {
        let target = suffix.first().map_or(end, |first| first.on);
        let mut line = lines[voice].clone();
        let begin = line.last()?.off;
        if begin > target {
            return None;
        }
        let mut all = lines.to_vec();
        // First what ends in an octave or unison, then a fifth, then any consonance.
        for last in [Some([0, 0]), Some([0, 4]), None] {
            self.tried = 0;
            let mut path = Path { all: &mut all, voice, suffix, target, last };
            if self.step(&mut path, &mut line, begin) {
                return Some(line);
            }
            if !suffix.is_empty() || begin == target {
                break;
            }
        }
        None
    }

    /// Goes on from a moment; whether the end is reached.
    fn step(&mut self, path: &mut Path<'_>, line: &mut Line, at: i64) -> bool {
        if at == path.target {
            return self.arrives(path, line);
        }
        let lengths = self.lengths(at, path.target);
        let from = *line.last().unwrap_or(&self.note(28, 0, at));
        for length in lengths {
            for moved in MOVES {
                self.tried += 1;
                self.in_all += 1;
                if self.tried > MOST_TRIED || self.in_all > MOST_IN_ALL {
                    return false;
                }
                let note = self.note(from.rung + moved, at, at + length);
                if !is_line(line, note) {
                    continue;
                }
                line.push(note);
                path.all[path.voice].clone_from(line);
                if self.is_good(path.all, at, at + length) && self.step(path, line, at + length) {
                    return true;
                }
                line.pop();
            }
        }
        false
    }

    /// Whether a voice that has come to its suffix, or to the end, is well there.
    fn arrives(&self, path: &mut Path<'_>, line: &mut Line) -> bool {
        let Some(before) = line.last().copied() else { return false };
        match path.suffix.first() {
            Some(first) => {
                if !is_line(line, *first) {
                    return false;
                }
                line.extend(path.suffix);
                path.all[path.voice].clone_from(line);
                if self.is_good(path.all, before.on, i64::MAX) {
                    return true;
                }
                line.truncate(line.len() - path.suffix.len());
                false
            }
            None => {
                let Some(classes) = path.last else { return true };
                let others = path.all.iter().enumerate().filter(|(voice, _)| *voice != path.voice);
                let lasts = others.filter_map(|(_, line)| line.last());
                let mut lasts = lasts.filter(|last| last.off == before.off).peekable();
                lasts.peek().is_none()
                    || lasts.any(|last| classes.contains(&((last.rung - before.rung).abs() % 7)))
            }
        }
    }

    /// The lengths that a new note may have: to the next minim where it stands off the minims, then the
    /// subject's own value, a minim, a semibreve.
    fn lengths(&self, at: i64, target: i64) -> Vec<i64> {
        let off = at.rem_euclid(MINIM);
        let mut lengths = if off != 0 {
            vec![MINIM - off]
        } else {
            let value = self.value.clamp(MINIM, 2 * MINIM);
            vec![value, MINIM, 2 * MINIM, target - at]
        };
        lengths.retain(|length| *length > 0 && at + length <= target && *length <= 4 * MINIM);
        if lengths.is_empty() {
            lengths.push(target - at);
        }
        let mut seen = Vec::new();
        lengths.retain(|length| {
            !seen.contains(length) && {
                seen.push(*length);
                true
            }
        });
        lengths
    }

    /// Whether new notes are good from one moment to another.
    fn is_good(&self, lines: &[Line], from: i64, until: i64) -> bool {
        let judged = self.judged(lines, from, until);
        judged.fault.is_none() && !(lines.len() == 2 && judged.has(RemarkKind::Contrary))
    }

    fn judged(&self, lines: &[Line], from: i64, until: i64) -> Judged {
        judge(&Judging {
            lines,
            steps: &self.steps,
            tactus: self.tactus,
            strictness: Strictness::Full,
            from,
            until,
        })
    }
}

/// A voice on its way.
struct Path<'p> {
    all: &'p mut [Line],
    voice: usize,
    suffix: &'p Suffix,
    target: i64,
    /// Which intervals it may end in, in steps without octaves.
    last: Option<[i32; 2]>,
}

/// The moves of a voice that goes on, the best first.
const MOVES: [i32; 11] = [-1, 1, -2, 2, 3, -3, 4, -4, 0, 7, 5];

/// Whether a note goes on a line well: an interval that is sung, of the sixths only the rising minor one
/// (Zarlino III, ch. 37; from memory), within a tenth, not struck three times, no two leaps in one direction.
fn is_line(line: &Line, note: Tick) -> bool {
    let Some(from) = line.last() else { return true };
    let [one, other] = [*from, note].map(super::judge::pitch);
    let moved = note.rung - from.rung;
    let is_sixth = moved.abs() == 5 && note.key - from.key != 8;
    if !is_melodic(one, other) || is_sixth {
        return false;
    }
    let rungs = || line.iter().map(|note| note.rung).chain([note.rung]);
    let compass = rungs().max().unwrap_or(0) - rungs().min().unwrap_or(0);
    let before = line.len().checked_sub(2).map(|place| from.rung - line[place].rung);
    let again = before.is_some_and(|before| {
        (before == 0 && moved == 0) || (before.abs() > 1 && moved.abs() > 1 && before * moved > 0)
    });
    let own = line.iter().filter(|note| note.number > 0).map(|note| note.rung);
    let (low, high) = (own.clone().min().unwrap_or(0), own.max().unwrap_or(60));
    compass <= (high - low).max(9) && !again
}
