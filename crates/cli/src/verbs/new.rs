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
    let form = form(stem, voices, &clefs);
    write_new(&path, form.as_bytes(), options.replace, &Inputs::default())?;
    let said = format!("{} is written: type each voice below its line\n", shown(&path));
    say(&Printed::plain(said));
    Ok(Outcome::Done)
}

/// A parts file without music.
pub(crate) fn form(title: &str, voices: usize, clefs: &[String]) -> String {
    let mut form = format!("title   {title}\n");
    form.push_str(
        "; source  where it is printed\n; layout  stacked, if the voices stand one above another\n\
         sign    C|\n\n",
    );
    for place in 0..voices {
        let name = usual_names(voices)
            .map_or_else(|| format!("Voice{}", place + 1), |names| names[place].to_owned());
        let clef = clefs.get(place).map_or_else(|| usual_clef(&name), String::as_str);
        let example = if place == 0 { example(clef) } else { String::new() };
        let _ = write!(form, "voice {name}  clef {clef}\n{example}\n");
    }
    form
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
    fn clefs_are_taken_in_order() {
        let form = form("x", 2, &["G2".to_owned(), "C3".to_owned()]);
        assert!(
            form.contains("voice Cantus  clef G2\n") && form.contains("voice Tenor  clef C3\n")
        );
    }
}
