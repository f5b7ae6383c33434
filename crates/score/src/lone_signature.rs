//! A voice without the signature that all others have.

use notation::{Code, Diagnostic, Piece, Voice};
use rudiments::Signature;

/// With fewer voices nobody can say which of them lacks it, and which has one too many.
const FEWEST_VOICES: usize = 3;

/// A warning where one voice of three or more has no signature, and all others have the same.
///
/// Until about 1530 upper voices often have a flat less than the lower ones (partial signatures; common
/// practice), so this need not be a slip.
pub(crate) fn lone_signature(piece: &Piece) -> Option<Diagnostic> {
    let written: Vec<&Voice> =
        piece.voices.iter().filter(|voice| voice.canon.is_none() && voice.clef.is_some()).collect();
    let (without, with): (Vec<&Voice>, Vec<&Voice>) =
        written.iter().partition(|voice| voice.signature == Signature::NONE);
    let ([lone], [first, others @ ..]) = (without.as_slice(), with.as_slice()) else { return None };
    let alike = others.iter().all(|other| other.signature == first.signature);
    if written.len() < FEWEST_VOICES || !alike {
        return None;
    }
    let message =
        format!("{} has no signature, and all other voices have `{}`", lone.name, first.signature);
    let help = format!(
        "type `signature {}` on the line of the voice; leave it so if the source has none: until \
         about 1530 an upper voice often has a flat less than the others",
        first.signature
    );
    Some(Diagnostic::new(Code::LoneSignature, lone.span, message).help(help))
}

#[cfg(test)]
mod tests {
    use notation::parse;

    use super::*;

    fn found(signatures: &[&str]) -> Option<String> {
        let voices: String = signatures
            .iter()
            .enumerate()
            .map(|(place, signature)| format!("voice V{place} clef C3 signature {signature}\n"))
            .collect();
        lone_signature(&parse(&voices).piece).map(|found| found.message)
    }

    #[test]
    fn one_voice_of_three_lacks_what_the_others_have() {
        let message = "V1 has no signature, and all other voices have `Bb`";
        assert_eq!(found(&["Bb", "none", "Bb"]).as_deref(), Some(message));
        assert_eq!(found(&["Bb", "Bb", "Bb"]), None);
    }

    #[test]
    fn where_the_others_do_not_agree_nothing_is_said() {
        assert_eq!(found(&["Bb", "none"]), None);
        assert_eq!(found(&["Bb", "none", "none"]), None);
        assert_eq!(found(&["Bb", "none", "Bb,Eb"]), None);
    }
}
