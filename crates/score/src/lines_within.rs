//! What an excerpt of a score has of the lines of its source.

use std::ops::Range;

use notation::{Group, Item, ItemKind, Piece, Standing, Voice};
use rudiments::Time;

use crate::source_lines::SourceLine;
use crate::timed::{Score, TimedVoice};

/// What an excerpt has of the lines of its source: its voices, and of each line what sounds in its bars,
/// with the clef and the signature in force there; the first line of each voice has the sign in force.
/// Lines keep their numbers, and count their minims as before. A note over the cut is whole, since it is
/// printed once; so are ligatures, and what the editor reads otherwise. Of a voice that is left blank,
/// what stands before its first missing note is there, and then empty lines. Linear in the lines.
///
/// ```
/// use score::{BarLength, Excerpt, align, lines_within, reckon, source_lines};
///
/// let piece = notation::parse("voice Cantus clef C1\n  sb A4 B A B /\n  sb C5 B lg A //\n").piece;
/// let lines = source_lines(&piece, &reckon(&piece));
/// let score = align(&piece, reckon(&piece), BarLength::Breve).score;
/// let second = Excerpt::bars(2..=3).of(&score).unwrap();
/// let lines = lines_within(&lines, &piece, &second);
/// let notes: Vec<(u32, u32)> = lines.iter().map(|line| (line.number, line.notes)).collect();
/// assert_eq!(notes, [(1, 2), (2, 2)]);
/// ```
pub fn lines_within(lines: &[SourceLine], piece: &Piece, excerpt: &Score) -> Vec<SourceLine> {
    let mut within = Vec::new();
    for line in lines {
        let Some(voice) = piece.voices.get(line.voice) else { continue };
        let Some(timed) = excerpt.voices.iter().find(|one| one.place == line.voice) else {
            continue;
        };
        let Some(kept) = items(timed, voice) else { continue };
        let from = line.items.start.max(kept.start);
        let to = line.items.end.min(kept.end);
        if from < to {
            let is_first = within.last().is_none_or(|last: &SourceLine| last.voice != line.voice);
            let mut cut = cut(line, voice, from..to);
            if kept.start > 0 {
                cut.sign = timed.sign.filter(|_| is_first);
            }
            leave_blank(&mut cut, voice, first_blank(timed));
            within.push(cut);
        }
    }
    within
}

/// The items of a voice that an excerpt has.
fn items(timed: &TimedVoice, voice: &Voice) -> Option<Range<usize>> {
    let own = timed.events.iter().filter_map(|event| event.item);
    let mut own = own.filter(|id| id.voice == timed.place).map(|id| id.item);
    let first = own.next()?;
    let (mut from, mut to) =
        own.fold((first, first + 1), |(from, to), item| (from.min(item), to.max(item + 1)));
    loop {
        let before = (from, to);
        // What is said of a note stands before it; lines and sections end behind it.
        while from > 0 && leads(&voice.items[from - 1]) {
            from -= 1;
        }
        while voice.items.get(to).is_some_and(ends) {
            to += 1;
        }
        for group in whole_groups(voice) {
            if group.start < to && from < group.end {
                (from, to) = (from.min(group.start), to.max(group.end));
            }
        }
        if before == (from, to) {
            let silent = |items: &[Item]| items.iter().all(|item| item.event().is_none());
            let from = if silent(&voice.items[..from]) { 0 } else { from };
            let to = if silent(&voice.items[to..]) { voice.items.len() } else { to };
            return Some(from..to);
        }
    }
}

/// Whether an item belongs to the note that follows it.
fn leads(item: &Item) -> bool {
    matches!(
        item.kind,
        ItemKind::Words(_) | ItemKind::Ratio(_) | ItemKind::Perfection { .. } | ItemKind::Open(_)
    )
}

/// Whether an item belongs to the note before it.
fn ends(item: &Item) -> bool {
    matches!(
        item.kind,
        ItemKind::Close(_)
            | ItemKind::Direct(_)
            | ItemKind::BarLine
            | ItemKind::SectionEnd
            | ItemKind::Repeat
            | ItemKind::LineEnd
            | ItemKind::PageEnd
    )
}

/// Groups that cannot be cut.
fn whole_groups(voice: &Voice) -> impl Iterator<Item = Range<usize>> {
    let mut open = Vec::new();
    voice.items.iter().enumerate().filter_map(move |(place, item)| match item.kind {
        ItemKind::Open(_) => {
            open.push(place);
            None
        }
        ItemKind::Close(group) => {
            let begin = open.pop()?;
            let is_whole = matches!(group, Group::Ligature | Group::Emendation | Group::Variant);
            is_whole.then_some(begin..place + 1)
        }
        _ => None,
    })
}

/// A part of a line.
fn cut(line: &SourceLine, voice: &Voice, items: Range<usize>) -> SourceLine {
    let there = |item: &Item| item.standing.is_printed() || item.standing == Standing::Supplied;
    let (mut clef, mut signature) = (line.clef, line.signature);
    for item in voice.items[line.items.start..items.start].iter().filter(|item| there(item)) {
        match item.kind {
            ItemKind::Clef(next) => clef = next,
            ItemKind::Signature(next) => signature = next,
            _ => {}
        }
    }
    let is_whole = items.end == line.items.end;
    let places = items.start - line.items.start..items.end - line.items.start;
    let mut part = SourceLine {
        clef,
        signature,
        times: line.times[places].to_vec(),
        items,
        direct: line.direct.filter(|_| is_whole),
        is_ended: line.is_ended && is_whole,
        ends_page: line.ends_page && is_whole,
        ..line.clone()
    };
    count(&mut part, voice);
    let begins = part.times.first().map_or(Time::ZERO, |times| times.0);
    part.total = part.times.last().map_or(line.total, |times| times.1);
    part.minims = part.total - begins;
    part
}

/// Counts what is printed.
fn count(line: &mut SourceLine, voice: &Voice) {
    let printed = voice.items[line.items.clone()].iter().filter(|item| item.standing.is_printed());
    let events = printed.filter_map(Item::event);
    let (rests, notes): (Vec<_>, Vec<_>) = events.partition(|event| event.is_rest());
    (line.rests, line.notes) = (rests.len() as u32, notes.len() as u32);
}

/// The first item of a voice that is not to be seen.
fn first_blank(timed: &TimedVoice) -> Option<usize> {
    let mut unseen =
        timed.events.iter().filter(|event| !event.is_rest() && timed.is_blank(event.onset));
    unseen.next().and_then(|event| event.item).map(|id| id.item)
}

/// Takes away from a line what stands from an item on; how long it lasts stays.
fn leave_blank(line: &mut SourceLine, voice: &Voice, first: Option<usize>) {
    let Some(mut first) = first.filter(|first| *first < line.items.end) else { return };
    // Nothing is left open.
    while first > line.items.start && leads(&voice.items[first - 1]) {
        first -= 1;
    }
    line.items.end = first.max(line.items.start);
    line.times.truncate(line.items.len());
    line.direct = None;
    count(line, voice);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{BarLength, Excerpt, align, reckon, source_lines};

    /// The lines of some bars: voice, number, what stands on it, clef, total.
    fn within(text: &str, excerpt: &Excerpt, blank: Option<usize>) -> Vec<String> {
        let piece = notation::parse(text).piece;
        let mut score = align(&piece, reckon(&piece), BarLength::Breve).score;
        if let Some(voice) = blank {
            score.blank(voice, Time::ZERO, score.length);
        }
        let excerpt = excerpt.of(&score).unwrap();
        let lines = source_lines(&piece, &reckon(&piece));
        let told = |line: &SourceLine| {
            let items = &piece.voices[line.voice].items[line.items.clone()];
            let printed = items.iter().filter(|item| item.standing.is_printed());
            let indices: Vec<String> =
                printed.filter_map(|item| Some(item.event()?.index?.to_string())).collect();
            let sign = line.sign.map_or_else(String::new, |sign| format!(" {sign}"));
            let (voice, number, clef, total) = (line.voice, line.number, line.clef, line.total);
            format!("V{voice} {number} {clef}{sign}: {} = {total}", indices.join(" "))
        };
        lines_within(&lines, &piece, &excerpt).iter().map(told).collect()
    }

    const TWO: &str = "sign C|\nvoice A clef C1\n  sb D5 E mn F E sb D / clef C2 br E sb F G / lg A //\n\
                       voice B clef C4\n  br _ sb D4 E clef C3 F G / br A lg D //\n";

    #[test]
    fn bars_and_voices_alone() {
        let bars = |bars| within(TWO, &Excerpt::bars(bars), None);
        assert_eq!(
            bars(2..=3),
            ["V0 1 C1 C|: 3 4 5 = 8", "V0 2 C2: 6 = 12", "V1 1 C4 C|: 2 3 4 5 = 12"]
        );
        // The clef in force, in the midst of a line.
        assert_eq!(bars(3..=3), ["V0 2 C2 C|: 6 = 12", "V1 1 C3 C|: 4 5 = 12"]);
        let lower = Excerpt { bars: None, voices: Some(vec![1]) };
        assert_eq!(within(TWO, &lower, None), ["V1 1 C4 C|: 1 2 3 4 5 = 12", "V1 2 C3: 6 7 = 24"]);
    }

    #[test]
    fn all_bars_are_the_whole() {
        let piece = notation::parse(TWO).piece;
        let lines = source_lines(&piece, &reckon(&piece));
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        assert_eq!(lines_within(&lines, &piece, &score), lines);
    }

    /// A note over the cut, a ligature and an emendation are whole.
    #[test]
    fn what_cannot_be_cut_is_whole() {
        let line = |music: &str| {
            let text = format!("voice A clef C1\n  {music} //\n");
            within(&text, &Excerpt::bars(2..=2), None).join("")
        };
        assert_eq!(line("sb D5 br E F sb G"), "V0 1 C1: 2 3 = 10");
        assert_eq!(line("br D5 ( sb E F ) br G"), "V0 1 C1: 2 3 = 8");
        assert_eq!(line("sb D5 ( sb E F ) sb G br A"), "V0 1 C1: 2 3 4 = 8");
        assert_eq!(line("sb D5 < mn E F sb G | sb E F > br G"), "V0 1 C1: 2 3 4 5 = 10");
    }

    #[test]
    fn a_blank_voice_keeps_the_rests_before_it() {
        assert_eq!(
            within(TWO, &Excerpt { bars: None, voices: Some(vec![1]) }, Some(1)),
            ["V1 1 C4 C|: 1 = 12", "V1 2 C3:  = 24"]
        );
    }
}
