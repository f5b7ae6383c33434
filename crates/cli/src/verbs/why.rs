//! `check --why`: why notes and rests last as long as they do.

use cartella::{Example, Score, TimedEvent, TimedVoice, why_lasting};

use crate::Outcome;
use crate::arguments::{Bars, Which};
use crate::files::Failure;
use crate::many::Answer;
use crate::passage::voice_named;
use crate::piece::Loaded;
use crate::printed::Printed;

/// Why the notes and rests that are asked for last as long as they do, a line for each.
pub(crate) fn answer(loaded: &Loaded, which: &Which, bars: Bars) -> Result<Answer, Failure> {
    let said = match which {
        Which::Number(voice, index) => {
            in_voice(loaded, voice, bars, |_, found| numbered(found, *index))?
        }
        Which::Bar(voice, number) => {
            in_voice(loaded, voice, bars, |score, found| in_bar(score, found, *number))?
        }
        // A voice may have a number for its name.
        Which::Place(line, column) => {
            let voice = line.to_string();
            let is_voice = |example: Example<'_>| {
                example.piece().voices.iter().any(|found| found.name == voice)
            };
            if loaded.examples().any(is_voice) {
                in_voice(loaded, &voice, bars, |_, found| numbered(found, *column))?
            } else {
                at(loaded, *line, *column, bars)?
            }
        }
    };
    let out = Printed::plain(said.join("\n") + "\n");
    Ok(Answer { out, err: Printed::default(), outcome: Outcome::Done })
}

/// What is said of a voice of the one example that is meant; else what is wrong with the question.
fn in_voice(
    loaded: &Loaded,
    voice: &str,
    bars: Bars,
    said: impl Fn(&Score, &TimedVoice) -> Result<Vec<String>, String>,
) -> Result<Vec<String>, Failure> {
    let example = loaded.one()?;
    let score = example.score(bars.bar.into()).score;
    let said = voice_named(&score, voice).and_then(|place| said(&score, &score.voices[place]));
    said.map_err(|message| Failure::Said(format!("{}: {message}", loaded.label(example))))
}

fn numbered(voice: &TimedVoice, index: u32) -> Result<Vec<String>, String> {
    match voice.events.iter().find(|event| event.index == Some(index)) {
        Some(event) => Ok(vec![why_lasting(voice, event)]),
        None => {
            let last = voice.events.iter().filter_map(|event| event.index).max().unwrap_or(0);
            Err(format!("{} has no event {index}; its last is {last}", voice.name))
        }
    }
}

/// All that begins in a bar; where nothing does, what is held into it.
fn in_bar(score: &Score, voice: &TimedVoice, number: u32) -> Result<Vec<String>, String> {
    let Some(bar) = score.bars.iter().find(|bar| bar.number == number) else {
        let last = score.bars.iter().map(|bar| bar.number).max().unwrap_or(0);
        return Err(format!("there is no bar {number}; the last is {last}"));
    };
    let typed = voice.events.iter().filter(|event| event.item.is_some());
    let sounding = typed.filter(|event| event.onset < bar.end && event.end() > bar.start);
    let (begin, held): (Vec<&TimedEvent>, Vec<&TimedEvent>) =
        sounding.partition(|event| event.onset >= bar.start);
    let said = |event: &&TimedEvent| why_lasting(voice, event);
    if !begin.is_empty() {
        return Ok(begin.iter().map(said).collect());
    }
    let name = &voice.name;
    Ok(match held.first() {
        Some(held) => vec![
            format!("nothing begins in {name} in bar {number}; what began before goes on:"),
            said(held),
        ],
        None => vec![format!("{name} has nothing in bar {number}")],
    })
}

/// What stands at a line and column of the file, or next after it on that line: a note may be followed
/// by other voices in canon, and a word may be several rests.
fn at(loaded: &Loaded, line: u32, column: u32, bars: Bars) -> Result<Vec<String>, Failure> {
    let source = loaded.source(&loaded.name);
    let mut found: Option<(u32, Vec<String>)> = None;
    for example in loaded.examples() {
        let score = example.score(bars.bar.into()).score;
        for voice in &score.voices {
            for event in voice.events.iter().filter(|event| event.item.is_some()) {
                let ((on, begin), (_, end)) = source.place_of_both_ends(event.span);
                if on != line || end <= column {
                    continue;
                }
                match &mut found {
                    Some((nearest, said)) if *nearest == begin => {
                        said.push(why_lasting(voice, event));
                    }
                    Some((nearest, _)) if *nearest < begin => {}
                    _ => found = Some((begin, vec![why_lasting(voice, event)])),
                }
            }
        }
    }
    found.map(|(_, said)| said).ok_or_else(|| {
        let name = &loaded.name;
        Failure::Said(format!(
            "{name}: no note or rest stands in line {line} from column {column} on"
        ))
    })
}
