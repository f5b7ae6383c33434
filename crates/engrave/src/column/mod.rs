//! Columns: what begins at one moment of a bar, staff by staff, placed around the moment's own
//! vertical. What depends on later moments (beams, ties, brackets) is drawn when the columns
//! have their places.

mod accidentals;
mod dots;
mod editorial;
mod enclosures;
mod heads;
mod rests;

use rudiments::{Place, Time};
use score::{Arrangement, Beam, Edges, Manner, NoteValue, Segment, Shape, Staff, Stem, Tuplet};

pub(crate) use enclosures::{
    AROUND_ACCIDENTAL, ENCLOSED, ENCLOSURE, Enclosure, NoteBracket, around_rest,
};
pub(crate) use rests::whole_bar as whole_bar_rest;

use crate::frame::{Origin, sign_area};
use crate::glyphs::{Sign, Signs};
use crate::practice::{
    BEAM, BEAM_DISTANCE, FLAG_SIZE, LEDGER_OVERHANG, SHORTEST_STEM, STEM, STEM_LENGTH,
    STEM_SHORTENING,
};
use crate::units::{Area, Sp};

/// The middle line of a staff.
pub(crate) const MIDDLE_LINE: Place = 6;

/// Where a place of the staff lies below its highest line.
pub(crate) fn y_of(place: Place) -> Sp {
    Sp(f64::from(10 - place) / 2.0)
}

/// What begins at a moment.
pub(crate) struct Column {
    pub(crate) onset: Time,
    /// The staves on which something begins, from the top.
    pub(crate) staves: Vec<StaffColumn>,
}

/// What begins at a moment on one staff. All `x` count from the moment's own vertical, the left
/// edge of an undisplaced head; all `y` from the highest line of the staff.
pub(crate) struct StaffColumn {
    pub(crate) staff: usize,
    /// The notes, by voice.
    pub(crate) chords: Vec<Chord>,
    pub(crate) rests: Vec<RestSign>,
    /// The rest of the staff itself, where no voice has one.
    pub(crate) silence: Option<Silence>,
    pub(crate) ledgers: Vec<Ledger>,
    /// The rectangles of everything that is not to be run into.
    pub(crate) areas: Vec<Area>,
}

/// The notes of one voice at a moment: one, or several on a stem.
pub(crate) struct Chord {
    pub(crate) origin: Origin,
    pub(crate) onset: Time,
    pub(crate) head: Sign,
    pub(crate) width: Sp,
    /// Where its undisplaced heads begin.
    pub(crate) x: Sp,
    /// From the lowest to the highest.
    pub(crate) heads: Vec<Head>,
    pub(crate) up: bool,
    pub(crate) alone: bool,
    /// Nothing for whole notes and longer.
    pub(crate) stem: Option<StemSide>,
    pub(crate) flags: usize,
    pub(crate) beams: Vec<Beam>,
    /// When what is under one beam with it begins and ends, and how many they are.
    pub(crate) beam_span: (Time, Time, usize),
    /// Whether its ties are curved upwards, where it has one head.
    pub(crate) ties_up: bool,
    pub(crate) dotted: bool,
    pub(crate) dots: Vec<(Sp, Sp)>,
    pub(crate) accidentals: Vec<AccidentalSign>,
    /// Editor's signs, for above the staff.
    pub(crate) editorial: Vec<EditorialSign>,
    /// Its part in what the editor supplied.
    pub(crate) supplied: Option<Edges>,
    /// The brackets around what was supplied.
    pub(crate) brackets: Vec<NoteBracket>,
    pub(crate) tuplet: Option<Tuplet>,
    pub(crate) tied_before: bool,
    pub(crate) tied_after: bool,
    pub(crate) value: NoteValue,
    /// An exact length that no value writes, for a figure beside it.
    pub(crate) unwritten: Option<Time>,
    /// Whether another chord of the column, farther out, draws the stem's end and its flags.
    pub(crate) joined: bool,
    /// Whether it hangs on a stem that goes to the beam of another voice.
    pub(crate) hung: bool,
}

/// Where a stem stands and ends, if the note has no beam.
#[derive(Clone, Copy)]
pub(crate) struct StemSide {
    /// The middle of the stem, counted as `Chord::x` is.
    pub(crate) x: Sp,
    /// Where it ends.
    pub(crate) tip: Sp,
}

/// A head of a chord.
pub(crate) struct Head {
    pub(crate) place: Place,
    pub(crate) alteration: i8,
    /// Where it begins.
    pub(crate) x: Sp,
    /// Whether the head of another voice stands for it.
    pub(crate) shared: bool,
}

/// An accidental before a head.
pub(crate) struct AccidentalSign {
    pub(crate) sign: Sign,
    /// Its left edge, or that of what encloses it.
    pub(crate) x: Sp,
    pub(crate) y: Sp,
    pub(crate) enclosure: Option<Enclosure>,
}

impl AccidentalSign {
    /// The rectangle around it, with what encloses it.
    pub(crate) fn area(&self, signs: &Signs) -> Area {
        if self.enclosure.is_none() {
            return signs.area(self.sign).moved(self.x, self.y);
        }
        let sign = sign_area(signs, self.sign, ENCLOSED, false);
        let width = sign.right + ENCLOSURE * 2.0;
        let around = Area::new(Sp::ZERO, -AROUND_ACCIDENTAL, width, AROUND_ACCIDENTAL);
        sign.moved(ENCLOSURE, Sp::ZERO).and(around).moved(self.x, self.y)
    }
}

/// An editor's accidental above the staff.
pub(crate) struct EditorialSign {
    pub(crate) sign: Sign,
    /// The place of its note.
    pub(crate) place: Place,
}

/// A rest.
pub(crate) struct RestSign {
    pub(crate) origin: Origin,
    pub(crate) sign: Sign,
    pub(crate) y: Sp,
    pub(crate) up: bool,
    pub(crate) alone: bool,
    pub(crate) dotted: bool,
    /// Whether the rest of another voice stands for it.
    pub(crate) shared: bool,
    pub(crate) tuplet: Option<Tuplet>,
    /// Its part in what the editor supplied.
    pub(crate) supplied: Option<Edges>,
    /// Whether it is left out where there is no room for it near the staff.
    pub(crate) optional: bool,
}

/// A rest that belongs to no voice.
#[derive(Clone, Copy)]
pub(crate) struct Silence {
    pub(crate) sign: Sign,
    pub(crate) y: Sp,
    pub(crate) dotted: bool,
}

/// A ledger line.
pub(crate) struct Ledger {
    pub(crate) origin: Origin,
    pub(crate) y: Sp,
    pub(crate) left: Sp,
    pub(crate) right: Sp,
}

impl Chord {
    pub(crate) fn lowest(&self) -> Place {
        self.heads.first().map_or(MIDDLE_LINE, |head| head.place)
    }

    pub(crate) fn highest(&self) -> Place {
        self.heads.last().map_or(MIDDLE_LINE, |head| head.place)
    }

    /// The head from which the stem begins to be free.
    pub(crate) fn outermost(&self) -> Place {
        if self.up { self.highest() } else { self.lowest() }
    }

    /// The head at which the stem begins.
    pub(crate) fn innermost(&self) -> Place {
        if self.up { self.lowest() } else { self.highest() }
    }

    /// Whether its stem goes on to a beam.
    pub(crate) fn is_beamed(&self) -> bool {
        !self.beams.is_empty()
    }

    /// Gives it its place: from now on, every `x` counts from the left end of the system.
    pub(crate) fn move_to(&mut self, x: Sp) {
        self.shift(x);
        for dot in &mut self.dots {
            dot.0 += x;
        }
        for sign in &mut self.accidentals {
            sign.x += x;
        }
        for bracket in &mut self.brackets {
            bracket.x += x;
        }
    }

    /// Moves heads and stem to the right.
    fn shift(&mut self, by: Sp) {
        self.x += by;
        for head in &mut self.heads {
            head.x += by;
        }
        if let Some(stem) = &mut self.stem {
            stem.x += by;
        }
    }

    /// The rectangles of its heads.
    pub(crate) fn head_areas(&self, signs: &Signs) -> impl Iterator<Item = Area> {
        let area = signs.area(self.head);
        self.heads.iter().map(move |head| area.moved(head.x, y_of(head.place)))
    }

    /// The rectangle of its stem.
    pub(crate) fn stem_area(&self) -> Option<Area> {
        let stem = self.stem?;
        let from = y_of(self.innermost());
        let (left, right) = (stem.x - STEM / 2.0, stem.x + STEM / 2.0);
        Some(Area::new(left, from.min(stem.tip), right, from.max(stem.tip)))
    }

    /// The rectangle of its flags.
    fn flag_area(&self, signs: &Signs) -> Option<Area> {
        let stem = self.stem.filter(|_| self.flags > 0 && !self.is_beamed() && !self.joined)?;
        let area = sign_area(signs, flag(self.flags), FLAG_SIZE, !self.up);
        Some(area.moved(stem.x - STEM / 2.0, stem.tip))
    }
}

/// The sign of so many flags; more than five are shown as five.
pub(crate) fn flag(count: usize) -> Sign {
    [Sign::Flag1, Sign::Flag2, Sign::Flag3, Sign::Flag4, Sign::Flag5][count.clamp(1, 5) - 1]
}

/// What stands in a bar: its columns, and the rests that stand for the whole bar.
pub(crate) struct BarDraft {
    pub(crate) columns: Vec<Column>,
    /// Rests in the middle of the bar.
    pub(crate) whole_rests: Vec<RestSign>,
}

/// Places what stands in a bar, moment by moment.
pub(crate) fn of_bar(arrangement: &Arrangement<'_>, number: usize, signs: &Signs) -> BarDraft {
    let bar = &arrangement.bars[number];
    let whole_rests = rests::of_whole_bar(arrangement, number);
    let mut moments: Vec<Time> = bar
        .voices
        .iter()
        .flatten()
        // What is not seen takes no room, unless its place is left empty.
        .filter(|segment| !matches!(segment.shape, Shape::WholeBar { .. }))
        .filter(|segment| !segment.left_out || segment.blank)
        .map(|segment| segment.onset)
        .chain(bar.rests.iter().map(|rest| rest.onset))
        .collect();
    moments.sort_unstable();
    moments.dedup();
    let mut cursors = vec![0; bar.voices.len()];
    let columns = moments
        .into_iter()
        .map(|onset| column(arrangement, number, onset, &mut cursors, signs))
        .collect();
    BarDraft { columns, whole_rests }
}

fn column(
    arrangement: &Arrangement<'_>,
    number: usize,
    onset: Time,
    cursors: &mut [usize],
    signs: &Signs,
) -> Column {
    let bar = &arrangement.bars[number];
    // The sign of each voice that sounds or begins at this moment.
    for (voice, cursor) in cursors.iter_mut().enumerate() {
        let segments = &bar.voices[voice];
        while segments.get(*cursor + 1).is_some_and(|next| next.onset <= onset) {
            *cursor += 1;
        }
    }
    let begins = |voice: usize| {
        let segment = bar.voices[voice].get(cursors[voice])?;
        let here = segment.onset == onset && !matches!(segment.shape, Shape::WholeBar { .. });
        here.then_some(segment)
    };
    let silences = || bar.rests.iter().filter(|rest| rest.onset == onset);
    let mut staves: Vec<usize> = (0..cursors.len())
        .filter_map(|voice| Some(begins(voice)?.staff))
        .chain(silences().map(|rest| rest.staff))
        .collect();
    staves.sort_unstable();
    staves.dedup();
    let staves = staves
        .into_iter()
        .map(|staff| {
            let mut chords = Vec::new();
            let mut rests = Vec::new();
            for (voice, cursor) in cursors.iter().enumerate() {
                let Some(segment) = begins(voice).filter(|segment| segment.staff == staff) else {
                    continue;
                };
                let origin = origin(arrangement, number, voice, *cursor);
                let supplied = enclosures::supplied(arrangement, origin);
                if segment.is_rest() {
                    let needed = arrangement.options.rests == score::Rests::Needed;
                    let rest = rests::sign(origin, segment);
                    let optional = needed && rest.is_optional(segment) && supplied.is_none();
                    rests.push(RestSign { supplied, optional, ..rest });
                } else {
                    let chord =
                        chord(origin, &bar.voices[voice], &arrangement.staves[staff], signs);
                    chords.push(Chord { supplied, ..chord });
                }
            }
            heads::place(&mut chords, signs);
            heads::clear_strokes(&mut chords, signs);
            direct_ties(&mut chords);
            dots::place(&mut chords, signs);
            let sounding = sounding(arrangement, number, staff, cursors);
            editorial::place(&mut chords, &sounding);
            accidentals::place(&mut chords, signs);
            enclosures::place(&mut chords, signs);
            rests::place(&mut rests, &chords, &sounding, signs);
            let silence = silences().find(|rest| rest.staff == staff);
            let silence = silence.map(|rest| rests::of_staff(rest.shape));
            let ledgers = ledgers(&chords, signs);
            let mut areas = areas(&chords, &rests, &ledgers, signs);
            areas.extend(silence.map(|rest| rest.area(signs)));
            StaffColumn { staff, chords, rests, silence, ledgers, areas }
        })
        .collect();
    Column { onset, staves }
}

/// Of notes that strike together, the upper half have their ties above, the lower half below; one
/// by itself has them on the side away from its stem, or on that of its stem where other voices
/// sound on (Read, Gould). Two at one height have them apart.
fn direct_ties(chords: &mut [Chord]) {
    let mut order: Vec<usize> = (0..chords.len()).collect();
    order.sort_by_key(|place| std::cmp::Reverse(chords[*place].highest()));
    let count = order.len();
    let at_one_height = |one: usize, other: Option<&usize>| {
        other.is_some_and(|other| chords[one].highest() == chords[*other].highest())
    };
    let level: Vec<(bool, bool)> = (0..count)
        .map(|rank| {
            let before = rank.checked_sub(1).and_then(|before| order.get(before));
            (at_one_height(order[rank], order.get(rank + 1)), at_one_height(order[rank], before))
        })
        .collect();
    for (rank, place) in order.into_iter().enumerate() {
        let chord = &mut chords[place];
        chord.ties_up = match 2 * rank + 1 {
            _ if count == 1 => chord.up != chord.alone,
            _ if level[rank].0 => true,
            _ if level[rank].1 => false,
            middle if middle == count => chord.up,
            upper => upper < count,
        };
    }
}

/// For each voice with a note that sounds on the staff: its lowest and its highest place.
fn sounding(
    arrangement: &Arrangement<'_>,
    number: usize,
    staff: usize,
    cursors: &[usize],
) -> Vec<(usize, Place, Place)> {
    let bar = &arrangement.bars[number];
    let mut sounding = Vec::new();
    for (voice, cursor) in cursors.iter().enumerate() {
        let Some(segment) = bar.voices[voice].get(*cursor).filter(|s| s.staff == staff) else {
            continue;
        };
        let places = || {
            segment.notes.iter().map(|n| arrangement.staves[staff].place_of(n.pitch.tone, number))
        };
        if let (Some(low), Some(high)) = (places().min(), places().max()) {
            sounding.push((voice, low, high));
        }
    }
    sounding
}

pub(crate) fn origin(
    arrangement: &Arrangement<'_>,
    bar: usize,
    voice: usize,
    place: usize,
) -> Origin {
    let segment = &arrangement.bars[bar].voices[voice][place];
    let event = &arrangement.score.voices[voice].events[segment.event];
    Origin {
        voice,
        bar,
        bar_number: arrangement.score.bars[bar].number,
        place,
        staff: segment.staff,
        index: event.index,
        span: event.span,
        onset: segment.onset,
        end: segment.end(),
    }
}

fn head_sign(value: NoteValue) -> Sign {
    match value.power() {
        3.. => Sign::HeadMaxima,
        2 => Sign::HeadLonga,
        1 => Sign::HeadBreve,
        0 => Sign::HeadWhole,
        -1 => Sign::HeadHalf,
        _ => Sign::HeadBlack,
    }
}

fn chord(origin: Origin, segments: &[Segment], staff: &Staff, signs: &Signs) -> Chord {
    let segment = &segments[origin.place];
    let beam_span = beam_span(segments, origin.place);
    let (value, dotted) = match segment.shape {
        Shape::Plain { value, dotted } => (value, dotted),
        Shape::WholeBar { value } => (value, false),
        Shape::Unwritten => (NoteValue::QUARTER, false),
    };
    let unwritten = (segment.shape == Shape::Unwritten).then_some(segment.length);
    let head = head_sign(value);
    let width = signs.width(head);
    let up = segment.stem == Stem::Up;
    let mut notes: Vec<&score::SegmentNote> = segment.notes.iter().collect();
    notes.sort_by_key(|note| note.pitch.tone);
    let mut heads: Vec<Head> = notes
        .iter()
        .map(|note| Head {
            place: staff.place_of(note.pitch.tone, origin.bar),
            alteration: note.pitch.alteration,
            x: Sp::ZERO,
            shared: false,
        })
        .collect();
    heads::displace_seconds(&mut heads, up, width);
    let mut accidentals = Vec::new();
    let mut editorial = Vec::new();
    for (note, head) in notes.iter().zip(&heads) {
        let Some(shown) = note.accidental else { continue };
        let sign = accidental_sign(shown.alteration);
        let (x, y, place) = (head.x, y_of(head.place), head.place);
        match shown.manner {
            Manner::Editorial => editorial.push(EditorialSign { sign, place }),
            Manner::Needed => accidentals.push(AccidentalSign { sign, x, y, enclosure: None }),
            Manner::Cautionary => {
                let enclosure = Some(Enclosure::Round);
                accidentals.push(AccidentalSign { sign, x, y, enclosure });
            }
        }
    }
    let mut chord = Chord {
        origin,
        onset: segment.onset,
        head,
        width,
        x: Sp::ZERO,
        heads,
        up,
        alone: segment.alone,
        stem: None,
        flags: value.flags(),
        beams: segment.beams.iter().collect(),
        beam_span,
        ties_up: up,
        dotted,
        dots: Vec::new(),
        accidentals,
        editorial,
        supplied: None,
        brackets: Vec::new(),
        tuplet: segment.tuplet.filter(|tuplet| tuplet.shown),
        tied_before: segment.tied_before,
        tied_after: segment.tied_after,
        value,
        unwritten,
        joined: false,
        hung: false,
    };
    let has_stem = value.has_stem() && unwritten.is_none();
    if has_stem || value.power() >= 2 {
        // A longa's stem hangs from its right side (common practice of its time and of ours).
        let right = up || !has_stem;
        let x = if right { width - STEM / 2.0 } else { STEM / 2.0 };
        chord.up = up && has_stem;
        chord.stem = Some(StemSide { x, tip: stem_tip(&chord) });
    }
    chord
}

/// Where the stem of a note without beams ends.
fn stem_tip(chord: &Chord) -> Sp {
    let place = chord.outermost();
    // Steps beyond the middle line on the side to which the stem turns.
    let beyond = if chord.up { place - MIDDLE_LINE } else { MIDDLE_LINE - place };
    let mut length = STEM_LENGTH;
    if beyond > 0 {
        length = (length - STEM_SHORTENING * f64::from(beyond)).max(SHORTEST_STEM);
    }
    if !chord.is_beamed() && chord.flags > 0 {
        // Flags want room: each after the second lengthens the stem.
        length = length.max(if chord.flags == 1 { Sp(3.25) } else { Sp(3.5) });
        length += BEAM_DISTANCE * f64::from(chord.flags.saturating_sub(2) as u32);
        if chord.dotted && chord.up && place % 2 == 0 {
            length += BEAM;
        }
    }
    let from = y_of(place);
    if chord.up {
        let tip = from - length;
        // From ledger lines a stem reaches the middle line (Ross, Read, Gould).
        if chord.alone { tip.min(y_of(MIDDLE_LINE)) } else { tip }
    } else {
        let tip = from + length;
        if chord.alone { tip.max(y_of(MIDDLE_LINE)) } else { tip }
    }
}

/// When the notes under one beam begin and end, and how many they are.
fn beam_span(segments: &[Segment], place: usize) -> (Time, Time, usize) {
    let primary = |place: usize| segments[place].beams.iter().next();
    let (mut first, mut last) = (place, place);
    while first > 0 && matches!(primary(first), Some(Beam::GoesOn | Beam::Ends)) {
        first -= 1;
    }
    while last + 1 < segments.len() && matches!(primary(last), Some(Beam::Begins | Beam::GoesOn)) {
        last += 1;
    }
    (segments[first].onset, segments[last].end(), last - first)
}

pub(crate) fn accidental_sign(alteration: i8) -> Sign {
    match alteration {
        ..=-2 => Sign::DoubleFlat,
        -1 => Sign::Flat,
        0 => Sign::Natural,
        1 => Sign::Sharp,
        2.. => Sign::DoubleSharp,
    }
}

/// The ledger lines of a place outside the staff.
pub(crate) fn ledger_lines(place: Place) -> impl Iterator<Item = Place> {
    let below = place + place.rem_euclid(2)..=0;
    (12..=place).step_by(2).chain(below.step_by(2))
}

/// The number of ledger lines of a head whose middle lies so far below the highest line.
pub(crate) fn ledger_lines_at(y: Sp) -> usize {
    ledger_lines(10 - (y.0 * 2.0).round() as Place).count()
}

/// The ledger lines of all heads; where several need one, it reaches over all of them.
fn ledgers(chords: &[Chord], signs: &Signs) -> Vec<Ledger> {
    let mut ledgers: Vec<(Place, Ledger)> = Vec::new();
    for chord in chords {
        for head in &chord.heads {
            let left = head.x - LEDGER_OVERHANG;
            let right = head.x + signs.width(chord.head) + LEDGER_OVERHANG;
            for line in ledger_lines(head.place) {
                match ledgers.iter_mut().find(|(place, _)| *place == line) {
                    Some((_, ledger)) => {
                        ledger.left = ledger.left.min(left);
                        ledger.right = ledger.right.max(right);
                    }
                    None => {
                        let origin = chord.origin;
                        ledgers.push((line, Ledger { origin, y: y_of(line), left, right }));
                    }
                }
            }
        }
    }
    ledgers.into_iter().map(|(_, ledger)| ledger).collect()
}

fn areas(chords: &[Chord], rests: &[RestSign], ledgers: &[Ledger], signs: &Signs) -> Vec<Area> {
    let mut areas = Vec::new();
    for chord in chords {
        areas.extend(chord.head_areas(signs));
        areas.extend(chord.stem_area().map(|area| match (chord.is_beamed(), chord.up) {
            // Its beam may lengthen it.
            (true, true) => Area { top: area.top - Sp(2.0), ..area },
            (true, false) => Area { bottom: area.bottom + Sp(2.0), ..area },
            (false, _) => area,
        }));
        areas.extend(chord.flag_area(signs));
        areas.extend(chord.accidentals.iter().map(|sign| sign.area(signs)));
        areas.extend(chord.brackets.iter().map(|bracket| bracket.area()));
        areas.extend(chord.dots.iter().map(|(x, y)| signs.area(Sign::Dot).moved(*x, *y)));
    }
    for rest in rests.iter().filter(|rest| !rest.shared) {
        areas.push(rests::area(rest, signs));
    }
    let lines = ledgers.iter();
    areas.extend(lines.map(|l| Area::new(l.left, l.y - Sp(0.1), l.right, l.y + Sp(0.1))));
    areas
}
