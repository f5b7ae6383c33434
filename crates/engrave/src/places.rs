//! Where heads and staves are, in millimetres of the page, for reports and checks.

use std::ops::Range;

use crate::frame::{Block, Ink, Picture, Role};
use crate::glyphs::Signs;
use crate::units::{Mm, Sp};

/// The middle of a head.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct HeadPlace {
    /// Its voice, from 0.
    pub voice: usize,
    /// Its number in the voice, from 1; none for what is supplied.
    pub index: Option<u32>,
    /// The system on which it stands, from 1.
    pub system: u32,
    /// The staff of the system, from the top, from 1.
    pub staff: usize,
    /// From the left of the page.
    pub x: Mm,
    /// From its top.
    pub y: Mm,
}

/// A staff of a system.
#[derive(Clone, PartialEq, Debug)]
pub struct StaffOnPage {
    /// The system, from 1.
    pub system: u32,
    /// The staff of the system, from the top, from 1.
    pub staff: usize,
    /// The clef with which it begins.
    pub clef: rudiments::Clef,
    /// The clefs that follow, with the places from which each holds, from the left of the page.
    pub clef_changes: Vec<(Mm, rudiments::Clef)>,
    /// Octaves that it sounds higher than the clef says.
    pub octave_change: i8,
    /// The middle of its lowest line, from the top of the page.
    pub bottom: Mm,
    /// The distance of its lines.
    pub space: Mm,
}

/// The places of all heads, system by system.
pub fn heads(picture: &Picture) -> Vec<HeadPlace> {
    let signs = Signs::all();
    let mm = |length: Sp| Mm(length.0 * picture.space.0);
    let mut heads = Vec::new();
    for block in &picture.blocks {
        let Some(system) = block.system() else { continue };
        for item in block.frame.items.iter().filter(|item| item.role == Role::Head) {
            let Some(origin) = item.of else { continue };
            let middle = match &item.ink {
                Ink::Sign { sign, at, .. } => at.moved(signs.width(*sign) / 2.0, Sp::ZERO),
                Ink::Shape(outline) => outline.area().middle(),
                _ => continue,
            };
            heads.push(HeadPlace {
                voice: origin.voice,
                index: origin.index,
                system,
                staff: origin.staff + 1,
                x: block.x + mm(middle.x),
                y: block.y + mm(middle.y),
            });
        }
    }
    heads
}

/// All systems, with the bars of the score that each has, as places.
pub fn systems(picture: &Picture) -> Vec<(u32, Range<usize>)> {
    let system = |block: &Block| Some((block.system()?, block.frame.bars.clone()));
    picture.blocks.iter().filter_map(system).collect()
}

/// All staves, system by system.
pub fn staves(picture: &Picture) -> Vec<StaffOnPage> {
    let mut staves = Vec::new();
    for block in &picture.blocks {
        let Some(system) = block.system() else { continue };
        for (place, staff) in block.frame.staves.iter().enumerate() {
            staves.push(StaffOnPage {
                system,
                staff: place + 1,
                clef: staff.clef,
                clef_changes: staff
                    .clef_changes
                    .iter()
                    .map(|(x, clef)| (block.x + Mm(x.0 * picture.space.0), *clef))
                    .collect(),
                octave_change: staff.octave_change,
                bottom: block.y + Mm(staff.bottom.0 * picture.space.0),
                space: picture.space,
            });
        }
    }
    staves
}
