//! From the text of a parts file to the sorts that stand on a line of its source: so what was proofed tells
//! the reader what it should have read.

use facsimile::{Kind, Sort};
use notation::{Event, Item, ItemKind, NoteSign, Piece, Sound};
use rudiments::{Accidental, Clef, LigatureNote, Signature, Value, ligature};
use score::SourceLine;

/// What is printed on a line, sort by sort, as far as it is typed: what ends a voice is not.
pub fn sorts(piece: &Piece, line: &SourceLine) -> Vec<Sort> {
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
            ItemKind::Oblique => {
                if let Some(note) = bound.last_mut() {
                    note.1 = true;
                }
            }
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
        let Some(accidental) = Accidental::of_alteration(alteration) else { continue };
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

#[cfg(test)]
mod tests {
    use super::*;
    use notation::parse;

    /// The sorts of the first line, in words.
    fn words(text: &str) -> String {
        let parsed = parse(text);
        let reckoned = score::reckon(&parsed.piece);
        let lines = score::source_lines(&parsed.piece, &reckoned);
        let clef = lines[0].clef;
        let sorts = sorts(&parsed.piece, &lines[0]).into_iter();
        sorts.map(|sort| crate::words::sort(sort, clef)).collect::<Vec<_>>().join(", ")
    }

    #[test]
    fn clef_signature_and_sign_come_first() {
        let found =
            words("voice Altus clef C3 signature Bb sign C|\n  sb _ A3. mn F# ~G /\n  lg A3 //\n");
        let wanted = "clef C3, a flat on B3, sign C|, sb _, sb A3, a dot, a sharp on F3, mn F3, a direct on G3";
        assert_eq!(found, wanted);
    }

    #[test]
    fn black_notes_are_what_they_look_like() {
        let found = words("voice Cantus clef C1 sign C|\n  {sb A4 mn B} sb [lg A4 G] //\n");
        assert!(found.contains("a black sb A4, sm B4"), "{found}");
    }

    #[test]
    fn what_the_source_has_counts_and_not_what_the_editor_makes_of_it() {
        let found = words("voice Cantus clef C1 sign C|\n  sb A4 <B | C5> D5? A4^ //\n");
        assert_eq!(found.matches("sb ").count(), 4, "{found}");
        assert!(found.contains("sb B4") && !found.contains("C5"), "{found}");
        assert!(found.ends_with("a corona"), "{found}");
    }
}
