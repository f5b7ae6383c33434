//! Every message of a parts file that the examples and the usual slips bring about, in one list, to be
//! read aloud in order: short sentences, usual words, what is wrong and what to type instead.

use std::collections::BTreeSet;

use notation::Code;
use score::{BarLength, check};
use suite::{SLIPPED_FILES, SLIPS};

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
    for file in SLIPPED_FILES {
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
    for file in SLIPPED_FILES {
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
