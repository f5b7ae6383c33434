//! Pages drawn here, by hand.

use image::{GrayImage, ImageFormat, Luma};

use crate::{Area, Strip, Unreadable, pages, strips, words};

/// A white page of 600 by 400 pixels.
fn page() -> GrayImage {
    GrayImage::from_pixel(600, 400, Luma([240]))
}

/// Some lines, so many pixels apart, from `left` to `right`, the first at `top`.
fn lines(picture: &mut GrayImage, count: u32, space: u32, [left, right]: [u32; 2], top: u32) {
    for line in 0..count {
        for x in left..right {
            picture.put_pixel(x, top + line * space, Luma([40]));
        }
    }
}

/// Black squares, a space wide, in the second space of a staff.
fn heads(picture: &mut GrayImage, space: u32, places: std::ops::Range<u32>, top: u32) {
    for x in places.step_by(3 * space as usize) {
        for (dx, dy) in (0..space).flat_map(|dx| (0..space).map(move |dy| (dx, dy))) {
            picture.put_pixel(x + dx, top + space + dy, Luma([30]));
        }
    }
}

#[test]
fn a_staff_and_an_empty_one() {
    let mut page = page();
    for top in [100, 250] {
        lines(&mut page, 5, 8, [50, 550], top);
    }
    heads(&mut page, 8, 80..300, 100);
    let found = strips(&page);
    let [music, empty] = found.as_slice() else { panic!("{found:#?}") };
    assert!(!music.empty && empty.empty);
    assert!((music.space - 8.0).abs() < 0.2, "{}", music.space);
    // The middle line is the row 116, whose middle is half a pixel lower.
    assert!(music.middle.iter().all(|(_, y)| (y - 116.5).abs() < 1.0), "{:?}", music.middle);
    // A space more on either side, three to four above and below.
    let Strip { x, y, width, height, angle, .. } = music;
    assert!((x - 42.0).abs() < 4.0 && (width - 516.0).abs() < 8.0, "{x} {width}");
    assert!((60.0..78.0).contains(y) && (78.0..102.0).contains(height), "{y} {height}");
    assert!(angle.abs() < 0.05, "{angle}");
}

/// Small letters as blocks a space high and half as wide, with gaps of a quarter; at each place so many.
fn letters(picture: &mut GrayImage, space: u32, words: &[(u32, u32)], top: u32) {
    for (from, count) in words {
        for letter in 0..*count {
            let x = from + letter * 3 * space / 4;
            for (dx, dy) in (0..space / 2).flat_map(|dx| (0..space).map(move |dy| (dx, dy))) {
                picture.put_pixel(x + dx, top + dy, Luma([40]));
            }
        }
    }
}

#[test]
fn words_below_staves() {
    let mut page = page();
    for top in [60, 140, 220] {
        lines(&mut page, 5, 8, [50, 550], top);
    }
    heads(&mut page, 8, 80..500, 60);
    heads(&mut page, 8, 80..500, 140);
    letters(&mut page, 8, &[(100, 5), (200, 1), (300, 8)], 114);
    // Below the last words the rule and the foot of the page follow.
    letters(&mut page, 8, &[(80, 3)], 194);
    letters(&mut page, 8, &[(80, 20)], 274);
    lines(&mut page, 1, 8, [50, 550], 268);
    let staves = strips(&page);
    let found = words(&page, &staves);
    let near = |area: &Area, x: f64, width: f64| {
        (area.x - x).abs() < 2.0 && (area.width - width).abs() < 3.0
    };
    let [first, second, empty] = found.as_slice() else { panic!("{found:#?}") };
    // A single letter is as narrow as a stem, and is none.
    let [five, eight] = first.as_slice() else { panic!("{first:#?}") };
    assert!(near(five, 100.0, 28.0) && near(eight, 300.0, 46.0), "{first:#?}");
    assert!((five.y - 114.0).abs() < 2.0 && (five.height - 8.0).abs() < 2.0, "{five:?}");
    assert!(second.len() == 1 && near(&second[0], 80.0, 16.0), "{second:#?}");
    assert_eq!(*empty, []);
}

/// A negative has the same words.
#[test]
fn words_of_a_negative() {
    let mut page = page();
    lines(&mut page, 5, 8, [50, 550], 100);
    heads(&mut page, 8, 80..500, 100);
    letters(&mut page, 8, &[(100, 5)], 156);
    for pixel in page.pixels_mut() {
        pixel.0[0] = 255 - pixel.0[0];
    }
    let found = words(&page, &strips(&page));
    assert_eq!(found.iter().map(Vec::len).collect::<Vec<_>>(), [1]);
}

/// The left page of an opening comes first, as does what is higher on it.
#[test]
fn an_opening() {
    let mut page = page();
    for (ends, top) in [([20, 280], 100), ([20, 280], 200), ([320, 580], 90), ([320, 580], 190)] {
        lines(&mut page, 5, 6, ends, top);
        heads(&mut page, 6, ends[0] + 20..ends[1] - 20, top);
    }
    let places: Vec<(bool, bool)> =
        strips(&page).iter().map(|strip| (strip.x < 250.0, strip.y < 150.0)).collect();
    assert_eq!(places, [(true, true), (true, false), (false, true), (false, false)]);
}

#[test]
fn other_lines_are_no_staff() {
    for count in [3, 4, 7, 9, 20] {
        let mut page = page();
        lines(&mut page, count, 8, [50, 550], 100);
        assert_eq!(strips(&page), [], "{count} lines");
    }
    let mut short = page();
    lines(&mut short, 5, 8, [50, 110], 100);
    assert_eq!(strips(&short), []);
}

/// A rule of a frame near a staff, at the distance of its lines, is no line of it.
#[test]
fn a_rule_beside_a_staff() {
    let mut page = page();
    lines(&mut page, 6, 8, [50, 550], 100);
    for x in 50..550 {
        // The sixth is fainter.
        page.put_pixel(x, 140, Luma([150]));
    }
    heads(&mut page, 8, 80..500, 100);
    let found = strips(&page);
    assert_eq!(found.len(), 1);
    assert!(found[0].middle.iter().all(|(_, y)| (y - 116.5).abs() < 1.0), "{:?}", found[0].middle);
}

#[test]
fn files_of_pictures() {
    let mut bytes = std::io::Cursor::new(Vec::new());
    page().write_to(&mut bytes, ImageFormat::Png).unwrap();
    let bytes = bytes.into_inner();
    let read = pages(&bytes).unwrap();
    assert_eq!((read.len(), read[0].picture.dimensions(), read[0].scale), (1, (600, 400), 1.0));
    assert_eq!(read[0].png().unwrap(), bytes);
    assert!(matches!(pages(&bytes[..bytes.len() / 2]), Err(Unreadable::Broken(_))));
    for other in ["", "title A duo", "GIF89a"] {
        assert_eq!(pages(other.as_bytes()).err(), Some(Unreadable::Kind));
    }
    assert!(matches!(pages(b"%PDF-1.7\nnothing"), Err(Unreadable::Broken(_))));
}

/// A picture whose head says that it is larger than any is refused before it is read.
#[test]
fn too_large() {
    let mut bytes = std::io::Cursor::new(Vec::new());
    page().write_to(&mut bytes, ImageFormat::Png).unwrap();
    let mut bytes = bytes.into_inner();
    // The width stands after the signature, the length and the name of the first part (PNG
    // specification, sections 5.2, 5.3 and 11.2.1); its check sum is not looked at first.
    bytes[16..20].copy_from_slice(&4_000_000_u32.to_be_bytes());
    assert!(pages(&bytes).is_err());
}
