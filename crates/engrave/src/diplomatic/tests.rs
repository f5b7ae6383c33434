//! Small cases of copies, one idea each.

use std::sync::Arc;

use notation::{Piece, parse};
use score::{Heading, SourceLine, reckon, source_lines};

use super::{Copy, CopyClefs, TypeStyle, copy, copy_line, copy_on, unaccounted};
use crate::audit::{FindingKind, audit};
use crate::frame::{BlockKind, Ink, Item, Picture, Role};
use crate::look::Look;
use crate::pages::Paper;
use crate::strip::Strip;
use crate::units::{Mm, Sp};
use crate::{Ground, pages, pdf, png, svg};

fn of_text(text: &str) -> (Piece, Vec<SourceLine>) {
    let parsed = parse(text);
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    let lines = source_lines(&parsed.piece, &reckon(&parsed.piece));
    (parsed.piece, lines)
}

fn drawn(text: &str, setting: &Copy) -> Picture {
    let (piece, lines) = of_text(text);
    copy(&piece, &lines, &Heading::default(), &Look::default(), setting, &|_, _| None)
}

fn cantus(music: &str) -> String {
    format!("voice Cantus clef C1\n  {music}\n")
}

fn items(picture: &Picture) -> impl Iterator<Item = &Item> {
    picture.blocks.iter().flat_map(|block| &block.frame.items)
}

/// The words of a role, in the order in which they are drawn.
fn words(picture: &Picture, role: Role) -> Vec<&str> {
    let said = items(picture).filter(|item| item.role == role).filter_map(|item| match &item.ink {
        Ink::Letters { letters, .. } => Some(letters.text.as_str()),
        _ => None,
    });
    said.collect()
}

const LINES: &str = "sb D4 E mn F G sb A ~B / B4 A mn G F lg E //";

#[test]
fn a_line_of_the_source_is_a_row_with_its_number_and_its_count() {
    let picture = drawn(&cantus(LINES), &Copy::default());
    let rows = picture.blocks.iter().filter(|block| matches!(block.kind, BlockKind::Copy(_)));
    assert_eq!(rows.count(), 2);
    assert_eq!(words(&picture, Role::LineNumber), ["1", "2"]);
    assert_eq!(words(&picture, Role::Count), ["8", "22"]);
    assert_eq!(words(&picture, Role::VoiceName), ["Cantus"]);
    assert_eq!(words(&picture, Role::Heading), ["Diplomatic copy"]);
}

#[test]
fn stacked_lines_stand_in_one_system_and_part_books_one_after_another() {
    let voices = format!("{}voice Tenor clef C4\n  sb D3 E F G / F E lg D //\n", cantus(LINES));
    let staves = |layout: &str| -> Vec<usize> {
        let picture = drawn(&format!("layout {layout}\n{voices}"), &Copy::default());
        let blocks = picture.blocks.iter().map(|block| block.frame.staves.len());
        blocks.filter(|count| *count > 0).collect()
    };
    assert_eq!(staves("stacked"), [2, 2]);
    assert_eq!(staves("barred"), [2, 2]);
    assert_eq!(staves("partbooks"), [1, 1, 1, 1]);
}

#[test]
fn what_the_editor_says_is_told_from_what_is_printed() {
    let music = "sb D4 < mn E | sb F > G < | mn A > < mn B4 | > sb A? F[#] G=3 <? E | F > lg D";
    let picture = drawn(&cantus(music), &Copy::default());
    let mut said = words(&picture, Role::Reading);
    said.sort_unstable();
    assert_eq!(said, ["?", "[=3]", "add mn A4", "leave out", "or sb F4?", "read sb F4"]);
    let count = |role: Role| items(&picture).filter(|item| item.role == role).count();
    assert_eq!((count(Role::Editorial), count(Role::Enclosure)), (1, 0));
    // What is read instead has no head: nine notes are printed.
    assert_eq!(count(Role::Head), 9);
    assert_eq!(audit(&picture), []);
}

#[test]
fn what_is_supplied_stands_between_brackets() {
    let picture = drawn(&cantus("sb D4 [ mn E F ] G / [ sb A ] lg G"), &Copy::default());
    let brackets = items(&picture).filter(|item| item.role == Role::Enclosure).count();
    assert_eq!(brackets, 4);
}

#[test]
fn modern_clefs_stand_throughout() {
    let text = "voice Tenor clef C4\n  sb D3 E clef C3 F G ~A / A lg D //\n";
    let clefs = |clefs: CopyClefs| -> Vec<String> {
        let picture = drawn(text, &Copy { clefs, ..Copy::default() });
        let staves = picture.blocks.iter().flat_map(|block| &block.frame.staves);
        staves.map(|staff| format!("{} {}", staff.clef, staff.octave_change)).collect()
    };
    assert_eq!(clefs(CopyClefs::Printed), ["C4 0", "C3 0"]);
    assert_eq!(clefs(CopyClefs::Modern), ["G2 -1", "G2 -1"]);
}

#[test]
fn a_long_line_makes_staves_smaller_and_a_longer_one_is_broken() {
    let of_notes = |count: usize| {
        let music = format!("fu {} /", "A4 G F G ".repeat(count / 4));
        drawn(&cantus(&music), &Copy::default())
    };
    let rows = |picture: &Picture| picture.blocks.len() - 1;
    let [short, long, longer] = [40, 80, 300].map(of_notes);
    assert_eq!((rows(&short), rows(&long)), (1, 1));
    assert!(long.staff() < short.staff() && long.staff() >= Mm(4.0));
    assert!(rows(&longer) > 2 && longer.staff() == short.staff());
    // Its count stands once.
    assert_eq!(words(&longer, Role::Count), ["75"]);
    for picture in [short, long, longer] {
        assert_eq!(audit(&picture), []);
    }
}

/// What no print would have still stands on the page.
#[test]
fn what_is_too_wide_is_set_smaller() {
    let ligature = format!("( br {} )", "D4 E ".repeat(150));
    let words = format!("\"{}\" sb D4", "prima pars ".repeat(60));
    let name = "N".repeat(300);
    let voice = format!("voice {name} clef C1\n  sb D4 E\n");
    for text in [cantus(&ligature), cantus(&words), voice] {
        assert_eq!(audit(&drawn(&text, &Copy::default())), []);
    }
}

/// Faults that are planted are found.
#[test]
fn the_audit_finds_what_is_wrong() {
    let (piece, lines) = of_text(&cantus(LINES));
    let plain = drawn(&cantus(LINES), &Copy::default());
    assert_eq!((audit(&plain), unaccounted(&piece, &lines, &[&plain])), (vec![], vec![]));
    let changed = |change: &dyn Fn(&mut Vec<Item>)| {
        let mut picture = plain.clone();
        let row = picture.blocks.iter_mut().find(|block| block.system().is_some()).unwrap();
        change(&mut row.frame.items);
        picture
    };
    let is_head = |item: &Item, index: u32| {
        item.role == Role::Head && item.of.is_some_and(|of| of.index == Some(index))
    };
    let missing = changed(&|items| items.retain(|item| !is_head(item, 3)));
    let found = unaccounted(&piece, &lines, &[&missing]);
    assert_eq!((found.len(), found[0].kind, found[0].index), (1, FindingKind::Missing, Some(3)));

    let twice = changed(&|items| {
        let head = items.iter().find(|item| is_head(item, 2)).unwrap().clone();
        items.push(head.moved(Sp(40.0), Sp::ZERO));
    });
    let found = unaccounted(&piece, &lines, &[&twice]);
    assert_eq!((found.len(), found[0].kind, found[0].index), (1, FindingKind::Displaced, Some(2)));

    // The second head on the third.
    let colliding = changed(&|items| {
        let places: Vec<usize> = [2, 3]
            .iter()
            .map(|index| items.iter().position(|item| is_head(item, *index)).unwrap())
            .collect();
        let x = |item: &Item| match &item.ink {
            Ink::Shape(shape) => shape.area().left,
            _ => Sp::ZERO,
        };
        let by = x(&items[places[1]]) - x(&items[places[0]]);
        items[places[0]] = items[places[0]].clone().moved(by, Sp::ZERO);
    });
    let found = audit(&colliding);
    assert!(found.iter().any(|found| found.kind == FindingKind::Overlap), "{found:?}");
}

#[test]
fn a_style_changes_what_is_drawn() {
    let (piece, lines) = of_text(&cantus(LINES));
    let head = |style: &TypeStyle| {
        let picture = copy_line(&piece, &lines[0], Mm(180.0), Mm(6.0), style);
        let head = items(&picture).find(|item| item.role == Role::Head).unwrap();
        let Ink::Shape(shape) = &head.ink else { panic!("a head is a drawing") };
        shape.area()
    };
    let usual = TypeStyle::default();
    let wide = TypeStyle { head_width: Sp(1.6), ..usual };
    assert!((head(&wide).width() - Sp(1.6)).abs() < Sp(1e-9));
    assert!(head(&usual).width() < head(&wide).width());
}

/// A picture of a page, 400 by 300 pixels, grey but for a black bar: 40 pixels wide, from the middle of its left
/// quarter.
fn page() -> Arc<[u8]> {
    let mut bytes = Vec::new();
    let mut encoder = ::png::Encoder::new(&mut bytes, 400, 300);
    encoder.set_color(::png::ColorType::Grayscale);
    let row: Vec<u8> = (0..400).map(|x| if (80..120).contains(&x) { 0 } else { 200 }).collect();
    encoder.write_header().unwrap().write_image_data(&row.repeat(300)).unwrap();
    bytes.into()
}

#[test]
fn a_strip_stands_above_its_line_at_the_width_of_the_staff() {
    let (piece, lines) = of_text(&cantus(LINES));
    let picture = page();
    let strip = |voice: Option<usize>, line: u32| {
        let y = 100.0 * f64::from(line - 1);
        let (x, width, height) = (0.0, 400.0, 60.0);
        let picture = picture.clone();
        voice.map(|_| Strip { picture, size: (400, 300), x, y, width, height, angle: 0.0 })
    };
    let setting = Copy::default();
    let drawn = copy(&piece, &lines, &Heading::default(), &Look::default(), &setting, &strip);
    assert_eq!(audit(&drawn), []);
    let strips: Vec<_> = items(&drawn).filter(|item| item.role == Role::Facsimile).collect();
    assert_eq!(strips.len(), 2);
    let staff = items(&drawn).find(|item| item.role == Role::StaffLine).unwrap();
    let (Ink::Picture { area, .. }, Ink::Line { from, to, .. }) = (&strips[0].ink, &staff.ink)
    else {
        panic!("a strip and a line")
    };
    assert_eq!((area.left, area.right), (from.x, to.x));
    assert!((area.height() - area.width() * 0.15).abs() < Sp(1e-9) && area.bottom < Sp::ZERO);

    // The bytes of the page are in the SVG file once, in the PDF as pixels; and the bar is black in the PNG.
    let svg = svg(&drawn, &|_| 1);
    assert_eq!((svg.matches("data:image/png").count(), svg.matches("#page0").count()), (1, 2));
    let on_paper = copy_on(
        &piece,
        &lines,
        &Heading::default(),
        (&Look::default(), &Paper::A4),
        &setting,
        &strip,
    );
    let file = pdf(&pages(vec![on_paper], &Paper::A4), None).unwrap();
    assert!(String::from_utf8_lossy(&file).contains("/Image"));
    let raster = png(&drawn, 127.0, Ground::White, None).unwrap();
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(raster)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    let row = drawn.blocks.iter().find(|block| block.system().is_some()).unwrap();
    // Five pixels to a millimetre.
    let at = |x: Sp, y: Sp| {
        let (x, y) = (row.x + drawn.space * x.0, row.y + drawn.space * y.0);
        let (x, y) = ((x.0 * 5.0) as usize, (y.0 * 5.0) as usize);
        pixels[(y * info.width as usize + x) * 3]
    };
    let middle = (area.top + area.bottom) / 2.0;
    assert_eq!(at(area.left + area.width() * 0.25, middle), 0);
    assert_eq!(at(area.left + area.width() * 0.5, middle), 200);
}

/// A box that is turned is turned back.
#[test]
fn a_turned_strip_is_straightened() {
    let strip = Strip {
        picture: page(),
        size: (400, 300),
        x: 50.0,
        y: 100.0,
        width: 200.0,
        height: 100.0,
        angle: 90.0,
    };
    let (piece, lines) = of_text(&cantus("sb D4 E F lg D"));
    let give = |voice: Option<usize>, _| voice.map(|_| strip.clone());
    let drawn =
        copy(&piece, &lines, &Heading::default(), &Look::default(), &Copy::default(), &give);
    let svg = svg(&drawn, &|_| 1);
    assert!(svg.contains("rotate(-90 150 150)"), "round the middle of the box");
    assert!(svg.contains("viewBox=\"50 100 200 100\""));
    assert_eq!(audit(&drawn), []);
}
