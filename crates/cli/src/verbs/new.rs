//! `new`: a parts file to fill in.

use std::fmt::Write as _;
use std::path::PathBuf;

use cartella::{Clef, usual_names};

use crate::Outcome;
use crate::arguments::New;
use crate::files::{Failure, Inputs, shown, write_new};
use crate::printed::Printed;
use crate::report::counted;
use crate::streams::say;

/// How many voices there are where nothing is said of them.
const USUAL_VOICES: usize = 4;

pub(crate) fn run(options: &New) -> Result<Outcome, Failure> {
    let clefs: Vec<String> = options.clefs.iter().map(ToString::to_string).collect();
    let voices = match (options.voices.map(usize::from), clefs.len()) {
        (None, 0) => USUAL_VOICES,
        (Some(voices), count) if count > 0 && count != voices => {
            return Err(Failure::Said(format!(
                "{} but {}, {}: name a clef for each voice, or leave out --voices",
                counted(voices, "voice"),
                counted(count, "clef"),
                clefs.join(",")
            )));
        }
        (Some(voices), _) => voices,
        (None, count) => count,
    };
    let name = options.name.file_name().map(|name| name.to_string_lossy().into_owned());
    let Some(name) = name else {
        return Err(Failure::Said("the piece needs a name, as in `cartella new duo`".to_owned()));
    };
    let stem = name.strip_suffix(".parts").unwrap_or(&name);
    let path: PathBuf = options.name.with_file_name(format!("{stem}.parts"));
    let form = match options.examples {
        Some(count) => chapter(stem, options.from, count.into(), voices, &clefs),
        None => form(stem, voices, &clefs),
    };
    write_new(&path, form.as_bytes(), options.replace, &Inputs::default())?;
    let said = match options.examples {
        Some(_) => "type each voice below its line; an example that you leave empty does no harm",
        None => "type each voice below its line",
    };
    let said = format!("{} is written: {said}\n", shown(&path));
    say(&Printed::plain(said));
    Ok(Outcome::Done)
}

/// A parts file without music.
pub(crate) fn form(title: &str, voices: usize, clefs: &[String]) -> String {
    let mut form = format!("title   {title}\n{COMMON}\n");
    voices_of(&mut form, voices, clefs, true);
    form
}

/// What most pieces say in their heads.
const COMMON: &str = "; source  where it is printed\n\
                      ; layout  stacked, if the voices stand one above another\nsign    C|\n";

/// A parts file with examples without music: what they have in common stands before the first.
fn chapter(title: &str, from: u32, count: u32, voices: usize, clefs: &[String]) -> String {
    let mut form =
        format!("title   {title}\n{COMMON}; topic   keywords of all examples, parted by commas\n");
    for number in (from..).take(count as usize) {
        let _ = write!(form, "\nexample {number}\n; title   its own\n\n");
        voices_of(&mut form, voices, clefs, number == from);
        form.truncate(form.trim_end().len());
        form.push('\n');
    }
    form
}

/// The lines of voices, the first with an example of music.
fn voices_of(form: &mut String, voices: usize, clefs: &[String], with_example: bool) {
    for place in 0..voices {
        let name = usual_names(voices)
            .map_or_else(|| format!("Voice{}", place + 1), |names| names[place].to_owned());
        let clef = clefs.get(place).map_or_else(|| usual_clef(&name), String::as_str);
        let example = if place == 0 && with_example { example(clef) } else { String::new() };
        let _ = write!(form, "voice {name}  clef {clef}\n{example}\n");
    }
}

/// A line of music under a clef, as a comment; it moves by step about the middle of the staff, where
/// every letter has one place.
fn example(clef: &str) -> String {
    let Some(clef) = Clef::parse(clef) else { return String::new() };
    let [low, middle, high] = [5, 6, 7].map(|place| clef.tone_at(place));
    let (first, second, third) = (low, middle.step, high.step);
    format!("  ; for example: sb {first} {second} mn {third} {second} lg {} //\n", low.step)
}

fn usual_clef(name: &str) -> &'static str {
    match name {
        "Cantus" | "Sextus" => "C1",
        "Altus" | "Octavus" => "C3",
        "Bassus" => "F4",
        _ => "C4",
    }
}

#[cfg(test)]
mod tests {
    use cartella::{Code, Document};

    use super::*;

    #[test]
    fn a_form_is_right_but_for_the_music() {
        for voices in 1..=10 {
            let parsed = Document::parse(form("x", voices, &[]));
            assert_eq!(parsed.first().piece().voices.len(), voices);
            assert!(parsed.diagnostics().iter().all(|found| found.code == Code::NoMusic));
        }
    }

    #[test]
    fn the_example_is_right_under_every_clef() {
        for clef in ["G2", "C1", "C2", "C3", "C4", "C5", "F3", "F4", "F5", "G1"] {
            let form = form("x", 1, &[clef.to_owned()]);
            let parsed = Document::parse(form.replace("; for example:", ""));
            assert_eq!(parsed.diagnostics(), [], "{form}");
            assert_eq!(parsed.first().piece().voices[0].items.len(), 6);
        }
    }

    #[test]
    fn a_chapter_has_numbered_examples_and_says_once_what_is_common() {
        let form = chapter("x", 12, 3, 2, &[]);
        let parsed = Document::parse(form.as_str());
        let names: Vec<_> = parsed.examples().filter_map(cartella::Example::name).collect();
        assert_eq!(names, ["12", "13", "14"]);
        assert_eq!(form.matches("sign ").count(), 1);
        assert!(parsed.examples().all(|one| one.piece().head.sign.is_some()));
        assert!(parsed.diagnostics().iter().all(|found| found.code == Code::NoMusic));
    }

    /// The others are read as they stand.
    #[test]
    fn a_mistake_in_one_example_leaves_the_others_whole() {
        let music = "  sb A4 G mn A G lg A //\n";
        let line = "voice Cantus  clef C1\n";
        let whole = chapter("x", 1, 3, 1, &[]).replace(line, &format!("{line}{music}"));
        for wrong in ["sb A4 H", "( sb A4 G", "voice Cantus clef C1", "< mn A4", "\"Prima pars"] {
            let (before, after) = whole.split_at(whole.find("example 2").unwrap());
            let broken = format!("{before}{}", after.replacen("sb A4 G", wrong, 1));
            let (whole, broken) =
                (Document::parse(whole.as_str()), Document::parse(broken.as_str()));
            assert!(broken.example("2").unwrap().has_errors(), "{wrong}");
            for name in ["1", "3"] {
                let [left, right] = [&whole, &broken].map(|one| one.example(name).unwrap());
                assert!(!right.has_errors(), "{wrong}");
                let pitches = |example: cartella::Example<'_>| {
                    let score = example.score(cartella::BarLength::Breve).score;
                    let events = score.voices.into_iter().flat_map(|voice| voice.events);
                    events.map(|one| (one.onset, one.notes.len())).collect::<Vec<_>>()
                };
                assert_eq!(pitches(left), pitches(right), "{wrong}");
            }
        }
    }

    #[test]
    fn clefs_are_taken_in_order() {
        let form = form("x", 2, &["G2".to_owned(), "C3".to_owned()]);
        assert!(
            form.contains("voice Cantus  clef G2\n") && form.contains("voice Tenor  clef C3\n")
        );
    }
}
