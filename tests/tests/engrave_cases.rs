//! Small cases, one idea each, and the fixtures, as SVG: whoever changes one looks at it. With
//! `CARTELLA_PICTURES=FOLDER` the test writes the SVG files there, to be opened.

use engrave::{Look, Mm, audit, svg};
use notation::LineIndex;
use suite::{LAYOUTS, Layout, Raster, drawn, fixtures, rendered, without_definitions};

/// The name of a case, and its voices.
const CASES: [(&str, &str); 16] = [
    ("second between voices", "C1 mn B4 B A A lg G5 / C1 mn A4 G4 G4 B4 lg G4"),
    ("unison of equal values", "C1 mn A4 B A B lg A / C1 mn A4 G A G lg A4"),
    ("unison of unequal values", "C1 sb A4 mn A A lg A / C1 mn A4 A sb A lg A4"),
    (
        "three voices on a staff",
        "C1 sb C5 mn D E lg D / C1 mn G4 A sb B lg B / C1 mn E4 F G G lg G4",
    ),
    ("voices that cross", "C1 mn E4 F G A lg G / C1 mn A4 G F E lg E4"),
    ("accidentals in a cluster", "C1 sb C#5 B lg A / C1 sb F#4 G#4 lg A4 / F4 sb D3 E lg D"),
    ("editor's signs", "C1 sb F[#]5 E lg D / C1 mn G4 F[#] G sb F[#] mn G lg G"),
    (
        "dots on lines and in spaces",
        "C1 mn. G4 sm A mn. A4 sm B lg C5 / C1 mn. E4 sm F mn. F4 sm G lg E",
    ),
    ("tie over a bar line", "C1 mn A4 sb B C5 D mn E lg D / C1 sb D4 E mn F sb E D mn C lg D"),
    (
        "beams, flags and hooks",
        "C1 fu C5 D E F mn. G fu F E sm. D fu C sf B4 C5 D E fu D C lg D / F4 lg D3 lg D",
    ),
    ("rests out of the way", "C1 _ sm G5 _ mn _ sm E5 fu _ D lg D / C1 mn A4 _ sm G4 _ mn F lg G"),
    ("long rests", "C1 lg _ sb A4 B lg A / F4 br D3 E F lg D"),
    ("change of hand", "C1 sb A4 B C5 D lg D / C4 mn D3 A3 E4 B4 A4 E4 C4 G3 lg D3"),
    ("tuplets against duple", "C1 ratio 3:2 mn C5 D E ratio 1:1 mn D C lg D / F4 mn D3 E F G lg D"),
    ("ligature, coloration, corona", "C1 ( sb A4 B ) { sb C mn D } lg D^ / F4 br D3 sb E F lg D^"),
    (
        "words and sections",
        "C1 \"Prima pars\" sb A4 B lg C5 || \"Secunda pars\" sb A B lg A / F4 sb D3 E lg C || sb D E lg D",
    ),
];

/// A parts file of a case: voices are divided by strokes, each begins with its clef.
fn parts(case: &str) -> String {
    let mut text = String::from("sign C|\n");
    for (voice, (name, music)) in
        ["Cantus", "Altus", "Bassus"].into_iter().zip(case.split(" / ")).enumerate()
    {
        let (clef, music) = music.split_once(' ').unwrap();
        let value = if voice == 0 && music.starts_with('_') { "mn " } else { "" };
        text += &format!("voice {name}  clef {clef}\n  {value}{music}\n");
    }
    text
}

fn picture(name: &str, text: &str, layout: Layout, look: &Look) -> String {
    let picture = drawn(text, layout, look);
    assert_eq!(audit(&picture), [], "{name}");
    let index = LineIndex::new(text);
    let svg = svg(&picture, &|span| index.line(span.start));
    if let Some(folder) = std::env::var_os("CARTELLA_PICTURES") {
        let path = std::path::Path::new(&folder).join(format!("{}.svg", name.replace(' ', "-")));
        std::fs::write(path, &svg).unwrap();
    }
    svg
}

#[test]
fn cases() {
    let look = Look { width: Mm(120.0), ..Look::default() };
    for (name, case) in CASES {
        let svg = picture(name, &parts(case), LAYOUTS[0], &look);
        insta::assert_snapshot!(name.replace([' ', ',', '\''], "_"), without_definitions(&svg));
    }
}

#[test]
fn fixtures_as_keyboard_scores() {
    for (name, text) in fixtures() {
        let svg = picture(&name, &text, LAYOUTS[0], &Look::default());
        insta::assert_snapshot!(name.as_str(), without_definitions(&svg));
    }
}

/// The same input gives the same bytes.
#[test]
fn pictures_are_the_same_each_time() {
    for (name, text) in fixtures() {
        let once = picture(&name, &text, LAYOUTS[3], &Look::default());
        assert!(once == picture(&name, &text, LAYOUTS[3], &Look::default()), "{name}");
    }
}

/// The share of the pixels that are black, in thousandths.
fn blackness(raster: &Raster) -> u64 {
    let sum: u64 = raster.black.iter().map(|black| u64::from(*black)).sum();
    sum * 1000 / (255 * raster.black.len() as u64)
}

/// What resvg draws is a page of music: as wide as asked for, white at the margins, with as much
/// ink as such pages have, and the staff lines where the picture says they are.
#[test]
fn resvg_draws_what_the_picture_says() {
    const PIXELS: f32 = 10.0;
    for (name, text) in fixtures() {
        let svg = picture(&name, &text, LAYOUTS[0], &Look::default());
        let raster = rendered(&svg, PIXELS);
        assert!(raster.width.abs_diff(2100) <= 1, "{name}: {}", raster.width);
        assert!((10..=120).contains(&blackness(&raster)), "{name}: {}", blackness(&raster));
        let at = |x: f64, y: f64| {
            let (x, y) = ((x * f64::from(PIXELS)) as usize, (y * f64::from(PIXELS)) as usize);
            raster.black[y * raster.width as usize + x]
        };
        let picture = drawn(&text, LAYOUTS[0], &Look::default());
        for staff in engrave::staves(&picture) {
            for line in 0..5 {
                let y = staff.bottom.0 - staff.space.0 * f64::from(line);
                // Before the clef, at the left end of the staff.
                assert!(at(15.8, y) > 100, "{name}: no line at {y}");
                assert_eq!(at(5.0, y), 0, "{name}: ink in the margin at {y}");
            }
        }
    }
}
