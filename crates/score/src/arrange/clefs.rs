//! The clefs of a keyboard score: those under which the notes of each hand need the fewest ledger
//! lines, changing where that helps for long.
//!
//! Of all ways to give each bar of a staff one of two clefs, that of the least cost is taken, in one
//! pass over the bars.

use rudiments::Clef;

use super::staves::{BASS, TREBLE, ledger_lines};
use super::{ArrangedBar, Staff};
use crate::{Close, Score};

const CLEFS: [Clef; 2] = [TREBLE, BASS];

/// A change of clef, in ledger lines squared: four notes on two lines. There and back has to spare a
/// player eight of them, so a few notes are read on ledger lines rather than under another clef.
const CHANGE: u64 = 16;

/// The same at the beginning of a section, or after a bar in which the staff is silent.
const CHANGE_BETWEEN_PHRASES: u64 = 10;

/// The piece begins with the clef of the other staff.
const UNUSUAL: u64 = 15;

/// Gives the staves of a keyboard score the clefs that fit. Linear in the number of notes.
pub(super) fn fit(score: &Score, bars: &[ArrangedBar<'_>], staves: &mut [Staff]) {
    for (number, staff) in staves.iter_mut().enumerate() {
        staff.clefs = fitting(score, bars, number, staff.clef_in(0));
    }
}

/// What a staff has in a bar.
struct InBar {
    /// The ledger lines of its notes under each clef, squared.
    lines: [u32; 2],
    silent: bool,
    /// Whether a note is tied over from the bar before.
    tied: bool,
}

fn in_bar(bar: &ArrangedBar<'_>, staff: usize) -> InBar {
    let mut firsts = bar.voices.iter().filter_map(|segments| segments.first());
    let tied = firsts.any(|first| first.staff == staff && first.tied_before);
    let mut found = InBar { lines: [0; 2], silent: true, tied };
    let segments = bar.voices.iter().flatten().filter(|segment| segment.staff == staff);
    for segment in segments.filter(|segment| !segment.is_rest()) {
        found.silent = false;
        for note in &segment.notes {
            for (lines, clef) in found.lines.iter_mut().zip(CLEFS) {
                *lines += ledger_lines(clef.place_of(note.pitch.tone)).pow(2);
            }
        }
    }
    found
}

/// The clefs of a staff: the first, and each that follows, with the bar where it begins.
fn fitting(
    score: &Score,
    bars: &[ArrangedBar<'_>],
    staff: usize,
    usual: Clef,
) -> Vec<(usize, Clef)> {
    let mut costs = CLEFS.map(|clef| if clef == usual { 0 } else { UNUSUAL });
    // For each bar and clef, whether another stood before it.
    let mut changed: Vec<[bool; 2]> = Vec::with_capacity(bars.len());
    let mut silent_before = false;
    for (number, bar) in bars.iter().enumerate() {
        let here = in_bar(bar, staff);
        let new_section = number > 0 && score.bars[number - 1].close != Close::Plain;
        let change = if new_section || silent_before { CHANGE_BETWEEN_PHRASES } else { CHANGE };
        // Under a tie, a note would change its place.
        let may_change = number > 0 && !here.tied;
        let [one, other] = costs;
        let better = [may_change && other + change < one, may_change && one + change < other];
        if better[0] {
            costs[0] = other + change;
        }
        if better[1] {
            costs[1] = one + change;
        }
        for (cost, lines) in costs.iter_mut().zip(here.lines) {
            *cost += u64::from(lines);
        }
        changed.push(better);
        silent_before = here.silent;
    }
    let prefers_usual = |clef: usize| (costs[clef], CLEFS[clef] != usual);
    let mut clef = usize::from(prefers_usual(1) < prefers_usual(0));
    let mut clefs = Vec::new();
    for (number, changed) in changed.iter().enumerate().rev() {
        if changed[clef] {
            clefs.push((number, CLEFS[clef]));
            clef = 1 - clef;
        }
    }
    clefs.push((0, CLEFS[clef]));
    clefs.reverse();
    clefs
}

#[cfg(test)]
mod tests {
    use super::super::testing::score;
    use super::super::{Clefs, Options, arrange};

    /// The clefs of both staves, with the bars where they begin, from 1.
    fn clefs(voices: &[&str], clefs: Clefs) -> [String; 2] {
        let score = score(4, voices);
        let arrangement = arrange(&score, Options { clefs, ..Options::default() });
        let say = |staff: usize| {
            let clefs = arrangement.staves[staff].clefs.iter();
            clefs.map(|(bar, clef)| format!("{} {clef}", bar + 1)).collect::<Vec<_>>().join(", ")
        };
        [say(0), say(1)]
    }

    fn fitting(voices: &[&str]) -> [String; 2] {
        clefs(voices, Clefs::Fitting)
    }

    #[test]
    fn two_high_voices_stand_under_two_trebles() {
        let (upper, lower) = ("C5:1 D5 E5 F5 ".repeat(12), "A4:1 B4 C5 D5 ".repeat(12));
        assert_eq!(fitting(&[&upper, &lower]), ["1 G2", "1 G2"]);
        assert_eq!(clefs(&[&upper, &lower], Clefs::Fixed), ["1 G2", "1 F4"]);
    }

    #[test]
    fn two_low_voices_stand_under_two_basses() {
        let (upper, lower) = ("C3:1 D3 E3 F3 ".repeat(12), "G2:1 A2 B2 C3 ".repeat(12));
        assert_eq!(fitting(&[&upper, &lower]), ["1 F4", "1 F4"]);
    }

    #[test]
    fn a_clef_changes_for_long_not_for_a_few_notes() {
        let (high, low) = ("A4:1 B4 C5 A4 ".repeat(12), "C3:1 D3 E3 C3 ".repeat(12));
        let upper = "E5:1 F5 G5 E5 ".repeat(24);
        let changing = format!("{low}{high}");
        assert_eq!(fitting(&[&upper, &changing]), ["1 G2", "1 F4, 13 G2"]);
        let few = format!("{low}F4:1 F4 E4 D4 {low}");
        assert_eq!(fitting(&[&upper, &few]), ["1 G2", "1 F4"]);
    }

    #[test]
    fn no_clef_changes_under_a_tie() {
        let (high, low) = ("A4:1 B4 C5 A4 ".repeat(12), "C3:1 D3 E3 C3 ".repeat(11));
        let upper = "E5:1 F5 G5 E5 ".repeat(24);
        let changing = format!("{low}C3:2 D4:4 D4:2 {high}");
        assert_eq!(fitting(&[&upper, &changing]), ["1 G2", "1 F4, 14 G2"]);
    }

    #[test]
    fn a_keyboard_score_of_four_voices_has_its_usual_clefs() {
        let voices = ["C5:4", "A4:4", "E4:4", "A3:4"].map(|voice| format!("{voice} ").repeat(12));
        let voices: Vec<&str> = voices.iter().map(String::as_str).collect();
        assert_eq!(fitting(&voices), ["1 G2", "1 F4"]);
    }
}
