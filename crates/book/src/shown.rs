//! An example as the book shows it: its bars and voices, with the numbers of notes at their notes.

use cartella::{
    Aligned, Excerpt, Heading, Look, Mark, MarkShape, Mm, Numbers, Options, Picture, Report,
    RuleSet, Run, Score, Time,
};

use crate::text::FigureOptions;

/// An example that is ready to be laid out.
pub(crate) struct Shown<'b> {
    /// The score, cut to what is shown, without a heading.
    pub(crate) aligned: Aligned<'b>,
    /// What the editor changed in what is shown, each with its letter.
    pub(crate) critical: Vec<Critical>,
    options: Options,
}

/// A critical note.
pub(crate) struct Critical {
    pub(crate) letter: String,
    pub(crate) text: String,
    pub(crate) voice: String,
    /// The note or rest at which its letter stands.
    pub(crate) index: Option<u32>,
}

/// Makes an example ready; `marks` are numbers of footnotes at notes, by voice and index. Its critical notes are wanted
/// or not.
pub(crate) fn show<'b>(
    example: cartella::Example<'b>,
    asked: &FigureOptions,
    marks: &[(String, u32, String)],
    has_report: bool,
) -> Result<Shown<'b>, String> {
    let mut aligned = example.score(asked.bar);
    if aligned.score.voices.is_empty() {
        return Err("it has no music that can be laid out".to_owned());
    }
    let report = aligned.report();
    if asked.study {
        aligned.annotate(&aligned.study(RuleSet::default()));
    }
    let excerpt = excerpt(asked, &aligned.score)?;
    let critical =
        if has_report { critical(&report, &excerpt, &aligned.score) } else { Vec::new() };
    for (voice, index, words) in marks {
        mark(&mut aligned.score, voice, *index, words);
    }
    for note in &critical {
        if let Some(index) = note.index {
            mark(&mut aligned.score, &note.voice, index, &note.letter);
        }
    }
    for voice in places(&asked.blank, &aligned.score)? {
        aligned.score.blank(voice, Time::ZERO, aligned.score.length);
    }
    if excerpt != Excerpt::default() {
        aligned = aligned.excerpt(&excerpt).map_err(|none| none.to_string())?;
    }
    aligned.score.heading = Heading::default();
    let options =
        Options { staves: asked.staves, reduction: asked.reduction, ..Options::default() };
    Ok(Shown { aligned, critical, options })
}

impl Shown<'_> {
    /// The picture, so wide, with staves so high, and no white around it.
    pub(crate) fn picture(&self, width: Mm, staff: Mm) -> Picture {
        let look = Look { width, staff, margin: Mm(0.0), ..Look::default() };
        self.aligned.arrangement(self.options).picture(&look)
    }

    /// How it is arranged.
    pub(crate) fn options(&self) -> Options {
        self.options
    }
}

/// Puts words at a note or rest, if the score has it.
fn mark(score: &mut Score, voice: &str, index: u32, words: &str) {
    let Some(place) = score.voices.iter().position(|one| one.name == voice) else { return };
    let events = &score.voices[place].events;
    let Some(event) = events.iter().position(|event| event.index == Some(index)) else { return };
    score.marks.push(Mark {
        run: Run::one(place, event),
        shape: MarkShape::Label,
        color: None,
        words: words.to_owned(),
    });
}

/// The bars and voices that are asked for, which must be there.
fn excerpt(asked: &FigureOptions, score: &Score) -> Result<Excerpt, String> {
    let numbers = score.bars.first().map(|bar| bar.number).zip(score.bars.last());
    let bars = match (asked.bars, numbers) {
        (Some((first, last)), Some((least, most))) => {
            let last = last.unwrap_or(most.number.max(first));
            if first < least || last > most.number {
                return Err(format!("it has bars {least} to {}", most.number));
            }
            Some(first..=last)
        }
        _ => None,
    };
    let (kept, left_out) = (places(&asked.voices, score)?, places(&asked.without, score)?);
    let voices = match (kept.is_empty(), left_out.is_empty()) {
        (false, _) => Some(kept),
        (true, true) => None,
        (true, false) => {
            Some((0..score.voices.len()).filter(|place| !left_out.contains(place)).collect())
        }
    };
    if voices.as_ref().is_some_and(Vec::is_empty) {
        return Err("no voice is left: name fewer of them after without".to_owned());
    }
    Ok(Excerpt { bars, voices })
}

/// Voices by their names, which must be there.
fn places(names: &[String], score: &Score) -> Result<Vec<usize>, String> {
    let place = |name: &String| {
        score.voices.iter().position(|voice| voice.name == *name).ok_or_else(|| {
            let names: Vec<&str> = score.voices.iter().map(|voice| voice.name.as_str()).collect();
            format!("it has no voice {name}; its voices are {}", names.join(", "))
        })
    };
    names.iter().map(place).collect()
}

/// The entries of the report that are about what is shown, with letters.
fn critical(report: &Report, excerpt: &Excerpt, score: &Score) -> Vec<Critical> {
    let Ok(cut) = excerpt.of(score) else { return Vec::new() };
    let entries = report.clone().within(&cut).entries.into_iter().enumerate();
    let note = |(place, entry): (usize, cartella::Entry)| Critical {
        letter: letter(place),
        text: entry.text(),
        index: match entry.numbers {
            Numbers::Printed(first, _) => Some(first),
            Numbers::Before(next) => Some(next),
            Numbers::End => None,
        },
        voice: entry.voice,
    };
    entries.map(note).collect()
}

/// a, b … z, aa, ab …
fn letter(place: usize) -> String {
    let last = char::from(b'a' + (place % 26) as u8);
    if place < 26 { last.to_string() } else { format!("{}{last}", letter(place / 26 - 1)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        let letters = [0, 25, 26, 27, 51, 52, 701, 702].map(letter);
        assert_eq!(letters, ["a", "z", "aa", "ab", "az", "ba", "zz", "aaa"]);
    }
}
