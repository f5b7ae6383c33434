//! The strips of the open data, each with its row of signs as the encodings have it.

use std::fs;
use std::path::Path;

use cartella::Document;
use facsimile::image::GrayImage;
use facsimile::{Kind, Sizes, Sort, pages, strips};
use notation::{Event, Item, ItemKind, NoteSign, Piece, Sound};
use rudiments::{Clef, LigatureNote, Signature, Value, ligature};
use score::SourceLine;

use crate::{MADRIGALS, PARTS, SIGNED, madrigal_parts, with_signs};

/// A laid-out staff and what stands on it.
pub struct LaidOut {
    /// Of which piece, from 0.
    pub piece: usize,
    /// Of which voice of it.
    pub voice: usize,
    /// As it is read.
    pub picture: GrayImage,
    /// What stands on it by the encoding; nothing on an empty one.
    pub sorts: Vec<Sort>,
}

/// A scan of a voice, and what stands on its lines by the encoding.
pub struct Opening {
    /// Of which piece, from 0.
    pub piece: usize,
    /// Of which voice of it.
    pub voice: usize,
    /// The scan.
    pub picture: GrayImage,
    /// Its lines with music, from the top down.
    pub lines: Vec<Vec<Sort>>,
}

/// Some scans of the madrigals, chosen by the numbers of piece and voice.
///
/// # Panics
/// If one cannot be read.
pub fn openings(opendata: &Path, chosen: &dyn Fn(usize, usize) -> bool) -> Vec<Opening> {
    let mut found = Vec::new();
    for (piece, name) in MADRIGALS.iter().enumerate() {
        if !(0..PARTS.len()).any(|voice| chosen(piece, voice)) {
            continue;
        }
        let mut text = madrigal_parts(opendata, name);
        if let Some((_, signs)) = SIGNED.iter().find(|(signed, _)| signed == name) {
            text = with_signs(&text, signs);
        }
        let document = Document::parse(text);
        let example = document.first();
        let copied = example.copied();
        for (voice, part) in PARTS.iter().enumerate().filter(|(voice, _)| chosen(piece, *voice)) {
            let scan = opendata.join(format!("madrigals-1582/{name}/facsimile/{part}.pdf"));
            let mut read = pages(&fs::read(&scan).expect("a scan")).expect("pages");
            let lines = copied.lines.iter().filter(|line| line.voice == voice);
            let mut lines: Vec<Vec<Sort>> =
                lines.map(|line| sorts_of(example.piece(), line)).collect();
            // Every voice of this print ends with a double bar, which the encodings do not have.
            lines.last_mut().expect("a line").push(Sort::of(Kind::DoubleBar));
            found.push(Opening { piece, voice, picture: read.remove(0).picture, lines });
        }
    }
    found
}

/// All staves of some scans of the madrigals, chosen by the numbers of piece and voice.
///
/// # Panics
/// If a line has no staff.
pub fn laid_out(opendata: &Path, chosen: &dyn Fn(usize, usize) -> bool) -> Vec<LaidOut> {
    let mut found = Vec::new();
    for Opening { piece, voice, picture, lines } in openings(opendata, chosen) {
        let staves = strips(&picture);
        let sizes = Sizes::of(&picture, &staves);
        let mut lines = lines.into_iter();
        for staff in &staves {
            let sorts = if staff.empty { None } else { lines.next() }.unwrap_or_default();
            found.push(LaidOut { piece, voice, picture: sizes.laid(staff), sorts });
        }
        assert!(lines.next().is_none(), "piece {piece}, voice {voice}: a line has no staff");
    }
    found
}

/// What is printed on a line, sort by sort.
fn sorts_of(piece: &Piece, line: &SourceLine) -> Vec<Sort> {
    let items = &piece.voices[line.voice].items[line.items.clone()];
    let mut clef = line.clef;
    let mut sorts = vec![clef_sort(clef)];
    signature(clef, line.signature, &mut sorts);
    sorts.extend(line.sign.map(|sign| Sort::of(Kind::Sign(sign))));
    let mut bound: Vec<(&Event, bool)> = Vec::new();
    let mut has_begun = false;
    for item in items.iter().filter(|item| item.standing.is_printed()) {
        if !matches!(&item.kind, ItemKind::Event(event) if event.ligature.is_some())
            && !matches!(item.kind, ItemKind::Oblique | ItemKind::Open(_))
        {
            set(&mut bound, clef, &mut sorts);
        }
        match &item.kind {
            ItemKind::Event(event) if event.ligature.is_some() => bound.push((event, false)),
            ItemKind::Event(event) => event_sorts(event, false, clef, &mut sorts),
            ItemKind::Oblique => bound.last_mut().expect("a note before it").1 = true,
            ItemKind::Clef(next) => {
                clef = *next;
                if has_begun {
                    sorts.push(clef_sort(clef));
                }
            }
            ItemKind::Signature(next) if has_begun => signature(clef, *next, &mut sorts),
            ItemKind::Sign(sign) => sorts.push(Sort::of(Kind::Sign(*sign))),
            ItemKind::Direct(tone) => sorts.push(Sort::at(Kind::Direct, clef.place_of(*tone))),
            ItemKind::BarLine => sorts.push(Sort::of(Kind::BarLine)),
            ItemKind::SectionEnd => sorts.push(Sort::of(Kind::DoubleBar)),
            ItemKind::Repeat => sorts.push(Sort::of(Kind::Repeat)),
            _ => {}
        }
        has_begun |= Item::event(item).is_some();
    }
    set(&mut bound, clef, &mut sorts);
    sorts
}

fn clef_sort(clef: Clef) -> Sort {
    Sort::at(Kind::Clef(clef.shape), 2 * i32::from(clef.line))
}

/// The signs of a signature where prints have them: each on the staff, the lower of two places.
fn signature(clef: Clef, signature: Signature, sorts: &mut Vec<Sort>) {
    for (step, alteration) in signature.signs() {
        let Some(accidental) = rudiments::Accidental::of_alteration(alteration) else { continue };
        let (low, high) = clef.on_staff(step);
        let place = high.map_or(low, |high| if clef.place_of(high) <= 10 { high } else { low });
        sorts.push(Sort::at(Kind::Accidental(accidental), clef.place_of(place)));
    }
}

/// The notes of a ligature; where they can be none, one by one.
fn set(bound: &mut Vec<(&Event, bool)>, clef: Clef, sorts: &mut Vec<Sort>) {
    let notes = bound.iter().filter_map(|(event, oblique)| {
        let tone = event.notes().first()?.tone;
        Some(LigatureNote { value: event.value, place: clef.place_of(tone), oblique: *oblique })
    });
    let notes: Vec<LigatureNote> = notes.collect();
    let is_one = notes.len() > 1 && ligature(&notes).is_ok();
    for (event, oblique) in bound.drain(..) {
        event_sorts(event, is_one, clef, sorts);
        if is_one && oblique {
            sorts.push(Sort::of(Kind::Oblique));
        }
    }
}

fn event_sorts(event: &Event, bound: bool, clef: Clef, sorts: &mut Vec<Sort>) {
    match &event.sound {
        Sound::Rest { spaces } => {
            let spaces = if event.value == Value::Longa { spaces.unwrap_or(2) } else { 0 };
            sorts.push(Sort::of(Kind::Rest { value: event.value, spaces }));
        }
        Sound::Notes(notes) => {
            for note in notes {
                let place = clef.place_of(note.tone);
                let accidental = note.printed.map(Kind::Accidental);
                sorts.extend(accidental.map(|kind| Sort::at(kind, place)));
                // A black minim looks like a semiminim, a black semiminim like a fusa.
                let kind = if bound {
                    Kind::Bound(event.value)
                } else if event.colored && event.value == Value::Minim {
                    Kind::Note { value: Value::Semiminim, black: false }
                } else {
                    Kind::Note {
                        value: event.value,
                        black: event.colored && event.value < Value::Minim,
                    }
                };
                sorts.push(Sort::at(kind, place));
            }
        }
    }
    if event.dot.is_some() {
        sorts.push(Sort::of(Kind::Dot));
    }
    for sign in event.signs.iter() {
        match sign {
            NoteSign::Corona => sorts.push(Sort::of(Kind::Corona)),
            NoteSign::Signum => sorts.push(Sort::of(Kind::Signum)),
            NoteSign::Doubt => {}
        }
    }
}
