//! Changes to the music of a voice, as edits that keep all other bytes.
//!
//! A change goes three steps. The voice is [planned](plan) as it is to be; then that is
//! [typed](spell), where all that is there stays as long as it still means the same: so what a change
//! does to values in force, to completing notes and to bare letters is decided in one place. At last
//! the changed text is read again and must be what was planned ([proof]).

mod bytes;
mod change;
mod facsimiles;
mod numbers;
mod plan;
mod proof;
mod signs;
mod spell;
mod typing;
mod variants;

pub use bytes::{Edit, apply};
pub use change::{Change, Manner, NewEvent};
pub use facsimiles::with_facsimiles;
pub use signs::with_editorial_signs;
pub use variants::{Beside, Variant, variants};

use crate::{ItemId, Parsed, Piece};

/// A change, typed.
#[derive(Clone, PartialEq, Debug)]
pub struct Changed {
    /// The edits of the text.
    pub edits: Vec<Edit>,
    /// What is read of the text with them.
    pub read: Parsed,
    /// The same piece with its dots as they are meant: a note still completes the one before it. Where
    /// values are perfect, what is read may count otherwise; whoever can count compares the two.
    pub meant: Piece,
}

/// The edits of a text that make a change at an event that is read.
///
/// Nothing where the change cannot be made there in that manner, where it changes nothing, or where
/// the text would then not read as it is meant: with that change and no other, and without a new error.
///
/// ```
/// use notation::{Change, ItemId, Manner, NewEvent, apply, change, parse};
/// use rudiments::{Accidental, Step, Tone, Value};
///
/// let text = "voice Cantus clef C1\n  mn D4 E F sb G\n";
/// let parsed = parse(text);
/// let third = ItemId { voice: 0, item: 2 };
/// let changed = |what: Change, manner: Manner| {
///     apply(text, &change(text, &parsed, third, &what, manner).unwrap().edits)
/// };
/// let tone = Change::Tone(Tone::new(Step::A, 4));
/// assert_eq!(changed(tone.clone(), Manner::Retyped), "voice Cantus clef C1\n  mn D4 E A sb G\n");
/// assert_eq!(
///     changed(tone, Manner::Emended),
///     "voice Cantus clef C1\n  mn D4 E < F | A4 > sb G\n"
/// );
/// let rest = Change::Insert(vec![NewEvent::rest(Value::Semibreve)]);
/// assert_eq!(
///     changed(rest, Manner::Supplied),
///     "voice Cantus clef C1\n  mn D4 E [ sb _ ] F sb G\n"
/// );
/// let sign = Change::EditorialSign(Some(Accidental::Sharp));
/// assert_eq!(
///     changed(sign, Manner::Retyped),
///     "voice Cantus clef C1\n  mn D4 E F[#] sb G\n"
/// );
/// ```
pub fn change(
    text: &str,
    parsed: &Parsed,
    at: ItemId,
    change: &Change,
    manner: Manner,
) -> Option<Changed> {
    let ItemId { voice, item } = at;
    let planned = plan::plan(parsed.piece.voices.get(voice)?, item, change, manner)?;
    let (head, mut edits) = numbers::renumbered(text, parsed, voice, &planned)?;
    edits.extend(spell::spell(text, parsed, voice, &planned));
    if edits.is_empty() {
        return None;
    }
    let read = proof::read(&apply(text, &edits), parsed, &head, voice, &planned)?;
    let meant = proof::meant(&read, &parsed.piece, voice, &planned);
    Some(Changed { edits, read, meant })
}

#[cfg(test)]
mod tests;
