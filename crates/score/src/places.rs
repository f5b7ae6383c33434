//! Where the items of a voice are: in the score, and in the source.

use notation::{Item, ItemKind, Piece};
use rudiments::Time;

use crate::timed::Score;

/// Where something is in the score.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Place {
    /// The bar, from 1.
    pub bar: u32,
    /// In minims from the beginning.
    pub at: Time,
    /// As it is printed: `bar 9, 1st and 2nd notes`. Notes and rests are counted in the bar in which
    /// they begin.
    pub words: String,
}

/// Notes and rests of the source by their numbers, each voice counted from 1.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Numbers {
    /// From the first to the last.
    Printed(u32, u32),
    /// Nothing is printed; this is the next that is.
    Before(u32),
    /// Nothing is printed here or after.
    End,
}

/// Where an event that is read begins.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Spot {
    bar: u32,
    at: Time,
    /// Its number among the notes, or the rests, that begin in the bar.
    number: u32,
    rest: bool,
}

/// The places of all items of a voice.
pub(crate) struct Places {
    /// Beside the items: the spot of an event that is read.
    spots: Vec<Option<Spot>>,
    /// The spot of the last event that is read.
    last: Option<Spot>,
    /// Beside the items, and one more: the next event that is read, from this one on.
    next: Vec<Option<usize>>,
    /// Beside the items, and one more: the next number of the source.
    numbers: Vec<Option<u32>>,
    /// Beside the items: the line of the source.
    lines: Vec<u32>,
}

impl Places {
    /// Those of a voice, by its place in the piece.
    pub(crate) fn of(piece: &Piece, voice: usize, score: &Score) -> Places {
        let items = &piece.voices[voice].items;
        let spots = spots(piece, voice, score);
        let mut next = vec![None; items.len() + 1];
        let mut numbers = vec![None; items.len() + 1];
        for place in (0..items.len()).rev() {
            next[place] = if spots[place].is_some() { Some(place) } else { next[place + 1] };
            let event = items[place].event().filter(|_| items[place].standing.is_printed());
            numbers[place] = event.map_or(numbers[place + 1], |event| event.index);
        }
        let mut line = 1;
        let lines = items
            .iter()
            .map(|item| {
                let ends = matches!(item.kind, ItemKind::LineEnd | ItemKind::PageEnd);
                let this = line;
                line += u32::from(ends && item.standing.is_printed());
                this
            })
            .collect();
        let last = spots.iter().rev().find_map(|spot| *spot);
        Places { spots, last, next, numbers, lines }
    }

    /// The line of the source in which an item stands.
    pub(crate) fn line(&self, item: usize) -> u32 {
        self.lines[item]
    }

    /// The numbers of the source from one item to another, the second included.
    pub(crate) fn numbers(&self, items: &[Item], first: usize, last: usize) -> Numbers {
        let printed = (first..=last).filter(|item| items[*item].standing.is_printed());
        let mut printed = printed.filter_map(|item| items[item].event()?.index);
        match printed.next() {
            Some(number) => Numbers::Printed(number, printed.next_back().unwrap_or(number)),
            None => self.numbers[last + 1].map_or(Numbers::End, Numbers::Before),
        }
    }

    /// The place in the score of what is read from one item to another, the second included; if
    /// nothing is, before what follows.
    pub(crate) fn place(&self, first: usize, last: usize) -> Option<Place> {
        let read = self.next[first].filter(|item| *item <= last);
        let Some(read) = read else { return self.before(last + 1) };
        let end = (read..=last).rev().find_map(|item| self.spots[item])?;
        let spot = self.spots[read]?;
        Some(Place { bar: spot.bar, at: spot.at, words: between(spot, end) })
    }

    /// The place in the score before the next event that is read, or after the last.
    pub(crate) fn before(&self, item: usize) -> Option<Place> {
        let (spot, side) = match self.next[item] {
            Some(next) => (self.spots[next]?, "before"),
            None => (self.last?, "after"),
        };
        let words = format!("bar {}, {side} the {}", spot.bar, spot.named());
        Some(Place { bar: spot.bar, at: spot.at, words })
    }
}

/// Beside the items of a voice: where the events begin that are read.
fn spots(piece: &Piece, voice: usize, score: &Score) -> Vec<Option<Spot>> {
    let mut spots = vec![None; piece.voices[voice].items.len()];
    let timed = score.voices.iter().find(|timed| timed.place == voice);
    let mut bars = score.bars.iter().peekable();
    let (mut bar, mut notes, mut rests) = (0, 0, 0);
    for event in timed.iter().flat_map(|timed| &timed.events) {
        while let Some(next) = bars.next_if(|next| next.start <= event.onset) {
            (bar, notes, rests) = (next.number, 0, 0);
        }
        // Silence stands in the score, but not in the parts file; what a canon follows, elsewhere.
        let Some(id) = event.item.filter(|id| id.voice == voice) else { continue };
        let counter = if event.is_rest() { &mut rests } else { &mut notes };
        *counter += 1;
        let spot = Spot { bar, at: event.onset, number: *counter, rest: event.is_rest() };
        spots[id.item] = Some(spot);
    }
    spots
}

impl Spot {
    fn what(self) -> &'static str {
        if self.rest { "rest" } else { "note" }
    }

    /// `3rd note`
    fn named(self) -> String {
        format!("{} {}", ordinal(self.number), self.what())
    }
}

/// `bar 9, 1st and 2nd notes`
fn between(first: Spot, last: Spot) -> String {
    let bar = first.bar;
    if first == last {
        format!("bar {bar}, {}", first.named())
    } else if first.bar != last.bar {
        format!("bar {bar}, {}, to bar {}, {}", first.named(), last.bar, last.named())
    } else if first.rest != last.rest {
        format!("bar {bar}, {} to {}", first.named(), last.named())
    } else {
        let and = if last.number == first.number + 1 { "and" } else { "to" };
        let (one, other) = (ordinal(first.number), ordinal(last.number));
        format!("bar {bar}, {one} {and} {other} {}s", first.what())
    }
}

/// `1st`, `2nd`, `3rd`, `4th`
pub(crate) fn ordinal(number: u32) -> String {
    let ending = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}
