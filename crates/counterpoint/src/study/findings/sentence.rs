//! Findings in words.

use rudiments::Time;
use score::Score;

use super::{Finding, Pair};
use crate::observe::EventId;
use crate::study::rules::{Figure, Rule};

/// `bar 3, minim 2, Cantus 7 and Tenor 5`.
pub(super) fn place(finding: &Finding, score: &Score) -> String {
    let bar = score.bar_at(finding.at);
    let (number, start) = bar.map_or((0, finding.at), |bar| (bar.number, bar.start));
    let minim = (finding.at - start + Time::minims(1)).spoken();
    let names: Vec<String> = names(&finding.events, score);
    let names = match names.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
        None => String::new(),
    };
    format!("bar {number}, minim {minim}, {names}")
}

/// Events by their voices and their numbers in the source; of two notes of one voice both numbers.
fn names(events: &[EventId], score: &Score) -> Vec<String> {
    let of_voices = events.chunk_by(|one, other| one.voice == other.voice);
    let name = |events: &[EventId]| {
        let voice = score.voices.get(events[0].voice)?;
        let index = |id: &EventId| voice.events.get(id.event)?.index;
        let numbers: Vec<String> =
            events.iter().filter_map(index).map(|index| index.to_string()).collect();
        Some(format!("{} {}", voice.name, numbers.join("-")).trim_end().to_owned())
    };
    of_voices.filter_map(name).collect()
}

/// `two fifths in a row, in the same direction`.
pub(super) fn text(finding: &Finding) -> String {
    let text = match finding.rule {
        Rule::ParallelFifths => "two fifths in a row, in the same direction",
        Rule::ParallelOctaves => "two octaves or unisons in a row, in the same direction",
        Rule::SuccessiveFifths => "fifths on successive beats; what stands between is too short",
        Rule::SuccessiveOctaves => {
            "octaves or unisons on successive beats; what stands between is too short"
        }
        Rule::ContraryFifths => "two fifths in a row, in contrary motion",
        Rule::ContraryOctaves => "octave and unison in a row, in contrary motion",
        Rule::DirectFifth => "a fifth reached in the same direction",
        Rule::DirectOctave => "an octave or unison reached in the same direction",
        Rule::OuterFifths => {
            "two fifths in a row between what sounds highest and lowest, as voices cross"
        }
        Rule::OuterOctaves => {
            "two octaves in a row between what sounds highest and lowest, as voices cross"
        }
        Rule::FilledFifths => "two fifths in a row into the full chord at an end",
        Rule::FilledOctaves => "two octaves or unisons in a row into the full chord at an end",
        Rule::Crossing => "the voices cross",
        Rule::OneKey => "both voices strike one key",
        Rule::HeldKey => "the first holds the key that the second strikes again",
        Rule::SeveralNotes => "one voice has several notes at once, and not at an end",
        Rule::FalseRelation => "the same step with two signs: a false relation",
        Rule::MajorThirds => "two major thirds in a row, a whole tone apart",
        Rule::OtherValue => "a value that this species does not have",
        Rule::BrokenLigature => "the note is not tied over, as the fourth species asks",
        Rule::RepeatedNote => "the note is struck again, which this species does not do",
        Rule::Unison => "a unison in the midst",
        Rule::Augmented => "the voice moves by an augmented interval",
        Rule::Diminished => "the voice moves by a diminished interval",
        Rule::ChromaticStep => "the voice moves by a semitone on one step",
        Rule::Seventh => "the voice leaps a seventh",
        Rule::Sixth => "the voice leaps a sixth that is not a rising minor one",
        Rule::WideLeap => "the voice leaps more than an octave",
        Rule::UntreatedDissonance | Rule::Dissonance => {
            return finding
                .pair
                .as_ref()
                .map_or_else(String::new, |pair| dissonance(finding, pair));
        }
    };
    text.to_owned()
}

/// `a seventh on a minim, untreated`, or with the figure that it has.
fn dissonance(finding: &Finding, pair: &Pair) -> String {
    let interval = interval(pair.steps, pair.semitones);
    let place = pair.rank.name();
    let figure = pair.figure.name();
    match (finding.rule, pair.figure) {
        (_, Figure::Untreated) => format!("{interval} {place}, untreated"),
        (Rule::UntreatedDissonance, _) => {
            format!("{interval} {place} ({figure}): not allowed there")
        }
        _ => format!("{interval} {place}: {figure}"),
    }
}

/// A dissonant interval with its article, octaves above the second one left out.
fn interval(steps: i32, semitones: i32) -> String {
    let octaves = steps / 7;
    let size = semitones - octaves * 12;
    let name = match (steps % 7, size) {
        (1, 1 | 2) if octaves == 0 => "a second",
        (1, 1 | 2) => "a ninth",
        (6, 10 | 11) => "a seventh",
        (3, 5) => "a fourth",
        (3, 6) => "a tritone",
        (4, 6) => "a false fifth",
        (step, size) => {
            let kind = ["octave", "second", "third", "fourth", "fifth", "sixth", "seventh"];
            let natural = [0, 2, 4, 5, 7, 9, 11][step as usize];
            let quality = if size > natural { "an augmented" } else { "a diminished" };
            return format!("{quality} {}", kind[step as usize]);
        }
    };
    name.to_owned()
}

#[cfg(test)]
mod tests {
    use crate::study::judged::judge;
    use crate::study::rules::RuleSet;
    use crate::study::testing::{scored, voices};

    fn sentences(music: &[&str]) -> Vec<String> {
        let (piece, score) = scored(&voices(music));
        let found = judge(&piece, &score, RuleSet::About1560).findings;
        found.iter().map(|found| found.sentence(&score)).collect()
    }

    #[test]
    fn each_finding_has_its_place_and_a_sentence() {
        assert_eq!(
            sentences(&["br A4 mn A4 B4", "br D4 mn D4 E4"]),
            ["bar 2, minim 2, V0 3 and V1 3: two fifths in a row, in the same direction"]
        );
        assert_eq!(sentences(&["sb F4 sm _ B4"]), [] as [&str; 0]);
        assert_eq!(
            sentences(&["sm F4 B4"]),
            ["bar 1, minim 1 1/2, V0 1-2: the voice moves by an augmented interval"]
        );
        assert_eq!(
            sentences(&["sb C5 D5", "sb F4 C4"]),
            ["bar 1, minim 3, V0 2 and V1 2: a ninth on a semibreve, untreated"]
        );
    }
}
