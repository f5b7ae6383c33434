//! Whatever is typed, there is an answer within seconds, and it is no panic.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use exchange::write_musicxml;
use notation::{Code, Spelling, tidy};
use proptest::prelude::*;
use score::{BarLength, Options, Staves, arrange};
use suite::aligned;

/// The whole way; the codes of what was said.
fn codes(text: &str) -> Vec<Code> {
    let begin = Instant::now();
    let (score, diagnostics) = aligned(text, BarLength::Breve);
    if !score.voices.is_empty() {
        for staves in [Staves::Keyboard, Staves::Open] {
            let _ = write_musicxml(&arrange(&score, Options { staves, ..Options::default() }));
        }
    }
    let _ = tidy(text, Spelling::default());
    // Far more than it takes, even unoptimized on a busy machine; what grows with the square of
    // the length would take hours.
    assert!(begin.elapsed() < Duration::from_mins(1), "{:?}", begin.elapsed());
    diagnostics.into_iter().map(|diagnostic| diagnostic.code).collect()
}

fn cantus(music: &str) -> String {
    format!("voice Cantus clef C1\n  {music}\n")
}

#[test]
fn an_empty_file() {
    assert_eq!(codes(""), [Code::NoVoices]);
    assert_eq!(codes("\n\n ; nothing\n"), [Code::NoVoices]);
}

#[test]
fn two_hundred_thousand_opening_brackets() {
    for bracket in ["( ", "{ ", "[ ", "< ", "<? "] {
        let found = codes(&cantus(&bracket.repeat(200_000)));
        assert!(found.contains(&Code::GroupInItself) && found.len() <= 10_000);
    }
}

#[test]
fn a_voice_of_four_hundred_thousand_notes() {
    let found = codes(&cantus(&format!("sm G4 {}lg G", "A G ".repeat(200_000))));
    assert_eq!(found, []);
}

#[test]
fn four_hundred_thousand_source_lines_and_slips() {
    let found = codes(&format!("layout stacked\n{}", cantus(&"sm G4 A x / ".repeat(100_000))));
    assert!(found.contains(&Code::UnknownWord));
}

#[test]
fn three_thousand_voices() {
    let mut text = String::new();
    for voice in 0..3000 {
        let _ = writeln!(text, "voice V{voice} clef C1\n  br G4 lg G");
    }
    assert_eq!(codes(&text), [Code::TooManyVoices]);
}

#[test]
fn sixty_four_voices() {
    let mut text = String::new();
    for voice in 0..64 {
        let _ = writeln!(text, "voice V{voice} clef C1\n  {}lg G", "mn G4 A ".repeat(200));
    }
    assert!(codes(&text).iter().all(|code| *code == Code::BeyondReach));
}

#[test]
fn absurd_digits() {
    for word in [
        "G99999999999999999999",
        "G4=99999999999999999999",
        "G4=1/99999999999999999999",
        "G4=0",
        "G4=1/0",
        "_*99999999999999999999",
        "_*0",
    ] {
        assert!(codes(&cantus(&format!("mn {word} G4"))).contains(&Code::MalformedNote), "{word}");
    }
    for ratio in ["0:1", "1:0", "65:64", "99999999999999999999:1", "-1:2", "3:2:1"] {
        let found = codes(&cantus(&format!("ratio {ratio} mn G4")));
        assert!(found.contains(&Code::NoSuchReading), "{ratio}");
    }
}

#[test]
fn lengths_at_the_limit() {
    assert_eq!(codes(&cantus("mn G4=9999 G=1/9999 G=9999/9998")), [Code::TimeTooFine]);
    assert_eq!(codes(&cantus("ratio 1:64 mx G4 G G G G G G G G G")), []);
    let many: String = (1..2000).fold(String::new(), |mut text, number| {
        let _ = write!(text, "G4=1/{number} ");
        text
    });
    assert!(codes(&cantus(&format!("mn {many}"))).contains(&Code::TimeTooFine));
}

#[test]
fn a_canon_that_goes_beyond_the_end() {
    let text =
        format!("{}voice B clef C1 canon Cantus 15 below after 9999\n", cantus("br G4 lg G"));
    assert_eq!(codes(&text).iter().filter(|code| code.number().starts_with('E')).count(), 0);
}

#[test]
fn octaves_at_the_limit() {
    let found = codes(&cantus("mn G0 G9 G0 lg G9"));
    assert!(found.iter().all(|code| matches!(code, Code::Leap | Code::OutsideClef)));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn noise(text in any::<String>()) {
        codes(&text);
        codes(&cantus(&text));
    }

    #[test]
    fn bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        match notation::text_of(&bytes) {
            Ok(text) => drop(codes(text)),
            Err(wrong) => prop_assert_eq!(wrong.code, Code::NotText),
        }
    }
}
