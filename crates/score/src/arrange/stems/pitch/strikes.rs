//! What strikes on a staff: by its beams, and by what strikes with it.

use rudiments::Time;

use super::super::super::{Beam, Segment, Shape, Stem};

/// A note, or a chord of one voice, that strikes on a staff.
#[derive(Clone)]
pub(super) struct Strike {
    pub(super) voice: usize,
    /// Its segment in the voice.
    pub(super) place: usize,
    pub(super) onset: Time,
    pub(super) end: Time,
    /// The sum of its lowest and its highest rung.
    pub(super) height: i32,
    pub(super) has_stem: bool,
    /// The notes under one beam with it, or itself alone.
    pub(super) group: usize,
    /// What strikes with it.
    pub(super) attack: usize,
    pub(super) alone: bool,
    /// Where its group has no side in common.
    pub(super) side: Stem,
}

impl Strike {
    pub(super) fn of(voice: usize, place: usize, segment: &Segment) -> Strike {
        let rungs = || segment.notes.iter().map(|note| note.pitch.tone.rung());
        Strike {
            voice,
            place,
            onset: segment.onset,
            end: segment.end(),
            height: rungs().min().unwrap_or(0) + rungs().max().unwrap_or(0),
            has_stem: matches!(segment.shape, Shape::Plain { value, .. } if value.has_stem()),
            group: 0,
            attack: 0,
            alone: false,
            side: Stem::Up,
        }
    }
}

/// What one beam joins, or a single strike.
pub(super) struct Group {
    /// In order of time.
    pub(super) strikes: Vec<usize>,
    pub(super) side: Option<Stem>,
    /// Whether it is a part of what was under one beam.
    pub(super) broken: bool,
}

/// What strikes at one moment.
pub(super) struct Attack {
    pub(super) onset: Time,
    /// From the highest to the lowest; of those as high, that first whose beam is higher, then the
    /// upper voice.
    pub(super) strikes: Vec<usize>,
    /// What sounds on.
    pub(super) held: Vec<usize>,
    pub(super) texture: Texture,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Texture {
    /// All that sounds has one stem.
    One,
    /// Several parts.
    Parts,
}

/// Groups the strikes by their beams.
pub(super) fn groups(voices: &[Vec<Segment>], strikes: &mut [Strike]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    let mut goes_on = false;
    for (number, strike) in strikes.iter_mut().enumerate() {
        let beam = voices[strike.voice][strike.place].beams.iter().next();
        if !goes_on {
            groups.push(Group { strikes: Vec::new(), side: None, broken: false });
        }
        let group = groups.len() - 1;
        groups[group].strikes.push(number);
        strike.group = group;
        goes_on = matches!(beam, Some(Beam::Begins | Beam::GoesOn));
    }
    groups
}

/// The attacks of a bar in order of time.
pub(super) fn attacks(strikes: &[Strike], groups: &[Group]) -> Vec<Attack> {
    let mut order: Vec<usize> = (0..strikes.len()).collect();
    let under_beam = |strike: &Strike| -> i32 {
        let heights = || groups[strike.group].strikes.iter().map(|other| strikes[*other].height);
        heights().min().unwrap_or(0) + heights().max().unwrap_or(0)
    };
    order.sort_by_cached_key(|number| {
        let strike = &strikes[*number];
        (strike.onset, -strike.height, -under_beam(strike), strike.voice)
    });
    let mut sounding: Vec<usize> = Vec::new();
    let together = order.chunk_by(|one, two| strikes[*one].onset == strikes[*two].onset);
    together
        .map(|together| {
            let onset = strikes[together[0]].onset;
            sounding.retain(|other| strikes[*other].end > onset);
            let held = sounding.clone();
            sounding.extend(together);
            Attack { onset, strikes: together.to_vec(), held, texture: Texture::Parts }
        })
        .collect()
}
