use super::super::cadences;
use super::super::testing::scored;
use super::*;

/// What is proposed for a duo of low clefs that is long enough, with its Tenor given.
fn proposed(head: &str, cantus: &str, tenor: &str) -> (ModeProposal, Score) {
    let (piece, score) = scored(&format!(
        "{head}\nvoice Cantus clef C1\n {cantus}\nvoice Tenor clef C4\n {tenor}\n"
    ));
    let found = cadences::of(&piece, &score);
    (of(&piece, &score, &found), score)
}

/// Twenty breves of a voice, then its end.
fn long(compass: &str, end: &str) -> String {
    format!("lg {} {end}", [compass; 5].join(" "))
}

/// Zarlino, *Istitutioni harmoniche*, 1558, IV, ch. 18 and 19: the first mode from D to D, the second
/// from A to A (from memory).
#[test]
fn compass_tells_authentic_from_plagal() {
    let end = ["mn A4 sb D5 mn C#5 lg D5", "mn F3 F3 sb E3 lg D3"];
    let (first, _) = proposed("", &long("D4 D5", end[0]), &long("D3 D4", end[1]));
    assert_eq!(first.sentence(), "mode 1 proposed");
    let (second, _) = proposed("", &long("A4 A4", end[0]), &long("A2 A3", end[1]));
    assert_eq!(second.sentence(), "mode 2 proposed");
}

#[test]
fn with_a_flat_it_is_a_fourth_up() {
    let end = ["mn D5 sb G5 mn F#5 lg G5", "mn B3 B3 sb A3 lg G3"];
    let (first, _) = proposed("signature Bb", &long("G4 G5", end[0]), &long("G3 G4", end[1]));
    assert_eq!((first.system, first.sentence().as_str()), (System::Mollis, "mode 1 proposed"));
}

#[test]
fn the_evidence_is_said() {
    let (proposal, score) = proposed(
        "",
        &long("D4 D5", "mn A4 sb D5 mn C#5 lg D5"),
        &long("D3 D4", "mn F3 F3 sb E3 lg D3"),
    );
    let said: Vec<String> =
        proposal.evidence.iter().map(|evidence| evidence.sentence(&score)).collect();
    assert_eq!(
        said,
        [
            "final D, the last note of the Tenor",
            "cantus durus",
            "low clefs",
            "Cantus D4 to D5, authentic",
            "Tenor D3 to D4, authentic",
            "cadences: D 1"
        ]
    );
}

#[test]
fn too_short() {
    let (short, _) = proposed("", "mn A4 sb D5 mn C#5 lg D5", "mn F3 F3 sb E3 lg D3");
    assert_eq!(short.proposed, Proposed::TooShort(TooShort::Breves));
    assert_eq!(short.last.map(|last| last.pitch.tone.step), Some(Step::D));
    let (open, _) = proposed("", &long("A4 A4", "lg A4 A4"), &long("D3 D4", "lg D3 D3"));
    assert_eq!(open.proposed, Proposed::TooShort(TooShort::NoLastCadence));
}

#[test]
fn no_mode_on_b() {
    let (proposal, _) = proposed(
        "",
        &long("B4 B4", "mn G4 sb B4 mn A4 lg B4"),
        &long("B2 B3", "mn D4 D4 sb C4 lg B3"),
    );
    assert_eq!(proposal.proposed, Proposed::NoSuchFinal);
}
