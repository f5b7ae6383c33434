//! From an arrangement to a picture.

use std::ops::Range;

use score::{Arrangement, Change, Staves};

use crate::breaking::{self, BarWidth};
use crate::column::{self, BarDraft};
use crate::frame::{Block, BlockKind, Picture};
use crate::glyphs::Signs;
use crate::incipit;
use crate::lettering::Letterer;
use crate::look::{Breaks, Look};
use crate::practice::{BETWEEN_SYSTEMS, BETWEEN_SYSTEMS_WHITE, STAFF};
use crate::spacing::{self, BarSpace};
use crate::system::{SystemPlan, Workshop};
use crate::title;
use crate::units::{Area, Mm, Sp};

/// Room for brace or bracket before the staves.
pub(crate) const BRACE: Sp = Sp(2.0);

/// From a row of incipits to the first system.
const AFTER_INCIPITS: Sp = Sp(3.5);

/// Between the last system and the editor's notes.
const BEFORE_NOTES: Sp = Sp(4.0);

/// How far systems begin behind the left margin.
#[derive(Clone, Copy)]
struct Indents {
    first: Sp,
    others: Sp,
}

impl Indents {
    fn of(self, first: bool) -> Sp {
        if first { self.first } else { self.others }
    }
}

/// A piece of one system is not stretched by more than this, but left shorter than the page.
const LOOSEST: f64 = 1.6;

/// Draws an arrangement. Linear in its length.
pub fn engrave(arrangement: &Arrangement<'_>, look: &Look) -> Picture {
    engrave_at(arrangement, look, 1.0)
}

/// Draws an arrangement with systems broken as if notes needed so many times the space that they do.
pub(crate) fn engrave_at(arrangement: &Arrangement<'_>, look: &Look, looseness: f64) -> Picture {
    let [smallest, largest] = Look::STAFF_RANGE;
    let space = Mm(look.staff.max(smallest).min(largest).0 / STAFF.0);
    let [narrowest, widest] = Look::WIDTH_RANGE;
    let page = look.width.max(narrowest).min(widest);
    let signs = Signs::all();
    let letterer = Letterer::default();
    let score = arrangement.score;
    let open = arrangement.options.staves == Staves::Open;
    let workshop = Workshop {
        arrangement,
        signs,
        letterer: &letterer,
        bar_lines: look.bar_lines,
        incipits: if look.incipits && open {
            incipit::of_voices(score, signs, &letterer)
        } else {
            Vec::new()
        },
    };
    let count = arrangement.bars.len();
    // Of a long piece the drafts of all bars would take more room than all else: they are made to
    // be measured, and again where they are drawn.
    let draft = |bar| column::of_bar(arrangement, bar, signs);
    let spaces: Vec<BarSpace> = (0..count)
        .map(|bar| {
            let ends = (workshop.lead_width(bar), workshop.clef_width(bar));
            spacing::of_bar(arrangement, bar, &draft(bar), ends, signs)
        })
        .collect();

    let in_spaces = |length: Mm| Sp(length / space);
    let indents = Indents { first: workshop.indent(true), others: workshop.indent(false) };
    let room = in_spaces(page - look.margin * 2.0) - BRACE;
    let widths = widths(&workshop, &spaces, (look.breaks, looseness), indents);
    // A page is at least as wide as its widest bar.
    let needed = widths.iter().map(|bar| bar.fixed + bar.opening + bar.courtesy + bar.least);
    let room = room.max(needed.fold(Sp::ZERO, Sp::max));
    let systems = breaking::systems(&widths, room);
    let plans = plans(&workshop, &spaces, &systems, room, indents);

    let mut blocks = Vec::new();
    let page = Mm((room + BRACE).0 * space.0) + look.margin * 2.0;
    // Where the staves begin, behind the brace.
    let left = look.margin + Mm(BRACE.0 * space.0);
    let mut y = look.margin;
    let heading = &arrangement.score.heading;
    let file = heading.name_of_file().filter(|_| look.file_title);
    let title = heading.title.as_deref().or(file);
    if let Some(frame) = title::frame(title, heading, (BRACE, room), &letterer, signs) {
        let height = frame.area.map_or(Sp::ZERO, Area::height);
        blocks.push(Block { x: look.margin, y, kind: BlockKind::Title, frame });
        y += Mm((height + Sp(3.0)).0 * space.0);
    }
    let row =
        (look.incipits && !open).then(|| incipit::rows(score, room, &letterer, signs)).flatten();
    if let Some(frame) = row {
        let area = frame.area.unwrap_or(Area::new(Sp::ZERO, Sp::ZERO, Sp::ZERO, STAFF));
        let top = y + Mm(-area.top.0 * space.0);
        y = top + Mm((area.bottom + AFTER_INCIPITS).0 * space.0);
        blocks.push(Block { x: left, y: top, kind: BlockKind::Incipits, frame });
    }
    let mut before: Option<(Sp, Mm)> = None;
    for (number, plan) in plans.iter().enumerate() {
        let of_system: Vec<BarDraft> = plan.bars.clone().map(draft).collect();
        let frame = workshop.draw(plan, of_system, &spaces[plan.bars.clone()]);
        let area = frame.area.unwrap_or(Area::new(Sp::ZERO, Sp::ZERO, Sp::ZERO, STAFF));
        let indent = indents.of(number == 0);
        let x = look.margin + Mm((BRACE + indent).0 * space.0);
        // The uppermost line of the staff, below what hangs from the system before.
        let top = match before {
            None => y + Mm(-area.top.0 * space.0),
            Some((hanging, bottom_line)) => {
                let white = hanging - area.top + BETWEEN_SYSTEMS_WHITE;
                bottom_line + Mm(white.max(BETWEEN_SYSTEMS).0 * space.0)
            }
        };
        let bottom = frame.staves.last().map_or(STAFF, |staff| staff.bottom);
        before = Some((area.bottom - bottom, top + Mm(bottom.0 * space.0)));
        y = top + Mm(area.bottom.0 * space.0);
        let kind = BlockKind::System(number as u32 + 1);
        blocks.push(Block { x, y: top, kind, frame });
    }
    let notes = if look.notes { heading.notes.as_slice() } else { &[] };
    if let Some(frame) = title::notes(notes, room, &letterer, signs) {
        y += Mm(BEFORE_NOTES.0 * space.0);
        let height = frame.area.map_or(Sp::ZERO, Area::height);
        blocks.push(Block { x: left, y, kind: BlockKind::Notes, frame });
        y += Mm(height.0 * space.0);
    }
    Picture {
        title: heading.full_title().or_else(|| heading.name_of_file().map(str::to_owned)),
        composer: heading.composer.clone(),
        source: heading.source.clone(),
        voices: arrangement.score.voices.iter().map(|voice| voice.name.clone()).collect(),
        width: page,
        height: y + look.margin,
        margin: look.margin,
        space,
        page_begins: page_begins(arrangement, &systems),
        blocks,
    }
}

/// The widths of all bars, for breaking.
fn widths(
    workshop: &Workshop<'_>,
    spaces: &[BarSpace],
    (breaks, looseness): (Breaks, f64),
    indents: Indents,
) -> Vec<BarWidth> {
    let begins = match breaks {
        Breaks::Optimal => Vec::new(),
        Breaks::Source => after_source_lines(workshop.arrangement),
    };
    let editors = &workshop.arrangement.score.breaks;
    let must_begin = |bar: usize| {
        begins.binary_search(&bar).is_ok()
            || editors.binary_search_by_key(&bar, |one| one.bar).is_ok()
    };
    spaces
        .iter()
        .enumerate()
        .map(|(bar, space)| BarWidth {
            fixed: space.fixed(),
            natural: space.gaps.iter().map(|gap| (gap.natural * looseness).max(gap.least)).sum(),
            least: space.gaps.iter().map(|gap| gap.least).sum(),
            opening: workshop.opening_width(bar) + indents.of(bar == 0),
            courtesy: workshop.courtesy_width(bar),
            must_begin: must_begin(bar),
        })
        .collect()
}

/// The systems with which the editor lets a page begin, by their numbers from 1.
fn page_begins(arrangement: &Arrangement<'_>, systems: &[Range<usize>]) -> Vec<u32> {
    let pages = arrangement.score.breaks.iter().filter(|one| one.page);
    pages
        .filter_map(|page| systems.binary_search_by_key(&page.bar, |bars| bars.start).ok())
        .map(|system| system as u32 + 1)
        .collect()
}

/// The bars that follow upon the end of a source line in the top voice.
fn after_source_lines(arrangement: &Arrangement<'_>) -> Vec<usize> {
    let score = arrangement.score;
    let Some(voice) = score.voices.first() else { return Vec::new() };
    let ends = voice.changes.iter().filter_map(|(at, change)| {
        matches!(change, Change::LineEnd | Change::PageEnd).then_some(*at)
    });
    let mut bars: Vec<usize> =
        ends.map(|at| score.bars.partition_point(|bar| bar.start < at)).collect();
    bars.dedup();
    bars
}

/// The space of all systems.
fn plans(
    workshop: &Workshop<'_>,
    spaces: &[BarSpace],
    systems: &[Range<usize>],
    room: Sp,
    indents: Indents,
) -> Vec<SystemPlan> {
    let single = systems.len() == 1;
    let plan = |bars: &Range<usize>| {
        let first = bars.start == 0;
        let width = room - indents.of(first);
        let of_system = &spaces[bars.clone()];
        let fixed: Sp = of_system.iter().map(BarSpace::fixed).sum();
        let fixed = fixed
            + workshop.opening_width(bars.start)
            + workshop.courtesy_width(bars.end.saturating_sub(1));
        let gaps: Vec<spacing::Gap> =
            of_system.iter().flat_map(|space| space.gaps.iter().copied()).collect();
        let mut factor = spacing::justify(&gaps, width - fixed);
        if single {
            factor = factor.min(LOOSEST);
        }
        let sum: Sp = gaps.iter().map(|gap| spacing::width(*gap, factor)).sum();
        SystemPlan { bars: bars.clone(), width: fixed + sum, factor }
    };
    systems.iter().map(plan).collect()
}
