use super::super::cadences;
use super::super::testing::{scored, voices};
use super::*;

/// What is proposed for a few voices.
fn proposed(music: &[&str]) -> Vec<String> {
    let (piece, score) = scored(&voices(music));
    let found = cadences::of(&piece, &score);
    let all = of(&piece, &score, &found);
    all.iter().map(|one| one.sentence(&score)).collect()
}

const NONE: [&str; 0] = [];

/// Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 53 (from memory).
#[test]
fn the_leading_note_of_a_cadence() {
    assert_eq!(
        proposed(&["mn A4 sb D5 mn C5 lg D5", "mn F3 F3 sb E3 lg D3"]),
        ["bar 1, V0 3: C#5, leading note of a cadence"]
    );
    // It is a semitone already, and here the source has the sign.
    assert_eq!(proposed(&["mn G4 sb C5 mn B4 lg C5", "mn E3 E3 sb D3 lg C3"]), NONE);
    assert_eq!(proposed(&["mn A4 sb D5 mn C#5 lg D5", "mn F3 F3 sb E3 lg D3"]), NONE);
}

#[test]
fn no_leading_note_over_a_falling_semitone() {
    assert_eq!(proposed(&["mn C5 sb E5 mn D5 lg E5", "mn A3 G3 sb F3 lg E3"]), NONE);
}

/// All ornaments of a leading note are as it is; its lower neighbour goes up where the step would be
/// augmented.
#[test]
fn ornaments_alike() {
    assert_eq!(
        proposed(&["mn E4 A4. fu G4 F4 mn G4 lg A4", "mn C4 C4 sb B3 lg A3"]),
        [
            "bar 1, V0 3: G#4, leading note of a cadence",
            "bar 1, V0 4: F#4, beside a raised leading note",
            "bar 1, V0 5: G#4, leading note of a cadence"
        ]
    );
}

#[test]
fn a_natural_before_makes_it_uncertain() {
    let music = ["sm A4 mn D5 sm C5 lg D5", "sm C5 A4 mn A4 lg A4", "sm F3 F3 mn E3 lg D3"];
    assert_eq!(
        proposed(&music),
        ["bar 1, V0 3: C#5, leading note of a cadence; but another voice has it without the sign"]
    );
}

/// Beside a raised G no *fa* is sung above *la*: the two would make a diminished third or its octave.
#[test]
fn no_possible_sign_contradicts_a_certain_one() {
    let music = |below: &str| {
        proposed(&["mn C5 B4 sb A4 mn G4 lg A4", "mn E4 E4 E4 A4 B4 A4 lg E4", below])
    };
    assert_eq!(music("mn A3 G3 C4 sb B3 lg A3"), ["bar 2, V0 4: G#4, leading note of a cadence"]);
    // Without the cadence it is possible.
    assert_eq!(
        proposed(&["mn E4 E4 E4 A4 B4 A4 lg E4", "mn A3 G3 C4 D4 G3 D4 lg A3"]),
        ["bar 2, V0 5: Bb4, one note above la is fa; but it may be meant otherwise"]
    );
}

/// Tinctoris, *Liber de natura et proprietate tonorum*, 1476, ch. 8 (from memory).
#[test]
fn fa_above_la_and_the_tritone() {
    assert_eq!(
        proposed(&["sb F4 G4 A4 B4 A4 lg G4"]),
        ["bar 2, V0 4: Bb4, one note above la is fa; but it may be meant otherwise"]
    );
    assert_eq!(
        proposed(&["sb F4 B4 G4 lg G4"]),
        ["bar 1, V0 2: Bb4, a tritone in the line; but it may be meant otherwise"]
    );
    // It goes on to its next step.
    assert_eq!(proposed(&["sb F4 G4 A4 B4 lg C5"]), NONE);
}

#[test]
fn a_false_fifth_above_the_lowest() {
    assert_eq!(
        proposed(&["sb D4 F4 lg F4", "sb D3 B2 lg B2"])[0],
        "bar 1, V1 2: Bb2, a false fifth above the lowest voice; but it may be meant otherwise"
    );
    // Each voice goes on inward.
    assert_eq!(proposed(&["sb F4 br E4", "sb B3 br C4"]), NONE);
}

#[test]
fn the_third_at_an_end() {
    assert_eq!(
        proposed(&["br A4 lg F4", "br D3 lg D3"]),
        ["bar 2, V0 2: F#4, the third of a last sonority is major"]
    );
}

#[test]
fn sixth_to_octave() {
    assert_eq!(
        proposed(&["sb C5 br D5 sb A4 lg A4 A4", "sb E4 br D4 sb A3 lg A3 A3"]),
        ["bar 1, V0 1: C#5, a sixth that opens to an octave is major; but it may be meant \
             otherwise"]
    );
}
