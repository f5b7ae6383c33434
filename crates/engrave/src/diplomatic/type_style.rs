//! The proportions of the type with which a copy is set.

use crate::units::Sp;

/// How the sorts of a music type look, in staff spaces. The usual ones were measured by eye on Italian
/// part-books of the 1580s, whose type is one piece for head and stem: a note with its stem down is the same
/// piece turned round.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TypeStyle {
    /// How wide the diamond of semibreves and smaller notes is.
    pub head_width: Sp,
    /// How high it is.
    pub head_height: Sp,
    /// How thick its strokes are that fall to the right, as a broad pen makes them.
    pub thick: Sp,
    /// How thick those are that rise.
    pub thin: Sp,
    /// How thick a stem is.
    pub stem: Sp,
    /// How long a stem is, from the middle of its head.
    pub stem_length: Sp,
    /// How wide a flag is.
    pub flag_width: Sp,
    /// How high it is.
    pub flag_height: Sp,
    /// How wide the square of a breve is.
    pub square_width: Sp,
    /// How wide that of a maxima.
    pub maxima_width: Sp,
    /// How high both are.
    pub square_height: Sp,
    /// How thick their level strokes are.
    pub square_thick: Sp,
    /// How thick their upright strokes are.
    pub square_side: Sp,
    /// How far these reach beyond the level ones.
    pub ear: Sp,
    /// How wide an oblique body is.
    pub oblique_width: Sp,
    /// How wide the strokes of rests are.
    pub rest_width: Sp,
    /// How high the strokes of clefs reach above and below their line.
    pub clef_reach: Sp,
    /// How wide a clef is.
    pub clef_width: Sp,
    /// The least white between two sorts.
    pub least_white: Sp,
}

impl Default for TypeStyle {
    fn default() -> TypeStyle {
        TypeStyle {
            head_width: Sp(1.15),
            head_height: Sp(1.55),
            thick: Sp(0.28),
            thin: Sp(0.13),
            stem: Sp(0.12),
            stem_length: Sp(3.3),
            flag_width: Sp(0.75),
            flag_height: Sp(1.05),
            square_width: Sp(1.3),
            maxima_width: Sp(2.5),
            square_height: Sp(1.0),
            square_thick: Sp(0.24),
            square_side: Sp(0.13),
            ear: Sp(0.2),
            oblique_width: Sp(2.7),
            rest_width: Sp(0.32),
            clef_reach: Sp(1.9),
            clef_width: Sp(1.05),
            least_white: Sp(0.4),
        }
    }
}
