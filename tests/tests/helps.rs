//! Every help is followed: the file of the example, changed as the help says, has that error no more,
//! and no new one.

use std::collections::BTreeMap;

use cartella::{BarLength, Diagnostic, Document, Edit, apply};
use notation::Code;
use suite::{SLIPPED_FILES, SLIPS};

fn diagnostics(text: &str) -> Vec<Diagnostic> {
    let document = Document::parse(text);
    let mut all = document.shared_diagnostics().to_vec();
    all.extend(document.examples().flat_map(|one| one.check(BarLength::Breve, 9).diagnostics));
    all
}

/// How many diagnostics of each kind there are.
fn counted(found: &[Diagnostic]) -> BTreeMap<Code, usize> {
    let mut counts = BTreeMap::new();
    for found in found {
        *counts.entry(found.code).or_insert(0) += 1;
    }
    counts
}

/// What the help says cannot always be done by a machine: where it leaves a choice, or wants something
/// moved. These are the slips, a line of music each, as a person changes them who follows the help.
const LINES: &[(&str, &str)] = &[
    ("D4 E", "mn D4 E"),
    ("mn D4 .E F", "mn D4. .E F"),
    ("mn D4 < E F > G", "mn D4 < E F | E > G"),
    ("mn D4 < E | F | G > A", "mn D4 < E | F G > A"),
    ("mn D4 < [ E ] | F > G", "mn D4 < E | [ E ] F > G"),
    ("mn D4 <? E | F > G", "mn D4 < E | F > G"),
    ("mn D4=1/9973 E=1/9967", "mn D4=1/3 E=1/3"),
    ("sb ( D4 ( E )", "sb ( D4 E )"),
    ("sb ( D4 E", "sb ( D4 E )"),
    ("sb ( D4 E \\ )", "sb ( D4 \\ E )"),
    ("sb ( { [ < D4 ( E", "sb ratio 3:2 ( C4 { [ < D4 | E4 > ] } ) D"),
    ("sb 6 D4", "sign 6 ratio 6:1 sb D4"),
    ("sb D4 \"Prima E F /", "sb D4 \"Prima\" E F /"),
    ("sb D4 # E", "sb D#4 E"),
    ("sb D4 ) E", "sb D4 E"),
    ("sb D4 - E", "sb D4 _ E"),
    ("sb D4 3 E", "sb D4 sign 3 ratio 3:2 E E E"),
    ("sb D4 :| E", "sb D4 :: E"),
    ("sb D4 Bflat4 E", "sb D4 Bb4 E5"),
    ("sb D4 \\ E", "( sb D4 \\ E )"),
    ("sb D4 clef X E", "sb D4 clef C1 E"),
    ("sb D4 h E", "sb D4 B4 E4"),
    ("sb D4 key E", "sb D4 signature Bb E"),
    ("sb D4 perfect E", "sb D4 perfect br E"),
    ("sb D4 ratio 3 E", "sb D4 ratio 3:2 E E E"),
    ("sb D4 sign X E", "sb D4 sign C| E"),
    ("sb D4 signature 1b E", "sb D4 signature Bb E"),
    ("sb D4 title E", "sb D4 E"),
    ("sb D4 xylophone E", "sb D4 E4 E"),
    ("sb D4 | E", "sb D4 || E"),
    ("sb D4 ~E# / E", "sb D4 ~E / E"),
    ("sb D4 ~E/ F", "sb D4 ~F/ F"),
    ("sb D4 ~F / E", "sb D4 ~E / E"),
    ("sb D4# E", "sb D#4 E"),
    ("sb D4* E", "sb D4 _*4 E"),
    ("sb D4, E", "sb D4 E"),
    ("sb D4-E E", "sb D4 E E"),
    ("sb D4.. E", "sb D4. E"),
    ("sb D44 E", "sb D4 E"),
    ("sb D4: E", "sb D4 :: E"),
    ("sb D4=x E", "sb D4=5/2 E"),
    ("sb D4♯ E", "sb D#4 E"),
    ("sb _2 D4", "lg _2 sb D4"),
    ("sb _4 E4", "sb _*4 E4"),
    ("sb. D4 E", "sb D4. E"),
    ("sf D4. .E F", "sm D4. .E F"),
    ("sb D4 E5 D5", "sb D4 E4 D4"),
];

/// The same of whole files.
const FILES: &[(&str, &str)] = &[
    ("", "voice Cantus clef C1\n sb D4\n"),
    ("genre duo\nvoice A clef C1\n sb D4\n", "title duo\nvoice A clef C1\n sb D4\n"),
    ("layout stack\nvoice A clef C1\n sb D4\n", "layout stacked\nvoice A clef C1\n sb D4\n"),
    (
        "layout stacked x\nvoice A clef C1\n sb D4\n",
        "layout stacked\ntitle x\nvoice A clef C1\n sb D4\n",
    ),
    ("more A\n sb D4\nvoice A clef C1\n sb D4\n", "voice A clef C1\n sb D4\nmore A\n sb D4\n"),
    ("sb D4\nvoice A clef C1\n sb D4\n", "voice Cantus clef C1\nsb D4\nvoice A clef C1\n sb D4\n"),
    ("sign x\nvoice A clef C1\n sb D4\n", "sign C|\nvoice A clef C1\n sb D4\n"),
    ("signature x\nvoice A clef C1\n sb D4\n", "signature Bb,Eb\nvoice A clef C1\n sb D4\n"),
    ("hand\nvoice A clef C1\n sb D4\n", "hand left A 1\nvoice A clef C1\n sb D4\n"),
    ("hand left\nvoice A clef C1\n sb D4\n", "hand left A 1-1\nvoice A clef C1\n sb D4\n"),
    ("hand left A 1-9\nvoice A clef C1\n sb D4\n", "hand left A 1-1\nvoice A clef C1\n sb D4\n"),
    ("hand left B 1-2\nvoice A clef C1\n sb D4\n", "hand left A 1-1\nvoice A clef C1\n sb D4\n"),
    ("hand third A 1\nvoice A clef C1\n sb D4\n", "hand right A 1\nvoice A clef C1\n sb D4\n"),
    ("break\nvoice A clef C1\n br D4 E\n", "break 2\nvoice A clef C1\n br D4 E\n"),
    ("break x\nvoice A clef C1\n br D4 E\n", "break 2\nvoice A clef C1\n br D4 E\n"),
    ("page 1\nvoice A clef C1\n br D4 E\n", "page 2\nvoice A clef C1\n br D4 E\n"),
    ("page 9\nvoice A clef C1\n br D4 E\n", "page 2\nvoice A clef C1\n br D4 E\n"),
    (
        "break 2 4\nvoice A clef C1\n br D4 E F G\n",
        "break 2\nbreak 4\nvoice A clef C1\n br D4 E F G\n",
    ),
    ("subject\nvoice A clef C1\n sb D4\n", "subject A 1\nvoice A clef C1\n sb D4\n"),
    ("subject A 1-9\nvoice A clef C1\n sb D4\n", "subject A 1-1\nvoice A clef C1\n sb D4\n"),
    ("subject B 1-2\nvoice A clef C1\n sb D4\n", "subject A 1-1\nvoice A clef C1\n sb D4\n"),
    ("title\nvoice A clef C1\n sb D4\n", "title A duo\nvoice A clef C1\n sb D4\n"),
    ("composer\nvoice A clef C1\n sb D4\n", "composer A. B.\nvoice A clef C1\n sb D4\n"),
    ("topic\nvoice A clef C1\n sb D4\n", "topic duo\nvoice A clef C1\n sb D4\n"),
    ("title a\ntitle b\nvoice A clef C1\n sb D4\n", "title b\nvoice A clef C1\n sb D4\n"),
    ("voice\n sb D4\n", "voice Cantus clef C1\n sb D4\n"),
    ("voice A\n sb D4\n", "voice A clef C1\n sb D4\n"),
    ("voice A clef C1\n sb D4\ntitle late\n", "title late\nvoice A clef C1\n sb D4\n"),
    (
        "voice A clef C1\n sb D4\nvoice B canon A 5 above after 2\n sb D4\n",
        "voice A clef C1\n sb D4\nvoice B canon A 5 above after 2\n",
    ),
    (
        "voice A clef C1\n sb D4\nvoice B canon A 5 after 2\n",
        "voice A clef C1\n sb D4\nvoice B canon A 5 above after 2\n",
    ),
    (
        "voice A clef C1\n sb D4\nvoice B canon C 5 above after 2\n",
        "voice A clef C1\n sb D4\nvoice B canon A 5 above after 2\n",
    ),
    (
        "voice A clef C1\nvoice A clef C1\n sb D4\n",
        "voice A clef C1\n sb D4\nvoice B clef C1\n sb D4\n",
    ),
    ("voice A clef X\n sb D4\n", "voice A clef C1\n sb D4\n"),
    ("voice Cantus secundus clef C1\n sb D4\n", "voice Cantus-secundus clef C1\n sb D4\n"),
    (
        "sign 3\n\nvoice A clef C1\n mn D4 E F G F E lg D\n",
        "sign 3\n\nvoice A clef C1\n ratio 3:2 perfect sb mn D4 E F G F E lg D\n",
    ),
    (
        "sign 3 ratio 3:2\nvoice A clef C1\n mn D4 E F G F E lg D\n",
        "sign 3\nvoice A clef C1\n ratio 3:2 mn D4 E F G F E lg D\n",
    ),
];

/// A file of which something is said, and how a person changes it who follows the help.
struct Case {
    text: String,
    by_hand: Option<String>,
}

/// The examples of all codes, each with its mended example, and the usual slips.
fn cases() -> Vec<Case> {
    let of = |known: &[(&str, &str)], text: &str| {
        known.iter().find(|(slip, _)| *slip == text).map(|(_, after)| (*after).to_owned())
    };
    let voice = |music: &str| format!("voice Cantus clef C1\n  {music}\n");
    let examples = Code::ALL.iter().map(|code| Case {
        text: code.example().to_owned(),
        by_hand: Some(code.mended().to_owned()),
    });
    let slips = SLIPS
        .iter()
        .map(|slip| Case { text: voice(slip), by_hand: of(LINES, slip).map(|line| voice(&line)) });
    let files = SLIPPED_FILES
        .iter()
        .map(|file| Case { text: (*file).to_owned(), by_hand: of(FILES, file) });
    examples.filter(|case| !case.text.is_empty()).chain(slips).chain(files).collect()
}

/// The file with one help followed, where that is mechanical: by the fix, or where the help names the one
/// word to type instead.
fn followed(text: &str, found: &Diagnostic) -> Option<String> {
    let help = found.help.as_deref()?;
    if let Some(fix) = &found.fix {
        return Some(apply(text, std::slice::from_ref(fix)));
    }
    let quoted = || {
        let help = help.strip_suffix('?').unwrap_or(help);
        let (before, word) = help.strip_suffix('`')?.split_once('`')?;
        ["did you mean ", "for the sign, type "].contains(&before).then(|| word.to_owned())
    };
    let after = |words: &str| help.split_once(words).map(|(_, typed)| typed.to_owned());
    let typed = quoted()
        .or_else(|| after("type it without a blank: "))
        .or_else(|| after("join it to its note, without a blank: "))?;
    Some(apply(text, &[Edit::new(found.span, typed)]))
}

/// What is wrong with a file in which a help was followed.
fn wrong(before: &[Diagnostic], found: &Diagnostic, after: &str) -> Option<String> {
    let mut expected = counted(before);
    *expected.get_mut(&found.code)? -= 1;
    let after = diagnostics(after);
    let more = |(code, count): (&Code, &usize)| *count > expected.get(code).copied().unwrap_or(0);
    counted(&after).iter().find(|pair| more(*pair)).map(|(code, _)| {
        let said = after.iter().filter(|found| found.code == *code);
        said.map(|found| format!("{code} {}", found.message)).collect::<Vec<_>>().join("; ")
    })
}

#[test]
fn every_help_is_followed() {
    let (mut mechanical, mut by_hand) = (0, 0);
    let mut failures = Vec::new();
    for case in cases() {
        let found = diagnostics(&case.text);
        for one in found.iter().filter(|one| one.help.is_some()) {
            let said = format!("{:?}: {} {}: {:?}", case.text, one.code, one.message, one.help);
            let mechanical_after = followed(&case.text, one);
            let Some(after) = mechanical_after.as_deref().or(case.by_hand.as_deref()) else {
                failures.push(format!("{said}: nobody has followed this"));
                continue;
            };
            if mechanical_after.is_some() {
                mechanical += 1;
            } else {
                by_hand += 1;
            }
            let wrong = wrong(&found, one, after);
            failures.extend(wrong.map(|wrong| format!("{said}: then {after:?} has {wrong}")));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
    assert!(mechanical > 20 && by_hand > 100, "{mechanical} {by_hand}");
}

/// What would not help is found.
#[test]
fn a_help_that_misleads_is_found() {
    let text = "voice Cantus clef C1\n  sb D4 nm E\n";
    let found = diagnostics(text);
    assert_eq!(followed(text, &found[0]).as_deref(), Some("voice Cantus clef C1\n  sb D4 mn E\n"));
    for after in [text, "voice Cantus clef C1\n  sb D4 mn E |\n", "voice Cantus\n  sb D4 mn E\n"] {
        assert!(wrong(&found, &found[0], after).is_some(), "{after}");
    }
}

/// Every row of the tables belongs to a slip.
#[test]
fn no_row_is_left_over() {
    assert!(LINES.iter().all(|(slip, _)| SLIPS.contains(slip)));
    assert!(FILES.iter().all(|(file, _)| SLIPPED_FILES.contains(file)));
}
