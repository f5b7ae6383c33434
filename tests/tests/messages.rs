//! Every message of a parts file that the examples and the usual slips bring about, in one list, to be
//! read aloud in order: short sentences, usual words, what is wrong and what to type instead.

use std::collections::BTreeSet;

use notation::Code;
use score::{BarLength, check};

/// Slips beside those of the examples, a line of music each under the soprano clef.
const SLIPS: [&str; 60] = [
    "sb D4 nm E",
    "sb D4 xylophone E",
    "sb D4 SB E",
    "sb D4 minim E",
    "sb D4 Bflat4 E",
    "sb D4 rest E",
    "sb D4 - E",
    "sbD4 E",
    "sb. D4 E",
    "sb D4/ E",
    "sb D4E E",
    "sb D4-E E",
    "sb D4# E",
    "sb D4♯ E",
    "sb D4, E",
    "sb D44 E",
    "sb D4.. E",
    "sb D4=x E",
    "sb D4* E",
    "sb _4 E4",
    "sb D4~E E",
    "sb D4: E",
    "sb D4 :| E",
    "sb D4 h E",
    "sb D4 # E",
    "sb D4 3 E",
    "sb D4 C| E",
    "sb D4 title E",
    "sb D4 ~E# / E",
    "sb D4 ~E/ F",
    "sb D4 key E",
    "sb D4 | E",
    "sb D4 ) E",
    "sb ( D4 ( E )",
    "sb ( D4 E",
    "sb ( { [ < D4 ( E",
    "mn D4 < E F > G",
    "mn D4 < E | F | G > A",
    "mn D4 < [ E ] | F > G",
    "sb D4 \\ E",
    "sb ( D4 E \\ )",
    "mn D4 .E F",
    "sf D4. .E F",
    "D4 E",
    "sb _2 D4",
    "sb 6 D4",
    "sb D4 clef X E",
    "sb D4 clef C 3 E",
    "sb D4 signature 1b E",
    "sb D4 signature Bb, Eb E",
    "sb D4 sign X E",
    "sb D4 ratio 3 E",
    "sb D4 perfect E",
    "sb D4 \"Prima pars",
    "sb D4 \"Prima E F /",
    "sb D4 E D B4 D",
    "sb D4 E5 D5",
    "sb D4 ~F / E",
    "mn D4=1/9973 E=1/9967",
    "mn D4 <? E | F > G",
];

/// Whole files with slips in the head, in the openings of voices, between voices.
const FILES: [&str; 27] = [
    "",
    "title\nvoice A clef C1\n sb D4\n",
    "title a\ntitle b\nvoice A clef C1\n sb D4\n",
    "layout stack\nvoice A clef C1\n sb D4\n",
    "layout stacked x\nvoice A clef C1\n sb D4\n",
    "sign x\nvoice A clef C1\n sb D4\n",
    "signature x\nvoice A clef C1\n sb D4\n",
    "genre duo\nvoice A clef C1\n sb D4\n",
    "subject\nvoice A clef C1\n sb D4\n",
    "subject B 1-2\nvoice A clef C1\n sb D4\n",
    "subject A 1-9\nvoice A clef C1\n sb D4\n",
    "sb D4\nvoice A clef C1\n sb D4\n",
    "voice\n sb D4\n",
    "voice A\n sb D4\n",
    "voice A clef X\n sb D4\n",
    "voice A C1\n sb D4\n",
    "voice A clef C1 C|\n sb D4\n",
    "voice A clef C1 Bb Eb\n sb B4\n",
    "voice Cantus secundus clef C1\n sb D4\n",
    "voice A clef C1 sb D4\n",
    "voice A clef C1\n sb D4 voice B clef C1\n sb D4\n",
    "voice A clef C1\nvoice A clef C1\n sb D4\n",
    "more A\n sb D4\nvoice A clef C1\n sb D4\n",
    "voice A clef C1\n sb D4\nvoice B canon A 5 after 2\n",
    "voice A clef C1\n sb D4\nvoice B canon C 5 above after 2\n",
    "voice A clef C1\n sb D4\nvoice B canon A 5 above after 2\n sb D4\n",
    "voice A clef C1\n sb D4\ntitle late\n",
];

/// What is said of a file, each message with its help.
fn said(text: &str, all: &mut BTreeSet<String>) {
    let parsed = notation::parse(text);
    let checked = check(&parsed.piece, BarLength::Breve, 9);
    for found in parsed.diagnostics.iter().chain(&checked.diagnostics) {
        let mut line = format!("{}  {}\n", found.code.number(), found.message);
        for (_, label) in &found.related {
            line.push_str(&format!("      ({label})\n"));
        }
        if let Some(help) = &found.help {
            line.push_str(&format!("      {help}\n"));
        }
        all.insert(line);
    }
}

#[test]
fn all_messages_are_read_aloud() {
    let mut all = BTreeSet::new();
    for code in Code::ALL {
        said(code.example(), &mut all);
        said(code.mended(), &mut all);
    }
    for slip in SLIPS {
        said(&format!("voice Cantus clef C1\n  {slip}\n"), &mut all);
    }
    for file in FILES {
        said(file, &mut all);
    }
    let list: String = all.into_iter().collect();
    insta::assert_snapshot!(list);
}

/// Words that a reader stumbles over: they come from word-for-word translation.
#[test]
fn no_message_reads_like_a_translation() {
    let mut all = BTreeSet::new();
    for code in Code::ALL {
        all.insert(format!("{} {}", code.title(), code.explanation()));
        said(code.example(), &mut all);
    }
    for slip in SLIPS {
        said(&format!("voice Cantus clef C1\n  {slip}\n"), &mut all);
    }
    for file in FILES {
        said(file, &mut all);
    }
    for text in all {
        for stiff in [
            "parted",
            "passed over",
            "this is no ",
            "is said by",
            "says too little",
            "says nothing",
            "all the same;",
        ] {
            assert!(!text.contains(stiff), "`{stiff}` in: {text}");
        }
    }
}
