//! The table of all intervals and delays, and its ranking.

use std::cmp::Reverse;

use rudiments::Time;

use super::answer::{Answer, Quality, Signed};
use super::entry::Entry;
use super::judge::{Fault, Judged, Judging, Remark, RemarkKind, Strictness, Verdict, judge};
use super::line::{Line, MINIM, Tactus, leader};
use super::subject::Subject;
use super::treatment::Treatment;

/// How far from the subject followers are looked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Intervals {
    /// From the octave below to the octave above.
    Octave,
    /// To the ninth.
    Ninth,
}

impl Intervals {
    /// In staff steps.
    pub(crate) fn steps(self) -> std::ops::RangeInclusive<i32> {
        match self {
            Intervals::Octave => -7..=7,
            Intervals::Ninth => -8..=8,
        }
    }
}

/// What an interval and delay come to.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// The interval and the delay.
    pub entry: Entry,
    /// The verdict.
    pub verdict: Verdict,
    /// What is wrong, where it fails or needs a sign.
    pub fault: Option<Fault>,
    /// Perfect consonances of a kind in contrary motion, which are a fault in two voices, though composers
    /// took the licence at times.
    pub licence: Option<Fault>,
    /// The signs that it needs.
    pub signs: Vec<Signed>,
    /// The figures that treat its dissonances.
    pub treatments: Vec<Treatment>,
    /// What a player would like to know.
    pub remarks: Vec<Remark>,
    /// At so many moments a note begins while both sound.
    pub meetings: usize,
    /// So many of these are thirds and sixths.
    pub imperfect: usize,
    /// The widest interval between the voices: 10 is a tenth.
    pub span: u32,
    /// How like the subject the answer is, with the signs that it needs.
    pub quality: Quality,
    /// What makes it exact, where it is not, and signs in use do.
    pub exact: Option<Exact>,
}

/// An answer made exact.
#[derive(Clone, PartialEq, Debug)]
pub struct Exact {
    /// The fewest signs that do it.
    pub signs: Vec<Signed>,
    /// What the imitation comes to with them.
    pub verdict: Verdict,
    /// As [`Row::licence`].
    pub licence: Option<Fault>,
}

/// All intervals and delays, ranked: what a player would take stands first. Delays go in
/// [`Subject::unit`]s and are shorter than the subject; where nothing meets there is no row.
///
/// Linear in the number of rows times the number of notes.
pub fn table(subject: &Subject, intervals: Intervals) -> Vec<Row> {
    let delays = || delays(subject, subject.unit());
    let mut rows: Vec<Row> = Vec::new();
    let leading = Leading::new(subject);
    for steps in intervals.steps() {
        let plain = Answer::new(subject, steps);
        let exact = plain.made_exact(subject);
        rows.extend(
            delays()
                .filter_map(|delay| leading.row(Entry { steps, delay }, &plain, exact.as_ref())),
        );
    }
    rows.sort_by_cached_key(Row::rank);
    rows
}

/// The same without licences: what has one fails, so that a study finds no fault in what is left.
pub fn strict_table(subject: &Subject, intervals: Intervals) -> Vec<Row> {
    let mut rows: Vec<Row> = table(subject, intervals).into_iter().map(Row::strict).collect();
    rows.sort_by_cached_key(Row::rank);
    rows
}

/// One interval and delay; nothing where nothing meets.
pub fn row(subject: &Subject, entry: Entry) -> Option<Row> {
    let fits = MINIM % entry.delay.denominator() == 0 && entry.delay.is_positive();
    if !fits || entry.delay >= subject.length() {
        return None;
    }
    let plain = Answer::new(subject, entry.steps);
    Leading::new(subject).row(entry, &plain, plain.made_exact(subject).as_ref())
}

/// All delays that are shorter than a subject, in units.
pub(crate) fn delays(subject: &Subject, unit: Time) -> impl Iterator<Item = Time> {
    let length = subject.length();
    (1..).map(move |count| unit * count).take_while(move |delay| *delay < length)
}

/// A subject that others are to follow.
struct Leading<'s> {
    subject: &'s Subject,
    line: Line,
    tactus: Tactus,
    sixth: Option<Remark>,
}

impl Leading<'_> {
    fn new(subject: &Subject) -> Leading<'_> {
        let (line, tactus) = (leader(subject), Tactus::of(subject));
        Leading { subject, line, tactus, sixth: sixth(subject) }
    }

    fn judged(&self, entry: Entry, answer: &Answer) -> Judged {
        let lines = [self.line.clone(), answer.line(self.subject, entry)];
        judge(&Judging {
            lines: &lines,
            steps: &[0, entry.steps],
            tactus: self.tactus,
            strictness: Strictness::Full,
            from: 0,
            until: i64::MAX,
        })
    }

    fn row(&self, entry: Entry, plain: &Answer, exact: Option<&Answer>) -> Option<Row> {
        let mut judged = self.judged(entry, plain);
        if judged.meetings == 0 {
            return None;
        }
        let (mut verdict, mut signs, mut answer) = (judged.verdict(), Vec::new(), plain.clone());
        let mut fault = judged.fault;
        if verdict == Verdict::Fails
            && !judged.hopeless
            && let Some(signed) = plain.with(&judged.needed, 1, self.subject)
        {
            let mended = self.judged(entry, &signed);
            if mended.fault.is_none() {
                signs = signed.signs(plain, 1, self.subject);
                (verdict, answer, judged) = (Verdict::Accidental, signed, mended);
            }
        }
        if verdict < Verdict::Accidental {
            fault = None;
        }
        let quality = answer.quality(self.subject);
        let others = exact.filter(|exact| quality == Quality::Steps && *exact != plain);
        let made_exact = others.map(|exact| {
            let judged = self.judged(entry, exact);
            let signs = exact.signs(plain, 1, self.subject);
            Exact { signs, verdict: judged.verdict(), licence: judged.licence }
        });
        let mut remarks = judged.remarks;
        remarks.extend(self.sixth);
        Some(Row {
            entry,
            verdict,
            fault,
            licence: judged.licence,
            signs,
            treatments: judged.treatments,
            remarks,
            meetings: judged.meetings,
            imperfect: judged.imperfect,
            span: judged.span,
            quality,
            exact: made_exact,
        })
    }
}

/// A leap of a falling or of a major sixth, which is hardly sung about 1560 (common practice).
fn sixth(subject: &Subject) -> Option<Remark> {
    let pairs = subject.notes().windows(2).find(|pair| {
        let steps = pair[1].pitch.tone.steps_above(pair[0].pitch.tone);
        let semitones = pair[1].pitch.key_number() - pair[0].pitch.key_number();
        steps == -5 || (steps == 5 && semitones != 8)
    })?;
    Some(Remark { kind: RemarkKind::Sixth, at: pairs[0].number })
}

/// By what rows are ranked, the smallest first.
type Rank = (Verdict, Doubtful, Reverse<usize>, Quality, bool, usize, bool, usize, Time, i32);

/// What puts a row behind the others of its verdict.
type Doubtful = (bool, bool, bool);

/// The intervals as they are taken in imitation, the commonest first (common practice).
const USUAL: [i32; 8] = [4, 3, 7, 0, 2, 5, 1, 6];

impl Row {
    /// Whether there is such a remark.
    pub fn has(&self, kind: RemarkKind) -> bool {
        self.remarks.iter().any(|remark| remark.kind == kind)
    }

    /// The same without licences: what has one fails.
    #[must_use]
    pub fn strict(mut self) -> Row {
        if let Some(exact) = self.exact.as_mut().filter(|exact| exact.licence.is_some()) {
            exact.verdict = Verdict::Fails;
        }
        if self.verdict != Verdict::Fails && self.licence.is_some() {
            (self.verdict, self.fault) = (Verdict::Fails, self.licence);
        }
        self
    }

    /// Without perfect consonances of a kind in contrary motion; on the minims rather than between them, at
    /// no second or seventh; more meetings, exact, no crossing, imperfect rather than perfect, within a
    /// tenth; what is left, by the interval.
    fn rank(&self) -> Rank {
        let Entry { steps, delay } = self.entry;
        let usual = USUAL.iter().position(|usual| *usual == steps.abs()).unwrap_or(USUAL.len());
        (
            self.verdict,
            (
                self.has(RemarkKind::Contrary),
                delay.denominator() != 1,
                matches!(steps.abs() % 7, 1 | 6),
            ),
            Reverse(self.meetings),
            self.quality,
            self.has(RemarkKind::Crossing),
            self.meetings.saturating_sub(self.imperfect),
            self.span > 10,
            usual,
            delay,
            -steps,
        )
    }
}
