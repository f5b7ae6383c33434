//! The staves of a copy below one another, in the order in which the source prints them.

use notation::{Layout, Piece};
use score::{Heading, SourceLine};

use super::TypeStyle;
use super::case::{Case, Shown};
use super::galley::{self, Galley};
use crate::fonts::Face;
use crate::frame::{Block, BlockKind, Frame, Ink, Item, Picture, Role};
use crate::glyphs::Signs;
use crate::lettering::{CAPITAL_HEIGHT, Letterer};
use crate::look::Look;
use crate::pages::{Paper, shrunk_to_fit};
use crate::practice::{BETWEEN_SYSTEMS_WHITE, BETWEEN_VOICE_STAVES, STAFF};
use crate::strip::Strip;
use crate::title;
use crate::units::{Area, Mm, Point, Sp};
use crate::voice_names;

/// What stands over a copy.
const HEADED: &str = "Diplomatic copy";

/// The room before the staves, for the numbers of lines, and between them and the counts of minims.
const BEFORE: Sp = Sp(2.6);
const BEHIND: Sp = Sp(0.7);

/// The size of these numbers, and of what stands over the copy.
const NUMBER: Sp = Sp(1.7);
const HEADED_SIZE: Sp = Sp(2.6);

/// Staves become no smaller so that a source line has room in one row; else it is broken.
const SMALLEST: Mm = Mm(4.0);

/// From a strip of a page picture to what stands under it, and to the copy of the line before.
const UNDER_STRIP: Sp = Sp(0.8);

/// How a copy is set.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Copy {
    /// Under which clefs.
    pub clefs: CopyClefs,
    /// With which type.
    pub style: TypeStyle,
}

/// The clefs of a copy.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum CopyClefs {
    /// Those of the source.
    #[default]
    Printed,
    /// For each voice the one of treble, octave treble and bass under which it lies best.
    Modern,
}

/// Draws a copy: its source lines as [`score::source_lines`] gives them, in one picture. `strip` gives the strip
/// of a page picture for a voice and the number of a line, or, without a voice, for a line of all of them.
/// Linear in the length of the piece.
///
/// A line has one row, with smaller staves if it must be; where they would be smaller than 4 mm, it has
/// several.
///
/// ```
/// use engrave::{Copy, Look, audit, copy, svg};
/// use score::{Heading, reckon, source_lines};
///
/// let piece = notation::parse("voice Cantus clef C1\n  sb A4 ( sb B C ) ~C /\n  br C5 lg A //\n").piece;
/// let lines = source_lines(&piece, &reckon(&piece));
/// let heading = Heading { title: Some("A duo".into()), ..Heading::default() };
/// let picture = copy(&piece, &lines, &heading, &Look::default(), &Copy::default(), &|_, _| None);
/// assert_eq!(audit(&picture), []);
/// assert!(svg(&picture, &|span| span.start).contains("Diplomatic copy"));
/// ```
pub fn copy(
    piece: &Piece,
    lines: &[SourceLine],
    heading: &Heading,
    look: &Look,
    setting: &Copy,
    strip: &dyn Fn(Option<usize>, u32) -> Option<Strip>,
) -> Picture {
    let (signs, letterer) = (Signs::all(), Letterer::default());
    let case = Case { style: &setting.style, signs, letterer: &letterer };
    let page = look.width.max(Look::WIDTH_RANGE[0]).min(Look::WIDTH_RANGE[1]);
    let between = page - look.margin * 2.0;
    let staves = staves(piece, lines, setting.clefs, &case);
    let galleys = || staves.iter().flatten().map(|staff| &staff.galley);
    let least = galleys().map(|galley| galley.least(&case));
    let widest = galleys().map(|galley| galley.widest(&case)).fold(Sp::ZERO, Sp::max);
    let counts = lines
        .iter()
        .map(|line| letterer.set(&line.total.spoken().to_string(), Face::Roman, NUMBER).width);
    let beside = BEFORE + BEHIND + counts.fold(Sp::ZERO, Sp::max);
    let space = space(least, between, look.staff, beside).min(between / (widest + beside).0);
    let width = Sp(between / space) - beside;
    let mut sheet = Sheet {
        case: &case,
        space,
        width,
        beside,
        margin: look.margin,
        blocks: Vec::new(),
        y: look.margin,
        rows: 0,
    };
    let file = heading.name_of_file().filter(|_| look.file_title);
    let title = heading.title.as_deref().or(file);
    sheet.heading(title, heading, setting.clefs);
    for system in &staves {
        sheet.system(system, piece, strip);
    }
    if look.notes {
        sheet.notes(&heading.notes);
    }
    Picture {
        title: heading.full_title().or_else(|| heading.name_of_file().map(str::to_owned)),
        composer: heading.composer.clone(),
        source: heading.source.clone(),
        voices: piece.voices.iter().map(|voice| voice.name.clone()).collect(),
        width: page,
        height: sheet.y + look.margin,
        margin: look.margin,
        space,
        page_begins: Vec::new(),
        blocks: sheet.blocks,
    }
}

/// The same so that it fits on paper: the width and the margin of the look are those of the paper, and the
/// highest system has room.
pub fn copy_on(
    piece: &Piece,
    lines: &[SourceLine],
    heading: &Heading,
    (look, paper): (&Look, &Paper),
    setting: &Copy,
    strip: &dyn Fn(Option<usize>, u32) -> Option<Strip>,
) -> Picture {
    let look = Look { width: paper.width, margin: paper.margin, ..*look };
    shrunk_to_fit(&look, paper, &|look| copy(piece, lines, heading, look, setting, strip))
}

/// One source line by itself, without heading and number, as wide as that; for whoever shows a line while it is
/// typed.
///
/// ```
/// use engrave::{Mm, TypeStyle, copy_line};
/// use score::{reckon, source_lines};
///
/// let piece = notation::parse("voice Cantus clef C1\n  sb A4 B C /\n").piece;
/// let lines = source_lines(&piece, &reckon(&piece));
/// let picture = copy_line(&piece, &lines[0], Mm(160.0), Mm(6.0), &TypeStyle::default());
/// assert_eq!(engrave::heads(&picture).len(), 3);
/// ```
pub fn copy_line(
    piece: &Piece,
    line: &SourceLine,
    width: Mm,
    staff: Mm,
    style: &TypeStyle,
) -> Picture {
    let (signs, letterer) = (Signs::all(), Letterer::default());
    let case = Case { style, signs, letterer: &letterer };
    let space = staff / STAFF.0;
    let across = Sp(width / space);
    let galley = galley::of_line(piece, line, Shown::Printed, 0, &case);
    let mut blocks = Vec::new();
    let mut y = Mm::ZERO;
    for (number, row) in galley.rows(across, &case).iter().enumerate() {
        let frame = galley.set(row, across, line.is_ended, (line.clef, 0), &case);
        let area = area(&frame);
        let top = y + Mm(-area.top.0 * space.0);
        y = top + Mm((area.bottom + BETWEEN_SYSTEMS_WHITE).0 * space.0);
        blocks.push(Block { x: Mm::ZERO, y: top, kind: BlockKind::Copy(number as u32 + 1), frame });
    }
    Picture {
        title: None,
        composer: None,
        source: None,
        voices: piece.voices.iter().map(|voice| voice.name.clone()).collect(),
        width,
        height: y,
        margin: Mm::ZERO,
        space,
        page_begins: Vec::new(),
        blocks,
    }
}

/// A staff of the copy: a source line.
struct Staff<'l> {
    line: &'l SourceLine,
    galley: Galley,
    shown: Shown,
    /// Whether it is filled to its end.
    full: bool,
    /// Whether it is the first of its voice.
    first: bool,
}

/// The staves of each system, from the top. Lines that stand above one another in the source are a system;
/// else each is one.
fn staves<'l>(
    piece: &Piece,
    lines: &'l [SourceLine],
    clefs: CopyClefs,
    case: &Case<'_>,
) -> Vec<Vec<Staff<'l>>> {
    let stacked = match piece.head.layout {
        Layout::Partbooks => false,
        Layout::Stacked => true,
        // A print with bar lines: as a score, if it has its lines together.
        Layout::Barred => {
            let mut by_voice = lines.chunk_by(|one, next| one.voice == next.voice).map(<[_]>::len);
            let first = by_voice.next();
            by_voice.all(|count| Some(count) == first)
        }
    };
    let lowest = lines.iter().map(|line| line.number as usize).min().unwrap_or(1);
    let mut systems: Vec<Vec<Staff<'l>>> = Vec::new();
    for of_voice in lines.chunk_by(|one, next| one.voice == next.voice) {
        let shown = shown(piece, of_voice, clefs);
        for (place, line) in of_voice.iter().enumerate() {
            let system = if stacked { line.number as usize - lowest } else { systems.len() };
            if system >= systems.len() {
                systems.resize_with(system + 1, Vec::new);
            }
            let staff = systems[system].len();
            let galley = galley::of_line(piece, line, shown, staff, case);
            // The last line of a voice need not reach the margin.
            let full = place + 1 < of_voice.len();
            systems[system].push(Staff { line, galley, shown, full, first: place == 0 });
        }
    }
    systems
}

/// Under which clef the lines of a voice are shown.
fn shown(piece: &Piece, lines: &[SourceLine], clefs: CopyClefs) -> Shown {
    let voice = lines.first().and_then(|line| piece.voices.get(line.voice));
    match (clefs, voice) {
        (CopyClefs::Modern, Some(voice)) => {
            let events = voice.items.iter().filter_map(notation::Item::event);
            Shown::modern(&events.flat_map(notation::Event::notes).map(|note| note.tone))
        }
        _ => Shown::Printed,
    }
}

/// How large a staff space is: so that every line has one row that can have one.
fn space(least: impl Iterator<Item = Sp>, between: Mm, wanted: Mm, beside: Sp) -> Mm {
    let [smallest, largest] = Look::STAFF_RANGE;
    let wanted = wanted.max(smallest).min(largest) / STAFF.0;
    let that_fits = |width: Sp| between / (width + beside).0 * 0.9999;
    let fitting = least.map(that_fits).filter(|space| *space >= SMALLEST / STAFF.0);
    fitting.fold(wanted, Mm::min)
}

fn area(frame: &Frame) -> Area {
    frame.area.unwrap_or(Area::new(Sp::ZERO, Sp::ZERO, Sp::ZERO, STAFF))
}

/// The sheet while it is filled.
struct Sheet<'s> {
    case: &'s Case<'s>,
    space: Mm,
    /// The width of a staff, and of what stands beside it.
    width: Sp,
    beside: Sp,
    margin: Mm,
    blocks: Vec<Block>,
    /// Where the next thing may stand.
    y: Mm,
    /// How many rows there are.
    rows: u32,
}

impl Sheet<'_> {
    fn mm(&self, length: Sp) -> Mm {
        Mm(length.0 * self.space.0)
    }

    /// Title, composer and source, and what the sheet is.
    fn heading(&mut self, title: Option<&str>, heading: &Heading, clefs: CopyClefs) {
        let (letterer, signs) = (self.case.letterer, self.case.signs);
        let room = (Sp::ZERO, self.width + self.beside);
        let mut frame = title::frame(title, heading, room, letterer, signs).unwrap_or_default();
        let headed = match clefs {
            CopyClefs::Printed => HEADED.to_owned(),
            CopyClefs::Modern => format!("{HEADED}, in modern clefs"),
        };
        let letters = letterer.set(&headed, Face::Italic, HEADED_SIZE);
        let above = frame.area.map_or(Sp::ZERO, |area| area.bottom);
        let at = Point::new((room.1 - letters.width) / 2.0, above + HEADED_SIZE);
        let bottom = at.y + HEADED_SIZE * 0.3;
        let ink = Ink::Letters { letters: letters.into(), at };
        frame.items.push(Item { role: Role::Heading, of: None, ink });
        frame.area = Some(Area::new(Sp::ZERO, Sp::ZERO, room.1, bottom));
        self.blocks.push(Block { x: self.margin, y: self.y, kind: BlockKind::Title, frame });
        self.y += self.mm(bottom + Sp(2.0));
    }

    fn notes(&mut self, notes: &[String]) {
        let (letterer, signs) = (self.case.letterer, self.case.signs);
        let Some(frame) = title::notes(notes, self.width, letterer, signs) else { return };
        let height = self.mm(area(&frame).height());
        self.blocks.push(Block { x: self.margin, y: self.y, kind: BlockKind::Notes, frame });
        self.y += height;
    }

    /// The rows of a system: one, or as many as its densest line needs.
    fn system(
        &mut self,
        staves: &[Staff<'_>],
        piece: &Piece,
        strip: &dyn Fn(Option<usize>, u32) -> Option<Strip>,
    ) {
        let rows: Vec<_> =
            staves.iter().map(|staff| staff.galley.rows(self.width, self.case)).collect();
        let count = rows.iter().map(Vec::len).max().unwrap_or(0);
        for number in 0..count {
            let mut frame = Frame::default();
            let mut bottom: Option<Sp> = None;
            let first = staves.first().map(|staff| staff.line.number).filter(|_| number == 0);
            let of_all = first.and_then(|line| strip(None, line));
            for (staff, rows) in staves.iter().zip(&rows) {
                let Some(row) = rows.get(number) else { continue };
                let is_last = number + 1 == rows.len();
                let clef = staff.shown.clef(staff.line.clef);
                let full = staff.full || !is_last;
                let mut one = staff.galley.set(row, self.width, full, clef, self.case);
                if number == 0 {
                    self.number(staff.line, &mut one);
                    if staff.first {
                        self.name(piece, staff.line.voice, &mut one);
                    }
                }
                if is_last {
                    self.count(staff.line, &mut one);
                }
                let own = (number == 0)
                    .then(|| strip(Some(staff.line.voice), staff.line.number))
                    .flatten();
                let all = of_all.clone().filter(|_| bottom.is_none());
                for strip in own.into_iter().chain(all) {
                    self.strip(strip, &mut one);
                }
                let area = area(&one);
                let top = bottom.map_or(Sp::ZERO, |bottom| {
                    bottom + (Sp(1.0) - area.top).max(BETWEEN_VOICE_STAVES)
                });
                bottom = Some(top + area.bottom);
                frame.items.extend(one.items.into_iter().map(|item| item.moved(Sp::ZERO, top)));
                frame.staves.extend(one.staves.into_iter().map(|mut staff| {
                    staff.bottom += top;
                    staff
                }));
                let area = area.moved(Sp::ZERO, top);
                frame.area = Some(frame.area.map_or(area, |before| before.and(area)));
            }
            self.rows += 1;
            let area = area(&frame);
            let y = self.y + self.mm(-area.top);
            let kind = BlockKind::Copy(self.rows);
            self.blocks.push(Block { x: self.margin + self.mm(BEFORE), y, kind, frame });
            // The staves of a system are nearer to one another than to the next.
            let white = BETWEEN_SYSTEMS_WHITE * if staves.len() > 1 { 1.7 } else { 0.7 };
            self.y = y + self.mm(area.bottom + white);
        }
    }

    /// Adds words beside or above a staff.
    fn put(
        &self,
        role: Role,
        text: &str,
        face: Face,
        size: Sp,
        at: impl Fn(Sp) -> Point,
        frame: &mut Frame,
    ) {
        let letters = self.case.letterer.set(text, face, size).no_wider_than(self.width);
        let at = at(letters.width);
        let item = Item { role, of: None, ink: Ink::Letters { letters: letters.into(), at } };
        let all = frame.area.into_iter().chain(item.area(self.case.signs)).reduce(Area::and);
        frame.area = all;
        frame.items.push(item);
    }

    /// The number of the line, before it.
    fn number(&self, line: &SourceLine, frame: &mut Frame) {
        let baseline = STAFF / 2.0 + NUMBER * CAPITAL_HEIGHT / 2.0;
        let at = |width: Sp| Point::new(-width - Sp(0.7), baseline);
        self.put(Role::LineNumber, &line.number.to_string(), Face::Italic, NUMBER, at, frame);
    }

    /// The minims that have gone by, behind it.
    fn count(&self, line: &SourceLine, frame: &mut Frame) {
        let baseline = STAFF / 2.0 + NUMBER * CAPITAL_HEIGHT / 2.0;
        let at = |_| Point::new(self.width + BEHIND, baseline);
        self.put(Role::Count, &line.total.spoken().to_string(), Face::Roman, NUMBER, at, frame);
    }

    /// The name of a voice, above its first line, and what is said of those that follow it in canon, which the
    /// source does not write out.
    fn name(&self, piece: &Piece, voice: usize, frame: &mut Frame) {
        let canons = piece.voices.iter().filter_map(|other| {
            let canon = other.canon.filter(|canon| canon.dux == voice)?;
            let side = if canon.steps < 0 { "below" } else { "above" };
            let (name, number) = (voice_names::shown(&other.name), canon.steps.abs() + 1);
            Some(format!("  [{name}: canon {number} {side} after {}]", canon.after))
        });
        let name = piece.voices.get(voice).map_or("", |voice| voice.name.as_str());
        let words = voice_names::shown(name) + &canons.collect::<String>();
        let top = area(frame).top.min(Sp::ZERO);
        let at = |_| Point::new(Sp::ZERO, top - Sp(0.9));
        self.put(Role::VoiceName, &words, Face::Roman, voice_names::SIZE * 1.15, at, frame);
    }

    /// A strip above all else, as wide as the staff.
    fn strip(&self, strip: Strip, frame: &mut Frame) {
        let height = Sp(strip.height_at(self.width.0));
        let bottom = area(frame).top - UNDER_STRIP;
        let place = Area::new(Sp::ZERO, bottom - height, self.width, bottom);
        let ink = Ink::Picture { strip, area: place };
        frame.items.push(Item { role: Role::Facsimile, of: None, ink });
        frame.area = Some(area(frame).and(place));
    }
}
