//! The audit: what an engraver would be ashamed of, found on the finished picture.
//!
//! It looks at the ink alone, and knows nothing of how things came to their places: of notes it
//! knows besides when they begin and end.

mod notation;
mod overlaps;

use crate::frame::{Block, BlockKind, Ink, Item, Picture, Role};
use crate::glyphs::Signs;
use crate::practice::{BEAM, SHORTEST_BEAMED_STEM, SHORTEST_STEM};
use crate::units::{Area, Mm, Sp};

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

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident $word:literal,)*) => {
        /// What is wrong, or worth counting.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum FindingKind {
            $($(#[$doc])* $name,)*
        }

        impl FindingKind {
            /// All kinds.
            pub const ALL: &[FindingKind] = &[$(FindingKind::$name,)*];

            /// Its name in reports.
            pub fn word(self) -> &'static str {
                match self {
                    $(FindingKind::$name => $word,)*
                }
            }
        }
    };
}

kinds! {
    /// Two things run into each other that should not.
    Overlap "overlap",
    /// A stem is shorter than published practice allows.
    ShortStem "short-stem",
    /// Something stands outside of the page.
    OutsidePage "outside-page",
    /// Something reaches into the margin.
    Margin "margin",
    /// Heads that strike together stand in several columns, and no second, unison or third part
    /// asks for it.
    TornAttack "torn-attack",
    /// Heads that strike together are more than two millimetres apart, and no second, unison, dot or
    /// flag asks for it.
    WideAttack "wide-attack",
    /// Of two voices that strike together, the higher has its stem down, the lower its stem up.
    StemAgainstOrder "stem-against-order",
    /// Beams of two voices cross, or are so near to each other that they are read as one.
    BeamsMerge "beams-merge",
    /// A stem runs through the beam of another voice, or ends in it.
    StemInBeam "stem-in-beam",
    /// A beamed stem is longer than seven spaces.
    LongBeamedStem "long-beamed-stem",
    /// A rest stands farther outside its staff than a ledger line.
    RestOutside "rest-outside",
    /// A staff has neither a note nor a rest for a part of a bar.
    SilentStaff "silent-staff",
    /// A tie ends more than a space short of its head.
    ShortTie "short-tie",
    /// Two ties touch or cross each other, so that they are read as one.
    TiesMerge "ties-merge",
    /// The line that leads a voice to the other hand crosses another, or ends as near to the head of
    /// another voice as to its own.
    StrayLead "stray-lead",
    /// A stroke beside a breve touches something else.
    BreveStroke "breve-stroke",
    /// A printed note or rest is missing in a copy.
    Missing "missing",
    /// A printed note or rest stands in a copy twice, or not in its line.
    Displaced "displaced",
    /// A rest for a part of a bar, though others sound on its staff all the while. Some are
    /// wanted.
    CoveredRest "covered-rest",
    /// The head of an inner voice stands to the left of those of the outer ones, as if it came before
    /// them. Some cannot be helped where flags are many.
    EarlyHead "early-head",
    /// A tie runs through the stem of another voice. Some cannot be helped.
    StemInTie "stem-in-tie",
    /// A note with two ledger lines or more. Some cannot be helped.
    LedgerLines "ledger-lines",
}

impl FindingKind {
    /// Whether there should be none. Of the others there should be few.
    pub fn is_fault(self) -> bool {
        use FindingKind::{CoveredRest, EarlyHead, LedgerLines, StemInTie};
        !matches!(self, CoveredRest | EarlyHead | StemInTie | LedgerLines)
    }

    /// Whether it is about how notes stand on a staff, and counted by [`measures`].
    fn is_measured(self) -> bool {
        use FindingKind::{Displaced, Margin, Missing, OutsidePage, Overlap, ShortStem};
        !matches!(self, Overlap | ShortStem | OutsidePage | Margin | Missing | Displaced)
    }
}

/// How often something is found in a picture.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Measure {
    /// What is counted.
    pub kind: FindingKind,
    /// How often it is found
    pub found: u32,
    /// among so many things of which each could be it.
    pub of: u32,
}

/// Counts how notes stand on their staves, kind by kind.
pub fn measures(picture: &Picture) -> Vec<Measure> {
    let signs = Signs::all();
    let blocks = picture.blocks.iter();
    let surveys: Vec<_> = blocks.map(|block| notation::survey(block, signs)).collect();
    let kinds = FindingKind::ALL.iter().copied().filter(|kind| kind.is_measured());
    kinds
        .map(|kind| {
            let findings = surveys.iter().flat_map(|survey| &survey.findings);
            Measure {
                kind,
                found: findings.filter(|finding| finding.kind == kind).count() as u32,
                of: surveys.iter().filter_map(|survey| survey.of.get(&kind)).sum(),
            }
        })
        .collect()
}

/// Everything that is wrong with a picture.
///
/// Overlaps are looked for among heads, accidentals, dots, rests, flags, foreign stems, foreign
/// beams, foreign ties, words, marks and everything that stands outside the staves. Intended are: what
/// the same note has on it, a head or a stem that two voices share, and that a circle round a note
/// crosses stems and ties. How notes stand on a staff is looked at as [`measures`] counts it.
pub fn audit(picture: &Picture) -> Vec<Finding> {
    let signs = Signs::all();
    let mut findings = Vec::new();
    for block in &picture.blocks {
        out_of_bounds(picture, block, signs, &mut findings);
        short_stems(block, &mut findings);
        overlaps::find(block, signs, &mut findings);
        // In a copy notes stand as the source has them.
        if !matches!(block.kind, BlockKind::Copy(_)) {
            let notation = notation::survey(block, signs).findings;
            findings.extend(notation.into_iter().filter(|finding| finding.kind.is_fault()));
        }
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
        // The head of the first note of one voice, on the stem of the third of the other.
        let mut picture = picture(TWO_VOICES);
        let items = &mut picture.blocks.iter_mut().last().unwrap().frame.items;
        let stem = items.iter().find(|item| is_of(item, Role::Stem, 0, 2)).unwrap().ink.clone();
        let Ink::Line { from, to, .. } = stem else { panic!("a stem is a line") };
        let head = items.iter_mut().find(|item| is_of(item, Role::Head, 1, 0)).unwrap();
        if let Ink::Sign { at, .. } = &mut head.ink {
            *at = crate::Point::new(from.x - Sp(0.5), (from.y + to.y * 2.0) / 3.0);
        }
        let found = audit(&picture);
        assert!(found.iter().any(|found| found.items == [Role::Head, Role::Stem]), "{found:?}");
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
        assert!(found.contains(&(FindingKind::ShortStem, vec![Role::Stem])), "{found:?}");
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
voice Bassus  clef F4
  br D3 A2 lg D3
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
        let on_beam = found_of_marks(Role::MarkCircle, 0.0, -2.4);
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
        let found = found_of_marks(Role::Mark, 0.0, 1.2);
        assert!(found.contains(&vec![Role::Beam, Role::Mark]), "{found:?}");
        let found = found_of_marks(Role::Mark, 0.0, -4.0);
        assert!(found.contains(&vec![Role::Head, Role::Mark]), "{found:?}");
    }
}
