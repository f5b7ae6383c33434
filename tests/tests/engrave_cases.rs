//! Small cases, one idea each, and the fixtures, as SVG and as pictures: whoever changes one looks
//! at it. The pictures are in `tests/tests/pictures`; `INSTA_UPDATE=always` draws them anew. With
//! `CARTELLA_PICTURES=FOLDER` the test writes the SVG files there, to be opened at any size.

use engrave::{BarLines, Breaks, Look, Mm, audit, svg};
use notation::{Diagnostic, LineIndex, parse};
use rudiments::Clef;
use score::{BarLength, Reduction, Staves};
use suite::{
    LAYOUTS, Layout, Raster, aligned, compare_with_kept, drawn, fixtures, rendered,
    without_definitions,
};

/// The name of a case, and its voices. Where a source line ends, a system does.
const CASES: [(&str, &str); 30] = [
    ("second between voices", "C1 mn B4 B A A lg G5 / C1 mn A4 G4 G4 B4 lg G4"),
    ("unison of equal values", "C1 mn A4 B A B lg A / C1 mn A4 G A G lg A4"),
    ("unison of unequal values", "C1 sb A4 mn A A lg A / C1 mn A4 A sb A lg A4"),
    (
        "three voices on a staff",
        "C1 sb C5 mn D E lg D / C1 mn G4 A sb B lg B / C1 mn E4 F G G lg G4",
    ),
    ("voices that cross", "C1 mn E4 F G A lg G / C1 mn A4 G F E lg E4"),
    ("accidentals in a cluster", "C1 sb C#5 B lg A / C1 sb F#4 G#4 lg A4 / F4 sb D3 E lg D"),
    ("editor's signs", "C1 sb F[#]5 E lg D=4 / C1 mn G4 F[#] G sb F[#] mn G lg G"),
    ("dots on lines and in spaces", "C1 mn G4. .A A. .B lg C5 / C1 mn E4. .F F. .G lg E"),
    ("tie over a bar line", "C1 mn A4 sb B C5 D mn E lg D=4 / C1 sb D4 E mn F sb E D mn C lg D"),
    (
        "beams, flags and hooks",
        "C1 fu C5 D E F4 mn G. fu F E sm D. fu C sf B4 C5 D E fu D C sb D mn E lg D / F4 lg D3 lg D",
    ),
    ("rests out of the way", "C1 _ sm G5 _ mn _ sm E5 fu _ D lg D / C1 mn A4 _ sm G4 _ mn F lg G"),
    ("long rests", "C1 lg _ sb A4 B lg A / F4 br D3 E F lg D"),
    (
        "change of hand",
        "C1 br B4 B lg B / C1 br G4 G lg G / C4 br A3 sb E3 A lg A / F4 br F2 sb D3 F2 lg F2",
    ),
    ("tuplets against duple", "C1 ratio 3:2 mn C5 D E ratio 1:1 mn D C lg D / F4 mn D3 E F G lg D"),
    (
        "ligature, coloration, corona",
        "C1 ( sb A4 B ) { sb C mn D } lg D^=6 / F4 br D3 sb E F lg D^",
    ),
    (
        "words and sections",
        "C1 \"Prima pars\" sb A4 B lg C5 || \"Secunda pars\" sb A B lg A / F4 sb D3 E lg C || sb D E lg D",
    ),
    (
        "tie over a system break",
        "C1 sb A4 B C5 D E D mn C sb B A G mn A sb B C5 B lg A / F4 mn D3 sb E D C D E F G A G F E mn D lg D=4",
    ),
    (
        "change of signature at a system break",
        "C1 sb A4 B C5 D // signature Bb,Eb sb D C B A G A B C lg D / F4 sb D3 E F G signature Bb,Eb sb G A B A G F E A3 lg G",
    ),
    (
        "change of signature in a system",
        "C1 signature Bb,Eb sb A4 B signature none sb C5 D lg D / F4 signature Bb,Eb sb D3 E signature none sb F G lg G",
    ),
    (
        "a passage in threes at a system break",
        "C1 sb A4 B C5 D E D C D sign 3 sb A4 mn B sb C5 mn D sb E mn D sb C5 mn D sign C| sb E D lg D / \
         F4 sb D3 E F G A G F G sign 3 sb D mn E sb F mn G sb A mn G sb F mn G sign C| sb A F lg D",
    ),
    (
        "perfect breves",
        "C1 sign O br A4 sb A br A G sb _ mn A B sb C5 br B sb A lg A / \
         F4 sign O sb D3 E F br E D sb _ D F br G2 sb A2 lg D3",
    ),
    (
        "perfect semibreves",
        "C1 sign C. sb A4 A mn B A G sb A mn G sb F mn E sb F mn G _ A sm B A G F mn E F sb G lg A / \
         F4 sign C. sb D3 E mn D E F sb D mn E sb D mn E sb F D C D lg D",
    ),
    (
        "repeats at a system break",
        "C1 sb A4 B C5 D :: // sb D C B4 A G A B C lg D :: / \
         F4 sb D3 E F G :: sb G A B A G F E A3 lg G ::",
    ),
    (
        "repeats in a system",
        "C1 sb A4 B :: sb C5 D || sb D C :: lg D / F4 sb D3 E :: sb F G || sb G A :: lg G",
    ),
    (
        "tuplets of two voices on a staff",
        "C1 ratio 3:2 mn C5 D E ratio 1:1 mn D C lg D / C1 ratio 3:2 mn A4 B C5 ratio 1:1 mn B A lg A / F4 mn D3 E F G lg D",
    ),
    (
        "tuplets of three voices on a staff",
        "C1 { sb C5 mn D } mn D C lg D / C1 { sb A4 mn B } mn B A lg A / C1 { sb E4 mn G } mn G E lg D",
    ),
    (
        "supplied, emended and doubtful",
        "C1 sb D5 [ mn E D ] sb C < mn E F | sb D > mn D? G4^% [ sb _ ] lg A / \
         F4 sb D3 E F [ G. ] mn F sb E lg D",
    ),
    (
        "editor's sign of a middle note",
        "C1 sb D5 D C A4 lg D5 / C1 sb A4 F[#] A F[#] lg A / C1 sb F4 D E D lg F / F4 sb D3 D A2 D3 lg D",
    ),
    (
        "signs that only confirm",
        "C1 sb E5 F#5 E F5 lg D5 / C1 sb A4 A G A lg A / F4 sb C3 D C F3 lg D",
    ),
    (
        "voices on the staff of a hand alone",
        "C1 mn A4 B C5 D E D C D lg D=4 / C1 sb F4 E A G mn F4 G lg F",
    ),
];

/// A parts file of a case: voices are divided by strokes, each begins with its clef. Where all are
/// high, the right hand has them, so that they share a staff.
fn parts(case: &str) -> String {
    let mut text = String::from("sign C|\n");
    for (voice, (name, music)) in
        ["Cantus", "Altus", "Bassus", "Infimus"].into_iter().zip(case.split(" / ")).enumerate()
    {
        let (clef, music) = music.split_once(' ').unwrap();
        let value = if voice == 0 && music.starts_with('_') { "mn " } else { "" };
        text += &format!("voice {name}  clef {clef}\n  {value}{music}\n");
    }
    let piece = parse(&text).piece;
    let clef = Clef::parse("C1");
    if piece.voices.len() > 1 && piece.voices.iter().all(|voice| voice.clef == clef) {
        for voice in &piece.voices {
            let indices = voice.items.iter().filter_map(|item| item.event()?.index);
            let last = indices.max().unwrap_or(1);
            text = format!("hand right {} 1-{last}\n{text}", voice.name);
        }
    }
    text
}

/// The small pictures of which the text is kept too: what is drawn under which name, with voice, index
/// and line. What stands where in the others is checked by places, shapes and the audit; a change of
/// spacing changes their pixels alone.
const KEPT_AS_TEXT: [&str; 4] = [
    "second between voices",
    "accidentals in a cluster",
    "tie over a bar line",
    "supplied, emended and doubtful",
];

/// Compares a picture with the one that is kept.
fn compare(name: &str, svg: &str) {
    if KEPT_AS_TEXT.contains(&name) {
        insta::assert_snapshot!(name.replace([' ', ','], "_"), without_definitions(svg));
    }
    compare_with_kept(name, svg);
}

fn picture(name: &str, text: &str, layout: Layout, look: &Look) -> String {
    let picture = drawn(text, layout, look);
    let index = LineIndex::new(text);
    let svg = svg(&picture, &|span| index.line(span.start));
    if let Some(folder) = std::env::var_os("CARTELLA_PICTURES") {
        let path = std::path::Path::new(&folder).join(format!("{}.svg", name.replace(' ', "-")));
        std::fs::write(path, &svg).unwrap();
    }
    assert_eq!(audit(&picture), [], "{name}");
    svg
}

#[test]
fn cases() {
    for (name, case) in CASES {
        let breaks = if case.contains("//") { Breaks::Source } else { Breaks::Optimal };
        let look = Look { width: Mm(120.0), breaks, ..Look::default() };
        let text = parts(case);
        let wrong = aligned(&text, LAYOUTS[0].bar).1;
        assert!(!wrong.iter().any(Diagnostic::is_error), "{name}: {wrong:#?}");
        let svg = picture(name, &text, LAYOUTS[0], &look);
        compare(name, &svg);
    }
}

#[test]
fn fixtures_as_keyboard_scores() {
    for (name, text) in fixtures() {
        let svg = picture(&name, &text, LAYOUTS[0], &Look::default());
        compare(&name, &svg);
    }
}

/// Marks of all shapes and colours at four voices on two staves, where notes stand close.
const MARKED: &str = "\
title   Marks of all shapes and colours
sign    C|
mark    Cantus 1-5 blue \"soggetto\"
mark    Cantus 9-24 orange \"al contrario, over the end of a line\"
mark    Cantus 3 circle orange \"third\"
mark    Cantus 11 circle green \"sharp\"
mark    Altus 3-9 green \"risposta\"
mark    Altus 5 circle red \"sic\"
mark    Altus 11-13 circle purple \"three\"
mark    Tenor 4 arrow \"here\"
mark    Tenor 6-9 \"black and whole\"
mark    Tenor 12 circle sky
mark    Tenor 16 circle blue \"cluster\"
mark    Bassus 2-5 purple \"b\"
mark    Bassus 3 arrow green \"pointer\"
mark    Bassus 7-14 sky \"short dashes\"
mark    Bassus 10 circle \"black\"

voice Cantus  clef C1
  sb D4. mn E F G sb A mn B C#5 D. .E D C B sm A B mn C5 sb D mn C[#] sb D. mn C B _ sb D4.
  mn E F G sb A4 mn B. .C D C B A sb G. .F[#] lg G
voice Altus  clef C3
  sb A3. mn B C D sb E mn F G# A. .B A G F sm E F mn G4 sb A mn G sb A. mn G F _ sb A3. mn B C
  D sb E4 mn F. .G A G F E sb D. .C lg D
voice Tenor  clef C4
  br _ _ sb G3. mn A B C D. .B A3 F sb E D _ G. mn A B C sb D mn C4 A G A sb B mn D. .C sb B A lg G
voice Bassus  clef F4
  br D3 sb C G2 mn A B C3 D sm E F E D mn C B2 sb A2 D3 G2. mn A B C sb D br G2 sb C3 D br E3 F lg G2
";

#[test]
fn marks() {
    let open = Layout { staves: Staves::Open, ..LAYOUTS[0] };
    for (name, layout) in [("marks", LAYOUTS[0]), ("marks, open score", open)] {
        let wrong = aligned(MARKED, layout.bar).1;
        assert!(!wrong.iter().any(Diagnostic::is_error), "{wrong:#?}");
        compare(name, &picture(name, MARKED, layout, &Look::default()));
    }
}

/// What a person may choose otherwise, on the fixture with the most in it.
#[test]
fn other_looks() {
    let fixture = |wanted: &str| {
        let found = fixtures().into_iter().find(|(name, _)| name == wanted);
        found.unwrap_or_else(|| panic!("no fixture {wanted}")).1
    };
    let usual = Look::default();
    let between = Look { bar_lines: BarLines::Between, ..usual };
    let none = Look { bar_lines: BarLines::None, ..usual };
    let source = Look { breaks: Breaks::Source, ..usual };
    let large = Look { staff: Look::LARGE_STAFF, ..usual };
    let open = Layout { staves: Staves::Open, ..LAYOUTS[0] };
    let small_values = Layout { reduction: Reduction::Quartered, ..LAYOUTS[0] };
    let short_bars = Layout { bar: BarLength::Semibreve, ..LAYOUTS[0] };
    for (name, piece, layout, look) in [
        ("bar lines between the staves", "high-clefs", LAYOUTS[0], between),
        ("bar lines between the voices", "high-clefs", open, between),
        ("no bar lines", "high-clefs", open, none),
        ("broken as the source", "rising-subject", LAYOUTS[0], source),
        ("large print", "misprinted-value", LAYOUTS[0], large),
        ("open score", "two-duos", open, usual),
        ("quartered values", "misprinted-value", small_values, usual),
        ("bars of a semibreve", "misprinted-value", short_bars, usual),
        ("open score, threes", "black-and-triple", open, usual),
    ] {
        compare(name, &picture(name, &fixture(piece), layout, &look));
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
