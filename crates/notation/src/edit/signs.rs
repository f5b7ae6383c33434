//! The editor's signs at many notes at once.

use std::collections::HashMap;

use rudiments::Accidental;

use super::plan::{From, Planned, keep};
use super::spell::spell;
use super::{Edit, apply, proof};
use crate::{ItemId, ItemKind, Parsed, Sound};

/// The edits that write one of the editor's signs at each of these notes, as
/// [`crate::Change::EditorialSign`] does at one; of several notes at once, at the first. Linear in the
/// length of the text for each voice that has one.
///
/// A voice of which the text would then not read as it is meant is left as it is.
///
/// ```
/// use notation::{ItemId, apply, parse, with_editorial_signs};
/// use rudiments::Accidental::{Flat, Sharp};
///
/// let text = "voice Cantus clef C1\n  mn D5 C sb B4\n";
/// let signs = [(1, Sharp), (2, Flat)].map(|(item, sign)| (ItemId { voice: 0, item }, sign));
/// let edits = with_editorial_signs(text, &parse(text), &signs);
/// assert_eq!(apply(text, &edits), "voice Cantus clef C1\n  mn D5 C[#] sb B[b]4\n");
/// ```
pub fn with_editorial_signs(
    text: &str,
    parsed: &Parsed,
    signs: &[(ItemId, Accidental)],
) -> Vec<Edit> {
    let signs: HashMap<ItemId, Accidental> = signs.iter().copied().collect();
    let mut edits = Vec::new();
    for (voice, of) in parsed.piece.voices.iter().enumerate() {
        let mut planned: Vec<Planned> = keep(&of.items, 0..of.items.len()).collect();
        let mut signed = false;
        for (item, planned) in planned.iter_mut().enumerate() {
            let Some(sign) = signs.get(&ItemId { voice, item }) else { continue };
            if let ItemKind::Event(event) = &mut planned.kind
                && let Sound::Notes(notes) = &mut event.sound
                && let Some(first) = notes.first_mut()
                && first.editorial != Some(*sign)
            {
                first.editorial = Some(*sign);
                planned.from = From::Changed(item);
                signed = true;
            }
        }
        if !signed {
            continue;
        }
        let own = spell(text, parsed, voice, &planned);
        let head = &parsed.piece.head;
        if proof::read(&apply(text, &own), parsed, head, voice, &planned).is_some() {
            edits.extend(own);
        }
    }
    edits.sort_by_key(|edit| edit.span);
    edits
}
