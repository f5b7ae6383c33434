//! Stems: on which side of its head each stands, for voices that share a staff.

mod middle_line;
mod pitch;
mod voice;

pub(super) use pitch::by_pitch;
pub(super) use voice::by_voice;
