//! Whether the notes of a ligature can be one.

use rudiments::{LigatureNote, NoLigature, Step, Tone, ligature};

use crate::parser::Parser;
use crate::{Code, Diagnostic, Event, Group, ItemKind, Span};

impl Parser<'_> {
    /// At the end of a ligature that was opened there: what stands in it in the source must have a shape.
    pub(super) fn check_ligature(&mut self, voice: usize, opened: Span) {
        let items = &self.piece.voices[voice].items;
        let is_opening = |kind: &ItemKind| matches!(kind, ItemKind::Open(Group::Ligature));
        let Some(first) = items.iter().rposition(|item| is_opening(&item.kind)) else { return };
        let standing = items[first].standing;
        let (mut notes, mut spans): (Vec<LigatureNote>, Vec<Span>) = Default::default();
        let mut wrong = None;
        for item in &items[first..] {
            // Of what is emended within it, what is printed.
            let counts =
                item.standing == standing || (standing.is_printed() && item.standing.is_printed());
            if !counts {
                continue;
            }
            match &item.kind {
                ItemKind::Oblique => {
                    if let Some(before) = notes.last_mut() {
                        before.oblique = true;
                    }
                }
                ItemKind::Event(Event { value, sound, .. }) => {
                    let single = match sound {
                        crate::Sound::Notes(sounding) if sounding.len() == 1 => {
                            Some(sounding[0].tone)
                        }
                        _ => None,
                    };
                    let Some(tone) = single else {
                        wrong = wrong.or(Some(item.span));
                        continue;
                    };
                    let place = tone.steps_above(Tone::new(Step::C, 4));
                    notes.push(LigatureNote { value: *value, place, oblique: false });
                    spans.push(item.span);
                }
                _ => {}
            }
        }
        if let Some(span) = wrong {
            let message = "a ligature has no rest, and no two notes at once";
            self.report(
                Diagnostic::new(Code::NoLigature, span, message)
                    .related(opened, "the ligature begins here")
                    .help("close it before this: type ) after its last note"),
            );
            return;
        }
        let Err(why) = ligature(&notes) else { return };
        let help = match why {
            NoLigature::Single => "leave out ( ), or type the notes that are joined with this one",
            NoLigature::TooShort(_) => {
                "close the ligature before it, or type another value: br, or sb for the first two notes"
            }
            NoLigature::LoneSemibreve(_) => {
                "type br, or make a pair of the first two notes: ( sb D E br F ); or close the ligature \
                 before it"
            }
            NoLigature::Unison(_) => "close the ligature between the two: ( br D E ) ( E F )",
            NoLigature::ObliqueEnd(_) => "leave out the \\ before it, or type br",
            NoLigature::ObliqueBegin(_) => "leave out the \\ after it",
            NoLigature::TwoBodies(_) => {
                "leave out the \\ beside it; a last breve that falls ends an oblique body without one"
            }
        };
        let span = spans.get(why.note()).copied().unwrap_or(opened);
        self.report(
            Diagnostic::new(Code::NoLigature, span, why.to_string())
                .related(opened, "the ligature begins here")
                .help(help),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::{Code, parse};

    /// What is found: the word it stands at, and what is said.
    fn found(music: &str) -> Vec<(String, String)> {
        let text = format!("voice Tenor clef C4\n  {music} lg D3\n");
        let found = parse(&text).diagnostics;
        let told = found.iter().map(|found| {
            assert_eq!(found.code, Code::NoLigature);
            (found.span.of(&text).to_owned(), found.message.clone())
        });
        told.collect()
    }

    #[test]
    fn ligatures_that_can_be_are_accepted() {
        for music in [
            "( sb D3 E )",
            "( br D3 \\ C lg D )",
            "( br D3 C )",
            "( mx D3 lg E br F )",
            "( sb D3 < E | F > )",
            "[ ( sb D3 E ) ]",
            "( sb D3 E { br F } )",
        ] {
            assert_eq!(found(music), [], "{music}");
        }
    }

    #[test]
    fn the_note_is_named_that_has_no_shape() {
        for (music, at, why) in [
            ("( br D3 mn E )", "E", "smaller than a semibreve"),
            ("( br D3 sb E )", "E", "only as a pair"),
            ("( br D3 D )", "D", "same place"),
            ("( br D3 \\ lg C )", "C", "ends with a breve"),
            ("( br D3 )", "D3", "two notes or more"),
            ("( br F3 \\ E \\ D )", "E", "holds two notes"),
            ("( br D3 _ E )", "_", "no rest"),
        ] {
            let found = found(music);
            assert_eq!(found.len(), 1, "{music}");
            assert!(found[0].0 == at && found[0].1.contains(why), "{music}: {found:?}");
        }
    }
}
