//! Every dissonant pair of notes, with the figure that treats it.
//!
//! A pair is looked at whenever one of its notes begins, and where a voice that ends lays a fourth
//! bare. Of all figures that explain it, it has the one that the rules like best. A fourth, tritone
//! or false fifth passes while a lower note sounds with which both are consonant (Zarlino,
//! *Istitutioni harmoniche*, 1558, III; Fux, *Gradus ad Parnassum*, 1725, I; from memory).

mod keyboard;
mod note;
mod within_minim;

use std::collections::{HashMap, HashSet};

use rudiments::Time;

use super::moments::{Moment, Moments, NoteRef, Sounding, minims};
use super::rules::{Figure, Judgement, Manner, RuleSet, Severity};
use super::species::Exercises;
use super::suspension::{
    Numbers, Ornament, Prepared, Suspension, discord, entering, repeated, stays,
};
use crate::dyad::{Discord, Dyad};
use crate::observe::EventId;
use crate::rank::Rank;
use crate::texture::Texture;
use keyboard::of_keyboard;
use note::{melodic, value};
use within_minim::is_within_minim;

/// What dissonances a piece has.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Dissonances {
    /// At how many moments some voice begins a note while at least two sound.
    pub simultaneities: usize,
    /// At how many of these a pair is untreated by the rules.
    pub untreated: usize,
    /// All dissonant pairs, in order of time; at one moment by voices, top voice first.
    pub pairs: Vec<Pair>,
    /// All suspensions, in order of their dissonances.
    pub suspensions: Vec<Suspended>,
}

/// Two notes that are dissonant, from the moment at which they become so.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Pair {
    /// When, in minims.
    pub at: Time,
    /// The rank of that moment.
    pub rank: Rank,
    /// The note of the voice that stands first in the score.
    pub one: EventId,
    /// The other note.
    pub other: EventId,
    /// The interval in staff steps, from the lower note to the higher: 6 is a seventh.
    pub steps: i32,
    /// The same in semitones.
    pub semitones: i32,
    /// The class of the dissonance.
    pub discord: Discord,
    /// How it is treated.
    pub figure: Figure,
    /// The note that makes the figure; of a suspension, the suspended one.
    pub by: EventId,
    /// The suspension to which it belongs, by its place in [`Dissonances::suspensions`].
    pub suspension: Option<usize>,
    /// What the rules say.
    pub judgement: Judgement,
}

impl Pair {
    /// Whether the rules do not have it.
    pub fn is_untreated(&self) -> bool {
        self.judgement == Some(Severity::Fault)
    }
}

/// A suspension. All times are in minims.
#[derive(Clone, PartialEq, Debug)]
pub struct Suspended {
    /// The suspended note as it sounds at the dissonance; if it is struck again there, that one.
    pub held: EventId,
    /// Whether it is struck again on the dissonance.
    pub restruck: bool,
    /// What is struck against it, the lowest first; at least one.
    pub struck: Vec<EventId>,
    /// When it begins.
    pub preparation: Time,
    /// How it begins.
    pub prepared: Prepared,
    /// When it becomes dissonant.
    pub dissonance: Time,
    /// When it is resolved; after the ornament, if there is one.
    pub resolution: Time,
    /// The note to which it is resolved.
    pub resolved: EventId,
    /// What stands between.
    pub ornament: Option<Ornament>,
    /// Its numbers with the lowest of what is struck.
    pub numbers: Numbers,
    /// Whether it is resolved as the books have it: in two voices to an imperfect consonance.
    pub regular: bool,
}

/// All dissonances of a piece, and what a rule set says of them.
pub(crate) fn dissonances(
    texture: &Texture,
    moments: &Moments,
    suspensions: &[Suspension],
    exercises: &Exercises,
    rules: RuleSet,
) -> Dissonances {
    let mut sweep = Sweep::new(texture, moments, suspensions, exercises, rules);
    let mut before = None;
    for moment in moments.iter() {
        sweep.moment(&moment, before.as_ref());
        before = Some(moment);
    }
    let mut found = sweep.found;
    found.suspensions = suspensions.iter().map(|one| told(texture, one)).collect();
    found
}

fn told(texture: &Texture, suspension: &Suspension) -> Suspended {
    let minims = |at| minims(texture, at);
    Suspended {
        held: suspension.held.id(texture),
        restruck: suspension.restruck,
        struck: suspension.struck.iter().map(|struck| struck.id(texture)).collect(),
        preparation: minims(suspension.preparation),
        prepared: suspension.prepared,
        dissonance: minims(suspension.dissonance),
        resolution: minims(suspension.resolution),
        resolved: suspension.resolved.id(texture),
        ornament: suspension.ornament,
        numbers: suspension.numbers,
        regular: suspension.regular,
    }
}

/// One pass over the moments.
struct Sweep<'s> {
    texture: &'s Texture,
    moments: &'s Moments,
    suspensions: &'s [Suspension],
    exercises: &'s Exercises,
    rules: RuleSet,
    /// The next suspension.
    next: usize,
    /// The last suspension of each line.
    of_lines: Vec<Option<usize>>,
    /// The notes of ornaments of resolutions.
    ornaments: HashSet<NoteRef>,
    /// How two lines were last dissonant.
    last: HashMap<(u32, u32), Last>,
    found: Dissonances,
}

/// How two lines were dissonant.
#[derive(Clone, Copy)]
struct Last {
    notes: (NoteRef, NoteRef),
    treated: Treated,
}

/// How a dissonance is treated.
#[derive(Clone, Copy)]
struct Treated {
    figure: Figure,
    by: NoteRef,
    suspension: Option<usize>,
    judgement: Judgement,
}

impl<'s> Sweep<'s> {
    fn new(
        texture: &'s Texture,
        moments: &'s Moments,
        suspensions: &'s [Suspension],
        exercises: &'s Exercises,
        rules: RuleSet,
    ) -> Sweep<'s> {
        let between = |suspension: &Suspension| {
            let line = suspension.held.line;
            let notes = suspension.held.note + 1..suspension.resolved.note;
            notes.map(move |note| NoteRef { line, note })
        };
        Sweep {
            texture,
            moments,
            suspensions,
            exercises,
            rules,
            next: 0,
            of_lines: vec![None; texture.lines.len()],
            ornaments: suspensions.iter().flat_map(between).collect(),
            last: HashMap::new(),
            found: Dissonances::default(),
        }
    }

    fn moment(&mut self, moment: &Moment<'_>, before: Option<&Moment<'_>>) {
        while let Some(suspension) = self.suspensions.get(self.next) {
            if suspension.dissonance > moment.at {
                break;
            }
            self.of_lines[suspension.held.line as usize] = Some(self.next);
            self.next += 1;
        }
        let begins = moment.sounding.iter().any(|sounding| sounding.struck);
        let first = self.found.pairs.len();
        let mut faults: Vec<(usize, &Sounding, &Sounding)> = Vec::new();
        for (place, one) in moment.sounding.iter().enumerate() {
            for other in &moment.sounding[place + 1..] {
                if self.pair(moment, before, one, other) {
                    faults.push((self.found.pairs.len() - 1, one, other));
                }
            }
        }
        // What a note only doubles is known when all voices have been looked at.
        for (place, one, other) in faults {
            if let Some(treated) = self.doubled(moment, one, other) {
                self.last.insert(
                    (one.note.line, other.note.line),
                    Last { notes: (one.note, other.note), treated },
                );
                let pair = &mut self.found.pairs[place];
                pair.figure = treated.figure;
                pair.by = treated.by.id(self.texture);
                pair.suspension = treated.suspension;
                pair.judgement = treated.judgement;
            }
        }
        if begins && moment.sounding.len() >= 2 {
            let untreated = self.found.pairs[first..].iter().any(Pair::is_untreated);
            self.found.simultaneities += 1;
            self.found.untreated += usize::from(untreated);
        }
    }

    /// Whether a pair is untreated at a moment.
    fn pair(
        &mut self,
        moment: &Moment<'_>,
        before: Option<&Moment<'_>>,
        one: &Sounding,
        other: &Sounding,
    ) -> bool {
        let Some(discord) = discord(moment, one, other) else { return false };
        let begins = one.struck || other.struck;
        if !begins && !is_laid_bare(before, one, other) {
            return false;
        }
        let treated = self.treated(moment, discord, one, other);
        let last = Last { notes: (one.note, other.note), treated };
        self.last.insert((one.note.line, other.note.line), last);
        let (low, high) = if one.pitch() <= other.pitch() { (one, other) } else { (other, one) };
        let pair = Pair {
            at: minims(self.texture, moment.at),
            rank: one.note.of(self.texture).measure.rank(moment.at),
            one: one.note.id(self.texture),
            other: other.note.id(self.texture),
            steps: i32::from(high.height.rung - low.height.rung),
            semitones: i32::from(high.height.semitones - low.height.semitones),
            discord,
            figure: treated.figure,
            by: treated.by.id(self.texture),
            suspension: treated.suspension,
            judgement: treated.judgement,
        };
        self.found.pairs.push(pair);
        pair.is_untreated()
    }

    /// How a dissonance is treated: of all figures that explain it, that which the rules like best.
    fn treated(
        &self,
        moment: &Moment<'_>,
        discord: Discord,
        one: &Sounding,
        other: &Sounding,
    ) -> Treated {
        let suspended = self.suspended(moment, one, other);
        if let Some(treated) = suspended.or_else(|| self.over_suspended(moment, one, other)) {
            return treated;
        }
        let by = if one.struck { one.note } else { other.note };
        let manner = self.manner(Figure::Untreated, by);
        let mut best = Treated {
            figure: manner.figure,
            by,
            suspension: None,
            judgement: self.judgement(manner, one, other),
        };
        let mut offer = |manner: Manner, by: NoteRef| {
            let judgement = self.judgement(manner, one, other);
            if judgement < best.judgement || best.figure == Figure::Untreated {
                best = Treated { figure: manner.figure, by, suspension: None, judgement };
            }
        };
        let both = one.struck && other.struck;
        for (own, with) in [(one, other), (other, one)] {
            if let Some(figure) = self.entering(moment, own, with) {
                offer(self.manner(figure, own.note), own.note);
            }
            if is_within_minim(self.texture, self.moments, moment, own, with) {
                offer(self.manner(Figure::WithinMinim, own.note), own.note);
            }
            if !own.struck {
                continue;
            }
            if self.ornaments.contains(&own.note) {
                offer(self.manner(Figure::SuspensionOrnament, own.note), own.note);
            }
            let Some(figure) = melodic(self.texture, own.note) else { continue };
            let manner = self.manner(figure, own.note);
            if !both {
                offer(manner, own.note);
            } else if self.length(own) < self.length(with)
                || manner.is_weak() && self.length(own) == self.length(with)
            {
                // What the note is by itself must be allowed.
                let judgement = self.judgement(manner, one, other);
                if judgement < Some(Severity::Fault) {
                    offer(Manner { figure: Figure::BothStruck, ..manner }, own.note);
                }
            }
        }
        for own in [one, other] {
            if let Some(figure) = of_keyboard(self.texture, self.moments, moment, own) {
                offer(self.manner(figure, own.note), own.note);
            }
        }
        if discord == Discord::Tritone && self.is_left_by_step(one, other) {
            offer(self.manner(Figure::FalseFifth, by), by);
        }
        if !one.struck && !other.struck {
            offer(self.manner(Figure::LaidBare, by), by);
        }
        if best.judgement == Some(Severity::Fault) {
            return self.goes_on(one, other).unwrap_or(best);
        }
        best
    }

    /// What a struck note only doubles: the other one is dissonant, and treated, with the same tone
    /// in a third voice. If that third voice makes the figure, it must have done so before: to strike a
    /// passing note twice at once is no doubling of it. What is suspended is not doubled.
    fn doubled(&self, moment: &Moment<'_>, one: &Sounding, other: &Sounding) -> Option<Treated> {
        [(one, other), (other, one)].into_iter().find_map(|(own, with)| {
            let tone = |sounding: &Sounding| sounding.height.semitones.rem_euclid(12);
            let mut thirds = moment.sounding.iter().filter(|third| {
                third.note != with.note && third.note != own.note && tone(third) == tone(with)
            });
            thirds.find_map(|third| {
                let (first, second) = (own.note.min(third.note), own.note.max(third.note));
                let last = self.last.get(&(first.line, second.line))?;
                let Last { notes, treated } = *last;
                let is_settled = !third.struck && treated.suspension.is_none();
                let is_known = treated.by == own.note || treated.by == third.note && is_settled;
                (notes == (first, second) && is_known && with.struck).then_some(treated)
            })
        })
    }

    /// A pair of which one note is being suspended.
    fn suspended(&self, moment: &Moment<'_>, one: &Sounding, other: &Sounding) -> Option<Treated> {
        let mut best: Option<Treated> = None;
        for (own, with) in [(one, other), (other, one)] {
            let Some(number) = self.of_lines[own.note.line as usize] else { continue };
            let suspension = &self.suspensions[number];
            if suspension.held != own.note || moment.at >= suspension.resolution {
                continue;
            }
            let figure = if suspension.restruck {
                Figure::Restruck
            } else if !suspension.regular {
                Figure::PerfectSuspension
            } else if is_six_five(moment, own, with) {
                Figure::SixFive
            } else {
                Figure::Suspension
            };
            let judgement = self.judgement(self.manner(figure, own.note), own, with);
            if best.is_none_or(|best| judgement < best.judgement) {
                best = Some(Treated { figure, by: own.note, suspension: Some(number), judgement });
            }
        }
        best
    }

    /// Two notes over a lowest one that is suspended: what they make passes if both are consonant with
    /// the note to which that goes, as a fourth over a second does (common practice of the thorough
    /// bass).
    fn over_suspended(
        &self,
        moment: &Moment<'_>,
        one: &Sounding,
        other: &Sounding,
    ) -> Option<Treated> {
        let lowest = moment.lowest()?;
        let number = self.of_lines[lowest.note.line as usize]?;
        let suspension = &self.suspensions[number];
        let goes_to = suspension.resolved.of(self.texture).pitch?;
        let is_over = suspension.held == lowest.note
            && moment.at < suspension.resolution
            && one.pitch().min(other.pitch()) > lowest.pitch()
            && Dyad::of(one.height, other.height, false)
                != Dyad::of(one.height, other.height, true)
            && [one, other].iter().all(|own| !Dyad::of(own.height, goes_to, true).is_discord());
        let judgement = self.rules.dissonance(&self.manner(Figure::Suspension, lowest.note));
        is_over.then_some(Treated {
            figure: Figure::Suspension,
            by: lowest.note,
            suspension: Some(number),
            judgement,
        })
    }

    /// A consonant fourth, or a seventh that enters so, which goes on over a stronger place, and then
    /// a step down.
    fn entering(&self, moment: &Moment<'_>, own: &Sounding, with: &Sounding) -> Option<Figure> {
        let figure = match entering(self.texture, moment, own)? {
            Prepared::Seventh => Figure::EnteringSeventh,
            _ => Figure::ConsonantFourth,
        };
        let note = own.note.of(self.texture);
        let again = own.note.after(self.texture);
        let again = again.filter(|again| repeated(self.texture, *again).is_some());
        let last = again.unwrap_or(own.note).of(self.texture);
        let (minim, rank) = (note.measure.minim, note.measure.rank(note.onset));
        let goes_on = is_crossed(minim, rank, last.end - note.onset) && last.leave == Some(-1);
        (stays(self.texture, with) && goes_on).then_some(figure)
    }

    /// What goes on from the dissonance before: the struck note only repeats what was dissonant.
    fn goes_on(&self, one: &Sounding, other: &Sounding) -> Option<Treated> {
        let last = self.last.get(&(one.note.line, other.note.line))?;
        let same = |now: &Sounding, then: NoteRef| {
            now.note == then || now.struck && repeated(self.texture, now.note) == Some(then)
        };
        (same(one, last.notes.0) && same(other, last.notes.1)).then_some(last.treated)
    }

    /// Whether a false fifth goes inward, or a tritone outward, both voices by step.
    fn is_left_by_step(&self, one: &Sounding, other: &Sounding) -> bool {
        let (low, high) = if one.pitch() <= other.pitch() { (one, other) } else { (other, one) };
        let leave = |sounding: &Sounding| sounding.note.of(self.texture).leave;
        let fifth = (high.height.rung - low.height.rung) % 7 == 4;
        let step = if fifth { 1 } else { -1 };
        leave(low) == Some(step) && leave(high) == Some(-step)
    }

    /// How long a note sounds; what is struck again counts as one note.
    fn length(&self, sounding: &Sounding) -> i64 {
        let note = sounding.note.of(self.texture);
        let again = sounding.note.after(self.texture);
        let again = again.filter(|again| repeated(self.texture, *again).is_some());
        again.map_or(note.end, |again| again.of(self.texture).end) - note.onset
    }

    /// What the rules say of a figure of two notes: those of a species are stricter.
    fn judgement(&self, manner: Manner, one: &Sounding, other: &Sounding) -> Judgement {
        let said = self.rules.dissonance(&manner);
        let species = (self.rules == RuleSet::Species)
            .then(|| self.exercises.of_pair(one.note.line, other.note.line))
            .flatten();
        species.map_or(said, |species| species.dissonance(manner.figure, said))
    }

    fn manner(&self, figure: Figure, note: NoteRef) -> Manner {
        let note = note.of(self.texture);
        let (value, dotted) = value(note);
        let rank = note.measure.rank(note.onset);
        Manner { figure, value, dotted, rank, rising: note.come.is_some_and(|come| come > 0) }
    }
}

/// Whether two notes that are held were consonant, or passed for it, until a lower voice ended.
fn is_laid_bare(before: Option<&Moment<'_>>, one: &Sounding, other: &Sounding) -> bool {
    let then = before.and_then(|before| {
        let then = |now: &Sounding| before.of_line(now.note.line).filter(|t| t.note == now.note);
        Some(discord(before, then(one)?, then(other)?))
    });
    then == Some(None)
}

/// Whether one note is a fifth over the lowest, and the other a sixth.
fn is_six_five(moment: &Moment<'_>, held: &Sounding, struck: &Sounding) -> bool {
    let Some(lowest) = moment.lowest() else { return false };
    let over = |sounding: &Sounding| (sounding.height.rung - lowest.height.rung) % 7;
    (over(held), over(struck)) == (4, 5)
}

/// Whether a stronger place comes within so many ticks of a moment of a rank.
fn is_crossed(minim: i64, rank: Rank, ticks: i64) -> bool {
    let unit = match rank {
        Rank::Breve => return false,
        Rank::Semibreve => minim * 2,
        Rank::Minim => minim,
        Rank::Semiminim => minim / 2,
        Rank::Fusa | Rank::Less => minim / 4,
    };
    ticks > unit
}

#[cfg(test)]
mod tests;
