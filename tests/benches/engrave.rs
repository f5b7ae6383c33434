//! Parts text to SVG, for a four-voice example of forty bars, beside what usvg takes to parse that
//! same SVG: at most 5 ms, and at most four times as long. From the picture on, pages and PDF. One source
//! line of a diplomatic copy: at most 1 ms.

use cartella::{Document, Mm, TypeStyle};
use divan::Bencher;
use engrave::{Look, Paper, Picture, pages, pdf, svg};
use notation::LineIndex;
use resvg::usvg;
use score::BarLength;
use suite::{LAYOUTS, aligned, drawn};

fn main() {
    divan::main();
}

/// Four voices in imitation, forty breves long: typed as places on the staff, so that the same phrases
/// are right in every clef.
fn example() -> String {
    let phrases = [
        "sb 4 5 mn 6 7 8 sm 7 6 mn 5. sm 4 mn 3 4 sb 5 4 ",
        "sb 8. mn 7 sm 6 5 4 3 mn 4 5 fu 6 7 8 9 sm 8 7 mn 6 sb 5 mn 4 3 4 ",
    ];
    let mut text = String::from("sign C|\n");
    for (place, (name, clef)) in
        [("Cantus", "C1"), ("Altus", "C3"), ("Tenor", "C4"), ("Bassus", "F4")].iter().enumerate()
    {
        let rests = place + 1;
        text += &format!("voice {name}  clef {clef} positions\n  br _*{rests} ");
        // The last note begins with the 40th bar; a phrase fills four.
        let bars = 39 - rests;
        for turn in 0..bars / 4 {
            text += phrases[turn % 2];
        }
        text += &format!("br {}lg 4\n", "5 ".repeat(bars % 4));
    }
    let (score, diagnostics) = aligned(&text, BarLength::Breve);
    assert_eq!(score.bars.len(), 40);
    assert!(diagnostics.iter().all(|found| !found.is_error()), "{diagnostics:#?}");
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

/// A source line of thirty notes and rests, as is drawn at each keystroke.
#[divan::bench]
fn source_line_to_svg(bencher: Bencher<'_, '_>) {
    let music = "sb 4 5 mn 6 7 8 sm 7 6 mn 5. sm 4 mn 3 4 _ sb 5 4 ".repeat(2);
    let text = format!("voice Cantus clef C1 positions\n  {music} ~5 /\n");
    let document = Document::parse(text);
    let copied = document.first().copied();
    let style = TypeStyle::default();
    bencher.bench(|| copied.line(divan::black_box(&copied.lines[0]), Mm(186.0), Mm(6.0), &style));
}
