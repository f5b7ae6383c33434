//! The pieces into which slips are planted: some to tune on, the others to report on.

use std::path::Path;

use notation::{Piece, parse};

use super::slots::{SlotVoice, slots};
use crate::{SIGNED, duos, madrigal_parts, read_score, with_signs};

/// Five voices, or two; or passages in threes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[allow(missing_docs)]
pub enum Group {
    Madrigals,
    Duos,
    Threes,
}

/// A clean piece.
#[derive(Clone, Debug)]
pub struct Material {
    /// Its name.
    pub name: String,
    /// Where it is from.
    pub group: Group,
    /// Its voices.
    pub voices: Vec<SlotVoice>,
}

/// The madrigals to tune on.
const TUNED_ON: [&str; 3] = ["alberti_dalmio", "bardi_lauroohi", "gabrielli_oinprimavera"];

/// The other clean madrigals.
const REPORTED: [&str; 4] =
    ["ingegneri_gianon", "macque_goditipur", "pigna_giustodis", "vecchi_fummofelici"];

/// The duos to tune on: every fifth, and the one after it.
fn tuned_on(name: &str) -> bool {
    name.parse::<usize>().is_ok_and(|number| matches!(number % 5, 1 | 2))
}

/// Three madrigals and ten duos.
pub fn development(opendata: &Path) -> Vec<Material> {
    materials(opendata, &TUNED_ON, tuned_on)
}

/// The other clean madrigals and duos.
pub fn report(opendata: &Path) -> Vec<Material> {
    materials(opendata, &REPORTED, |name| !tuned_on(name))
}

/// Seven madrigals that nothing was tuned on: those of the report, and three whose part files lack the
/// signs of their passages in threes, with the signs that the prints have there.
pub fn untuned_madrigals(opendata: &Path) -> Vec<Material> {
    let signed = SIGNED.into_iter().map(|(name, signs)| {
        let text = with_signs(&madrigal_parts(opendata, name), signs);
        material(name, Group::Madrigals, &parse(&text).piece)
    });
    materials(opendata, &REPORTED, |_| false).into_iter().chain(signed).collect()
}

/// Whether it is one of the clean madrigals of the report.
pub fn is_reported(name: &str) -> bool {
    REPORTED.contains(&name)
}

fn materials(opendata: &Path, madrigals: &[&str], duo: impl Fn(&str) -> bool) -> Vec<Material> {
    let madrigals = madrigals.iter().map(|name| {
        material(name, Group::Madrigals, &parse(&madrigal_parts(opendata, name)).piece)
    });
    let duos = duos(opendata).into_iter().filter(|(name, _)| duo(name)).map(|(name, xml)| {
        material(&name, Group::Duos, &parse(&read_score(&name, xml.as_bytes(), None)).piece)
    });
    madrigals.chain(duos).collect()
}

fn material(name: &str, group: Group, piece: &Piece) -> Material {
    Material { name: name.to_owned(), group, voices: slots(piece) }
}
