//! The largest pieces that a few letters can make cost seconds, and memory of well below a gigabyte,
//! whatever is made of them. What uses memory is one test, beside one that uses little.

use std::time::{Duration, Instant};

use engrave::{Look, engrave, svg};
use exchange::{write_midi, write_musicxml};
use notation::{Code, LineIndex, MOST_MINIMS};
use score::{BarLength, Options, Score, Staves, arrange};
use sound::{Playing, perform};
use suite::{aligned, forget_memory, peak_memory};

/// More memory than this is never used, in bytes.
const MOST_MEMORY: usize = 800 << 20;

/// The score of a piece that is too large: what was read of it is no longer than it may be.
fn cut_off(name: &str, text: &str) -> Score {
    let (score, found) = aligned(text, BarLength::Semibreve);
    assert!(found.iter().any(|found| found.code == Code::TooLarge), "{name}");
    let lasting = score.length.whole(rudiments::Time::minims(1)) * score.voices.len() as i64;
    // A last bar may be longer than its notes.
    assert!(lasting <= MOST_MINIMS + 64 * 4, "{name}: {lasting}");
    score
}

/// The whole way of a piece that is too large.
fn bounded(name: &str, text: &str) {
    forget_memory();
    let begin = Instant::now();
    let score = cut_off(name, text);
    let arrangement = arrange(&score, Options { staves: Staves::Open, ..Options::default() });
    let index = LineIndex::new(text);
    drop(write_musicxml(&arrangement));
    drop(svg(&engrave(&arrangement, &Look::default()), &|span| index.line(span.start)));
    let _ = write_midi(&score, &perform(&score, &Playing::default(), None));
    let time = begin.elapsed();
    // Far more than it takes, even unoptimized on a busy machine.
    assert!(time < Duration::from_mins(5), "{name}: {time:?}");
    let Some(peak) = peak_memory() else { return };
    println!("{name}: {} bytes, {time:.1?}, {} MiB", text.len(), peak >> 20);
    assert!(peak < MOST_MEMORY, "{name}: {} MiB", peak >> 20);
}

fn voices(count: usize, music: &str) -> String {
    (0..count).map(|voice| format!("voice V{voice} clef C1\n  {music}\n")).collect()
}

#[test]
fn the_largest_pieces() {
    let rests = "mx D4 ".to_owned() + &"_*9999 ".repeat(50);
    bounded("counted rests", &voices(1, &rests));
    bounded("counted rests of 64 voices", &voices(64, &rests));
    bounded("the editor's lengths", &voices(1, &("br D4".to_owned() + &" D=9999".repeat(100))));
    bounded("sections", &voices(64, &format!("sf D4 {}", "|| ".repeat(40_000))));
    let silent: String = (1..64).map(|voice| format!("voice S{voice} clef C1\n sb D4\n")).collect();
    bounded("silence beside one voice", &(voices(1, &rests) + &silent));
    bounded("short notes", &voices(1, &format!("sf {}", "D4 E4 ".repeat(260_000))));
}

#[test]
fn lengths_that_are_not_printed_count_too() {
    cut_off("a slow proportion", &voices(4, &format!("ratio 1:64 mx {}", "D4 ".repeat(1000))));
    let perfect = "perfect mx perfect lg perfect br perfect sb";
    cut_off("perfect values", &voices(1, &format!("{perfect} mx {}", "D4 ".repeat(31_000))));
    let canons: String = (1..64)
        .map(|voice| format!("voice S{voice} canon V0 5 below after {}\n", voice * 100))
        .collect();
    cut_off("canons", &(voices(1, &("mx D4 ".to_owned() + &"E4 D4 ".repeat(4000))) + &canons));
}
