//! What a desk keeps changes nothing of what it shows.

use desk::message::Shown;
use desk::{Desk, View};
use proptest::prelude::*;

const PIECE: &str = "title A duo\nsign C|\n\nvoice Cantus clef C1\n  sb A4 B mn C5 D sb C B4 A /\n  \
                     mn G4 A sb B lg A //\nvoice Tenor clef C4\n  sb D3 E F G A3 G F /\n  sb E3 D lg D //\n";

/// What may be typed, or be put in the place of something else.
const TYPED: &[&str] = &[
    "",
    " ",
    "A",
    " D ",
    " sb",
    " mn C ",
    "\n",
    "/",
    " //",
    "[",
    " ] ",
    "; x\n",
    "\u{e9}",
    "example 2\n",
    "voice B clef F4\n",
];

/// An edit: a place, how many bytes go, what comes, where the cursor stands, how wide the score is.
type Step = (usize, usize, &'static str, usize, bool);

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let step =
        (0..PIECE.len(), 0..6_usize, prop::sample::select(TYPED), 0..PIECE.len(), any::<bool>());
    prop::collection::vec(step, 1..12)
}

/// With the drawings that the page holds already put in.
fn filled(mut shown: Shown, held: &mut Vec<(String, String)>) -> Shown {
    for drawn in &mut shown.systems {
        match &drawn.svg {
            Some(svg) => held.push((drawn.hash.clone(), svg.clone())),
            None => {
                let known = held.iter().find(|(hash, _)| *hash == drawn.hash);
                drawn.svg = known.map(|(_, svg)| svg.clone());
            }
        }
    }
    shown
}

fn boundary(text: &str, place: usize) -> usize {
    (0..=place.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    #[test]
    fn it_shows_what_a_new_one_shows(steps in steps()) {
        let (mut text, mut desk, mut held) = (PIECE.to_owned(), Desk::new(), Vec::new());
        for (place, gone, typed, cursor, is_wide) in steps {
            let start = boundary(&text, place);
            let end = boundary(&text, start + gone);
            text.replace_range(start..end.max(start), typed);
            let width = if is_wide { 200.0 } else { 90.0 };
            let view = View { text: &text, cursor: boundary(&text, cursor) as u32, width, ..View::default() };
            let have: Vec<String> = held.iter().map(|(hash, _): &(String, String)| hash.clone()).collect();
            let kept = filled(desk.show(&view, &have), &mut held);
            prop_assert_eq!(kept, Desk::new().show(&view, &[]));
        }
    }
}

/// The comparison above sees any letter that was lost: a desk that missed one keystroke would show another.
#[test]
fn a_lost_keystroke_is_seen() {
    let all = |text: &str| {
        let view = View { text, cursor: 60, width: 200.0, ..View::default() };
        Desk::new().show(&view, &[])
    };
    let whole = all(PIECE);
    let music = PIECE.find("sb A4").unwrap();
    let typed = PIECE.char_indices().filter(|(at, key)| *at >= music && !key.is_whitespace());
    for (at, key) in typed {
        let lost = format!("{}{}", &PIECE[..at], &PIECE[at + key.len_utf8()..]);
        assert_ne!(all(&lost), whole, "{key} at {at} is missed by nobody");
    }
}
