//! What stands on a sheet, in the language of whoever practises. All texts are in one file, a line a
//! text.

use std::collections::HashMap;

use crate::arguments::Language;

/// The texts of a language.
pub(super) struct Texts(HashMap<String, String>);

const FILE: &str = include_str!("texts.csv");

/// Where the texts of a language stand in a line.
fn column(language: Language) -> usize {
    match language {
        Language::En => 1,
        Language::Es => 2,
        Language::It => 3,
        Language::De => 4,
        Language::Fr => 5,
    }
}

impl Texts {
    pub(super) fn of(language: Language) -> Texts {
        let mut file = csv::Reader::from_reader(FILE.as_bytes());
        let lines = file.records().filter_map(Result::ok);
        let texts = lines.filter_map(|line| {
            Some((line.get(0)?.to_owned(), line.get(column(language))?.to_owned()))
        });
        Texts(texts.collect())
    }

    /// A text; its key where there is none, which a test forbids.
    pub(super) fn text<'t>(&'t self, key: &'t str) -> &'t str {
        self.0.get(key).map_or(key, String::as_str)
    }

    /// An interval in staff steps, up positive: `at the fifth above`.
    pub(super) fn interval(&self, steps: i32) -> String {
        let way = match steps {
            0 => return self.text("unison").to_owned(),
            1.. => "above",
            _ => "below",
        };
        let number = steps.unsigned_abs() + 1;
        // Beyond the double octave, octaves are left out.
        let number = if number > 15 { (number - 2) % 7 + 2 } else { number };
        let key = format!("interval-{number}");
        self.text(way).replace("{interval}", self.text(&key))
    }
}

#[cfg(test)]
mod tests {
    use clap::ValueEnum as _;

    use super::*;

    #[test]
    fn every_text_is_there_in_every_language() {
        let mut file = csv::Reader::from_reader(FILE.as_bytes());
        let lines: Vec<csv::StringRecord> = file.records().map(Result::unwrap).collect();
        assert!(lines.len() > 25);
        let slots = |text: &str| {
            let slots = text.split('{').skip(1);
            let mut slots: Vec<&str> = slots.map(|slot| slot.split('}').next().unwrap()).collect();
            slots.sort_unstable();
            slots.join(" ")
        };
        for line in &lines {
            assert_eq!(line.len(), 6, "{line:?}");
            assert!(line.iter().all(|text| !text.trim().is_empty()), "{line:?}");
            assert!(line.iter().skip(2).all(|text| slots(text) == slots(&line[1])), "{line:?}");
        }
    }

    #[test]
    fn intervals_have_names() {
        let texts = |language| Texts::of(language);
        assert_eq!(texts(Language::En).interval(4), "at the fifth above");
        assert_eq!(texts(Language::En).interval(-11), "at the twelfth below");
        assert_eq!(texts(Language::De).interval(-3), "in der Unterquarte");
        assert_eq!(texts(Language::Es).interval(0), "al unísono");
        for language in Language::value_variants() {
            for steps in -40..40 {
                let said = texts(*language).interval(steps);
                assert!(!said.contains(['{', '-']), "{said}");
            }
        }
    }
}
