//! Voices that stand one below another: which lines are whose.

use std::cmp::Reverse;

use facsimile::{Kind, Read, Row};
use notation::Facsimile;
use rudiments::{Clef, Place, Sign, Tone, Value};

use crate::beginnings::{first_clef, last_clef};
use crate::habits::is_long;
use crate::turns::{SAID, UNSAID, in_turn, take_turns};
use crate::voice::FIRST;
use crate::{Part, StaffLine};

/// Lines that were parted among voices.
#[derive(Clone, PartialEq, Debug)]
pub struct ToldApart {
    /// The lines of each voice, in their order.
    pub voices: Vec<Vec<StaffLine>>,
    /// Whether no other way to part them is nearly as likely.
    pub sure: bool,
    /// Whether their lines take turns, as in systems; otherwise each voice has lines that follow one another.
    pub in_turn: bool,
}

/// Parts lines with music among so many voices, which follow one another or take turns; nothing where there are
/// fewer lines than voices.
///
/// A voice begins with its sign, often after an initial, so that its staff begins further to the right; the
/// one before it ends with a double bar, or with a direct that does not fit; its clef is often another; and
/// all voices are about as long (common practice, no source; the odds are estimates).
pub fn told_apart(lines: Vec<StaffLine>, voices: usize) -> Option<ToldApart> {
    if voices == 0 || lines.len() < voices {
        return None;
    }
    let (begins, margin) = likeliest(&odds(&lines), &lengths(&lines), voices);
    let counts: Vec<usize> = begins.windows(2).map(|voice| voice[1] - voice[0]).collect();
    if take_turns(&lines, voices, SAID) {
        return in_turn(lines, voices).map(|voices| ToldApart {
            voices,
            sure: true,
            in_turn: true,
        });
    }
    Some(ToldApart { voices: apart_by(lines, &counts), sure: margin > SURE, in_turn: false })
}

/// Parts lines among voices of which each has so many; what is left over is no voice's. Each
/// voice ends its page.
pub fn apart_by(lines: Vec<StaffLine>, counts: &[usize]) -> Vec<Vec<StaffLine>> {
    let mut lines = lines.into_iter();
    let voice = |count: &usize| {
        let mut voice: Vec<StaffLine> = lines.by_ref().take(*count).collect();
        // Where it goes on, it does so on another page.
        if let Some(last) = voice.last_mut() {
            last.ends_page = true;
        }
        voice
    };
    counts.iter().map(voice).collect()
}

/// The likeliest way to part lines, by the odds that a voice begins with each but the first, and by their
/// lengths: the places where voices begin, and the end; and how much likelier it is than any other way.
fn likeliest(odds: &[f64], lengths: &[f64], voices: usize) -> (Vec<usize>, f64) {
    let count = lengths.len();
    let mut until = vec![0.0; count + 1];
    for (at, length) in lengths.iter().enumerate() {
        until[at + 1] = until[at] + length;
    }
    let usual = until[count] / voices as f64;
    let voice = |from: usize, to: usize| {
        let off = (until[to] - until[from] - usual) / (UNLIKE * usual.max(1.0));
        let begun = from.checked_sub(1).map_or(0.0, |gap| odds[gap]);
        begun - 0.5 * off * off
    };
    // How likely so many voices end before each place at best, and where the last of them begins; and how
    // likely all others begin there.
    let never = vec![vec![f64::NEG_INFINITY; count + 1]; voices + 1];
    let (mut ends, mut begins) = (never.clone(), never);
    let mut from = vec![vec![0; count + 1]; voices + 1];
    (ends[0][0], begins[voices][count]) = (0.0, 0.0);
    for number in 1..=voices {
        for to in 1..=count {
            for begin in 0..to {
                let likely = ends[number - 1][begin] + voice(begin, to);
                if likely > ends[number][to] {
                    (ends[number][to], from[number][to]) = (likely, begin);
                }
            }
        }
    }
    for number in (0..voices).rev() {
        for begin in 0..count {
            for to in begin + 1..=count {
                let likely = begins[number + 1][to] + voice(begin, to);
                begins[number][begin] = begins[number][begin].max(likely);
            }
        }
    }
    let mut way = vec![count];
    for number in (1..=voices).rev() {
        way.push(from[number][way[way.len() - 1]]);
    }
    way.reverse();
    let places = (0..=voices).flat_map(|number| (0..=count).map(move |at| (number, at)));
    let others = places.filter(|(number, at)| way[*number] != *at);
    let others = others.map(|(number, at)| ends[number][at] + begins[number][at]);
    let margin = ends[voices][count] - others.fold(f64::NEG_INFINITY, f64::max);
    (way, margin)
}

/// Voices from the top down by the clefs that most of their lines have. Those with the same clef keep their
/// order; those on which no clef is read come last.
pub fn from_the_top(mut parts: Vec<Part>) -> Vec<Part> {
    parts.sort_by_cached_key(|part| {
        Reverse(usual_clef(&part.lines).map(|clef| clef.tone_at(MIDDLE).rung()))
    });
    parts
}

/// The place of the middle line.
const MIDDLE: Place = 6;

/// How many voices these lines seem to be, one below another. Sign and double bar alone do not tell: a piece may
/// have a second part. So each has another clef than the one before it, or a direct that does not fit.
pub fn seeming_voices(lines: &[StaffLine]) -> usize {
    if let Some(voices) = (2..=MOST).find(|voices| take_turns(lines, *voices, UNSAID)) {
        return voices;
    }
    let odds = odds(lines);
    let ends = (1..lines.len()).filter(|at| odds[at - 1] > PLAIN).chain([lines.len()]);
    let mut voices = 1;
    let mut from = 0;
    let mut before: Option<&[StaffLine]> = None;
    for to in ends {
        let voice = &lines[from..to];
        if let Some([.., last]) = before
            && let Some(first) = voice.first()
        {
            let other = before.and_then(usual_clef) != usual_clef(voice);
            voices += usize::from(other || direct(&last.row, &first.row) > 0.0);
        }
        (from, before) = (to, Some(voice));
    }
    voices
}

/// The clef that most of these lines have.
fn usual_clef(lines: &[StaffLine]) -> Option<Clef> {
    let clefs: Vec<Clef> = lines.iter().filter_map(|line| first_clef(&line.row)).collect();
    let often = |clef: &Clef| clefs.iter().filter(|other| *other == clef).count();
    clefs.iter().copied().max_by_key(often)
}

/// How many voices may take turns where nobody says how many there are.
const MOST: usize = 8;

/// How far the lengths of voices on one page lie apart, as a part of their length.
const UNLIKE: f64 = 0.15;

/// Where a way to part lines is likelier than the next by less than this, as a logarithm of odds, it is no
/// sure one.
const SURE: f64 = 3.0;

/// What is likelier than this is another voice for sure, though only one was said to be there.
const PLAIN: f64 = 5.0;

/// How long a value is in plain counting, in minims.
fn plain(value: Value) -> f64 {
    let length = value.plain();
    length.numerator() as f64 / length.denominator() as f64
}

/// How long the music of each line is, in minims.
fn lengths(lines: &[StaffLine]) -> Vec<f64> {
    let one = |line: &StaffLine| {
        let (mut all, mut last) = (0.0, 0.0);
        for read in &line.row.sorts {
            last = match read.sort.kind {
                Kind::Rest { spaces: 3, .. } => 12.0,
                Kind::Rest { value, .. } | Kind::Note { value, .. } | Kind::Bound(value) => {
                    plain(value)
                }
                Kind::Dot => last / 2.0,
                _ => continue,
            };
            all += last;
        }
        all
    };
    lines.iter().map(one).collect()
}

/// How likely a voice begins with each line but the first, as logarithms of odds.
fn odds(lines: &[StaffLine]) -> Vec<f64> {
    let lefts = lefts(lines);
    let of_pair = |(number, pair): (usize, &[StaffLine])| {
        let [before, line] = pair else { return 0.0 };
        let (before, row) = (&before.row, &line.row);
        sign(row) + end(before) + clefs(before, row) + direct(before, row) + lefts[number + 1]
    };
    lines.windows(2).enumerate().map(of_pair).collect()
}

/// Of a hundred lines with which a voice begins, and of a hundred others, how many have a mark: how likely
/// this makes it that a voice begins.
fn told(is_there: bool, of_first: f64, of_others: f64) -> f64 {
    if is_there {
        (of_first / of_others).ln()
    } else {
        ((100.0 - of_first) / (100.0 - of_others)).ln()
    }
}

/// By a sign with a circle near the beginning; parts of it and of the clef may be read as notes before it.
fn sign(row: &Row) -> f64 {
    let begins = row.sorts.iter().take(FIRST);
    let mut kinds = begins.map(|read| read.sort.kind);
    told(kinds.any(|kind| matches!(kind, Kind::Sign(Sign { circle: Some(_), .. }))), 80.0, 2.0)
}

/// By what stands at the end of the line before.
fn end(before: &Row) -> f64 {
    match last(before).map(|read| read.sort.kind) {
        Some(Kind::DoubleBar | Kind::Repeat) => (60.0_f64 / 2.0).ln(),
        Some(Kind::Direct) => (20.0_f64 / 80.0).ln(),
        _ => 0.0,
    }
}

/// The last sort that does not belong to the one before it.
fn last(row: &Row) -> Option<&Read> {
    row.sorts.iter().rev().find(|read| {
        !matches!(read.sort.kind, Kind::BarLine | Kind::Corona | Kind::Signum | Kind::Dot)
    })
}

/// By the clefs.
fn clefs(before: &Row, row: &Row) -> f64 {
    let (before, now) = (clefs_at_end(before), first_clef(row));
    match now {
        Some(now) if !before.is_empty() => told(!before.contains(&now), 70.0, 5.0),
        _ => 0.0,
    }
}

/// By the direct at the end of the line before, and the first note. A long note may be a direct that was
/// misread.
fn direct(before: &Row, row: &Row) -> f64 {
    let direct = last(before).filter(|read| read.sort.kind == Kind::Direct || is_long(read.sort));
    // It announces the next note, over rests.
    let is_note = |read: &&Read| matches!(read.sort.kind, Kind::Note { .. } | Kind::Bound(_));
    let note = row.sorts.iter().find(is_note);
    let tone =
        |clef: Clef, read: Option<&Read>| -> Option<Tone> { Some(clef.tone_at(read?.sort.place?)) };
    let directs: Vec<Tone> =
        clefs_at_end(before).into_iter().filter_map(|clef| tone(clef, direct)).collect();
    match first_clef(row).and_then(|clef| tone(clef, note)) {
        Some(note) if !directs.is_empty() => told(!directs.contains(&note), 90.0, 10.0),
        _ => 0.0,
    }
}

/// The clefs that may be in force at the end of a line: what looks like one amid the notes may be none.
fn clefs_at_end(row: &Row) -> Vec<Clef> {
    first_clef(row).into_iter().chain(last_clef(row)).collect()
}

/// How much further to the right than others a staff begins after an initial: this part of the height of its
/// strip, which is some twelve spaces.
const INITIAL: f64 = 0.15;

/// By where each staff begins, beside the one above and the one below: a page may be turned.
fn lefts(lines: &[StaffLine]) -> Vec<f64> {
    let one = |at: usize| {
        let Some(place) = &lines[at].place else { return 0.0 };
        let is_beside = |other: &&Facsimile| {
            (&other.file, other.page) == (&place.file, place.page)
                && (other.x - place.x).abs() < place.width / 2.0
        };
        let beside = lines[at.saturating_sub(1)..].iter().take(3);
        let beside = beside.filter_map(|line| line.place.as_ref()).filter(is_beside);
        let leftmost = beside.map(|other| other.x).fold(place.x, f64::min);
        told(place.x - leftmost > INITIAL * place.height, 60.0, 4.0)
    };
    (0..lines.len()).map(one).collect()
}
