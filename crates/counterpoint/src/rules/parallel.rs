//! Parallel fifths and octaves.
//!
//! Two voices that move together in the same direction from one perfect consonance to another of
//! its kind: forbidden by all (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 29; Fux, *Gradus ad
//! Parnassum*, 1725, I; both from memory).

use super::rule::{Meeting, OfMeeting, Prior, Rule, Weighed};
use crate::dyad::{Concord, Dyad};
use crate::kinds::named;

named! {
    /// Two perfect consonances of a kind in a row, in the same direction.
    pub enum Parallel {
        /// Octaves or unisons.
        Octaves = "octaves",
        /// Fifths.
        Fifths = "fifths",
    }
}

impl Weighed for Parallel {
    const NAME: &'static str = "parallel";
    const PRIOR: Prior = Prior::Displaced;
}

impl Rule for Parallel {
    fn sentence(self) -> String {
        format!("parallel {}", self.name())
    }
}

impl OfMeeting for Parallel {
    fn observe(meeting: &Meeting<'_>) -> Option<Parallel> {
        if !meeting.together() {
            return None;
        }
        let kind = match meeting.dyad {
            Dyad::Concord(Concord::Octave) => Parallel::Octaves,
            Dyad::Concord(Concord::Fifth) => Parallel::Fifths,
            _ => return None,
        };
        let come = (meeting.one.come, meeting.other.come);
        let alike = matches!(come, (Some(one), Some(other)) if one == other && one != 0);
        alike.then_some(kind)
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::duo;

    /// Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 29: not two fifths, not two octaves in a
    /// row (from memory).
    #[test]
    fn fifths_and_octaves_that_move_together() {
        let parallels = |upper, lower| duo(upper, lower).of("parallel");
        assert_eq!(parallels("mn A4 B4", "mn D4 E4"), ["1: fifths"]);
        assert_eq!(parallels("mn D5 E5", "mn D4 E4"), ["1: octaves"]);
        assert_eq!(parallels("mn A4 A4", "mn D4 D4"), [] as [&str; 0]);
        assert_eq!(parallels("mn A4 D5", "mn D4 G3"), [] as [&str; 0]);
        assert_eq!(parallels("mn F4 G4", "mn D4 E4"), [] as [&str; 0]);
    }

    #[test]
    fn a_rest_frees_them() {
        assert_eq!(duo("mn A4 _ B4", "mn D4 _ E4").of("parallel"), [] as [&str; 0]);
    }
}
