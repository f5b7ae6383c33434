//! How a dissonance is treated.
//!
//! Two notes that sound together are dissonant from the moment at which one of them is struck
//! while the other is held, or both are struck. What the struck note does, and what the held note
//! does after, tells the figures of the style apart (Jeppesen, *The Style of Palestrina and the
//! Dissonance*, 1927; Fux, *Gradus ad Parnassum*, 1725, I, second to fourth species; both from
//! memory).

use crate::texture::Note;

/// The figure of a dissonance.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Figure {
    /// Both notes are struck together.
    Together,
    /// The held note is prepared, and resolves down by step: a suspension.
    Suspension,
    /// The struck note is come to and left by step in the same direction: a passing note.
    Passing,
    /// It is come to by step and goes back.
    Neighbour,
    /// It is come to by step and struck again: an anticipation.
    Anticipation,
    /// It repeats the note before.
    Repeated,
    /// It is come to from above by step and left by a third down: a cambiata.
    Cambiata,
    /// It is come to by step and left by leap, or not left.
    Escaped,
    /// It is come to by leap and left by step.
    LeaptTo,
    /// It is come to and left by leap.
    Free,
}

/// The number of figures.
pub(crate) const FIGURES: usize = 10;

/// The figure of a dissonance in which `struck` is struck while `held` is held.
pub(crate) fn figure(struck: &Note, held: &Note) -> Figure {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::length_class;
    use crate::texture::Facts;

    fn note(come: Option<i8>, leave: Option<i8>) -> Note {
        Note {
            onset: 0,
            end: 96,
            signature: rudiments::Signature::NONE,
            length: 96,
            pitch: None,
            come,
            leave,
            class: length_class(96, 96, false),
            before: None,
            section: 0,
            item: 0,
            facts: Facts::default(),
        }
    }

    /// The figures as the species define them: Fux, *Gradus ad Parnassum*, 1725, I (from memory).
    #[test]
    fn figures() {
        let held = note(None, Some(1));
        let struck = |come, leave| figure(&note(come, leave), &held);
        assert_eq!(figure(&note(Some(3), None), &note(None, Some(-1))), Figure::Suspension);
        assert_eq!(struck(Some(-1), Some(-1)), Figure::Passing);
        assert_eq!(struck(Some(1), Some(-1)), Figure::Neighbour);
        assert_eq!(struck(Some(-1), Some(0)), Figure::Anticipation);
        assert_eq!(struck(Some(-1), Some(-2)), Figure::Cambiata);
        assert_eq!(struck(Some(0), Some(-1)), Figure::Repeated);
        assert_eq!(struck(Some(1), Some(3)), Figure::Escaped);
        assert_eq!(struck(Some(1), None), Figure::Escaped);
        assert_eq!(struck(Some(-4), Some(1)), Figure::LeaptTo);
        assert_eq!(struck(None, Some(4)), Figure::Free);
    }
}
