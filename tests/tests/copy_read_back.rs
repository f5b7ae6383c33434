//! Proof sheets read back from their ink: every note and rest of the twelve madrigals stands there once, at its
//! place, in its shape and on its line, as the encoding of the print has it. The encoding is read here by
//! itself, without the program's own reader; and no shape is taken from anything but drawings.

use std::collections::BTreeMap;

use cartella::{Copy, CopyClefs, Document, Look};
use roxmltree::{Document as Xml, Node};
use suite::{MADRIGALS, PARTS, duos, fixtures, madrigal, madrigal_parts, opendata, read_score};

/// A note or rest as the eye has it: its value and whether it is black, its places on the staff, and whether it has
/// a dot. A black minim looks like a semiminim, and a note of a ligature shows its value only beside others.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Seen {
    shape: &'static str,
    place: Option<i32>,
    dotted: bool,
}

const STEPS: &str = "cdefgab";

/// The lines of a part, as they are encoded: each with its notes and rests.
fn encoded(text: &str) -> Vec<Vec<Seen>> {
    let xml = Xml::parse(text).unwrap();
    let name = |node: &Node<'_, '_>| node.tag_name().name().to_owned();
    let staff = xml.descendants().find(|node| name(node) == "staffDef").unwrap();
    let steps = |step: &str, octave: i32| STEPS.find(step).unwrap() as i32 + 7 * octave;
    let clef = match staff.attribute("clef.shape").unwrap() {
        "G" => steps("g", 4),
        "C" => steps("c", 4),
        _ => steps("f", 3),
    };
    let line: i32 = staff.attribute("clef.line").unwrap().parse().unwrap();
    let lines = xml.descendants().filter(|node| name(node) == "measure");
    let lines = lines.map(|measure| {
        let events = measure.descendants().filter(|node| ["note", "rest"].contains(&&*name(node)));
        let seen = events.map(|event| {
            let rest = name(&event) == "rest";
            let black = event.attribute("colored") == Some("true");
            let bound = event.ancestors().any(|one| name(&one) == "ligature");
            let dots = event.attribute("dots") == Some("1")
                || event.next_sibling_element().is_some_and(|next| name(&next) == "dot");
            let shape = match (event.attribute("dur").unwrap(), rest, black) {
                _ if bound => "bound",
                ("longa", false, _) => "longa",
                ("brevis", false, _) => "breve",
                ("semibrevis", false, false) => "semibreve",
                ("semibrevis", false, true) => "black semibreve",
                ("minima", false, false) => "minim",
                ("minima" | "semiminima", false, _) => "semiminim",
                ("fusa", false, _) => "fusa",
                ("semifusa", false, _) => "semifusa",
                ("longa", true, _) => "longa rest",
                ("brevis", true, _) => "breve rest",
                ("semibrevis", true, _) => "semibreve rest",
                ("minima", true, _) => "minim rest",
                ("semiminima", true, _) => "semiminim rest",
                (other, ..) => panic!("{other}"),
            };
            let octave = event.attribute("oct").map(|octave| octave.parse::<i32>().unwrap());
            let place = octave.zip(event.attribute("pname"));
            let place = place.map(|(octave, step)| steps(step, octave) - clef + 2 * line);
            Seen { shape, place, dotted: dots }
        });
        (seen.collect::<Vec<Seen>>(), measure.attribute("right") == Some("dbl"))
    });
    // A double bar inside the piece ends no line.
    let mut joined: Vec<Vec<Seen>> = Vec::new();
    let mut goes_on = false;
    for (line, double) in lines.filter(|(line, _)| !line.is_empty()) {
        match joined.last_mut().filter(|_| goes_on) {
            Some(last) => last.extend(line),
            None => joined.push(line),
        }
        goes_on = double;
    }
    joined
}

/// The closed curves of path data as the program writes it, each as its corners.
fn curves(data: &str) -> Vec<Vec<(f64, f64)>> {
    let mut curves: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut at = (0.0, 0.0);
    let commands = data.split_inclusive(|c: char| c.is_ascii_alphabetic());
    let mut command = 'z';
    for part in commands {
        let (numbers, next) = part
            .split_at(part.len() - usize::from(part.ends_with(|c: char| c.is_ascii_alphabetic())));
        let mut values = Vec::new();
        let mut number = String::new();
        for c in numbers.chars() {
            if (c == '-' || c == ' ') && !number.is_empty() {
                values.push(number.parse::<f64>().unwrap());
                number.clear();
            }
            if c != ' ' {
                number.push(c);
            }
        }
        if !number.is_empty() {
            values.push(number.parse().unwrap());
        }
        match (command, values.as_slice()) {
            ('M', [x, y]) => {
                at = (*x, *y);
                curves.push(vec![at]);
            }
            ('l', pairs) => {
                for pair in pairs.chunks(2) {
                    at = (at.0 + pair[0], at.1 + pair[1]);
                    curves.last_mut().unwrap().push(at);
                }
            }
            ('h', [x]) => {
                at.0 += x;
                curves.last_mut().unwrap().push(at);
            }
            ('v', [y]) => {
                at.1 += y;
                curves.last_mut().unwrap().push(at);
            }
            ('H', [x]) => {
                at.0 = *x;
                curves.last_mut().unwrap().push(at);
            }
            ('V', [y]) => {
                at.1 = *y;
                curves.last_mut().unwrap().push(at);
            }
            // The end of a curve; what is round belongs to accidentals.
            _ => {}
        }
        command = next.chars().next().unwrap_or('z');
    }
    curves
}

/// Left, top, right, bottom.
fn around<'c>(corners: impl IntoIterator<Item = &'c (f64, f64)>) -> [f64; 4] {
    corners.into_iter().fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |[l, t, r, b], (x, y)| {
        [l.min(*x), t.min(*y), r.max(*x), b.max(*y)]
    })
}

/// A staff: where its lines are, from the lowest, and how far they are apart.
#[derive(Clone, Copy)]
struct Staff {
    bottom: f64,
    space: f64,
}

impl Staff {
    fn of(path: &str) -> Staff {
        let lines: Vec<f64> = curves(path).iter().map(|line| line[0].1).collect();
        assert_eq!(lines.len(), 5);
        Staff { bottom: lines[4], space: (lines[4] - lines[0]) / 4.0 }
    }

    /// The place of a height: 2 is the lowest line.
    fn place(self, y: f64) -> f64 {
        (self.bottom - y) / (self.space / 2.0) + 2.0
    }
}

/// What the ink of a note or rest shows, and where it is from the left.
fn seen(group: Node<'_, '_>, staff: Staff, bound: bool) -> (Seen, f64) {
    let of_class = |class: &str| {
        let all = group.children().filter(|node| node.attribute("class") == Some(class));
        all.map(|node| curves(node.attribute("d").unwrap())).collect::<Vec<_>>()
    };
    let uses = |id: &str| {
        group.children().any(|node| {
            node.attribute("href").is_some_and(|href| href[1..].split('_').next() == Some(id))
        })
    };
    let (heads, rests) = (of_class("head"), of_class("rest"));
    assert_eq!(heads.len() + rests.len(), 1, "one head, or one rest");
    let dotted = uses("dot");
    let parts = heads.first().or(rests.first()).unwrap();
    let [left, top, right, bottom] = around(parts.iter().flatten());
    let (width, height) = ((right - left) / staff.space, (bottom - top) / staff.space);
    if heads.is_empty() {
        let stroke = around(&parts[0]);
        let on_line = |y: f64| (staff.place(y) - 6.0).abs() < 0.02;
        let shape = match height {
            _ if parts.len() > 1 && (stroke[0] - left).abs() < 0.02 => "semiminim rest",
            _ if parts.len() > 1 => "fusa rest",
            _ if (height - 2.0).abs() < 0.02 => "longa rest",
            _ if (height - 1.0).abs() < 0.02 => "breve rest",
            _ if on_line(top) => "semibreve rest",
            _ if on_line(bottom) => "minim rest",
            _ => panic!("a rest {height} spaces high"),
        };
        return (Seen { shape, place: None, dotted }, left);
    }
    let place = staff.place(f64::midpoint(top, bottom));
    let is_oblique = bound && (place - place.round()).abs() > 0.05;
    assert!(is_oblique || (place - place.round()).abs() < 0.05, "a head at {place}");
    // Half an oblique body is not as high on both its sides.
    let place = if is_oblique { None } else { Some(place.round() as i32) };
    let (has_stem, flags) = (!of_class("stem").is_empty(), of_class("flag").len());
    let diamond = parts[0].len() == 4 && parts[0][0].0 > left + 0.01;
    let hollow = parts.len() == 2;
    let shape = match (diamond, hollow, has_stem, flags) {
        _ if bound => "bound",
        (true, true, false, 0) => "semibreve",
        (true, false, false, 0) => "black semibreve",
        (true, true, true, 0) => "minim",
        (true, false, true, 0) => "semiminim",
        (true, false, true, 1) => "fusa",
        (true, false, true, 2) => "semifusa",
        (false, _, false, 0) if width < 2.0 => "breve",
        (false, _, true, 0) if width < 2.0 => "longa",
        other => panic!("{other:?}, {width} spaces wide"),
    };
    (Seen { shape, place, dotted }, left)
}

/// What a sheet shows: of each voice and line, what stands there from the left, with the numbers of its notes.
type Shown = BTreeMap<(String, u32), Vec<(u32, Seen, f64)>>;

fn shown(svg: &str, bound: &dyn Fn(&str, u32) -> bool) -> Shown {
    let xml = Xml::parse(svg).unwrap();
    let mut shown = Shown::new();
    for block in xml.root_element().children().filter(|node| node.has_tag_name("g")) {
        let staves = block.children().filter(|node| node.attribute("class") == Some("staff"));
        let staves: Vec<Staff> =
            staves.map(|node| Staff::of(node.attribute("d").unwrap())).collect();
        for voice in block.children().filter(|node| node.has_attribute("data-voice")) {
            let attribute = |name| voice.attribute(name).unwrap();
            let number = |name| attribute(name).parse::<u32>().unwrap();
            let (name, staff) =
                (attribute("data-voice"), staves[number("data-staff") as usize - 1]);
            let line = shown.entry((name.to_owned(), number("data-source-line"))).or_default();
            for group in voice.children().filter(|node| node.has_attribute("data-index")) {
                let index = group.attribute("data-index").unwrap().parse().unwrap();
                let (seen, left) = seen(group, staff, bound(name, index));
                line.push((index, seen, left));
            }
        }
    }
    shown
}

#[test]
fn every_note_of_the_prints_stands_in_its_line_at_its_place_and_in_its_shape() {
    let Some(opendata) = opendata() else { return };
    let mut read = 0;
    for piece in MADRIGALS {
        let document = Document::parse(madrigal_parts(&opendata, piece));
        let copied = document.first().copied();
        let svg = document.svg(&copied.picture(&Look::default(), &Copy::default(), &|_, _| None));
        let voices = &document.first().piece().voices;
        for (voice, part) in voices.iter().zip(PARTS) {
            let wanted = encoded(&madrigal(&opendata, piece, &format!("{part}.mei")));
            let all: Vec<&Seen> = wanted.iter().flatten().collect();
            let bound = |_: &str, index: u32| {
                all.get(index as usize - 1).is_some_and(|event| event.shape == "bound")
            };
            // Of one voice alone, so that each is asked for its own ligatures.
            let shown = shown_of(&svg, &voice.name, &bound);
            assert_eq!(shown.len(), wanted.len(), "{piece} {part}: lines");
            let mut index = 0;
            for (number, line) in (1..).zip(&wanted) {
                let there = &shown[&(voice.name.clone(), number)];
                let ordered = there.windows(2).all(|pair| pair[0].2 < pair[1].2);
                assert!(ordered, "{piece} {part}, line {number}: from the left to the right");
                assert_eq!(there.len(), line.len(), "{piece} {part}, line {number}");
                for (wanted, (numbered, seen, _)) in line.iter().zip(there) {
                    index += 1;
                    assert_eq!(*numbered, index, "{piece} {part}");
                    let here = format!("{piece} {part} {index}");
                    let place = seen.place.or(wanted.place);
                    assert_eq!(Seen { place, ..seen.clone() }, *wanted, "{here}");
                    read += 1;
                }
            }
        }
    }
    println!("{read} notes and rests read back");
    assert!(read > 10_000);
}

/// What a sheet shows of one voice.
fn shown_of(svg: &str, voice: &str, bound: &dyn Fn(&str, u32) -> bool) -> Shown {
    let is_bound = |name: &str, index: u32| name != voice || bound(name, index);
    let mut shown = shown(svg, &is_bound);
    shown.retain(|(name, _), _| name == voice);
    shown
}

/// The ends of lines are those of the source, and at each stands how many minims have gone by: as many as the
/// score counts where the next line begins.
#[test]
fn a_line_ends_with_the_minims_of_the_score() {
    let Some(opendata) = opendata() else { return };
    for piece in MADRIGALS {
        let document = Document::parse(madrigal_parts(&opendata, piece));
        let copied = document.first().copied();
        let score = document.score(cartella::BarLength::Breve).score;
        for pair in copied.lines.windows(2).filter(|pair| pair[0].voice == pair[1].voice) {
            let voice = &score.voices[pair[1].voice];
            let items = &document.first().piece().voices[pair[1].voice].items;
            let first = items[pair[1].items.clone()].iter().find_map(|item| item.event()?.index);
            let event = voice.events.iter().find(|event| event.index == first).unwrap();
            // Behind the end of a section the score counts what is held before it.
            if piece != "vecchi_fummofelici" {
                assert_eq!(event.onset, pair[0].total, "{piece} {}", voice.name);
            }
        }
    }
}

/// Nothing overlaps, nothing is missing, and nothing stands twice on any sheet, under both kinds of clefs.
#[test]
fn the_audit_finds_nothing_on_any_sheet() {
    let mut texts: Vec<(String, String)> = fixtures();
    if let Some(opendata) = opendata() {
        texts.extend(MADRIGALS.map(|piece| (piece.to_owned(), madrigal_parts(&opendata, piece))));
        texts.extend(duos(&opendata).into_iter().map(|(name, duo)| {
            let text = read_score(&name, duo.as_bytes(), None);
            (name, text)
        }));
    }
    for (name, text) in texts {
        let document = Document::parse(text);
        for example in document.examples() {
            let copied = example.copied();
            for clefs in [CopyClefs::Printed, CopyClefs::Modern] {
                let setting = Copy { clefs, ..Copy::default() };
                let picture = copied.picture(&Look::default(), &setting, &|_, _| None);
                assert_eq!(cartella::audit(&picture), [], "{name} {clefs:?}");
                assert_eq!(copied.unaccounted(&[&picture]), [], "{name} {clefs:?}");
                let paper = cartella::Paper::A4;
                let on_paper = copied.on_paper(&Look::default(), &paper, &setting, &|_, _| None);
                let book = cartella::pages(vec![on_paper], &paper);
                for page in &book.pages {
                    assert_eq!(cartella::audit(page), [], "{name} {clefs:?} on paper");
                }
                assert_eq!(
                    copied.unaccounted(&book.pages.iter().collect::<Vec<_>>()),
                    [],
                    "{name}"
                );
            }
        }
    }
}
