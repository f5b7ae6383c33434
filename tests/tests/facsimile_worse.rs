//! Scans as a bad camera or scanner gives them: turned, smaller and larger, darker, blurred, spotted. What is
//! read of them is at most twice as wrong.

use facsimile::image::GrayImage;
use facsimile::image::imageops::{FilterType, resize};
use facsimile::{Network, Sizes, Sort, read, strips};
use suite::{Dice, Disturbance, Opening, Raster, compared, differences, opendata, openings};

/// What nothing happens to.
const STILL: Disturbance = Disturbance {
    turned: 0.0,
    bent: 0.0,
    wave: 0.0,
    blurred: 0.0,
    spots: 0,
    shaded: 0.0,
    contrast: 1.0,
    noise: 0.0,
    negative: false,
};

fn disturbed(picture: &GrayImage, disturbance: &Disturbance) -> GrayImage {
    let (width, height) = picture.dimensions();
    let black = picture.as_raw().iter().map(|light| 255 - light).collect();
    disturbance.of(&Raster { width, height, black }, &mut Dice::new(1582))
}

fn scaled(picture: &GrayImage, by: f64) -> GrayImage {
    let [width, height] =
        [picture.width(), picture.height()].map(|side| (f64::from(side) * by) as u32);
    resize(picture, width, height, FilterType::Triangle)
}

/// What is done to a scan.
type Way = Box<dyn Fn(&GrayImage) -> GrayImage>;

/// All that is done to a scan. Lines are nine pixels apart in them.
fn ways() -> Vec<(&'static str, Way)> {
    let by = |disturbance: Disturbance| -> Way {
        Box::new(move |picture| disturbed(picture, &disturbance))
    };
    let scale = |by: f64| -> Way { Box::new(move |picture| scaled(picture, by)) };
    vec![
        ("as they are", Box::new(GrayImage::clone)),
        ("turned by 2 degrees", by(Disturbance { turned: 2.0, ..STILL })),
        ("turned by -2 degrees", by(Disturbance { turned: -2.0, ..STILL })),
        ("0.7 times as large", scale(0.7)),
        ("1.4 times as large", scale(1.4)),
        ("2 times as large", scale(2.0)),
        ("darkened", by(Disturbance { shaded: 0.6, contrast: 0.6, ..STILL })),
        ("blurred by 1 pixel", by(Disturbance { blurred: 1.0, ..STILL })),
        ("spotted", by(Disturbance { spots: 60, ..STILL })),
        ("light on dark", by(Disturbance { negative: true, ..STILL })),
    ]
}

/// How many sorts are wrong on some openings, and how many there are. Lines follow one another, so one that
/// is not found counts with all that is on it.
fn wrong(
    openings: &[Opening],
    way: &dyn Fn(&GrayImage) -> GrayImage,
    network: &Network,
) -> (usize, usize) {
    let (mut wrong, mut all) = (0, 0);
    for opening in openings {
        let picture = way(&opening.picture);
        let staves = strips(&picture);
        let sizes = Sizes::of(&picture, &staves);
        let lines = staves.iter().filter(|staff| !staff.empty);
        let found: Vec<Sort> = lines
            .flat_map(|staff| {
                let row = read(&sizes.laid(staff), network);
                compared(row.sorts.iter().map(|read| read.sort))
            })
            .collect();
        let printed: Vec<Sort> =
            opening.lines.iter().flat_map(|line| compared(line.iter().copied())).collect();
        wrong += differences(&printed, &found);
        all += printed.len();
    }
    (wrong, all)
}

/// Three openings. With `CARTELLA_ALL_SCANS`, one of each piece: the table in
/// `crates/facsimile/training/README.md`.
#[test]
fn scans_made_worse() {
    let Some(opendata) = opendata() else { return };
    let all = std::env::var_os("CARTELLA_ALL_SCANS").is_some();
    let openings = openings(&opendata, &|piece, voice| {
        if all { piece % 5 == voice } else { [(2, 0), (5, 3), (9, 4)].contains(&(piece, voice)) }
    });
    let network = Network::shipped();
    let figures: Vec<(&str, usize, usize)> = ways()
        .into_iter()
        .map(|(name, way)| {
            let (wrong, all) = wrong(&openings, &way, &network);
            println!("{name}: {wrong} of {all}, {:.2} %", 100.0 * wrong as f64 / all as f64);
            (name, wrong, all)
        })
        .collect();
    let (_, plain, all) = figures[0];
    assert!(all > 300 && plain > 0, "{plain} of {all}");
    for (name, wrong, _) in &figures {
        assert!(*wrong <= 2 * plain, "{name}: {wrong}, and {plain} as they are");
    }
}
