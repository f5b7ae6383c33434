//! Blackened notes: what coloration makes of their lengths.
//!
//! Where the notes are perfect, black ones are imperfect (Tinctoris, *De regulari valore notarum*;
//! Gaffurius, *Practica musicae*, 1496, book 2, chapter 11; from memory). Where they hold two
//! already, practice is divided: two thirds of the plain value, three black in the time of two
//! white (Gaffurius; Morley, *Introduction to Practicall Musicke*, 1597, first part; from memory); or
//! three black minims in the time of one white, as in Italian madrigals of the 1580s under `C`
//! (common practice); and a black semibreve and minim, alone, as dotted minim and semiminim (Morley;
//! Praetorius, *Syntagma musicum* III, 1619; from memory).

mod choose;
mod fit;
mod groups;

use notation::{Dot, Span};
use rudiments::{Circle, Mensuration, Proportion, Sign, Time, Value};

pub(super) use choose::choose;

use super::perfection::sum;
use super::questions::Duple;
use super::section::{InSection, ReckonedVoice, Section, SectionEvent};
use super::walk::Stretch;
use super::written::Written;
use crate::rule::Rule;

/// Says of every black note of a stretch whether it is made imperfect, and counts the others.
/// Returns the first note of a group that could be read otherwise in duple time.
pub(super) fn count(events: &mut [Written], stretch: &Stretch, duple: Duple) -> Option<usize> {
    let mensuration = stretch.mensuration;
    let mut divided = None;
    let mut first = 0;
    while first < events.len() {
        let black = |event: &Written| event.colored || event.figured;
        if !black(&events[first]) {
            first += 1;
            continue;
        }
        let length = events[first..].iter().take_while(|event| black(event)).count();
        let group = first..first + length;
        if events[group.clone()].iter().any(|event| event.figured) {
            for event in &mut events[group.clone()] {
                count_figured(event);
            }
        } else if stretch.triple || makes_imperfect(&events[group.clone()], mensuration) {
            for event in &mut events[group.clone()] {
                event.black = true;
                event.count_alone(mensuration);
            }
        } else {
            let of_piece = match duple {
                Duple::Usual if usual_is_three_for_one(&events[group.clone()], stretch.sign) => {
                    Rule::ColoredThreeForOne
                }
                Duple::Usual | Duple::Thirds => Rule::ColoredThirds,
                Duple::ThreeForOne => Rule::ColoredThreeForOne,
            };
            let rule = match &events[group.clone()] {
                [first, ..] if first.ratio_decides => Rule::ColoredByRatio,
                events if is_dotted_figure(events) => Rule::ColoredPlain,
                _ => of_piece,
            };
            for event in &mut events[group.clone()] {
                count_duple(event, rule);
            }
            let is_set = events[group.clone()].iter().all(|event| event.typed.is_some());
            if rule == of_piece && !is_set {
                divided = divided.or(Some(group.start));
            }
        }
        first = group.end;
    }
    divided
}

/// Whether a group is made imperfect, rather than shortened as in duple time: it has a note that
/// would be perfect, or fills parts of a perfection.
fn makes_imperfect(group: &[Written], mensuration: Mensuration) -> bool {
    let Some(smallest) = mensuration.perfect_values().next() else { return false };
    let Some(part) = smallest.smaller() else { return false };
    let plain: Time = group.iter().map(|event| event.value.plain()).sum();
    group.iter().any(|event| event.value <= smallest)
        || (group.iter().any(|event| event.value == part) && plain.within(part.plain()).is_zero())
}

/// Whether a group in duple time is usually three in the time of one white: under `C`, whose beat
/// is the minim, a group of more than a semibreve and a minim that has stemmed notes, nothing
/// larger than the semibreve, and fills threes.
fn usual_is_three_for_one(group: &[Written], sign: Option<Sign>) -> bool {
    let under_c = sign.is_some_and(|sign| sign.circle == Some(Circle::Half) && !sign.stroke);
    under_c
        && !is_pair(group)
        && group.iter().all(|event| event.value >= Value::Semibreve)
        && group.iter().any(|event| event.value >= Value::Minim)
        && sum(group).is_some_and(|sum| sum.within(Time::minims(3)).is_zero())
}

/// A note and one of half its value.
fn is_pair(group: &[Written]) -> bool {
    matches!(group, [long, short] if long.value.smaller() == Some(short.value)
        && long.dot.is_none() && short.dot.is_none())
}

/// The blackened dotted figure of cadences: a dotted minim alone, or a minim and its semiminim
/// (Praetorius, *Syntagma musicum* III, 1619; from memory).
fn is_dotted_figure(group: &[Written]) -> bool {
    let [minim, semiminim @ ..] = group else { return false };
    let dotted = minim.dot.is_some_and(|dot| dot != Dot::Divides);
    let figure = match semiminim {
        [] => dotted,
        [semiminim] => semiminim.value == Value::Semiminim && !semiminim.rest,
        _ => false,
    };
    minim.value == Value::Minim && !minim.rest && figure
}

fn count_duple(event: &mut Written, rule: Rule) {
    event.fixed = true;
    if event.typed.is_some() {
        return;
    }
    event.group = match rule {
        Rule::ColoredThreeForOne => Proportion::TRIPLA,
        Rule::ColoredThirds => Proportion::SESQUIALTERA,
        _ => Proportion::EQUAL,
    };
    event.rule = rule;
    event.length = event.length * event.group;
}

/// An event of a group that figures mark: what looks like a semiminim is a black minim.
fn count_figured(event: &mut Written) {
    event.fixed = true;
    if event.typed.is_some() {
        return;
    }
    let looks_smaller = !event.colored && event.value > Value::Minim;
    event.group = if looks_smaller { Proportion::SESQUIALTERA } else { Proportion::TRIPLA };
    event.rule = Rule::Figure;
    event.length = event.length * event.group;
}

/// Where a black semibreve and minim stand alone, they are a dotted minim and a semiminim if
/// another voice begins a note at the place of that semiminim, and none where a third would begin.
/// Returns the span of the first such pair.
pub(super) fn minor_color(voices: &mut [ReckonedVoice]) -> Option<Span> {
    let mut first = None;
    for voice in 0..voices.len() {
        for number in 0..voices[voice].sections.len() {
            for long in pairs(&voices[voice].sections[number].events) {
                let pair = &voices[voice].sections[number].events[long..=long + 1];
                let (start, third) = (pair[0].onset, pair[1].onset);
                let half = (pair[1].end() - start).half();
                let dotted = start + half + half.half();
                let begins = |time: InSection| {
                    voices.iter().enumerate().any(|(other, found)| {
                        other != voice
                            && found.sections.get(number).is_some_and(|s| begins(s, time))
                    })
                };
                if begins(dotted) && !begins(third) {
                    first = first.or(Some(pair[0].span));
                    shift(&mut voices[voice].sections[number].events[long..=long + 1], dotted);
                }
            }
        }
    }
    first
}

/// Where such pairs begin.
fn pairs(events: &[SectionEvent]) -> Vec<usize> {
    let thirds =
        |place: usize| events.get(place).is_some_and(|event| event.rule == Rule::ColoredThirds);
    let black = |place: Option<usize>| {
        place.and_then(|place| events.get(place)).is_some_and(|event| event.colored)
    };
    let alone = |long: usize| !black(long.checked_sub(1)) && !black(Some(long + 2));
    (0..events.len())
        .filter(|long| thirds(*long) && thirds(*long + 1) && alone(*long))
        .filter(|long| events[*long].value.smaller() == Some(events[*long + 1].value))
        .filter(|long| !events[*long].is_rest() && !events[*long + 1].is_rest())
        .filter(|long| events[*long].length == events[*long + 1].length * 2)
        .collect()
}

/// Whether a note or rest of the section begins at that time.
fn begins(section: &Section, time: InSection) -> bool {
    section.events.binary_search_by(|event| event.onset.cmp(&time)).is_ok()
}

/// Lets the second of a pair begin at another time.
fn shift(pair: &mut [SectionEvent], time: InSection) {
    let [long, short] = pair else { return };
    let end = short.end();
    (long.length, short.onset, short.length) = (time - long.onset, time, end - time);
    for event in [long, short] {
        event.rule = Rule::MinorColor;
        // The third that coloration took is given up.
        event.proportion = event.proportion.and(Proportion::SUBSESQUIALTERA);
    }
}
