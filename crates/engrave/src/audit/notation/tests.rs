//! Faults that are planted, so that they are seen to be found.

use super::super::{audit, measures};
use rudiments::Time;

use super::*;
use crate::frame::Picture;
use crate::testing::picture;

/// Two voices for each hand: a beam, a rest that stands for both of the left, one that is left
/// out, a tie, and breves at the end.
const FOUR: &str = "\
voice Cantus  clef C1
  fu C5 D E D sb E mn D br D5
voice Altus  clef C1
  mn A4 sb G4 br A4 mn F A4
voice Tenor  clef F4
  mn E3 _ C D br D3
voice Bassus  clef F4
  mn A2 _*2 G2 br D
";

/// What is found in the four voices, each kind once, after items were changed.
fn found(change: impl FnOnce(&mut Vec<Item>)) -> Vec<FindingKind> {
    found_in(FOUR, change)
}

fn found_in(text: &str, change: impl FnOnce(&mut Vec<Item>)) -> Vec<FindingKind> {
    let mut picture = picture(text);
    let before = counts(&picture);
    assert_eq!(audit(&picture), []);
    let system = picture.blocks.iter_mut().find(|block| block.system().is_some());
    change(&mut system.unwrap().frame.items);
    let after = counts(&picture);
    let more = before.iter().zip(after).filter(|(one, two)| two.1 > one.1);
    more.map(|(_, (kind, _))| kind).collect()
}

fn counts(picture: &Picture) -> Vec<(FindingKind, u32)> {
    measures(picture).into_iter().map(|measure| (measure.kind, measure.found)).collect()
}

fn is_of(item: &Item, role: Role, voice: usize, bar: usize, place: usize) -> bool {
    let here = item.of.is_some_and(|of| (of.voice, of.bar, of.place) == (voice, bar, place));
    item.role == role && here
}

/// Moves all of a note that has one of the roles.
fn shift(
    items: &mut [Item],
    roles: &[Role],
    (voice, bar, place): (usize, usize, usize),
    x: f64,
    y: f64,
) {
    let mut moved = 0;
    for item in items {
        if roles.iter().any(|role| is_of(item, *role, voice, bar, place)) {
            *item = item.clone().moved(Sp(x), Sp(y));
            moved += 1;
        }
    }
    assert!(moved > 0, "there is nothing to move");
}

const NOTE: &[Role] = &[Role::Head, Role::Stem];

#[test]
fn an_attack_that_is_torn() {
    let torn = found(|items| shift(items, NOTE, (1, 0, 0), 0.4, 0.0));
    assert_eq!(torn, [FindingKind::TornAttack]);
    let wide = found(|items| shift(items, NOTE, (1, 0, 0), -1.5, 0.0));
    assert_eq!(wide, [FindingKind::TornAttack, FindingKind::WideAttack]);
}

#[test]
fn stems_against_the_order_of_pitch() {
    let turned = found(|items| {
        for item in items {
            for (voice, place, by) in [(0, 5, 7.0), (1, 2, -7.0)] {
                let chosen = is_of(item, Role::Stem, voice, 0, place);
                if let (true, Ink::Line { to, .. }) = (chosen, &mut item.ink) {
                    to.y += Sp(by);
                }
            }
        }
    });
    // The tie of the one that is turned up lies in its way.
    assert_eq!(turned, [FindingKind::StemAgainstOrder, FindingKind::StemInTie]);
}

#[test]
fn beams_that_misstate() {
    let beam = |items: &[Item]| items.iter().find(|item| item.role == Role::Beam).unwrap().clone();
    let doubled = found(|items| {
        let mut other = beam(items).moved(Sp::ZERO, Sp(0.75));
        other.of = other.of.map(|of| Origin { voice: 1, ..of });
        items.push(other);
    });
    assert!(doubled.contains(&FindingKind::BeamsMerge), "{doubled:?}");
    let crossed = found(|items| {
        let at = beam(items).area(Signs::all()).unwrap();
        for item in items {
            if let (true, Ink::Line { from, to, .. }) =
                (is_of(item, Role::Stem, 1, 0, 0), &mut item.ink)
            {
                (from.x, to.x) = (at.left + Sp(1.0), at.left + Sp(1.0));
                to.y = at.top - Sp(1.0);
            }
        }
    });
    assert!(crossed.contains(&FindingKind::StemInBeam), "{crossed:?}");
    let far = found(|items| {
        for item in items {
            match (&mut item.ink, item.of) {
                (Ink::Line { to, .. }, Some(of))
                    if item.role == Role::Stem && of.voice == 0 && of.place < 4 && of.bar == 0 =>
                {
                    to.y -= Sp(4.0);
                }
                (_, _) if item.role == Role::Beam => {
                    *item = item.clone().moved(Sp::ZERO, Sp(-4.0));
                }
                _ => {}
            }
        }
    });
    assert_eq!(far, [FindingKind::LongBeamedStem]);
}

#[test]
fn rests_that_are_missing_or_far_or_not_needed() {
    let is_drawn = |item: &Item| {
        item.role == Role::Rest && item.ink != Ink::Shared && item.of.is_some_and(|of| of.bar == 0)
    };
    let far = found(|items| {
        let rest = items.iter_mut().find(|item| is_drawn(item)).unwrap();
        *rest = rest.clone().moved(Sp::ZERO, Sp(4.5));
    });
    assert_eq!(far, [FindingKind::RestOutside]);
    let missing =
        found(|items| items.iter_mut().find(|item| is_drawn(item)).unwrap().ink = Ink::Shared);
    assert_eq!(missing, [FindingKind::SilentStaff]);
    let covered = found(|items| {
        let rest = items.iter().find(|item| is_drawn(item)).unwrap().ink.clone();
        let left_out = |item: &&mut Item| {
            item.role == Role::Rest && item.of.is_some_and(|of| of.onset == Time::minims(2))
        };
        items.iter_mut().find(left_out).unwrap().ink = rest;
    });
    assert_eq!(covered, [FindingKind::CoveredRest]);
}

#[test]
fn a_tie_that_does_not_arrive() {
    let short = found(|items| {
        let tie = items.iter_mut().find(|item| item.role == Role::Tie).unwrap();
        *tie = tie.clone().moved(Sp(-2.5), Sp::ZERO);
    });
    assert_eq!(short, [FindingKind::ShortTie]);
}

#[test]
fn ties_that_are_read_as_one() {
    let touching = found(|items| {
        let tie = items.iter().find(|item| item.role == Role::Tie).unwrap();
        let other = tie.clone().moved(Sp(0.5), Sp(0.1));
        items.push(other);
    });
    assert_eq!(touching, [FindingKind::TiesMerge]);
}

#[test]
fn a_stem_through_a_tie() {
    let through = found(|items| {
        let tie = items.iter().find(|item| is_of(item, Role::Tie, 1, 0, 2)).unwrap();
        let at = tie.area(Signs::all()).unwrap();
        for item in items {
            let chosen = is_of(item, Role::Stem, 0, 0, 5);
            if let (true, Ink::Line { from, to, .. }) = (chosen, &mut item.ink) {
                (from.x, to.x) = (middle_of(at), middle_of(at));
                (from.y, to.y) = (at.top - Sp(1.5), at.bottom + Sp(1.5));
            }
        }
    });
    assert!(through.contains(&FindingKind::StemInTie), "{through:?}");
}

fn middle_of(area: Area) -> Sp {
    (area.left + area.right) / 2.0
}

#[test]
fn a_line_that_leads_elsewhere() {
    let astray = found(|items| {
        let of = |voice: usize| {
            let head = items.iter().find(|item| is_of(item, Role::Head, voice, 1, 0)).unwrap();
            (head.of, head.area(Signs::all()).unwrap())
        };
        // It is said to be the tenor's, and leads from the altus to the bassus.
        let ((_, from), (_, to), (own, _)) = (of(1), of(3), of(2));
        let from = Point::new(middle_of(from), from.bottom);
        let to = Point::new(middle_of(to), to.top);
        let ink = Ink::Line { from, to, thickness: Sp(0.1) };
        items.push(Item { role: Role::VoiceLead, of: own, ink });
    });
    assert!(astray.contains(&FindingKind::StrayLead), "{astray:?}");
}

#[test]
fn a_third_part_before_the_beat() {
    let three = "voice A clef C1\n mn D5 D5 br D5\nvoice B clef C1\n mn A4 A4 br A4\n\
                 voice C clef C1\n mn D4 D4 br D4\nvoice D clef F4\n mn D3 D3 br D3\n";
    let early = found_in(three, |items| shift(items, NOTE, (1, 0, 0), -1.2, 0.0));
    assert!(early.contains(&FindingKind::EarlyHead), "{early:?}");
}

#[test]
fn a_head_at_the_stroke_of_a_breve() {
    let touched = found(|items| shift(items, &[Role::Head], (2, 1, 0), 2.2, 0.0));
    assert_eq!(touched, [FindingKind::BreveStroke]);
}

#[test]
fn ledger_lines() {
    let far = found(|items| shift(items, NOTE, (0, 0, 4), 0.0, -4.0));
    assert_eq!(far, [FindingKind::LedgerLines]);
}
