//! The interval of every pair of voices, at every moment at which it becomes another.

use rudiments::Time;

use super::moments::{Moment, Moments, minims};
use super::suspension::dyad;
use crate::dyad::{Concord, Dyad};
use crate::kinds::named;
use crate::observe::EventId;
use crate::texture::Texture;

named! {
    /// The kinds of intervals (Zarlino, *Istitutioni harmoniche*, 1558, III; from memory).
    pub enum Consonance {
        /// Unison, fifth, octave.
        Perfect = "perfect consonance",
        /// Thirds and sixths.
        Imperfect = "imperfect consonance",
        /// A fourth, tritone or false fifth over a lower note with which both are consonant.
        Covered = "covered by a lower voice",
        /// All others.
        Dissonance = "dissonance",
    }
}

impl From<Dyad> for Consonance {
    fn from(dyad: Dyad) -> Consonance {
        match dyad {
            Dyad::Concord(Concord::Octave | Concord::Fifth) => Consonance::Perfect,
            Dyad::Concord(Concord::UpperFourth | Concord::UpperTritone) => Consonance::Covered,
            Dyad::Concord(_) => Consonance::Imperfect,
            Dyad::Discord(_) => Consonance::Dissonance,
        }
    }
}

/// Two notes that sound together, from the moment at which one of them begins, or at which the voice
/// below them changes what they are. It holds as long as both sound, unless it comes again.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Interval {
    /// When, in minims.
    pub at: Time,
    /// The note of the voice that stands first in the score.
    pub one: EventId,
    /// The other note.
    pub other: EventId,
    /// Staff steps from the lower note to the higher: 4 is a fifth, 11 a twelfth.
    pub steps: i32,
    /// The same in semitones.
    pub semitones: i32,
    /// What it counts as.
    pub consonance: Consonance,
}

/// All intervals, in order of time; at one moment by voices, top voice first.
pub(crate) fn intervals(texture: &Texture, moments: &Moments) -> Vec<Interval> {
    let mut found = Vec::new();
    let mut before: Option<Moment<'_>> = None;
    for now in moments.iter() {
        for (place, one) in now.sounding.iter().enumerate() {
            for other in &now.sounding[place + 1..] {
                let consonance = Consonance::from(dyad(&now, one, other));
                let was = || {
                    let before = before?;
                    let one = before.of_line(one.note.line)?;
                    let other = before.of_line(other.note.line)?;
                    Some(Consonance::from(dyad(&before, one, other)))
                };
                if !one.struck && !other.struck && was() == Some(consonance) {
                    continue;
                }
                let (low, high) =
                    if one.pitch() <= other.pitch() { (one, other) } else { (other, one) };
                found.push(Interval {
                    at: minims(texture, now.at),
                    one: one.note.id(texture),
                    other: other.note.id(texture),
                    steps: i32::from(high.height.rung - low.height.rung),
                    semitones: i32::from(high.height.semitones - low.height.semitones),
                    consonance,
                });
            }
        }
        before = Some(now);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::testing::{texture, voices};
    use super::*;

    fn heard(music: &[&str]) -> Vec<String> {
        let texture = texture(&voices(music));
        let all = intervals(&texture, &Moments::new(&texture));
        let said = |heard: &Interval| {
            let Interval { at, one, other, steps, semitones, consonance } = heard;
            let (one, other) = (one.voice, other.voice);
            format!("{at} {one}{other}: {steps} ({semitones}), {}", consonance.name())
        };
        all.iter().map(said).collect()
    }

    #[test]
    fn every_pair_whenever_a_note_begins() {
        assert_eq!(
            heard(&["sb A4 B4", "mn F4 D4 sb E4"]),
            [
                "0 01: 2 (4), imperfect consonance",
                "1 01: 4 (7), perfect consonance",
                "2 01: 4 (7), perfect consonance"
            ]
        );
        assert_eq!(heard(&["sb D5", "sb A3"]), ["0 01: 10 (17), dissonance"]);
    }

    /// A fourth is covered by what sounds below it, and laid bare when that ends.
    #[test]
    fn what_the_voice_below_makes_of_a_fourth() {
        let heard = heard(&["br C5", "br G4", "sb C4 _"]);
        assert!(heard.contains(&"0 01: 3 (5), covered by a lower voice".to_owned()), "{heard:?}");
        assert_eq!(heard.last().unwrap(), "2 01: 3 (5), dissonance");
        assert_eq!(heard.len(), 4);
    }

    #[test]
    fn one_voice_has_none() {
        assert_eq!(heard(&["sb C5 D5"]), [] as [&str; 0]);
    }
}
