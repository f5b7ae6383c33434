//! The system: whether B is *mi* or *fa* throughout.

use rudiments::{Signature, Step};
use score::Score;

/// The system in which a piece is written.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum System {
    /// Cantus durus: no signature.
    Durus,
    /// Cantus mollis: one flat, everything a fourth up.
    Mollis,
    /// A signature of more signs: so many sharps, or flats if negative, each a transposition more.
    Fictus {
        /// The number of sharps, or of flats as a negative number.
        fifths: i8,
    },
    /// A signature that transposes nothing.
    Mixed,
}

/// The signature of most voices; of two that as many have, that of the lower voices.
pub(super) fn signature(score: &Score) -> Signature {
    let signatures: Vec<Signature> = score.voices.iter().map(|voice| voice.signature).collect();
    let count = |signature| signatures.iter().filter(|other| **other == signature).count();
    let most = signatures.iter().copied().max_by_key(|signature| count(*signature));
    most.unwrap_or(Signature::NONE)
}

impl System {
    /// The system of a signature.
    pub fn of(signature: Signature) -> System {
        match signature.fifths() {
            Some(0) => System::Durus,
            Some(-1) => System::Mollis,
            Some(fifths) => System::Fictus { fifths: fifths as i8 },
            None => System::Mixed,
        }
    }

    /// In a word: `durus`, `mollis`; of other signatures `fictus`, or `mixed`.
    pub fn word(self) -> &'static str {
        match self {
            System::Durus => "durus",
            System::Mollis => "mollis",
            System::Fictus { .. } => "fictus",
            System::Mixed => "mixed",
        }
    }

    /// Steps by which it moves everything up.
    fn steps(self) -> Option<i32> {
        match self {
            System::Durus => Some(0),
            System::Mollis => Some(3),
            // A sharp moves everything up a fifth, a flat a fourth.
            System::Fictus { fifths } => Some((i32::from(fifths) * 4).rem_euclid(7)),
            System::Mixed => None,
        }
    }

    /// A step of this system in the durus system.
    pub(super) fn untransposed(self, step: Step) -> Option<Step> {
        Some(moved(step, -self.steps()?))
    }

    /// A step of the durus system in this one.
    pub(super) fn transposed(self, step: Step) -> Step {
        moved(step, self.steps().unwrap_or(0))
    }

    /// Its name.
    pub fn name(self) -> String {
        match self {
            System::Durus => "cantus durus".to_owned(),
            System::Mollis => "cantus mollis".to_owned(),
            System::Fictus { fifths } => {
                let signs = if fifths < 0 { "flats" } else { "sharps" };
                let signs = if fifths == 1 { "sharp" } else { signs };
                format!("transposed, {} {signs}", fifths.unsigned_abs())
            }
            System::Mixed => "no usual signature".to_owned(),
        }
    }
}

fn moved(step: Step, steps: i32) -> Step {
    Step::ALL[(step as i32 + steps).rem_euclid(7) as usize]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_flat_is_a_fourth_up() {
        let two = System::of(Signature::of_fifths(-2));
        assert_eq!(System::Mollis.transposed(Step::D), Step::G);
        assert_eq!(two.transposed(Step::D), Step::C);
        assert_eq!(two.untransposed(Step::C), Some(Step::D));
        assert_eq!(System::of(Signature::of_fifths(1)).transposed(Step::D), Step::A);
    }
}
