//! Two pairs of voices joined, and the whole as a parts file.

use std::fmt::{self, Write as _};

use counterpoint::invention::PartNote;
use counterpoint::invention::join::{self, Asked, Duo, Joined, Model, NoDuo, Place};
use counterpoint::study::cadences::CadenceKind;
use counterpoint::study::{RuleSet, Severity};
use notation::usual_names;
use rudiments::{Mensuration, Time};
use score::BarLength;

use crate::imitation::plain;
use crate::{Document, Example, written};

/// Why an example is no pair of voices that can be joined.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum NoPair {
    /// Something of it goes in threes.
    Threes,
    /// It has not two voices, or they cannot be joined.
    NoDuo(NoDuo),
}

/// After the name of the file: `has 3 voices, and a pair has two`.
impl fmt::Display for NoPair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoPair::Threes => {
                f.write_str("has values in threes: pairs are joined where all values go in twos")
            }
            NoPair::NoDuo(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for NoPair {}

impl Example<'_> {
    /// Its two voices, to be joined with two others. Voices without notes are left out.
    ///
    /// ```
    /// let text = "voice Cantus clef C1\n  sb A4 B lg A\nvoice Tenor clef C4\n  sb D4 G3 lg D4\n";
    /// let duo = cartella::Document::parse(text).first().pair()?;
    /// assert_eq!(duo.voices()[1][0].pitch.to_string(), "D4");
    /// # Ok::<(), cartella::NoPair>(())
    /// ```
    ///
    /// # Errors
    /// If there are not two voices with notes, or if they cannot be joined.
    pub fn pair(self) -> Result<Duo, NoPair> {
        let aligned = self.score(BarLength::Breve);
        let voices = &aligned.score.voices;
        let events = || voices.iter().flat_map(|voice| &voice.events);
        if events().any(|event| event.mensuration != Mensuration::IMPERFECT) {
            return Err(NoPair::Threes);
        }
        let notes = voices.iter().map(|voice| {
            let sung = voice.events.iter().filter_map(|event| {
                let note = event.notes.first()?;
                Some(PartNote {
                    pitch: note.pitch,
                    at: event.onset,
                    length: plain(event),
                    is_subject: true,
                    is_signed: note.editorial.is_some(),
                })
            });
            sung.collect()
        });
        let signature = voices.first().map(|voice| voice.signature).unwrap_or_default();
        Duo::new(notes.collect(), signature).map_err(NoPair::NoDuo)
    }
}

/// Entries of a second pair upon a first, the best first: see [`join::join`]. Each was written out, and
/// studied as it is written: what had a fault that neither pair has by itself was left out.
///
/// ```
/// use cartella::{Document, Asked, join};
///
/// let text = "voice Cantus clef C1\n  sb _ D5 mn C B sb A mn B sb D5 mn C[#] sb D\n\
///             voice Altus clef C3\n  sb D4 F mn E D sb F mn G F sb E sb D\n";
/// let pair = Document::parse(text).first().pair()?;
/// let found = join(&pair, &pair, &Asked::default());
/// assert_eq!(found[0].place.to_string(), "upon the goal");
/// # Ok::<(), cartella::NoPair>(())
/// ```
pub fn join(first: &Duo, second: &Duo, asked: &Asked) -> Vec<Joined> {
    let own = [first, second].map(|duo| faults(&pair_parts(duo)));
    // A study hears signs that singers would add, so that it may find more.
    join::join(first, second, asked, &|joined| {
        let later = joined.at - second.begin();
        let known = |fault: &(&'static str, Time)| {
            own[0].contains(fault) || own[1].contains(&(fault.0, fault.1 - later))
        };
        faults(&joined_parts("", &[], joined, first)).iter().all(known)
    })
}

/// The chapter of joinings: see [`join::models`]. None has a fault as it is written.
///
/// ```no_run
/// // It takes a few seconds.
/// let models = cartella::join_models();
/// assert!(models.iter().any(|model| model.joining.is_some()));
/// ```
pub fn join_models() -> Vec<Model> {
    join::models(&is_sound)
}

/// One example of the chapter: see [`join::model`].
///
/// ```
/// use cartella::{CadenceKind, Place, join_model};
///
/// let (pair, joined) = join_model(true, false, CadenceKind::Fourth, Place::UponGoal).unwrap();
/// assert_eq!(pair.voices()[0][0].pitch.to_string(), "D4");
/// assert_eq!(joined.cadence.unwrap().name(), "leaping");
/// ```
pub fn join_model(
    rising: bool,
    above: bool,
    kind: CadenceKind,
    place: Place,
) -> Option<(Duo, Joined)> {
    join::model(rising, above, kind, place, &is_sound)
}

fn is_sound(pair: &Duo, joined: &Joined) -> bool {
    faults(&joined_parts("", &[], joined, pair)).is_empty()
}

/// The faults of a written piece: which, and when.
fn faults(text: &str) -> Vec<(&'static str, Time)> {
    let study = Document::parse(text).study(RuleSet::About1560);
    let faults = study.findings.iter().filter(|found| found.severity == Severity::Fault);
    faults.map(|found| (found.rule.name(), found.at)).collect()
}

fn pair_parts(duo: &Duo) -> String {
    let voices: Vec<&[PartNote]> = duo.voices().iter().map(Vec::as_slice).collect();
    written::signs(duo.signature()) + &of_voices(voices, duo)
}

/// Two pairs that are joined as a parts file in canonical form, the highest voice first, under the sign
/// C| and the signature of the first pair.
///
/// ```
/// use cartella::{Asked, Document, join, joined_parts};
///
/// let text = "voice Cantus clef C1\n  sb _ D5 mn C B sb A mn B sb D5 mn C[#] sb D\n\
///             voice Altus clef C3\n  sb D4 F mn E D sb F mn G F sb E sb D\n";
/// let pair = Document::parse(text).first().pair()?;
/// let found = join(&pair, &pair, &Asked::default());
/// let text = joined_parts("Two pairs", &[], &found[0], &pair);
/// assert_eq!(Document::parse(text).first().piece().voices.len(), 4);
/// # Ok::<(), cartella::NoPair>(())
/// ```
pub fn joined_parts(title: &str, notes: &[String], joined: &Joined, first: &Duo) -> String {
    let mut text = String::new();
    if !title.is_empty() {
        let _ = writeln!(text, "title {}", written::in_line(title));
    }
    for note in notes {
        let _ = writeln!(text, "note {}", written::in_line(note));
    }
    text += &written::signs(first.signature());
    let voices = joined.voices.iter().map(Vec::as_slice).collect();
    written::tidied(text + &of_voices(voices, first))
}

fn of_voices(mut voices: Vec<&[PartNote]>, duo: &Duo) -> String {
    voices.sort_by_key(|notes| std::cmp::Reverse(written::height(notes)));
    let names = usual_names(voices.len()).unwrap_or_default();
    let end = written::end(voices.iter().copied());
    let named = names.iter().zip(voices);
    named.map(|(name, notes)| written::voice(name, &[(notes, end)], duo.signature()).0).collect()
}
