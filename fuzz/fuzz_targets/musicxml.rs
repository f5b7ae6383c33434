//! MusicXML: what is read is a parts file without errors.

#![no_main]

use cartella_fuzz::{BUILT, back_again, document, whole_way, without_errors};
use libfuzzer_sys::fuzz_target;

const TAGS: &[&str] = &[
    "note", "note", "note", "note", "measure", "measure", "part", "pitch", "pitch", "step",
    "octave", "alter", "duration", "duration", "type", "dot", "rest", "chord", "grace", "cue",
    "unpitched", "voice", "staff", "tie", "tied", "notations", "accidental", "accidental-mark",
    "fermata", "slur", "lyric", "time-modification", "actual-notes", "normal-notes", "backup",
    "forward", "attributes", "divisions", "key", "fifths", "key-step", "key-alter", "time",
    "beats", "beat-type", "clef", "sign", "line", "clef-octave-change", "transpose", "chromatic",
    "diatonic", "octave-change", "double", "barline", "bar-style", "repeat", "ending",
    "direction", "direction-type", "words", "segno", "bracket", "offset", "sound", "part-list",
    "score-part", "part-name", "part-name-display", "work", "work-title", "movement-title",
    "identification", "creator", "miscellaneous", "miscellaneous-field", "credit", "level",
    "measure-style", "measure-repeat", "print", "harmony",
];

const ATTRIBUTES: &[&str] = &[
    "type=\"start\"", "type=\"stop\"", "id=\"P1\"", "id=\"P2\"", "number=\"1\"", "number=\"2\"",
    "measure=\"yes\"", "location=\"left\"", "location=\"middle\"", "direction=\"backward\"",
    "direction=\"forward\"", "print-object=\"no\"", "symbol=\"cut\"", "symbol=\"common\"",
    "editorial=\"yes\"", "bracket=\"yes\"", "name=\"minim\"", "name=\"note\"", "tempo=\"60\"",
];

/// Texts; among them whole notes, so that some music is built soon.
const TEXTS: &[&str] = &[
    "1", "2", "3", "4", "6", "8", "12", "16", "0", "-1", "1.5", "999", "9999", "1000000", "C",
    "F", "G", "B", "E", "half", "quarter", "whole", "breve", "eighth", "1024th", "maxima",
    "sharp", "flat", "natural", "light-light", "light-heavy", "words", "\u{feff}", "\"", "&lt;",
    "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note>",
    "<note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>2</duration></note>",
    "<note><pitch><step>B</step><alter>-1</alter><octave>3</octave></pitch><duration>3</duration><voice>2</voice></note>",
    "<note><chord/><pitch><step>A</step><octave>4</octave></pitch><duration>2</duration></note>",
    "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration><tie type=\"stop\"/></note>",
    "<note><rest/><duration>5</duration></note>",
    "<note><rest measure=\"yes\"/><duration>4</duration></note>",
    "<note><pitch><step>E</step><octave>5</octave></pitch><duration>1</duration><type>half</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification></note>",
    "<backup><duration>2</duration></backup>", "<forward><duration>3</duration></forward>",
    "<barline><bar-style>light-light</bar-style></barline>",
    "<barline><repeat direction=\"backward\"/></barline>",
    "<attributes><divisions>2</divisions></attributes>",
    "<attributes><divisions>7</divisions></attributes>",
    "<attributes><key><fifths>-6</fifths></key></attributes>",
    "<attributes><clef><sign>F</sign></clef></attributes>",
    "</measure><measure>", "</measure></part><part id=\"P2\"><measure>",
];

fuzz_target!(|data: &[u8]| {
    let built;
    let bytes = match data.split_first() {
        Some((&BUILT, data)) => {
            let before = "<score-partwise><part id=\"P1\"><measure>";
            let after = "</measure></part></score-partwise>";
            built = document(data, before, TAGS, ATTRIBUTES, TEXTS, after);
            built.as_bytes()
        }
        _ => data,
    };
    if let Ok(reading) = exchange::read_musicxml("score", bytes, None) {
        without_errors(&reading.text);
        whole_way(&reading.text);
        back_again(&reading.text);
    }
});
