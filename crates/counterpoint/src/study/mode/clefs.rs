//! The clefs: low or high, and which part each voice sings in them.

use rudiments::Clef;
use score::Score;

/// A common combination of clefs.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Clefs {
    /// Low, or usual, clefs: C1 C3 C4 F4.
    Low,
    /// High clefs: G2 C2 C3, and F3 or C4.
    High,
}

/// What a voice sings by its clef.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
#[allow(missing_docs)]
pub enum Part {
    Cantus,
    Altus,
    Tenor,
    Bassus,
}

/// The low clefs, and the parts that they are of (common practice).
const LOW: [(&str, Part); 4] =
    [("C1", Part::Cantus), ("C3", Part::Altus), ("C4", Part::Tenor), ("F4", Part::Bassus)];

/// The high clefs.
const HIGH: [(&str, Part); 5] = [
    ("G2", Part::Cantus),
    ("C2", Part::Altus),
    ("C3", Part::Tenor),
    ("F3", Part::Bassus),
    ("C4", Part::Bassus),
];

/// The combination to which all clefs belong, if it is one alone.
pub(super) fn of(score: &Score) -> Option<Clefs> {
    let all = |clefs: Clefs| score.voices.iter().all(|voice| clefs.part(voice.clef).is_some());
    match (all(Clefs::Low), all(Clefs::High)) {
        (true, false) => Some(Clefs::Low),
        (false, true) => Some(Clefs::High),
        _ => None,
    }
}

impl Clefs {
    /// The part of a voice in that clef, if it is one of these.
    pub fn part(self, clef: Clef) -> Option<Part> {
        let table: &[(&str, Part)] = match self {
            Clefs::Low => &LOW,
            Clefs::High => &HIGH,
        };
        let found = table.iter().find(|(name, _)| Clef::parse(name) == Some(clef));
        found.map(|(_, part)| *part)
    }

    /// What they are called.
    pub fn name(self) -> &'static str {
        match self {
            Clefs::Low => "low clefs",
            Clefs::High => "high clefs",
        }
    }
}

impl Part {
    /// Whether the compass of the piece's mode is its own; the Altus and the Bassus have that of the
    /// other mode of the final (Zarlino IV, ch. 31; from memory).
    pub fn has_the_mode(self) -> bool {
        matches!(self, Part::Cantus | Part::Tenor)
    }
}

#[cfg(test)]
mod tests {
    use score::{BarLength, align, reckon};

    use super::*;

    fn clefs(names: &[&str]) -> Option<Clefs> {
        let voices: String = names
            .iter()
            .enumerate()
            .map(|(n, clef)| format!("voice V{n} clef {clef}\n br _\n"))
            .collect();
        let piece = notation::parse(&voices).piece;
        of(&align(&piece, reckon(&piece), BarLength::Breve).score)
    }

    #[test]
    fn low_and_high() {
        assert_eq!(clefs(&["C1", "C3", "C4", "F4"]), Some(Clefs::Low));
        assert_eq!(clefs(&["G2", "C2", "C3", "F3"]), Some(Clefs::High));
        assert_eq!(clefs(&["G2", "C2", "C3", "C4"]), Some(Clefs::High));
    }

    #[test]
    fn clefs_of_both_or_neither() {
        assert_eq!(clefs(&["C3", "C4"]), None);
        assert_eq!(clefs(&["G2", "F4"]), None);
    }
}
