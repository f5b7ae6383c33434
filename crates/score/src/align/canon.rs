//! Voices that the source does not write out.

use notation::{Canon, Code, Diagnostic, NoteSign, Piece};
use rudiments::Time;

use super::{silence, timed_voice};
use crate::reckon::{ReckonedVoice, Sounding};
use crate::timed::{TimedEvent, TimedVoice};

/// Puts the canon voices of a piece among the written ones, at their places.
///
/// A follower reads the notes and signs of the other voice at its interval, under its own
/// signature, from so many minims later up to the common end.
pub(super) fn follow(
    piece: &Piece,
    written: &[ReckonedVoice],
    timed: &mut Vec<TimedVoice>,
    length: Time,
    diagnostics: &mut Vec<Diagnostic>,
) {
    let mut places: Vec<usize> = written.iter().map(|voice| voice.place).collect();
    for (place, voice) in piece.voices.iter().enumerate() {
        let Some(canon) = voice.canon else { continue };
        let Some(dux) = places.iter().position(|written| *written == canon.dux) else { continue };
        let mut comes = timed_voice(piece, place);
        comes.clef = voice.clef.unwrap_or(timed[dux].clef);
        comes.events = events(&timed[dux].events, canon, &comes, length);
        diagnostics.extend(cut_short(piece, place, canon, &timed[dux], length));
        let at = places.partition_point(|before| *before < place);
        places.insert(at, place);
        timed.insert(at, comes);
    }
}

fn events(dux: &[TimedEvent], canon: Canon, comes: &TimedVoice, length: Time) -> Vec<TimedEvent> {
    let mut sounding = Sounding::new(comes.signature);
    let begin = canon.after.min(length);
    let first = (!begin.is_zero()).then(|| silence(None, Time::ZERO, begin));
    let followed = dux.iter().map_while(|event| {
        let onset = event.onset + canon.after;
        let mut event = event.clone();
        event.length = (onset + event.length).min(length) - onset;
        event.onset = onset;
        let notes = std::mem::take(&mut event.notes);
        event.notes = sounding
            .event(notes.iter().map(|n| (n.pitch.tone.up(canon.steps), n.printed, n.editorial)));
        (onset < length).then_some(event)
    });
    first.into_iter().chain(followed).collect()
}

/// That a follower does not reach all notes of the voice that it follows, unless a signum or a corona
/// shows where it ends.
fn cut_short(
    piece: &Piece,
    place: usize,
    canon: Canon,
    dux: &TimedVoice,
    length: Time,
) -> Option<Diagnostic> {
    let is_reached = |event: &TimedEvent| event.onset + canon.after < length;
    let notes: Vec<&TimedEvent> = dux.events.iter().filter(|event| !event.is_rest()).collect();
    let (reached, cut) = notes.split_at(notes.partition_point(|note| is_reached(note)));
    let (last, first_cut) = (reached.last()?, cut.first()?);
    if last.signs.has(NoteSign::Signum) || last.signs.has(NoteSign::Corona) {
        return None;
    }
    let (voice, name) = (&piece.voices[place], &dux.name);
    let notes = if cut.len() == 1 { "note" } else { "notes" };
    let message = format!(
        "{} is cut short: the end comes before it has followed the last {} {notes} of {name}",
        voice.name,
        cut.len()
    );
    let number = last.index.map_or(String::new(), |index| format!(", {name} {index}"));
    let found = Diagnostic::new(Code::CutShort, voice.span, message)
        .related(first_cut.span, "it does not reach this note")
        .related(last.span, "it ends with this one");
    Some(found.help(format!(
        "if it is meant to end there, type the signum % at the note with which it ends{number}; if not, \
         look at the end of {name}, and at `after {}`",
        canon.after
    )))
}
