//! The mode of a piece: a proposal with its evidence, never a verdict.
//!
//! The final, the system, the compass of the Cantus and the Tenor and the usual cadences are what
//! Zarlino judges by (*Istitutioni harmoniche*, 1558, IV, ch. 18-31); the twelve modes are those of
//! Glarean, *Dodecachordon*, 1547. Both from memory.

mod ambitus;
mod clefs;
mod evidence;
mod numbers;
mod system;

use notation::Piece;
use rudiments::{Step, Time};
use score::Score;

pub use ambitus::{Ambitus, Range};
pub use clefs::{Clefs, Part};
pub use evidence::Evidence;
pub use numbers::Mode;
pub use system::System;

use super::cadences::{Cadence, Final, last_note, last_sonority};
use crate::texture::Texture;

/// The mode that is proposed for a piece, and why.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ModeProposal {
    /// The lowest last note.
    pub last: Option<Final>,
    /// The system in which it is written.
    pub system: System,
    /// What is proposed.
    pub proposed: Proposed,
    /// What speaks for it, or what was looked at, in the order of its weight.
    pub evidence: Vec<Evidence>,
}

/// What is proposed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Proposed {
    /// Nothing: it is too short to tell.
    TooShort(TooShort),
    /// Nothing: no mode has this final in this system.
    NoSuchFinal,
    /// One mode.
    Mode(Mode),
    /// The authentic or the plagal mode of a final: compass and cadences speak for both.
    Either(Mode, Mode),
}

/// Why a piece is too short to tell its mode.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TooShort {
    /// It lasts fewer than 20 breves.
    Breves,
    /// It has no cadence at its end.
    NoLastCadence,
}

/// A piece needs so many minims, twenty breves, before its compass and cadences say anything.
const LONG_ENOUGH: Time = Time::minims(80);

/// Within so many minims, two breves, after a cadence a piece ends with it.
pub const ENDS_WITHIN: Time = Time::minims(8);

/// The mode of a piece whose cadences are these.
pub fn of(piece: &Piece, score: &Score, cadences: &[Cadence]) -> ModeProposal {
    mode(&Texture::new(piece, score), score, cadences)
}

impl ModeProposal {
    /// The same among the eight modes, by which music was judged before 1547.
    pub(crate) fn among_eight(self) -> ModeProposal {
        let proposed = match self.proposed {
            Proposed::Mode(mode) => Proposed::Mode(mode.among_eight()),
            Proposed::Either(one, other) => {
                Proposed::Either(one.among_eight(), other.among_eight())
            }
            none => none,
        };
        ModeProposal { proposed, ..self }
    }
}

/// The mode of a piece, by its final, system, clefs, compass and cadences.
pub(crate) fn mode(texture: &Texture, score: &Score, cadences: &[Cadence]) -> ModeProposal {
    let signature = system::signature(score);
    let system = System::of(signature);
    let last = last_note(texture);
    let mut evidence = Vec::new();
    evidence.extend(last.map(Evidence::Final));
    evidence.push(Evidence::System(system));
    let clefs = clefs::of(score);
    evidence.extend(clefs.map(Evidence::Clefs));
    let ranges = ambitus::of(texture, score, clefs, last.map(|last| last.pitch.tone.step));
    let degrees = evidence::degrees(cadences);
    let proposed = match too_short(texture, score, cadences) {
        Some(short) => Proposed::TooShort(short),
        None => propose(last, system, &ranges, &degrees),
    };
    evidence.extend(ranges.into_iter().map(Evidence::Ambitus));
    let usual = match proposed {
        Proposed::Mode(mode) | Proposed::Either(mode, _) => mode.usual_cadences(system),
        Proposed::TooShort(_) | Proposed::NoSuchFinal => Vec::new(),
    };
    if !degrees.is_empty() {
        evidence.push(Evidence::Cadences { counts: degrees, usual, signature });
    }
    ModeProposal { last, system, proposed, evidence }
}

fn too_short(texture: &Texture, score: &Score, cadences: &[Cadence]) -> Option<TooShort> {
    if score.length < LONG_ENOUGH {
        return Some(TooShort::Breves);
    }
    let last = last_sonority(texture).map(|last| Time::new(last, texture.minim));
    let ends_with = |cadence: &Cadence| {
        last.is_some_and(|last| cadence.at <= last && last <= cadence.at + ENDS_WITHIN)
    };
    (!cadences.iter().any(ends_with)).then_some(TooShort::NoLastCadence)
}

/// The compass decides between the two modes of a final; where it does not, the cadences do.
fn propose(
    last: Option<Final>,
    system: System,
    ranges: &[Ambitus],
    degrees: &[(Step, usize)],
) -> Proposed {
    let modes = last.and_then(|last| Mode::of_final(last.pitch.tone.step, system));
    let Some([authentic, plagal]) = modes else { return Proposed::NoSuchFinal };
    let votes: i32 = ranges.iter().map(Ambitus::vote).sum();
    let preference = |mode: Mode| {
        // The cadence that a mode prefers after the one on its final.
        let second = mode.usual_cadences(system).get(1).copied();
        degrees.iter().find(|(step, _)| Some(*step) == second).map_or(0, |(_, count)| *count)
    };
    let order = votes.cmp(&0).then(preference(authentic).cmp(&preference(plagal)));
    match order {
        std::cmp::Ordering::Greater => Proposed::Mode(authentic),
        std::cmp::Ordering::Less => Proposed::Mode(plagal),
        std::cmp::Ordering::Equal => Proposed::Either(authentic, plagal),
    }
}

impl ModeProposal {
    /// In a sentence for people; the evidence has sentences of its own.
    pub fn sentence(&self) -> String {
        match self.proposed {
            Proposed::TooShort(TooShort::Breves) => {
                "too short to tell a mode: fewer than 20 breves".to_owned()
            }
            Proposed::TooShort(TooShort::NoLastCadence) => {
                "too short to tell a mode: no cadence at the end".to_owned()
            }
            Proposed::NoSuchFinal => "no mode has this final".to_owned(),
            Proposed::Mode(mode) => format!("mode {mode} proposed"),
            Proposed::Either(one, other) => format!("mode {one} or {other} proposed"),
        }
    }
}

#[cfg(test)]
mod tests;
