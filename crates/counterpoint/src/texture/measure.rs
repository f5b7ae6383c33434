//! By what a passage is beaten: where it is counted from, and which of its values go in threes.

use rudiments::{Mensuration, Proportion, Time, Value};
use score::{Rule, Score, TimedEvent, TimedVoice};

use super::Grid;
use crate::rank::Rank;

/// How a passage of a voice is counted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Measure {
    /// Ticks in one of its minims: fewer than in a minim of the grid where it goes three to two.
    pub(crate) minim: i64,
    /// Which of its values are perfect.
    pub(crate) mensuration: Mensuration,
    /// By what its moments are ranked.
    tactus: Tactus,
}

/// By what moments are ranked.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Tactus {
    /// From where it is counted, in ticks.
    start: i64,
    /// Ticks in a minim.
    minim: i64,
    /// Which values are perfect.
    mensuration: Mensuration,
}

impl Measure {
    /// A whole piece that is counted in one way, from a moment on.
    pub(crate) fn throughout(minim: i64, mensuration: Mensuration, start: i64) -> Measure {
        Measure { minim, mensuration, tactus: Tactus { start, minim, mensuration } }
    }

    /// The rank of a moment of the piece.
    pub(crate) fn rank(&self, at: i64) -> Rank {
        let Tactus { start, minim, mensuration } = self.tactus;
        let threes = |value| mensuration.is_perfect(value);
        Rank::of(at - start, minim, threes(Value::Breve), threes(Value::Semibreve))
    }

    /// How long a part is, in ticks, if a moment is the second of three parts of a perfect breve or
    /// semibreve.
    pub(crate) fn second_of_three(&self, at: i64) -> Option<i64> {
        let Tactus { start, minim, mensuration } = self.tactus;
        let threes = |value| mensuration.is_perfect(value);
        let semibreve = if threes(Value::Semibreve) { 3 * minim } else { 2 * minim };
        let parts = [(Value::Breve, semibreve), (Value::Semibreve, minim)];
        let is_second = |part: i64| (at - start).rem_euclid(3 * part) == part;
        let second = parts.into_iter().find(|(value, part)| threes(*value) && is_second(*part));
        second.map(|(_, part)| part)
    }

    /// Whether its values are those by which moments are ranked, so that each has its natural place.
    pub(crate) fn is_beaten(&self) -> bool {
        self.minim == self.tactus.minim
    }

    /// Ticks of a length that is in minims of the passage.
    pub(crate) fn ticks(&self, length: Time) -> i64 {
        // What an editor has set may have any denominator.
        let ticks = i128::from(length.numerator()) * i128::from(self.minim);
        (ticks / i128::from(length.denominator())) as i64
    }

    /// Whether values have no length of their own, but by what stands around them.
    pub(crate) fn is_perfect(&self) -> bool {
        !self.mensuration.is_imperfect()
    }
}

/// By what events are counted: which values are perfect, and the proportion.
type Counting = (Mensuration, Proportion);

const PLAIN: Counting = (Mensuration::IMPERFECT, Proportion::EQUAL);

/// Events of one section of a voice that are counted in the same way.
struct Passage {
    /// Its first event.
    first: usize,
    section: usize,
    counting: Counting,
    /// When it begins, in ticks.
    onset: i64,
}

/// The measure of every event of every voice.
///
/// Where all voices of a section go through the same passages, the tactus of each is counted from
/// where most of them begin it, so that a voice which comes too early or late is seen to. Else it is
/// counted from the beginning of the section; a proportion that is not common to all goes against the
/// plain tactus of the others.
pub(super) fn measures(score: &Score, grid: Grid<'_>) -> Vec<Vec<Measure>> {
    let voices: Vec<Vec<Passage>> =
        score.voices.iter().map(|voice| passages(voice, grid)).collect();
    let measures = of_passages(&voices, grid);
    let voices = score.voices.iter().zip(&voices).zip(measures);
    voices
        .map(|((voice, passages), measures)| {
            let firsts = passages.iter().skip(1).map(|passage| passage.first);
            let ends = firsts.chain([voice.events.len()]);
            let mut of_events = Vec::with_capacity(voice.events.len());
            for (measure, end) in measures.into_iter().zip(ends) {
                of_events.resize(end, measure);
            }
            of_events
        })
        .collect()
}

/// The passages of a voice, section by section. What is counted by a rule of its own, such as
/// a black group, belongs to the passage around it.
fn passages(voice: &TimedVoice, grid: Grid<'_>) -> Vec<Passage> {
    let mut passages: Vec<Passage> = Vec::new();
    for (first, event) in voice.events.iter().enumerate() {
        let onset = grid.ticks(event.onset);
        let section = grid.section_at(onset);
        let last = passages.last().filter(|last| last.section == section);
        let before = last.map(|last| last.counting);
        let counting = match pace(event) {
            Some(proportion) => (event.mensuration, proportion),
            None => before.unwrap_or(PLAIN),
        };
        if before != Some(counting) {
            passages.push(Passage { first, section, counting, onset });
        }
    }
    passages
}

/// Whether a rule of its own gives an event its length, or its proportion cannot be kept.
pub(super) fn is_by_itself(event: &TimedEvent) -> bool {
    use Rule::{ColoredThirds, ColoredThreeForOne, Editor, Figure, MinorColor, Silence, TooFine};
    matches!(
        event.rule,
        Editor | ColoredThirds | ColoredThreeForOne | Figure | MinorColor | Silence | TooFine
    )
}

/// The proportion in which an event is counted, if its length shows that it can be kept: a last note is
/// held, whatever its proportion is.
pub(super) fn pace(event: &TimedEvent) -> Option<Proportion> {
    let is_held = event.rule == Rule::Held && !event.proportion.is_equal();
    (!is_by_itself(event) && !is_held).then_some(event.proportion)
}

/// The measure of each passage of each voice.
fn of_passages(voices: &[Vec<Passage>], grid: Grid<'_>) -> Vec<Vec<Measure>> {
    let mut measures: Vec<Vec<Measure>> = voices.iter().map(|_| Vec::new()).collect();
    for section in 0..grid.sections() {
        let begins = grid.bounds[section];
        let of_section: Vec<&[Passage]> = voices
            .iter()
            .map(|passages| {
                let from = passages.partition_point(|passage| passage.section < section);
                let to = passages.partition_point(|passage| passage.section <= section);
                &passages[from..to]
            })
            .collect();
        let mut sung = of_section.iter().filter(|passages| !passages.is_empty());
        let Some(model) = sung.next() else { continue };
        let countings = |passages: &[Passage]| -> Vec<Counting> {
            passages.iter().map(|passage| passage.counting).collect()
        };
        let first = countings(model);
        let together = sung.all(|passages| countings(passages) == first);
        for (passages, measures) in of_section.iter().zip(&mut measures) {
            measures.extend(passages.iter().enumerate().map(|(number, passage)| {
                let (mensuration, proportion) = passage.counting;
                let minim = grid.ticks(Time::minims(1) * proportion);
                let tactus = if together {
                    let start = if number == 0 { begins } else { most_common(&of_section, number) };
                    Tactus { start, minim, mensuration }
                } else if proportion.is_equal() {
                    Tactus { start: begins, minim, mensuration }
                } else {
                    let (mensuration, _) = PLAIN;
                    Tactus { start: begins, minim: grid.minim, mensuration }
                };
                Measure { minim, mensuration, tactus }
            }));
        }
    }
    measures
}

/// When most voices begin a passage; of two moments as common, the upper voice's.
fn most_common(voices: &[&[Passage]], number: usize) -> i64 {
    let onsets = || voices.iter().filter_map(|passages| passages.get(number)).map(|p| p.onset);
    let count = |onset: i64| onsets().filter(|other| *other == onset).count();
    onsets().rev().max_by_key(|onset| count(*onset)).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use notation::parse;
    use score::{BarLength, align, reckon};

    use super::super::Texture;
    use crate::rank::Rank;

    /// The ranks of all notes of a voice.
    fn ranks(text: &str, voice: usize) -> Vec<Rank> {
        let piece = parse(text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        let texture = Texture::new(&piece, &score);
        let notes = &texture.lines[voice].notes;
        notes.iter().map(|note| note.measure.rank(note.onset)).collect()
    }

    const TWO: &str = "voice A clef C1 sign C|\n br D4 sign C|3 sb E F G br A sb G sign C| lg F\n\
                       voice B clef F4 sign C|\n br D3 sign C|3 br C sb B2 D E D sign C| lg D\n";

    #[test]
    fn semibreves_in_threes() {
        use Rank::{Breve, Semibreve};
        let expected = [Breve, Breve, Semibreve, Semibreve, Breve, Semibreve, Breve];
        assert_eq!(ranks(TWO, 0), expected);
    }

    /// Two of three voices say where a passage begins.
    #[test]
    fn a_voice_that_comes_late_is_off_its_places() {
        let third = "voice C clef F4 sign C|\n br. D3 sign C|3 sb D D D br. D sign C| lg D\n";
        let late = ranks(&format!("{TWO}{third}"), 2);
        assert!(late[1..4].iter().all(|rank| *rank > Rank::Semibreve), "{late:?}");
    }

    /// What one voice alone sings three to two goes against the tactus of the others.
    #[test]
    fn a_proportion_of_one_voice() {
        let text = "voice A clef C1\n sb D4 ratio 3:2 sb E F G ratio 1:1 sb A lg G\n\
                    voice B clef F4\n lg D3 D\n";
        let ranks = ranks(text, 0);
        assert_eq!(ranks[1], Rank::Semibreve);
        assert_eq!(ranks[2..4], [Rank::Less; 2]);
        assert_eq!(ranks[4], Rank::Semibreve);
    }
}
