//! A few voices judged: what they make with one another wherever a note begins.

use std::fmt;

use rudiments::{Pitch, Tone};

use super::line::{Line, Tactus, Tick};
use super::treatment::{Place, Treatment, Turn, is_concord, treated};

/// What can be said of an imitation.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Verdict {
    /// All is consonant, and nothing runs in parallel.
    Works,
    /// There are dissonances, and a figure treats each.
    Treated,
    /// A sign makes it work.
    Accidental,
    /// It does not.
    Fails,
}

impl Verdict {
    /// Its name in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Verdict::Works => "works",
            Verdict::Treated => "treated",
            Verdict::Accidental => "accidental",
            Verdict::Fails => "fails",
        }
    }
}

/// Why an imitation fails, or needs a sign.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Fault {
    /// What is wrong.
    pub kind: FaultKind,
    /// The note at which it is heard, of the voice that entered earlier, by its number in the subject.
    pub at: u32,
    /// The note of the voice that entered later.
    pub against: u32,
    /// What the two sound.
    pub pitches: [Pitch; 2],
}

/// What can be wrong between two voices.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum FaultKind {
    /// A dissonance that no figure treats, by its number without octaves: 2, 4 or 7.
    Dissonance(u32),
    /// An interval of that number that is not pure or not in use: a false fifth is 5.
    False(u32),
    /// Two perfect consonances of a kind in one direction: 5 or 8; 1 where both are unisons.
    Parallel(u32),
    /// Two perfect consonances of a kind in contrary motion, in two voices: 5, or 8.
    Contrary(u32),
}

/// `F4 against B3 is a false fifth`.
impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [one, other] = self.pitches;
        match self.kind {
            FaultKind::Dissonance(number) => {
                let what = ["second", "fourth", "seventh"][(number as usize / 2 - 1).min(2)];
                write!(f, "{one} against {other} is a {what}")
            }
            FaultKind::False(number) => {
                const NAMES: [&str; 8] =
                    ["unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave"];
                let what = NAMES[(number as usize - 1).min(7)];
                write!(f, "{one} against {other} is a false {what}")
            }
            FaultKind::Parallel(number) => {
                let what = match number {
                    1 => "unisons",
                    5 => "fifths",
                    _ => "octaves",
                };
                write!(f, "parallel {what} with the note before, {one} against {other}")
            }
            FaultKind::Contrary(5) => {
                write!(f, "two fifths in a row in contrary motion, {one} against {other}")
            }
            FaultKind::Contrary(_) => {
                write!(f, "octave and unison in a row in contrary motion, {one} against {other}")
            }
        }
    }
}

/// Something that a player would like to know of an imitation that may be taken all the same.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Remark {
    /// What.
    pub kind: RemarkKind,
    /// The first note at which it is so, of the voice that entered earlier.
    pub at: u32,
}

/// What can be remarked.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum RemarkKind {
    /// Two perfect consonances of a kind by contrary motion: in two voices a study calls it a fault.
    Contrary,
    /// A perfect consonance in similar motion, the upper voice by leap.
    Direct,
    /// The upper voice goes below the lower one.
    Crossing,
    /// Both voices on one key.
    Unison,
    /// A leap of a falling or of a major sixth in the subject.
    Sixth,
}

impl RemarkKind {
    /// Its name in JSON.
    pub fn name(self) -> &'static str {
        match self {
            RemarkKind::Contrary => "contrary",
            RemarkKind::Direct => "direct",
            RemarkKind::Crossing => "crossing",
            RemarkKind::Unison => "unison",
            RemarkKind::Sixth => "sixth",
        }
    }
}

/// A note that would have to be so many semitones higher for a pure interval.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Needed {
    /// The voice, by the order of entry.
    pub(crate) voice: usize,
    /// The note in it.
    pub(crate) note: usize,
    pub(crate) semitones: i32,
}

/// What was found.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Judged {
    /// The first thing that is wrong.
    pub(crate) fault: Option<Fault>,
    /// Whether something is wrong that no sign can mend.
    pub(crate) hopeless: bool,
    /// The first thing that is wrong in two voices, though composers took it at times.
    pub(crate) licence: Option<Fault>,
    /// What would mend intervals that are not pure.
    pub(crate) needed: Vec<Needed>,
    pub(crate) treatments: Vec<Treatment>,
    pub(crate) remarks: Vec<Remark>,
    /// At so many moments a note begins while two voices or more sound.
    pub(crate) meetings: usize,
    /// So many of them are thirds and sixths, all pairs counted.
    pub(crate) imperfect: usize,
    /// The widest interval between two voices, as its number.
    pub(crate) span: u32,
}

impl Judged {
    /// The verdict where no signs are added.
    pub(crate) fn verdict(&self) -> Verdict {
        match (&self.fault, self.treatments.is_empty()) {
            (Some(_), _) => Verdict::Fails,
            (None, false) => Verdict::Treated,
            (None, true) => Verdict::Works,
        }
    }

    pub(crate) fn has(&self, kind: RemarkKind) -> bool {
        self.remarks.iter().any(|remark| remark.kind == kind)
    }

    fn remark(&mut self, kind: RemarkKind, at: u32) {
        if !self.has(kind) {
            self.remarks.push(Remark { kind, at });
        }
    }
}

/// How closely one looks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Strictness {
    /// All intervals.
    Full,
    /// Fourths and false fifths may have a lower voice under them that is not there yet.
    Open,
}

/// What is judged.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Judging<'l> {
    /// The voices, in the order in which they enter.
    pub(crate) lines: &'l [Line],
    /// Their intervals from the first.
    pub(crate) steps: &'l [i32],
    pub(crate) tactus: Tactus,
    pub(crate) strictness: Strictness,
    /// Only moments from this one on are looked at,
    pub(crate) from: i64,
    /// and before this one.
    pub(crate) until: i64,
}

/// What two notes make.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Meeting {
    Perfect(u32),
    Imperfect,
    /// A dissonance that figures treat.
    Discord(u32),
    /// An interval that is not pure, and how many semitones the second note is off.
    False(u32, i32),
}

fn meeting(one: Tick, other: Tick) -> Meeting {
    let sign = if (one.rung, one.key) <= (other.rung, other.key) { 1 } else { -1 };
    let (steps, semitones) = ((other.rung - one.rung) * sign, (other.key - one.key) * sign);
    let (class, semitones) = (steps % 7, semitones - steps / 7 * 12);
    match (class, semitones) {
        (0, 0) => Meeting::Perfect(if steps == 0 { 1 } else { 8 }),
        (4, 7) => Meeting::Perfect(5),
        (2, 3 | 4) | (5, 8 | 9) => Meeting::Imperfect,
        (1, 1 | 2) | (3, 5 | 6) | (6, 10 | 11) => Meeting::Discord(class as u32 + 1),
        (0, _) => Meeting::False(if steps == 0 { 1 } else { 8 }, sign * -semitones),
        (class, _) => {
            let pure = [0, 2, 4, 5, 7, 9, 10][class as usize];
            Meeting::False(class as u32 + 1, sign * (pure - semitones))
        }
    }
}

/// Judges voices wherever one begins a note, or falls silent under others.
pub(crate) fn judge(judging: &Judging<'_>) -> Judged {
    let mut judged = Judged::default();
    let lines = judging.lines;
    // For each voice the first note that is not over.
    let mut places = vec![0; lines.len()];
    let mut sides = vec![[false; 2]; lines.len() * lines.len()];
    let first = lines.iter().filter_map(|line| line.first()).map(|note| note.on).min();
    let mut at = first.map(|first| first.max(judging.from));
    while let Some(moment) = at.filter(|moment| *moment < judging.until) {
        let mut next = i64::MAX;
        let mut struck = false;
        for (line, place) in lines.iter().zip(&mut places) {
            while line.get(*place).is_some_and(|note| note.off <= moment) {
                *place += 1;
            }
            if let Some(note) = line.get(*place) {
                struck |= note.on == moment;
                next = next.min(if note.on > moment { note.on } else { note.off });
            }
        }
        if judging.moment(moment, &places, struck, &mut sides, &mut judged) {
            break;
        }
        at = (next < i64::MAX).then_some(next);
    }
    judged
}

impl Judging<'_> {
    /// Looks at a moment; whether all is lost.
    fn moment(
        &self,
        at: i64,
        places: &[usize],
        struck: bool,
        sides: &mut [[bool; 2]],
        judged: &mut Judged,
    ) -> bool {
        let sounds = |voice: usize| {
            self.lines[voice].get(places[voice]).copied().filter(|note| note.on <= at)
        };
        let mut together = false;
        for later in 1..self.lines.len() {
            let Some(other) = sounds(later) else { continue };
            for earlier in 0..later {
                let Some(one) = sounds(earlier) else { continue };
                together = true;
                let is_struck = one.on == at || other.on == at;
                // What sounds below two held notes may lay a fourth bare between them.
                if !is_struck && self.lines.len() == 2 {
                    continue;
                }
                let turns = [(earlier, places[earlier]), (later, places[later])];
                self.pair(at, turns, is_struck, places, sides, judged);
                if judged.hopeless && self.strictness == Strictness::Open {
                    return true;
                }
            }
        }
        judged.meetings += usize::from(together && struck);
        false
    }

    /// Looks at two notes.
    fn pair(
        &self,
        now: i64,
        [(earlier, place), (later, other_place)]: [(usize, usize); 2],
        is_struck: bool,
        places: &[usize],
        sides: &mut [[bool; 2]],
        judged: &mut Judged,
    ) {
        let [one, other] =
            [Turn::new(&self.lines[earlier], place), Turn::new(&self.lines[later], other_place)];
        let (first, second) = (one.note(), other.note());
        // A dissonance between held notes is judged where it was struck.
        let at = if is_struck { now } else { first.on.max(second.on) };
        let fault = |kind| Fault {
            kind,
            at: first.number,
            against: second.number,
            pitches: [first, second].map(pitch),
        };
        judged.span = judged.span.max((first.rung - second.rung).unsigned_abs() + 1);
        self.side([earlier, later], first, second, sides, judged);
        match meeting(first, second) {
            Meeting::Imperfect => judged.imperfect += usize::from(is_struck),
            Meeting::Perfect(number) => {
                if number == 1 {
                    judged.remark(RemarkKind::Unison, first.number);
                }
                if first.on == at
                    && second.on == at
                    && let (Some(before), Some(other_before)) = (one.before(), other.before())
                {
                    let froms = [before, other_before];
                    match self.run(froms, [first, second], number, judged) {
                        Some(kind @ FaultKind::Contrary(_)) => {
                            judged.remark(RemarkKind::Contrary, first.number);
                            judged.licence.get_or_insert(fault(kind));
                        }
                        Some(kind) => {
                            judged.fault.get_or_insert(fault(kind));
                            judged.hopeless = true;
                        }
                        None => {}
                    }
                }
            }
            Meeting::Discord(number) => {
                let may_pass = number == 4 && self.may_be_covered(now, first, second, places);
                if may_pass || !(is_struck || number == 4) {
                    return;
                }
                let tactus = Place { tactus: self.tactus, several: self.lines.len() > 2 };
                match treated(one, other, at, tactus) {
                    Some(figure) => {
                        judged.treatments.push(Treatment { figure, at: first.number });
                    }
                    None => {
                        judged.fault.get_or_insert(fault(FaultKind::Dissonance(number)));
                        judged.hopeless = true;
                    }
                }
            }
            Meeting::False(number, semitones) => {
                let may_pass = number == 5 && self.may_be_covered(now, first, second, places);
                if may_pass || !(is_struck || number == 5) {
                    return;
                }
                judged.fault.get_or_insert(fault(FaultKind::False(number)));
                judged.needed.push(Needed { voice: later, note: other_place, semitones });
            }
        }
    }

    /// Whether a lower note sounds with which both are consonant, or may sound there yet.
    fn may_be_covered(&self, at: i64, first: Tick, second: Tick, places: &[usize]) -> bool {
        if self.strictness == Strictness::Open {
            return true;
        }
        let low = first.rung.min(second.rung);
        let notes = self.lines.iter().zip(places).filter_map(|(line, place)| line.get(*place));
        let mut under = notes.filter(|note| note.on <= at && note.rung < low);
        under.any(|note| is_concord(*note, first) && is_concord(*note, second))
    }

    /// Notes on which side of one another two voices are.
    fn side(
        &self,
        [earlier, later]: [usize; 2],
        first: Tick,
        second: Tick,
        sides: &mut [[bool; 2]],
        judged: &mut Judged,
    ) {
        let side = &mut sides[earlier * self.lines.len() + later];
        let above = second.rung - first.rung;
        let expected = self.steps[later] - self.steps[earlier];
        side[0] |= above < 0 || (expected < 0 && above == 0);
        side[1] |= above > 0 || (expected > 0 && above == 0);
        if (side[0] && side[1]) || (above.signum() * expected.signum() < 0) {
            judged.remark(RemarkKind::Crossing, first.number);
        }
    }

    /// What two voices that both move to a perfect consonance do.
    fn run(
        &self,
        [one, other]: [Tick; 2],
        [first, second]: [Tick; 2],
        number: u32,
        judged: &mut Judged,
    ) -> Option<FaultKind> {
        let moves = [first.rung - one.rung, second.rung - other.rung];
        let similar = moves[0].signum() * moves[1].signum();
        let class = |number: u32| if number == 1 { 8 } else { number };
        match meeting(one, other) {
            Meeting::Perfect(before) if class(before) == class(number) => match similar {
                1 => return Some(FaultKind::Parallel(if before == number { number } else { 8 })),
                -1 => return Some(FaultKind::Contrary(class(number))),
                _ => {}
            },
            Meeting::Perfect(_) => {}
            _ => {
                let upper = if first.rung >= second.rung { moves[0] } else { moves[1] };
                if similar == 1 && upper.abs() > 1 && self.lines.len() == 2 {
                    judged.remark(RemarkKind::Direct, first.number);
                }
            }
        }
        None
    }
}

/// What a note sounds.
pub(crate) fn pitch(note: Tick) -> Pitch {
    let tone = Tone::on_rung(note.rung);
    let plain = Pitch::new(tone, 0);
    Pitch::new(tone, (note.key - plain.key_number()) as i8)
}
