//! What is said of letters that have two places on the staff.

use rudiments::Tone;

use crate::{Code, Diagnostic, DoubtfulClef, Piece, Span, Undecided};

/// What speaks for one of the two places of a letter.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Evidence {
    /// The one that the other voices speak for.
    pub by_voices: Option<Tone>,
    /// The one that the line of its own voice speaks for.
    pub by_line: Option<Tone>,
}

impl Evidence {
    /// The one that both speak for.
    pub fn decided(self) -> Option<Tone> {
        self.by_voices.filter(|tone| self.by_line == Some(*tone))
    }

    fn said(self) -> String {
        match (self.by_voices, self.by_line) {
            (Some(one), Some(other)) if one == other => {
                format!("; the other voices and its own line speak for {one}")
            }
            (Some(one), Some(other)) => {
                format!("; the other voices speak for {one}, its own line for {other}")
            }
            (Some(one), None) => format!("; the other voices speak for {one}"),
            (None, Some(one)) => format!("; its own line speaks for {one}"),
            (None, None) => String::new(),
        }
    }
}

/// The diagnostics of all letters with two places, one for each voice; `evidence` stands beside
/// [`Piece::undecided`].
pub fn octaves_asked_for(piece: &Piece, evidence: &[Evidence]) -> Vec<Diagnostic> {
    let mut all: Vec<(&Undecided, Evidence)> = piece
        .undecided
        .iter()
        .enumerate()
        .map(|(place, letter)| (letter, evidence.get(place).copied().unwrap_or_default()))
        .collect();
    all.sort_by_key(|(letter, _)| (letter.voice, letter.span));
    all.chunk_by(|(one, _), (other, _)| one.voice == other.voice)
        .map(|letters| of_voice(piece, letters))
        .collect()
}

fn of_voice(piece: &Piece, letters: &[(&Undecided, Evidence)]) -> Diagnostic {
    let (first, of_first) = letters[0];
    let name = &piece.voices[first.voice].name;
    let new = |message: String| Diagnostic::new(Code::OctaveUndecided, first.span, message);
    if let Some(clef) = piece.doubtful_clefs.iter().find(|clef| clef.voice == first.voice) {
        return clef.diagnostic(Code::OctaveUndecided, name, first.span);
    }
    if letters.len() == 1 {
        let Undecided { low, high, .. } = first;
        return new(format!("{} has two places on this staff", low.step)).help(format!(
            "type {low} for the lower or {high} for the higher one{}",
            of_first.said()
        ));
    }
    let decided = letters.iter().filter(|(_, evidence)| evidence.decided().is_some()).count();
    let types = |which: &str| {
        format!(
            "type the octave of each; `check --fix --octaves` types {which} for which the other voices and \
             the line of {name} speak alike"
        )
    };
    let help = match decided {
        0 => "type the octave of each".to_owned(),
        1 => types("the one"),
        many => types(&format!("the {many}")),
    };
    let found = new(format!("{} letters of {name} have two places on this staff", letters.len()));
    letters.iter().fold(found.help(help), |found, (letter, evidence)| {
        let label = format!("{} or {}{}", letter.low, letter.high, evidence.said());
        found.related(letter.span, label)
    })
}

impl DoubtfulClef {
    /// That the clef looks wrong.
    pub(crate) fn diagnostic(self, code: Code, name: &str, span: Span) -> Diagnostic {
        let DoubtfulClef { typed, fitting, troubles: [now, then], .. } = self;
        let message = format!(
            "the clef {typed} of {name} looks wrong: under it {now} letters have two places on the staff, \
             or make leaps of a seventh and more"
        );
        let then = match then {
            0 => "none".to_owned(),
            then => format!("only {then}"),
        };
        Diagnostic::new(code, span, message).help(format!(
            "look at the clef in the source: under clef {fitting}, for example, there would be {then}; if {typed} is \
             right, type the octaves"
        ))
    }
}
