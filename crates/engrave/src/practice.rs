//! Published engraving practice as numbers, in staff spaces unless they say otherwise.
//!
//! "Ross" is Ted Ross, *The Art of Music Engraving and Processing* (1970); "Read" is Gardner Read,
//! *Music Notation* (second edition, 1969); "Gould" is Elaine Gould, *Behind Bars* (2011). The
//! values are from memory; those without a source are common practice or were tuned by looking at
//! the madrigals of 1582 at a staff of 6 mm.

use crate::units::Sp;

/// The staff's height from the middle of its lowest to that of its highest line.
pub(crate) const STAFF: Sp = Sp(4.0);

/// Staff lines are thin, about a tenth of a space (Gould).
pub(crate) const STAFF_LINE: Sp = Sp(0.1);

/// Ledger lines are somewhat thicker than staff lines (Ross, Gould).
pub(crate) const LEDGER_LINE: Sp = Sp(0.14);

/// How far a ledger line reaches beyond the head, on each side.
pub(crate) const LEDGER_OVERHANG: Sp = Sp(0.36);

/// The line that leads a voice to the other staff is as thin as a staff line.
pub(crate) const VOICE_LEAD: Sp = Sp(0.1);

/// The white before a clef that changes, in addition to that before a bar line.
pub(crate) const BEFORE_CHANGED_CLEF: Sp = Sp(0.5);

/// A clef that changes is smaller than one at the beginning of a system: about three quarters (Ross,
/// Gould).
pub(crate) const CHANGED_CLEF: f64 = 0.75;

/// A stem's thickness.
pub(crate) const STEM: Sp = Sp(0.12);

/// A stem begins so far from the middle of its head, where the head is as wide as it.
pub(crate) const STEM_BEGINS: Sp = Sp(0.18);

/// A stem is an octave long: three spaces and a half (Ross, Read, Gould).
pub(crate) const STEM_LENGTH: Sp = Sp(3.5);

/// Where a stem turns away from the staff, it is shortened, at most to two and a half spaces
/// (Ross, Gould).
pub(crate) const SHORTEST_STEM: Sp = Sp(2.5);

/// The shortest stem of a beamed note, to the middle of the outer beam (Gould: two and a half
/// spaces, at the least, with two beams).
pub(crate) const SHORTEST_BEAMED_STEM: Sp = Sp(2.3);

/// By how much a stem that turns away from the staff is shorter, for each step of its head beyond
/// the middle line (Ross).
pub(crate) const STEM_SHORTENING: Sp = Sp(0.25);

/// The face's flags are as long as its stems; a little smaller they stay clear of the heads.
pub(crate) const FLAG_SIZE: f64 = 0.87;

/// A beam is half a space thick (Ross, Read, Gould).
pub(crate) const BEAM: Sp = Sp(0.5);

/// Beams stand three quarters of a space apart, so that a quarter is left white (Ross, Gould).
pub(crate) const BEAM_DISTANCE: Sp = Sp(0.75);

/// How long a beam that ends in the air is: about a head's width (Gould).
pub(crate) const BEAM_HOOK: Sp = Sp(1.1);

/// By how much a beam rises at most for the steps between its outer notes, from a unison to an
/// octave and more (after the table of Ross).
pub(crate) const BEAM_RISE: [f64; 8] = [0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.25, 1.5];

/// A beam rises at most by so much on each space to the right; short beams are flatter.
pub(crate) const STEEPEST_BEAM: f64 = 0.25;

/// The space that a quarter note takes, head included; other values take as many times as much as
/// the square root of their length says: half notes 5, whole notes 7. This is the spacing law of
/// Gould's table (quaver 2 1/2, crotchet 3 1/2, minim 5, semibreve 7).
pub(crate) const QUARTER_SPACE: Sp = Sp(3.5);

/// Between things of neighbouring columns that stand at the same height.
pub(crate) const CLEARANCE: Sp = Sp(0.3);

/// From a bar line to the first head behind it (Gould: one space and more).
pub(crate) const AFTER_BAR_LINE: Sp = Sp(1.4);

/// From a bar line to an accidental or the like behind it.
pub(crate) const ACCIDENTAL_AFTER_BAR_LINE: Sp = Sp(0.6);

/// From the last thing of a bar to the bar line behind it.
pub(crate) const BEFORE_BAR_LINE: Sp = Sp(0.6);

/// From the left end of the staff to the clef (Ross: one space at most).
pub(crate) const BEFORE_CLEF: Sp = Sp(0.8);

/// From the last bar line of a system to a signature or a meter that is about to change, beside
/// the room that these have before them.
pub(crate) const BEFORE_COURTESY: Sp = Sp(0.3);

/// Between clef, signature and meter (Ross: one space).
pub(crate) const AFTER_CLEF: Sp = Sp(1.0);

/// Between a head and the dot behind it (Ross: half a space; Gould: less).
pub(crate) const BEFORE_DOT: Sp = Sp(0.35);

/// Between an accidental and its head (Gould: a quarter of a space).
pub(crate) const AFTER_ACCIDENTAL: Sp = Sp(0.22);

/// Between accidentals of neighbouring columns of a stack.
pub(crate) const BETWEEN_ACCIDENTALS: Sp = Sp(0.12);

/// A thin bar line.
pub(crate) const BAR_LINE: Sp = Sp(0.16);

/// The thick line of a final bar, as thick as a beam (Gould).
pub(crate) const THICK_BAR_LINE: Sp = Sp(0.5);

/// Between the lines of a double bar (Gould: half a space, at most).
pub(crate) const BETWEEN_BAR_LINES: Sp = Sp(0.45);

/// A tie is so thick in its middle.
pub(crate) const TIE_THICKNESS: Sp = Sp(0.22);

/// A tie at its ends.
pub(crate) const TIE_ENDS: Sp = Sp(0.07);

/// The shortest tie (Gould: about two spaces; less where notes stand close).
pub(crate) const SHORTEST_TIE: Sp = Sp(1.6);

/// Small signs, like an editor's accidentals, are about two thirds as large.
pub(crate) const SMALL: f64 = 0.68;

/// Between things that stand over one another outside the staff.
pub(crate) const OUTSIDE_GAP: Sp = Sp(0.4);

/// Thin lines of brackets.
pub(crate) const BRACKET_LINE: Sp = Sp(0.13);

/// White between a note and the circle of a mark round it; less where other notes are near.
pub(crate) const AROUND_MARKED: [Sp; 4] = [Sp(0.5), Sp(0.4), Sp(0.3), Sp(0.22)];

/// How long the hooks are of the bracket of a mark.
pub(crate) const MARK_HOOK: Sp = Sp(0.8);

/// The size of the words of a mark, from one line of them to the next, and how long a line may be.
pub(crate) const MARK_WORDS: Sp = Sp(2.0);
pub(crate) const MARK_LINE: Sp = Sp(2.2);
pub(crate) const MARK_MEASURE: Sp = Sp(30.0);

/// Between the two staves of a keyboard score, from line to line, at least.
pub(crate) const BETWEEN_KEYBOARD_STAVES: Sp = Sp(6.0);

/// Between the staves of voices, at least.
pub(crate) const BETWEEN_VOICE_STAVES: Sp = Sp(5.0);

/// Between what hangs from one staff and what stands on the next.
pub(crate) const BETWEEN_STAVES_WHITE: Sp = Sp(1.0);

/// Between what hangs from one system and what stands on the next.
pub(crate) const BETWEEN_SYSTEMS_WHITE: Sp = Sp(3.5);

/// Between the outer staff lines of two systems, at least.
pub(crate) const BETWEEN_SYSTEMS: Sp = Sp(8.0);
