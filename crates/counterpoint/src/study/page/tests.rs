use score::{BarLength, align, reckon};

use super::*;
use crate::study::{RuleSet, study};

fn said(text: &str, without: &[PagePart]) -> String {
    said_by(RuleSet::default(), text, without)
}

fn said_by(rules: RuleSet, text: &str, without: &[PagePart]) -> String {
    let piece = notation::parse(text).piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    let studied = study(&piece, &score, rules);
    let sheet = page(&studied, &piece, &score, without);
    let mut said = format!("{}\n{}\n", sheet.title, sheet.facts.join(" | "));
    for part in sheet.parts {
        said.push_str(&format!("{}\n", part.heading));
        let lines = match part.body {
            SheetBody::Text(lines) => lines,
            SheetBody::Table(table) => {
                let rows = std::iter::once(&table.columns).chain(&table.rows);
                rows.map(|row| row.join(" | ")).collect()
            }
            _ => vec!["drawn".to_owned()],
        };
        for line in lines {
            said.push_str(&format!("  {line}\n"));
        }
    }
    said
}

/// The page about the fixture, as a teacher wrote it by hand: subject, entries, cadences and what enters
/// upon them are the same.
#[test]
fn the_page_about_two_duos() {
    insta::assert_snapshot!(said(include_str!("../../../../../fixtures/two-duos.parts"), &[]));
}

#[test]
fn a_page_about_nothing_says_so() {
    let said = said("voice A clef C1\n  sb D4 E\n", &[PagePart::Plan]);
    assert!(said.contains("Subjects\n  none"), "{said}");
    assert!(said.contains("Cadences\n  none"), "{said}");
    assert!(!said.contains("Plan"), "{said}");
}

/// What happens again and again is said once, with all its places.
#[test]
fn faults_of_one_kind_stand_in_one_line() {
    let text = "voice Cantus clef C1\n  sb D5 C D C D C D lg D\n\
                voice Tenor clef C4\n  sb D4 D D D D D D lg D\n";
    let said = said(text, &[]);
    assert!(said.contains("bars 1.3, 2.3 and 3.3: a seventh on a semibreve"), "{said}");
    assert!(!said.contains("bar 1, minim 3"), "{said}");
}

/// A bar in which nobody sings is said to be one.
#[test]
fn a_bar_of_rests_is_said() {
    let text = "voice Cantus clef C1\n  br D5 _ _ D5 D5\nvoice Tenor clef C4\n  br D4 _ _ D4 D4\n";
    let said = said(text, &[]);
    assert!(said.contains("2 voices in bar 1, all rest in bars 2\u{2013}3, 2 voices"), "{said}");
}

/// Remarks on dissonances are counted by figure.
#[test]
fn remarks_say_which_dissonance() {
    let text = "voice Cantus clef C1\n  br C5 lg C\nvoice Altus clef C3\n  br G4 lg G\n\
                voice Tenor clef C4\n  sb C4 _ lg E\n";
    let said = said(text, &[]);
    assert!(said.contains("remarks: fourth laid bare 1"), "{said}");
}

/// Signs of one kind stand in one line.
#[test]
fn signs_of_one_kind_stand_in_one_line() {
    let text = "voice Cantus clef C1\n  sb A4 B A G A B A G A B A G lg A\n";
    let said = said(text, &[]);
    let line =
        "signs? one note above la is fa, but it may be meant otherwise: bar 1.3, Cantus 2 (Bb4)";
    assert!(said.contains(line), "{said}");
    assert_eq!(said.matches("one note above la").count(), 1, "{said}");
}

/// Which species each voice has is told, or that none has one.
#[test]
fn the_species_are_told() {
    let cantus = "voice Cantus clef C1\n  mn _ A4 D5 A4 G4 A4 B4 C#5 sb D5\n\
                  voice Tenor clef C4\n  sb D4 F4 E4 G4 D4\n";
    let told = said_by(RuleSet::Species, cantus, &[]);
    assert!(told.contains("Cantus: second species against the Tenor"), "{told}");
    let mixed = "voice Cantus clef C1\n  sb A4 mn A4 G4 br A4\nvoice Tenor clef C4\n  br D4 sb D4 mn D4 D4\n";
    let none = said_by(RuleSet::Species, mixed, &[]);
    assert!(
        none.contains("by the rules of the strict species, 1725\n  no cantus firmus"),
        "{none}"
    );
}

/// Two voices imitate a third together, in thirds: they begin together, and neither is told to follow the
/// other.
#[test]
fn voices_that_begin_together() {
    let subject = "mn. D5 sm A4 mn F5 sm E5 D5 mn. C5 sm B4 sb A4";
    let lower = "mn. G4 sm D4 mn B4 sm A4 G4 mn. F4 sm E4 sb D4";
    let third = "mn. B4 sm F4 mn D5 sm C5 B4 mn. A4 sm G4 sb F4";
    let text = format!(
        "voice Cantus clef C1\n  {subject} br _ _ _ lg D5\n\
         voice Altus clef C1\n  br _ _ {third} br _ lg B4\n\
         voice Tenor clef C1\n  br _ _ {lower} br _ lg G4\n"
    );
    let said = said(&text, &[]);
    assert!(said.contains("| together |"), "{said}");
    assert!(!said.contains("after 0 minims"), "{said}");
}

/// A false fifth that a sign would mend is said to be one (Aron, *Toscanello*, 1529; from memory).
#[test]
fn a_false_fifth_that_a_sign_would_mend() {
    let text = "voice Cantus clef C1\n  sb G4 F4 E4 G4 lg A4\nvoice Bassus clef F4\n  sb C4 B3 C4 E4 lg A3\n";
    let inward = said(text, &[]);
    assert!(!inward.contains("unless"), "{inward}");
    let text = text.replace("F4 E4 G4", "F4 G4 G4").replace("B3 C4 E4", "B3 G3 E3");
    let said = said(&text, &[]);
    assert!(said.contains("a false fifth on a semibreve, untreated, unless Bb is meant"), "{said}");
}
