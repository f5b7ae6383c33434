//! The chapter of joinings: one plain subject, the second pair above or below, all kinds of cadence, all
//! places.

use std::cell::RefCell;

use rudiments::{Pitch, Signature, Step, Time, Tone};

use super::duo::Duo;
use super::place::Place;
use super::search::{Asked, Joined, join};
use crate::invention::answer::Quality;
use crate::invention::judge::{RemarkKind, Verdict};
use crate::invention::subject::Subject;
use crate::invention::table::{Intervals, table};
use crate::invention::write_out::{Ending, write_out};
use crate::study::Rule;
use crate::study::cadences::CadenceKind;

/// A joining of pairs that are alike.
#[derive(Clone, PartialEq, Debug)]
pub struct Model {
    /// Whether the subject rises; else it falls.
    pub rising: bool,
    /// Whether the second pair lies above the first.
    pub above: bool,
    /// Of which kind the cadence at the entry is.
    pub kind: CadenceKind,
    /// Where the second pair enters.
    pub place: Place,
    /// The pair, and how it is joined with itself, if it can be.
    pub joining: Option<(Duo, Joined)>,
}

/// The kinds of cadence with a suspension.
pub const KINDS: [CadenceKind; 4] =
    [CadenceKind::Second, CadenceKind::Seventh, CadenceKind::Fourth, CadenceKind::Fifth];

/// So many answers of the subject are tried.
const PAIRS: usize = 4;

/// So many minims the first pair may go on to its cadence.
const EXTEND: usize = 5;

/// All of them, for a rising and a falling subject of four notes, each imitated by an exact fourth, fifth
/// or octave: as closely as stands first in its table, or, if that cannot be joined so, in another way. What
/// is found is confirmed as for [`join`].
pub fn models(confirmed: &dyn Fn(&Duo, &Joined) -> bool) -> Vec<Model> {
    let mut models = Vec::new();
    for rising in [true, false] {
        for above in [true, false] {
            for kind in KINDS {
                for place in Place::NAMED {
                    let joining = model(rising, above, kind, place, confirmed);
                    models.push(Model { rising, above, kind, place, joining });
                }
            }
        }
    }
    models
}

/// One of them.
pub fn model(
    rising: bool,
    above: bool,
    kind: CadenceKind,
    place: Place,
    confirmed: &dyn Fn(&Duo, &Joined) -> bool,
) -> Option<(Duo, Joined)> {
    // In the fifth the entering voice has a part: two voices make no such cadence.
    if kind == CadenceKind::Fifth && matches!(place, Place::UponGoal | Place::AfterGoal) {
        return None;
    }
    let asked = Asked {
        extend: EXTEND,
        cadence: Some(kind),
        place: Some(place),
        above: Some(above),
        ornaments: false,
        most: 1,
        ..Asked::default()
    };
    // What has a false relation is an example only where nothing else is found.
    let mut doubtful: Option<(Duo, Joined)> = None;
    for pair in pairs(rising) {
        let with_relation = RefCell::new(None);
        let confirmed = |joined: &Joined| {
            let is_related = joined.remarks.iter().any(|(rule, _)| *rule == Rule::FalseRelation);
            let is_wanted = !is_related || doubtful.is_none() && with_relation.borrow().is_none();
            if !is_wanted || !confirmed(&pair, joined) {
                return false;
            }
            if is_related {
                with_relation.replace(Some(joined.clone()));
            }
            !is_related
        };
        let found = join(&pair, &pair, &asked, &confirmed).pop();
        let related = with_relation.into_inner();
        match (found, related) {
            (Some(joined), _) => return Some((pair, joined)),
            (None, Some(joined)) => doubtful = Some((pair, joined)),
            (None, None) => {}
        }
    }
    doubtful
}

/// A subject by step, of a semibreve, two minims and a semibreve, with its answers, the best first.
pub(super) fn pairs(rising: bool) -> Vec<Duo> {
    let begin = Tone::new(if rising { Step::D } else { Step::A }, 4);
    let minims = [2, 1, 1, 2].map(Time::minims);
    let notes = (0..).zip(minims).map(|(step, length)| {
        let tone = begin.up(if rising { step } else { -step });
        (Pitch::new(tone, 0), length)
    });
    let Ok(subject) = Subject::of_notes(notes, Signature::NONE) else { return Vec::new() };
    let rows = table(&subject, Intervals::Octave).into_iter().filter(|row| {
        row.verdict == Verdict::Works
            && row.quality == Quality::Exact
            && matches!(row.entry.steps.abs(), 3 | 4 | 7)
            && !row.has(RemarkKind::Unison)
    });
    let written = rows.take(PAIRS).filter_map(|row| {
        let parts = write_out(&subject, &[row.entry], &[], Ending::Open)?;
        Duo::new(parts.into_iter().map(|part| part.notes).collect(), Signature::NONE).ok()
    });
    written.collect()
}
