//! A line of music that stands under no clef: what its bare letters mean.

use rudiments::{Step, Tone};

use crate::words::{Body, PlaceWord, event};
use crate::{Code, Diagnostic, Edit, Span, TokenKind, Word, tokens};

/// The words whose next word is an argument, no note.
const KEYWORDS: [&str; 6] = ["clef", "signature", "sign", "ratio", "perfect", "imperfect"];

/// The edits that type the octave of every bare letter of a line of music that has no clef: a letter is
/// its place within a third of the note before. In a line with a clef there are none, since there a letter
/// is its place on the staff.
///
/// ```
/// use notation::{apply, clefless};
///
/// let typed = |line| clefless(line).map(|edits| apply(line, &edits));
/// assert_eq!(typed("mn D4 E F sb D").unwrap(), "mn D4 E4 F4 sb D4");
/// let found = typed("mn D4 G").unwrap_err();
/// assert_eq!(found[0].message, "G is more than a third from the note before, D4");
/// assert_eq!(found[0].help.as_deref(), Some("type G3 for the lower or G4 for the higher one"));
/// ```
///
/// # Errors
/// The letters whose octave must be typed: those that are not within a third, and a first one.
pub fn clefless(line: &str) -> Result<Vec<Edit>, Vec<Diagnostic>> {
    let tokens = tokens(line);
    let is_clef = |span: Span| span.of(line) == "clef";
    if tokens.iter().any(|token| is_clef(token.span)) {
        return Ok(Vec::new());
    }
    let (mut edits, mut undecided) = (Vec::new(), Vec::new());
    // The note before, and whether its octave is known.
    let mut previous: Option<(Tone, bool)> = None;
    let mut is_argument = false;
    for token in tokens.iter().filter(|token| token.kind == TokenKind::Word) {
        let word = token.span.of(line);
        let skipped = std::mem::replace(&mut is_argument, KEYWORDS.contains(&word));
        let Some((parsed, "")) = event(word).filter(|_| !skipped) else { continue };
        let Body::Heads(heads) = parsed.body else { continue };
        let Some(head) = heads.first() else { continue };
        let PlaceWord::Letter(step, octave) = head.place else { continue };
        if let Some(octave) = octave {
            previous = Some((Tone::new(step, octave), true));
            continue;
        }
        let within = |steps: i32| {
            let mut near = (-steps..=steps).filter_map(|steps| Some(previous?.0.up(steps)));
            near.find(|tone| tone.step == step)
        };
        let near = within(2);
        if near.is_none() {
            undecided.push(asked_for(token.span, step, previous));
        }
        // What is not decided is taken to be the nearer one, so that what follows it is not asked for too.
        let is_known = near.is_some() && previous.is_some_and(|(_, is_known)| is_known);
        previous = Some((near.or(within(3)).unwrap_or(Tone::new(step, 4)), is_known));
        if let (Some(tone), Some(word)) = (near, Word::new(word)) {
            let point = if parsed.completing { "." } else { "" };
            edits.push(Edit::new(token.span, format!("{point}{}", word.at_tone(tone))));
        }
    }
    if undecided.is_empty() { Ok(edits) } else { Err(undecided) }
}

fn asked_for(span: Span, step: Step, previous: Option<(Tone, bool)>) -> Diagnostic {
    let found = |message| Diagnostic::new(Code::OctaveUndecided, span, message);
    match previous {
        Some((previous, true)) => {
            let below = (1..=7).map(|steps| previous.up(-steps)).find(|tone| tone.step == step);
            let low = below.unwrap_or(previous);
            found(format!("{step} is more than a third from the note before, {previous}"))
                .help(format!("type {low} for the lower or {} for the higher one", low.up(7)))
        }
        Some((previous, false)) => {
            let before = previous.step;
            found(format!("{step} is more than a third from the note before, {before}"))
                .help(format!("type its octave too, as in {step}4"))
        }
        None => found(format!("{step} has no octave, and no note before it")).help(format!(
            "type {step}4 for the one from middle C up, {step}3 for the one below it; or a clef before \
             it, as in clef C1"
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::apply;

    fn typed(line: &str) -> String {
        apply(line, &clefless(line).unwrap())
    }

    #[test]
    fn all_that_belongs_to_a_note_stays() {
        assert_eq!(typed("mn D4. .E F#. sm g^ a"), "mn D4. .E4 F#4. sm G4^ A4");
        assert_eq!(typed("signature Bb mn A4 Bb _ C ; a B"), "signature Bb mn A4 Bb4 _ C5 ; a B");
    }

    #[test]
    fn under_a_clef_letters_are_places_on_the_staff() {
        assert_eq!(typed("clef C1 mn G A"), "clef C1 mn G A");
    }

    #[test]
    fn a_first_letter_and_every_leap_are_asked_for() {
        let found = clefless("mn D F sb C G").unwrap_err();
        let said: Vec<&str> = found.iter().map(|found| found.message.as_str()).collect();
        assert_eq!(
            said,
            [
                "D has no octave, and no note before it",
                "C is more than a third from the note before, F",
                "G is more than a third from the note before, C"
            ]
        );
    }
}
