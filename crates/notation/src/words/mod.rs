//! The grammar of single words: notes, rests, directs, and the arguments of keywords.

mod print;
mod word;

use nom::branch::alt;
use nom::bytes::complete::{tag, take, take_while_m_n, take_while1};
use nom::character::complete::{char, one_of, satisfy};
use nom::combinator::{consumed, map, map_opt, opt, recognize, value};
use nom::multi::many0;
use nom::sequence::{delimited, pair, preceded, separated_pair};
use nom::{IResult, Parser};
use rudiments::{Accidental, Place, Proportion, Step, Time};

use crate::{Dot, NoteSign, NoteSigns};
pub use print::word;
pub use word::Word;

/// The largest numerator and denominator of an editor's length, and the longest run of rests:
/// far more than any source needs, and small enough that sums stay exact.
pub(crate) const LARGEST_NUMBER: i64 = 9999;

/// A note, a rest or a direct as typed, before clef and values are considered.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct EventWord {
    pub(crate) completing: bool,
    pub(crate) body: Body,
    pub(crate) dot: Option<Dot>,
    pub(crate) signs: NoteSigns,
    pub(crate) length: Option<Time>,
}

/// What an event consists of.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Body {
    /// One note or several at once.
    Heads(Vec<HeadWord>),
    /// So many rests, or a long rest over so many spaces.
    Rest { times: u32, spaces: Option<u8> },
}

/// A note's head as typed.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct HeadWord {
    pub(crate) place: PlaceWord,
    pub(crate) printed: Option<Accidental>,
    pub(crate) editorial: Option<Accidental>,
}

/// A letter with or without its octave, or a place on the staff.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) enum PlaceWord {
    Letter(Step, Option<i8>),
    Position(Place),
}

/// What stands where in the word of an event. Of several notes at once the first is taken apart.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
struct Parts<'w> {
    head: HeadParts<'w>,
    /// Other notes of the same event, each with its `+`.
    others: &'w str,
    dot: &'w str,
    /// The marks after it, and the editor's length.
    marks: &'w str,
}

/// The parts of a note's head; of a rest the first has all that belongs to it.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
struct HeadParts<'w> {
    place: &'w str,
    printed: &'w str,
    editorial: &'w str,
    octave: &'w str,
}

/// Reads a note or rest; the second part is what was left over, empty if all is well.
pub(crate) fn event(word: &str) -> Option<(EventWord, &str)> {
    event_word(word).ok().map(|(rest, (event, _))| (event, rest))
}

/// Where in the word of a note, or of a direct, the octave of one of its letters belongs; `number`
/// counts the notes of the word from 0.
pub(crate) fn octave_place(word: &str, number: usize) -> usize {
    let mut at = usize::from(word.starts_with(['.', '~']));
    for head in word[at..].split('+').take(number) {
        at += head.len() + 1;
    }
    let (is_direct, head) = (word.starts_with('~'), &word[at.min(word.len())..]);
    let signs = pair(opt(accidental), opt(delimited(char('['), accidental, char(']'))));
    let mut letter = recognize(pair(step, signs));
    match letter.parse(head) {
        Ok((_, letter)) if !is_direct => at + letter.len(),
        _ => (at + 1).min(word.len()),
    }
}

/// Reads a direct, `~E4`.
pub(crate) fn direct(word: &str) -> Option<PlaceWord> {
    let (rest, place) = preceded(char('~'), place_word).parse(word).ok()?;
    rest.is_empty().then_some(place)
}

/// Reads `3:2`.
pub(crate) fn ratio(word: &str) -> Option<Proportion> {
    let (rest, (many, time)) = separated_pair(number, char(':'), number).parse(word).ok()?;
    let figures = (u32::try_from(many).ok()?, u32::try_from(time).ok()?);
    if rest.is_empty() { Proportion::new(figures.0, figures.1) } else { None }
}

/// Reads a length in minims, `5/2` or `3`.
pub(crate) fn minims(word: &str) -> Option<Time> {
    let (rest, time) = time(word).ok()?;
    rest.is_empty().then_some(time)
}

/// Reads `3-17`, or `3` for `3-3`.
pub(crate) fn events(word: &str) -> Option<(u32, u32)> {
    let (rest, (first, last)) = pair(number, opt(preceded(char('-'), number))).parse(word).ok()?;
    let (first, last) = (u32::try_from(first).ok()?, u32::try_from(last.unwrap_or(first)).ok()?);
    (rest.is_empty() && 1 <= first && first <= last).then_some((first, last))
}

type Parsed<'w, T> = IResult<&'w str, T>;

fn event_word(word: &str) -> Parsed<'_, (EventWord, Parts<'_>)> {
    let (word, completing) = map(opt(char('.')), |dot| dot.is_some()).parse(word)?;
    let (word, (body, head, others)) = alt((rest, heads)).parse(word)?;
    let (word, (dot_part, dot)) = consumed(opt(dot)).parse(word)?;
    let signs = many0(map_opt(take(1usize), NoteSign::from_typed));
    let (word, (marks, (signs, length))) =
        consumed((signs, opt(preceded(char('='), time)))).parse(word)?;
    let signs = signs.into_iter().collect();
    let event = EventWord { completing, body, dot, signs, length };
    Ok((word, (event, Parts { head, others, dot: dot_part, marks })))
}

/// What an event consists of, its first head in its parts, and the others as they are typed.
type Heads<'w> = (Body, HeadParts<'w>, &'w str);

fn heads(word: &str) -> Parsed<'_, Heads<'_>> {
    let (word, (first, parts)) = head(word)?;
    let (word, (others, more)) = consumed(many0(preceded(char('+'), head))).parse(word)?;
    let more = more.into_iter().map(|(head, _)| head);
    Ok((word, (Body::Heads(std::iter::once(first).chain(more).collect()), parts, others)))
}

fn head(word: &str) -> Parsed<'_, (HeadWord, HeadParts<'_>)> {
    let (word, (place_part, place)) = consumed(place_before_accidental).parse(word)?;
    let (word, (printed_part, printed)) = consumed(opt(accidental)).parse(word)?;
    let (word, (editorial_part, editorial)) =
        consumed(opt(delimited(char('['), accidental, char(']')))).parse(word)?;
    let (word, (octave_part, place)) = match place {
        PlaceWord::Letter(step, _) => {
            consumed(map(opt(octave), |octave| PlaceWord::Letter(step, octave))).parse(word)?
        }
        PlaceWord::Position(_) => (word, ("", place)),
    };
    let parts = HeadParts {
        place: place_part,
        printed: printed_part,
        editorial: editorial_part,
        octave: octave_part,
    };
    Ok((word, (HeadWord { place, printed, editorial }, parts)))
}

fn place_before_accidental(word: &str) -> Parsed<'_, PlaceWord> {
    alt((map(step, |step| PlaceWord::Letter(step, None)), map(position, PlaceWord::Position)))
        .parse(word)
}

fn place_word(word: &str) -> Parsed<'_, PlaceWord> {
    alt((
        map((step, opt(octave)), |(step, octave)| PlaceWord::Letter(step, octave)),
        map(position, PlaceWord::Position),
    ))
    .parse(word)
}

fn step(word: &str) -> Parsed<'_, Step> {
    map_opt(satisfy(|c| c.is_ascii_alphabetic()), Step::from_letter).parse(word)
}

fn accidental(word: &str) -> Parsed<'_, Accidental> {
    map_opt(one_of("#bn"), Accidental::from_letter).parse(word)
}

fn octave(word: &str) -> Parsed<'_, i8> {
    map_opt(one_of("0123456789"), |digit| digit.to_digit(10).map(|octave| octave as i8)).parse(word)
}

/// A place has two digits at most; more are left over, and so reported.
fn position(word: &str) -> Parsed<'_, Place> {
    let digits = take_while_m_n(1, 2, |c: char| c.is_ascii_digit());
    map_opt(recognize(pair(opt(char('-')), digits)), |text: &str| text.parse().ok()).parse(word)
}

fn rest(word: &str) -> Parsed<'_, Heads<'_>> {
    let once = Body::Rest { times: 1, spaces: None };
    let times = map_opt(preceded(char('*'), number), |times| {
        let times = u32::try_from(times).ok().filter(|times| *times > 0)?;
        Some(Body::Rest { times, spaces: None })
    });
    let spaces = map(one_of("23"), |digit| Body::Rest {
        times: 1,
        spaces: Some(if digit == '2' { 2 } else { 3 }),
    });
    let body = map(opt(alt((times, spaces))), |body| body.unwrap_or(once.clone()));
    let (word, (place, body)) = consumed(preceded(char('_'), body)).parse(word)?;
    Ok((word, (body, HeadParts { place, ..HeadParts::default() }, "")))
}

fn dot(word: &str) -> Parsed<'_, Dot> {
    alt((value(Dot::Adds, tag(".+")), value(Dot::Divides, tag(".:")), value(Dot::Plain, char('.'))))
        .parse(word)
}

fn time(word: &str) -> Parsed<'_, Time> {
    map_opt(pair(number, opt(preceded(char('/'), number))), |(above, below)| {
        let below = below.unwrap_or(1);
        (above > 0 && below > 0).then(|| Time::new(above, below))
    })
    .parse(word)
}

fn number(word: &str) -> Parsed<'_, i64> {
    map_opt(take_while1(|c: char| c.is_ascii_digit()), |digits: &str| {
        digits.parse().ok().filter(|number| *number <= LARGEST_NUMBER)
    })
    .parse(word)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole(word: &str) -> EventWord {
        let (event, rest) = event(word).unwrap();
        assert_eq!(rest, "", "{word}");
        event
    }

    fn one_head(word: &str) -> HeadWord {
        match whole(word).body {
            Body::Heads(heads) if heads.len() == 1 => heads[0],
            body => panic!("{word}: {body:?}"),
        }
    }

    #[test]
    fn a_note_has_its_parts_in_order() {
        let note = whole("F#[n]4.^%?=5/2");
        let Body::Heads(heads) = &note.body else { panic!() };
        assert_eq!(heads[0].place, PlaceWord::Letter(Step::F, Some(4)));
        assert_eq!(heads[0].printed, Some(Accidental::Sharp));
        assert_eq!(heads[0].editorial, Some(Accidental::Natural));
        assert_eq!(note.dot, Some(Dot::Plain));
        assert_eq!(note.signs.to_string(), "^%?");
        assert_eq!(note.length, Some(Time::new(5, 2)));
    }

    #[test]
    fn b_is_a_letter_first_and_a_flat_after() {
        assert_eq!(one_head("b").printed, None);
        assert_eq!(one_head("bb").printed, Some(Accidental::Flat));
        assert_eq!(one_head("Bb3").place, PlaceWord::Letter(Step::B, Some(3)));
    }

    #[test]
    fn the_editor_decides_about_a_dot() {
        assert_eq!(whole("D.+").dot, Some(Dot::Adds));
        assert_eq!(whole("D.:").dot, Some(Dot::Divides));
    }

    #[test]
    fn several_notes_at_once() {
        let Body::Heads(heads) = whole("D4+A4.").body else { panic!() };
        assert_eq!(heads.len(), 2);
    }

    #[test]
    fn positions_may_be_negative() {
        assert_eq!(one_head("-1#").place, PlaceWord::Position(-1));
        assert_eq!(one_head("12").place, PlaceWord::Position(12));
        assert!(whole(".6").completing);
    }

    #[test]
    fn rests() {
        assert_eq!(whole("_").body, Body::Rest { times: 1, spaces: None });
        assert_eq!(whole("_*4").body, Body::Rest { times: 4, spaces: None });
        assert_eq!(whole("_3").body, Body::Rest { times: 1, spaces: Some(3) });
        assert_eq!(event("_*0").unwrap().1, "*0");
    }

    #[test]
    fn what_is_left_over_is_given_back() {
        assert_eq!(event("D4#").unwrap().1, "#");
        assert_eq!(event("D=1/0").unwrap().1, "=1/0");
        assert_eq!(event("D=99999999999999999999").unwrap().1, "=99999999999999999999");
        assert_eq!(event("H4"), None);
    }

    #[test]
    fn an_octave_stands_after_the_signs_of_its_letter() {
        for (word, number, with) in [
            ("D", 0, "D4"),
            ("Bb.^", 0, "Bb4.^"),
            ("b", 0, "b4"),
            ("F#[n]=3", 0, "F#[n]4=3"),
            (".E", 0, ".E4"),
            ("D4+A[#].", 1, "D4+A[#]4."),
            ("~E", 0, "~E4"),
        ] {
            let at = octave_place(word, number);
            assert_eq!(format!("{}4{}", &word[..at], &word[at..]), with, "{word}");
        }
    }

    #[test]
    fn directs_ratios_and_ranges() {
        assert_eq!(direct("~E4"), Some(PlaceWord::Letter(Step::E, Some(4))));
        assert_eq!(direct("~E#"), None);
        assert_eq!(ratio("3:2"), Proportion::new(3, 2));
        assert_eq!(ratio("3:0"), None);
        assert_eq!(events("3-17"), Some((3, 17)));
        assert_eq!(events("3-1"), None);
    }
}
