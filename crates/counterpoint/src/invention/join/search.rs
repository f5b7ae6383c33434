//! All entries of a second pair upon a first, in the order in which they are tried.

use rudiments::Time;

use super::super::answer::Quality;
use super::super::line::{Line, MINIM, Tick, ticks, time};
use super::super::write_out::PartNote;
use super::bridge::{Resolved, Stem};
use super::duo::Duo;
use super::first::{First, Meanwhile, meanwhile};
use super::heard::{Counted, Heard};
use super::place::{Goal, Place};
use super::seam::{Seam, Voices, end, height, sounding};
use super::transposed::{NewSign, Transposed, transposed};
use crate::study::Rule;
use crate::study::cadences::{Cadence, CadenceKind, of_lowest};

/// What is asked.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Asked {
    /// Whether the second pair may be on any degree; else it is an octave, a fifth or a fourth away, or
    /// where it is.
    pub all: bool,
    /// So many minims a bridge may last.
    pub extend: usize,
    /// Of which kind the cadence at the entry must be; if it is said, bridges that make it are looked
    /// for even if the pair can enter without.
    pub cadence: Option<CadenceKind>,
    /// Where alone the second pair may enter, if it is said.
    pub place: Option<Place>,
    /// Whether it must enter above or below the first, if it is said.
    pub above: Option<bool>,
    /// Whether the cadence of a bridge may have a semiminim before its leading note, where nothing else is
    /// found.
    pub ornaments: bool,
    /// How wide a hand reaches: 9 is a ninth.
    pub reach: u32,
    /// So many joinings are looked for.
    pub most: usize,
}

impl Default for Asked {
    fn default() -> Asked {
        Asked {
            all: false,
            extend: 4,
            cadence: None,
            place: None,
            above: None,
            ornaments: true,
            reach: 9,
            most: 20,
        }
    }
}

/// A second pair joined to a first.
#[derive(Clone, PartialEq, Debug)]
pub struct Joined {
    /// By how many staff steps the second pair is moved, up positive.
    pub steps: i32,
    /// Whether it is as it was in every tone and semitone.
    pub quality: Quality,
    /// The signs that make it so.
    pub signs: Vec<NewSign>,
    /// Whether it lies above the first on average, and does not enter under it.
    pub above: bool,
    /// When it enters, in minims from the beginning of the first pair's piece.
    pub at: Time,
    /// Where that is by the cadence of the first.
    pub place: Place,
    /// The interval of its first note over the lowest, as its number within an octave: 3, 5, 6, 8, and 1
    /// for the unison; nothing if it is the lowest or nothing else sounds.
    pub makes: Option<u32>,
    /// The cadence at the entry, from a semibreve before the cadential one to a semibreve after the goal.
    pub cadence: Option<Cadence>,
    /// What the first pair does meanwhile.
    pub meanwhile: Meanwhile,
    /// How many minims it goes on before its new last note, if a bridge is needed.
    pub bridge: Option<u32>,
    /// What a study remarks of the two pairs together, and when.
    pub remarks: Vec<(Rule, Time)>,
    /// All voices, the first pair before the second. Notes of a bridge are no subject.
    pub voices: [Vec<PartNote>; 4],
}

/// The intervals at which the second pair may stand, in steps.
const WIDEST: i32 = 14;

/// Looks for entries of a second pair upon a first, the best first.
///
/// Every entry is judged anew by the figures and findings of a study, by the rules of about 1560: what
/// is a fault in both pairs together, but not in one alone, rules it out. Where there is none, the
/// shortest bridges are looked for, and bridges with a cadence; last, those whose cadence is ornamented.
///
/// What is found is confirmed by whoever asks, one after another: what is not, is left out.
///
/// Grows with the number of minims of the first pair times the number of degrees, and with the minims of
/// a bridge.
pub fn join(
    first: &Duo,
    second: &Duo,
    asked: &Asked,
    confirmed: &dyn Fn(&Joined) -> bool,
) -> Vec<Joined> {
    let search = Search::new(first, second, asked, confirmed);
    let direct = search.direct();
    let mut found = Found::default();
    search.enter(std::slice::from_ref(&direct), asked.most, &mut found);
    let ended = found.take_ended();
    if asked.cadence.is_some() || found.is_empty() {
        search.bridged(&direct, &mut found);
    }
    found.joined.extend(ended);
    found.joined.truncate(asked.most);
    found.joined
}

/// What is found, the best first.
#[derive(Default)]
struct Found {
    joined: Vec<Joined>,
    /// Which entries upon a bridge there are: of bridges that serve alike, the best is enough.
    served: Vec<Served>,
}

/// An entry upon a bridge: the degree of the second pair, the place, the step of the goal, and the kind of
/// the cadence.
type Served = (i32, Quality, Place, Option<i32>, Option<CadenceKind>);

impl Found {
    fn is_empty(&self) -> bool {
        self.joined.is_empty()
    }

    fn served(candidate: &Candidate<'_>, joined: &Joined) -> Option<Served> {
        joined.bridge?;
        let goal = candidate.first.goals.last().map(|goal| goal.rung.rem_euclid(7));
        let kind = joined.cadence.as_ref().map(|cadence| cadence.kind);
        Some((joined.steps, joined.quality, joined.place, goal, kind))
    }

    fn is_new(&self, candidate: &Candidate<'_>, joined: &Joined) -> bool {
        Found::served(candidate, joined).is_none_or(|served| !self.served.contains(&served))
    }

    fn add(&mut self, candidate: &Candidate<'_>, joined: Joined) {
        self.served.extend(Found::served(candidate, &joined));
        self.joined.push(joined);
    }

    /// What begins only when the first pair has ended: that is no joining where another is found.
    fn take_ended(&mut self) -> Vec<Joined> {
        let (ended, joined) =
            std::mem::take(&mut self.joined).into_iter().partition(|one| one.place == Place::End);
        self.joined = joined;
        ended
    }
}

struct Search<'s> {
    first: &'s Duo,
    second: &'s Duo,
    asked: &'s Asked,
    confirmed: &'s dyn Fn(&Joined) -> bool,
    seam: Seam,
    /// The second pair on all its degrees.
    degrees: Vec<Transposed>,
    /// When it begins in its own piece.
    begin: i64,
}

/// An entry that is to be tried.
struct Candidate<'c> {
    first: &'c First,
    second: &'c Transposed,
    at: i64,
    place: Place,
    rank: Rank,
}

/// By what entries are ranked, the smallest first: the length of the bridge; the place, by the last
/// cadence before others; exact before in steps; above or below both voices before between them; the
/// octave before the fifth and the fourth; on its own
/// place in the tactus; the bridge by step; the nearest degree.
type Rank = (i64, bool, usize, Quality, bool, u8, u8, u32, i32, i64, i32);

impl Search<'_> {
    fn new<'s>(
        first: &'s Duo,
        second: &'s Duo,
        asked: &'s Asked,
        confirmed: &'s dyn Fn(&Joined) -> bool,
    ) -> Search<'s> {
        let counted = Counted::plain();
        let alone = |lines: &[Line; 2], number: usize| {
            let mut order = [0, 1];
            order.sort_by_key(|voice| std::cmp::Reverse(height(&lines[*voice])));
            let lines: Vec<(usize, &[Tick])> =
                order.iter().map(|voice| (number + voice, lines[*voice].as_slice())).collect();
            Heard::new(counted, &lines).known()
        };
        let mut known = alone(&first.lines(), 0);
        known.extend(alone(&second.lines(), 2));
        let usual = |steps: &i32| asked.all || matches!(steps.rem_euclid(7), 0 | 3 | 4);
        let degrees = (-WIDEST..=WIDEST)
            .filter(usual)
            .flat_map(|steps| transposed(second, steps, first.signature()));
        Search {
            first,
            second,
            asked,
            confirmed,
            seam: Seam { counted, known, reach: asked.reach as i32 - 1 },
            degrees: degrees.collect(),
            begin: ticks(second.begin()),
        }
    }

    /// The first pair as it is.
    fn direct(&self) -> First {
        let lines = self.first.lines();
        let mut order = [0, 1];
        order.sort_by_key(|voice| std::cmp::Reverse(height(&lines[*voice])));
        let heard =
            Heard::new(self.seam.counted, &order.map(|voice| (voice, lines[voice].as_slice())));
        let goals = heard.cadences().into_iter().map(|cadence| Goal {
            dissonance: cadence.dissonance.map(ticks),
            at: ticks(cadence.at),
            rung: cadence.goal.tone.rung(),
        });
        let mut first = First { goals: goals.collect(), lines, bridge: None };
        let last = first.last();
        // Where no cadence is near the end, the last note is the goal.
        if first.goals.last().is_none_or(|goal| goal.at + 4 * MINIM < last) {
            let rungs = first.lines.iter().filter_map(|line| line.last()).map(|note| note.rung);
            let rung = rungs.min().unwrap_or(0);
            first.goals.push(Goal { dissonance: None, at: last, rung });
        }
        first
    }

    /// Entries upon bridges, the shortest first; without a cadence upon the shortest alone.
    fn bridged(&self, first: &First, found: &mut Found) {
        let asked = self.asked;
        let Some(mut stem) = Stem::new(first, self.seam.counted, self.first.signature()) else {
            return;
        };
        for minims in 1..=asked.extend {
            if asked.cadence.is_none() && found.is_empty() {
                self.enter(&stem.plain(minims), asked.most.div_ceil(2), found);
            }
            self.enter(&stem.cadences(minims, Resolved::Plainly), asked.most, found);
        }
        for resolved in [Resolved::Early, Resolved::FromBelow] {
            for minims in 1..=asked.extend {
                if asked.ornaments && found.is_empty() {
                    self.enter(&stem.cadences(minims, resolved), asked.most, found);
                }
            }
        }
    }

    /// Adds the entries upon some first pairs, in the order in which they are tried, until there are as many
    /// as are asked for.
    fn enter(&self, firsts: &[First], most: usize, found: &mut Found) {
        let mut candidates: Vec<Candidate<'_>> = Vec::new();
        for first in firsts {
            let moments = self.moments(first);
            candidates.extend(moments.into_iter().flat_map(|(at, place, inner)| {
                let degrees = self.degrees.iter();
                degrees.map(move |second| self.candidate(first, second, at, place, inner))
            }));
        }
        candidates.sort_by_key(|candidate| candidate.rank);
        for candidate in &candidates {
            if found.joined.len() >= most {
                break;
            }
            if let Some(joined) = self.joined(candidate)
                && found.is_new(candidate, &joined)
                && (self.confirmed)(&joined)
            {
                found.add(candidate, joined);
            }
        }
    }

    /// At which moments the second pair may enter: at every minim; upon a bridge, at the places of its
    /// cadence.
    fn moments(&self, first: &First) -> Vec<(i64, Place, bool)> {
        let begin = first.lines.iter().filter_map(|line| line.first()).map(|note| note.on).min();
        let begin = begin.unwrap_or(0).div_euclid(MINIM) + 1;
        let ends = end(&first.lines).min(first.last() + 8 * MINIM);
        let minims = begin..ends.div_euclid(MINIM) + i64::from(ends % MINIM != 0);
        let placed = minims.map(|minim| {
            let (place, inner) = first.place(minim * MINIM);
            (minim * MINIM, place, inner)
        });
        let mut placed: Vec<(i64, Place, bool)> = placed.collect();
        match first.bridge {
            Some(bridge) => placed.retain(|(at, place, _)| {
                let near = bridge.begin - MINIM <= *at && *at <= bridge.serves;
                near && Place::NAMED.contains(place)
            }),
            None => {
                let end = ends.min(first.last() + 2 * MINIM);
                if end % MINIM == 0 {
                    placed.push((end, Place::End, false));
                }
            }
        }
        placed.retain(|(_, place, _)| self.asked.place.is_none_or(|asked| asked == *place));
        placed
    }

    fn candidate<'c>(
        &self,
        first: &'c First,
        second: &'c Transposed,
        at: i64,
        place: Place,
        inner: bool,
    ) -> Candidate<'c> {
        let degree = match second.steps.rem_euclid(7) {
            0 => 0,
            3 | 4 => 1,
            _ => 2,
        };
        let tactus = match (at - self.begin).div_euclid(MINIM).rem_euclid(4) {
            0 => 0,
            2 => 1,
            _ => 2,
        };
        let (minims, cost) = first.bridge.map_or((0, 0), |bridge| (bridge.minims, bridge.cost));
        let from_goal = first.goals.last().map_or(0, |goal| (goal.at - at).abs());
        let rank = (
            minims,
            inner,
            place.rank(),
            second.quality,
            is_between(&first.lines, &second.lines),
            degree,
            tactus,
            cost,
            second.steps.abs(),
            from_goal,
            -second.steps,
        );
        Candidate { first, second, at, place, rank }
    }

    /// What an entry comes to, with the first pair held as long as it may; nothing if it is not good.
    fn joined(&self, candidate: &Candidate<'_>) -> Option<Joined> {
        let Candidate { first, second, at, place, .. } = *candidate;
        if !self.may_be_of_kind(candidate) {
            return None;
        }
        let moved = second.lines.each_ref().map(|line| -> Line {
            let later = at - self.begin;
            line.iter()
                .map(|note| Tick { on: note.on + later, off: note.off + later, ..*note })
                .collect()
        });
        let heights = |lines: &[Line; 2]| height(&lines[0]) + height(&lines[1]);
        let sounds = first.lines.iter().filter_map(|line| sounding(line, at));
        let lowest = sounds.map(|note| note.rung).min();
        let mut entering = moved.iter().filter_map(|line| line.first());
        let as_lowest =
            entering.any(|note| note.on == at && lowest.is_some_and(|low| note.rung < low));
        let above = heights(&moved) > heights(&first.lines) && !as_lowest;
        if self.asked.above.is_some_and(|asked| asked != above) {
            return None;
        }
        let new = first.bridge.map_or(i64::MAX, |bridge| bridge.begin);
        let held = match place {
            Place::End => vec![first.until(at)],
            _ => first.held(),
        };
        let judged = |lines: &[Line; 2]| {
            let meanwhile = meanwhile(lines, at);
            if meanwhile == Meanwhile::Rests && place != Place::End {
                return None;
            }
            let [one, other] = lines.clone();
            let [third, fourth] = moved.clone();
            let voices = [one, other, third, fourth];
            let heard = self.seam.judged(&voices, at, new)?;
            Some((voices, meanwhile, heard))
        };
        // What is wrong however short the last notes are held, need not be tried longer.
        let (last, longer) = held.split_last()?;
        let shortest = judged(last);
        if shortest.is_none() && place != Place::AfterGoal && !matches!(place, Place::Elsewhere(_))
        {
            return None;
        }
        let (voices, meanwhile, heard) = longer.iter().find_map(judged).or(shortest)?;
        let cadence = cadence(&heard, at);
        if self.asked.cadence.is_some()
            && cadence.as_ref().map(|cadence| cadence.kind) != self.asked.cadence
        {
            return None;
        }
        Some(Joined {
            steps: second.steps,
            quality: second.quality,
            signs: second.signs.clone(),
            above,
            at: time(at),
            place,
            makes: makes(&voices, at),
            cadence,
            meanwhile,
            bridge: first.bridge.map(|bridge| bridge.minims as u32),
            remarks: remarks(&heard, at),
            voices: self.written(&voices, second),
        })
    }

    /// Whether what sounds at the dissonance of a bridge makes a cadence of the kind that is asked for: this
    /// is known before anything is judged.
    fn may_be_of_kind(&self, candidate: &Candidate<'_>) -> bool {
        let Candidate { first, second, at, .. } = *candidate;
        let goal = first.goals.last().filter(|_| first.bridge.is_some());
        let (Some(asked), Some(goal)) = (self.asked.cadence, goal) else { return true };
        let Some(dissonance) = goal.dissonance else { return false };
        let own = first.lines.iter().filter_map(|line| sounding(line, dissonance));
        let in_second = dissonance - at + self.begin;
        let others = second.lines.iter().filter_map(|line| sounding(line, in_second));
        let others = others.filter(|_| dissonance >= at);
        let mut rungs: Vec<i32> = own.chain(others).map(|note| note.rung).collect();
        rungs.sort_unstable();
        let above = |rung: i32| (rung - goal.rung).rem_euclid(7) as i16;
        let mut classes = rungs.into_iter().map(above);
        let lowest = classes.next().unwrap_or(0);
        let next = classes.find(|class| *class != lowest);
        of_lowest(lowest, next).0 == asked
    }

    /// The notes as they are written.
    fn written(&self, voices: &Voices, second: &Transposed) -> [Vec<PartNote>; 4] {
        let written = |voice: usize| -> Vec<PartNote> {
            let originals = if voice < 2 {
                &self.first.voices()[voice]
            } else {
                &self.second.voices()[voice - 2]
            };
            let note = |note: &Tick| {
                let pitch = super::super::judge::pitch(*note);
                let original = originals.get(note.number as usize - 1);
                let plain = self.first.signature().alteration(pitch.tone.step);
                let is_new_sign = second.signs.iter().any(|sign| {
                    voice >= 2
                        && sign.voice as usize == voice - 1
                        && original.is_some_and(|original| original.at == sign.at)
                });
                PartNote {
                    pitch,
                    at: time(note.on),
                    length: time(note.off - note.on),
                    is_subject: original.is_some(),
                    is_signed: match original {
                        Some(original) => original.is_signed || is_new_sign,
                        None => pitch.alteration != plain,
                    },
                }
            };
            voices[voice].iter().map(note).collect()
        };
        [written(0), written(1), written(2), written(3)]
    }
}

/// Whether the second pair lies neither above both voices of the first nor below both.
fn is_between(first: &[Line; 2], second: &[Line; 2]) -> bool {
    let [first, second] = [first, second].map(|lines| lines.each_ref().map(height));
    let low = |heights: [i64; 2]| heights[0].min(heights[1]);
    let high = |heights: [i64; 2]| heights[0].max(heights[1]);
    low(second) <= high(first) && low(first) <= high(second)
}

/// The cadence near an entry; of several, the nearest.
fn cadence(heard: &Heard, at: i64) -> Option<Cadence> {
    let semibreve = 2 * MINIM;
    let near = heard.cadences().into_iter().filter(|cadence| {
        let from = cadence.dissonance.unwrap_or(cadence.resolution);
        ticks(from) - semibreve <= at && at <= ticks(cadence.at) + semibreve
    });
    near.min_by_key(|cadence| (ticks(cadence.at) - at).abs())
}

/// The interval of the first note that enters over the lowest.
fn makes(voices: &Voices, at: i64) -> Option<u32> {
    let entering = voices[2..].iter().filter_map(|line| line.first()).find(|note| note.on == at)?;
    let all = voices.iter().filter_map(|line| sounding(line, at));
    let lowest = all.min_by_key(|note| (note.rung, note.key))?;
    let steps = entering.rung - lowest.rung;
    match (lowest == *entering, steps) {
        (true, _) => None,
        (_, 0) => Some(1),
        (_, steps) if steps % 7 == 0 => Some(8),
        (_, steps) => Some(steps.rem_euclid(7) as u32 + 1),
    }
}

/// What is remarked of voices of both pairs, from an entry on.
fn remarks(heard: &Heard, at: i64) -> Vec<(Rule, Time)> {
    let both = |finding: &&crate::study::Finding| {
        let of_first = finding.events.iter().any(|event| event.voice < 2);
        let of_second = finding.events.iter().any(|event| event.voice >= 2);
        of_first && of_second && ticks(finding.at) >= at
    };
    let mut remarks: Vec<(Rule, Time)> =
        heard.findings.iter().filter(both).map(|finding| (finding.rule, finding.at)).collect();
    remarks.dedup();
    remarks
}
