//! The lines of the source, voice by voice: what each has, how much it has, and how many minims have gone
//! by at its end.

use std::ops::Range;

use notation::{Item, ItemKind, Note, Piece, Standing, Voice};
use rudiments::{Clef, Sign, Signature, Time, Tone};

use crate::reckon::{ASSUMED_CLEF, Reckoned};

/// A line of the source, as one voice has it.
#[derive(Clone, PartialEq, Debug)]
pub struct SourceLine {
    /// The voice, as a place in [`Piece::voices`].
    pub voice: usize,
    /// Its number in the voice, from 1.
    pub number: u32,
    /// What stands on it, among the items of the voice; the `/` or `//` that ends it is not counted in.
    pub items: Range<usize>,
    /// The clef with which it begins.
    pub clef: Clef,
    /// The signature with which it begins.
    pub signature: Signature,
    /// The sign with which it begins: only the first line of a voice repeats none.
    pub sign: Option<Sign>,
    /// When each of its items begins, in minims from the beginning of the voice, before anything is
    /// held or trimmed to meet others; and when it ends, where it is read.
    pub times: Vec<(Time, Time)>,
    /// How many notes are printed.
    pub notes: u32,
    /// How many rests.
    pub rests: u32,
    /// How many minims it lasts, as it is read.
    pub minims: Time,
    /// How many have gone by at its end.
    pub total: Time,
    /// The direct at its end.
    pub direct: Option<Tone>,
    /// The first note printed after it.
    pub next: Option<Note>,
    /// Whether a `/` or `//` ends it; the last line of a voice may lack it.
    pub is_ended: bool,
    /// Whether the page ends with it.
    pub ends_page: bool,
}

/// The lines of all voices that the source writes out, voice by voice. Linear in the length of the piece.
///
/// ```
/// use score::{reckon, source_lines};
///
/// let piece = notation::parse("voice Cantus clef C1\n  sb A4 B ~C /\n  mn C5 B lg A //\n").piece;
/// let lines = source_lines(&piece, &reckon(&piece));
/// let totals = lines.iter().map(|line| (line.number, line.notes, line.total.to_string()));
/// assert_eq!(totals.collect::<Vec<_>>(), [(1, 2, "4".into()), (2, 3, "14".into())]);
/// assert_eq!(lines[0].direct.unwrap(), lines[0].next.unwrap().tone);
/// ```
pub fn source_lines(piece: &Piece, reckoned: &Reckoned) -> Vec<SourceLine> {
    let mut lines = Vec::new();
    for (place, voice) in piece.voices.iter().enumerate() {
        if voice.canon.is_some() {
            continue;
        }
        let mut lengths = vec![Time::ZERO; voice.items.len()];
        let counted = reckoned.voices.iter().filter(|counted| counted.place == place);
        for event in counted.flat_map(|counted| &counted.sections).flat_map(|one| &one.events) {
            if let Some(id) = event.item {
                lengths[id.item] = event.length;
            }
        }
        of_voice(place, voice, &lengths, &mut lines);
    }
    lines
}

fn of_voice(place: usize, voice: &Voice, lengths: &[Time], lines: &mut Vec<SourceLine>) {
    let first = lines.len();
    let mut clef = voice.clef.unwrap_or(ASSUMED_CLEF);
    let mut signature = voice.signature;
    let mut sign = voice.sign;
    let mut now = Time::ZERO;
    let mut begin = 0;
    let mut at_start = now;
    let mut times = Vec::new();
    // Under which clef and signature the line began.
    let mut opening = (clef, signature);
    let mut has_begun = false;
    for (number, item) in voice.items.iter().enumerate() {
        let printed = item.standing.is_printed();
        let is_end = printed && matches!(item.kind, ItemKind::LineEnd | ItemKind::PageEnd);
        times.push((now, now + lengths[number]));
        now += lengths[number];
        if shows(item) {
            match item.kind {
                ItemKind::Clef(next) => clef = next,
                ItemKind::Signature(next) => signature = next,
                _ => has_begun = true,
            }
            // What changes before anything else of a line is what it begins with.
            if !has_begun {
                opening = (clef, signature);
            }
        }
        let is_last = number + 1 == voice.items.len();
        if !is_end && !is_last {
            continue;
        }
        let end = if is_end { number } else { number + 1 };
        let items = &voice.items[begin..end];
        times.truncate(end - begin);
        if is_end || items.iter().any(shows) {
            let printed = || items.iter().filter(|item| item.standing.is_printed());
            let events = || printed().filter_map(Item::event);
            let rests = events().filter(|event| event.is_rest()).count();
            lines.push(SourceLine {
                voice: place,
                number: (lines.len() - first) as u32 + 1,
                items: begin..end,
                clef: opening.0,
                signature: opening.1,
                sign: sign.take(),
                times: std::mem::take(&mut times),
                notes: (events().count() - rests) as u32,
                rests: rests as u32,
                minims: now - at_start,
                total: now,
                direct: printed().rev().find_map(|item| match item.kind {
                    ItemKind::Direct(tone) => Some(tone),
                    _ => None,
                }),
                next: None,
                is_ended: is_end,
                ends_page: is_end && matches!(item.kind, ItemKind::PageEnd),
            });
        }
        times.clear();
        (begin, at_start, opening, has_begun) = (number + 1, now, (clef, signature), false);
    }
    announce(voice, &mut lines[first..]);
}

/// Gives every line the first note printed after it.
fn announce(voice: &Voice, lines: &mut [SourceLine]) {
    let mut next = None;
    for line in lines.iter_mut().rev() {
        line.next = next;
        let printed =
            voice.items[line.items.clone()].iter().filter(|one| one.standing.is_printed());
        let first =
            printed.filter_map(Item::event).find_map(|event| event.notes().first().copied());
        next = first.or(next);
    }
}

/// Whether a proof sheet shows something for it: what is printed, and what is supplied.
fn shows(item: &Item) -> bool {
    let there = item.standing.is_printed() || item.standing == Standing::Supplied;
    let silent = matches!(
        item.kind,
        ItemKind::More
            | ItemKind::Open(_)
            | ItemKind::Divide
            | ItemKind::Close(_)
            | ItemKind::Oblique
            | ItemKind::LineEnd
            | ItemKind::PageEnd
    );
    there && !silent
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon;

    fn lines(music: &str) -> Vec<SourceLine> {
        let piece = notation::parse(&format!("voice Cantus clef C1 sign C|\n  {music}\n")).piece;
        source_lines(&piece, &reckon(&piece))
    }

    #[test]
    fn a_line_says_how_much_it_has() {
        let lines = lines("sb D4 _ mn E F ~G / br G A // lg D");
        let said: Vec<_> = lines
            .iter()
            .map(|line| (line.notes, line.rests, line.minims.to_string(), line.total.to_string()))
            .collect();
        let wanted = [(3, 1, "6", "6"), (2, 0, "8", "14"), (1, 0, "8", "22")];
        assert_eq!(said, wanted.map(|(n, r, m, t)| (n, r, m.to_owned(), t.to_owned())));
        assert_eq!(
            lines.iter().map(|line| line.ends_page).collect::<Vec<_>>(),
            [false, true, false]
        );
        assert!(!lines[2].is_ended);
        assert_eq!(lines[0].direct.map(|tone| tone.to_string()).as_deref(), Some("G4"));
        assert_eq!(lines[1].next.map(|note| note.tone.to_string()).as_deref(), Some("D5"));
    }

    #[test]
    fn what_is_emended_counts_as_it_is_read_and_is_shown_as_it_is_printed() {
        let lines = lines("sb D4 < mn E | sb E > F [ mn G ] / lg D");
        // Three are printed. The value in force after the emendation is that of its printed side.
        assert_eq!((lines[0].notes, lines[0].minims.to_string()), (3, "6".into()));
    }

    #[test]
    fn a_line_begins_with_what_changes_before_its_notes() {
        let lines = lines("sb D4 / clef C3 signature Bb sb D4 clef C4 E / F");
        let clefs: Vec<String> = lines.iter().map(|line| line.clef.to_string()).collect();
        assert_eq!(clefs, ["C1", "C3", "C4"]);
        assert_eq!(lines[1].signature.to_string(), "Bb");
        assert!(lines[0].sign.is_some() && lines[1].sign.is_none());
    }

    #[test]
    fn what_follows_the_last_line_is_no_line() {
        assert_eq!(lines("sb D4 / lg D //").len(), 2);
    }
}
