//! Pairs of voices that enter one after the other, and pairs that answer them.
//!
//! Two entries are answered by another two if each is answered after the same time and at the same
//! interval, octaves left out, and the pairs are further apart than the voices of a pair: else they
//! are a row of entries. (Common practice of the generation of Josquin and after; from memory.)

use rudiments::Time;

use super::{Answer, Duo, Entry, Order};
use crate::texture::Texture;

/// Of so many entries that follow one, each may be its answer.
const FOLLOWING: usize = 6;

/// The duos, in order of time.
pub(super) fn duos(entries: &[Entry], texture: &Texture) -> Vec<Duo> {
    let voice = |entry: usize| entries[entry].first.voice;
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    // Each answering pair, with the one that it answers.
    let mut answers: Vec<((usize, usize), (usize, usize))> = Vec::new();
    // The entries of each subject that come next.
    for (first, one) in entries.iter().enumerate() {
        let seconds = first + 1..entries.len().min(first + 1 + FOLLOWING);
        let mut others = seconds.filter(|second| voice(*second) != voice(first));
        let answer = others.clone().find_map(|second| answer(entries, first, second));
        let next = others.find(|second| entries[*second].subject == one.subject);
        match (answer, next) {
            (Some((second, third, fourth)), _) => {
                pairs.extend([(first, second), (third, fourth)]);
                answers.push(((third, fourth), (first, second)));
            }
            (None, Some(second))
                if texture.lines.len() > 2
                    && is_alone(texture, &entries[first], &entries[second]) =>
            {
                pairs.push((first, second));
            }
            _ => {}
        }
    }
    pairs.sort_unstable();
    pairs.dedup();
    answers.sort_unstable();
    let place = |pair: &(usize, usize)| pairs.binary_search(pair).ok();
    let duo = |pair: &(usize, usize)| {
        let (first, second) = *pair;
        let answered = answers.partition_point(|(answer, _)| answer < pair);
        let answered = answers.get(answered).filter(|(answer, _)| answer == pair);
        let answers = answered.and_then(|(_, other)| {
            let (one, two) = *other;
            let [upper, lower] = [steps(entries, one, first)?, steps(entries, two, second)?];
            Some(Answer {
                duo: place(other)?,
                steps: upper,
                delay: entries[first].onset - entries[one].onset,
                order: if upper == lower { Order::Same } else { Order::Exchanged },
            })
        });
        let alone = is_alone(texture, &entries[first], &entries[second]);
        Duo { first, second, alone, answers }
    };
    pairs.iter().map(duo).collect()
}

/// Staff steps from the first note of an entry to that of a later one of its subject.
fn steps(entries: &[Entry], from: usize, to: usize) -> Option<i32> {
    let from_model = |entry: &Entry| entry.model.map_or(0, |relation| relation.steps);
    let (one, other) = (&entries[from], &entries[to]);
    (one.subject == other.subject).then(|| from_model(other) - from_model(one))
}

/// The entries that answer two others as a pair, with the second of the two.
fn answer(entries: &[Entry], first: usize, second: usize) -> Option<(usize, usize, usize)> {
    let apart = entries[second].onset - entries[first].onset;
    let form = |entry: usize| entries[entry].form;
    let voice = |entry: usize| entries[entry].first.voice;
    if apart == Time::ZERO {
        return None;
    }
    let end = entries.len().min(second + 1 + FOLLOWING);
    (second + 1..end).find_map(|third| {
        let between = steps(entries, first, third)?;
        let delay = entries[third].onset - entries[first].onset;
        let far = entries[third].onset - entries[second].onset > apart;
        let fourth =
            (third + 1..end.max(entries.len().min(third + 1 + FOLLOWING))).find(|fourth| {
                entries[*fourth].onset - entries[second].onset == delay
                    && steps(entries, second, *fourth)
                        .is_some_and(|steps| (steps - between).rem_euclid(7) == 0)
                    && form(*fourth) == form(second)
                    && voice(*fourth) != voice(third)
            })?;
        let mut voices = [[voice(first), voice(second)], [voice(third), voice(fourth)]];
        for pair in &mut voices {
            pair.sort_unstable();
        }
        let others = voices[0] != voices[1];
        (far && others && form(first) == form(third)).then_some((second, third, fourth))
    })
}

/// Whether only the voices of two entries begin notes, once the first has entered, until the second's
/// subject ends. What a voice sang before may sound out.
fn is_alone(texture: &Texture, first: &Entry, second: &Entry) -> bool {
    let ticks = |time: Time| time.numerator() * (texture.minim / time.denominator());
    let (from, to) = (ticks(first.onset), ticks(second.end));
    texture.lines.iter().all(|line| {
        let own = [first, second].iter().any(|entry| entry.first.voice == line.voice);
        let after = line.notes.partition_point(|note| note.onset <= from);
        let mut meanwhile = line.notes[after..].iter().take_while(|note| note.onset < to);
        own || meanwhile.all(|note| note.pitch.is_none())
    })
}
