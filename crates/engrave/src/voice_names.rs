//! The names of voices as they stand beside staves: whole before the first system, short before those
//! that follow (common practice of scores).

use crate::units::Sp;

/// The size of their letters.
pub(crate) const SIZE: Sp = Sp(2.1);

/// A name as it is shown: its hyphens part words.
pub(crate) fn shown(name: &str) -> String {
    name.replace('-', " ")
}

/// Short forms: as much of the first word as tells it from other first words, and the words after it, as
/// in `T.` or `B. II`.
pub(crate) fn short(names: &[&str]) -> Vec<String> {
    let parts: Vec<(&str, &str)> =
        names.iter().map(|name| name.split_once('-').unwrap_or((name, ""))).collect();
    let common = |one: &str, other: &str| {
        one.chars().zip(other.chars()).take_while(|(one, other)| one == other).count()
    };
    let mut words: Vec<&str> = parts.iter().map(|(word, _)| *word).collect();
    words.sort_unstable();
    words.dedup();
    let short = |(word, rest): &(&str, &str)| {
        // In alphabetical order, what is most alike stands beside it.
        let place = words.binary_search(word).unwrap_or_default();
        let before = place.checked_sub(1).map(|before| words[before]);
        let neighbours = before.into_iter().chain(words.get(place + 1).copied());
        let alike = neighbours.map(|other| common(word, other)).max().unwrap_or(0);
        let letters: String = word.chars().take(alike + 1).collect();
        let dot = if letters.len() < word.len() { "." } else { "" };
        let rest = shown(rest);
        format!("{letters}{dot} {rest}").trim_end().to_owned()
    };
    parts.iter().map(short).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_names_are_still_told_apart() {
        assert_eq!(short(&["Cantus", "Altus", "Tenor", "Bassus"]), ["C.", "A.", "T.", "B."]);
        assert_eq!(short(&["Cantus", "Contra", "Tenor"]), ["Ca.", "Co.", "T."]);
        assert_eq!(short(&["Bassus-I", "Bassus-II"]), ["B. I", "B. II"]);
        assert_eq!(short(&["Alt", "Altus", "X"]), ["Alt", "Altu.", "X"]);
        assert_eq!(short(&[]), [] as [String; 0]);
    }
}
