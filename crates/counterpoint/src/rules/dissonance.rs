//! How a dissonance is treated.
//!
//! Two notes that sound together are dissonant from the moment at which one of them is struck
//! while the other is held, or both are struck. What the struck note does, and what the held note
//! does after, tells the figures of the style apart (Jeppesen, *The Style of Palestrina and the
//! Dissonance*, 1927; Fux, *Gradus ad Parnassum*, 1725, I, second to fourth species; both from
//! memory). Suspensions belong on the semibreve, passing notes off it (Zarlino, *Istitutioni
//! harmoniche*, 1558, III, ch. 42, and Jeppesen; from memory).

use super::rule::{Meeting, OfMeeting, Prior, Rule, Weighed};
use crate::dyad::{Discord, Dyad};
use crate::kinds::{Kinds, named};
use crate::rank::Strength;
use crate::texture::Note;

/// Two notes that are dissonant.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Dissonance {
    /// What they make.
    pub discord: Discord,
    /// How it is treated.
    pub figure: Figure,
    /// Where.
    pub strength: Strength,
}

named! {
    /// The figure of a dissonance.
    pub enum Figure {
        /// Both notes are struck together.
        Together = "struck together",
        /// The held note is prepared, and resolves down by step.
        Suspension = "suspension",
        /// The struck note is come to and left by step in the same direction.
        Passing = "passing note",
        /// It is come to by step and goes back.
        Neighbour = "neighbour",
        /// It is come to by step and struck again.
        Anticipation = "anticipation",
        /// It repeats the note before.
        Repeated = "repeated note",
        /// It is come to from above by step and left by a third down.
        Cambiata = "cambiata",
        /// It is come to by step and left by leap, or not left.
        Escaped = "escaped note",
        /// It is come to by leap and left by step.
        LeaptTo = "note leapt to",
        /// It is come to and left by leap.
        Free = "free",
    }
}

impl Figure {
    /// The figure of a dissonance in which `struck` is struck while `held` is held.
    fn of(struck: &Note, held: &Note) -> Figure {
        if held.leave == Some(-1) {
            return Figure::Suspension;
        }
        let by_step = |steps: Option<i8>| matches!(steps, Some(1 | -1));
        match (struck.come, struck.leave) {
            (Some(come), Some(leave)) if by_step(Some(come)) && leave == come => Figure::Passing,
            (Some(come), Some(leave)) if by_step(Some(come)) && leave == -come => Figure::Neighbour,
            (come, Some(0)) if by_step(come) => Figure::Anticipation,
            (Some(0), _) => Figure::Repeated,
            (Some(-1), Some(-2)) => Figure::Cambiata,
            (come, _) if by_step(come) => Figure::Escaped,
            (_, leave) if by_step(leave) => Figure::LeaptTo,
            _ => Figure::Free,
        }
    }

    /// Whether the style knows it.
    pub fn is_of_the_style(self) -> bool {
        matches!(
            self,
            Figure::Suspension
                | Figure::Passing
                | Figure::Neighbour
                | Figure::Anticipation
                | Figure::Cambiata
        )
    }
}

impl Dissonance {
    /// Whether no figure of the style explains it.
    pub fn is_clash(self) -> bool {
        !self.figure.is_of_the_style()
    }
}

impl Kinds for Dissonance {
    const COUNT: usize = Discord::COUNT * Figure::COUNT * Strength::COUNT;

    fn number(self) -> usize {
        let kind = self.discord.number() * Figure::COUNT + self.figure.number();
        kind * Strength::COUNT + self.strength.number()
    }

    fn all() -> Vec<Dissonance> {
        let mut all = Vec::with_capacity(Dissonance::COUNT);
        for discord in Discord::all() {
            for figure in Figure::all() {
                for strength in Strength::all() {
                    all.push(Dissonance { discord, figure, strength });
                }
            }
        }
        all
    }

    fn name(self) -> String {
        let Dissonance { discord, figure, strength } = self;
        format!("{}, {}, {}", discord.name(), figure.name(), strength.name())
    }
}

impl Weighed for Dissonance {
    const NAME: &'static str = "dissonance";
    const PRIOR: Prior = Prior::Displaced;
}

impl Rule for Dissonance {
    fn sentence(self) -> String {
        let Dissonance { discord, figure, strength } = self;
        let (discord, strength) = (discord.name(), strength.name());
        match figure {
            Figure::Together => format!("a {discord} struck together {strength}"),
            Figure::Free => format!("a {discord} {strength} that no figure explains"),
            Figure::Anticipation | Figure::Escaped => {
                format!("a {discord} {strength} as an {}", figure.name())
            }
            _ => format!("a {discord} {strength} as a {}", figure.name()),
        }
    }
}

impl OfMeeting for Dissonance {
    fn observe(meeting: &Meeting<'_>) -> Option<Dissonance> {
        let Dyad::Discord(discord) = meeting.dyad else { return None };
        let figure = match meeting.struck {
            (true, true) => Figure::Together,
            (true, false) => Figure::of(meeting.one, meeting.other),
            _ => Figure::of(meeting.other, meeting.one),
        };
        Some(Dissonance { discord, figure, strength: meeting.strength })
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::duo;

    /// The suspension of the fourth species: Fux, *Gradus ad Parnassum*, 1725, I (from memory).
    #[test]
    fn a_suspension_resolves_down_by_step() {
        assert_eq!(
            duo("br C5 sb B4", "sb E4 D4 G4").of("dissonance"),
            ["2: second or seventh, suspension, on a semibreve"]
        );
    }

    /// The figures of the struck note against a held one that does not go down after: second and
    /// third species (Fux, from memory).
    #[test]
    fn figures_of_the_struck_note() {
        let figure = |upper: &str| {
            let seen = duo(upper, "br C4 D4").of("dissonance");
            seen.first().map(|first| first.split(", ").nth(1).unwrap_or_default().to_owned())
        };
        for (upper, expected) in [
            ("mn C5 B4 A4 C5", "passing note"),
            ("mn C5 D5 C5 C5", "neighbour"),
            ("sb E5 mn D5 D5", "anticipation"),
            ("mn C5 B4 G4 A4", "cambiata"),
            ("mn C5 D5 G4 A4", "escaped note"),
            ("mn C5 F4 E4 G4", "note leapt to"),
            ("mn C5 F4 A4 G4", "free"),
        ] {
            assert_eq!(figure(upper).as_deref(), Some(expected), "{upper}");
        }
    }

    #[test]
    fn both_may_be_struck() {
        assert_eq!(
            duo("sb C5 D5", "sb C4 C4").of("dissonance"),
            ["2: second or seventh, struck together, on a semibreve"]
        );
    }
}
