//! Notes and rests with all that belongs to one of them; beams and ties.

use std::collections::HashMap;

use rudiments::Time;

use super::beams;
use super::draft::StaffDraft;
use super::ties::{Arc, Ends, is_upwards};
use super::voice_line::{PlacedSilence, VoiceLine};
use super::{Workshop, beams::Group};
use crate::column::{
    AROUND_ACCIDENTAL, AccidentalSign, Chord, ENCLOSED, ENCLOSURE, Enclosure, NoteBracket,
    around_rest, flag, y_of,
};
use crate::drawn;
use crate::fonts::Face;
use crate::frame::{Ink, Item, Origin, Role};
use crate::glyphs::Sign;
use crate::practice::{FLAG_SIZE, LEDGER_LINE, STEM, STEM_BEGINS};
use crate::units::{Area, Point, Sp};

/// Draws all notes and rests of a system.
pub(super) fn draw(
    workshop: &Workshop<'_>,
    lines: &mut [VoiceLine],
    drafts: &mut [StaffDraft<'_>],
) {
    let beams = draw_beams(lines, drafts);
    clear_rests(lines, drafts, &beams);
    for line in lines.iter() {
        for (staff, ledger) in &line.ledgers {
            let (from, to) =
                (Point::new(ledger.left, ledger.y), Point::new(ledger.right, ledger.y));
            drafts[*staff].line(Role::LedgerLine, Some(ledger.origin), from, to, LEDGER_LINE);
        }
    }
    for line in lines.iter() {
        for chord in &line.chords {
            draw_chord(workshop, chord, &mut drafts[chord.origin.staff]);
        }
        for placed in &line.rests {
            let (rest, of) = (&placed.rest, Some(placed.rest.origin));
            let draft = &mut drafts[rest.origin.staff];
            if rest.shared {
                draft.items.push(Item { role: Role::Rest, of, ink: Ink::Shared });
                continue;
            }
            draft.sign(Role::Rest, of, rest.sign, placed.x, rest.y);
            for bracket in around_rest(rest, placed.x, draft.signs) {
                draw_bracket(bracket, of, draft);
            }
            let width = draft.signs.width(rest.sign);
            if rest.dotted {
                draw_rest_dot(rest.sign, of, placed.x, rest.y, draft);
            }
            // A rest that hangs from or stands on a line outside the staff brings it along.
            let outside = rest.y < Sp::ZERO || rest.y > Sp(4.0);
            if outside && matches!(rest.sign, Sign::RestWhole | Sign::RestHalf) {
                let from = Point::new(placed.x - Sp(0.3), rest.y);
                let to = Point::new(placed.x + width + Sp(0.3), rest.y);
                draft.line(Role::LedgerLine, of, from, to, LEDGER_LINE);
            }
        }
    }
}

fn draw_rest_dot(sign: Sign, of: Option<Origin>, x: Sp, y: Sp, draft: &mut StaffDraft<'_>) {
    let y = if sign == Sign::RestWhole { y + Sp(0.5) } else { y - Sp(0.5) };
    let x = x + draft.signs.width(sign) + Sp(0.3);
    draft.sign(Role::Dot, of, Sign::Dot, x, y);
}

/// Draws the rests that belong to no voice.
pub(super) fn draw_silences(silences: &[PlacedSilence], drafts: &mut [StaffDraft<'_>]) {
    for PlacedSilence { staff, x, rest } in silences {
        let draft = &mut drafts[*staff];
        draft.sign(Role::Rest, None, rest.sign, *x, rest.y);
        if rest.dotted {
            draw_rest_dot(rest.sign, None, *x, rest.y, draft);
        }
    }
}

/// An accidental, with what encloses it.
fn draw_accidental(shown: &AccidentalSign, of: Option<Origin>, draft: &mut StaffDraft<'_>) {
    let AccidentalSign { sign, x, y, enclosure } = *shown;
    let Some(enclosure) = enclosure else {
        draft.sign(Role::Accidental, of, sign, x, y);
        return;
    };
    let role = if enclosure == Enclosure::Square { Role::Editorial } else { Role::Accidental };
    draft.scaled(role, of, sign, Point::new(x + ENCLOSURE, y), ENCLOSED);
    let right = shown.area(draft.signs).right - ENCLOSURE;
    for (x, opens) in [(x, true), (right, false)] {
        let outline = match enclosure {
            Enclosure::Round => drawn::parenthesis(opens, ENCLOSURE.0, AROUND_ACCIDENTAL.0),
            Enclosure::Square => drawn::square_bracket(opens, ENCLOSURE.0, AROUND_ACCIDENTAL.0),
        };
        draft.shape(Role::Enclosure, of, outline.moved(x, y));
    }
}

/// A bracket of what was supplied.
fn draw_bracket(bracket: NoteBracket, of: Option<Origin>, draft: &mut StaffDraft<'_>) {
    let NoteBracket { opens, x, top, bottom } = bracket;
    let half = (bottom - top) / 2.0;
    let outline = drawn::square_bracket(opens, ENCLOSURE.0, half.0);
    draft.shape(Role::Enclosure, of, outline.moved(x, top + half));
}

fn draw_chord(workshop: &Workshop<'_>, chord: &Chord, draft: &mut StaffDraft<'_>) {
    let of = Some(chord.origin);
    for sign in &chord.accidentals {
        draw_accidental(sign, of, draft);
    }
    for bracket in &chord.brackets {
        draw_bracket(*bracket, of, draft);
    }
    for head in &chord.heads {
        // A shared head is drawn by both voices, so that each note has one.
        draft.sign(Role::Head, of, chord.head, head.x, y_of(head.place));
    }
    for (x, y) in &chord.dots {
        draft.sign(Role::Dot, of, Sign::Dot, *x, *y);
    }
    if let Some(stem) = chord.stem {
        let inside = if chord.up { -STEM_BEGINS } else { STEM_BEGINS };
        let from = Point::new(stem.x, y_of(chord.innermost()) + inside);
        draft.line(Role::Stem, of, from, Point::new(stem.x, stem.tip), STEM);
        if chord.flags > 0 && chord.beams.is_empty() && !chord.joined {
            let at = Point::new(stem.x - STEM / 2.0, stem.tip);
            let (sign, flipped) = (flag(chord.flags), !chord.up);
            draft.put(Item {
                role: Role::Flag,
                of,
                ink: Ink::Sign { sign, at, scale: FLAG_SIZE, flipped },
            });
        }
    }
    if let Some(length) = chord.unwritten {
        let letters = workshop.letterer.set(&length.to_string(), Face::Italic, Sp(1.7));
        let area = Area::new(chord.x, Sp(-1.1), chord.x + letters.width, Sp::ZERO);
        let y = draft.outside(super::draft::Side::Above, area);
        let at = Point::new(chord.x, y);
        draft.put(Item {
            role: Role::Words,
            of,
            ink: Ink::Letters { letters: letters.into(), at },
        });
    }
}

/// Finds the height of every beam, lets the stems end there, and draws the beams.
///
/// The rectangles that they fill, slice by slice, for each staff.
fn draw_beams(lines: &mut [VoiceLine], drafts: &mut [StaffDraft<'_>]) -> Vec<Vec<Area>> {
    let mut drawn: Vec<Vec<Area>> = vec![Vec::new(); drafts.len()];
    let mut groups: Vec<(usize, Group)> = Vec::new();
    for (voice, line) in lines.iter().enumerate() {
        groups.extend(beams::groups(line).into_iter().map(|group| (voice, group)));
    }
    if groups.is_empty() {
        return drawn;
    }
    let heads = heads_of_staves(lines, drafts);
    let hung = hung(lines);
    // Groups of one rhythm on one staff whose stems are common have their beams in common.
    let key = |lines: &[VoiceLine], voice: usize, group: &Group| {
        let first = &lines[voice].chords[group.members[0]];
        (first.origin.staff, first.up, first.onset, group.members.len())
    };
    let mut common: HashMap<_, Vec<usize>> = HashMap::new();
    for (place, (voice, group)) in groups.iter().enumerate() {
        common.entry(key(lines, *voice, group)).or_default().push(place);
    }
    for (place, (voice, group)) in groups.iter().enumerate() {
        let together: Vec<usize> = common[&key(lines, *voice, group)]
            .iter()
            .copied()
            .filter(|other| on_one_stem(lines, &groups[place], &groups[*other]))
            .collect();
        if together.first() != Some(&place) {
            continue;
        }
        // All heads on the common stems, as one chord's.
        let mut outer = place;
        for other in &together {
            let sum = |place: usize| -> i32 {
                let (voice, group) = &groups[place];
                let chords = group.members.iter().map(|member| &lines[*voice].chords[*member]);
                chords.map(|chord| if chord.up { chord.highest() } else { -chord.lowest() }).sum()
            };
            if sum(*other) > sum(outer) {
                outer = *other;
            }
        }
        let (outer_voice, outer_group) = &groups[outer];
        let chords: Vec<&Chord> =
            outer_group.members.iter().map(|member| &lines[*outer_voice].chords[*member]).collect();
        let mut inner: Vec<(Sp, i32)> = together
            .iter()
            .filter(|other| **other != outer)
            .flat_map(|other| {
                let (voice, group) = &groups[*other];
                group.members.iter().map(|member| on_stem(&lines[*voice].chords[*member]))
            })
            .collect();
        let staff = chords[0].origin.staff;
        let hanging: Vec<(usize, usize)> = chords
            .iter()
            .flat_map(|chord| hung.get(&(staff, chord.up, chord.onset)).into_iter().flatten())
            .copied()
            .collect();
        inner.extend(hanging.iter().map(|(voice, place)| on_stem(&lines[*voice].chords[*place])));
        let (from, to) = (chords[0].x, chords[chords.len() - 1].x + Sp(1.5));
        let mut own: Vec<usize> = together.iter().map(|other| groups[*other].0).collect();
        own.extend(hanging.iter().map(|(voice, _)| *voice));
        let foreign: Vec<Area> = heads[staff]
            .iter()
            .filter(|other| {
                !(other.is_head && own.contains(&other.voice))
                    && other.area.right > from
                    && other.area.left < to
            })
            .map(|other| other.area)
            .collect();
        let Some(slant) = beams::slant(&chords, &inner, &foreign) else { continue };
        let of = Some(chords[0].origin);
        for outline in beams::outlines(&chords, slant) {
            drawn[staff].extend(beams::slices(&outline));
            drafts[staff].shape(Role::Beam, of, outline);
        }
        for other in &together {
            let (voice, group) = &groups[*other];
            beams::set_tips(&mut lines[*voice], &group.members, slant);
        }
        for (voice, place) in &hanging {
            beams::set_tips(&mut lines[*voice], &[*place], slant);
        }
    }
    drawn
}

/// Where the stem of a chord stands, and the head from which it begins to be free.
fn on_stem(chord: &Chord) -> (Sp, i32) {
    (chord.stem.map_or(chord.x, |stem| stem.x), chord.outermost())
}

/// The chords that hang on a stem with a beam of another voice, as voice and place in its line: by
/// staff, side and time.
fn hung(lines: &[VoiceLine]) -> HashMap<(usize, bool, Time), Vec<(usize, usize)>> {
    let mut hung: HashMap<_, Vec<(usize, usize)>> = HashMap::new();
    for (voice, line) in lines.iter().enumerate() {
        for (place, chord) in line.chords.iter().enumerate().filter(|(_, chord)| chord.hung) {
            hung.entry((chord.origin.staff, chord.up, chord.onset))
                .or_default()
                .push((voice, place));
        }
    }
    hung
}

/// Moves rests on, away from the middle of the staff, until they are clear of all beams, and of
/// the stems that these have lengthened.
fn clear_rests(lines: &mut [VoiceLine], drafts: &[StaffDraft<'_>], beams: &[Vec<Area>]) {
    let mut obstacles: Vec<Vec<Area>> = beams.to_vec();
    for chord in lines.iter().flat_map(|line| &line.chords) {
        obstacles[chord.origin.staff].extend(chord.stem_area());
    }
    for of_staff in &mut obstacles {
        of_staff.sort_by(|one, two| one.left.0.total_cmp(&two.left.0));
    }
    let mut settled: Vec<Vec<Area>> = vec![Vec::new(); drafts.len()];
    for placed in lines.iter_mut().flat_map(|line| &mut line.rests) {
        let staff = placed.rest.origin.staff;
        if placed.rest.shared || placed.rest.alone {
            continue;
        }
        let signs = drafts[staff].signs;
        let step = if placed.rest.up { Sp(-1.0) } else { Sp(1.0) };
        for _ in 0..8 {
            let area = signs.area(placed.rest.sign).moved(placed.x, placed.rest.y);
            let area = area.grown(Sp(0.1), Sp(0.2));
            let first = obstacles[staff].partition_point(|other| other.left < area.left - Sp(1.0));
            let near = obstacles[staff][first..].iter();
            let mut near = near.take_while(|other| other.left < area.right).chain(&settled[staff]);
            if !near.any(|other| other.meets(area)) {
                break;
            }
            placed.rest.y += step;
        }
        placed.rest.settle(signs);
        if placed.rest.shared {
            continue;
        }
        settled[staff].push(signs.area(placed.rest.sign).moved(placed.x, placed.rest.y));
    }
}

/// Whether two groups stand on the same stems all along.
fn on_one_stem(lines: &[VoiceLine], one: &(usize, Group), two: &(usize, Group)) -> bool {
    let chords = |(voice, group): &(usize, Group)| {
        group.members.iter().map(|member| &lines[*voice].chords[*member]).collect::<Vec<_>>()
    };
    chords(one).iter().zip(chords(two)).all(|(one, two)| {
        let at = |chord: &Chord| chord.stem.map_or(Sp::ZERO, |stem| stem.x);
        (at(one) - at(two)).abs() < Sp(0.01) && one.beams == two.beams && one.onset == two.onset
    })
}

/// Something of a voice that beams and ties are not to strike.
struct Obstacle {
    voice: usize,
    is_head: bool,
    is_accidental: bool,
    area: Area,
}

/// Heads, accidentals, dots and rests on each staff, from left to right in each voice.
fn heads_of_staves(lines: &[VoiceLine], drafts: &[StaffDraft<'_>]) -> Vec<Vec<Obstacle>> {
    let mut heads: Vec<Vec<Obstacle>> = drafts.iter().map(|_| Vec::new()).collect();
    for (voice, line) in lines.iter().enumerate() {
        for chord in &line.chords {
            let staff = chord.origin.staff;
            let signs = drafts[staff].signs;
            let area = signs.area(chord.head);
            for head in &chord.heads {
                let area = area.moved(head.x, y_of(head.place));
                heads[staff].push(Obstacle { voice, is_head: true, is_accidental: false, area });
            }
            for sign in &chord.accidentals {
                let area = sign.area(signs);
                heads[staff].push(Obstacle { voice, is_head: false, is_accidental: true, area });
            }
            for (x, y) in &chord.dots {
                let area = signs.area(Sign::Dot).moved(*x, *y);
                heads[staff].push(Obstacle { voice, is_head: false, is_accidental: false, area });
            }
        }
        for rest in line.rests.iter().filter(|rest| !rest.rest.shared) {
            let staff = rest.rest.origin.staff;
            let area = drafts[staff].signs.area(rest.rest.sign).moved(rest.x, rest.rest.y);
            heads[staff].push(Obstacle { voice, is_head: false, is_accidental: false, area });
        }
    }
    heads
}

/// Draws the ties of a system; `room` is where it has music, from its opening to its end.
pub(super) fn draw_ties(lines: &[VoiceLine], drafts: &mut [StaffDraft<'_>], room: (Sp, Sp)) {
    let mut obstacles = heads_of_staves(lines, drafts);
    for of_staff in &mut obstacles {
        of_staff.sort_by(|one, two| one.area.left.0.total_cmp(&two.area.left.0));
    }
    let mut crossed = stems_of_staves(lines, drafts.len());
    for line in lines {
        for (place, chord) in line.chords.iter().enumerate() {
            let next = line.chords.get(place + 1);
            if chord.tied_before && place == 0 {
                for head in &chord.heads {
                    let ends = Ends {
                        before: None,
                        after: Some(chord),
                        place: head.place,
                        room,
                        accidentals: None,
                    };
                    tie(chord, &ends, &obstacles, &mut crossed, drafts);
                }
            }
            if chord.tied_after {
                // A tie that changes the staff ends in the air, as one at a system's end does.
                let after = next.filter(|next| next.origin.staff == chord.origin.staff);
                let end = if next.is_some() && after.is_none() {
                    chord.x + Sp(4.0)
                } else {
                    room.1 - Sp(0.2)
                };
                for head in &chord.heads {
                    let room = (room.0, end);
                    let ends = Ends {
                        before: Some(chord),
                        after,
                        place: head.place,
                        room,
                        accidentals: None,
                    };
                    tie(chord, &ends, &obstacles, &mut crossed, drafts);
                }
            }
        }
    }
    for (crossed, draft) in crossed.iter().zip(drafts) {
        for tie in &crossed.ties {
            draft.shape(Role::Tie, Some(tie.chord.origin), tie.arc.outline());
        }
    }
}

/// A tie, and what may not be in its way.
struct Tie<'c> {
    chord: &'c Chord,
    ends: Ends<'c>,
    obstacles: Vec<Area>,
    arc: Arc,
}

/// How far a tie may reach over the heads at its ends.
const AT_HEADS: Sp = Sp(1.5);

/// What a tie may run through on a staff but rather does not.
#[derive(Default)]
struct Crossed<'c> {
    /// Stems with their voices, from left to right.
    stems: Vec<(usize, Area)>,
    /// The ties so far.
    ties: Vec<Tie<'c>>,
}

impl<'c> Crossed<'c> {
    /// How a tie runs among the others of the staff, of which one may be itself, as it was; and whether
    /// it is clear of them and of the obstacles.
    fn arc(
        &self,
        chord: &Chord,
        ends: &Ends<'_>,
        obstacles: &[Area],
        itself: Option<usize>,
    ) -> Option<(Arc, bool)> {
        let left = ends.before.map_or(ends.room.0, |chord| chord.x + chord.width);
        let right = ends.after.map_or(ends.room.1, |chord| chord.x);
        let [ties, stems] = self.between(chord.origin.voice, left, right, itself);
        ends.arc(is_upwards(chord, ends.place), obstacles, &ties, &stems)
    }

    /// Adds a tie. If it has no way of its own, a tie that is in its way takes another, if it has one.
    fn add(&mut self, chord: &'c Chord, ends: Ends<'c>, obstacles: Vec<Area>) {
        let Some((arc, is_clear)) = self.arc(chord, &ends, &obstacles, None) else { return };
        self.ties.push(Tie { chord, ends, obstacles, arc });
        if is_clear {
            return;
        }
        for other in 0..self.ties.len() - 1 {
            let tie = &self.ties[other];
            if arc.merges(&tie.arc)
                && let Some((arc, true)) =
                    self.arc(tie.chord, &tie.ends, &tie.obstacles, Some(other))
            {
                self.ties[other].arc = arc;
            }
        }
    }

    /// The ties and the stems that there are for a tie of a voice between two places.
    fn between(&self, voice: usize, left: Sp, right: Sp, itself: Option<usize>) -> [Vec<Area>; 2] {
        let first = self.stems.partition_point(|(_, area)| area.right <= left);
        let stems = self.stems[first..].iter().take_while(|(_, area)| area.left < right);
        let stems = stems.filter(|(of, _)| *of != voice).map(|(_, area)| *area);
        let others = self.ties.iter().enumerate().filter(|(place, tie)| {
            Some(*place) != itself && tie.arc.is_between(left - AT_HEADS, right + AT_HEADS)
        });
        let ties = others.flat_map(|(_, tie)| tie.arc.slices());
        [ties.collect(), stems.collect()]
    }
}

/// The stems of each staff.
fn stems_of_staves<'c>(lines: &[VoiceLine], staves: usize) -> Vec<Crossed<'c>> {
    let mut crossed: Vec<Crossed<'_>> = (0..staves).map(|_| Crossed::default()).collect();
    for (voice, line) in lines.iter().enumerate() {
        for chord in &line.chords {
            let stem = chord.stem_area().map(|area| (voice, area));
            crossed[chord.origin.staff].stems.extend(stem);
        }
    }
    for of_staff in &mut crossed {
        of_staff.stems.sort_by(|one, two| one.1.left.0.total_cmp(&two.1.left.0));
    }
    crossed
}

/// Finds the way of a tie.
fn tie<'c>(
    chord: &'c Chord,
    ends: &Ends<'c>,
    obstacles: &[Vec<Obstacle>],
    crossed: &mut [Crossed<'c>],
    drafts: &[StaffDraft<'_>],
) {
    let staff = chord.origin.staff;
    let from = ends.before.map_or(ends.room.0, |chord| chord.x) - Sp(3.0);
    let to = ends.after.map_or(ends.room.1, |chord| chord.x + chord.width) + Sp(1.0);
    let of_staff = &obstacles[staff];
    let first = of_staff.partition_point(|other| other.area.left < from);
    let last = of_staff.partition_point(|other| other.area.left < to);
    // Its own voice, and heads that others share with it, are not in its way.
    let own = |area: &Area| {
        let ends = ends.before.into_iter().chain(ends.after);
        let mut heads = ends.flat_map(|chord| chord.head_areas(drafts[staff].signs));
        heads.any(|head| (head.left - area.left).abs() < Sp(0.01) && head.top == area.top)
    };
    let near: Vec<Area> = of_staff[first..last]
        .iter()
        .filter(|other| other.voice != chord.origin.voice && !own(&other.area))
        .map(|other| other.area)
        .collect();
    let accidentals = ends.after.and_then(|after| {
        let before = of_staff[first..last].iter().filter(|other| other.is_accidental);
        let here =
            before.filter(|other| other.area.left < after.x && after.x - Sp(4.0) < other.area.left);
        here.map(|other| other.area.left).reduce(Sp::min)
    });
    crossed[staff].add(chord, Ends { accidentals, ..*ends }, near);
}
