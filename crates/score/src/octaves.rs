//! Which of its two places on the staff a letter without an octave most likely means.

use std::collections::HashMap;

use notation::{Edit, Event, Evidence, ItemId, ItemKind, Piece, Span, Undecided};
use rudiments::{Time, Tone};

use crate::timed::{Score, TimedEvent, TimedVoice};

/// What speaks for one of the two places of each undecided letter; beside [`Piece::undecided`].
///
/// A letter takes the notes after it with it whose place depends on its own: all of them are tried
/// at both places. Two witnesses are heard, each by plain rules (common practice):
///
/// - the other voices: at the wrong place, a voice crosses voices that lie higher or lower than it, by
///   more steps; or a fifth over the lowest voice becomes a fourth.
/// - the line: at the wrong place, the leaps to and from these notes are wider, or the voice goes
///   further from the middle of its other notes, or beyond them.
///
/// A witness speaks only if the one place costs clearly more than the other. Letters are heard from
/// the left, twice: what is decided by both is known to those that come after it.
pub fn octaves(piece: &Piece, score: &Score) -> Vec<Evidence> {
    let mut hearing = Hearing::new(piece, score);
    let mut evidence = vec![Evidence::default(); piece.undecided.len()];
    for _ in 0..ROUNDS {
        for (evidence, letter) in evidence.iter_mut().zip(&piece.undecided) {
            *evidence = hearing.evidence(letter);
        }
    }
    evidence
}

/// An octave on which both witnesses agree.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DecidedOctave {
    /// The word of the note.
    pub span: Span,
    /// The tone that is meant.
    pub tone: Tone,
    /// What types the octave.
    pub edit: Edit,
}

/// The octaves on which both witnesses agree, for what [`octaves`] says. Where the clef of a voice looks
/// wrong, none of it is decided.
pub fn decided_octaves(piece: &Piece, evidence: &[Evidence]) -> Vec<DecidedOctave> {
    let is_doubtful = |voice: usize| piece.doubtful_clefs.iter().any(|clef| clef.voice == voice);
    let decided = piece.undecided.iter().zip(evidence).filter_map(|(letter, evidence)| {
        let tone = evidence.decided().filter(|_| !is_doubtful(letter.voice))?;
        let at = Span { start: letter.at, end: letter.at };
        let edit = Edit::new(at, tone.octave.to_string());
        Some(DecidedOctave { span: letter.span, tone, edit })
    });
    decided.collect()
}

/// How often all letters are heard.
const ROUNDS: usize = 2;

/// So much more must the wrong place cost: by the other voices, in steps of crossing; by the line, as
/// leaps cost.
const MARGIN_OF_VOICES: i32 = 5;
const MARGIN_OF_LINE: i32 = 5;

/// A fourth over the lowest voice costs as much as crossing by so many steps.
const FOURTH: i32 = 5;

/// A voice lies higher than another if the middle of its notes does by so many steps.
const APART: i32 = 2;

/// So many notes of another voice are looked at while one note sounds.
const MOST_BESIDE: usize = 16;

/// A note at two places.
struct Note<'s> {
    item: ItemId,
    event: Option<&'s TimedEvent>,
    taken: Tone,
    other: Tone,
}

struct Hearing<'a> {
    piece: &'a Piece,
    score: &'a Score,
    /// The notes of the letters and of what depends on them: nothing until both witnesses agree.
    decided: HashMap<ItemId, Option<Tone>>,
    /// The lowest and the highest of the other notes of each voice, and the middle of all.
    ranges: Vec<Option<(i32, i32, i32)>>,
    /// When the undecided notes sound.
    timed: HashMap<ItemId, &'a TimedEvent>,
}

impl<'a> Hearing<'a> {
    fn new(piece: &'a Piece, score: &'a Score) -> Hearing<'a> {
        let items = |letter: &Undecided| {
            let (voice, own) = (letter.voice, letter.item);
            let run = letter.run.iter().map(|(item, _)| *item);
            let all: Vec<usize> = own.into_iter().chain(run).collect();
            all.into_iter().map(move |item| (ItemId { voice, item }, None))
        };
        let decided: HashMap<ItemId, Option<Tone>> =
            piece.undecided.iter().flat_map(items).collect();
        let range = |(voice, of): (usize, &notation::Voice)| {
            let known = of.items.iter().enumerate().filter_map(|(item, found)| match &found.kind {
                ItemKind::Event(event) if !decided.contains_key(&ItemId { voice, item }) => {
                    event.notes().first().map(|note| note.tone)
                }
                _ => None,
            });
            let mut rungs: Vec<i32> = known.map(Tone::rung).collect();
            rungs.sort_unstable();
            Some((*rungs.first()?, *rungs.last()?, rungs[rungs.len() / 2]))
        };
        let ranges = piece.voices.iter().enumerate().map(range).collect();
        let of_voice = |voice: &'a TimedVoice| {
            let own = voice.events.iter().filter_map(|event| Some((event.item?, event)));
            own.filter(|(item, _)| item.voice == voice.place)
        };
        let timed = score.voices.iter().flat_map(of_voice);
        let timed = timed.filter(|(item, _)| decided.contains_key(item)).collect();
        Hearing { piece, score, decided, ranges, timed }
    }

    fn evidence(&mut self, letter: &Undecided) -> Evidence {
        let Some(notes) = self.notes(letter) else { return Evidence::default() };
        let by_voices = self.by_voices(letter.voice, &notes);
        let by_line = self.by_line(letter.voice, &notes);
        let first = |is_other: bool| if is_other { letter.other() } else { letter.taken };
        let evidence = Evidence { by_voices: by_voices.map(first), by_line: by_line.map(first) };
        let decided = evidence.decided();
        for note in &notes {
            let tone =
                decided.map(|tone| if tone == letter.taken { note.taken } else { note.other });
            self.decided.insert(note.item, tone);
        }
        evidence
    }

    /// The letter and what depends on it.
    fn notes(&self, letter: &Undecided) -> Option<Vec<Note<'a>>> {
        let voice = letter.voice;
        let own = (letter.item?, letter.other());
        let all = [own].into_iter().chain(letter.run.iter().copied());
        let notes = all.filter_map(|(item, other)| {
            let event = self.event_of(voice, item)?;
            let taken = event.notes().first()?.tone;
            let id = ItemId { voice, item };
            Some(Note { item: id, event: self.timed.get(&id).copied(), taken, other })
        });
        let notes: Vec<Note<'a>> = notes.collect();
        (!notes.is_empty()).then_some(notes)
    }

    fn event_of(&self, voice: usize, item: usize) -> Option<&'a Event> {
        match &self.piece.voices.get(voice)?.items.get(item)?.kind {
            ItemKind::Event(event) => Some(event),
            _ => None,
        }
    }

    /// The tone of an event, if it is known.
    fn tone(&self, event: &TimedEvent) -> Option<Tone> {
        match event.item.and_then(|item| self.decided.get(&item)) {
            Some(decided) => *decided,
            None => event.notes.first().map(|note| note.pitch.tone),
        }
    }

    /// Whether the other voices speak for the other place (`true`) or for the one that is taken.
    fn by_voices(&self, voice: usize, notes: &[Note<'_>]) -> Option<bool> {
        let [mut taken, mut other] = [0, 0];
        for note in notes {
            let Some(event) = note.event else { continue };
            let beside = self.beside(voice, event.onset, event.end());
            taken += cost_of_voices(note.taken, &beside);
            other += cost_of_voices(note.other, &beside);
        }
        cheaper(taken, other, MARGIN_OF_VOICES)
    }

    /// The known notes of other voices that sound in a span of time: whether they are of a higher
    /// voice, their tone, and whether they sound at its beginning.
    fn beside(&self, voice: usize, from: Time, to: Time) -> Vec<(i32, Tone, bool)> {
        let mut beside = Vec::new();
        for timed in self.score.voices.iter().filter(|timed| timed.place != voice) {
            let first = timed.events.partition_point(|event| event.end() <= from);
            let sounding = timed.events[first..].iter().take_while(|event| event.onset < to);
            for event in sounding.take(MOST_BESIDE) {
                if let Some(tone) = self.tone(event) {
                    let side = i32::from(self.is_higher(timed.place, voice))
                        - i32::from(self.is_higher(voice, timed.place));
                    beside.push((side, tone, event.onset <= from));
                }
            }
        }
        beside
    }

    fn by_line(&self, voice: usize, notes: &[Note<'_>]) -> Option<bool> {
        let (first, last) = (notes.first()?, notes.last()?);
        let before = self.neighbour(voice, (0..first.item.item).rev());
        let after = self.neighbour(voice, last.item.item + 1..self.piece.voices[voice].items.len());
        let cost = |tone_of: fn(&Note<'_>) -> Tone| {
            let leap = |near: Option<Tone>, note: &Note<'_>| {
                near.map_or(0, |near| leap(tone_of(note).steps_above(near)))
            };
            let range: i32 = notes.iter().map(|note| self.outside(voice, tone_of(note))).sum();
            leap(before, first) + leap(after, last) + range
        };
        cheaper(cost(|note| note.taken), cost(|note| note.other), MARGIN_OF_LINE)
    }

    /// The next note of a voice among items, if its tone is known.
    fn neighbour(&self, voice: usize, mut items: impl Iterator<Item = usize>) -> Option<Tone> {
        items.find_map(|item| {
            let of = &self.piece.voices[voice].items[item];
            let note = self.event_of(voice, item)?.notes().first()?;
            of.standing.is_read().then(|| match self.decided.get(&ItemId { voice, item }) {
                Some(decided) => *decided,
                None => Some(note.tone),
            })
        })?
    }

    /// What a tone costs by its distance from the middle and from the range of the other notes of its
    /// voice.
    fn outside(&self, voice: usize, tone: Tone) -> i32 {
        self.ranges[voice].map_or(0, |(low, high, middle)| {
            let rung = tone.rung();
            2 * (low - rung).max(rung - high).max(0) + (rung - middle).abs() / 2
        })
    }

    /// Whether one voice lies clearly higher than another.
    fn is_higher(&self, one: usize, other: usize) -> bool {
        match (self.ranges[one], self.ranges[other]) {
            (Some((.., one)), Some((.., other))) => one >= other + APART,
            _ => one < other,
        }
    }
}

/// Which of two costs is clearly less: whether it is the other.
fn cheaper(taken: i32, other: i32, margin: i32) -> Option<bool> {
    ((taken - other).abs() >= margin).then_some(other < taken)
}

/// What a note costs beside others.
fn cost_of_voices(tone: Tone, beside: &[(i32, Tone, bool)]) -> i32 {
    let crossing: i32 = beside
        .iter()
        .map(|(is_higher, other, _)| {
            let steps = tone.steps_above(*other);
            (steps * is_higher).max(0)
        })
        .sum();
    let at_once = beside.iter().filter(|(.., at_once)| *at_once).map(|(_, tone, _)| *tone);
    let lowest = at_once.clone().chain([tone]).min_by_key(|tone| tone.rung()).unwrap_or(tone);
    let fourths = at_once.chain([tone]).filter(|tone| tone.steps_above(lowest).rem_euclid(7) == 3);
    crossing + FOURTH * fourths.count() as i32
}

/// What a leap of so many steps costs.
fn leap(steps: i32) -> i32 {
    match steps.abs() {
        0..=2 => 0,
        3 => 1,
        4 => 2,
        7 => 4,
        5 => 5,
        _ => 10,
    }
}
