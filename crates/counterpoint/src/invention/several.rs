//! Close imitation in three and four voices.
//!
//! Every pair must do what two voices do, but a fourth is judged by the lowest voice. So pairs are tried
//! first, leaving out what a lower voice may yet cover; what is left is judged as a whole.

use std::cmp::Reverse;
use std::collections::HashMap;

use rudiments::Time;

use super::answer::{Answer, Quality, Signed};
use super::entry::Entry;
use super::judge::{Judged, Judging, Remark, RemarkKind, Strictness, Verdict, judge};
use super::line::{Line, Tactus, leader, ticks};
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
/// most `most`. Delays go in minims, or in semiminims where the subject is shorter than eight of these.
///
/// Pairs: the square of the number of intervals and delays; beyond that at most [`MOST_JUDGED`] are looked
/// at as a whole.
pub fn several(subject: &Subject, voices: usize, most: usize) -> Vec<Ensemble> {
    let search = Search::new(subject);
    let mut found: Vec<Ensemble> = search
        .candidates(voices.clamp(3, 4) - 1)
        .iter()
        .filter_map(|places| search.whole(places))
        .collect();
    found.sort_by_cached_key(Ensemble::rank);
    found.truncate(most);
    found
}

/// A follower that fits the leader.
struct Follower {
    entry: Entry,
    line: Line,
}

struct Search<'s> {
    subject: &'s Subject,
    leader: Line,
    tactus: Tactus,
    /// The answers, by steps from the octave below.
    answers: Vec<Answer>,
    /// What fits the leader, the closest first.
    followers: Vec<Follower>,
}

impl Search<'_> {
    fn new(subject: &Subject) -> Search<'_> {
        let (leader, tactus) = (leader(subject), Tactus::of(subject));
        let answers = (-7..=7).map(|steps| Answer::new(subject, steps)).collect();
        let followers = Vec::new();
        let mut search = Search { subject, leader, tactus, answers, followers };
        let unit =
            if subject.length() < Time::minims(4) { subject.unit() } else { Time::minims(1) };
        for delay in delays(subject, unit) {
            for steps in -7..=7 {
                let entry = Entry { steps, delay };
                let line = search.answer(steps).line(subject, entry);
                if search.fits([&search.leader, &line]) {
                    search.followers.push(Follower { entry, line });
                }
            }
        }
        search
    }

    fn answer(&self, steps: i32) -> &Answer {
        &self.answers[(steps + 7) as usize]
    }

    /// Whether nothing is wrong between two voices that a third below them, or a sign, could not mend.
    fn fits(&self, lines: [&Line; 2]) -> bool {
        let judged = judge(&Judging {
            lines: &lines.map(Clone::clone),
            steps: &[0, 0],
            tactus: self.tactus,
            strictness: Strictness::Open,
            until: i64::MAX,
        });
        !judged.hopeless
    }

    /// Followers in the order of entry, so many together, every pair of which fits.
    fn candidates(&self, together: usize) -> Vec<Vec<usize>> {
        let mut known: HashMap<(usize, usize), bool> = HashMap::new();
        let mut pair = |one: usize, other: usize| {
            *known.entry((one, other)).or_insert_with(|| {
                let (first, second) = (&self.followers[one], &self.followers[other]);
                first.entry.delay < second.entry.delay && self.fits([&first.line, &second.line])
            })
        };
        let mut found = Vec::new();
        // The last to enter decides how close it is.
        for last in 0..self.followers.len() {
            let before: Vec<usize> = (0..last).filter(|one| pair(*one, last)).collect();
            if together == 2 {
                found.extend(before.iter().map(|one| vec![*one, last]));
            } else {
                for (place, second) in before.iter().enumerate() {
                    for first in &before[..place] {
                        if pair(*first, *second) {
                            found.push(vec![*first, *second, last]);
                        }
                    }
                }
            }
            if found.len() >= MOST_JUDGED {
                found.truncate(MOST_JUDGED);
                break;
            }
        }
        found
    }

    /// What the leader and some followers come to.
    fn whole(&self, places: &[usize]) -> Option<Ensemble> {
        let followers: Vec<&Follower> =
            places.iter().map(|place| &self.followers[*place]).collect();
        let mut lines = vec![self.leader.clone()];
        lines.extend(followers.iter().map(|follower| follower.line.clone()));
        let mut steps = vec![0];
        steps.extend(followers.iter().map(|follower| follower.entry.steps));
        let judged = self.judged(&lines, &steps);
        if judged.hopeless {
            return None;
        }
        let plain = followers.iter().map(|follower| self.answer(follower.entry.steps));
        let mut answers: Vec<Answer> = plain.clone().cloned().collect();
        let (mut verdict, mut signs, mut last) = (judged.verdict(), Vec::new(), judged);
        if verdict == Verdict::Fails {
            for (place, answer) in plain.enumerate() {
                let signed = answer.with(&last.needed, place + 1, self.subject)?;
                signs.extend(signed.signs(answer, place as u32 + 1, self.subject));
                lines[place + 1] = signed.line(self.subject, followers[place].entry);
                answers[place] = signed;
            }
            last = self.judged(&lines, &steps);
            if last.fault.is_some() {
                return None;
            }
            verdict = Verdict::Accidental;
        }
        let quality = answers.iter().map(|answer| answer.quality(self.subject)).max()?;
        let entries = followers.iter().map(|follower| follower.entry).collect();
        let Judged { treatments, remarks, meetings, span, imperfect, .. } = last;
        Some(Ensemble {
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

    fn judged(&self, lines: &[Line], steps: &[i32]) -> Judged {
        judge(&Judging {
            lines,
            steps,
            tactus: self.tactus,
            strictness: Strictness::Full,
            until: i64::MAX,
        })
    }
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
