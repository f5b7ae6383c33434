//! What can be read, but looks like a slip: leaps, notes far from the clef, directs.

use std::collections::HashSet;
use std::fmt::Write as _;

use rudiments::{Clef, Step, Tone};

use crate::{Code, Diagnostic, Event, Facsimile, Item, ItemKind, Piece, Span, Voice};

/// The places of the second ledger line below and above the staff.
const LEDGER_LINES: std::ops::RangeInclusive<i32> = -2..=14;

/// Everything doubtful in the piece, voice by voice.
pub(super) fn doubts(piece: &Piece) -> Vec<Diagnostic> {
    let mut doubts = Vec::new();
    for (place, voice) in piece.voices.iter().enumerate() {
        match piece.doubtful_clefs.iter().find(|clef| clef.voice == place) {
            // Its leaps are those of the clef, which is told where octaves are asked for.
            Some(_) if piece.undecided.iter().any(|letter| letter.voice == place) => {}
            Some(clef) => doubts.push(clef.diagnostic(Code::OutsideClef, &voice.name, voice.span)),
            None => leaps(voice, &mut doubts),
        }
        ambitus(voice, &mut doubts);
        directs(voice, &mut doubts);
        kept(voice, &mut doubts);
        if voice.canon.is_none() && events(voice).next().is_none() {
            let message = format!("{} has no music", voice.name);
            doubts.push(
                Diagnostic::new(Code::NoMusic, voice.span, message)
                    .help("type it on the lines after this one, or leave the voice out"),
            );
        }
    }
    untyped_lines(piece, &mut doubts);
    doubts
}

/// Boxes of lines that are not typed yet: one diagnostic for a voice or for all systems, at the
/// first. A voice without any music is reported as such.
fn untyped_lines(piece: &Piece, doubts: &mut Vec<Diagnostic>) {
    let typed: Vec<u32> = piece.voices.iter().map(Voice::source_lines).collect();
    let most = typed.iter().copied().max().unwrap_or_default();
    let mut reported = HashSet::new();
    for facsimile in &piece.head.facsimiles {
        let Facsimile { voice, line, span, .. } = *facsimile;
        let lines = voice.map_or(most, |voice| typed[voice]);
        if lines == 0 || line <= lines || !reported.insert(voice) {
            continue;
        }
        let (whose, what) = match voice {
            Some(voice) => (piece.voices[voice].name.as_str(), "line"),
            None => ("the piece", "system"),
        };
        let several = if lines == 1 { "" } else { "s" };
        let message = format!("{whose} has {lines} {what}{several} so far, and no {what} {line}");
        doubts.push(
            Diagnostic::new(Code::LineNotTyped, span, message)
                .help("type its music and the `/` that ends each line; or mend the number"),
        );
    }
}

/// The events of a voice with their items.
fn events(voice: &Voice) -> impl Iterator<Item = (&Item, &Event)> {
    voice.items.iter().filter_map(|item| match &item.kind {
        ItemKind::Event(event) => Some((item, event)),
        _ => None,
    })
}

/// Leaps of a seventh, and of more than an octave, in what is read. A rest between two notes
/// forgives the seventh.
fn leaps(voice: &Voice, doubts: &mut Vec<Diagnostic>) {
    let mut before: Option<(Tone, Span)> = None;
    let mut rested = false;
    for (item, event) in events(voice).filter(|(item, _)| item.standing.is_read()) {
        let Some(first) = event.notes().first() else {
            rested = true;
            continue;
        };
        if let Some((previous, span)) = before {
            let steps = first.tone.steps_above(previous).abs();
            let what = match steps {
                6 if !rested => "a seventh",
                8.. => "more than an octave",
                _ => "",
            };
            if !what.is_empty() {
                let message =
                    format!("{} leaps {what}, from {previous} to {}", voice.name, first.tone);
                let mut help =
                    "look whether the octave, the letter and the clef are right".to_owned();
                // `C3` and `C2` are typed alike as notes and as signs.
                if !voice.positions
                    && first.tone.step == Step::C
                    && [2, 3].contains(&first.tone.octave)
                {
                    let _ = write!(help, "; for the sign, type `sign {}`", first.tone);
                }
                doubts.push(
                    Diagnostic::new(Code::Leap, item.span, message)
                        .related(span, "from here")
                        .help(help),
                );
            }
        }
        before = Some((first.tone, item.span));
        rested = false;
    }
}

/// Notes beyond two ledger lines: one diagnostic for the voice, at the first of them.
fn ambitus(voice: &Voice, doubts: &mut Vec<Diagnostic>) {
    let mut clef: Option<Clef> = voice.clef;
    let mut first: Option<(Span, Tone, Clef)> = None;
    let mut count = 0;
    for item in &voice.items {
        match &item.kind {
            ItemKind::Clef(changed) => clef = Some(*changed),
            ItemKind::Event(event) if item.standing.is_read() => {
                for note in event.notes() {
                    if let Some(clef) = clef
                        && !LEDGER_LINES.contains(&clef.place_of(note.tone))
                    {
                        first = first.or(Some((item.span, note.tone, clef)));
                        count += 1;
                    }
                }
            }
            _ => {}
        }
    }
    if let Some((span, tone, clef)) = first {
        let others = match count - 1 {
            0 => String::new(),
            1 => ", and one more note".to_owned(),
            more => format!(", and {more} more notes"),
        };
        let message = format!(
            "{} goes to {tone}{others}: more than two ledger lines from the staff of clef {clef}",
            voice.name
        );
        doubts.push(
            Diagnostic::new(Code::OutsideClef, span, message)
                .help("look whether the clef and the octaves are right"),
        );
    }
}

/// Directs against the next printed note.
fn directs(voice: &Voice, doubts: &mut Vec<Diagnostic>) {
    let mut direct: Option<(Tone, Span)> = None;
    for item in voice.items.iter().filter(|item| item.standing.is_printed()) {
        match &item.kind {
            ItemKind::Direct(tone) => direct = Some((*tone, item.span)),
            ItemKind::Event(event) => {
                let Some(note) = event.notes().first() else { continue };
                if let Some((tone, span)) = direct.take()
                    && event.notes().iter().all(|note| note.tone != tone)
                {
                    let message = format!("the direct announces {tone}, but {} follows", note.tone);
                    doubts.push(
                        Diagnostic::new(Code::DirectDiffers, span, message)
                            .related(item.span, "the next note")
                            .help(
                                "look at the end of this source line and the beginning of the next",
                            ),
                    );
                }
            }
            _ => {}
        }
    }
}

/// Variants that are yet to be decided.
fn kept(voice: &Voice, doubts: &mut Vec<Diagnostic>) {
    for item in &voice.items {
        if item.kind == ItemKind::Open(crate::Group::Variant) {
            let message = "two readings; the first one counts";
            doubts.push(
                Diagnostic::new(Code::VariantUndecided, item.span, message)
                    .help("look at the source, then keep one of them, or type < printed | read >"),
            );
        }
    }
}
