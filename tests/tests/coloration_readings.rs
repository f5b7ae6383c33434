//! Black notes planted in real music, to be read as they are meant: in each place one of the readings
//! that handbooks give lets the voices go together as before. The readings: Morley, *Introduction to
//! Practicall Musicke* (1597), first part, and Praetorius, *Syntagma musicum* III (1619), from memory;
//! three in the time of one white minim is common practice of Italian prints of the 1580s. Music: the
//! SEILS dataset and the duos of the open data.

use std::fmt::Write as _;

use notation::{Dot, Event, Group, Item, ItemKind, Piece, Sound, Spelling, Standing, parse, print};
use rudiments::{Time, Value};
use score::{BarLength, Rule, align, reckon};
use suite::{CLEAN_MADRIGALS, duos, madrigal_parts, opendata, read_score};

/// What is planted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Planted {
    /// A dotted minim and its semiminim are blackened, and keep their values.
    DottedFigure,
    /// A dotted minim alone is blackened, and keeps its value.
    DottedMinim,
    /// A semibreve becomes three black minims.
    Thirds,
    /// A dotted minim and its semiminim become a black semibreve and minim.
    MinorColor,
    /// A minim becomes three black minims.
    ThreeForOne,
    /// Four minims become four black ones, and keep their values.
    Plain,
}

const ALL: [Planted; 6] = [
    Planted::DottedFigure,
    Planted::DottedMinim,
    Planted::Thirds,
    Planted::MinorColor,
    Planted::ThreeForOne,
    Planted::Plain,
];

/// Pieces of four kinds of length: the clean madrigals and the duos.
fn pieces() -> Vec<(String, Piece)> {
    let Some(opendata) = opendata() else { return Vec::new() };
    let madrigals = CLEAN_MADRIGALS
        .map(|name| (name.to_owned(), parse(&madrigal_parts(&opendata, name)).piece));
    let duos = duos(&opendata).into_iter().map(|(name, xml)| {
        let text = read_score(&name, xml.as_bytes(), None);
        (name, parse(&text).piece)
    });
    madrigals.into_iter().chain(duos).collect()
}

fn event(item: &Item) -> Option<&Event> {
    item.event().filter(|_| item.standing == Standing::Printed)
}

/// The items that are to stand in the place of some, if they can be found at an item.
fn black(planted: Planted, items: &[Item]) -> Option<(usize, Vec<Item>)> {
    let first = event(items.first()?).filter(|event| !event.is_rest() && !event.colored)?;
    let dotted = first.value == Value::Minim && first.dot == Some(Dot::Plain);
    let next = items.get(1).and_then(event).filter(|next| !next.is_rest());
    let companion =
        next.filter(|next| next.value == Value::Semiminim && next.dot.is_none() && !next.colored);
    let plain = |value: Value| first.value == value && first.dot.is_none();
    let of = |value: Value, from: &Event| {
        Item::new(ItemKind::Event(Event::new(value, Sound::Notes(from.notes().to_vec()))))
    };
    let (count, group) = match planted {
        Planted::DottedFigure if dotted && companion.is_some() => (2, items[..2].to_vec()),
        Planted::DottedMinim if dotted && companion.is_some() => (1, items[..1].to_vec()),
        Planted::Thirds if plain(Value::Semibreve) => {
            (1, [0; 3].map(|_| of(Value::Minim, first)).to_vec())
        }
        Planted::MinorColor if dotted => {
            (2, vec![of(Value::Semibreve, first), of(Value::Minim, companion?)])
        }
        Planted::ThreeForOne if plain(Value::Minim) => {
            (1, [0; 3].map(|_| of(Value::Minim, first)).to_vec())
        }
        Planted::Plain => {
            let four = items.get(..4)?;
            let minim = |item: &Item| {
                event(item).is_some_and(|one| {
                    one.value == Value::Minim && one.dot.is_none() && !one.is_rest() && !one.colored
                })
            };
            (4, four.iter().all(minim).then(|| four.to_vec())?)
        }
        _ => return None,
    };
    let open = Item::new(ItemKind::Open(Group::Coloration));
    let close = Item::new(ItemKind::Close(Group::Coloration));
    Some((count, [vec![open], group, vec![close]].concat()))
}

impl Planted {
    /// How long its group lasts, in minims.
    fn length(self) -> Time {
        match self {
            Planted::DottedFigure | Planted::Thirds | Planted::MinorColor => Time::minims(2),
            Planted::DottedMinim => Time::new(3, 2),
            Planted::ThreeForOne => Time::minims(1),
            Planted::Plain => Time::minims(4),
        }
    }
}

/// Where groups are planted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Way {
    /// One in one voice.
    One,
    /// One in each voice, near its beginning.
    OneEach,
    /// At about every 60th item of all voices.
    Apart,
    /// At about every 20th.
    Close,
}

impl Way {
    fn apart(self) -> usize {
        match self {
            Way::One | Way::OneEach => usize::MAX / 2,
            Way::Apart => 60,
            Way::Close => 20,
        }
    }
}

/// A group in a changed piece: what it is, its voice, and its first and last item.
type Found = (Planted, usize, usize, usize);

/// Plants a group at about every so many items of the voices, a kind after the other.
fn plant(piece: &Piece, kinds: &[Planted], way: Way, begin: usize) -> (Piece, Vec<Found>) {
    let mut changed = piece.clone();
    let mut found = Vec::new();
    let apart = way.apart();
    for (voice, printed) in piece.voices.iter().enumerate() {
        if way == Way::One && voice != begin % piece.voices.len() {
            continue;
        }
        let mut items: Vec<Item> = Vec::with_capacity(printed.items.len());
        let mut next = begin + 7 * voice;
        let mut place = 0;
        let mut kind = voice;
        while let Some(item) = printed.items.get(place) {
            let planted = kinds[kind % kinds.len()];
            let group = (place >= next).then(|| black(planted, &printed.items[place..])).flatten();
            if let Some((count, group)) = group {
                let first = items.len();
                items.extend(group);
                found.push((planted, voice, first, items.len() - 1));
                (place, kind, next) = (place + count, kind + 1, place + apart);
            } else {
                items.push(item.clone());
                place += 1;
            }
        }
        changed.voices[voice].items = items;
    }
    (changed, found)
}

/// How many groups last as long as is meant, and how many there are.
fn right(name: &str, piece: &Piece, found: &[Found]) -> Vec<(Planted, bool)> {
    let text = print(piece, Spelling::default());
    let parsed = parse(&text);
    assert!(!parsed.has_errors(), "{name}: {:?}\n{text}", parsed.diagnostics);
    let score = align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve).score;
    let length = |of: usize, first: usize, last: usize| {
        let events = &score.voices.iter().find(|voice| voice.place == of)?.events;
        let inside = events
            .iter()
            .filter(|event| event.item.is_some_and(|id| (first..=last).contains(&id.item)));
        inside.map(|event| (event.rule != Rule::Held).then_some(event.length)).sum::<Option<Time>>()
    };
    let of = |(planted, voice, first, last): &Found| {
        Some((*planted, length(*voice, *first, *last)? == planted.length()))
    };
    found.iter().filter_map(of).collect()
}

/// One group in a voice, or many in all voices; of one kind, or of all kinds mixed.
#[test]
fn black_groups_are_read_as_they_are_meant() {
    let pieces = pieces();
    if pieces.is_empty() {
        return;
    }
    let mut table = String::new();
    let mut row = |kinds: &[Planted], way: Way| {
        let mut counts: Vec<(Planted, usize, usize)> =
            kinds.iter().map(|kind| (*kind, 0, 0)).collect();
        for (number, (name, piece)) in pieces.iter().enumerate() {
            let (changed, found) = plant(piece, kinds, way, 5 + number % 11);
            for (planted, right) in right(name, &changed, &found) {
                for (kind, well, all) in &mut counts {
                    if *kind == planted {
                        (*well, *all) = (*well + usize::from(right), *all + 1);
                    }
                }
            }
        }
        let label = if kinds.len() > 1 { "all kinds" } else { "one kind" };
        for (kind, well, all) in counts {
            let _ = writeln!(table, "{label}, {way:?}, {kind:?}: {well} of {all}");
        }
    };
    for planted in ALL {
        for way in [Way::One, Way::OneEach, Way::Apart] {
            row(&[planted], way);
        }
    }
    row(&ALL, Way::Apart);
    row(&ALL, Way::Close);
    insta::assert_snapshot!(table);
}
