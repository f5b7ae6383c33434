//! How much a person types: characters per note or rest over all voices of the open data.

use notation::{Digits, ItemKind, Spelling, parse, tidy};
use suite::{MADRIGALS, madrigal_parts, opendata};

/// Blanks count as one each: how lines are broken and indented is nobody's keystroke.
fn typed(words: impl Iterator<Item = impl AsRef<str>>) -> usize {
    words.map(|word| word.as_ref().chars().count() + 1).sum()
}

/// The notes and rests themselves, with their values, signs and needed octaves, stay within 3.6
/// characters each. Line ends, directs and the lines that open a voice come on top, and
/// are printed beside.
#[test]
fn characters_per_note_or_rest() {
    let Some(opendata) = opendata() else { return };
    let (mut music, mut all, mut events) = (0, 0, 0);
    for piece in MADRIGALS {
        let text = madrigal_parts(&opendata, piece);
        let spelling = Spelling { digits: Digits::Needed, ..Spelling::default() };
        let text = tidy(&text, spelling).unwrap();
        all += typed(text.split_whitespace());
        let voices = text.lines().filter(|line| line.starts_with(' '));
        let of_the_page = |word: &&str| word.starts_with(['~', '/', '|']);
        music += typed(voices.flat_map(str::split_whitespace).filter(|word| !of_the_page(word)));
        let items = parse(&text).piece.voices.into_iter().flat_map(|voice| voice.items);
        events += items.filter(|item| matches!(item.kind, ItemKind::Event(_))).count();
    }
    let each = |characters: usize| characters as f64 / events as f64;
    println!("{events} notes and rests: {:.2} characters each", each(music));
    println!("with line ends, directs and the head: {:.2}", each(all));
    assert!(each(music) <= 3.6, "{:.3}", each(music));
}
