//! Pieces as they are while they are typed.

/// Four voices of 40 bars.
pub const FOUR_VOICES: (usize, usize) = (4, 160);

/// Five voices of 170 minims.
pub const FIVE_VOICES: (usize, usize) = (5, 170);

/// So many voices of so many minims, in imitation: typed as places on the staff, so that the same phrases are
/// right in every clef.
pub fn voices(count: usize, minims: usize) -> String {
    // Each phrase lasts sixteen minims.
    let phrases = [
        "sb 4 5 mn 6 7 8 sm 7 6 mn 5. sm 4 mn 3 4 sb 5 4 ",
        "sb 8. mn 7 sm 6 5 4 3 mn 4 5 fu 6 7 8 9 sm 8 7 mn 6 sb 5 mn 4 3 4 ",
    ];
    let all = ["Cantus C1", "Altus C3", "Quintus C4", "Tenor C4", "Bassus F4"];
    let named = all.iter().filter(|name| count == 5 || !name.starts_with("Quintus"));
    let mut text = String::from("title Under way\nsign C|\n");
    for (place, named) in named.take(count).enumerate() {
        let (name, clef) = named.split_once(' ').unwrap_or_default();
        text += &format!("\nvoice {name}  clef {clef} positions\n  br _*{} ", place + 1);
        let left = minims - 4 * (place + 1) - 4;
        for turn in 0..left / 16 {
            text += phrases[turn % 2];
            text += "/\n  ";
        }
        let rest = left % 16;
        text += &format!("sb {}mn {}lg 4 //\n", "5 ".repeat(rest / 2), "5 ".repeat(rest % 2));
    }
    text
}
