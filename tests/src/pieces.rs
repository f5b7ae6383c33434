//! Pieces made at random, in which everything stands that counting has rules for.

use proptest::prelude::*;

/// Signs under which values are duple, perfect, or in proportion.
const SIGNS: [&str; 16] = [
    "C", "C|", "O", "O|", "C.", "O.", "O.|", "C3", "C|3", "O3", "3", "3/2", "C3/2", "O2", "C2",
    "rC",
];

/// A mensuration or proportion sign.
pub fn sign() -> impl Strategy<Value = &'static str> {
    prop::sample::select(&SIGNS[..])
}

fn value() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec!["lg", "br", "br", "sb", "sb", "sb", "mn", "mn", "sm", "fu"])
}

/// A word or two of music, or what stands between notes. Values are not always said, so that the
/// same notes get many.
fn word() -> impl Strategy<Value = String> {
    let note = || prop::sample::select(vec!["A4", "G4", "B4", "F#4", "Bb4", "A4+D4", "A"]);
    prop_oneof![
        6 => (value(), note()).prop_map(|(value, note)| format!("{value} {note}")),
        6 => note().prop_map(str::to_owned),
        5 => note().prop_map(|note| format!("{note}.")),
        4 => (note(), note()).prop_map(|(dotted, after)| format!("{dotted}. .{after}")),
        1 => (note(), note()).prop_map(|(dotted, after)| format!("{dotted}. .{after}.")),
        2 => (value(), note()).prop_map(|(value, note)| format!("{value} {note}. {value} {note}")),
        1 => note().prop_map(|note| format!("{note}.:")),
        1 => note().prop_map(|note| format!("{note}.+")),
        2 => value().prop_map(|value| format!("{value} _")),
        1 => (1..5_u8).prop_map(|count| format!("_*{count}")),
        1 => Just("lg _3".to_owned()),
        2 => (value(), value(), note()).prop_map(|(one, other, note)| {
            format!("{{ {one} {note} {other} {note} }}")
        }),
        1 => (value(), note()).prop_map(|(value, note)| format!("{{ {value} {note}. .{note} {note} }}")),
        1 => (value(), note()).prop_map(|(value, note)| format!("( {value} {note} A4 )")),
        1 => note().prop_map(|note| format!("( br {note} \\ G4 )")),
        1 => (value(), note()).prop_map(|(value, note)| format!("< {note}. | {value} {note} >")),
        1 => note().prop_map(|note| format!("< mn {note} .A4 | sb {note}. .A4 >").replace(" .A4 |", " |")),
        1 => (value(), note()).prop_map(|(value, note)| format!("<? {value} {note} | {note} >")),
        1 => (value(), note()).prop_map(|(value, note)| format!("[ {value} {note}. .{note} ]")),
        1 => (note(), 1..9_u8, 1..5_u8).prop_map(|(note, above, below)| format!("{note}={above}/{below}")),
        1 => sign().prop_map(|sign| format!("sign {sign}")),
        1 => prop::sample::select(vec![
            "ratio 3:2", "ratio 1:1", "perfect br", "perfect sb", "imperfect br", "imperfect sb",
            "signature Bb", "clef C2", "/", "//", "\"words\"", "; a comment\n", "~A4",
        ]).prop_map(str::to_owned),
    ]
}

/// The music of a voice; every voice of a piece has as many sections.
fn music(sections: usize) -> impl Strategy<Value = String> {
    let section = prop::collection::vec(word(), 1..24).prop_map(|words| words.join(" "));
    prop::collection::vec(section, sections)
        .prop_map(|sections| format!("sb A4 {} br A4", sections.join(" br A4 || sb G4 ")))
}

/// The text of a piece of one to three voices, under any signs; some follow another in canon, under
/// a sign of their own.
pub fn piece() -> impl Strategy<Value = String> {
    let voices = (1..3_usize, 1..4_usize).prop_flat_map(|(sections, voices)| {
        let voice = (prop::option::of(sign()), music(sections));
        prop::collection::vec(voice, voices)
    });
    (prop::option::of(sign()), voices, prop::option::weighted(0.2, sign())).prop_map(
        |(head, voices, canon)| {
            let said =
                |sign: Option<&str>| sign.map_or(String::new(), |sign| format!(" sign {sign}"));
            let mut text = head.map_or(String::new(), |sign| format!("sign {sign}\n"));
            for (place, (own, music)) in voices.iter().enumerate() {
                text.push_str(&format!("voice V{place} clef C1{}\n  {music}\n", said(*own)));
            }
            if let Some(sign) = canon {
                text.push_str(&format!("voice Comes canon V0 5 below after 2 sign {sign}\n"));
            }
            text
        },
    )
}
