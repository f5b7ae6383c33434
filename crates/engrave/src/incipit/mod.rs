//! What the source prints at the beginning of a voice, and how far the voice reaches: a short staff
//! with the original clef, signature, sign and first note, and, after a thin line, the lowest and the
//! highest note (common practice of critical editions).

mod note;
mod row;

use rudiments::{Place, Signature};
use score::{Score, TimedEvent, TimedVoice};

use crate::column::{MIDDLE_LINE, y_of};
use crate::frame::{Ink, Item, Role};
use crate::glyphs::{Sign, Signs};
use crate::lettering::Letterer;
use crate::practice::{BAR_LINE, LEDGER_LINE, LEDGER_OVERHANG, STAFF, STAFF_LINE};
use crate::system::opening::{clef_sign, signature};
use crate::system::period;
use crate::units::{Point, Sp};

pub(crate) use row::rows;

/// Before and after what stands on the staff, and between its things.
const GAP: Sp = Sp(0.8);

/// A staff with a voice's beginning and range, around the left end of its uppermost line.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Incipit {
    pub(crate) items: Vec<Item>,
    pub(crate) width: Sp,
}

/// The incipits of all voices, as wide as the widest; nothing for a voice that the source does not write
/// out.
pub(crate) fn of_voices(score: &Score, signs: &Signs, letterer: &Letterer) -> Vec<Option<Incipit>> {
    let beginning = |voice| beginning(voice, signs, letterer);
    let mut pens: Vec<Option<Pen<'_>>> = score.voices.iter().map(beginning).collect();
    let furthest = |pens: &[Option<Pen<'_>>]| {
        pens.iter().flatten().map(|pen| pen.x).fold(Sp::ZERO, Sp::max) + GAP
    };
    let end = furthest(&pens);
    for (pen, voice) in pens.iter_mut().zip(&score.voices) {
        let Some(pen) = pen else { continue };
        pen.line(Point::new(end, Sp::ZERO), Point::new(end, STAFF), BAR_LINE);
        pen.x = end + GAP * 1.5;
        range(voice, pen);
    }
    let width = furthest(&pens);
    let whole = |pen: Pen<'_>| {
        let line = |number: u8| {
            let y = Sp(number.into());
            line(Point::new(Sp::ZERO, y), Point::new(width, y), STAFF_LINE)
        };
        Incipit { items: (0..5).map(line).chain(pen.items).collect(), width }
    };
    pens.into_iter().map(|pen| pen.map(whole)).collect()
}

/// What the source prints up to the first note.
fn beginning<'s>(voice: &TimedVoice, signs: &'s Signs, letterer: &Letterer) -> Option<Pen<'s>> {
    let first = first_printed(voice)?;
    let clef = voice.clef;
    let mut pen = Pen { signs, items: Vec::new(), x: GAP };
    let shape = clef_sign(clef, 0);
    pen.sign(Role::Clef, shape, y_of(2 * Place::from(clef.line)));
    pen.x += signs.width(shape) + GAP;
    let (signs_of_it, width) = signature(clef, Signature::NONE, voice.signature, signs);
    for one in signs_of_it {
        let x = pen.x + one.x;
        pen.sign_at(Role::Signature, one.sign, Point::new(x, y_of(one.place)));
    }
    pen.x += if width > Sp::ZERO { width + GAP } else { Sp::ZERO };
    if let Some(sign) = voice.sign {
        let (items, width) = period::items(sign, Role::Incipit, signs, letterer);
        // The sign is made to stand on a line; here its middle lies on that of the staff.
        let y = y_of(MIDDLE_LINE) - period::MIDDLE;
        pen.items.extend(items.into_iter().map(|item| item.moved(pen.x, y)));
        pen.x += width + GAP;
    }
    note::draw(first, clef, &mut pen);
    Some(pen)
}

/// The first note of a voice, if the source prints it there; a canon is not written out.
fn first_printed(voice: &TimedVoice) -> Option<&TimedEvent> {
    let first = voice.events.iter().find(|event| !event.is_rest())?;
    first.item.filter(|item| item.voice == voice.place).map(|_| first)
}

/// The lowest and the highest note of a voice as black heads without stems.
fn range(voice: &TimedVoice, pen: &mut Pen<'_>) {
    let tones = || voice.events.iter().flat_map(|event| &event.notes).map(|note| note.pitch.tone);
    let (Some(lowest), Some(highest)) = (tones().min(), tones().max()) else { return };
    let (low, high) = (voice.clef.place_of(lowest), voice.clef.place_of(highest));
    let width = pen.signs.width(Sign::HeadBlack);
    let mut x = pen.x;
    for place in [low, high] {
        pen.ledgers(place, x, width);
        pen.sign_at(Role::Incipit, Sign::HeadBlack, Point::new(x, y_of(place)));
        // Neighbours stand beside one another.
        x += if high - low == 1 { width } else { Sp::ZERO };
        if low == high {
            break;
        }
    }
    pen.x = x.max(pen.x) + width;
}

/// Draws from the left to the right.
struct Pen<'s> {
    signs: &'s Signs,
    items: Vec<Item>,
    x: Sp,
}

impl Pen<'_> {
    fn sign(&mut self, role: Role, sign: Sign, y: Sp) {
        self.sign_at(role, sign, Point::new(self.x, y));
    }

    fn sign_at(&mut self, role: Role, sign: Sign, at: Point) {
        let ink = Ink::Sign { sign, at, scale: 1.0, flipped: false };
        self.items.push(Item { role, of: None, ink });
    }

    fn line(&mut self, from: Point, to: Point, thickness: Sp) {
        self.items.push(line(from, to, thickness));
    }

    /// The ledger lines of a head of that width at a place.
    fn ledgers(&mut self, place: Place, x: Sp, width: Sp) {
        let lines = (place..=0).chain(12..=place).filter(|line| line % 2 == 0);
        for line in lines {
            let y = y_of(line);
            let (left, right) = (x - LEDGER_OVERHANG, x + width + LEDGER_OVERHANG);
            self.line(Point::new(left, y), Point::new(right, y), LEDGER_LINE);
        }
    }
}

fn line(from: Point, to: Point, thickness: Sp) -> Item {
    Item { role: Role::Incipit, of: None, ink: Ink::Line { from, to, thickness } }
}

#[cfg(test)]
mod tests {
    use score::{BarLength, align, reckon};

    use super::*;

    fn incipit(voice: &str) -> Option<Incipit> {
        let piece = notation::parse(voice).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        of_voices(&score, Signs::all(), &Letterer::default()).pop().unwrap()
    }

    /// The places on the staff of the black heads: of the range.
    fn heads(incipit: &Incipit) -> Vec<f64> {
        let of_item = |item: &Item| match item.ink {
            Ink::Sign { sign: Sign::HeadBlack, at, .. } => Some(at.y.0),
            _ => None,
        };
        incipit.items.iter().filter_map(of_item).collect()
    }

    fn ledger_lines(incipit: &Incipit) -> usize {
        let is_ledger = |item: &&Item| matches!(item.ink, Ink::Line { from, to, thickness: LEDGER_LINE } if from.y == to.y);
        incipit.items.iter().filter(is_ledger).count()
    }

    #[test]
    fn the_lowest_and_the_highest_note() {
        let incipit = incipit("voice Cantus clef C1\n sb D4 F mn B3 C D E F G A B lg G\n").unwrap();
        // The space below the lowest line, and the fourth line but one.
        assert_eq!(heads(&incipit), [4.5, 1.0]);
        assert_eq!(ledger_lines(&incipit), 0);
    }

    #[test]
    fn a_range_beyond_the_staff_has_ledger_lines() {
        let incipit = incipit("voice Bassus clef F4\n sb D3 D2 E2 lg C4\n").unwrap();
        // The space below the first ledger line, and the one above.
        assert_eq!(heads(&incipit), [5.5, -1.0]);
        assert_eq!(ledger_lines(&incipit), 2);
    }

    #[test]
    fn a_voice_on_one_note_has_one_head() {
        let incipit = incipit("voice Tenor clef C4\n sb A3 A lg A\n").unwrap();
        assert_eq!(heads(&incipit).len(), 1);
    }

    #[test]
    fn all_are_as_wide_as_the_widest() {
        let text = "voice A clef C1 signature Bb,Eb sign C|\n sb D5 lg E\n\
                    voice B clef F4\n sb D3 lg E\n";
        let piece = notation::parse(text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        let incipits = of_voices(&score, Signs::all(), &Letterer::default());
        let widths: Vec<Sp> = incipits.iter().flatten().map(|incipit| incipit.width).collect();
        assert!(widths.len() == 2 && widths[0] == widths[1], "{widths:?}");
    }

    #[test]
    fn a_canon_has_none() {
        let dux = "voice Dux clef C4\n sb D3 E F G lg D\n";
        assert_eq!(incipit(&format!("{dux}voice Comes canon Dux 5 above after 2\n")), None);
    }

    #[test]
    fn a_voice_of_rests_has_none() {
        assert_eq!(incipit("voice Tenor clef C4\n br _ _\n"), None);
    }
}
