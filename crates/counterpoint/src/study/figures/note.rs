//! The figures that a note makes by how it is come to and left.
//!
//! Fux, *Gradus ad Parnassum*, 1725, I, second and third species; Jeppesen, *The Style of Palestrina
//! and the Dissonance*, 1927; both from memory.

use crate::rank::Rank;
use crate::study::moments::NoteRef;
use crate::study::rules::Figure;
use crate::texture::{Note, Texture};

/// The figure of a struck note; none where no figure begins so.
pub(super) fn melodic(texture: &Texture, struck: NoteRef) -> Option<Figure> {
    let note = struck.of(texture);
    let (come, leave) = (note.come?, note.leave?);
    let then = || struck.after(texture).and_then(|next| next.of(texture).leave);
    match (come, leave) {
        (1, 1) | (-1, -1) => Some(Figure::Passing),
        (1, -1) | (-1, 1) => Some(Figure::Neighbour),
        (1 | -1, 0) => Some(Figure::Anticipation),
        (-1, -2) if then() == Some(1) => Some(Figure::Cambiata),
        (-1, -2) => Some(Figure::OldCambiata),
        (1, ..=-2) | (-1, 2..) => Some(Figure::Escaped),
        _ => None,
    }
}

/// The value of a note, dot left out, and whether it is longer than that.
pub(super) fn value(note: &Note) -> (Rank, bool) {
    let (length, minim) = (note.end - note.onset, note.measure.minim);
    let values = [
        (Rank::Breve, minim * 4),
        (Rank::Semibreve, minim * 2),
        (Rank::Minim, minim),
        (Rank::Semiminim, minim / 2),
    ];
    let value = values.into_iter().find(|(_, value)| *value <= length);
    value.map_or((Rank::Fusa, false), |(rank, value)| (rank, length > value))
}
