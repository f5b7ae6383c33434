//! How much a person types: characters per note or rest over all voices of the open data.

use notation::{Digits, ItemKind, Spelling, parse, tidy};
use suite::{MADRIGALS, madrigal_parts, opendata};

/// The aim is 3.6.
#[test]
fn characters_per_note_or_rest() {
    let Some(opendata) = opendata() else { return };
    let (mut characters, mut events) = (0, 0);
    for piece in MADRIGALS {
        let text = madrigal_parts(&opendata, piece);
        let spelling = Spelling { digits: Digits::Needed, ..Spelling::default() };
        let typed = tidy(&text, spelling).unwrap();
        // Blanks count as one each: how lines are broken and indented is nobody's keystroke.
        let voices = typed.split_once("voice").map_or("", |(_, voices)| voices);
        characters += voices.split_whitespace().map(|word| word.chars().count() + 1).sum::<usize>();
        let piece = parse(&typed).piece;
        let items = piece.voices.iter().flat_map(|voice| &voice.items);
        events += items.filter(|item| matches!(item.kind, ItemKind::Event(_))).count();
    }
    let figure = characters as f64 / events as f64;
    println!("{characters} characters for {events} notes and rests: {figure:.2} each");
    assert!(figure <= 3.6, "{figure:.2}");
}
