//! From a text to what the desk shows of it, as the message that is sent: 40 bars of four voices, and five
//! voices of 170 minims, while a note in the middle is typed to and fro; beside what usvg takes to parse
//! the drawings.

use cartella::Document;
use desk::message::Told;
use desk::{Desk, View};
use divan::Bencher;
use resvg::usvg;
use suite::typing::{FIVE_VOICES, FOUR_VOICES, voices};

fn main() {
    divan::main();
}

const WIDTH: f64 = 180.0;

/// The text, and the same with another note in the middle.
fn texts((count, minims): (usize, usize)) -> [String; 2] {
    let text = voices(count, minims);
    assert!(!Document::parse(text.as_str()).has_errors());
    let middle = text.len() / 2;
    let note = middle + text[middle..].find(" 5 ").unwrap() + 1;
    let mut other = text.clone();
    other.replace_range(note..=note, "6");
    [text, other]
}

fn view(text: &str) -> View<'_> {
    View { text, cursor: text.len() as u32 / 2, width: WIDTH, ..View::default() }
}

#[divan::bench(args = [FOUR_VOICES, FIVE_VOICES])]
fn a_keystroke(bencher: Bencher<'_, '_>, piece: &(usize, usize)) {
    let texts = texts(*piece);
    let (mut desk, mut place) = (Desk::new(), 0);
    // The page holds what was drawn before.
    let held = texts.iter().flat_map(|text| desk.show(&view(text), &[]).systems);
    let have: Vec<String> = held.map(|one| one.hash).collect();
    bencher.bench_local(|| {
        place = 1 - place;
        let shown = Box::new(desk.show(&view(&texts[place]), &have));
        let told = Told::Shown { path: "piece.parts".to_owned(), revision: 1, shown };
        serde_json::to_string(&told).unwrap().len()
    });
}

#[divan::bench(args = [FOUR_VOICES, FIVE_VOICES])]
fn a_text_that_was_not_shown_before(bencher: Bencher<'_, '_>, piece: &(usize, usize)) {
    let [text, _] = texts(*piece);
    bencher.bench_local(|| Desk::new().show(&view(divan::black_box(&text)), &[]));
}

#[divan::bench(args = [FOUR_VOICES, FIVE_VOICES])]
fn the_drawings_parsed_by_usvg(bencher: Bencher<'_, '_>, piece: &(usize, usize)) {
    let [text, _] = texts(*piece);
    let shown = Desk::new().show(&view(&text), &[]);
    let drawings: Vec<String> = shown.systems.into_iter().filter_map(|one| one.svg).collect();
    let options = usvg::Options::default();
    bencher.bench_local(|| {
        drawings
            .iter()
            .map(|svg| usvg::Tree::from_str(svg, &options).unwrap().size().width())
            .sum::<f32>()
    });
}
