//! What is most worth looking at: the many things that are noticed in a piece, by their causes.
//!
//! One misread value can make a voice end early, leap and clash for pages. What a likely slip
//! explains is said together with it; what is left is said once for each kind.

use std::collections::HashSet;

use notation::{Code, Diagnostic, Piece, Span};

use crate::mend::{Looked, Suggestion, Unexplained};

/// So many causes are named at most.
const MOST: usize = 5;

pub use crate::mend::LIKELY;

/// From this confidence on it is, if something that was noticed speaks for it.
const POSSIBLE: f64 = 0.1;

/// A place that is worth looking at.
#[derive(Clone, PartialEq, Debug)]
pub struct Cause<'a> {
    /// What is the matter there.
    pub what: What<'a>,
    /// All that was noticed and comes from it; the first one, if there is no slip.
    pub noticed: Vec<&'a Diagnostic>,
}

/// What is the matter at a place.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum What<'a> {
    /// A slip, and what would be read.
    Slip(&'a Suggestion),
    /// Faults of one kind that no likely slip explains: the first one, and how many more there are.
    Unexplained(&'a Unexplained, usize),
    /// Things of one kind, this one first.
    Noticed(&'a Diagnostic),
}

impl Cause<'_> {
    /// Where to look.
    pub fn span(&self) -> Span {
        match self.what {
            What::Slip(suggestion) => suggestion.span,
            What::Unexplained(fault, _) => fault.span,
            What::Noticed(diagnostic) => diagnostic.span,
        }
    }
}

/// The few things most worth looking at, the most urgent first: errors that no slip explains, a
/// missing sign, likely slips, possible slips that explain something, faults that no likely slip
/// explains, and what else may come from a slip.
///
/// What says how a piece is to be played or counted is not among them.
pub fn causes<'a>(
    piece: &Piece,
    diagnostics: &'a [Diagnostic],
    looked: &'a Looked,
) -> Vec<Cause<'a>> {
    let mut left: Vec<&Diagnostic> =
        diagnostics.iter().filter(|found| comes_from_slips(found.code)).collect();
    let missing: Vec<Span> = diagnostics
        .iter()
        .filter(|found| found.code == Code::MissingSign)
        .map(|found| found.span)
        .collect();
    // Of each slip its likeliest reading.
    let mut told = HashSet::new();
    let (likely, possible): (Vec<&Suggestion>, Vec<&Suggestion>) = looked
        .suggestions
        .iter()
        .filter(|suggestion| suggestion.slip_confidence >= POSSIBLE && told.insert(suggestion.slip))
        .filter(|slip| !(slip.kind.is_rhythm() && lacks_sign(piece, slip.voice, &missing)))
        .partition(|suggestion| suggestion.slip_confidence >= LIKELY);
    let mut causes = Vec::new();
    for suggestion in likely.into_iter().chain(possible) {
        let noticed: Vec<&Diagnostic> =
            left.extract_if(.., |found| explains(piece, suggestion, found)).collect();
        if suggestion.slip_confidence >= LIKELY || !noticed.is_empty() {
            causes.push(Cause { what: What::Slip(suggestion), noticed });
        }
    }
    let (rows, movements): (Vec<&Unexplained>, Vec<&Unexplained>) =
        looked.unexplained.iter().partition(|fault| fault.findings.len() > 1);
    for faults in [rows, movements] {
        if let [first, more @ ..] = faults.as_slice() {
            causes.push(Cause { what: What::Unexplained(first, more.len()), noticed: Vec::new() });
        }
    }
    let mut kinds: Vec<Cause<'_>> = Vec::new();
    for found in left {
        let same = |cause: &&mut Cause<'_>| matches!(cause.what, What::Noticed(first) if first.code == found.code);
        match kinds.iter_mut().find(same) {
            Some(cause) => cause.noticed.push(found),
            None => kinds.push(Cause { what: What::Noticed(found), noticed: vec![found] }),
        }
    }
    // A sign that is missing displaces whole passages, which then look like slips.
    let (mut all, rest): (Vec<Cause<'_>>, Vec<Cause<'_>>) = kinds.into_iter().partition(|cause| {
        cause.noticed.iter().any(|found| found.is_error() || found.code == Code::MissingSign)
    });
    all.extend(causes);
    all.extend(rest);
    all.truncate(MOST);
    all
}

/// Whether a sign is missing in a voice: its lengths are wrong because of that, and not by a slip.
pub fn lacks_sign(piece: &Piece, voice: usize, missing: &[Span]) -> bool {
    let items = piece.voices.get(voice).map_or(&[][..], |voice| &voice.items);
    !missing.is_empty() && items.iter().any(|item| missing.contains(&item.span))
}

/// Whether something may have been noticed because of a slip, of whoever typed or printed it.
fn comes_from_slips(code: Code) -> bool {
    !matches!(
        code,
        Code::SectionTaken
            | Code::ReadingDivided
            | Code::ReadingTaken
            | Code::BeyondReach
            | Code::HighClefs
    )
}

/// Whether something would not have been noticed without a slip: the length of a voice, after a
/// slip of rhythm in it; a leap to or from a wrong pitch.
fn explains(piece: &Piece, slip: &Suggestion, found: &Diagnostic) -> bool {
    let at_it =
        || found.span == slip.span || found.related.iter().any(|(span, _)| *span == slip.span);
    match found.code {
        Code::NotTogether | Code::NotMeeting | Code::EndsBroken => {
            let items = piece.voices.get(slip.voice).map_or(&[][..], |voice| &voice.items);
            let is_there = |span: Span| items.iter().any(|item| item.span == span);
            slip.kind.is_rhythm() && found.spans().any(is_there)
        }
        Code::Leap | Code::OutsideClef | Code::DirectDiffers => !slip.kind.is_rhythm() && at_it(),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use score::BarLength;

    use super::*;
    use crate::mend::look;

    /// The causes of what is found in a piece: codes, and what a slip would be.
    fn listed(text: &str) -> Vec<String> {
        let parsed = notation::parse(text);
        let checked = score::check(&parsed.piece, BarLength::Breve, 9);
        let mut diagnostics = parsed.diagnostics.clone();
        diagnostics.extend(checked.diagnostics);
        let looked = look(text, &parsed.piece, &checked.score);
        let causes = causes(&parsed.piece, &diagnostics, &looked);
        let codes = |cause: &Cause<'_>| {
            let codes = cause.noticed.iter().map(|found| found.code.number());
            codes.collect::<Vec<_>>().join(" ")
        };
        causes
            .iter()
            .map(|cause| match cause.what {
                What::Slip(slip) => {
                    let index = slip.index.map_or(String::new(), |index| index.to_string());
                    format!("{} {index}: {}", slip.name, codes(cause))
                }
                What::Unexplained(fault, more) => {
                    format!("{}, and {more} more", fault.sentence(&checked.score))
                }
                What::Noticed(_) => codes(cause),
            })
            .collect()
    }

    #[test]
    fn nothing_is_worth_looking_at_in_a_faultless_piece() {
        let text = "sign C|\nvoice Cantus clef C1\n sb A4 B C5 B lg A\n\
                    voice Tenor clef C4\n sb D3 G A G lg D3\n";
        assert_eq!(listed(text), [] as [&str; 0]);
    }

    /// Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 29 (from memory): no two fifths in a row.
    #[test]
    fn fifths_in_a_row_are_worth_looking_at() {
        let text = "sign C|\nvoice Cantus clef C1\n sb A4 B4 C5 B4 lg A4\n\
                    voice Tenor clef C4\n sb D4 E4 F4 G4 lg D4\n";
        let fifths =
            "bar 1, minim 3, Cantus 2 and Tenor 2: two fifths in a row, in the same direction";
        assert_eq!(listed(text), [format!("{fifths}, and 1 more")]);
    }

    #[test]
    fn what_is_of_one_kind_is_said_once() {
        let text = "sign C|\nvoice Cantus clef C1\n sb A4 xx B yy C5 zz B lg A\n";
        assert_eq!(listed(text), ["E001 E001 E001"]);
    }

    #[test]
    fn a_likely_slip_takes_the_length_of_its_voice_with_it() {
        let text = "sign C|\nvoice Cantus clef C1\n sb A4 B C5 mn D C sb B mn A G sb A B C5 D lg C5\n\
                    voice Tenor clef C4\n sb F3 G A mn B A sb G mn F E mn F sb G A B lg A3\n";
        let listed = listed(text);
        assert!(listed[0].starts_with("Tenor") && listed[0].ends_with(": E041"), "{listed:?}");
    }

    /// Without its sign, a passage in threes looks like a slip of a breve.
    #[test]
    fn a_missing_sign_comes_before_slips_of_its_voice() {
        let text = include_str!("../../../fixtures/black-and-triple.parts");
        let parsed = notation::parse(text);
        let first = &parsed.piece.voices[0].items[2];
        let sign = Diagnostic::new(Code::MissingSign, first.span, "a sign is missing");
        assert!(lacks_sign(&parsed.piece, 0, &[sign.span]));
        assert!(!lacks_sign(&parsed.piece, 1, &[sign.span]));
    }
}
