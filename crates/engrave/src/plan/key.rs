//! The key of a plan: which pattern is which subject, and what is hatched.

use score::Plan;

use super::labels::LABEL;
use super::pattern;
use crate::fonts::Face;
use crate::frame::{Frame, Ink, Item, Role};
use crate::glyphs::Signs;
use crate::lettering::{CAPITAL_HEIGHT, Letterer};
use crate::units::{Area, Point, Sp};

/// How large the bars of the key are.
const WIDTH: Sp = Sp(4.0);
const HEIGHT: Sp = Sp(1.5);

/// From a bar to its words, from these to the next bar, and from one line to the next.
const AFTER_BAR: Sp = Sp(0.6);
const AFTER_WORDS: Sp = Sp(2.4);
const LINE: Sp = Sp(2.6);

/// The key in lines of that width; nothing where there are no subjects.
pub(super) fn draw(plan: &Plan, width: Sp, letterer: &Letterer, signs: &Signs) -> Option<Frame> {
    let subjects = plan.subjects.iter().enumerate();
    let mut kinds: Vec<(usize, bool, String)> = subjects
        .map(|(place, subject)| {
            (place, false, format!("{} {}", subject.name, subject.notes).trim().to_owned())
        })
        .collect();
    if let Some(inverted) = plan.entries.iter().find(|entry| entry.inverted) {
        kinds.push((inverted.subject, true, "hatched: inverted".to_owned()));
    }
    let (mut items, mut x, mut y) = (Vec::new(), Sp::ZERO, Sp::ZERO);
    for (subject, inverted, words) in kinds {
        let letters = letterer.set(&words, Face::Roman, LABEL);
        let needed = WIDTH + AFTER_BAR + letters.width;
        if x > Sp::ZERO && x + needed > width {
            (x, y) = (Sp::ZERO, y + LINE);
        }
        let area = Area::new(x, y, x + WIDTH, y + HEIGHT);
        pattern::draw(subject, inverted, area, (true, true), &mut items);
        let baseline = y + (HEIGHT + LABEL * CAPITAL_HEIGHT) / 2.0;
        let at = Point::new(x + WIDTH + AFTER_BAR, baseline);
        let ink = Ink::Letters { letters: Box::new(letters), at };
        items.push(Item { role: Role::PlanWords, of: None, ink });
        x += needed + AFTER_WORDS;
    }
    let area = items.iter().filter_map(|item| item.area(signs)).reduce(Area::and)?;
    Some(Frame { items, area: Some(area), ..Frame::default() })
}
