//! Subjects, as they are typed or stand in a piece, and imitations as parts files.

use std::fmt::Write as _;

use counterpoint::invention::{NoSubject, Part, PartNote, Subject, Sung};
use notation::{Diagnostic, Span, apply, clefless, usual_names};
use rudiments::{Mensuration, Signature, Time, Value};
use score::{BarLength, Change, Rule, TimedEvent, TimedVoice};

use crate::{Document, Example, written};

/// Why there is no subject.
///
/// ```
/// let wrong = cartella::subject("mn D4 A").unwrap_err();
/// assert!(matches!(wrong, cartella::SubjectError::Faulty(found) if found.len() == 1));
/// ```
#[derive(Clone, PartialEq, Debug)]
#[non_exhaustive]
pub enum SubjectError {
    /// The line has errors; their spans are in the line as it was typed.
    Faulty(Vec<Diagnostic>),
    /// The piece has no such voice.
    NoVoice,
    /// The voice has no such notes: so many notes and rests are printed.
    NoEvents(u32),
    /// The notes are no subject.
    NoSubject(NoSubject),
}

/// A subject typed as a line of music: `mn D4 E F sb G`. A clef, a signature or a sign may stand first.
/// Without a clef, a bare letter is its place within a third of the note before.
///
/// ```
/// let subject = cartella::subject("mn D4 E F sb G")?;
/// assert_eq!(subject.length().to_string(), "5");
/// # Ok::<(), cartella::SubjectError>(())
/// ```
///
/// # Errors
/// If the line cannot be read, or has no note.
pub fn subject(line: &str) -> Result<Subject, SubjectError> {
    let octaves = clefless(line).map_err(SubjectError::Faulty)?;
    let typed = apply(line, &octaves).replace(['\n', '\r'], " ");
    let (opening, music) = opening(&typed);
    let before = format!("voice Subject{opening}\n");
    let document = Document::parse(format!("{before}{music}\n"));
    let found: Vec<Diagnostic> =
        document.first().diagnostics().iter().filter(|found| found.is_error()).cloned().collect();
    let found = if found.is_empty() { document.diagnostics().to_vec() } else { found };
    let errors: Vec<Diagnostic> = found.into_iter().filter(Diagnostic::is_error).collect();
    if !errors.is_empty() {
        let hoisted = typed.len() - music.len();
        let moved = |byte: u32| {
            let in_typed = (byte as usize + hoisted).saturating_sub(before.len()) as u32;
            before_edits(in_typed, line, &octaves)
        };
        let spans = |found: Diagnostic| Diagnostic {
            span: Span { start: moved(found.span.start), end: moved(found.span.end) },
            related: Vec::new(),
            ..found
        };
        return Err(SubjectError::Faulty(errors.into_iter().map(spans).collect()));
    }
    document.first().subject("Subject", 1, u32::MAX).map_err(|error| match error {
        SubjectError::NoVoice | SubjectError::NoEvents(_) => {
            SubjectError::NoSubject(NoSubject::Empty)
        }
        error => error,
    })
}

/// What stands before the music as it belongs on the line of the voice, and the music.
fn opening(typed: &str) -> (String, &str) {
    let (mut opening, mut rest) = (String::new(), typed);
    loop {
        let words = rest.trim_start();
        let Some((keyword, after)) = words.split_once(char::is_whitespace) else { break };
        if !matches!(keyword, "clef" | "signature" | "sign") {
            break;
        }
        let after = after.trim_start();
        let end = after.find(char::is_whitespace).unwrap_or(after.len());
        let _ = write!(opening, " {keyword} {}", &after[..end]);
        rest = &after[end..];
    }
    if !opening.contains(" clef ") {
        opening.push_str(" clef C1");
    }
    (opening, rest)
}

/// Where a byte of the line with octaves stood before they were typed.
fn before_edits(byte: u32, line: &str, edits: &[notation::Edit]) -> u32 {
    let mut grown = 0;
    for edit in edits {
        let longer = edit.text.len() as u32 - (edit.span.end - edit.span.start);
        if edit.span.end + grown >= byte {
            break;
        }
        grown += longer;
    }
    byte.saturating_sub(grown).min(line.len() as u32)
}

impl Example<'_> {
    /// Notes of a voice as a subject, from the first to the last number as printed.
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb A4 mn B A sb G lg A\n");
    /// let subject = document.first().subject("Cantus", 2, 4)?;
    /// assert_eq!(subject.notes()[0].pitch.to_string(), "B4");
    /// # Ok::<(), cartella::SubjectError>(())
    /// ```
    ///
    /// # Errors
    /// If there is no such voice, if it has no note there, or if there are too many.
    pub fn subject(self, voice: &str, first: u32, last: u32) -> Result<Subject, SubjectError> {
        let aligned = self.score(BarLength::Breve);
        let voices = &aligned.score.voices;
        let voice = voices.iter().find(|one| one.name == voice).ok_or(SubjectError::NoVoice)?;
        let printed = voice.events.iter().filter_map(|event| event.index).max().unwrap_or(0);
        if first > printed || (last > printed && last < u32::MAX) {
            return Err(SubjectError::NoEvents(printed));
        }
        let within =
            |event: &&TimedEvent| event.index.is_some_and(|index| (first..=last).contains(&index));
        let events: Vec<&TimedEvent> = voice.events.iter().filter(within).collect();
        let sung = events.iter().filter_map(|event| {
            let note = event.notes.first()?;
            let number = event.index.unwrap_or(first) - first + 1;
            Some(Sung { pitch: note.pitch, at: event.onset, length: plain(event), number })
        });
        let sung: Vec<Sung> = sung.collect();
        let begin = sung.first().map_or(Time::ZERO, |note| note.at);
        let mensuration = events.first().map_or(Mensuration::IMPERFECT, |event| event.mensuration);
        let signature = signature_at(voice, begin);
        Subject::new(sung, signature, mensuration, begin).map_err(SubjectError::NoSubject)
    }
}

/// How long a note lasts by its value: a final is not held.
pub(crate) fn plain(event: &TimedEvent) -> Time {
    if event.rule != Rule::Held {
        return event.length;
    }
    let value = event.mensuration.full(event.value);
    let value = if event.dotted { value + event.value.plain().half() } else { value };
    value * event.proportion
}

fn signature_at(voice: &TimedVoice, at: Time) -> Signature {
    let changes = voice.changes.iter().take_while(|(time, _)| *time <= at);
    let signatures = changes.filter_map(|(_, change)| match change {
        Change::Signature(signature) => Some(*signature),
        _ => None,
    });
    signatures.last().unwrap_or(voice.signature)
}

/// Voices of an imitation as a parts file in canonical form, the highest first, under the sign C|. A
/// subject that begins within a breve has rests before it, so that all stands where it did in its tactus.
///
/// ```
/// use cartella::invention::{Ending, Entry, write_out};
/// use cartella::{imitation_parts, subject};
///
/// let rising = subject("mn D4 E F G")?;
/// let parts = write_out(&rising, &[Entry::parse("5 above after 2").unwrap()], &[], Ending::Open);
/// let text = imitation_parts("A rising subject", &rising, &parts.unwrap());
/// assert!(text.contains("voice Tenor"), "{text}");
/// # Ok::<(), cartella::SubjectError>(())
/// ```
pub fn imitation_parts(title: &str, subject: &Subject, parts: &[Part]) -> String {
    let mut text = format!("title {}\n", written::in_line(title));
    text += &voices(&[parts], subject);
    written::tidied(text)
}

/// An example of a file of several.
///
/// ```
/// use cartella::invention::{Ending, Entry, write_out};
/// use cartella::{ImitationExample, imitation_examples, subject};
///
/// let rising = subject("mn D4 E F G")?;
/// let parts = write_out(&rising, &[Entry::parse("5 above after 2").unwrap()], &[], Ending::Open);
/// let sections = vec![parts.unwrap()];
/// let example = ImitationExample { title: "1. Rising".to_owned(), notes: vec![], subject: rising, sections };
/// assert!(imitation_examples(&[example]).starts_with("example 1\ntitle   1. Rising\n"));
/// # Ok::<(), cartella::SubjectError>(())
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct ImitationExample {
    /// What stands over it.
    pub title: String,
    /// The editor's notes.
    pub notes: Vec<String>,
    /// The subject; its signature is that of the example.
    pub subject: Subject,
    /// The music, a section after another, in as many voices each; the highest voice of each section
    /// comes first.
    pub sections: Vec<Vec<Part>>,
}

/// Examples, numbered from 1, as a parts file in canonical form. See [`ImitationExample`].
pub fn imitation_examples(examples: &[ImitationExample]) -> String {
    let mut text = String::new();
    for (number, example) in (1..).zip(examples) {
        let _ = writeln!(text, "example {number}\ntitle {}", written::in_line(&example.title));
        for note in &example.notes {
            let _ = writeln!(text, "note {}", written::in_line(note));
        }
        let sections: Vec<&[Part]> = example.sections.iter().map(Vec::as_slice).collect();
        text += &voices(&sections, &example.subject);
        text.push('\n');
    }
    written::tidied(text)
}

/// What is silent before a subject, within a breve. Subjects in threes are written without it, since the
/// breves of what is written are imperfect.
fn upbeat(subject: &Subject) -> Time {
    if subject.mensuration() == Mensuration::IMPERFECT {
        subject.upbeat().within(Value::Breve.plain())
    } else {
        Time::ZERO
    }
}

/// The rest of the head, and the voices.
fn voices(sections: &[&[Part]], subject: &Subject) -> String {
    let upbeat = upbeat(subject);
    let signature = subject.signature();
    let order = |parts: &&[Part]| -> Vec<Part> {
        let mut order: Vec<&Part> = parts.iter().collect();
        order.sort_by_key(|part| std::cmp::Reverse(written::height(&part.notes)));
        order.into_iter().map(|part| later(part, upbeat)).collect()
    };
    let sections: Vec<Vec<Part>> = sections.iter().map(order).collect();
    let count = sections.iter().map(Vec::len).min().unwrap_or(0);
    let names = usual_names(count).unwrap_or_default();
    let (mut head, mut voices) = (written::signs(signature), String::new());
    for (place, name) in names.iter().enumerate() {
        let parts: Vec<&Part> = sections.iter().map(|section| &section[place]).collect();
        let notes: Vec<(&[PartNote], Time)> =
            parts.iter().map(|part| (part.notes.as_slice(), Time::ZERO)).collect();
        let (voice, [first, last]) = written::voice(name, &notes, signature);
        if let Some(part) = parts.first()
            && part.entry.is_none()
        {
            let _ = writeln!(head, "subject {name} {first}-{last}");
        }
        voices += &voice;
    }
    head + &voices
}

fn later(part: &Part, upbeat: Time) -> Part {
    let notes = part.notes.iter().map(|note| PartNote { at: note.at + upbeat, ..*note });
    Part { entry: part.entry, notes: notes.collect() }
}

#[cfg(test)]
mod tests {
    use counterpoint::invention::{Ending, Entry, write_out};

    use super::*;

    /// Notes that begin with the second semibreve of a breve begin there in what is written.
    #[test]
    fn an_upbeat_is_written_as_rests() {
        let document = Document::parse("voice Tenor clef C4\n  sb A3 D4 mn E F sb G lg A\n");
        let subject = document.first().subject("Tenor", 2, 5).unwrap();
        let entry = Entry::parse("4 below after 2").unwrap();
        let parts = write_out(&subject, &[entry], &[], Ending::Open).unwrap();
        let written = imitation_parts("An upbeat", &subject, &parts);
        assert!(written.contains("sb _ D4 mn E F sb G"), "{written}");
        let named = written.lines().find(|line| line.starts_with("subject"));
        assert!(named.is_some_and(|line| line.ends_with(" 2-5")), "{written}");
    }
}
