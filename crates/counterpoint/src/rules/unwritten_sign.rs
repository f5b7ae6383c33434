//! Whether a note has the sign that singers would have added unasked, or lacks it.
//!
//! The practice is that of `study::accidentals`, which names its sources: Tinctoris, *De natura et
//! proprietate tonorum*, 1476, ch. 8; Aron, *Toscanello*, 1529; Zarlino, *Istitutioni harmoniche*,
//! 1558, III, ch. 31, 38 and 53; all from memory. A note that is raised goes up next, and one that is
//! lowered goes down (common practice).

use rudiments::Pitch;

use super::rule::{Rule, Weighed};
use crate::asked::Asked;
use crate::kinds::named;
use crate::texture::{Height, Note};

named! {
    /// How a note stands to the signs that are not written.
    pub enum UnwrittenSign {
        /// A leading note of a cadence has no sign.
        PlainLeading = "leading note without its sign",
        /// The same, in a piece that leaves such signs to the singers.
        PlainLeftLeading = "leading note without its sign, as others",
        /// The same, but something speaks against a sign there.
        PlainDoubtfulLeading = "doubtful leading note without a sign",
        /// The minor third of a last sonority has no sign.
        PlainEnd = "third at an end without its sign",
        /// One note above *la* has no sign.
        PlainAboveLa = "note above la without a sign",
        /// The end of a tritone has no sign.
        PlainTritone = "tritone without a sign",
        /// A false fifth has no sign.
        PlainFalseFifth = "false fifth without a sign",
        /// A sixth before the octave, or a third before the unison, has no sign.
        PlainProgression = "sixth or third without a sign",
        /// A sign makes a leading note.
        SignedLeading = "leading note with its sign",
        /// The same, in a piece that leaves such signs to the singers.
        SignedLeftLeading = "leading note with its sign, unlike others",
        /// The same, where something speaks against it.
        SignedDoubtfulLeading = "doubtful leading note with a sign",
        /// A sign makes the third of a last sonority major.
        SignedEnd = "third at an end with its sign",
        /// A sign makes *fa* above *la*.
        SignedAboveLa = "note above la with a sign",
        /// A sign avoids a tritone.
        SignedTritone = "tritone avoided by a sign",
        /// A sign avoids a false fifth.
        SignedFalseFifth = "false fifth avoided by a sign",
        /// A sign makes a sixth major, or a third minor.
        SignedProgression = "sixth or third with a sign",
        /// It is raised, and nothing asks for it.
        RaisedUnasked = "raised unasked",
        /// It is lowered, and nothing asks for it.
        LoweredUnasked = "lowered unasked",
        /// It is raised, and goes up a step.
        RaisedUp = "raised, and goes up",
        /// It is raised, and goes elsewhere.
        RaisedElsewhere = "raised, and goes elsewhere",
        /// It is lowered, and goes down a step.
        LoweredDown = "lowered, and goes down",
        /// It is lowered, and goes elsewhere.
        LoweredElsewhere = "lowered, and goes elsewhere",
    }
}

/// So many repetitions of a note are passed over at most to see where it goes.
const REPETITIONS: usize = 16;

impl UnwrittenSign {
    /// What is observed at a place of a voice as it is `read`.
    pub(crate) fn at(
        place: usize,
        read: impl Fn(usize) -> Option<Note>,
        mut seen: impl FnMut(UnwrittenSign),
    ) {
        let Some(note) = read(place) else { return };
        let Some(height) = note.pitch else { return };
        let by = height.semitones - plain(height, &note);
        let asked = note.facts.asked;
        if by == 0 {
            asked.map(|asked| Self::missing(asked.why)).into_iter().for_each(seen);
            return;
        }
        let unasked = if by > 0 { Self::RaisedUnasked } else { Self::LoweredUnasked };
        let given = asked.filter(|asked| asked.by == by);
        seen(given.map_or(unasked, |asked| Self::given(asked.why)));
        let mut after = (place + 1..).take(REPETITIONS).map_while(|place| read(place)?.pitch);
        let Some(next) = after.find(|next| *next != height) else { return };
        seen(match (by > 0, next.rung - height.rung) {
            (true, 1) => Self::RaisedUp,
            (true, _) => Self::RaisedElsewhere,
            (false, -1) => Self::LoweredDown,
            (false, _) => Self::LoweredElsewhere,
        });
    }

    /// A note that has no sign, though one is asked for.
    fn missing(why: Asked) -> UnwrittenSign {
        match why {
            Asked::Leading => Self::PlainLeading,
            Asked::LeftLeading => Self::PlainLeftLeading,
            Asked::DoubtfulLeading => Self::PlainDoubtfulLeading,
            Asked::End => Self::PlainEnd,
            Asked::FaAboveLa => Self::PlainAboveLa,
            Asked::Tritone => Self::PlainTritone,
            Asked::FalseFifth => Self::PlainFalseFifth,
            Asked::Progression => Self::PlainProgression,
        }
    }

    /// A note that has the sign that is asked for.
    fn given(why: Asked) -> UnwrittenSign {
        match why {
            Asked::Leading => Self::SignedLeading,
            Asked::LeftLeading => Self::SignedLeftLeading,
            Asked::DoubtfulLeading => Self::SignedDoubtfulLeading,
            Asked::End => Self::SignedEnd,
            Asked::FaAboveLa => Self::SignedAboveLa,
            Asked::Tritone => Self::SignedTritone,
            Asked::FalseFifth => Self::SignedFalseFifth,
            Asked::Progression => Self::SignedProgression,
        }
    }
}

/// What the signature makes of a height, in semitones.
fn plain(height: Height, note: &Note) -> i16 {
    let tone = height.tone();
    Pitch::new(tone, note.signature.alteration(tone.step)).key_number() as i16
}

impl Weighed for UnwrittenSign {
    const NAME: &'static str = "unwritten sign";
}

impl Rule for UnwrittenSign {
    fn sentence(self) -> String {
        format!("by the practice of singers: {}", self.name())
    }
}
