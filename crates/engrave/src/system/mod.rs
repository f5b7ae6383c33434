//! A system: columns at their places, everything that runs from one to another, and the staves at
//! the distances that all of it needs.

mod bar_lines;
mod beams;
mod brackets;
mod draft;
mod figures;
mod leads;
mod marks;
mod moments;
mod notes;
pub(crate) mod opening;
mod outside;
pub(crate) mod period;
mod shades;
mod ties;
mod voice_line;

use std::ops::Range;

use rudiments::{Clef, Place, Signature};
use score::{Arrangement, Staves};

use crate::column::{self, BarDraft};
use crate::drawn;
use crate::fonts::Face;
use crate::frame::{Frame, Ink, Item, Role, StaffPlace};
use crate::glyphs::{Sign, Signs};
use crate::incipit::Incipit;
use crate::lettering::{CAPITAL_HEIGHT, Letterer, Lettering};
use crate::look::BarLines;
use crate::practice::{
    AFTER_BAR_LINE, BEFORE_BAR_LINE, BEFORE_CHANGED_CLEF, BEFORE_COURTESY, BETWEEN_KEYBOARD_STAVES,
    BETWEEN_STAVES_WHITE, BETWEEN_VOICE_STAVES, CHANGED_CLEF, STAFF, STAFF_LINE,
};
use crate::spacing::{self, BarSpace, REPEAT_BEGINS};
use crate::units::{Area, Point, Sp};
use crate::voice_names;
use bar_lines::BarLinePen;
use draft::StaffDraft;
use moments::Moments;
use voice_line::{PlacedRest, PlacedSilence, VoiceLine};

pub(crate) use opening::{meter_figures, signature};

/// From the names of voices to what stands behind them.
const AFTER_NAME: Sp = Sp(1.2);

/// From the incipits to the bracket.
const AFTER_INCIPIT: Sp = Sp(1.2);

/// Where the bracket before the staves begins.
const BEFORE_BRACKET: Sp = Sp(-0.7);

/// What all systems of a picture have in common.
pub(crate) struct Workshop<'a> {
    pub(crate) arrangement: &'a Arrangement<'a>,
    pub(crate) signs: &'a Signs,
    pub(crate) letterer: &'a Letterer,
    pub(crate) bar_lines: BarLines,
    /// What stands before the staff of each voice in the first system of an open score.
    pub(crate) incipits: Vec<Option<Incipit>>,
}

/// The bars of a system, with their space.
pub(crate) struct SystemPlan {
    pub(crate) bars: Range<usize>,
    /// From the left end of the staves to the right.
    pub(crate) width: Sp,
    /// By what the gaps are multiplied.
    pub(crate) factor: f64,
}

/// Where a bar stands.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BarPlace {
    /// The bar, from 0.
    pub(crate) number: usize,
    /// Where the bar before it ends.
    pub(crate) start: Sp,
    /// Its first column, or where its music may begin.
    pub(crate) music: Sp,
    /// The left edge of its bar line.
    pub(crate) end: Sp,
}

impl BarPlace {
    /// The middle of what it has room for.
    fn middle(&self) -> Sp {
        ((self.music - AFTER_BAR_LINE).max(self.start) + self.end) / 2.0
    }
}

impl Workshop<'_> {
    /// The signature of a staff in a bar.
    pub(crate) fn signature_in(&self, staff: usize, bar: usize) -> Signature {
        let signatures = &self.arrangement.staves[staff].signatures;
        let place = signatures.partition_point(|(from, _)| *from <= bar);
        place.checked_sub(1).map_or(Signature::NONE, |place| signatures[place].1)
    }

    /// The width of the widest signature of a bar.
    fn signature_width(&self, bar: usize) -> Sp {
        let widths = (0..self.arrangement.staves.len()).map(|staff| {
            let now = self.signature_in(staff, bar);
            let clef = self.arrangement.staves[staff].clef_in(bar);
            signature(clef, Signature::NONE, now, self.signs).1
        });
        widths.fold(Sp::ZERO, Sp::max)
    }

    /// By how much a system is wider that begins with a bar: clef, signature and, at the beginning
    /// of the piece, the meter; but the bar's own lead needs no change of signature then.
    pub(crate) fn opening_width(&self, bar: usize) -> Sp {
        let opening = opening::width(self.signs, self.signature_width(bar));
        opening + if bar == 0 { self.meter_width(bar) } else { -self.change_width(bar) }
    }

    /// The width of what stands at the end of a system that ends with a bar: the signature and
    /// the meter of the next, where they change (common practice).
    pub(crate) fn courtesy_width(&self, bar: usize) -> Sp {
        if bar + 1 >= self.arrangement.bars.len() {
            return Sp::ZERO;
        }
        let width = self.change_width(bar + 1) + self.meter_width(bar + 1);
        if width > Sp::ZERO { width + BEFORE_COURTESY } else { width }
    }

    /// The width of the meter that begins with a bar.
    fn meter_width(&self, bar: usize) -> Sp {
        let meter = self.arrangement.bars[bar].meter.filter(|meter| meter.shown);
        let figures = meter.map(|meter| meter_figures(self.letterer, meter)).unwrap_or_default();
        figures.first().map_or(Sp::ZERO, |(_, width)| *width + Sp(0.7))
    }

    /// The width of what stands at the beginning of a bar inside a system: the sign of a repeat,
    /// new signatures, a new meter.
    pub(crate) fn lead_width(&self, bar: usize) -> Sp {
        let mut lead = Sp::ZERO;
        if self.arrangement.bars[bar].repeat_begins {
            lead += REPEAT_BEGINS;
        }
        if bar > 0 {
            lead += self.change_width(bar) + self.meter_width(bar);
        }
        lead
    }

    /// The width of the signatures that change with a bar.
    fn change_width(&self, bar: usize) -> Sp {
        if bar == 0 {
            return Sp::ZERO;
        }
        let widths = (0..self.arrangement.staves.len()).map(|staff| {
            let (before, now) = (self.signature_in(staff, bar - 1), self.signature_in(staff, bar));
            if before == now {
                return Sp::ZERO;
            }
            let clef = self.arrangement.staves[staff].clef_in(bar);
            signature(clef, before, now, self.signs).1 + Sp(0.7)
        });
        widths.fold(Sp::ZERO, Sp::max)
    }

    /// The width of what stands before the staves of an open score: names and incipits before the
    /// first system, short names before those that follow.
    pub(crate) fn indent(&self, first: bool) -> Sp {
        let names = self.names(first);
        let widest = names.iter().map(|name| name.width).reduce(Sp::max);
        widest.map_or(Sp::ZERO, |width| width + AFTER_NAME) + self.incipits_width(first)
    }

    fn incipits_width(&self, first: bool) -> Sp {
        let incipits = self.incipits.iter().flatten().filter(|_| first);
        let widest = incipits.map(|incipit| incipit.width).reduce(Sp::max);
        widest.map_or(Sp::ZERO, |width| width + AFTER_INCIPIT)
    }

    /// The names beside the staves.
    fn names(&self, first: bool) -> Vec<Lettering> {
        if self.arrangement.options.staves == Staves::Keyboard {
            return Vec::new();
        }
        let names = self.arrangement.score.voices.iter().map(|voice| voice.name.as_str());
        let names = if first {
            names.map(voice_names::shown).collect()
        } else {
            voice_names::short(&names.collect::<Vec<_>>())
        };
        let set = |name: &String| self.letterer.set(name, Face::Roman, voice_names::SIZE);
        names.iter().map(set).collect()
    }

    /// Draws a system.
    pub(crate) fn draw(
        &self,
        plan: &SystemPlan,
        drafts: Vec<BarDraft>,
        spaces: &[BarSpace],
    ) -> Frame {
        let arrangement = self.arrangement;
        let staves = arrangement.staves.len();
        let mut drafts_of_staves: Vec<StaffDraft<'_>> = (0..staves)
            .map(|_| StaffDraft::new(self.signs, Sp(-3.0), plan.width + Sp(1.0)))
            .collect();
        let x = self.draw_openings(plan, &mut drafts_of_staves);
        let (places, mut lines, silences) = self.place(plan, drafts, spaces, x);
        let mut pending = Vec::new();
        for place in &places {
            self.draw_lead(plan, *place, &mut drafts_of_staves, &mut pending);
        }
        self.draw_courtesy(plan, &mut drafts_of_staves);
        self.draw_changed_clefs(&places, &mut drafts_of_staves);
        self.draw_empty_staves(&places, &mut drafts_of_staves);
        notes::draw_silences(&silences, &mut drafts_of_staves);
        notes::draw(self, &mut lines, &mut drafts_of_staves);
        notes::draw_ties(&lines, &mut drafts_of_staves, (x, plan.width));
        let marks = marks::Marks::of(self, plan, &lines);
        marks.draw_circles(&mut drafts_of_staves);
        brackets::draw(self, &lines, &mut drafts_of_staves);
        outside::draw(self, &lines, &mut drafts_of_staves);
        marks.draw_at_notes(&mut drafts_of_staves);
        outside::draw_words(self, &lines, &places, &mut drafts_of_staves);
        marks.draw_brackets((x, plan.width), &mut drafts_of_staves);
        self.number(plan, &mut drafts_of_staves);
        let moments = Moments::of(self, &places, &lines);
        figures::draw(self, &moments, &mut drafts_of_staves);
        let mut frame = self.assemble(plan, &places, drafts_of_staves, &pending);
        leads::draw(self, &lines, &mut frame);
        shades::draw(self, &moments, &mut frame);
        frame
    }

    /// Clefs, signatures and the first meter; where the music begins.
    fn draw_openings(&self, plan: &SystemPlan, drafts: &mut [StaffDraft<'_>]) -> Sp {
        let bar = plan.bars.start;
        let signature_width = self.signature_width(bar);
        let mut x = Sp::ZERO;
        for (number, draft) in drafts.iter_mut().enumerate() {
            let staff = &self.arrangement.staves[number];
            let now = self.signature_in(number, bar);
            x = opening::draw(draft, (staff, bar), now, signature_width);
        }
        if bar == 0 {
            for draft in drafts.iter_mut() {
                self.draw_meter(bar, x, draft);
            }
            if let Some(symbol) = self.arrangement.bars[0].meter.and_then(|meter| meter.symbol)
                && let Some(first) = drafts.first_mut()
            {
                let sign = opening::period_sign(symbol);
                let (items, width) =
                    period::items(sign, Role::PeriodSign, self.signs, self.letterer);
                let middle = x + (self.meter_width(bar) - Sp(0.7)) / 2.0;
                put_above(first, items, middle - width / 2.0);
            }
        }
        x + if bar == 0 { self.meter_width(bar) } else { Sp::ZERO }
    }

    fn draw_meter(&self, bar: usize, x: Sp, draft: &mut StaffDraft<'_>) {
        let Some(meter) = self.arrangement.bars[bar].meter.filter(|meter| meter.shown) else {
            return;
        };
        for (item, _) in meter_figures(self.letterer, meter) {
            draft.put(item.moved(x, Sp::ZERO));
        }
    }

    /// Gives every column its place.
    fn place(
        &self,
        plan: &SystemPlan,
        drafts: Vec<BarDraft>,
        spaces: &[BarSpace],
        x: Sp,
    ) -> (Vec<BarPlace>, Vec<VoiceLine>, Vec<PlacedSilence>) {
        let voices = self.arrangement.score.voices.len();
        let mut lines: Vec<VoiceLine> = (0..voices).map(|_| VoiceLine::default()).collect();
        let mut places = Vec::with_capacity(spaces.len());
        let mut silences = Vec::new();
        let mut start = x;
        for ((number, draft), space) in plan.bars.clone().zip(drafts).zip(spaces) {
            // At the beginning of a system, the signature stands with the clef.
            let first = number == plan.bars.start;
            let change = if first { self.change_width(number) } else { Sp::ZERO };
            let music = start + space.lead - change;
            let mut x = music;
            let mut gaps = space.gaps.iter();
            for column in draft.columns {
                for staff in column.staves {
                    for mut chord in staff.chords {
                        chord.move_to(x);
                        lines[chord.origin.voice].chords.push(chord);
                    }
                    for rest in staff.rests {
                        lines[rest.origin.voice].rests.push(PlacedRest { rest, x });
                    }
                    if let Some(rest) = staff.silence {
                        silences.push(PlacedSilence { staff: staff.staff, x, rest });
                    }
                    for mut ledger in staff.ledgers {
                        ledger.left += x;
                        ledger.right += x;
                        lines[ledger.origin.voice].ledgers.push((staff.staff, ledger));
                    }
                }
                if let Some(gap) = gaps.next() {
                    x += spacing::width(*gap, plan.factor);
                }
            }
            for gap in gaps {
                x += spacing::width(*gap, plan.factor);
            }
            // A rest for the whole bar stands in its middle.
            let place = BarPlace { number, start, music, end: x + space.tail };
            for rest in draft.whole_rests {
                let x = place.middle() - self.signs.width(rest.sign) / 2.0;
                lines[rest.origin.voice].rests.push(PlacedRest { rest, x });
            }
            places.push(place);
            start = place.end + space.close;
        }
        (places, lines, silences)
    }

    /// A staff on which no voice has anything in a bar is silent for the whole of it.
    fn draw_empty_staves(&self, places: &[BarPlace], drafts: &mut [StaffDraft<'_>]) {
        for place in places {
            for (staff, draft) in drafts.iter_mut().enumerate() {
                let voices = &self.arrangement.bars[place.number].voices;
                if voices.iter().flatten().any(|segment| segment.staff == staff) {
                    continue;
                }
                let (sign, y) = column::whole_bar_rest(self.arrangement, place.number);
                let x = place.middle() - self.signs.width(sign) / 2.0;
                draft.sign(Role::Rest, None, sign, x, y);
            }
        }
    }

    /// What stands at the beginning of a bar; signs of repeats are left for when all staves stand.
    fn draw_lead(
        &self,
        plan: &SystemPlan,
        place: BarPlace,
        drafts: &mut [StaffDraft<'_>],
        repeats: &mut Vec<Sp>,
    ) {
        let bar = place.number;
        let mut x = place.start;
        if self.arrangement.bars[bar].repeat_begins {
            // At the left end of a system it stands alone; after a bar line, it takes its place.
            repeats.push(x + if bar == plan.bars.start { Sp(0.2) } else { Sp::ZERO });
            x += REPEAT_BEGINS;
        }
        if bar == 0 || bar == plan.bars.start {
            if bar > 0 {
                let width = self.meter_width(bar);
                if width > Sp::ZERO {
                    for draft in drafts.iter_mut() {
                        self.draw_meter(bar, place.start, draft);
                    }
                }
            }
            return;
        }
        self.draw_change(bar, x, drafts);
    }

    /// The signatures and the meter that change with a bar.
    fn draw_change(&self, bar: usize, x: Sp, drafts: &mut [StaffDraft<'_>]) {
        for (number, draft) in drafts.iter_mut().enumerate() {
            let (before, now) =
                (self.signature_in(number, bar - 1), self.signature_in(number, bar));
            if before == now {
                continue;
            }
            let clef = self.arrangement.staves[number].clef_in(bar);
            for sign in signature(clef, before, now, self.signs).0 {
                let y = crate::column::y_of(sign.place);
                draft.sign(Role::Signature, None, sign.sign, x + Sp(0.7) + sign.x, y);
            }
        }
        let x = x + self.change_width(bar) + Sp(0.6);
        for draft in drafts.iter_mut() {
            self.draw_meter(bar, x, draft);
        }
    }

    /// What is about to change behind the end of a system.
    fn draw_courtesy(&self, plan: &SystemPlan, drafts: &mut [StaffDraft<'_>]) {
        let width = self.courtesy_width(plan.bars.end.saturating_sub(1));
        if width > Sp::ZERO {
            self.draw_change(plan.bars.end, plan.width - width, drafts);
        }
    }

    /// The room that clefs which change after a bar take before its bar line.
    pub(crate) fn clef_width(&self, bar: usize) -> Sp {
        let changes = self.changed_clefs(bar + 1);
        let widths = changes.map(|(_, _, sign)| self.signs.area(sign).right * CHANGED_CLEF);
        let widest = widths.fold(Sp::ZERO, Sp::max);
        if widest > Sp::ZERO { BEFORE_CHANGED_CLEF + widest + BEFORE_BAR_LINE } else { Sp::ZERO }
    }

    /// The staves whose clef changes with a bar, with the new clefs.
    fn changed_clefs(&self, bar: usize) -> impl Iterator<Item = (usize, Clef, Sign)> {
        let staves = self.arrangement.staves.iter().enumerate();
        staves.filter_map(move |(number, staff)| {
            let clef = staff.clef_change(bar)?;
            Some((number, clef, opening::clef_sign(clef, staff.octave_change)))
        })
    }

    /// The clefs that change: small, before the bar line, also the last one of a system (Ross, Gould).
    fn draw_changed_clefs(&self, places: &[BarPlace], drafts: &mut [StaffDraft<'_>]) {
        for place in places {
            let x = place.end - self.clef_width(place.number) + BEFORE_CHANGED_CLEF;
            for (staff, clef, sign) in self.changed_clefs(place.number + 1) {
                let at = Point::new(x, column::y_of(2 * Place::from(clef.line)));
                drafts[staff].scaled(Role::Clef, None, sign, at, CHANGED_CLEF);
            }
        }
    }

    /// The number of the first bar, above the beginning of every system but the first of a piece.
    fn number(&self, plan: &SystemPlan, drafts: &mut [StaffDraft<'_>]) {
        let Some(bar) = self.arrangement.score.bars.get(plan.bars.start) else { return };
        let Some(draft) = drafts.first_mut().filter(|_| bar.number > 1) else { return };
        let number = bar.number.to_string();
        let letters = self.letterer.set(&number, Face::Italic, Sp(1.9));
        let area =
            Area::new(Sp(0.1), letters.size * -CAPITAL_HEIGHT, Sp(0.1) + letters.width, Sp::ZERO);
        let y = draft.outside(draft::Side::Above, area);
        let at = Point::new(Sp(0.1), y);
        draft.put(Item {
            role: Role::BarNumber,
            of: None,
            ink: Ink::Letters { letters: letters.into(), at },
        });
    }

    /// Sets the staves below one another, and draws what joins them.
    fn assemble(
        &self,
        plan: &SystemPlan,
        places: &[BarPlace],
        drafts: Vec<StaffDraft<'_>>,
        repeats: &[Sp],
    ) -> Frame {
        let keyboard = self.arrangement.options.staves == Staves::Keyboard;
        let least = STAFF + if keyboard { BETWEEN_KEYBOARD_STAVES } else { BETWEEN_VOICE_STAVES };
        let mut tops = vec![Sp::ZERO];
        for pair in drafts.windows(2) {
            let needed = pair[0].below.facing(&pair[1].above) + BETWEEN_STAVES_WHITE;
            tops.push(tops[tops.len() - 1] + needed.max(least));
        }
        let mut items = Vec::new();
        for top in &tops {
            for line in 0..5 {
                let y = *top + Sp(f64::from(line));
                let (from, to) = (Point::new(Sp::ZERO, y), Point::new(plan.width, y));
                let ink = Ink::Line { from, to, thickness: STAFF_LINE };
                items.push(Item { role: Role::StaffLine, of: None, ink });
            }
        }
        let spared = marks::words(&drafts, &tops);
        let (look, items_of_pen) = (self.bar_lines, &mut items);
        let mut pen = BarLinePen { tops: &tops, look, spared: &spared, items: items_of_pen };
        pen.joining();
        for place in places {
            let next = self.arrangement.bars.get(place.number + 1);
            let replaced = next.is_some_and(|next| next.repeat_begins)
                && place.number + 1 < plan.bars.end
                && self.arrangement.score.bars[place.number].close == score::Close::Plain;
            if !replaced {
                pen.close(self.arrangement.score.bars[place.number].close, place.end);
            }
        }
        for x in repeats {
            pen.repeat_begins(*x);
        }
        let bottom = tops[tops.len() - 1] + STAFF;
        if tops.len() > 1 {
            let shape = if keyboard {
                drawn::brace(-0.35, 0.0, bottom.0)
            } else {
                drawn::bracket(-0.35, 0.0, bottom.0)
            };
            items.push(Item { role: Role::SystemBracket, of: None, ink: Ink::Shape(shape) });
        }
        self.draw_before(plan.bars.start == 0, &tops, &mut items);
        let staves = self.arrangement.staves.iter().zip(&tops);
        let staves = staves
            .map(|(staff, top)| StaffPlace {
                clef: staff.clef_in(plan.bars.start),
                clef_changes: places
                    .iter()
                    .skip(1)
                    .filter_map(|place| Some((place.start, staff.clef_change(place.number)?)))
                    .collect(),
                octave_change: staff.octave_change,
                bottom: *top + STAFF,
            })
            .collect();
        for (draft, top) in drafts.into_iter().zip(&tops) {
            items.extend(draft.items.into_iter().map(|item| item.moved(Sp::ZERO, *top)));
        }
        let areas = items.iter().filter_map(|item| item.area(self.signs));
        let area = areas.reduce(Area::and);
        // Of a long piece there are many systems.
        items.shrink_to_fit();
        let (bars, begins) = (plan.bars.clone(), self.arrangement.score.begins);
        Frame { items, staves, bars, begins, area }
    }

    /// The names, and the incipits, before the staves of an open score.
    fn draw_before(&self, first: bool, tops: &[Sp], items: &mut Vec<Item>) {
        let right = BEFORE_BRACKET - self.incipits_width(first);
        for (letters, top) in self.names(first).into_iter().zip(tops) {
            let x = right - AFTER_NAME - letters.width;
            let at = Point::new(x, *top + Sp(2.0) + letters.size * (CAPITAL_HEIGHT / 2.0));
            let ink = Ink::Letters { letters: letters.into(), at };
            items.push(Item { role: Role::VoiceName, of: None, ink });
        }
        if first {
            let placed = self.incipits.iter().zip(tops);
            let placed = placed.filter_map(|(one, top)| Some((one.as_ref()?, *top)));
            for (incipit, top) in placed {
                items.extend(incipit.items.iter().map(|item| item.clone().moved(right, top)));
            }
        }
    }
}

/// Draws items made around an origin on their baseline, above all that is there.
fn put_above(draft: &mut StaffDraft<'_>, items: Vec<Item>, x: Sp) {
    let areas = items.iter().filter_map(|item| item.area(draft.signs));
    let Some(area) = areas.reduce(Area::and) else { return };
    let y = draft.outside(draft::Side::Above, area.moved(x, Sp::ZERO));
    for item in items {
        draft.put(item.moved(x, y));
    }
}
