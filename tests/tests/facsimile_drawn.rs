//! Staves are found on pages that are known to the pixel: proof sheets and scores of the fixtures, turned, bent,
//! blurred, spotted, scaled and unevenly lit. On pages without music, none is found.

use cartella::{
    BarLength, Copy, Document, Look, Options, Paper, Picture, Sheet, SheetBody, SheetPart, pages,
    sheet, staves,
};
use facsimile::image::{GrayImage, Luma};
use facsimile::{Strip, strips};
use suite::{Dice, Disturbance, Raster, fixtures, rendered};

/// The pages of proof sheets and scores of all fixtures, with their staves.
fn all_pages() -> Vec<(String, Picture)> {
    let paper = Paper::A4;
    let of_text = |text: &str| {
        let document = Document::parse(text);
        let look = Look::default();
        let mut found = Vec::new();
        for example in document.examples() {
            let copied = example.copied();
            let copy = copied.on_paper(&look, &paper, &Copy::default(), &|_, _| None);
            let aligned = example.score(BarLength::Breve);
            let arranged = aligned.arrangement(Options::default());
            let score = engrave::engrave_on(&arranged.arrangement, &look, &paper);
            for page in pages(vec![copy, score], &paper).pages {
                found.push((document.svg(&page), page));
            }
        }
        found
    };
    fixtures().iter().flat_map(|(_, text)| of_text(text)).collect()
}

/// A staff in pixels: its middle line from the left to the right end, and the distance of two lines.
struct Drawn {
    middle: [(f64, f64); 3],
    space: f64,
}

/// The staves of a page, so many pixels to a millimetre.
fn drawn(page: &Picture, scale: f64) -> Vec<Drawn> {
    let found = staves(page).into_iter().map(|staff| {
        let y = (staff.bottom - staff.space * 2.0).0 * scale;
        let (left, width) = (page.margin.0 * scale, (page.width - page.margin * 2.0).0 * scale);
        // A little short of the ends: some staves are indented, or end early.
        let at = |part: f64| (left + part * width, y);
        Drawn { middle: [at(0.2), at(0.35), at(0.5)], space: staff.space.0 * scale }
    });
    found.collect()
}

/// How far a strip's middle line is above or below a point.
fn off(strip: &Strip, (x, y): (f64, f64)) -> f64 {
    let near = strip.middle.windows(2).find(|pair| (pair[0].0..=pair[1].0).contains(&x));
    near.map_or(f64::INFINITY, |pair| {
        let part = (x - pair[0].0) / (pair[1].0 - pair[0].0);
        (pair[0].1 + part * (pair[1].1 - pair[0].1) - y).abs()
    })
}

/// Clean pages from a coarse to a fine grid of pixels: thin lines fall between rows, or into one.
#[test]
fn staves_of_clean_pages() {
    let pages = all_pages();
    for number in 0..24 {
        let (svg, page) = &pages[number % pages.len()];
        let Some(staff) = staves(page).first().cloned() else { continue };
        let space = 4.5 + 0.7 * number as f64;
        let scale = space / staff.space.0;
        let Raster { width, height, black } = rendered(svg, scale as f32);
        let light = black.into_iter().map(|black| 255 - black).collect();
        let strips = strips(&GrayImage::from_raw(width, height, light).unwrap());
        let staves = drawn(page, scale);
        assert_eq!(strips.len(), staves.len(), "page {number}, space {space:.1}");
        for staff in &staves {
            let is_it = |strip: &&Strip| {
                staff.middle.iter().all(|point| off(strip, *point) < 0.5 * staff.space)
            };
            assert!(strips.iter().any(|strip| is_it(&strip)), "page {number}, space {space:.1}");
        }
    }
}

#[test]
fn staves_of_disturbed_pages() {
    let pages = all_pages();
    let mut dice = Dice::new(1582);
    let (mut expected, mut found, mut more) = (0, 0, 0);
    let mut missed = Vec::new();
    for number in 0..20 {
        let (svg, page) = &pages[number % pages.len()];
        let Some(staff) = staves(page).first().cloned() else { continue };
        let space = dice.between(4.0, 9.0);
        let scale = space / staff.space.0;
        let flat = rendered(svg, scale as f32);
        let disturbance = Disturbance::thrown(&mut dice, space);
        let picture = disturbance.of(&flat, &mut dice);
        let strips = strips(&picture);
        let staves = drawn(page, scale);
        for staff in &staves {
            let is_it = |strip: &&Strip| {
                let points =
                    staff.middle.map(|point| disturbance.moved(point, (flat.width, flat.height)));
                points.iter().all(|point| off(strip, *point) < 0.5 * staff.space)
            };
            expected += 1;
            if strips.iter().any(|strip| is_it(&strip) && !strip.empty) {
                found += 1;
            } else {
                missed.push(format!("page {number}, space {space:.1}: {disturbance:?}"));
            }
        }
        more += strips.len().saturating_sub(staves.len());
    }
    missed.dedup();
    assert!(expected > 150, "only {expected} staves were drawn");
    assert!(100 * found >= 99 * expected, "{found} of {expected}: {missed:#?}");
    assert_eq!(more, 0, "nothing else is a staff");
}

/// Printed words, in lines as close as they come.
#[test]
fn a_page_of_text_has_no_staves() {
    let words =
        "In those days each singer had a book of his own, and none saw what the others sang. ";
    let parts = (0..14).map(|_| SheetPart {
        heading: "Of singing".to_owned(),
        body: SheetBody::Text(vec![words.repeat(4)]),
    });
    let text = Sheet {
        title: "A page of words".to_owned(),
        facts: vec!["no music".to_owned()],
        parts: parts.collect(),
    };
    let book = sheet(&text, Options::default(), &Paper::A4);
    let svg = Document::parse("").svg(&book.pages[0]);
    let mut dice = Dice::new(7);
    for scale in [2.0, 3.0, 4.0, 6.0] {
        let flat = rendered(&svg, scale);
        assert!(flat.black.iter().filter(|black| **black > 60).count() > 2000, "words are drawn");
        for _ in 0..2 {
            let disturbance = Disturbance::thrown(&mut dice, 6.0);
            assert_eq!(strips(&disturbance.of(&flat, &mut dice)), [], "{scale}: {disturbance:?}");
        }
    }
}

/// Pictures like photographs: soft shades with things in them, a balustrade, a blind, a wall of
/// bricks; made here.
#[test]
fn a_photograph_has_no_staves() {
    let mut dice = Dice::new(3);
    let size = (1500_u32, 1000_u32);
    for kind in 0..5 {
        let waves: Vec<[f64; 4]> = (0..12)
            .map(|_| {
                let mut number = |most: f64| dice.between(-most, most);
                [number(0.02), number(0.02), number(3.0), number(20.0)]
            })
            .collect();
        let things: Vec<[f64; 4]> = (0..40)
            .map(|_| {
                [
                    dice.between(0.0, 1500.0),
                    dice.between(0.0, 1000.0),
                    dice.between(5.0, 120.0),
                    dice.between(0.0, 255.0),
                ]
            })
            .collect();
        let shade = |x: u32, y: u32| {
            let (across, down) = (f64::from(x), f64::from(y));
            let soft: f64 =
                waves.iter().map(|[a, b, c, d]| d * (a * across + b * down + c).sin()).sum();
            let mut shade = 128.0 + soft;
            for [left, top, radius, dark] in &things {
                if (across - left).hypot(down - top) < *radius {
                    shade = 0.5 * shade + 0.5 * dark;
                }
            }
            match kind {
                1 if (y / 9).is_multiple_of(2) => shade -= 60.0,
                2 if (x / 9).is_multiple_of(2) => shade -= 60.0,
                3 if y % 24 < 3 || (x + 20 * (y / 24 % 2)) % 40 < 3 => shade -= 70.0,
                4 if (x / 6 + y / 6).is_multiple_of(2) => shade -= 60.0,
                _ => {}
            }
            Luma([shade.clamp(0.0, 255.0) as u8])
        };
        let photograph = GrayImage::from_fn(size.0, size.1, shade);
        assert_eq!(strips(&photograph), [], "kind {kind}");
    }
}

/// A white picture, a black one, and such as are too small for anything.
#[test]
fn pictures_of_nothing() {
    for shade in [0, 128, 255] {
        for (width, height) in [(0, 0), (1, 1), (1, 4000), (4000, 1), (23, 47), (600, 400)] {
            assert_eq!(strips(&GrayImage::from_pixel(width, height, Luma([shade]))), []);
        }
    }
}
