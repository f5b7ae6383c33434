//! From an alignment to what a person wants to be told.

use std::ops::Range;

use notation::{Event, NoteSigns, word};
use rudiments::{Time, Value};

use super::alignment::Column;
use super::element::{Differs, Element, Joint, What};
use super::{Basis, Compared, Difference, DifferenceKind, Locus, Pair};
use crate::timed::Change;

/// The differences of two voices, with the columns that each is about.
pub(super) fn differences(
    pair: &Pair<'_>,
    left: &Compared<'_>,
    right: &Compared<'_>,
) -> Vec<(Range<usize>, Difference)> {
    let teller = Teller { pair, left, right };
    let stretches = stretches(pair);
    stretches
        .into_iter()
        .map(|(kind, columns)| {
            let difference = teller.tell(kind, columns.clone());
            (columns, difference)
        })
        .collect()
}

/// A voice that the other side has not; `left` says which side has it.
pub(super) fn alone(voice: &Compared<'_>, left: bool) -> Option<Difference> {
    let canon =
        voice.basis == Basis::Printed && voice.side.piece.voices[voice.place].canon.is_some();
    if voice.elements.is_empty() && !canon {
        return None;
    }
    let events = voice.elements.iter().filter(|element| element.is_event()).count();
    let text = if canon { "canon".to_owned() } else { format!("{events} notes and rests") };
    let (left_text, right_text) = if left { (text, String::new()) } else { (String::new(), text) };
    let span = voice.elements.first().map(|element| element.span);
    let locus = Locus { index: None, line: None, span };
    let (here, there) = if left { (locus, Locus::default()) } else { (Locus::default(), locus) };
    Some(Difference {
        kind: DifferenceKind::Other,
        voice: voice.name.to_owned(),
        left: here,
        right: there,
        at: Time::ZERO,
        bar: None,
        place: "the whole voice".to_owned(),
        left_text,
        right_text,
        count: events.max(1),
    })
}

/// What differs of what is printed before the first note: clef, signature, sign; and of a canon.
pub(super) fn heading(left: &Compared<'_>, right: &Compared<'_>) -> Option<Difference> {
    if left.basis == Basis::Sounding {
        return None;
    }
    let (here, there) =
        (&left.side.piece.voices[left.place], &right.side.piece.voices[right.place]);
    let mut texts = [Vec::new(), Vec::new()];
    let mut add = |one: String, other: String| {
        if one != other {
            texts[0].push(one);
            texts[1].push(other);
        }
    };
    let canon = |side: &Compared<'_>| {
        let voice = &side.side.piece.voices[side.place];
        voice.canon.map_or("written out".to_owned(), |canon| {
            let dux = side.side.piece.voices.get(canon.dux).map_or("", |dux| dux.name.as_str());
            let way = if canon.steps < 0 { "below" } else { "above" };
            format!("canon {dux} {} {way} after {}", canon.steps.abs() + 1, canon.after)
        })
    };
    add(canon(left), canon(right));
    let clef =
        |clef: Option<rudiments::Clef>| clef.map_or("no clef".to_owned(), |c| format!("clef {c}"));
    if here.canon.is_none()
        || there.canon.is_none()
        || (here.clef.is_some() && there.clef.is_some())
    {
        add(clef(here.clef), clef(there.clef));
    }
    add(format!("signature {}", here.signature), format!("signature {}", there.signature));
    let sign =
        |sign: Option<rudiments::Sign>| sign.map_or("no sign".to_owned(), |s| format!("sign {s}"));
    add(sign(here.sign), sign(there.sign));
    let [here_text, there_text] = texts.map(|texts| texts.join(" "));
    let locus = |span| Locus { index: None, line: Some(1), span: Some(span) };
    (!here_text.is_empty()).then(|| Difference {
        kind: DifferenceKind::Other,
        voice: left.name.to_owned(),
        left: locus(here.span),
        right: locus(there.span),
        at: Time::ZERO,
        bar: Some(1),
        place: "before the first note".to_owned(),
        left_text: here_text,
        right_text: there_text,
        count: 1,
    })
}

/// Columns that differ in the same way, next to each other. Notes that are off by the same interval are
/// one also across what is the same and has no pitch, as where a clef was overlooked.
fn stretches(pair: &Pair<'_>) -> Vec<(DifferenceKind, Range<usize>)> {
    let mut found: Vec<(DifferenceKind, Range<usize>)> = Vec::new();
    // Where the last stretch may go on: after rests and double bars that are the same.
    let mut open_to = 0;
    for (place, column) in pair.columns.iter().enumerate() {
        let Some(kind) = kind(pair, column) else {
            let no_notes =
                matches!(column, Column::Both(here, _) if pair.left[*here].rung().is_none());
            if no_notes && open_to == place {
                open_to = place + 1;
            }
            continue;
        };
        if let Some((last, columns)) = found.last_mut()
            && *last == kind
            && (kind != DifferenceKind::Other
                || (events(pair, columns.end - 1) && events(pair, place)))
        {
            let off = |column: usize| interval(pair, &pair.columns[column]);
            let across = kind == DifferenceKind::Pitch
                && open_to == place
                && off(columns.end - 1).is_some()
                && off(columns.end - 1) == off(place);
            if columns.end == place || across {
                columns.end = place + 1;
                open_to = place + 1;
                continue;
            }
        }
        found.push((kind, place..place + 1));
        open_to = place + 1;
    }
    found
}

fn kind(pair: &Pair<'_>, column: &Column) -> Option<DifferenceKind> {
    match column {
        Column::Left(_) => Some(DifferenceKind::Omission),
        Column::Right(_) => Some(DifferenceKind::Addition),
        Column::Passage(..) => Some(DifferenceKind::Other),
        Column::Both(here, there) => {
            let differs = pair.left[*here].differs(&pair.right[*there])?;
            if differs == Differs::default() {
                None
            } else if differs.value {
                Some(DifferenceKind::Value)
            } else if differs.pitch || differs.rest {
                Some(DifferenceKind::Pitch)
            } else if differs.accidental {
                Some(DifferenceKind::Accidental)
            } else {
                Some(DifferenceKind::Other)
            }
        }
    }
}

/// Whether a column has a note or rest on both sides.
fn events(pair: &Pair<'_>, column: usize) -> bool {
    matches!(pair.columns[column], Column::Both(here, _) if pair.left[here].is_event())
}

/// By how many steps the right note is higher.
fn interval(pair: &Pair<'_>, column: &Column) -> Option<i32> {
    let Column::Both(here, there) = column else { return None };
    Some(pair.right[*there].rung()? - pair.left[*here].rung()?)
}

struct Teller<'a, 's> {
    pair: &'a Pair<'s>,
    left: &'a Compared<'s>,
    right: &'a Compared<'s>,
}

impl Teller<'_, '_> {
    fn tell(&self, kind: DifferenceKind, columns: Range<usize>) -> Difference {
        let (left, right) = self.elements(columns.clone());
        let (here, there) = (&self.pair.left[left.clone()], &self.pair.right[right.clone()]);
        let (left_text, right_text) = match (&self.pair.columns[columns.start], kind) {
            (Column::Passage(..), _) => (passage(here), passage(there)),
            (_, DifferenceKind::Pitch | DifferenceKind::Accidental) => {
                (pitches(here), pitches(there))
            }
            (_, DifferenceKind::Value) if same_pitches(here, there) => {
                (values(here), values(there))
            }
            _ => (typed(here), typed(there)),
        };
        let (at, bar, place) = self.place(&left);
        Difference {
            kind,
            voice: self.left.name.to_owned(),
            left: locus(self.left, &self.pair.left, &left),
            right: locus(self.right, &self.pair.right, &right),
            at,
            bar,
            place,
            left_text,
            right_text,
            count: here.len().max(there.len()),
        }
    }

    /// The elements of both sides in a stretch of columns; where there are none, the place where they
    /// would be.
    fn elements(&self, columns: Range<usize>) -> (Range<usize>, Range<usize>) {
        let (mut left, mut right) = (None, None);
        let widen = |range: &mut Option<Range<usize>>, by: Range<usize>| {
            *range = Some(range.take().map_or(by.clone(), |range| range.start..by.end));
        };
        for column in &self.pair.columns[columns.clone()] {
            match column {
                Column::Both(here, there) => {
                    widen(&mut left, *here..here + 1);
                    widen(&mut right, *there..there + 1);
                }
                Column::Left(here) => widen(&mut left, *here..here + 1),
                Column::Right(there) => widen(&mut right, *there..there + 1),
                Column::Passage(here, there) => {
                    widen(&mut left, here.clone());
                    widen(&mut right, there.clone());
                }
            }
        }
        // A stretch that one side lacks stands on the other between neighbours.
        let next_left = || match (&right, self.pair.columns.get(columns.end)) {
            (_, Some(Column::Both(here, _) | Column::Left(here))) => *here,
            (_, Some(Column::Passage(here, _))) => here.start,
            _ => self.pair.left.len(),
        };
        let next_right = || match self.pair.columns.get(columns.end) {
            Some(Column::Both(_, there) | Column::Right(there)) => *there,
            Some(Column::Passage(_, there)) => there.start,
            _ => self.pair.right.len(),
        };
        let left = left.clone().unwrap_or_else(|| next_left()..next_left());
        let right = right.clone().unwrap_or_else(|| next_right()..next_right());
        (left, right)
    }

    /// When something is on the left, in which bar, and where in it.
    fn place(&self, left: &Range<usize>) -> (Time, Option<u32>, String) {
        let elements = &self.pair.left;
        let score = self.left.side.score;
        let bar_at = |at: Time| score.bar_at(at).map(|bar| bar.number);
        let at_end = || (score.length, bar_at(score.length), "at the end".to_owned());
        let Some(first) = elements.get(left.start) else { return at_end() };
        if let Some(places) = &self.left.places {
            let place = match elements[left.clone()].last() {
                Some(last) => places.place(first.item, last.item),
                None => places.before(first.item),
            };
            return place.map_or_else(at_end, |place| (place.at, Some(place.bar), place.words));
        }
        let event = &score.voices[self.left.place].events[first.item];
        let bar = bar_at(event.onset);
        (event.onset, bar, bar.map_or(String::new(), |bar| format!("bar {bar}")))
    }
}

/// Where the first of some elements is, or the next if there are none.
fn locus(voice: &Compared<'_>, elements: &[Element<'_>], range: &Range<usize>) -> Locus {
    let Some(first) = elements.get(range.start) else { return Locus::default() };
    let line = match &voice.places {
        Some(places) => Some(places.line(first.item)),
        None => {
            let timed = &voice.side.score.voices[voice.place];
            let onset = timed.events[first.item].onset;
            let before = timed.changes.partition_point(|(at, _)| *at <= onset);
            let ends =
                |(_, change): &&(Time, Change)| matches!(change, Change::LineEnd | Change::PageEnd);
            Some(timed.changes[..before].iter().filter(ends).count() as u32 + 1)
        }
    };
    Locus { index: first.index, line, span: Some(first.span) }
}

fn passage(elements: &[Element<'_>]) -> String {
    format!("{} notes and rests with too little in common to be compared", elements.len())
}

fn same_pitches(here: &[Element<'_>], there: &[Element<'_>]) -> bool {
    pitches(here) == pitches(there)
}

/// The pitches as they are typed, one after another.
fn pitches(elements: &[Element<'_>]) -> String {
    let pitch = |element: &Element<'_>| match &element.what {
        What::Event { event, .. } => heads(event),
        What::Mark(kind) => kind.typed(),
        What::Sound { pitches, .. } if pitches.is_empty() => "_".to_owned(),
        What::Sound { pitches, .. } => {
            pitches.iter().map(ToString::to_string).collect::<Vec<String>>().join("+")
        }
    };
    elements.iter().map(pitch).collect::<Vec<String>>().join(" ")
}

/// The notes of an event, without dot and marks.
fn heads(event: &Event) -> String {
    let plain = Event { dot: None, signs: NoteSigns::default(), length: None, ..event.clone() };
    word(&plain, None)
}

/// The values with their dots, one after another.
fn values(elements: &[Element<'_>]) -> String {
    let value = |element: &Element<'_>| match &element.what {
        What::Event { event, .. } => {
            let dot = if event.dot.is_some() { "." } else { "" };
            let length = event.length.map_or(String::new(), |length| format!("={length}"));
            format!("{}{dot}{length}", event.value)
        }
        What::Mark(kind) => kind.typed(),
        What::Sound { length, .. } => length.to_string(),
    };
    elements.iter().map(value).collect::<Vec<String>>().join(" ")
}

/// Everything as it can be typed, each value where it changes; of what sounds, each pitch with its
/// length.
pub(super) fn typed(elements: &[Element<'_>]) -> String {
    let mut words: Vec<String> = Vec::new();
    let mut in_force: Option<Value> = None;
    for element in elements {
        match &element.what {
            What::Event { event, before, after } => {
                if in_force != Some(event.value) {
                    words.push(event.value.to_string());
                    in_force = Some(event.value);
                }
                let open = if *before == Joint::None && *after != Joint::None { "( " } else { "" };
                let close = match (before, after) {
                    (_, Joint::Oblique) => " \\",
                    (Joint::None, Joint::None) | (_, Joint::Ligature) => "",
                    _ => " )",
                };
                let (black, white) = if event.colored { ("{ ", " }") } else { ("", "") };
                words.push(format!("{open}{black}{}{white}{close}", word(event, None)));
            }
            What::Mark(kind) => words.push(kind.typed()),
            What::Sound { length, .. } => {
                words.push(format!("{} {length}", pitches(std::slice::from_ref(element))));
            }
        }
    }
    let sounds = matches!(elements.first().map(|element| &element.what), Some(What::Sound { .. }));
    words.join(if sounds { ", " } else { " " })
}
