//! How long bars are: as long as the breve, or the semibreve, of the sign that most voices have.

use std::collections::BTreeSet;

use rudiments::{Mensuration, Time};

use super::BarLength;
use crate::passages::Passage;
use crate::reckon::{InSection, Mensurations, ReckonedVoice, Section};
use crate::timed::{Bar, Close};

/// The bars of a section: a list that begins with the section.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Measures {
    list: Vec<Measure<InSection>>,
    /// The voices that want other bars where they first do, by their places in the piece, and how
    /// long these would be.
    pub(super) others: Vec<(usize, Time)>,
}

/// How long bars are from a moment on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Measure<At> {
    from: At,
    bar: Time,
    mensuration: Mensuration,
}

impl Measures {
    /// Those of a section that these voices have.
    ///
    /// Voices in a proportion have no say, as passages of threes have bars of their own
    /// ([`Passage::bar`]). Where as many voices want one bar as another, the highest of them decides.
    /// Where all voices have a sign or ratio at one moment, bars begin anew.
    pub(super) fn of_section<'v>(
        voices: impl Iterator<Item = &'v ReckonedVoice>,
        number: usize,
        bar: BarLength,
    ) -> Measures {
        let found: Vec<(usize, Mensurations)> = voices
            .filter_map(|voice| Some((voice.place, lasting(voice.sections.get(number)?, bar))))
            .collect();
        let signs = || found.iter().map(|(_, mensurations)| mensurations);
        let mut next = vec![0; found.len()];
        let mut now: Vec<Option<Mensuration>> = vec![None; found.len()];
        let mut measures = vec![measure(InSection::START, bar, Mensuration::IMPERFECT)];
        let mut others = Vec::new();
        for at in signs().flatten().map(|(at, _)| *at).collect::<BTreeSet<InSection>>() {
            let mut all = true;
            for ((mensurations, next), now) in signs().zip(&mut next).zip(&mut now) {
                let begun = *next;
                while let Some((_, mensuration)) =
                    mensurations.get(*next).filter(|(from, _)| *from <= at)
                {
                    *now = *mensuration;
                    *next += 1;
                }
                all &= *next > begun;
            }
            let mensuration = match most_common(&now, bar) {
                Some(mensuration) => mensuration,
                None if all => Mensuration::IMPERFECT,
                None => continue,
            };
            let new = measure(at, bar, mensuration);
            if others.is_empty() {
                let wanted = now.iter().map(|one| one.map_or(new.bar, |one| bar.under(one)));
                let wanted = found.iter().map(|(place, _)| *place).zip(wanted);
                others.extend(wanted.filter(|(_, wanted)| *wanted != new.bar));
            }
            let same = |last: &Measure<_>| (last.bar, last.mensuration) == (new.bar, mensuration);
            match measures.last_mut() {
                Some(last) if last.from == at => *last = new,
                Some(last) if same(last) && !all => {}
                _ => measures.push(new),
            }
        }
        Measures { list: measures, others }
    }

    /// Where the bar ends in which a moment is.
    pub(super) fn end_of_bar(&self, at: InSection) -> InSection {
        let begun = self.list.partition_point(|measure| measure.from <= at);
        let measure = self.list[begun - 1];
        let whole = (at - measure.from).whole(measure.bar) + 1;
        let end = measure.from + measure.bar * whole;
        self.list.get(begun).map_or(end, |next| end.min(next.from))
    }

    /// The longest bar.
    pub(super) fn longest(&self) -> Time {
        self.list.iter().map(|measure| measure.bar).max().unwrap_or_default()
    }
}

/// The mensurations of a section without the proportions that last for less than a bar, until the
/// sign before them is in force again or the section ends. A proportion with which a section begins stays.
fn lasting(section: &Section, bar: BarLength) -> Mensurations {
    let least = bar.under(Mensuration::IMPERFECT);
    let mut kept = Mensurations::new();
    for (at, mensuration) in &section.mensurations {
        let sign = kept.iter().rev().find_map(|(_, mensuration)| *mensuration);
        if mensuration.is_some() && *mensuration == sign && kept.last().is_some_and(is_proportion) {
            without_short(&mut kept, *at, least);
            if !kept.last().is_some_and(is_proportion) {
                continue;
            }
        }
        kept.push((*at, *mensuration));
    }
    without_short(&mut kept, section.end, least);
    kept
}

fn is_proportion((_, mensuration): &(InSection, Option<Mensuration>)) -> bool {
    mensuration.is_none()
}

/// Takes away the last proportions that last for less than a bar until a moment.
fn without_short(kept: &mut Mensurations, until: InSection, least: Time) {
    while let [.., _, (from, None)] = kept.as_slice()
        && until - *from < least
    {
        kept.pop();
    }
}

fn measure(from: InSection, bar: BarLength, mensuration: Mensuration) -> Measure<InSection> {
    Measure { from, bar: bar.under(mensuration), mensuration }
}

/// The mensuration of the bar that most voices want; of equals, what the highest wants.
fn most_common(now: &[Option<Mensuration>], bar: BarLength) -> Option<Mensuration> {
    let of = |wanted: Time| now.iter().flatten().filter(|one| bar.under(**one) == wanted).count();
    let mut best: Option<(usize, Mensuration)> = None;
    for mensuration in now.iter().flatten() {
        let count = of(bar.under(*mensuration));
        if best.is_none_or(|(most, _)| count > most) {
            best = Some((count, *mensuration));
        }
    }
    best.map(|(_, mensuration)| mensuration)
}

/// The bars of a piece while its sections are put together.
#[derive(Default)]
pub(super) struct Layout {
    measures: Vec<Measure<Time>>,
    /// The ends of the sections.
    ends: Vec<(Time, Close)>,
}

impl Layout {
    /// Adds a section.
    pub(super) fn section(&mut self, measures: Measures, start: Time, end: Time, close: Close) {
        let placed = |Measure { from, bar, mensuration }: Measure<InSection>| Measure {
            from: start + from.passed(),
            bar,
            mensuration,
        };
        self.measures.extend(measures.list.into_iter().map(placed).filter(|one| one.from < end));
        self.ends.push((end, close));
    }

    /// The bars. They begin anew with each section, where the length of bars changes, and where all
    /// voices enter or leave a proportion together; the bar before that may be short. In a passage of
    /// such a proportion they are as long as it wants, where others have this length.
    pub(super) fn bars(self, passages: &[Passage], usual: Time) -> Vec<Bar> {
        let edges = passages.iter().flat_map(|one| [one.start, one.end]);
        let mut edges: Vec<Time> = edges.chain(self.measures.iter().map(|one| one.from)).collect();
        edges.sort_unstable();
        edges.dedup();
        let mut edges = edges.into_iter().peekable();
        let at = |at: Time| {
            let after = passages.partition_point(|one| one.end <= at);
            let passage = passages.get(after).filter(|one| one.start <= at);
            let begun = self.measures.partition_point(|measure| measure.from <= at);
            let measure = self.measures.get(begun.saturating_sub(1)).copied();
            match (passage, measure) {
                (Some(passage), _) => (passage.bar(usual), Mensuration::IMPERFECT),
                (None, Some(measure)) => (measure.bar, measure.mensuration),
                (None, None) => (usual, Mensuration::IMPERFECT),
            }
        };
        let mut bars = Vec::new();
        let mut start = Time::ZERO;
        for (end, close) in &self.ends {
            while let Some(edge) = edges.next_if(|edge| edge < end) {
                // An empty section has its end where it begins.
                if edge > start {
                    fill(&mut bars, start, edge, at(start), Close::Plain);
                    start = edge;
                }
            }
            fill(&mut bars, start, *end, at(start), *close);
            start = *end;
        }
        bars
    }
}

/// Fills a stretch with bars; the last of them may be short.
fn fill(
    bars: &mut Vec<Bar>,
    start: Time,
    end: Time,
    (bar, mensuration): (Time, Mensuration),
    close: Close,
) {
    let mut at = start;
    while at < end {
        let next = (at + bar).min(end);
        let close = if next == end { close } else { Close::Plain };
        let number = bars.len() as u32 + 1;
        bars.push(Bar { number, start: at, end: next, close, mensuration });
        at = next;
    }
}
