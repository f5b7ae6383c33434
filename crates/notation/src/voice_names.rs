//! The names that voices usually have.

/// What the voices of a piece of so many are usually called, top voice first (common practice of
/// part-books); nothing where there is no such practice.
pub fn usual_names(voices: usize) -> Option<&'static [&'static str]> {
    const NAMES: [&[&str]; 8] = [
        &["Cantus"],
        &["Cantus", "Tenor"],
        &["Cantus", "Tenor", "Bassus"],
        &["Cantus", "Altus", "Tenor", "Bassus"],
        &["Cantus", "Altus", "Quintus", "Tenor", "Bassus"],
        &["Cantus", "Sextus", "Altus", "Quintus", "Tenor", "Bassus"],
        &["Cantus", "Sextus", "Altus", "Quintus", "Tenor", "Septimus", "Bassus"],
        &["Cantus", "Sextus", "Altus", "Octavus", "Quintus", "Tenor", "Septimus", "Bassus"],
    ];
    NAMES.get(voices.checked_sub(1)?).copied()
}

/// The part-book that a text is about, by the first word of it that names one: that of
/// `primo-libro_tenor.2` is the Tenor.
pub fn part_book(text: &str) -> Option<&'static str> {
    /// Latin and Italian names (common practice of title pages).
    const BOOKS: [&str; 25] = [
        "Cantus",
        "Canto",
        "Superius",
        "Discantus",
        "Soprano",
        "Altus",
        "Alto",
        "Contratenor",
        "Contra",
        "Tenor",
        "Tenore",
        "Bassus",
        "Basso",
        "Quintus",
        "Quinto",
        "Sextus",
        "Sesto",
        "Septimus",
        "Settimo",
        "Octavus",
        "Ottavo",
        "Vagans",
        "Triplum",
        "Motetus",
        "Baritonus",
    ];
    let mut words = text.split(|letter: char| !letter.is_alphabetic());
    words.find_map(|word| BOOKS.into_iter().find(|book| book.eq_ignore_ascii_case(word)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn so_many_voices_have_so_many_names() {
        for voices in 1..=8 {
            assert_eq!(usual_names(voices).unwrap().len(), voices);
        }
        assert_eq!(usual_names(0), None);
        assert_eq!(usual_names(9), None);
    }

    #[test]
    fn part_books_are_known_by_a_word() {
        assert_eq!(part_book("cantus"), Some("Cantus"));
        assert_eq!(part_book("lib1_07-QUINTO.v2"), Some("Quinto"));
        assert_eq!(part_book("altogether"), None);
    }
}
