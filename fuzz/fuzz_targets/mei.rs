//! MEI: what is read is a parts file, and goes all the way.

#![no_main]

use cartella_fuzz::{BUILT, back_again, document, whole_way};
use exchange::{MeiPart, read_mei};
use libfuzzer_sys::fuzz_target;

const TAGS: &[&str] = &[
    "note",
    "note",
    "note",
    "rest",
    "chord",
    "dot",
    "custos",
    "ligature",
    "ligature",
    "clef",
    "keySig",
    "keyAccid",
    "mensur",
    "proport",
    "sb",
    "pb",
    "barLine",
    "measure",
    "staff",
    "layer",
    "section",
    "supplied",
    "unclear",
    "choice",
    "sic",
    "corr",
    "orig",
    "reg",
    "app",
    "lem",
    "rdg",
    "accid",
    "artic",
    "verse",
    "syl",
    "fermata",
    "dir",
    "signifLet",
    "symbol",
    "scoreDef",
    "staffDef",
    "layerDef",
    "staffGrp",
    "label",
    "space",
    "tie",
    "slur",
    "beam",
    "add",
    "del",
];

const ATTRIBUTES: &[&str] = &[
    "pname=\"c\"",
    "pname=\"f\"",
    "oct=\"4\"",
    "oct=\"5\"",
    "dur=\"longa\"",
    "dur=\"brevis\"",
    "dur=\"semibrevis\"",
    "dur=\"minima\"",
    "dur=\"semiminima\"",
    "dur=\"fusa\"",
    "dots=\"1\"",
    "colored=\"true\"",
    "accid=\"s\"",
    "accid=\"f\"",
    "accid.ges=\"f\"",
    "shape=\"C\"",
    "shape=\"F\"",
    "line=\"4\"",
    "line=\"1\"",
    "sign=\"C\"",
    "sign=\"O\"",
    "slash=\"1\"",
    "dot=\"true\"",
    "num=\"3\"",
    "numbase=\"2\"",
    "sig=\"1f\"",
    "right=\"dbl\"",
    "right=\"invis\"",
    "right=\"rptend\"",
    "form=\"div\"",
    "form=\"aug\"",
    "form=\"obliqua\"",
    "form=\"dbl\"",
    "spaces=\"2\"",
    "spaces=\"3\"",
    "fermata=\"above\"",
    "n=\"1\"",
    "n=\"2\"",
    "xml:id=\"a\"",
    "startid=\"#a\"",
    "notationtype=\"mensural.white\"",
    "func=\"edit\"",
    "loc=\"3\"",
    "dur.quality=\"perfecta\"",
];

const TEXTS: &[&str] = &[
    "words",
    "\"",
    ";",
    "|",
    " ",
    "\u{feff}",
    "<note pname=\"d\" oct=\"4\" dur=\"minima\"/>",
    "<note pname=\"b\" oct=\"4\" dur=\"semibrevis\" dots=\"1\"/>",
    "<note pname=\"f\" oct=\"4\" dur=\"fusa\" accid=\"s\"/>",
    "<note pname=\"a\" oct=\"4\" dur=\"brevis\" colored=\"true\"/>",
    "<rest dur=\"longa\" spaces=\"3\"/>",
    "<rest dur=\"semibrevis\"/>",
    "<dot/>",
    "<dot form=\"div\"/>",
    "<custos pname=\"d\" oct=\"4\"/>",
    "<sb/>",
    "</layer></staff></measure><measure right=\"invis\"><staff n=\"1\"><layer n=\"1\">",
    "</layer></staff></measure><measure right=\"dbl\"><staff n=\"1\"><layer n=\"1\">",
];

fuzz_target!(|data: &[u8]| {
    let built;
    let text = match data.split_first() {
        Some((&BUILT, data)) => {
            let before = "<mei><music><body><mdiv><score><scoreDef><staffGrp><staffDef n=\"1\" \
                notationtype=\"mensural.white\" clef.shape=\"C\" clef.line=\"1\" mensur.sign=\"C\"/>\
                </staffGrp></scoreDef><section><measure><staff n=\"1\"><layer n=\"1\">";
            let after = "</layer></staff></measure></section></score></mdiv></body></music></mei>";
            built = document(data, before, TAGS, ATTRIBUTES, TEXTS, after);
            Some(built.as_str())
        }
        _ => std::str::from_utf8(data).ok(),
    };
    let Some(text) = text else { return };
    let part = MeiPart { name: "cantus", text };
    for parts in [&[part][..], &[part, part]] {
        if let Ok(reading) = read_mei(parts) {
            whole_way(&reading.text);
            back_again(&reading.text);
        }
    }
});
