//! What is refused, and files made in bad faith.

use super::*;

#[test]
fn no_mei() {
    assert_eq!(
        fault("<score-partwise/>"),
        Fault::OtherFormat { wanted: "MEI", found: "score-partwise".into() }
    );
    assert!(matches!(fault("title A"), Fault::NotXml { .. }));
}

#[test]
fn no_music() {
    assert_eq!(fault("<mei/>"), Fault::NoMusic);
    assert_eq!(fault(&file(STAFF, "")), Fault::NoMusic);
    assert_eq!(
        fault(&file(STAFF, &measure("dbl", "<clef shape=\"C\" line=\"2\"/>"))),
        Fault::NoMusic
    );
}

#[test]
fn more_than_one_voice() {
    let line = measure("dbl", &notes("d4 longa"));
    let text = file(&(STAFF.to_owned() + "\n" + &STAFF.replace("n=\"1\"", "n=\"2\"")), &line);
    let error = read_one(&text).unwrap_err();
    assert_eq!((error.line, error.fault), (Some(3), Fault::SeveralStaves));

    let two = line.replace("</staff>", "</staff><staff n=\"2\"><layer/></staff>");
    assert_eq!(fault(&file(STAFF, &two)), Fault::SeveralStaves);

    let two = line.replace("</layer>", "</layer><layer n=\"2\"/>");
    assert_eq!(fault(&file(STAFF, &two)), Fault::SeveralLayers);

    let text = file(STAFF, &line).replace("</mdiv>", "</mdiv><mdiv><score/></mdiv>");
    assert_eq!(fault(&text), Fault::SeveralPieces);
    assert_eq!(fault("<meiCorpus/>"), Fault::SeveralPieces);
}

#[test]
fn modern_notation() {
    let modern = STAFF.replace("mensural.white", "cmn");
    let text = file(&modern, &measure("dbl", &notes("d4 4")));
    assert_eq!(fault(&text), Fault::NotMensural { notation: "cmn".into() });

    let text = file("<staffDef n=\"1\"/>", &measure("dbl", &notes("d4 4")));
    assert_eq!(fault(&text), Fault::ModernValue { value: "4".into() });
}

#[test]
fn notes_that_say_too_little() {
    let layer = |layer| fault(&file(STAFF, &measure("dbl", layer)));
    assert_eq!(layer("<note pname=\"d\" oct=\"4\"/>"), Fault::NoValue);
    assert_eq!(layer("<note pname=\"d\" dur=\"longa\"/>"), Fault::NoPitch);
    assert_eq!(layer("<note pname=\"h\" oct=\"4\" dur=\"longa\"/>"), Fault::NoPitch);
    assert_eq!(layer("<note pname=\"d\" oct=\"10\" dur=\"longa\"/>"), Fault::NoPitch);
    assert_eq!(layer("<chord dur=\"longa\"/>"), Fault::NoPitch);
    assert_eq!(layer("<rest dur=\"crotchet\"/>"), Fault::UnknownValue { value: "crotchet".into() });
}

#[test]
fn the_number_of_voices_is_limited() {
    assert_eq!(read_mei(&[]).unwrap_err().fault(), Some(&Fault::NoFiles));
    let text = file(STAFF, &measure("dbl", &notes("d4 longa")));
    let part = MeiPart { name: "tenor", text: &text };
    assert!(read_mei(&[part; 64]).is_ok());
    let fault = Fault::TooManyVoices { voices: 65 };
    assert_eq!(read_mei(&[part; 65]).unwrap_err().fault(), Some(&fault));
}

#[test]
fn an_error_says_where_and_what_to_do() {
    let text = file(STAFF, &measure("dbl", "\n<rest/>"));
    assert_eq!(
        read_one(&text).unwrap_err().to_string(),
        "cantus, line 3: this note or rest has no value; give it a `dur`"
    );
}

#[test]
fn deep_nesting_is_walked_through() {
    let depth = 100_000;
    for element in ["section", "unclear", "supplied", "ligature", "beam", "chord"] {
        let note = r#"<note pname="d" oct="4" dur="longa"/>"#;
        let open =
            if element == "chord" { "<chord dur=\"longa\">" } else { &format!("<{element}>") };
        let nested = open.repeat(depth) + note + &format!("</{element}>").repeat(depth);
        let nested = measure("dbl", &nested);
        // A chord within a chord is no note.
        assert_eq!(read_one(&file(STAFF, &nested)).is_ok(), element != "chord", "{element}");
    }
}
