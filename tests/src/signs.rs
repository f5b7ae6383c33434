//! What the part files of the open data lack, as its README has it from the prints: signs of
//! proportion.

use notation::{Edit, Event, Item, ItemKind, Span, Voice, apply, parse};

/// A sign of a print: the sign, and the events before which it stands, by the initial of the voice.
pub type PrintedSign = (&'static str, &'static [&'static str]);

/// The signs of `fiorino_delanima`.
pub const FIORINO: &[PrintedSign] = &[
    ("3", &["C102", "A121", "Q92", "T122", "B84"]),
    ("C", &["C112", "A132", "Q102", "T132", "B94"]),
    ("3", &["C130", "A156", "Q133", "T151", "B119"]),
];

/// The signs of `virchi_arsimentre`.
pub const VIRCHI: &[PrintedSign] = &[
    ("3/2", &["C119", "A107", "Q123", "T131", "B104"]),
    ("C", &["C126", "A118", "Q131", "T142", "B112"]),
];

/// The signs of `spontone_tamai`.
pub const SPONTONE: &[PrintedSign] = &[(
    "3",
    &[
        "C104", "C107", "C112", "A102", "A105", "A107", "A110", "Q100", "Q103", "Q105", "Q108",
        "T97", "T99", "T101", "T104", "B85", "B87", "B89", "B92",
    ],
)];

/// The madrigals whose signs the part files lack, with these.
pub const SIGNED: [(&str, &[PrintedSign]); 3] =
    [("fiorino_delanima", FIORINO), ("virchi_arsimentre", VIRCHI), ("spontone_tamai", SPONTONE)];

/// The voice and the event of a place like `C102`.
///
/// # Panics
/// If it is no such place.
pub fn place(place: &str) -> (char, u32) {
    let mut characters = place.chars();
    (characters.next().unwrap(), characters.as_str().parse().unwrap())
}

/// A parts file with signs typed before events.
///
/// # Panics
/// If there are no such events.
pub fn with_signs(text: &str, signs: &[PrintedSign]) -> String {
    let edits = signs.iter().flat_map(|(sign, places)| {
        places.iter().map(move |at| {
            let start = token(text, at).start;
            Edit::new(Span { start, end: start }, format!("sign {sign} "))
        })
    });
    apply(text, &edits.collect::<Vec<_>>())
}

/// A parts file with the token of an event replaced.
///
/// # Panics
/// If there is no such event.
pub fn with_token(text: &str, at: &str, token_text: &str) -> String {
    apply(text, &[Edit::new(token(text, at), token_text)])
}

fn token(text: &str, at: &str) -> Span {
    let (voice, index) = place(at);
    let piece = parse(text).piece;
    let voice = piece.voices.iter().find(|found| found.name.starts_with(voice)).unwrap();
    events(voice).find(|(_, event)| event.index == Some(index)).unwrap().0.span
}

fn events(voice: &Voice) -> impl Iterator<Item = (&Item, &Event)> {
    voice.items.iter().filter_map(|item| match &item.kind {
        ItemKind::Event(event) => Some((item, event)),
        _ => None,
    })
}
