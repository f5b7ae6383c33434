//! Subjects, entries, duos and canons of pieces, as a listing to be looked at:
//!
//! `cargo run --example entries -- FILE… | NAME…`
//!
//! A file is a parts file; a name is that of a madrigal or duo of the open data. With neither, all
//! fixtures are listed.

use suite::imitating::listing;
use suite::{duos, fixtures, madrigal_parts, opendata, read_score};

fn main() {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let mut texts: Vec<(String, String)> = Vec::new();
    if given.is_empty() {
        texts = fixtures();
    }
    for name in given {
        if let Ok(text) = std::fs::read_to_string(&name) {
            texts.push((name, text));
        } else if let Some(opendata) = opendata() {
            let duo = duos(&opendata).into_iter().find(|(duo, _)| *duo == name);
            let text = match duo {
                Some((_, xml)) => read_score(&name, xml.as_bytes(), None),
                None => madrigal_parts(&opendata, &name),
            };
            texts.push((name, text));
        }
    }
    for (name, text) in texts {
        println!("== {name}\n{}", listing(&text));
    }
}
