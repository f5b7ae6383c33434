//! Exact lengths as modern notes: what of an event stands in which bar, in which signs.
//!
//! A note is one sign where a single value, plain or dotted, has its length, and where it stands
//! in the bar as careful editions let it stand. With `g` the place on the grid where it begins
//! (a minim, a semiminim, …, measured from the bar line), it may run across lines of the grid of
//! `2g`, not across stronger ones, and it may be syncopated by half its value, not by less. So
//! minim-semibreve-minim in a breve bar and semiminim-minim-semiminim in a semibreve have no
//! ties; a minim that begins on the second semiminim of a minim and runs across the middle of the
//! bar has one. (The modern edition of the madrigals of 1582, with semibreve bars, ties no note
//! inside a bar, 173 syncopated minims included; editions of duos of about 1500 leave
//! semibreves that run across the middle of the breve bar whole.) Where a note is split, it is
//! split at the strongest line inside it.
//!
//! In a bar that all voices count in a proportion, the places are those of the bar as it is
//! written: six minims in the time of four have lines at every second one.
//!
//! Where the semibreve is perfect, lines stand at every third minim, and no note runs across one but
//! those that fill whole perfections.
//!
//! Rests of a bar that stand together are joined; they begin on a multiple of their value, and
//! have no dots. A bar of nothing but rests has one, for the whole bar.

use std::ops::Range;

use notation::NoteSign;
use rudiments::{Proportion, Time, Value};

use super::bars::InPassage;
use super::brackets::Brackets;
use super::tuplets::{self, Count, Ratio};
use super::{
    ArrangedBar, Beams, Edges, NoteValue, Options, Reduction, Segment, SegmentNote, Shape, Stem,
    Tuplet,
};
use crate::{Bar, Change, Rule, Score, TimedEvent, TimedVoice};

/// What of an event, or of rests joined to one, stands in a bar.
#[derive(Clone, Copy)]
struct Piece {
    event: usize,
    onset: Time,
    length: Time,
    is_rest: bool,
    count: Count,
}

/// Writes a voice into the bars. Staves, beams, stems and accidentals are decided later.
pub(super) fn voice(
    score: &Score,
    voice: usize,
    options: &Options,
    proportions: &[Option<InPassage>],
    bars: &mut [ArrangedBar],
) {
    let timed = &score.voices[voice];
    let brackets = Brackets::of(timed);
    let mut cutter = Cutter { voice: timed, next: 0, in_passage: false };
    let mut pieces = Vec::new();
    for ((bar, arranged), passage) in score.bars.iter().zip(bars).zip(proportions) {
        cutter.in_passage = passage.is_some();
        cutter.cut(bar, &mut pieces);
        let length = bar.end - bar.start;
        let written = passage.and_then(|passage| passage.ratio.written(length));
        let mut speller = Speller {
            voice: timed,
            brackets: &brackets,
            options,
            bar,
            grid: match written {
                Some(written) => Grid::of(options.reduction, written),
                None => Grid::of_bar(options.reduction, bar),
            },
            segments: &mut arranged.voices[voice],
        };
        speller.segments.reserve(pieces.len());
        match passage {
            Some(passage) => speller.write_in_passage(&pieces, *passage),
            None => speller.write(&pieces),
        }
    }
}

/// The rests for a part of a bar that no voice writes, each with its onset and its length.
pub(super) fn rests(
    bar: &Bar,
    options: &Options,
    passage: Option<InPassage>,
    from: Time,
    to: Time,
) -> Vec<(Time, Time, Shape)> {
    let ratio = passage.map(|passage| passage.ratio);
    let written = |time: Time| ratio.map_or(Some(time), |ratio| ratio.written(time));
    let sounding = |time: Time| ratio.map_or(time, |ratio| ratio.sounding(time));
    let whole = written(bar.end - bar.start);
    let (Some(offset), Some(length), Some(whole)) =
        (written(from - bar.start), written(to - from), whole)
    else {
        return vec![(from, to - from, Shape::Unwritten)];
    };
    let grid = match ratio {
        Some(_) => Grid::of(options.reduction, whole),
        None => Grid::of_bar(options.reduction, bar),
    };
    let mut onset = from;
    let rests = grid.spell(offset, length, true).map(|(written, shape)| {
        let rest = (onset, sounding(written), shape);
        onset += rest.1;
        rest
    });
    rests.collect()
}

/// Cuts the events of a voice at the bar lines.
struct Cutter<'s> {
    voice: &'s TimedVoice,
    /// The first event that is not over at the beginning of the bar.
    next: usize,
    /// Whether all voices count the bar in one proportion.
    in_passage: bool,
}

impl Cutter<'_> {
    /// The pieces of the next bar, rests being joined.
    fn cut(&mut self, bar: &Bar, pieces: &mut Vec<Piece>) {
        pieces.clear();
        while let Some(event) = self.voice.events.get(self.next).filter(|e| e.onset < bar.end) {
            let onset = event.onset.max(bar.start);
            let length = event.end().min(bar.end) - onset;
            if length.is_positive() {
                let count = counted(length, event);
                let is_rest = event.is_rest();
                let piece = Piece { event: self.next, onset, length, is_rest, count };
                match pieces.last_mut() {
                    Some(last) if self.joins(*last, piece) => {
                        last.length += length;
                        last.count = tuplets::count(last.length, Proportion::EQUAL);
                    }
                    _ => pieces.push(piece),
                }
            }
            if event.end() > bar.end {
                break;
            }
            self.next += 1;
        }
        self.join_whole_bar(bar, pieces);
    }

    /// Whether two pieces are rests, not inside a tuplet, that can be joined.
    fn joins(&self, before: Piece, piece: Piece) -> bool {
        let plain = |piece: Piece| {
            let proportion = self.voice.events[piece.event].proportion;
            piece.is_rest && (self.in_passage || proportion.is_equal())
        };
        plain(before)
            && plain(piece)
            && self.may_join(before)
            && self.may_join(piece)
            && !self.has_words(piece.onset)
    }

    /// Joins all rests of a bar that has nothing else, in whatever proportions they stand.
    fn join_whole_bar(&self, bar: &Bar, pieces: &mut Vec<Piece>) {
        let Some((first, others)) = pieces.split_first() else { return };
        let empty = pieces.iter().all(|piece| piece.is_rest && self.may_join(*piece));
        if empty && !others.is_empty() && !others.iter().any(|rest| self.has_words(rest.onset)) {
            let whole = Piece { length: bar.end - first.onset, ..*first };
            pieces.clear();
            pieces.push(whole);
        }
    }

    /// Whether a rest has no sign of its own.
    fn may_join(&self, piece: Piece) -> bool {
        self.voice.events[piece.event].signs.printed().is_empty()
    }

    /// Whether words, or a sign, are printed at a moment.
    fn has_words(&self, at: Time) -> bool {
        let changes = &self.voice.changes;
        let first = changes.partition_point(|(when, _)| *when < at);
        let mut now = changes[first..].iter().take_while(|(when, _)| *when == at);
        now.any(|(_, change)| matches!(change, Change::Words(_) | Change::Sign(_)))
    }
}

/// How a part of an event is counted. Black notes that go three in the time of one are grouped by
/// that one, though they may be printed as the semiminims that they look like.
fn counted(length: Time, event: &TimedEvent) -> Count {
    let three_for_one = matches!(event.rule, Rule::Figure | Rule::ColoredThreeForOne);
    match tuplets::count(length, event.proportion) {
        Count::Tuplet { ratio, group: Some(_) } if three_for_one => {
            Count::Tuplet { ratio, group: Some(Time::minims(1)) }
        }
        count => count,
    }
}

/// Writes the pieces of one bar as segments.
struct Speller<'a> {
    voice: &'a TimedVoice,
    brackets: &'a Brackets,
    options: &'a Options,
    bar: &'a Bar,
    grid: Grid,
    segments: &'a mut Vec<Segment>,
}

impl Speller<'_> {
    fn write(&mut self, pieces: &[Piece]) {
        let mut first = 0;
        while let Some(piece) = pieces.get(first) {
            let whole_bar = piece.length == self.bar.end - self.bar.start;
            match piece.count {
                _ if piece.is_rest && whole_bar => self.whole_bar_rest(*piece, piece.length),
                Count::Plain => self.plain(*piece),
                Count::Neither => self.push(*piece, piece.onset, piece.length, Shape::Unwritten),
                Count::Tuplet { ratio, group } => {
                    let alike = |other: &&Piece| matches!(other.count, Count::Tuplet { ratio: same, .. } if same == ratio);
                    let run = pieces[first..].iter().take_while(alike).count();
                    self.tuplets(&pieces[first..first + run], ratio, group);
                    first += run;
                    continue;
                }
            }
            first += 1;
        }
    }

    /// The pieces of a bar whose meter says the proportion. The tuplets that are not shown have
    /// the groups that shown ones would have.
    fn write_in_passage(&mut self, pieces: &[Piece], passage: InPassage) {
        let InPassage { ratio, group, .. } = passage;
        for piece in pieces {
            let whole_bar = piece.length == self.bar.end - self.bar.start;
            match ratio.written(piece.length) {
                Some(written) if piece.is_rest && whole_bar => {
                    return self.whole_bar_rest(*piece, written);
                }
                _ => self.member(*piece, self.bar.start, ratio, self.grid),
            }
        }
        let lengths: Vec<Time> = self.segments.iter().map(|segment| segment.length).collect();
        let mut first = 0;
        for count in tuplets::groups(&lengths, ratio, Some(group)) {
            self.tuplet(first..first + count, ratio, false);
            first += count;
        }
    }

    fn whole_bar_rest(&mut self, piece: Piece, written: Time) {
        let breve = self.options.reduction.quarters(written) >= NoteValue::BREVE.quarters();
        let value = if breve { NoteValue::BREVE } else { NoteValue::WHOLE };
        self.push(piece, piece.onset, piece.length, Shape::WholeBar { value });
    }

    fn plain(&mut self, piece: Piece) {
        let offset = piece.onset - self.bar.start;
        let mut onset = piece.onset;
        let grid = self.grid;
        for (length, shape) in grid.spell(offset, piece.length, piece.is_rest) {
            self.push(piece, onset, length, shape);
            onset += length;
        }
    }

    /// A run of pieces in one tuplet ratio, group by group.
    fn tuplets(&mut self, run: &[Piece], ratio: Ratio, group: Option<Time>) {
        let lengths: Vec<Time> = run.iter().map(|piece| piece.length).collect();
        let mut rest = run;
        for count in tuplets::groups(&lengths, ratio, group) {
            let (members, after) = rest.split_at(count);
            rest = after;
            match members {
                // A bracket over one note that can do without is a riddle.
                [alone] if tuplets::is_plain(alone.length) => self.plain(*alone),
                _ => self.group(members, ratio),
            }
        }
    }

    /// The members of one tuplet. Inside it, places are counted from its beginning.
    fn group(&mut self, members: &[Piece], ratio: Ratio) {
        let first = self.segments.len();
        for piece in members {
            self.member(*piece, members[0].onset, ratio, self.grid.inside_tuplet());
        }
        self.tuplet(first..self.segments.len(), ratio, true);
    }

    /// A piece that is written in a ratio, on a grid that begins at a moment.
    fn member(&mut self, piece: Piece, start: Time, ratio: Ratio, grid: Grid) {
        let offset = ratio.written(piece.onset - start);
        let (Some(offset), Some(length)) = (offset, ratio.written(piece.length)) else {
            return self.push(piece, piece.onset, piece.length, Shape::Unwritten);
        };
        let mut onset = piece.onset;
        for (written, shape) in grid.spell(offset, length, piece.is_rest) {
            let length = ratio.sounding(written);
            self.push(piece, onset, length, shape);
            onset += length;
        }
    }

    /// Makes segments of the bar a tuplet.
    fn tuplet(&mut self, members: Range<usize>, ratio: Ratio, shown: bool) {
        let Ratio { many, in_time_of } = ratio;
        for place in members.clone() {
            let edges = Edges { begins: place == members.start, ends: place + 1 == members.end };
            self.segments[place].tuplet = Some(Tuplet { many, in_time_of, edges, shown });
        }
    }

    fn push(&mut self, piece: Piece, onset: Time, length: Time, shape: Shape) {
        let event = &self.voice.events[piece.event];
        let sounding = |note: &crate::Sounded| SegmentNote {
            pitch: self.options.transposed(note.pitch),
            accidental: None,
        };
        let is_first = onset == event.onset;
        let is_last = onset + length == event.end();
        let stands_here =
            |sign: &NoteSign| if sign.description().at_end { is_last } else { is_first };
        // A rest is not tied, whatever it is split into.
        let (begins, ends) = (piece.is_rest || is_first, piece.is_rest || is_last);
        let is_last_event = piece.event + 1 == self.voice.events.len();
        let (ligature, coloration) = self.brackets.at(piece.event, begins, ends);
        self.segments.push(Segment {
            event: piece.event,
            onset,
            length,
            shape,
            tuplet: None,
            staff: 0,
            notes: event.notes.iter().map(sounding).collect(),
            tied_before: !begins || self.voice.cut.before && piece.event == 0 && !piece.is_rest,
            tied_after: !ends || self.voice.cut.after && is_last_event && !piece.is_rest,
            stem: Stem::Up,
            alone: false,
            left_out: false,
            blank: false,
            beams: Beams::default(),
            ligature,
            coloration,
            signs: event.signs.iter().filter(stands_here).collect(),
        });
    }
}

/// The grid of a bar, down to the 1024th.
#[derive(Clone, Copy)]
struct Grid {
    /// 1024ths in a minim.
    in_minim: i64,
    /// The largest power of two that divides the bar, in 1024ths: no line inside it is stronger.
    strongest: i64,
    /// The perfect semibreve, in 1024ths, where the minims of the bar go in threes.
    perfection: Option<i64>,
}

impl Grid {
    fn of(reduction: Reduction, bar: Time) -> Grid {
        let in_minim = 1 << (reduction.minim().power() - NoteValue::SHORTEST.power());
        let bar = (bar * in_minim).whole(Time::minims(1));
        Grid { in_minim, strongest: strength(bar), perfection: None }
    }

    /// The grid of a bar in which all is written as long as it lasts.
    fn of_bar(reduction: Reduction, bar: &Bar) -> Grid {
        let grid = Grid::of(reduction, bar.end - bar.start);
        let semibreve = bar.mensuration.full(Value::Semibreve);
        let perfect = bar.mensuration.is_perfect(Value::Semibreve);
        let perfection = perfect.then(|| (semibreve * grid.in_minim).whole(Time::minims(1)));
        Grid { perfection, ..grid }
    }

    /// The grid of a tuplet, which knows of no bar.
    fn inside_tuplet(self) -> Grid {
        Grid { strongest: i64::MAX, perfection: None, ..self }
    }

    /// The signs for a length of halves of halves that begins at an offset, with their lengths.
    ///
    /// Off the grid, as after a tuplet that is not complete, places are counted from the
    /// beginning of the length itself.
    fn spell(
        self,
        offset: Time,
        length: Time,
        is_rest: bool,
    ) -> impl Iterator<Item = (Time, Shape)> {
        let scaled = offset * self.in_minim;
        let mut from = if scaled.denominator() == 1 { scaled.numerator() } else { 0 };
        let whole = (length * self.in_minim).whole(Time::minims(1));
        let to = from + whole;
        let fragment = length - Time::new(whole, self.in_minim);
        let signs = std::iter::from_fn(move || {
            let end = match self.perfection {
                _ if from >= to => return None,
                Some(three) => end_in_threes(from, to, three, is_rest),
                None if is_rest => rest_end(from, to),
                None => self.note_end(from, to),
            };
            let sign = (Time::new(end - from, self.in_minim), shape(end - from));
            from = end;
            Some(sign)
        });
        let fragment = fragment.is_positive().then_some((fragment, Shape::Unwritten));
        signs.chain(fragment)
    }

    /// Where the first sign of a note from one place to another ends.
    fn note_end(self, from: i64, to: i64) -> i64 {
        let mut end = to;
        while !self.stands(from, end) {
            end = strongest_between(from, end);
        }
        end
    }

    /// Whether a note may stand from one place to another as one sign.
    fn stands(self, from: i64, to: i64) -> bool {
        let Some((value, _)) = single(to - from) else { return false };
        if to - from == 1 {
            return true;
        }
        let begins = strength(from);
        let crosses = strength(strongest_between(from, to)).min(self.strongest);
        begins >= value / 2 && crosses / 2 <= begins
    }
}

/// The largest power of two that divides a place; every one divides the beginning.
fn strength(place: i64) -> i64 {
    if place == 0 { i64::MAX } else { 1 << place.trailing_zeros() }
}

/// The place on the coarsest line of the grid that lies between two others, which must not be
/// neighbours. (The highest bit in which the first differs from the last before the other is
/// where the last has its first bit that the first has not.)
fn strongest_between(from: i64, to: i64) -> i64 {
    let differing = (from ^ (to - 1)).ilog2();
    (to - 1) >> differing << differing
}

/// The value and dot of a length in 1024ths, where one value has it.
fn single(length: i64) -> Option<(i64, bool)> {
    let largest = 1 << (NoteValue::MAXIMA.power() - NoteValue::SHORTEST.power());
    let value = 1_i64 << length.ilog2();
    let dotted = length == value + value / 2 && value > 1;
    (value <= largest && (dotted || length == value)).then_some((value, dotted))
}

fn shape(length: i64) -> Shape {
    let value = |(value, dotted): (i64, bool)| {
        let value = NoteValue::of_power(value.ilog2() as i32 + NoteValue::SHORTEST.power())?;
        Some(Shape::Plain { value, dotted })
    };
    single(length).and_then(value).unwrap_or(Shape::Unwritten)
}

/// Where the first sign from one place to another ends in a bar of threes. From the beginning of a
/// three on it may fill as many as one value does; otherwise it does not go on to the next three.
fn end_in_threes(from: i64, to: i64, three: i64, is_rest: bool) -> i64 {
    let within = from % three;
    let fills = |threes: &i64| from + threes * three <= to && single(threes * three).is_some();
    match [4, 2, 1].iter().find(|threes| within == 0 && !is_rest && fills(threes)) {
        Some(threes) => from + threes * three,
        None => {
            let grid = Grid { in_minim: three / 3, strongest: i64::MAX, perfection: None };
            let to = (to - from + within).min(three);
            let end = if is_rest { rest_end(within, to) } else { grid.note_end(within, to) };
            from - within + end
        }
    }
}

/// Where the first of the rests from one place to another ends.
fn rest_end(from: i64, to: i64) -> i64 {
    let largest = 1 << (NoteValue::MAXIMA.power() - NoteValue::SHORTEST.power());
    from + strength(from).min(1 << (to - from).ilog2()).min(largest)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::testing::{any_score, score};
    use super::super::{Staves, arrange};
    use super::*;

    /// The signs of the first voice, a bar a string: the value as the part of a whole note that it
    /// is, `r` for a rest, `.` for its dot, `~` for a tie to the next, `( )` around a tuplet.
    fn signs_at(reduction: Reduction, bar: i64, voice: &str) -> Vec<String> {
        let score = score(bar, &[voice]);
        let options = Options { staves: Staves::Open, reduction, ..Options::default() };
        let arrangement = arrange(&score, options);
        let say = |segment: &Segment| {
            let value = |value: NoteValue| match value.power() {
                power @ ..=0 => (1 << -power).to_string(),
                1 => "br".to_string(),
                2 => "lg".to_string(),
                _ => "mx".to_string(),
            };
            let sign = match segment.shape {
                Shape::Plain { value: v, dotted } => value(v) + if dotted { "." } else { "" },
                Shape::WholeBar { value: v } => format!("bar{}", value(v)),
                Shape::Unwritten => "?".to_string(),
            };
            let rest = if segment.is_rest() { "r" } else { "" };
            let tie = if segment.tied_after { "~" } else { "" };
            let edges = segment.tuplet.map(|tuplet| tuplet.edges);
            let open = if edges.is_some_and(|edges| edges.begins) { "(" } else { "" };
            let close = if edges.is_some_and(|edges| edges.ends) { ")" } else { "" };
            format!("{open}{rest}{sign}{tie}{close}")
        };
        let bars = arrangement.bars.iter();
        bars.map(|bar| bar.voices[0].iter().map(say).collect::<Vec<_>>().join(" ")).collect()
    }

    fn signs(bar: i64, voice: &str) -> Vec<String> {
        signs_at(Reduction::Original, bar, voice)
    }

    #[test]
    fn black_notes_that_go_three_for_one_are_grouped_by_the_one() {
        let mut score = score(4, &["x3:2 C4:1/3 D4 E4 F4:2/3 G4:1/3 x A4:2"]);
        for event in &mut score.voices[0].events[..5] {
            event.rule = Rule::Figure;
        }
        let arrangement = arrange(&score, Options { staves: Staves::Open, ..Options::default() });
        let segments = arrangement.bars[0].voices[0].iter();
        let ends: Vec<Time> = segments
            .filter(|segment| segment.tuplet.is_some_and(|tuplet| tuplet.edges.ends))
            .map(Segment::end)
            .collect();
        assert_eq!(ends, [1, 2].map(Time::minims));
        assert!(!arrangement.bars[0].voices[0].iter().any(|segment| segment.tied_after));
    }

    #[test]
    fn plain_syncopation_is_left_whole() {
        assert_eq!(signs(4, "C4:1 D4:2 E4:1"), ["2 1 2"]);
        assert_eq!(signs(4, "C4:1 D4:3"), ["2 1."]);
        assert_eq!(signs(2, "C4:1/2 D4:1 E4:1/2"), ["4 2 4"]);
        assert_eq!(signs(4, "C4:1 D4:3/2 E4:1/2 F4:1"), ["2 2. 4 2"]);
        assert_eq!(signs(4, "C4:1/2 D4:3/2 E4:2"), ["4 2. 1"]);
    }

    #[test]
    fn a_semiminim_before_the_middle_shows_the_middle() {
        assert_eq!(signs(4, "C4:3/2 D4:1 E4:3/2"), ["2. 4~ 4 2."]);
        assert_eq!(signs(4, "C4:3/4 D4:1/2 E4:11/4"), ["4. 8~ 8 4.~ 1"]);
    }

    #[test]
    fn what_no_value_has_is_split_at_the_strongest_line() {
        assert_eq!(signs(4, "C4:5/2 D4:3/2"), ["1~ 4 2."]);
        assert_eq!(signs(4, "C4:7/2 D4:1/2"), ["1~ 2. 4"]);
        assert_eq!(signs(4, "C4:1/2 D4:7/2"), ["4 2.~ 1"]);
        assert_eq!(signs(4, "C4:1/4 D4:1 E4:11/4"), ["8 4.~ 8 4.~ 1"]);
    }

    #[test]
    fn bar_lines_split_and_tie() {
        assert_eq!(signs(4, "C4:3 D4:2 E4:3"), ["1. 2~", "2 1."]);
        assert_eq!(signs(4, "C4:12"), ["br~", "br~", "br"]);
        assert_eq!(signs(2, "C4:1 D4:2 E4:1"), ["2 2~", "2 2"]);
    }

    #[test]
    fn a_bar_of_three_has_no_middle() {
        assert_eq!(signs(3, "C4:1 D4:2"), ["2 1"]);
        assert_eq!(signs(3, "C4:3"), ["1."]);
        assert_eq!(signs(6, "C4:3 D4:2 E4:1"), ["1. 1 2"]);
        assert_eq!(signs(3, "C4:1/2 D4:2 E4:1/2"), ["4 2.~ 4 4"]);
    }

    #[test]
    fn rests_have_no_dots_and_keep_their_places() {
        assert_eq!(signs(4, "C4:1 _:3"), ["2 r2 r1"]);
        assert_eq!(signs(4, "_:3 C4:1"), ["r1 r2 2"]);
        assert_eq!(signs(4, "C4:1 _:2 D4:1"), ["2 r2 r2 2"]);
        assert_eq!(signs(4, "C4:3/2 _:5/2"), ["2. r4 r1"]);
    }

    #[test]
    fn rests_are_joined() {
        assert_eq!(signs(4, "C4:2 _:1 _:1"), ["1 r1"]);
        assert_eq!(signs(4, "_:2 _:2 _:8 C4:4"), ["rbarbr", "rbarbr", "rbarbr", "br"]);
        assert_eq!(signs(2, "_:2 C4:2"), ["rbar1", "1"]);
        assert_eq!(signs(4, "C4:2 _:1^ _:1"), ["1 r2 r2"]);
    }

    #[test]
    fn three_in_the_time_of_two() {
        assert_eq!(signs(4, "C4:2 x3:2 D4:2/3 E4:2/3 F4:2/3"), ["1 (2 2 2)"]);
        assert_eq!(signs(6, "x3:2 D4:1 E4:1/3 F4:2/3 G4:4/3 A4:2/3 x B4:2"), ["(2. 4 2) (1 2) 1"]);
        assert_eq!(signs(4, "x3:2 _:2/3 _:2/3 E4:2/3 x F4:2"), ["(r2 r2 2) 1"]);
    }

    #[test]
    fn a_bar_of_six_is_written_without_needless_ties() {
        let passage = |voice: &str| signs(4, &format!("x3:2 {voice}"));
        assert_eq!(passage("C4:2 D4:2"), ["(1.) (1.)"]);
        assert_eq!(passage("C4:2/3 D4:4/3 E4:4/3 F4:2/3"), ["(2 1) (1 2)"]);
        assert_eq!(passage("C4:8/3 D4:4/3"), ["(br 1)"]);
        assert_eq!(passage("C4:4/3 _:2/3 _:2"), ["(1 r1 r1)"]);
        assert_eq!(passage("C4:16/3 D4:8/3"), ["(br.~)", "(1 br)"]);
        assert_eq!(passage("C4:4 _:4"), ["(br.)", "rbarbr"]);
    }

    #[test]
    fn a_tuplet_ends_at_the_bar_line() {
        assert_eq!(signs(2, "x3:2 C4:4/3 D4:4/3 E4:4/3"), ["(1 2~)", "(2 1)"]);
    }

    #[test]
    fn an_odd_length_makes_its_own_tuplet() {
        assert_eq!(signs(2, "C4:5/7 D4:9/7"), ["(2~ 8 4.~ 2.)"]);
        assert_eq!(signs(4, "C4:1/3 D4:11/3"), ["(4 2.~ br)"]);
    }

    #[test]
    fn a_plain_note_off_the_grid_stays_whole() {
        assert_eq!(signs(4, "C4:1/3 D4:1 E4:8/3"), ["(4) 2 (br)"]);
    }

    #[test]
    fn reduced_values() {
        assert_eq!(signs_at(Reduction::Halved, 4, "C4:1 D4:2 E4:1 _:4"), ["4 2 4", "rbar1"]);
        assert_eq!(signs_at(Reduction::Quartered, 4, "C4:1 D4:2 E4:1"), ["8 4 8"]);
    }

    #[test]
    fn what_cannot_be_written_keeps_its_length() {
        assert_eq!(
            signs(2, "C4:1/1024 D4:1 _:1023/1024")[0],
            "? 2 r4 r8 r16 r32 r64 r128 r256 r512 r1024 r?"
        );
        assert_eq!(signs(4, "C4:1/2003 D4:8011/2003"), ["? ?"]);
    }

    proptest! {
        /// The segments of a voice fill its bars, and the lengths of what is written are exact.
        #[test]
        fn bars_are_filled_exactly(score in any_score(3), bits in 0..6_u8) {
            let reductions = [Reduction::Original, Reduction::Halved, Reduction::Quartered];
            let reduction = reductions[bits as usize % 3];
            let options = Options { reduction, ..Options::default() };
            let arrangement = arrange(&score, options);
            for (bar, arranged) in score.bars.iter().zip(&arrangement.bars) {
                for segments in &arranged.voices {
                    let mut now = bar.start;
                    for segment in segments {
                        prop_assert_eq!(segment.onset, now);
                        prop_assert!(segment.length.is_positive());
                        now = segment.end();
                        if let Shape::Plain { value, dotted } = segment.shape {
                            let mut written = value.quarters();
                            if dotted {
                                written = written * 3 / 2;
                            }
                            if let Some(Tuplet { many, in_time_of, .. }) = segment.tuplet {
                                written = written * in_time_of as i64 / many as i64;
                            }
                            prop_assert_eq!(written, reduction.quarters(segment.length));
                        }
                    }
                    prop_assert_eq!(now, bar.end);
                }
            }
        }

        /// Tied segments joined again are the notes of the voice.
        #[test]
        fn ties_give_back_the_events(score in any_score(3)) {
            let arrangement = arrange(&score, Options::default());
            for (place, voice) in score.voices.iter().enumerate() {
                let mut joined: Vec<(usize, Time, Time)> = Vec::new();
                for segment in arrangement.bars.iter().flat_map(|bar| &bar.voices[place]) {
                    if segment.is_rest() {
                        prop_assert!(!segment.tied_before && !segment.tied_after);
                        continue;
                    }
                    match joined.last_mut() {
                        Some(last) if segment.tied_before => {
                            prop_assert_eq!((last.0, last.2), (segment.event, segment.onset));
                            last.2 = segment.end();
                        }
                        _ => joined.push((segment.event, segment.onset, segment.end())),
                    }
                }
                let events = voice.events.iter().enumerate().filter(|(_, event)| !event.is_rest());
                let expected: Vec<_> =
                    events.map(|(place, event)| (place, event.onset, event.end())).collect();
                prop_assert_eq!(joined, expected);
            }
        }

        /// The brackets of tuplets open and close in turn, and each is of one ratio.
        #[test]
        fn brackets_open_and_close(score in any_score(2)) {
            let arrangement = arrange(&score, Options::default());
            for segments in arrangement.bars.iter().flat_map(|bar| &bar.voices) {
                let mut open = None;
                for segment in segments {
                    let ratio = segment.tuplet.map(|tuplet| (tuplet.many, tuplet.in_time_of));
                    let edges = segment.tuplet.map(|tuplet| tuplet.edges);
                    if edges.is_some_and(|edges| edges.begins) {
                        prop_assert_eq!(open, None);
                        open = ratio;
                    }
                    prop_assert_eq!(open, ratio);
                    if edges.is_some_and(|edges| edges.ends) {
                        open = None;
                    }
                }
                prop_assert_eq!(open, None);
            }
        }
    }
}
