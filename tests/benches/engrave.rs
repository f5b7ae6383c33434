//! Parts text to SVG, for a four-voice example of forty bars, beside what usvg takes to parse that
//! same SVG: at most 5 ms, and at most four times as long. From the picture on, pages and PDF.

use divan::Bencher;
use engrave::{Look, Paper, Picture, pages, pdf, svg};
use notation::LineIndex;
use resvg::usvg;
use suite::{LAYOUTS, drawn};

fn main() {
    divan::main();
}

/// Four voices in imitation, forty breves long.
fn example() -> String {
    let subject = "sb D E mn F G A sm G F mn. E sm D mn C D ";
    let answer = "sb. A mn G sm F E D C mn D E fu F G A B sm A G mn F sb E ";
    let mut text = String::from("sign C|\n");
    for (name, clef, rests) in
        [("Cantus", "C1", 0), ("Altus", "C3", 1), ("Tenor", "C4", 2), ("Bassus", "F4", 3)]
    {
        text += &format!("voice {name}  clef {clef}\n  br _*{} ", rests + 1);
        for turn in 0..7 {
            text += if turn % 2 == 0 { subject } else { answer };
        }
        text += "lg D\n";
    }
    text
}

fn laid_out(text: &str) -> String {
    let index = LineIndex::new(text);
    let picture = drawn(text, LAYOUTS[0], &Look::default());
    svg(&picture, &|span| index.line(span.start))
}

#[divan::bench]
fn parts_to_svg(bencher: Bencher<'_, '_>) {
    let text = example();
    bencher.bench(|| laid_out(divan::black_box(&text)));
}

#[divan::bench]
fn svg_parsed_by_usvg(bencher: Bencher<'_, '_>) {
    let svg = laid_out(&example());
    let options = usvg::Options::default();
    bencher.bench(|| usvg::Tree::from_str(divan::black_box(&svg), &options).map(|t| t.size()));
}

fn on_paper() -> Picture {
    drawn(&example(), LAYOUTS[0], &Look::default())
}

#[divan::bench]
fn picture_to_pages(bencher: Bencher<'_, '_>) {
    bencher.with_inputs(on_paper).bench_values(|picture| pages(vec![picture], &Paper::A4));
}

#[divan::bench]
fn pages_to_pdf(bencher: Bencher<'_, '_>) {
    let book = pages(vec![on_paper()], &Paper::A4);
    bencher.bench(|| pdf(divan::black_box(&book), None).map(|bytes| bytes.len()));
}
