//! A galley: what a source line has, in sorts, before it is justified.

use notation::{Event, Group, Item as Printed, ItemKind, Piece, Standing};
use rudiments::{Clef, Sign as Mensuration, Signature, Time, Tone};
use score::SourceLine;

use super::case::{Case, Shown};
use super::ligatures::{self, Bound};
use super::notes;
use super::sort::{From, Sort};
use super::sorts;
use crate::column::{MIDDLE_LINE, y_of};
use crate::drawn;
use crate::fonts::Face;
use crate::frame::{Origin, Role};
use crate::glyphs::Sign;
use crate::practice::{BAR_LINE, BETWEEN_BAR_LINES, STAFF};
use crate::system::opening::{clef_sign, signature};
use crate::system::period;
use crate::units::{Point, Sp};

/// The size of words that the source prints above a voice.
const WORDS: Sp = Sp(2.0);

/// What is read instead of what is printed is shown up to so many letters.
const LONGEST_READING: usize = 48;

/// So high and low of the middle line brackets of what is supplied reach.
const BRACKET_REACH: f64 = 2.9;

/// What a line has.
#[derive(Default)]
pub(super) struct Galley {
    /// Clef and signature, with which every row of it begins.
    pub(super) opening: Vec<Sort>,
    /// Everything else.
    pub(super) sorts: Vec<Sort>,
    /// What the editor says of some of them.
    pub(super) readings: Vec<Reading>,
}

/// Something that the editor reads otherwise: the sorts that are printed, from the first to before the last,
/// and what is said; none are printed of what is added.
pub(super) struct Reading {
    pub(super) sorts: std::ops::Range<usize>,
    pub(super) words: String,
    pub(super) of: Option<Origin>,
}

/// A reading that is being collected.
struct Open {
    first: usize,
    second_side: bool,
    variant: bool,
    words: Vec<String>,
    of: Option<Origin>,
}

/// Fills a galley.
struct Compositor<'a> {
    case: &'a Case<'a>,
    line: &'a SourceLine,
    shown: Shown,
    staff: usize,
    clef: Clef,
    signature: Signature,
    galley: Galley,
    place: usize,
    /// The notes of a ligature that is not yet set.
    bound: Vec<Bound<'a>>,
    reading: Option<Open>,
    /// What stands above the next sort.
    above: Vec<(Role, String, Face, Sp)>,
    /// Whether something supplied is open.
    supplied: bool,
}

/// Sets what a line has; `staff` is its number in its system, from 0.
pub(super) fn of_line<'a>(
    piece: &'a Piece,
    line: &'a SourceLine,
    shown: Shown,
    staff: usize,
    case: &'a Case<'a>,
) -> Galley {
    let Some(voice) = piece.voices.get(line.voice) else { return Galley::default() };
    let mut compositor = Compositor {
        case,
        line,
        shown,
        staff,
        clef: line.clef,
        signature: line.signature,
        galley: Galley::default(),
        place: 0,
        bound: Vec::new(),
        reading: None,
        above: Vec::new(),
        supplied: false,
    };
    compositor.opening();
    let items = &voice.items[line.items.clone()];
    for (item, times) in items.iter().zip(&line.times) {
        compositor.item(item, *times);
    }
    compositor.end();
    compositor.galley
}

impl<'a> Compositor<'a> {
    fn opening(&mut self) {
        let clef = self.clef_sort();
        self.galley.opening.push(clef);
        if let Some(sort) = self.signature_sort(Signature::NONE, self.signature) {
            self.galley.opening.push(sort);
        }
        if let Some(sign) = self.line.sign {
            let sort = self.mensuration(sign);
            self.galley.sorts.push(sort);
        }
    }

    fn clef_sort(&self) -> Sort {
        let (clef, octave) = self.shown.clef(self.clef);
        let y = y_of(2 * i32::from(clef.line));
        let mut sort = Sort { white: 0.5, ..Sort::default() };
        let own = (self.shown == Shown::Printed)
            .then(|| sorts::clef(self.case.style, clef.shape))
            .flatten();
        match own {
            Some(outline) => {
                sort.shape(Role::Clef, None, outline.moved(Sp::ZERO, y), self.case);
            }
            None => {
                let sign = clef_sign(clef, octave);
                sort.sign(Role::Clef, None, (sign, Point::new(Sp::ZERO, y), 1.0), self.case);
            }
        }
        sort
    }

    fn signature_sort(&self, before: Signature, now: Signature) -> Option<Sort> {
        let (clef, _) = self.shown.clef(self.clef);
        let (signs, width) = signature(clef, before, now, self.case.signs);
        let mut sort = Sort { white: 0.9, ..Sort::default() };
        for sign in signs {
            let at = Point::new(sign.x, y_of(sign.place));
            sort.sign(Role::Signature, None, (sign.sign, at, 1.0), self.case);
        }
        (width > Sp::ZERO).then_some(sort)
    }

    fn mensuration(&self, sign: Mensuration) -> Sort {
        let (items, _) = period::items(sign, Role::PeriodSign, self.case.signs, self.case.letterer);
        let mut sort = Sort { white: 0.8, ..Sort::default() };
        for item in items {
            let y = y_of(MIDDLE_LINE) - period::MIDDLE;
            sort.add(item.moved(Sp::ZERO, y), self.case);
        }
        sort
    }

    /// Adds a sort, with what was to stand above it.
    fn push(&mut self, mut sort: Sort) {
        for (role, words, face, size) in std::mem::take(&mut self.above) {
            let letters = self.case.letterer.set(&words, face, size);
            sort.words_over(role, None, letters, From::Left(sort.left));
        }
        self.galley.sorts.push(sort);
    }

    fn item(&mut self, item: &'a Printed, (begins, ends): (Time, Time)) {
        if let ItemKind::Event(event) = &item.kind {
            if item.standing.is_printed() || item.standing == Standing::Supplied {
                let of = self.origin(item, event, begins, ends);
                self.supply(item.standing == Standing::Supplied);
                self.event(event, of);
            } else {
                self.read(item, event);
            }
            return;
        }
        // Of what is not printed, only the emendations themselves are seen.
        match &item.kind {
            ItemKind::Open(group @ (Group::Emendation | Group::Variant)) => {
                self.set_ligature();
                self.begin_reading(*group == Group::Variant);
            }
            ItemKind::Divide => {
                self.set_ligature();
                self.begin_second_side();
            }
            ItemKind::Close(Group::Emendation | Group::Variant) => self.end_reading(),
            ItemKind::Close(Group::Ligature) => self.set_ligature(),
            ItemKind::Close(Group::Supplied) => {
                self.set_ligature();
                self.supply(false);
            }
            ItemKind::Oblique => {
                if let Some(bound) = self.bound.last_mut() {
                    bound.oblique = true;
                }
            }
            _ if item.standing.is_printed() || item.standing == Standing::Supplied => {
                self.between(&item.kind);
            }
            kind => {
                if let Some(reading) = &mut self.reading
                    && !matches!(kind, ItemKind::Words(_))
                {
                    let typed = kind.typed();
                    reading.words.extend((!typed.is_empty()).then_some(typed));
                }
            }
        }
    }

    fn origin(&mut self, item: &Printed, event: &Event, begins: Time, ends: Time) -> Origin {
        self.place += 1;
        Origin {
            voice: self.line.voice,
            bar: self.line.number as usize - 1,
            bar_number: self.line.number,
            place: self.place - 1,
            staff: self.staff,
            onset: begins,
            index: event.index.filter(|_| item.standing.is_printed()),
            span: item.span,
            end: ends,
        }
    }

    /// Opens or closes the brackets around what is supplied.
    fn supply(&mut self, supplied: bool) {
        if self.supplied == supplied {
            return;
        }
        self.set_ligature();
        self.supplied = supplied;
        let outline = drawn::square_bracket(supplied, 0.55, BRACKET_REACH);
        let mut sort = Sort { white: if supplied { 0.0 } else { 0.6 }, ..Sort::default() };
        sort.shape(Role::Enclosure, None, outline.moved(Sp::ZERO, STAFF / 2.0), self.case);
        self.push(sort);
    }

    fn event(&mut self, event: &'a Event, of: Origin) {
        let (shown, clef) = (self.shown, self.clef);
        let place = |tone: Tone| shown.place(clef, tone);
        if let (Some(ligature), [note]) = (event.ligature, event.notes()) {
            let place = place(note.tone);
            if self.bound.first().is_some_and(|first| first.event.ligature != Some(ligature)) {
                self.set_ligature();
            }
            self.bound.push(Bound { event, place, of, oblique: false });
            return;
        }
        self.set_ligature();
        let places: Vec<_> = event.notes().iter().map(|note| place(note.tone)).collect();
        let sort = notes::sort(event, &places, of, self.case);
        self.push(sort);
    }

    /// Sets the notes of a ligature; where they can be none, one by one.
    fn set_ligature(&mut self) {
        let bound = std::mem::take(&mut self.bound);
        if bound.is_empty() {
            return;
        }
        if let Some(sort) = ligatures::sort(&bound, self.case) {
            self.push(sort);
            return;
        }
        for one in bound {
            let sort = notes::sort(one.event, &[one.place], one.of, self.case);
            self.push(sort);
        }
    }

    fn begin_reading(&mut self, variant: bool) {
        let first = self.galley.sorts.len();
        self.reading =
            Some(Open { first, second_side: false, variant, words: Vec::new(), of: None });
    }

    fn begin_second_side(&mut self) {
        // The first side may have begun on the line before.
        let first = self.galley.sorts.len();
        let open = self.reading.get_or_insert(Open {
            first: 0,
            second_side: false,
            variant: false,
            words: Vec::new(),
            of: None,
        });
        open.second_side = true;
        open.first = open.first.min(first);
    }

    fn read(&mut self, item: &Printed, event: &Event) {
        let variant = item.standing == Standing::Alternative;
        let first = self.galley.sorts.len();
        let open = self.reading.get_or_insert(Open {
            first,
            second_side: true,
            variant,
            words: Vec::new(),
            of: None,
        });
        let word = notation::word(event, None);
        open.words.push(format!("{} {word}", event.value));
    }

    fn end_reading(&mut self) {
        self.set_ligature();
        let Some(open) = self.reading.take() else { return };
        let sorts = open.first..self.galley.sorts.len();
        let mut words = open.words;
        // A value is named once where it stays.
        let mut before = String::new();
        for word in &mut words {
            let Some((value, rest)) = word.split_once(' ') else { continue };
            if value == before {
                *word = rest.to_owned();
            } else {
                value.clone_into(&mut before);
            }
        }
        let said = words.join(" ");
        let said = match (open.variant, words.is_empty(), sorts.is_empty()) {
            (true, false, _) => format!("or {said}?"),
            (true, true, _) => "or nothing?".to_owned(),
            (false, true, _) => "leave out".to_owned(),
            (false, false, true) => format!("add {said}"),
            (false, false, false) => format!("read {said}"),
        };
        let words = if said.chars().count() > LONGEST_READING {
            said.chars().take(LONGEST_READING - 1).chain(['…']).collect()
        } else {
            said
        };
        self.galley.readings.push(Reading { sorts, words, of: open.of });
    }

    /// What stands between notes.
    fn between(&mut self, kind: &ItemKind) {
        match kind {
            ItemKind::Clef(clef) => {
                self.set_ligature();
                self.clef = *clef;
                // Under modern clefs none changes; and the line may begin with this one.
                if self.shown == Shown::Printed && !self.is_opening() {
                    let sort = self.clef_sort();
                    self.push(sort);
                }
            }
            ItemKind::Signature(now) => {
                self.set_ligature();
                if !self.is_opening()
                    && let Some(sort) = self.signature_sort(self.signature, *now)
                {
                    self.push(sort);
                }
                self.signature = *now;
            }
            ItemKind::Sign(sign) => {
                self.set_ligature();
                let sort = self.mensuration(*sign);
                self.push(sort);
            }
            ItemKind::Ratio(_) | ItemKind::Perfection { .. } => {
                let words = format!("[{}]", kind.typed());
                self.above.push((Role::Reading, words, Face::Italic, notes::READING));
            }
            ItemKind::Words(words) => {
                self.above.push((Role::Words, words.clone(), Face::Roman, WORDS));
            }
            ItemKind::Direct(tone) => {
                self.set_ligature();
                let y = y_of(self.shown.place(self.clef, *tone));
                let mut sort = Sort { ends: true, ..Sort::default() };
                let outline = sorts::direct(self.case.style).moved(Sp::ZERO, y);
                sort.shape(Role::Direct, None, outline, self.case);
                self.push(sort);
            }
            ItemKind::BarLine => self.bar_lines(&[BAR_LINE], false),
            ItemKind::SectionEnd => self.bar_lines(&[BAR_LINE; 2], false),
            ItemKind::Repeat => self.bar_lines(&[BAR_LINE; 2], true),
            ItemKind::LineEnd
            | ItemKind::PageEnd
            | ItemKind::Oblique
            | ItemKind::Open(_)
            | ItemKind::Divide
            | ItemKind::Close(_)
            | ItemKind::More
            | ItemKind::Event(_) => {}
        }
    }

    /// Whether the line shows nothing yet but what it begins with.
    fn is_opening(&self) -> bool {
        self.place == 0 && self.galley.sorts.len() == usize::from(self.line.sign.is_some())
    }

    fn bar_lines(&mut self, lines: &[Sp], dots: bool) {
        self.set_ligature();
        let mut sort = Sort { white: 0.8, ..Sort::default() };
        let mut x = Sp::ZERO;
        let points = |sort: &mut Sort, x: Sp, case: &Case<'_>| {
            for place in [MIDDLE_LINE - 1, MIDDLE_LINE + 1] {
                let at = Point::new(x, y_of(place));
                sort.sign(Role::BarLine, None, (Sign::Dot, at, 1.0), case);
            }
        };
        let width = self.case.signs.width(Sign::Dot);
        if dots {
            points(&mut sort, x, self.case);
            x += width + Sp(0.35);
        }
        for line in lines {
            let middle = x + *line / 2.0;
            let ends = (Point::new(middle, Sp::ZERO), Point::new(middle, STAFF), *line);
            sort.line(Role::BarLine, None, ends, self.case);
            x += *line + BETWEEN_BAR_LINES;
        }
        if dots {
            points(&mut sort, x - BETWEEN_BAR_LINES + Sp(0.35), self.case);
        }
        self.push(sort);
    }

    /// At the end of the line: what goes on, on the next, ends here as far as it is seen.
    fn end(&mut self) {
        self.set_ligature();
        self.supply(false);
        if self.reading.as_ref().is_some_and(|open| open.second_side) {
            self.end_reading();
        }
        if !self.above.is_empty() {
            let mut sort = self.galley.sorts.pop().unwrap_or_default();
            let right = sort.right;
            for (role, words, face, size) in std::mem::take(&mut self.above) {
                let letters = self.case.letterer.set(&words, face, size);
                sort.words_over(role, None, letters, From::Left(right));
            }
            self.galley.sorts.push(sort);
        }
    }
}
