//! The sorts of the proof sheet, as pictures that are kept: whoever changes one looks at it. They are in
//! `tests/tests/pictures`, with names that begin with `copy`; `INSTA_UPDATE=always` draws them anew.

use cartella::{Copy, CopyClefs, Document, Look, Mm};
use suite::{compare_with_kept, fixtures};

/// The name of a case, and its music.
const CASES: [(&str, &str); 7] = [
    (
        // Below the middle line stems go up, above it down.
        "values",
        "voice Tenor clef C4\n mx E3 lg E br E sb E mn E sm E fu E sf E /\n \
         mx C4 lg C br C sb C mn C sm C fu C sf C /\n \
         lg C4. sb D. mn E3. sm D. .C fu F. .E sb A+C4 mn G3+B lg E3+G /\n",
    ),
    (
        "rests",
        "voice Tenor clef C4\n mx _ lg _3 lg _2 lg _ br _ sb _ mn _ sm _ fu _ sf _ /\n \
         br _. sb _^ mn _. sm _? /\n",
    ),
    (
        "clefs",
        "voice A clef G1\n sb G4 clef G2 G4 clef G3 G4 clef G4 G4 clef G5 G4 /\n \
         clef C1 C4 clef C2 C4 clef C3 C4 clef C4 C4 clef C5 C4 /\n \
         clef F1 F3 clef F2 F3 clef F3 F3 clef F4 F3 clef F5 F3 /\n \
         signature Bb F3 signature Bb,Eb F3 clef C1 E4 signature F# E4 signature none E4 /\n",
    ),
    (
        // The table of Apel, The Notation of Polyphonic Music (from memory): each pair of values, rising
        // and falling.
        "ligatures of two",
        "voice Tenor clef C4\n ( br A3 B ) ( br A lg B ) ( lg A br B ) ( lg A B ) ( sb A B ) /\n \
         ( br B3 A ) ( br B lg A ) ( lg B br A ) ( lg B A ) ( sb B A ) ( sb B \\ A ) /\n \
         ( br B3 E ) ( br E B ) ( lg E B ) ( mx A br B ) ( br B mx A ) ( sb E B ) ( br B \\ E ) /\n",
    ),
    (
        "ligatures of three and four",
        "voice Tenor clef C4\n ( br G3 A B ) ( br B A G ) ( lg B br A lg G ) ( sb G A br B ) ( sb A \\ G lg B ) /\n \
         ( br A3 \\ G lg B ) ( br G lg B br C4 ) ( lg C4 br B A G3 ) ( br G A lg B A ) ( sb A G br A B ) /\n \
         { ( br A3 B ) ( br B A ) ( sb A G lg B ) } ( br A { B } ) ( br A. lg B^ ) ( sb A? B[b] ) /\n",
    ),
    (
        "coloration and signs",
        "voice Cantus clef C1 sign C|\n { mx G4 lg A br A sb A mn A sm A fu A } ratio 3:2 { sb A mn G } ratio 1:1 sb F ~G /\n \
         sign O sb G4 sign O. G sign O| G sign C G sign C. G sign rC G sign 3 G sign 3/2 G sign C|3/2 G sign 2 G ~A /\n \
         sb A4^ B% C5? D[#] C#5 Bb4 Bn G#4 \"Prima pars\" A=5/2 G. F.+ E perfect br D4 :: E F || lg G /\n",
    ),
    (
        "what the editor says",
        "voice Cantus clef C1 sign C|\n sb A4 < mn B C5 | sb B > A [ mn G F ] sb E < | mn F > G < sm A | > sb G4 F ~G /\n \
         sb G4 <? mn A | sb A > B D[b] C?[#] < br D | lg D > [ sb _ ] E=3 ratio 3:2 mn D C B ratio 1:1 ( < br A | lg A > G ) lg A //\n",
    ),
];

fn drawn(text: &str, setting: &Copy, width: f64) -> String {
    let document = Document::parse(text);
    let copied = document.first().copied();
    let picture =
        copied.picture(&Look { width: Mm(width), ..Look::default() }, setting, &|_, _| None);
    assert_eq!(cartella::audit(&picture), [], "{text}");
    assert_eq!(copied.unaccounted(&[&picture]), [], "{text}");
    document.svg(&picture)
}

#[test]
fn cases() {
    for (name, text) in CASES {
        compare_with_kept(&format!("copy, {name}"), &drawn(text, &Copy::default(), 150.0));
    }
}

/// Stacked voices system by system, part-books voice by voice, bars of a barred print; and modern clefs.
#[test]
fn whole_sheets() {
    let fixture = |wanted: &str| fixtures().into_iter().find(|(name, _)| name == wanted).unwrap().1;
    let barred = "layout barred\ntitle Barred\nvoice Cantus clef C1\n mn D4 | sb E F | mn G F E D / br E | lg D //\n\
                  voice Tenor clef C4\n mn D3 | sb C D | mn E F G A / br A | lg D //\n";
    let modern = Copy { clefs: CopyClefs::Modern, ..Copy::default() };
    for (name, text, setting) in [
        ("stacked", fixture("rising-subject"), Copy::default()),
        ("part-books", fixture("emended-tenor"), Copy::default()),
        ("sections and ligatures", fixture("high-clefs"), Copy::default()),
        ("canon", fixture("canon-at-the-fifth"), Copy::default()),
        ("black notes", fixture("black-and-triple"), Copy::default()),
        ("barred", barred.to_owned(), Copy::default()),
        ("modern clefs", fixture("rising-subject"), modern),
    ] {
        compare_with_kept(&format!("copy, {name}"), &drawn(&text, &setting, 210.0));
    }
}
