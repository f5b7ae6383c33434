//! Everything that is known of a piece, put together.

use notation::Piece;
use rudiments::{Time, Value};
use score::Score;

use super::accidentals::{ProposedAccidental, accidentals};
use super::cadences::{Cadence, cadences, final_step};
use super::figures::Dissonances;
use super::findings::Finding;
use super::imitation::{self, Imitations};
use super::intervals::{Interval, intervals};
use super::judged::judge_texture;
use super::mode::{self, ModeProposal};
use super::moments::{Moments, NoteRef};
use super::rules::RuleSet;
use super::species::Exercise;
use super::suspension::suspensions;
use crate::texture::{Height, Texture};

/// What a piece does.
#[derive(Clone, PartialEq, Debug)]
pub struct Study {
    /// By which rules it was judged.
    pub rules: RuleSet,
    /// The intervals of all pairs of voices, consonant and dissonant.
    pub intervals: Vec<Interval>,
    /// All dissonances.
    pub dissonances: Dissonances,
    /// Faults, licences and remarks, in order of time.
    pub findings: Vec<Finding>,
    /// The voices that are counterpoint against a cantus firmus, and their species.
    pub exercises: Vec<Exercise>,
    /// Subjects, entries, duos and canons.
    pub imitations: Imitations,
    /// The cadences, in order of time.
    pub cadences: Vec<Cadence>,
    /// Which entries fall upon which cadences, in order of the cadences.
    pub entry_points: Vec<EntryPoint>,
    /// The signs that singers would have added. The certain ones are heard in all that stands above.
    pub accidentals: Vec<ProposedAccidental>,
    /// The mode: about 1500 one of the eight, else one of the twelve.
    pub mode: ModeProposal,
}

/// An entry that falls upon a cadence: between a semibreve before the dissonance and a semibreve
/// after the goal.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct EntryPoint {
    /// The cadence, as a place in [`Study::cadences`].
    pub cadence: usize,
    /// The entry, as a place in [`Imitations::entries`].
    pub entry: usize,
    /// How many minims before the goal it begins; negative after it.
    pub before_goal: Time,
    /// How many minims after the dissonance it begins, negative before it; nothing without one.
    pub after_dissonance: Option<Time>,
}

/// Looks at a whole piece.
///
/// ```
/// use counterpoint::study::{RuleSet, study};
/// use score::{BarLength, align, reckon};
///
/// let text = "\
/// voice Cantus clef C1
///   sb _ D5 mn D C sb D
/// voice Tenor clef C4
///   sb D4 F mn E sb E4 mn D
/// ";
/// let piece = notation::parse(text).piece;
/// let score = align(&piece, reckon(&piece), BarLength::Breve).score;
/// let studied = study(&piece, &score, RuleSet::default());
/// assert_eq!(studied.mode.sentence(), "too short to tell a mode: fewer than 20 breves");
/// ```
pub fn study(piece: &Piece, score: &Score, rules: RuleSet) -> Study {
    let mut texture = Texture::new(piece, score);
    let printed = Moments::new(&texture);
    let suspended = suspensions(&texture, &printed);
    let goals = cadences(&texture, score, &printed, &suspended, final_step(&texture));
    let accidentals = accidentals(&texture, &printed, &goals);

    hear(&mut texture, &accidentals);
    let moments = Moments::new(&texture);
    let suspensions = suspensions(&texture, &moments);
    let cadences = cadences(&texture, score, &moments, &suspensions, final_step(&texture));
    let judged = judge_texture(&texture, &moments, &suspensions, rules);
    let imitations = imitation::of(&texture, piece, score);
    let entry_points = entry_points(&cadences, &imitations);
    let mode = mode::mode(&texture, score, &cadences);
    let mode = if rules == RuleSet::About1500 { mode.among_eight() } else { mode };
    Study {
        rules,
        intervals: intervals(&texture, &moments),
        dissonances: judged.dissonances,
        findings: judged.findings,
        exercises: judged.exercises,
        imitations,
        cadences,
        entry_points,
        accidentals,
        mode,
    }
}

/// Lets the certain signs sound.
pub(crate) fn hear(texture: &mut Texture, accidentals: &[ProposedAccidental]) {
    for proposed in accidentals.iter().filter(|proposed| proposed.is_certain()) {
        let Some(note) = NoteRef::of_event(texture, proposed.event) else { continue };
        let note = note.of_mut(texture);
        note.pitch = Some(Height::of(proposed.pitch, note.signature));
    }
}

/// Which entries fall upon which cadences. A voice that is on its way to the goal does not enter.
fn entry_points(cadences: &[Cadence], imitations: &Imitations) -> Vec<EntryPoint> {
    let semibreve = Value::Semibreve.plain();
    let entries = &imitations.entries;
    let mut points = Vec::new();
    for (number, cadence) in cadences.iter().enumerate() {
        let from = cadence.dissonance.unwrap_or(cadence.resolution) - semibreve;
        let first = entries.partition_point(|entry| entry.onset < from);
        let near = entries.iter().enumerate().skip(first);
        let near = near.take_while(|(_, entry)| entry.onset <= cadence.at + semibreve);
        for (place, entry) in near {
            let is_in_it = cadence.roles.of_voice(entry.first.voice).is_some();
            if entry.onset < cadence.at && is_in_it {
                continue;
            }
            points.push(EntryPoint {
                cadence: number,
                entry: place,
                before_goal: cadence.at - entry.onset,
                after_dissonance: cadence.dissonance.map(|at| entry.onset - at),
            });
        }
    }
    points
}

#[cfg(test)]
mod tests {
    use score::{BarLength, align, reckon};

    use super::*;

    fn studied(text: &str) -> Study {
        let piece = notation::parse(text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        study(&piece, &score, RuleSet::default())
    }

    /// The leading note is raised before the cadence is looked at, and the sixth before the octave is
    /// major (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 38; from memory).
    #[test]
    fn certain_signs_are_heard() {
        let text = "voice Cantus clef C1\n  sb _ mn _ sb D5 mn C lg D\n\
                    voice Tenor clef C4\n  sb D4 F E lg D\n";
        let study = studied(text);
        let certain = study.accidentals.iter().filter(|proposed| proposed.is_certain()).count();
        assert_eq!(certain, 1, "{:#?}", study.accidentals);
        assert!(!study.cadences[0].phrygian);
        assert_eq!(study.dissonances.untreated, 0);
    }

    #[test]
    fn nothing_is_known_of_nothing() {
        for text in ["", "voice A clef C1\n", "voice A clef C1\n  sb _ _\n"] {
            let Study { dissonances, findings, imitations, cadences, accidentals, .. } =
                studied(text);
            assert_eq!((dissonances, imitations), Default::default(), "{text}");
            assert!(findings.is_empty() && cadences.is_empty() && accidentals.is_empty(), "{text}");
        }
    }

    /// The second duo of the fixture enters upon the goal of the first one's cadence.
    #[test]
    fn an_entry_upon_a_goal() {
        let text = include_str!("../../../../fixtures/two-duos.parts");
        let study = studied(text);
        let upon = study.entry_points.iter().filter(|point| point.before_goal == Time::ZERO);
        let entries: Vec<usize> =
            upon.map(|point| study.imitations.entries[point.entry].first.voice).collect();
        assert_eq!(entries[..2], [3, 0]);
    }
}
