//! On the scans of the madrigals exactly the lines of music that the encodings have are found, in order,
//! and each strip holds all heads of its line.

use std::fs;

use cartella::{Document, Example};
use facsimile::image::{GrayImage, imageops};
use facsimile::{Area, Strip, pages, strips, words};
use notation::{ItemKind, Sound};
use suite::{MADRIGALS, PARTS, madrigal_parts, opendata};

/// The lowest and the highest place of each line of a voice that a head has: 2 is the bottom line, 10 the
/// top line.
fn places(example: Example<'_>, voice: usize) -> Vec<(i32, i32)> {
    let copied = example.copied();
    let items = &example.piece().voices[voice].items;
    let lines = copied.lines.iter().filter(|line| line.voice == voice);
    let of_line = |line: &cartella::SourceLine| {
        let (mut clef, mut ends) = (line.clef, (10, 2));
        for item in items[line.items.clone()].iter().filter(|item| item.standing.is_printed()) {
            match &item.kind {
                ItemKind::Clef(changed) => clef = *changed,
                ItemKind::Event(event) => {
                    let Sound::Notes(notes) = &event.sound else { continue };
                    for note in notes {
                        let place = clef.place_of(note.tone);
                        ends = (ends.0.min(place), ends.1.max(place));
                    }
                }
                _ => {}
            }
        }
        ends
    };
    lines.map(of_line).collect()
}

/// Whether a strip holds all that is between two places of its staff, heads in full.
fn holds(strip: &Strip, (lowest, highest): (i32, i32)) -> bool {
    let (x, y) = (strip.x + strip.width / 2.0, strip.y + strip.height / 2.0);
    let (sin, cos) = strip.angle.to_radians().sin_cos();
    // The middle line is place 6; a head is a space high.
    let spaces = [f64::from(6 - lowest) / 2.0 + 0.5, f64::from(6 - highest) / 2.0 - 0.5];
    strip.middle.iter().all(|point| {
        spaces.iter().all(|off| {
            let (across, down) = (point.0 - x, point.1 + off * strip.space - y);
            let height = -across * sin + down * cos;
            height.abs() <= strip.height / 2.0
        })
    })
}

#[test]
fn lines_of_the_madrigals() {
    let Some(opendata) = opendata() else { return };
    let (mut lines, mut wrong) = (0, Vec::new());
    for piece in MADRIGALS {
        let document = Document::parse(madrigal_parts(&opendata, piece));
        for (voice, part) in PARTS.iter().enumerate() {
            let name = format!("{piece}, {part}");
            let scan = opendata.join(format!("madrigals-1582/{piece}/facsimile/{part}.pdf"));
            let pages = pages(&fs::read(&scan).unwrap()).unwrap();
            assert_eq!(pages.len(), 1, "{name}");
            let found = strips(&pages[0].picture);
            let expected = places(document.first(), voice);
            let music = found.iter().take_while(|strip| !strip.empty);
            let music: Vec<&Strip> = music.collect();
            // What follows the music is empty.
            if music.len() != expected.len()
                || found[music.len()..].iter().any(|strip| !strip.empty)
            {
                wrong.push(format!("{name}: {} lines, {} strips", expected.len(), music.len()));
                continue;
            }
            // All of them stand on the right page, from the top down; at most ten fit on it.
            let width = f64::from(pages[0].picture.width());
            assert!(found.len() <= 10 && found.iter().all(|strip| strip.x > width / 2.0), "{name}");
            assert!(found.windows(2).all(|pair| pair[0].y < pair[1].y), "{name}");
            let words = words(&pages[0].picture, &found);
            assert!(words[music.len()..].iter().all(Vec::is_empty), "{name}: words below nothing");
            for (number, (strip, ends)) in (1..).zip(music.iter().zip(&expected)) {
                lines += 1;
                // The madrigals have words below each line, between it and the next, on the paper.
                let below =
                    found.get(number).map_or(f64::INFINITY, |next| next.y + next.height / 2.0);
                let words = &words[number - 1];
                let stands = |words: &Area| {
                    words.y > strip.y + strip.height / 2.0
                        && words.y + words.height < below
                        && words.x > width / 2.0
                };
                if words.is_empty() || !words.iter().all(stands) {
                    wrong.push(format!("{name}, line {number}: words at {words:?}"));
                }
                if !holds(strip, *ends) {
                    wrong.push(format!("{name}, line {number}: a head at {ends:?} is cut"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert_eq!(lines, 439, "all lines are looked at");
}

/// Two pages beside one another, cut from scans that lie a little turned: as many staves as on both alone. Where a
/// staff is followed across the fold, it meets none, or another.
#[test]
fn pages_beside_one_another() {
    let Some(opendata) = opendata() else { return };
    for piece in MADRIGALS {
        for (left, right) in [("cantus", "altus"), ("tenor", "bassus")] {
            let page = |part: &str| {
                let scan = opendata.join(format!("madrigals-1582/{piece}/facsimile/{part}.pdf"));
                let opening = pages(&fs::read(scan).unwrap()).unwrap().remove(0).picture;
                // The right page, without the table beneath the book.
                let (width, height) = opening.dimensions();
                let of = |length: u32, part: f64| (f64::from(length) * part) as u32;
                let (x, y) = (of(width, 0.508), of(height, 0.031));
                imageops::crop_imm(&opening, x, y, of(width, 0.458), of(height, 0.928)).to_image()
            };
            let name = format!("{piece}, {left} and {right}");
            let (left, right) = (page(left), page(right));
            let height = left.height().max(right.height());
            let mut both = GrayImage::new(left.width() + right.width(), height);
            imageops::replace(&mut both, &left, 0, 0);
            imageops::replace(&mut both, &right, i64::from(left.width()), 0);
            let alone = strips(&left).len() + strips(&right).len();
            assert_eq!((strips(&both).len(), alone), (18, 18), "{name}: {:?}", left.dimensions());
        }
    }
}
