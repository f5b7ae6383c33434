//! One system of bars of a plan.

use std::ops::Range;

use rudiments::Time;
use score::{Plan, PlannedEntry};

use super::labels::{self, LABEL, Lanes};
use super::{minims, pattern};
use crate::drawn::rectangle;
use crate::fonts::Face;
use crate::frame::{Frame, Ink, Item, Role};
use crate::glyphs::Signs;
use crate::lettering::{CAPITAL_HEIGHT, DESCENT, Letterer, Lettering};
use crate::outline::Outline;
use crate::units::{Area, Point, Sp};
use crate::voice_names;

/// The sizes of words.
const NAME: Sp = Sp(2.0);
const NUMBER: Sp = Sp(1.6);
const SECTION: Sp = Sp(1.9);
const LETTER: Sp = Sp(2.1);

/// A band's height, the row of labels over it, and the white under it.
const BAND: Sp = Sp(1.8);
const LABELS: Sp = Sp(1.9);
const UNDER_BAND: Sp = Sp(0.3);

/// From the names of voices to the bands.
const AFTER_NAME: Sp = Sp(1.0);

/// How thick the lines of bars are, and those of sections.
const BAR_TICK: Sp = Sp(0.07);
/// By how much the line of a bar is shorter at both ends where the voice is silent.
const SILENT_TICK: Sp = Sp(0.6);
const SECTION_LINE: Sp = Sp(0.16);
const GOAL_LINE: Sp = Sp(0.2);

/// How thick one voice is in the row that shows how many sound, and the height of that row.
const ONE_VOICE: f64 = 0.34;

/// Numbers of bars stand no nearer than this.
const BETWEEN_NUMBERS: Sp = Sp(2.6);

/// Where the moments of a system stand.
#[derive(Clone, Copy)]
pub(super) struct Ruler {
    pub(super) from: Time,
    pub(super) to: Time,
    /// Where the bands begin.
    pub(super) left: Sp,
    /// The width of a minim.
    pub(super) scale: f64,
}

impl Ruler {
    fn x(self, at: Time) -> Sp {
        self.left + Sp(minims((self.from, at)) * self.scale)
    }

    fn right(self) -> Sp {
        self.x(self.to)
    }

    /// What of a stretch of time stands in the system.
    fn stretch(self, from: Time, to: Time) -> Option<(Time, Time)> {
        let (from, to) = (from.max(self.from), to.min(self.to));
        (from < to).then_some((from, to))
    }

    fn has(self, at: Time) -> bool {
        self.from <= at && at < self.to
    }
}

/// The names of the voices as they stand beside the bands.
pub(super) fn names(plan: &Plan, letterer: &Letterer) -> Vec<Lettering> {
    let names = plan.voices.iter().map(|voice| voice_names::shown(&voice.name));
    names.map(|name| letterer.set(&name, Face::Roman, NAME)).collect()
}

/// Where the bands begin beside these names.
pub(super) fn left(names: &[Lettering]) -> Sp {
    let widest = names.iter().map(|name| name.width).reduce(Sp::max);
    widest.map_or(Sp::ZERO, |widest| widest + AFTER_NAME)
}

/// Draws a system around the left end of its first row.
pub(super) fn draw(
    plan: &Plan,
    bars: Range<usize>,
    ruler: Ruler,
    names: &[Lettering],
    letterer: &Letterer,
    signs: &Signs,
) -> Frame {
    let mut system = System { plan, ruler, letterer, items: Vec::new(), y: Sp::ZERO };
    system.sections();
    system.numbers(bars.clone());
    let mut bands = Vec::new();
    for (voice, name) in names.iter().enumerate() {
        system.voice(voice, name, bars.clone());
        bands.push(system.y - UNDER_BAND - BAND);
    }
    system.edges(&bands);
    system.texture();
    system.cadences(&bands);
    let items = system.items;
    let area = items.iter().filter_map(|item| item.area(signs)).reduce(Area::and);
    Frame { items, area, ..Frame::default() }
}

struct System<'p> {
    plan: &'p Plan,
    ruler: Ruler,
    letterer: &'p Letterer,
    items: Vec<Item>,
    /// Where the next row begins.
    y: Sp,
}

impl System<'_> {
    fn put(&mut self, role: Role, ink: Ink) {
        self.items.push(Item { role, of: None, ink });
    }

    fn words(&mut self, letters: Lettering, x: Sp, baseline: Sp) {
        let at = Point::new(x, baseline);
        self.put(Role::PlanWords, Ink::Letters { letters: Box::new(letters), at });
    }

    fn upright(&mut self, x: Sp, top: Sp, bottom: Sp, thickness: Sp) {
        let (from, to) = (Point::new(x, top), Point::new(x, bottom));
        self.put(Role::PlanLine, Ink::Line { from, to, thickness });
    }

    fn shaded(&mut self, left: Sp, top: Sp, right: Sp, bottom: Sp) {
        let outline = Outline::polygon(rectangle(left.0, top.0, right.0, bottom.0));
        self.put(Role::PlanBand, Ink::Shaded(outline));
    }

    /// The names of the sections that begin here, in a row of their own.
    fn sections(&mut self) {
        let named = self.plan.sections.iter().filter(|section| !section.name.is_empty());
        let mut end = Sp(f64::NEG_INFINITY);
        let mut any = false;
        for section in named.filter(|section| self.ruler.has(section.from)) {
            let x = self.ruler.x(section.from).max(end);
            let letters = self.letterer.set(&section.name, Face::Italic, SECTION);
            let x = x.min(self.ruler.right() - letters.width).max(Sp::ZERO);
            if x < end {
                continue;
            }
            end = x + letters.width + Sp(0.8);
            let baseline = self.y + SECTION * CAPITAL_HEIGHT;
            let at = Point::new(x, baseline);
            let ink = Ink::Letters { letters: Box::new(letters), at };
            self.items.push(Item { role: Role::PlanWords, of: None, ink });
            any = true;
        }
        if any {
            self.y += SECTION * (CAPITAL_HEIGHT + DESCENT) + Sp(0.3);
        }
    }

    /// The numbers of the bars, as many as there is room for.
    fn numbers(&mut self, bars: Range<usize>) {
        let baseline = self.y + NUMBER * CAPITAL_HEIGHT;
        let numbers = self.plan.bars[bars].to_vec();
        let width = numbers
            .windows(2)
            .map(|pair| self.ruler.x(pair[1].start) - self.ruler.x(pair[0].start));
        let narrowest = width.reduce(Sp::min).unwrap_or(BETWEEN_NUMBERS);
        let every = [1, 2, 5, 10, 20, 50, 100, 1000];
        let every =
            every.into_iter().find(|every| narrowest * f64::from(*every) >= BETWEEN_NUMBERS);
        let every = every.unwrap_or(1000);
        // The first always has its number, and those after it that are round.
        let first = numbers.first().map(|bar| self.ruler.x(bar.start));
        for (place, bar) in numbers.iter().enumerate() {
            let near = first.is_some_and(|first| self.ruler.x(bar.start) - first < BETWEEN_NUMBERS);
            if place > 0 && (near || bar.number % every != 0) {
                continue;
            }
            let letters = self.letterer.set(&bar.number.to_string(), Face::Italic, NUMBER);
            self.words(letters, self.ruler.x(bar.start), baseline);
        }
        self.y += NUMBER * CAPITAL_HEIGHT + Sp(0.2);
    }

    /// The band of a voice, with its entries and their labels over it.
    fn voice(&mut self, voice: usize, name: &Lettering, bars: Range<usize>) {
        let top = self.y + LABELS;
        let bottom = top + BAND;
        let middle = top + BAND / 2.0;
        let baseline = middle + NAME * (CAPITAL_HEIGHT / 2.0);
        let x = self.ruler.left - AFTER_NAME - name.width;
        self.words(name.clone(), x, baseline);
        let of_voice = |entry: &&PlannedEntry| entry.voice == voice;
        let ruler = self.ruler;
        let mut entries: Vec<&PlannedEntry> = self.plan.entries.iter().filter(of_voice).collect();
        entries.retain(|entry| ruler.stretch(entry.from, entry.to).is_some());
        entries.sort_by_key(|entry| (entry.from, entry.to));
        let open: Vec<(Time, Time)> = entries.iter().map(|one| (one.from, one.to)).collect();
        for (from, to) in &self.plan.voices[voice].sounds {
            for (from, to) in outside((*from, *to), &open) {
                if let Some((from, to)) = ruler.stretch(from, to) {
                    self.shaded(ruler.x(from), top, ruler.x(to), bottom);
                }
            }
        }
        for bar in bars.start + 1..bars.end {
            let at = self.plan.bars[bar].start;
            if open.iter().any(|(from, to)| *from <= at && at <= *to) {
                continue;
            }
            let sounds = &self.plan.voices[voice].sounds;
            let after = sounds.partition_point(|(_, to)| *to <= at);
            let is_silent = sounds.get(after).is_none_or(|(from, _)| *from > at);
            let less = if is_silent { SILENT_TICK } else { Sp::ZERO };
            self.upright(ruler.x(at), top + less, bottom - less, BAR_TICK);
        }
        self.entries(&entries, (top, bottom));
        self.y = bottom + UNDER_BAND;
    }

    /// Entries that overlap share the height of the band.
    fn entries(&mut self, entries: &[&PlannedEntry], (top, bottom): (Sp, Sp)) {
        let ruler = self.ruler;
        let mut lanes = Lanes::default();
        let placed: Vec<usize> = entries
            .iter()
            .map(|entry| lanes.place(ruler.x(entry.from), ruler.x(entry.to)))
            .collect();
        let height = (bottom - top) / lanes.count().max(1) as f64;
        for (entry, lane) in entries.iter().zip(placed) {
            let Some((from, to)) = ruler.stretch(entry.from, entry.to) else { continue };
            let top = top + height * lane as f64;
            let area = Area::new(ruler.x(from), top, ruler.x(to), top + height);
            let ends = (entry.from >= ruler.from, entry.to <= ruler.to);
            pattern::draw(entry.subject, entry.inverted, area, ends, &mut self.items);
        }
        let wanted: Vec<(Sp, [String; 2])> = entries
            .iter()
            .filter(|entry| ruler.has(entry.from))
            .map(|entry| {
                let name = self.plan.subjects.get(entry.subject);
                let name = name.map_or(String::new(), |subject| subject.name.clone());
                let whole = format!("{name} {}", entry.label).trim().to_owned();
                (ruler.x(entry.from), [whole, name])
            })
            .collect();
        let baseline = top - Sp(0.5);
        for (letters, x) in labels::row(&wanted, ruler.right(), self.letterer) {
            self.words(letters, x, baseline);
        }
    }

    /// The lines at both ends and at the beginnings of sections.
    fn edges(&mut self, bands: &[Sp]) {
        let ruler = self.ruler;
        for band in bands {
            for x in [ruler.left + BAR_TICK / 2.0, ruler.right() - BAR_TICK / 2.0] {
                self.upright(x, *band, *band + BAND, BAR_TICK);
            }
        }
        let sections: Vec<Sp> = self
            .plan
            .sections
            .iter()
            .filter(|section| section.from > ruler.from && section.from < ruler.to)
            .map(|section| ruler.x(section.from))
            .collect();
        for x in sections {
            for band in bands {
                self.upright(x, *band, *band + BAND, SECTION_LINE);
            }
        }
    }

    /// How many voices sound: a band as thick as they are many, and their number where it changes.
    fn texture(&mut self) {
        let most = self.plan.voices.len();
        if most < 2 {
            return;
        }
        let ruler = self.ruler;
        let height = Sp(ONE_VOICE * most as f64);
        let top = self.y + Sp(0.9);
        let middle = top + height / 2.0;
        let texture = self.plan.texture();
        let mut written = Sp(f64::NEG_INFINITY);
        for (place, (from, count)) in texture.iter().enumerate() {
            let to = texture.get(place + 1).map_or(self.plan.length, |(at, _)| *at);
            let Some((from, to)) = ruler.stretch(*from, to) else { continue };
            let half = Sp(ONE_VOICE * *count as f64 / 2.0);
            let (left, right) = (ruler.x(from), ruler.x(to));
            if *count > 0 {
                self.shaded(left, middle - half, right, middle + half);
            }
            let letters = self.letterer.set(&count.to_string(), Face::Roman, NUMBER);
            if right - left >= letters.width + Sp(0.6) && left >= written {
                written = left + letters.width + Sp(0.6);
                let baseline = middle + NUMBER * (CAPITAL_HEIGHT / 2.0);
                self.words(letters, left + Sp(0.3), baseline);
            }
        }
        let letters = self.letterer.set("voices", Face::Italic, LABEL);
        let x = ruler.left - AFTER_NAME - letters.width;
        self.words(letters, x, middle + LABEL * 0.22);
        self.y = top + height.max(NUMBER * CAPITAL_HEIGHT) + Sp(0.5);
    }

    /// The cadences: a line through the bands at the goal, its letter and beneath it the kind.
    fn cadences(&mut self, bands: &[Sp]) {
        let ruler = self.ruler;
        // A goal with which the piece would end stands at its last bar.
        let here: Vec<_> =
            self.plan.cadences.iter().filter(|cadence| ruler.has(cadence.at)).collect();
        if here.is_empty() {
            return;
        }
        let top = self.y + Sp(0.4);
        let mut lanes = Lanes::default();
        let between = LETTER * CAPITAL_HEIGHT + LABEL * (CAPITAL_HEIGHT + DESCENT) + Sp(1.2);
        let mut lowest = top;
        for cadence in here {
            let x = ruler.x(cadence.at);
            for band in bands {
                self.upright(x, *band - Sp(0.15), *band + BAND + Sp(0.15), GOAL_LINE);
            }
            let bracketed =
                |text: &str| if cadence.evaded { format!("[{text}]") } else { text.to_owned() };
            let letter = self.letterer.set(&bracketed(&cadence.letter), Face::Bold, LETTER);
            let mut kind = cadence.kind.clone();
            if cadence.phrygian {
                let comma = if kind.is_empty() { "" } else { ", " };
                kind = format!("{kind}{comma}Phrygian");
            }
            let kind = self.letterer.set(&kind, Face::Italic, LABEL);
            let widest = letter.width.max(kind.width);
            let middle = x.min(ruler.right() - widest / 2.0).max(widest / 2.0);
            let lane =
                lanes.place(middle - widest / 2.0 - Sp(0.3), middle + widest / 2.0 + Sp(0.3));
            let baseline = top + between * lane as f64 + LETTER * CAPITAL_HEIGHT;
            let beneath = baseline + LABEL * CAPITAL_HEIGHT + Sp(0.6);
            let (at, under) = (middle - letter.width / 2.0, middle - kind.width / 2.0);
            self.words(letter, at, baseline);
            if !kind.text.is_empty() {
                self.words(kind, under, beneath);
            }
            lowest = lowest.max(beneath + LABEL * DESCENT);
        }
        let letters = self.letterer.set("cadences", Face::Italic, LABEL);
        let x = ruler.left - AFTER_NAME - letters.width;
        self.words(letters, x, top + LETTER * CAPITAL_HEIGHT);
        self.y = lowest;
    }
}

/// The parts of a stretch of time that none of these has; they are in order.
fn outside((from, to): (Time, Time), others: &[(Time, Time)]) -> Vec<(Time, Time)> {
    let mut parts = Vec::new();
    let mut now = from;
    for (begin, end) in others {
        if *end <= now || *begin >= to {
            continue;
        }
        if *begin > now {
            parts.push((now, *begin));
        }
        now = now.max(*end);
    }
    if now < to {
        parts.push((now, to));
    }
    parts
}
