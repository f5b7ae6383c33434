//! Why an event lasts as long as it does, in a sentence.

use rudiments::Time;

use crate::rule::Rule;
use crate::timed::{Score, TimedEvent, TimedVoice};

/// Why an event lasts as long as it does, in a sentence: `Cantus 12, a breve, lasts 4 minims: what
/// follows makes it imperfect and takes a third of it`. Nothing where there is no such event.
///
/// `index` counts the printed notes and rests of the voice, from 1.
pub fn why(score: &Score, voice: &str, index: u32) -> Option<String> {
    let voice = score.voices.iter().find(|found| found.name == voice)?;
    let event = voice.events.iter().find(|event| event.index == Some(index))?;
    Some(why_lasting(voice, event))
}

/// The same of an event of a voice, which has no number where the editor supplied it.
pub fn why_lasting(voice: &TimedVoice, event: &TimedEvent) -> String {
    let which = event.index.map_or(" (supplied)".to_owned(), |index| format!(" {index}"));
    format!(
        "{}{which}, {}, lasts {}: {}{}",
        voice.name,
        named(event),
        minims(event.length),
        event.rule.sentence(),
        proportion(event)
    )
}

/// `a dotted semibreve`, `a rest of a minim`
fn named(event: &TimedEvent) -> String {
    let dot = if event.rule == Rule::DotAdds { "dotted " } else { "" };
    let rest = if event.is_rest() { "a rest of " } else { "" };
    let color = if event.colored { "black " } else { "" };
    format!("{rest}a {color}{dot}{}", event.value.name())
}

fn minims(length: Time) -> String {
    let plural = if length > Time::minims(1) { "s" } else { "" };
    format!("{} minim{plural}", length.spoken())
}

/// What the proportion adds to the rule.
fn proportion(event: &TimedEvent) -> String {
    let said = matches!(
        event.rule,
        Rule::ColoredThirds | Rule::ColoredThreeForOne | Rule::Figure | Rule::Held | Rule::Editor
    );
    if event.proportion.is_equal() || said {
        return String::new();
    }
    format!(
        "; {} of any value go in the time of {}",
        event.proportion.many(),
        event.proportion.in_time_of()
    )
}
