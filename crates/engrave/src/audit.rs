//! The audit: what an engraver would be ashamed of, found on the finished picture.
//!
//! It looks at the ink alone, and knows nothing of how things came to their places.

use crate::frame::{Block, Ink, Item, Picture, Role};
use crate::glyphs::Signs;
use crate::outline::Outline;
use crate::practice::{BEAM, SHORTEST_BEAMED_STEM, SHORTEST_STEM};
use crate::units::{Area, Mm, Point, Sp};

/// Something that should not be.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    /// What is wrong.
    pub kind: FindingKind,
    /// What it is about: one thing, or two that overlap.
    pub items: Vec<Role>,
    /// The voice to which the first of them belongs, from 0.
    pub voice: Option<usize>,
    /// The number of its note or rest in the voice, from 1.
    pub index: Option<u32>,
    /// The bar in which it stands, from 0, where it belongs to a note.
    pub bar: Option<usize>,
    /// The system, from 1; none for the title.
    pub system: Option<u32>,
}

/// What is wrong.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum FindingKind {
    /// Two things run into each other that should not.
    Overlap,
    /// A stem is shorter than published practice allows.
    ShortStem,
    /// Something stands outside of the page.
    OutsidePage,
    /// Something reaches into the margin.
    Margin,
}

/// Everything that is wrong with a picture.
///
/// Overlaps are looked for among heads, accidentals, dots, rests, flags, foreign stems, foreign
/// beams, foreign ties, words, marks and everything that stands outside the staves. Intended are: what
/// the same note has on it, a head or a stem that two voices share, and that a circle round a note
/// crosses stems and ties.
pub fn audit(picture: &Picture) -> Vec<Finding> {
    let signs = Signs::read();
    let mut findings = Vec::new();
    for block in &picture.blocks {
        out_of_bounds(picture, block, &signs, &mut findings);
        short_stems(block, &mut findings);
        overlaps(block, &signs, &mut findings);
    }
    findings
}

fn finding(kind: FindingKind, block: &Block, items: &[&Item]) -> Finding {
    let origin = items.iter().find_map(|item| item.of);
    Finding {
        kind,
        items: items.iter().map(|item| item.role).collect(),
        voice: origin.map(|origin| origin.voice),
        index: origin.and_then(|origin| origin.index),
        bar: origin.map(|origin| origin.bar),
        system: block.system(),
    }
}

/// What leaves the page, or reaches into its margin by more than a hundredth of a millimetre.
fn out_of_bounds(picture: &Picture, block: &Block, signs: &Signs, findings: &mut Vec<Finding>) {
    let mm = |length: Sp| Mm(length.0 * picture.space.0);
    for item in &block.frame.items {
        let Some(area) = item.area(signs) else { continue };
        let within = |margin: Mm| {
            block.x + mm(area.left) >= margin
                && block.y + mm(area.top) >= margin
                && block.x + mm(area.right) <= picture.width - margin
                && block.y + mm(area.bottom) <= picture.height - margin
        };
        if !within(Mm::ZERO) {
            findings.push(finding(FindingKind::OutsidePage, block, &[item]));
        } else if !within(picture.margin - Mm(0.01)) {
            findings.push(finding(FindingKind::Margin, block, &[item]));
        }
    }
}

/// Stems from the outermost head to the end.
fn short_stems(block: &Block, findings: &mut Vec<Finding>) {
    let items = &block.frame.items;
    let beams: Vec<Area> = items
        .iter()
        .filter_map(|item| match (item.role, &item.ink) {
            (Role::Beam, Ink::Shape(shape)) => Some(shape.area().grown(Sp(0.1), BEAM)),
            _ => None,
        })
        .collect();
    for (place, item) in items.iter().enumerate() {
        let (Role::Stem, Ink::Line { from, to, .. }, Some(of)) = (item.role, &item.ink, item.of)
        else {
            continue;
        };
        // The heads of a note stand just before its stem.
        let heads = items[..place].iter().rev().take_while(|other| other.of == Some(of));
        let heads = heads.filter_map(|other| match (other.role, &other.ink) {
            (Role::Head, Ink::Sign { at, .. }) => Some(at.y),
            _ => None,
        });
        let up = to.y < from.y;
        let outermost =
            heads.reduce(|one, two| if up { one.min(two) } else { one.max(two) }).unwrap_or(from.y);
        let length = (outermost - to.y).abs();
        let beamed = beams.iter().any(|beam| beam.contains(*to));
        let least = if beamed { SHORTEST_BEAMED_STEM } else { SHORTEST_STEM };
        if length < least - Sp(0.01) {
            findings.push(finding(FindingKind::ShortStem, block, &[item]));
        }
    }
}

/// An item with what is compared.
struct Body<'i> {
    item: &'i Item,
    area: Area,
    /// For ties: the points along it; for slanted beams, their corners are enough.
    points: Vec<Point>,
}

fn body<'i>(item: &'i Item, signs: &Signs) -> Option<Body<'i>> {
    let area = item.area(signs)?;
    // What is oval or hollow may come closer than its rectangle.
    let area = match item.role {
        // The sides of a breve may touch those of another a third away.
        Role::Head => {
            let high = (area.height() / 2.0 - Sp(0.44)).max(Sp::ZERO);
            area.grown(Sp(-0.13), -high)
        }
        Role::Accidental | Role::Editorial | Role::Rest => area.grown(Sp(-0.05), Sp(-0.05)),
        Role::Flag => area.grown(Sp(-0.12), Sp(-0.15)),
        Role::Dot => area.grown(Sp(-0.03), Sp(-0.03)),
        Role::Stem => area.grown(Sp::ZERO, Sp(-0.12)),
        Role::StaffLine
        | Role::LedgerLine
        | Role::SystemBracket
        | Role::Incipit
        | Role::VoiceName
        | Role::Title
        | Role::Heading
        | Role::Note
        | Role::PageHead => return None,
        _ => area.grown(Sp(-0.02), Sp(-0.02)),
    };
    let points = match (item.role, &item.ink) {
        (Role::Tie | Role::Beam, Ink::Shape(shape)) => along(shape, item.role),
        // A circle is hollow.
        (Role::MarkCircle, Ink::Shape(shape) | Ink::Painted(shape, _)) => shape.points(0),
        _ => Vec::new(),
    };
    Some(Body { item, area, points })
}

/// Points inside a tie or a beam, close enough to find every head.
fn along(shape: &Outline, role: Role) -> Vec<Point> {
    if role == Role::Tie {
        return shape.points(15);
    }
    let corners = shape.points(0);
    let [left_top, right_top, .., left_bottom] = corners.as_slice() else { return corners };
    let count = ((right_top.x - left_top.x).0 / 0.3).ceil().max(1.0) as u32;
    let height = left_bottom.y - left_top.y;
    (0..=count)
        .flat_map(|step| {
            let part = f64::from(step) / f64::from(count);
            let top = Point::new(
                left_top.x + (right_top.x - left_top.x) * part,
                left_top.y + (right_top.y - left_top.y) * part,
            );
            [0.05, 0.5, 0.95].map(|down| top.moved(Sp::ZERO, height * down))
        })
        .collect()
}

fn overlaps(block: &Block, signs: &Signs, findings: &mut Vec<Finding>) {
    let mut bodies: Vec<Body<'_>> =
        block.frame.items.iter().filter_map(|item| body(item, signs)).collect();
    bodies.sort_by(|one, two| one.area.left.0.total_cmp(&two.area.left.0));
    let mut open: Vec<usize> = Vec::new();
    for place in 0..bodies.len() {
        let left = bodies[place].area.left;
        open.retain(|other| bodies[*other].area.right > left);
        for other in &open {
            let (one, two) = (&bodies[*other], &bodies[place]);
            if one.area.meets(two.area) && collide(one, two) && !intended(one, two, &bodies) {
                let (one, two) =
                    if one.item.role <= two.item.role { (one, two) } else { (two, one) };
                findings.push(finding(FindingKind::Overlap, block, &[one.item, two.item]));
            }
        }
        open.push(place);
    }
}

/// Whether two whose rectangles meet really do, as far as their shapes tell.
fn collide(one: &Body<'_>, two: &Body<'_>) -> bool {
    let within = |curve: &Body<'_>, other: &Body<'_>| {
        curve.points.iter().any(|point| other.area.contains(*point))
    };
    match (one.points.is_empty(), two.points.is_empty()) {
        (true, true) => true,
        (false, true) => within(one, two),
        (true, false) => within(two, one),
        (false, false) if one.item.role == Role::MarkCircle => circle_meets(one, two),
        (false, false) if two.item.role == Role::MarkCircle => circle_meets(two, one),
        // Ties and beams among themselves may cross.
        (false, false) => false,
    }
}

/// Whether a circle runs over a beam, or over another circle.
fn circle_meets(circle: &Body<'_>, other: &Body<'_>) -> bool {
    /// Points of two circles that are nearer than this are on both.
    const NEAR: f64 = 0.08;
    let distance = |one: &Point, two: &Point| (one.x - two.x).0.hypot((one.y - two.y).0);
    match (&other.item.ink, other.item.role) {
        (Ink::Shape(shape), Role::Beam) => circle.points.iter().any(|point| in_beam(shape, *point)),
        _ => circle
            .points
            .iter()
            .any(|point| other.points.iter().any(|there| distance(point, there) < NEAR)),
    }
}

fn in_beam(shape: &Outline, point: Point) -> bool {
    let corners = shape.points(0);
    let [left, right, .., under] = corners.as_slice() else { return false };
    let part = (point.x - left.x) / (right.x - left.x).max(Sp(0.01));
    let top = left.y + (right.y - left.y) * part;
    (0.0..=1.0).contains(&part) && top < point.y && point.y < top + (under.y - left.y)
}

/// Whether two things are meant to touch.
fn intended(one: &Body<'_>, two: &Body<'_>, bodies: &[Body<'_>]) -> bool {
    use Role::{
        BarLine, Beam, Flag, Head, MarkCircle, MarkWords, Meter, NoteBracket, PeriodSign, Stem,
        Tie, Words,
    };
    let (first, second) = if one.item.role <= two.item.role { (one, two) } else { (two, one) };
    let same_note = first.item.of.is_some() && first.item.of == second.item.of;
    let voice = |body: &Body<'_>| body.item.of.map(|origin| origin.voice);
    match (first.item.role, second.item.role) {
        (Head, Head) => coincide(first, second),
        // Lines between the staves may be crossed, but they do not cross what a mark says.
        (BarLine, other) => other != MarkWords,
        // A stem belongs to all heads at which it may begin.
        (Head, Stem) => same_note || shares_stem(first, second, bodies),
        (Stem, Stem) => (first.area.left - second.area.left).abs() < Sp(0.02),
        (Stem, Flag) => same_note || (first.area.left - second.area.left).abs() < Sp(0.3),
        // Lines may cross lines.
        (Stem | Beam | Flag | Tie, Tie)
        | (Stem | Beam, Beam)
        | (Stem | Tie, MarkCircle)
        | (Beam, Flag)
        // Figures and signs that are one sign.
        | (Meter, Meter)
        | (PeriodSign, PeriodSign) => true,
        // A tie begins and ends at notes of its voice, or at heads that others share with it.
        (_, Tie) if voice(first) == voice(second) => true,
        (Head, Tie) => bodies.iter().any(|body| {
            body.item.role == Head && voice(body) == voice(second) && coincide(body, first)
        }),
        // Corners of one bracket.
        (NoteBracket, NoteBracket) => same_note,
        (Words, Words) => is_sign_part(first) || is_sign_part(second),
        _ => false,
    }
}

/// Whether it is part of a sign of mensuration, which is made of several.
fn is_sign_part(body: &Body<'_>) -> bool {
    !matches!(body.item.ink, Ink::Letters { .. })
}

/// Whether two heads are one for two voices.
fn coincide(one: &Body<'_>, two: &Body<'_>) -> bool {
    match (&one.item.ink, &two.item.ink) {
        (Ink::Sign { sign, at, .. }, Ink::Sign { sign: other, at: there, .. }) => {
            sign == other && (at.x - there.x).abs() < Sp(0.01) && (at.y - there.y).abs() < Sp(0.01)
        }
        _ => false,
    }
}

/// Whether a head hangs on a stem of another voice: its own stem stands there too, or the head is
/// also that of the stem's note.
fn shares_stem(head: &Body<'_>, stem: &Body<'_>, bodies: &[Body<'_>]) -> bool {
    bodies.iter().any(|other| {
        let of_head = other.item.of == head.item.of && other.item.role == Role::Stem;
        let of_stem = other.item.of == stem.item.of && other.item.role == Role::Head;
        (of_head && (other.area.left - stem.area.left).abs() < Sp(0.02) && ends_alike(other, stem))
            || (of_stem && coincide(other, head))
    })
}

/// Whether two stems end together.
fn ends_alike(one: &Body<'_>, two: &Body<'_>) -> bool {
    match (&one.item.ink, &two.item.ink) {
        (Ink::Line { to, .. }, Ink::Line { to: other, .. }) => (to.y - other.y).abs() < Sp(0.02),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{TWO_VOICES, picture};

    /// The kinds and things of what is found after something was moved.
    fn found_after(change: fn(&mut Item) -> bool) -> Vec<(FindingKind, Vec<Role>)> {
        found_in(TWO_VOICES, change)
    }

    fn found_in(text: &str, change: fn(&mut Item) -> bool) -> Vec<(FindingKind, Vec<Role>)> {
        let mut picture = picture(text);
        assert_eq!(audit(&picture), []);
        let mut items = picture.blocks.iter_mut().flat_map(|block| &mut block.frame.items);
        assert!(items.any(change), "there is nothing to change");
        audit(&picture).into_iter().map(|finding| (finding.kind, finding.items)).collect()
    }

    fn is_of(item: &Item, role: Role, voice: usize, place: usize) -> bool {
        let here = |of: crate::Origin| (of.voice, of.bar, of.place) == (voice, 0, place);
        item.role == role && item.of.is_some_and(here)
    }

    #[test]
    fn a_head_on_a_foreign_stem() {
        let found = found_after(|item| {
            let chosen = is_of(item, Role::Head, 1, 1);
            if chosen && let Ink::Sign { at, .. } = &mut item.ink {
                *at = at.moved(Sp(0.7), Sp(-3.5));
            }
            chosen
        });
        assert!(found.contains(&(FindingKind::Overlap, vec![Role::Head, Role::Stem])), "{found:?}");
    }

    #[test]
    fn a_head_on_a_foreign_head() {
        let found = found_after(|item| {
            let chosen = is_of(item, Role::Head, 1, 0);
            if chosen && let Ink::Sign { at, .. } = &mut item.ink {
                at.y -= Sp(1.75);
            }
            chosen
        });
        assert!(found.contains(&(FindingKind::Overlap, vec![Role::Head, Role::Head])), "{found:?}");
    }

    #[test]
    fn a_stem_that_is_too_short() {
        let found = found_after(|item| {
            let chosen = is_of(item, Role::Stem, 0, 0);
            if chosen && let Ink::Line { from, to, .. } = &mut item.ink {
                to.y = from.y - Sp(1.5);
            }
            chosen
        });
        assert_eq!(found, [(FindingKind::ShortStem, vec![Role::Stem])]);
    }

    #[test]
    fn something_outside_the_page() {
        let found = found_after(|item| {
            let chosen = item.role == Role::Title;
            if chosen && let Ink::Letters { at, .. } = &mut item.ink {
                at.x = Sp(-40.0);
            }
            chosen
        });
        assert_eq!(found, [(FindingKind::OutsidePage, vec![Role::Title])]);
    }

    #[test]
    fn something_in_the_margin() {
        let found = found_after(|item| {
            let chosen = item.role == Role::Title;
            if chosen && let Ink::Letters { at, .. } = &mut item.ink {
                at.x = Sp(-3.0);
            }
            chosen
        });
        assert_eq!(found, [(FindingKind::Margin, vec![Role::Title])]);
    }

    const MARKED: &str = "\
mark Cantus 2 circle red
mark Cantus 6 circle
mark Cantus 4-7 blue \"soggetto\"
mark Altus 4 arrow \"sic\"
voice Cantus  clef C1
  mn A4 B C#5 D fu E D E F sm E F sb G lg F
voice Altus  clef C3
  mn D4 E F E sb C E lg D
";

    /// What is found after all that has one role was moved.
    fn found_of_marks(role: Role, right: f64, down: f64) -> Vec<Vec<Role>> {
        let mut picture = picture(MARKED);
        assert_eq!(audit(&picture), []);
        let items = picture.blocks.iter_mut().flat_map(|block| &mut block.frame.items);
        let mut moved = 0;
        for item in items.filter(|item| item.role == role) {
            *item = item.clone().moved(Sp(right), Sp(down));
            moved += 1;
        }
        assert!(moved > 0, "there is nothing to move");
        audit(&picture).into_iter().map(|finding| finding.items).collect()
    }

    #[test]
    fn a_circle_on_a_head_or_a_beam_or_an_accidental() {
        let on_head = found_of_marks(Role::MarkCircle, 0.0, 0.8);
        assert!(on_head.contains(&vec![Role::Head, Role::MarkCircle]), "{on_head:?}");
        let on_beam = found_of_marks(Role::MarkCircle, 0.0, 4.4);
        assert!(on_beam.contains(&vec![Role::Beam, Role::MarkCircle]), "{on_beam:?}");
        let beside = found_in(MARKED, |item| {
            let chosen = item.role == Role::Accidental;
            if chosen && let Ink::Sign { at, .. } = &mut item.ink {
                at.x -= Sp(5.4);
            }
            chosen
        });
        let wanted = (FindingKind::Overlap, vec![Role::Accidental, Role::MarkCircle]);
        assert!(beside.contains(&wanted), "{beside:?}");
    }

    #[test]
    fn words_of_a_mark_on_its_bracket_or_on_the_notes() {
        let on_bracket = found_of_marks(Role::MarkWords, 0.0, 1.0);
        assert!(on_bracket.contains(&vec![Role::Mark, Role::MarkWords]), "{on_bracket:?}");
        let on_heads = found_of_marks(Role::MarkWords, 0.0, 5.5);
        assert!(on_heads.iter().any(|items| items[0] < Role::Mark), "{on_heads:?}");
    }

    #[test]
    fn a_bar_line_through_the_words_of_a_mark() {
        let found = found_of_marks(Role::MarkWords, 7.3, 0.0);
        assert!(found.contains(&vec![Role::BarLine, Role::MarkWords]), "{found:?}");
    }

    #[test]
    fn a_bracket_or_an_arrow_of_a_mark_on_the_notes() {
        let found = found_of_marks(Role::Mark, 0.0, 8.2);
        assert!(found.contains(&vec![Role::Beam, Role::Mark]), "{found:?}");
        let found = found_of_marks(Role::Mark, 0.0, -4.0);
        assert!(found.contains(&vec![Role::Head, Role::Mark]), "{found:?}");
    }
}
