//! The figures between the upper two staves: the intervals of two voices.

use score::Figure;

use super::Workshop;
use super::draft::StaffDraft;
use super::moments::Moments;
use crate::fonts::Face;
use crate::frame::{Ink, Item, Role};
use crate::lettering::{CAPITAL_HEIGHT, Lettering};
use crate::practice::{BETWEEN_VOICE_STAVES, OUTSIDE_GAP, STAFF};
use crate::units::{Area, Point, Sp};

/// The size of figures.
const SIZE: Sp = Sp(2.3);

/// Between two figures, at least, and from a figure to the line that leads to the next.
const BETWEEN: Sp = Sp(0.3);

/// How thick that line is, and how long at least: a shorter one is not seen.
const LINE: Sp = Sp(0.14);
const SHORTEST: Sp = Sp(0.5);

/// Draws the figures of a system in one row under the upper staff. One for whose moment nothing
/// begins is left out, as there is no place for it.
pub(super) fn draw(workshop: &Workshop<'_>, moments: &Moments, drafts: &mut [StaffDraft<'_>]) {
    let figures = &workshop.arrangement.score.annotations.figures;
    let (Some((first, last)), [upper, ..]) = (moments.span(), drafts) else { return };
    let begun = figures.partition_point(|figure| figure.at < first);
    let placed: Vec<(&Figure, Lettering, Sp)> = figures[begun..]
        .iter()
        .take_while(|figure| figure.at < last)
        .filter_map(|figure| {
            let letters = workshop.letterer.set(&figure.text, Face::Roman, SIZE);
            let left = moments.middle(figure.at)? - letters.width / 2.0;
            Some((figure, letters, left))
        })
        .collect();
    let height = SIZE * CAPITAL_HEIGHT;
    let reach = |(_, letters, left): &(&Figure, Lettering, Sp)| {
        upper.below.reach(*left - BETWEEN, *left + letters.width + BETWEEN) + OUTSIDE_GAP
    };
    let Some(lowest) = placed.iter().map(reach).reduce(Sp::max) else { return };
    // In the middle between the staves, if nothing hangs down so far.
    let top = lowest.max(STAFF + (BETWEEN_VOICE_STAVES - height) / 2.0);
    let baseline = top + height;
    for (place, (figure, letters, left)) in placed.iter().enumerate() {
        let at = Point::new(*left, baseline);
        let ink = Ink::Letters { letters: Box::new(letters.clone()), at };
        upper.put(Item { role: Role::Figure, of: None, ink });
        let Some((_, _, next)) = placed.get(place + 1).filter(|_| figure.leads_on) else {
            continue;
        };
        let (from, to) = (*left + letters.width + BETWEEN, *next - BETWEEN);
        if to - from >= SHORTEST {
            let y = baseline - height / 2.0;
            upper.line(Role::Figure, None, Point::new(from, y), Point::new(to, y), LINE);
        }
    }
    // The other staff keeps clear of the whole row.
    if let (Some((_, _, left)), Some((_, letters, right))) = (placed.first(), placed.last()) {
        let row = Area::new(*left, top, *right + letters.width, baseline);
        upper.below.raise(row.left, row.right, row.bottom);
    }
}

#[cfg(test)]
mod tests {
    use rudiments::Time;
    use score::{BarLength, Options, Score, Shade, Staves, align, arrange, reckon};

    use super::*;
    use crate::{Look, Picture, audit, engrave};

    /// A cadence of two voices with its figures, and with what is shaded.
    fn cadence(shades: &[(i64, i64)]) -> Score {
        let text = "voice Cantus clef C1\n mn A4 sb D5 mn C[#] lg D5\n\
                    voice Tenor clef C4\n mn F3 F3 sb E3 lg D3\n";
        let piece = notation::parse(text).piece;
        let mut score = align(&piece, reckon(&piece), BarLength::Breve).score;
        score.annotations.figures = score.interval_figures(0, 1);
        let shade =
            |(from, to): &(i64, i64)| Shade { from: Time::minims(*from), to: Time::minims(*to) };
        score.annotations.shades = shades.iter().map(shade).collect();
        score
    }

    fn drawn(score: &Score) -> Picture {
        let open = Options { staves: Staves::Open, ..Options::default() };
        engrave(&arrange(score, open), &Look::default())
    }

    fn of_role(picture: &Picture, role: Role) -> Vec<Item> {
        let items = picture.blocks.iter().flat_map(|block| &block.frame.items);
        items.filter(|item| item.role == role).cloned().collect()
    }

    fn found(picture: &Picture) -> Vec<Vec<Role>> {
        audit(picture).into_iter().map(|finding| finding.items).collect()
    }

    #[test]
    fn figures_stand_in_a_row_and_lead_on() {
        let picture = drawn(&cadence(&[]));
        let (mut said, mut lines, mut rows) = (String::new(), 0, Vec::new());
        for item in of_role(&picture, Role::Figure) {
            match item.ink {
                Ink::Letters { letters, at } => {
                    said += &letters.text;
                    rows.push(at.y);
                }
                _ => lines += 1,
            }
        }
        assert_eq!((said.as_str(), lines), ("36768", 1));
        assert!(rows.iter().all(|row| *row == rows[0]));
        assert_eq!(audit(&picture), []);
    }

    #[test]
    fn the_audit_sees_a_figure_on_a_note() {
        let mut picture = drawn(&cadence(&[]));
        for item in picture.blocks.iter_mut().flat_map(|block| &mut block.frame.items) {
            if item.role == Role::Figure {
                *item = item.clone().moved(Sp::ZERO, Sp(-4.5));
            }
        }
        assert!(found(&picture).iter().any(|items| items.contains(&Role::Figure)));
    }

    #[test]
    fn what_is_shaded_ends_before_the_goal() {
        let picture = drawn(&cadence(&[(2, 4)]));
        assert_eq!(audit(&picture), []);
        let signs = crate::Signs::all();
        let shade = of_role(&picture, Role::Shade)[0].area(signs).unwrap();
        let heads: Vec<Area> =
            of_role(&picture, Role::Head).iter().filter_map(|head| head.area(signs)).collect();
        let inside = |head: &&Area| shade.left < head.left && head.right < shade.right;
        // The leading note, and the tenor's; the dissonance that is held was struck before.
        assert_eq!(heads.iter().filter(inside).count(), 2);
        assert_eq!(picture.blocks[0].frame.items[0].role, Role::Shade, "it lies behind all else");
    }

    #[test]
    fn what_is_shaded_twice_is_not_darker() {
        let picture = drawn(&cadence(&[(2, 4), (1, 3), (2, 4)]));
        assert_eq!((of_role(&picture, Role::Shade).len(), audit(&picture)), (2, Vec::new()));
        // One that lies over another would be.
        let mut twice = picture.clone();
        let items = &mut twice.blocks[0].frame.items;
        let again = items[0].clone();
        items.insert(0, again);
        assert_eq!(found(&twice), [[Role::Shade, Role::Shade]]);
    }
}
