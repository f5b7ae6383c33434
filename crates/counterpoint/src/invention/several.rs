//! Close imitation in three and four voices.
//!
//! Every pair must do what two voices do, but a fourth is judged by the lowest voice. So pairs are tried
//! first, leaving out what a lower voice may yet cover; what is left is judged as a whole.

use std::cmp::Reverse;

use rudiments::Time;

use super::answer::{Answer, Quality, Signed};
use super::entry::Entry;
use super::judge::{Fault, Judged, Judging, Remark, RemarkKind, Strictness, Verdict, judge};
use super::line::{Line, Tactus, Tick, leader, ticks};
use super::subject::Subject;
use super::table::delays;
use super::treatment::Treatment;

/// So many are judged as a whole, the closest first: subjects in which nearly everything fits would
/// have hundreds of thousands.
const MOST_JUDGED: usize = 4000;

/// An imitation in three or four voices that works.
#[derive(Clone, PartialEq, Debug)]
pub struct Ensemble {
    /// How the followers enter, in the order of entry; each interval and delay is from the leader.
    pub entries: Vec<Entry>,
    /// The verdict; what fails is left out.
    pub verdict: Verdict,
    /// The signs that it needs.
    pub signs: Vec<Signed>,
    /// The figures that treat its dissonances.
    pub treatments: Vec<Treatment>,
    /// What a player would like to know.
    pub remarks: Vec<Remark>,
    /// At so many moments a note begins while two voices or more sound.
    pub meetings: usize,
    /// The widest interval between two voices.
    pub span: u32,
    /// Whether all answers are exact.
    pub quality: Quality,
    /// How many pairs of voices make thirds and sixths, all moments counted.
    pub imperfect: usize,
}

/// The imitations in so many voices (three or four) that work, at intervals to the octave, ranked; at
/// most `most`. Each voice enters while the one before it is still at the subject; delays go in minims, or
/// in semiminims where the subject is shorter than four minims.
///
/// Pairs are judged once for each difference of intervals and delays; the search then grows with the
/// product of the numbers of followers, and at most 4000 imitations are looked at as a whole.
pub fn several(subject: &Subject, voices: usize, most: usize) -> Vec<Ensemble> {
    let together = voices.clamp(3, 4) - 1;
    let search = Search::new(subject, together);
    let candidates = search.candidates(together);
    let mut found: Vec<Ensemble> =
        candidates.iter().filter_map(|places| search.whole(places)).collect();
    found.sort_by_cached_key(Ensemble::rank);
    found.truncate(most);
    found
}

/// The widest interval at which a follower enters, in steps.
const WIDEST: i32 = 7;

/// So many intervals lie between two followers: from the double octave below to that above.
const BETWEEN: usize = 4 * WIDEST as usize + 1;

/// A voice on a grid: steps, and units of delay.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Place {
    steps: i32,
    delay: usize,
}

/// The leader.
const LEADER: Place = Place { steps: 0, delay: 0 };

struct Search<'s> {
    subject: &'s Subject,
    unit: Time,
    /// So many units of delay are shorter than the subject.
    close: usize,
    /// So many units are a breve; three breves where values are perfect.
    breve: usize,
    leader: Line,
    tactus: Tactus,
    /// The answers, by steps from the octave below.
    answers: Vec<Answer>,
    /// Which pairs fit: by the place of the first in the breve, the steps between them from the double
    /// octave below, and the units between them from one.
    pairs: Vec<bool>,
    /// What may follow, the closest first.
    places: Vec<Place>,
}

impl Search<'_> {
    fn new(subject: &Subject, together: usize) -> Search<'_> {
        let unit =
            if subject.length() < Time::minims(4) { subject.unit() } else { Time::minims(1) };
        let breve = Time::minims(if subject.mensuration().is_imperfect() { 4 } else { 36 });
        let mut search = Search {
            subject,
            unit,
            close: delays(subject, unit).count(),
            breve: breve.exactly(unit).map_or(4, |units| units as usize),
            leader: leader(subject),
            tactus: Tactus::of(subject),
            answers: (-WIDEST..=WIDEST).map(|steps| Answer::new(subject, steps)).collect(),
            pairs: Vec::new(),
            places: Vec::new(),
        };
        search.pairs = search.pairs();
        let places = (1..=search.close * together)
            .flat_map(|delay| (-WIDEST..=WIDEST).map(move |steps| Place { steps, delay }));
        search.places = places.filter(|place| search.fits(LEADER, *place)).collect();
        search
    }

    fn answer(&self, steps: i32) -> &Answer {
        &self.answers[(steps + WIDEST) as usize]
    }

    fn delay(&self, units: usize) -> Time {
        self.unit * units as i64
    }

    /// Which pairs have nothing wrong that a voice below them, or a sign, could not mend. What two voices
    /// make does not depend on where both lie, but for signs.
    fn pairs(&self) -> Vec<bool> {
        let mut pairs = Vec::with_capacity(self.breve * BETWEEN * self.close);
        for phase in 0..self.breve {
            let later = ticks(self.delay(phase));
            let moved = |note: &Tick| Tick { on: note.on + later, off: note.off + later, ..*note };
            let mut lines = [self.leader.iter().map(moved).collect(), Line::new()];
            for steps in -2 * WIDEST..=2 * WIDEST {
                let answer = Answer::new(self.subject, steps);
                for delay in 1..=self.close {
                    let delay = self.delay(phase + delay);
                    lines[1] = answer.line(self.subject, Entry { steps, delay });
                    let judged = judge(&Judging {
                        lines: &lines,
                        steps: &[0, steps],
                        tactus: self.tactus,
                        strictness: Strictness::Open,
                        from: 0,
                        until: i64::MAX,
                    });
                    pairs.push(!judged.hopeless);
                }
            }
        }
        pairs
    }

    /// Whether a voice fits one that enters before it.
    fn fits(&self, first: Place, second: Place) -> bool {
        let later = second.delay - first.delay;
        let steps = (second.steps - first.steps + 2 * WIDEST) as usize;
        let row = (first.delay % self.breve) * BETWEEN + steps;
        later > self.close || self.pairs[row * self.close + later - 1]
    }

    /// Whether a voice enters, and fits, while another is still at the subject.
    fn follows(&self, first: Place, second: Place) -> bool {
        first.delay < second.delay
            && second.delay - first.delay <= self.close
            && self.fits(first, second)
    }

    /// Followers in the order of entry, so many together, every pair of which fits.
    fn candidates(&self, together: usize) -> Vec<Vec<Place>> {
        let mut found = Vec::new();
        // The last to enter decides how close it is.
        for (number, last) in self.places.iter().enumerate() {
            let before = &self.places[..number];
            for second in before.iter().filter(|second| self.follows(**second, *last)) {
                if together == 2 {
                    if self.follows(LEADER, *second) {
                        found.push(vec![*second, *last]);
                    }
                    continue;
                }
                let fits = |first: &&Place| {
                    self.follows(LEADER, **first)
                        && self.follows(**first, *second)
                        && self.fits(**first, *last)
                };
                found.extend(before.iter().filter(fits).map(|first| vec![*first, *second, *last]));
            }
            if found.len() >= MOST_JUDGED {
                found.truncate(MOST_JUDGED);
                break;
            }
        }
        found
    }

    /// What the leader and followers at some places come to; nothing where it fails.
    fn whole(&self, places: &[Place]) -> Option<Ensemble> {
        let entry = |place: &Place| Entry { steps: place.steps, delay: self.delay(place.delay) };
        let entries: Vec<Entry> = places.iter().map(entry).collect();
        let plain: Vec<&Answer> = entries.iter().map(|entry| self.answer(entry.steps)).collect();
        whole(self.subject, &self.leader, &entries, &plain).ok()
    }
}

/// What a leader and followers, in the order of entry, come to.
///
/// # Errors
/// If it fails: what is wrong, between two of the voices.
pub fn ensemble(subject: &Subject, entries: &[Entry]) -> Result<Ensemble, Fault> {
    let answers: Vec<Answer> =
        entries.iter().map(|entry| Answer::new(subject, entry.steps)).collect();
    whole(subject, &leader(subject), entries, &answers.iter().collect::<Vec<&Answer>>())
}

fn whole(
    subject: &Subject,
    leader: &Line,
    entries: &[Entry],
    plain: &[&Answer],
) -> Result<Ensemble, Fault> {
    let followers = entries.iter().zip(plain).map(|(entry, answer)| answer.line(subject, *entry));
    let mut lines: Vec<Line> = std::iter::once(leader.clone()).chain(followers).collect();
    let steps: Vec<i32> = std::iter::once(0).chain(entries.iter().map(|e| e.steps)).collect();
    let judged = |lines: &[Line]| {
        judge(&Judging {
            lines,
            steps: &steps,
            tactus: Tactus::of(subject),
            strictness: Strictness::Full,
            from: 0,
            until: i64::MAX,
        })
    };
    let mut found = judged(&lines);
    let mut verdict = found.verdict();
    let mut signs = Vec::new();
    let mut answers: Vec<Answer> = plain.iter().map(|answer| (*answer).clone()).collect();
    if let Some(fault) = found.fault {
        for (voice, answer) in (1..).zip(&mut answers) {
            let signed = answer.with(&found.needed, voice, subject);
            let signed = signed.filter(|_| !found.hopeless).ok_or(fault)?;
            signs.extend(signed.signs(answer, voice as u32, subject));
            lines[voice] = signed.line(subject, entries[voice - 1]);
            *answer = signed;
        }
        found = judged(&lines);
        if found.fault.is_some() {
            return Err(fault);
        }
        verdict = Verdict::Accidental;
    }
    let qualities = answers.iter().map(|answer| answer.quality(subject));
    let quality = qualities.max().unwrap_or(Quality::Exact);
    let Judged { treatments, remarks, meetings, span, imperfect, .. } = found;
    let entries = entries.to_vec();
    Ok(Ensemble {
        entries,
        verdict,
        signs,
        treatments,
        remarks,
        meetings,
        span,
        quality,
        imperfect,
    })
}

/// By what they are ranked, the smallest first.
type Rank = (Verdict, usize, bool, bool, Quality, i64, Reverse<usize>, bool, Vec<Entry>);

impl Ensemble {
    /// Whether there is such a remark.
    pub fn has(&self, kind: RemarkKind) -> bool {
        self.remarks.iter().any(|remark| remark.kind == kind)
    }

    /// First what needs the fewest signs and figures, neither crosses nor strikes one key twice, is exact,
    /// and close; then what has many thirds and sixths, and enters in even distances.
    fn rank(&self) -> Rank {
        let last = self.entries.last().map_or(0, |last| ticks(last.delay));
        let even = self
            .entries
            .windows(2)
            .all(|pair| pair[1].delay - pair[0].delay == self.entries[0].delay);
        (
            self.verdict,
            self.signs.len() + self.treatments.len(),
            self.has(RemarkKind::Crossing),
            self.has(RemarkKind::Unison),
            self.quality,
            last,
            Reverse(self.imperfect),
            !even,
            self.entries.clone(),
        )
    }
}
