//! Names of voices, from what a file calls them or what they are usually called.

use notation::{may_name_a_voice, part_book, usual_names};

/// What the voice at a place among so many is called if nothing else is known: as usual, else by its
/// number.
pub(crate) fn by_place(place: usize, voices: usize) -> String {
    let usual = usual_names(voices).map(|names| names[place].to_owned());
    usual.unwrap_or_else(|| by_number(place))
}

/// What the voices in files of these names are called, top voice first: after the part-books that the names
/// name, or else as voices usually are; each has a name of its own.
pub fn names_of_files(files: &[String]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for file in files {
        let named = part_book(file).map(str::to_owned);
        let named = named.unwrap_or_else(|| by_place(names.len(), files.len()));
        names.push(voice_name(&named, &names));
    }
    names
}

/// What the voice at a place is called if not even its part is known.
pub(crate) fn by_number(place: usize) -> String {
    format!("Voice{}", place + 1)
}

/// As much of a name as makes a word.
pub(crate) fn short(name: &str) -> String {
    name.chars().take(40).collect()
}

/// The name of a voice: one word with a capital, that none of those before it has, and that is no
/// keyword of the parts file.
///
/// What cannot stand in a name becomes a hyphen; whoever has no letter at all is called `Voice`.
pub fn voice_name(given: &str, before: &[String]) -> String {
    let mut name = String::new();
    for character in given.chars() {
        if name.is_empty() {
            name.extend(character.to_uppercase().filter(|upper| upper.is_alphanumeric()));
        } else if character.is_alphanumeric() || matches!(character, '_' | '\'' | '.') {
            name.push(character);
        } else if !name.ends_with('-') {
            name.push('-');
        }
    }
    name.truncate(name.trim_end_matches('-').len());
    if !name.chars().any(char::is_alphabetic) {
        name.insert_str(0, "Voice");
    }
    let is_new = |name: &String| !before.contains(name) && may_name_a_voice(name);
    let numbered = (2..).map(|number| format!("{name}-{number}"));
    std::iter::once(name.clone()).chain(numbered).find(is_new).unwrap_or(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_one_capital_word() {
        for (given, name) in [
            ("cantus", "Cantus"),
            ("Tenor", "Tenor"),
            ("cantus secundus (2)", "Cantus-secundus-2"),
            ("bassus; \"low\" |", "Bassus-low"),
            ("élevée", "Élevée"),
            ("2", "Voice2"),
            ("", "Voice"),
            ("--", "Voice"),
            ("canon", "Canon-2"),
            ("Clef", "Clef-2"),
        ] {
            assert_eq!(voice_name(given, &[]), name, "{given}");
        }
    }

    #[test]
    fn a_name_is_unique() {
        let mut names: Vec<String> = Vec::new();
        for given in ["tenor", "Tenor", "tenor-2", "tenor"] {
            names.push(voice_name(given, &names));
        }
        assert_eq!(names, ["Tenor", "Tenor-2", "Tenor-2-2", "Tenor-3"]);
    }
}
