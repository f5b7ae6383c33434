//! Signs of proportion that are missing in the encoded parts, as the README of the open data lists
//! them from the prints, are named at the right events; nothing of the kind is said where none is
//! missing.

use std::collections::BTreeSet;
use std::path::Path;

use exchange::Minim;
use notation::{Code, ItemKind, Piece, parse};
use rudiments::Value;
use score::{BarLength, check};
use suite::{
    FIORINO, MADRIGALS, PrintedSign, SPONTONE, VIRCHI, duos, madrigal, madrigal_parts, opendata,
    place, read_score, with_signs,
};

/// The widest span of a hand, which does not matter here.
const REACH: u32 = 9;

/// What is said of missing signs: message and help.
fn missing(piece: &Piece) -> Vec<String> {
    let found = check(piece, BarLength::Breve, REACH).diagnostics;
    let missing = found.into_iter().filter(|found| found.code == Code::MissingSign);
    missing.map(|found| format!("{}; {}", found.message, found.help.unwrap_or_default())).collect()
}

fn missing_of(text: &str) -> Vec<String> {
    missing(&parse(text).piece)
}

/// The signs that are to be typed, with the voice's initial and the event before which.
fn advised(text: &str) -> BTreeSet<(char, u32, String)> {
    let mut signs = BTreeSet::new();
    for said in missing_of(text) {
        let voice = said.chars().next().unwrap();
        for part in said.split('`').skip(1).step_by(2).zip(said.split("` before ").skip(1)) {
            let event = part.1.chars().take_while(char::is_ascii_digit).collect::<String>();
            let sign = part.0.trim_start_matches("sign ").to_owned();
            signs.insert((voice, event.parse().unwrap(), sign));
        }
    }
    signs
}

fn printed(signs: &[PrintedSign]) -> BTreeSet<(char, u32, String)> {
    let all = signs.iter().flat_map(|(sign, places)| {
        places.iter().map(move |at| (place(at).0, place(at).1, (*sign).to_owned()))
    });
    all.collect()
}

#[test]
fn those_of_fiorino_and_virchi_are_named_at_the_right_events() {
    let Some(opendata) = opendata() else { return };
    for (piece, signs) in [("fiorino_delanima", FIORINO), ("virchi_arsimentre", VIRCHI)] {
        let text = madrigal_parts(&opendata, piece);
        assert_eq!(advised(&text), printed(signs), "{piece}");
        assert_eq!(missing_of(&with_signs(&text, signs)), [] as [String; 0], "{piece}");
    }
}

/// The pieces that lack none, as their part files stand and as their editions have them.
#[test]
fn nothing_is_said_of_the_others() {
    let Some(opendata) = opendata() else { return };
    for piece in MADRIGALS {
        let edition = madrigal(&opendata, piece, "edition.musicxml");
        let text = read_score(piece, edition.as_bytes(), Some(Minim::Half));
        assert_eq!(missing_of(&text), [] as [String; 0], "{piece}, edition");
        if !matches!(piece, "fiorino_delanima" | "virchi_arsimentre") {
            let text = madrigal_parts(&opendata, piece);
            assert_eq!(missing_of(&text), [] as [String; 0], "{piece}");
        }
    }
    let spontone = with_signs(&madrigal_parts(&opendata, "spontone_tamai"), SPONTONE);
    assert_eq!(missing_of(&spontone), [] as [String; 0]);
}

/// Source: the JLSDD dataset (Cumming, `McKay`, Stuchbery, Fujinaga, ISMIR 2018).
#[test]
fn nothing_is_said_of_the_duos() {
    let Some(opendata) = opendata() else { return };
    for (name, xml) in duos(&opendata) {
        let text = read_score(&name, xml.as_bytes(), None);
        assert_eq!(missing_of(&text), [] as [String; 0], "{name}");
    }
}

/// A piece with some of its voices only.
fn with_voices(piece: &Piece, chosen: u32) -> Piece {
    let mut piece = piece.clone();
    let mut place = 0;
    piece.voices.retain(|_| {
        place += 1;
        chosen >> (place - 1) & 1 == 1
    });
    piece
}

fn pieces_that_lack_none(opendata: &Path) -> Vec<(&'static str, Piece)> {
    let others =
        MADRIGALS.into_iter().filter(|p| !matches!(*p, "fiorino_delanima" | "virchi_arsimentre"));
    others.map(|piece| (piece, parse(&madrigal_parts(opendata, piece)).piece)).collect()
}

#[test]
fn nothing_is_said_of_some_of_the_voices() {
    let Some(opendata) = opendata() else { return };
    for (name, piece) in pieces_that_lack_none(&opendata) {
        for chosen in (1_u32..32).filter(|chosen| chosen.count_ones() > 1) {
            let piece = with_voices(&piece, chosen);
            assert_eq!(missing(&piece), [] as [String; 0], "{name}, voices {chosen:05b}");
        }
    }
}

/// Slips of the kinds that typing makes are not taken for missing signs. (A generator of fixed
/// seed; it stands for nothing.)
#[test]
fn a_slip_is_not_taken_for_a_missing_sign() {
    let Some(opendata) = opendata() else { return };
    let mut state = 1_582_u64;
    let mut any = |below: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state % below as u64) as usize
    };
    for (name, piece) in pieces_that_lack_none(&opendata) {
        for round in 0..20 {
            let mut slipped = piece.clone();
            for _ in 0..=round % 3 {
                let items = &mut slipped.voices[any(5)].items;
                let events: Vec<usize> = (0..items.len())
                    .filter(|item| matches!(items[*item].kind, ItemKind::Event(_)))
                    .collect();
                let chosen = events[any(events.len())];
                let slip = any(3);
                match &mut items[chosen].kind {
                    ItemKind::Event(event) if slip == 0 => {
                        event.value = event.value.larger().unwrap_or(Value::Maxima);
                    }
                    ItemKind::Event(event) if slip == 1 => {
                        event.value = event.value.smaller().unwrap_or(Value::Semifusa);
                    }
                    _ => drop(items.remove(chosen)),
                }
            }
            assert_eq!(missing(&slipped), [] as [String; 0], "{name}, round {round}");
        }
    }
}

/// A sign that one voice lacks and the others have.
#[test]
fn a_sign_that_one_voice_lacks_is_named_there() {
    let Some(opendata) = opendata() else { return };
    let text = madrigal_parts(&opendata, "virchi_arsimentre");
    for lacking in ["C", "A", "Q", "T", "B"] {
        let there = |at: &&str| !at.starts_with(lacking);
        let signs: Vec<(&str, Vec<&str>)> = VIRCHI
            .iter()
            .map(|(sign, places)| (*sign, places.iter().copied().filter(there).collect()))
            .collect();
        let typed: Vec<PrintedSign> = signs
            .iter()
            .map(|(sign, places)| (*sign, &**Box::leak(Box::new(places.clone()))))
            .collect();
        let expected: BTreeSet<(char, u32, String)> =
            printed(VIRCHI).into_iter().filter(|(voice, ..)| lacking.starts_with(*voice)).collect();
        assert_eq!(advised(&with_signs(&text, &typed)), expected, "{lacking}");
    }
}
