//! A browser shows an SVG file, opened as a page, as resvg draws it.

use std::fs;
use std::path::Path;
use std::process::Command;

use engrave::{Look, svg};
use notation::LineIndex;
use suite::{LAYOUTS, Raster, drawn, fixtures, is_installed, rendered};

/// Pixels of the page that a browser takes for one of its own.
const SCALE: u32 = 2;

/// From the middle of a square to where it ends: about a staff space and a half, both ways together.
const SQUARE: u32 = 8;

/// Squares of the two drawings differ by their soft edges alone, measured as at most 17 of 255. A head more
/// or less makes 99 or more, a head one place higher 46 or more.
const TOLERANCE: u32 = 20;

/// What the browser shows of a file, at least as large as the picture.
fn shown(folder: &Path, svg: &str, like: &Raster) -> Raster {
    let (page, picture) = (folder.join("page.svg"), folder.join("page.png"));
    fs::write(&page, svg).unwrap();
    let side = |pixels: u32| pixels.div_ceil(SCALE);
    let output = Command::new("chromium")
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars"])
        .arg(format!("--user-data-dir={}", folder.join("profile").display()))
        .arg(format!("--force-device-scale-factor={SCALE}"))
        .arg(format!("--window-size={},{}", side(like.width), side(like.height)))
        .arg(format!("--screenshot={}", picture.display()))
        .arg(&page)
        .output()
        .unwrap();
    assert!(picture.exists(), "{}", String::from_utf8_lossy(&output.stderr));
    Raster::read(&picture)
}

#[test]
fn a_browser_shows_what_resvg_draws() {
    if !is_installed("chromium", "chromium") {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let mut worst = 0;
    for (name, text) in fixtures() {
        let index = LineIndex::new(&text);
        let svg = svg(&drawn(&text, LAYOUTS[0], &Look::default()), &|span| index.line(span.start));
        // As large as in the browser, which counts 96 pixels to an inch.
        let pixels_per_mm = 96.0 * SCALE as f32 / 25.4;
        let expected = rendered(&svg, pixels_per_mm);
        let shown = shown(folder.path(), &svg, &expected);
        let difference = shown.worst_blur(&expected, SQUARE);
        assert!(difference <= TOLERANCE, "{name}: {difference}");
        worst = worst.max(difference);
        // The same without the last head.
        let head = svg.rfind("href=\"#h").unwrap();
        let line = svg[..head].rfind('\n').unwrap()..head + svg[head..].find('\n').unwrap();
        let with = |other: &str| {
            let mut svg = svg.clone();
            svg.replace_range(line.clone(), other);
            shown.worst_blur(&rendered(&svg, pixels_per_mm), SQUARE)
        };
        let difference = with("");
        assert!(difference > 3 * TOLERANCE, "{name}, a head taken away: {difference}");
        // The same with the last head one place higher on its staff.
        let (before, y) = svg[line.clone()].rsplit_once(" y=\"").unwrap();
        let (y, after) = y.split_once('"').unwrap();
        let higher = y.parse::<f64>().unwrap() - Look::default().staff.0 / 8.0;
        let difference = with(&format!("{before} y=\"{higher:.2}\"{after}"));
        assert!(difference > 2 * TOLERANCE, "{name}, a head one place higher: {difference}");
    }
    println!("at most {worst}");
}
