//! A sign that some voices have and another lacks.

use rudiments::{Mensuration, Proportion, Sign, Time, Value};

use super::{Line, Passage, is_plain};
use crate::reckon::{InSection, count_under};

/// A passage under a sign of proportion, in a voice that has it.
struct Model {
    start: InSection,
    end: InSection,
    proportion: Proportion,
    sign: Sign,
    /// The sign after it; none where it goes on to the last note.
    back: Option<Sign>,
}

pub(super) fn find(lines: &[Line<'_>]) -> Vec<Passage> {
    let (with, without): (Vec<usize>, Vec<usize>) = (0..lines.len())
        .partition(|line| lines[*line].events().iter().any(|e| !e.proportion.is_equal()));
    let Some(model) = with.first().and_then(|line| model(&lines[*line])) else { return Vec::new() };
    let last = lines[with[0]].last_onset();
    if with.iter().any(|line| lines[*line].last_onset() != last) {
        return Vec::new();
    }
    without.into_iter().filter_map(|line| lacking(lines, line, &model, last?)).collect()
}

/// The only passage of a voice that stands under figures.
fn model(line: &Line<'_>) -> Option<Model> {
    let events = line.events();
    let plain = |place: usize| events[place].proportion.is_equal();
    let first = (0..events.len()).find(|place| !plain(*place))?;
    let end = (first..events.len()).find(|place| plain(*place)).unwrap_or(events.len() - 1);
    if (end..events.len() - 1).any(|place| !plain(place)) {
        return None;
    }
    let proportion = events[first].proportion;
    let same = events[first..end].iter().all(|event| event.proportion == proportion);
    let sign = line.sign_before(first)?;
    (same && end > first).then(|| Model {
        start: events[first].onset,
        end: events[end].onset,
        proportion,
        sign,
        back: line.sign_before(end),
    })
}

/// The passage of a voice that lacks the sign: it begins when that of the model does, ends as long
/// before the last note, and is as long, in one of the ways in which its figures may be meant.
fn lacking(lines: &[Line<'_>], line: usize, model: &Model, last: InSection) -> Option<Passage> {
    let voice = &lines[line];
    let first = voice.at(model.start)?;
    let end = voice.at(voice.last_onset()? + (model.end - last))?;
    let events = voice.events().get(first..end)?;
    let late = voice.last_onset()? != last;
    let ways = [
        Mensuration::IMPERFECT,
        Mensuration::IMPERFECT.with(Value::Semibreve, true),
        Mensuration::IMPERFECT.with(Value::Breve, true),
    ];
    let as_long = |way: Mensuration| {
        let sum: Time = count_under(way, voice.printed, events).into_iter().sum();
        sum.checked_scale(model.proportion) == Some(model.end - model.start)
    };
    let explains = late && events.iter().all(is_plain) && ways.into_iter().any(as_long);
    explains.then_some(Passage { line, first, end, sign: model.sign, back: model.back })
}
