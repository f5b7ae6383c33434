//! What holds of reckoning whatever is typed.

use std::time::{Duration, Instant};

use notation::parse;
use proptest::prelude::*;
use rudiments::{Time, Value};
use score::{BarLength, Rule, TimedEvent, align, reckon};

/// The events of a single voice, without the last, which is held or trimmed.
fn events(head: &str, music: &str) -> Vec<TimedEvent> {
    let parsed = parse(&format!("{head}voice Cantus clef C1\n {music}\n || lg A4\n"));
    assert!(!parsed.has_errors(), "{music}: {:#?}", parsed.diagnostics);
    let score = align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve).score;
    let mut events = score.voices.into_iter().next().unwrap().events;
    events.pop();
    events
}

/// What reckoning found of events.
fn found(events: &[TimedEvent]) -> Vec<(Time, Time, Rule)> {
    events.iter().map(|event| (event.onset, event.length, event.rule)).collect()
}

fn sign() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "C", "C|", "O", "O|", "C.", "O.", "C.|", "rC", "3", "3/2", "2", "C3", "C|3", "O3", "4/3",
    ])
}

fn value() -> impl Strategy<Value = Value> {
    prop::sample::select(Value::ALL.to_vec())
}

/// Words of music that may stand in any order.
fn words() -> impl Strategy<Value = Vec<String>> {
    let word = prop_oneof![
        8 => (value(), prop::bool::ANY, 0..6_u8).prop_map(|(value, rest, dot)| {
            let dot = match dot {
                0 => ".",
                1 => ".:",
                2 => ".+",
                _ => "",
            };
            let body = if rest { "_" } else { "A4" };
            format!("{value} {body}{dot}")
        }),
        1 => (value(), value()).prop_map(|(one, other)| format!("{{ {one} A4 {other} A4 }}")),
        1 => (value(), 1..10_000_i64, 1..10_000_i64)
            .prop_map(|(value, above, below)| format!("{value} A4={above}/{below}")),
        1 => sign().prop_map(|sign| format!("sign {sign}")),
        1 => prop::sample::select(vec!["ratio 3:2", "ratio 1:1", "perfect br", "imperfect sb"])
            .prop_map(str::to_owned),
    ];
    prop::collection::vec(word, 1..60)
}

/// What may stand between two tokens.
fn gap() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![" ", "   ", "\n", "\n\n  ", " ; a comment\n", "\t", " /\n ", " // "])
}

proptest! {
    /// Lengths never depend on comments, spacing or the ends of lines, in the file or in the source.
    #[test]
    fn blanks_mean_nothing(words in words(), gaps in prop::collection::vec(gap(), 240)) {
        let tokens: Vec<&str> = words.iter().flat_map(|word| word.split(' ')).collect();
        // The ends of the source's lines stand between notes, not between a word and what it says.
        let keyword = |token: &str| matches!(token, "sign" | "ratio" | "perfect" | "imperfect");
        let mut spaced = String::new();
        for (token, gap) in tokens.iter().zip(gaps.iter().cycle()) {
            spaced.push_str(token);
            spaced.push_str(if keyword(token) { "  " } else { gap });
        }
        prop_assert_eq!(found(&events("", &tokens.join(" "))), found(&events("", &spaced)));
    }

    /// Where every value holds two, the rules of perfection change nothing.
    #[test]
    fn duple_signs_are_counted_plainly(
        music in prop::collection::vec((value(), prop::bool::ANY, prop::bool::ANY), 1..60),
        sign in prop::sample::select(vec!["", "sign C\n", "sign C|\n"]),
    ) {
        let words: Vec<String> = music
            .iter()
            .map(|(value, rest, dot)| {
                let (body, dot) = (if *rest { "_" } else { "A4" }, if *dot { "." } else { "" });
                format!("{value} {body}{dot}")
            })
            .collect();
        // Its own little reckoning, in 32nds of a minim: a semifusa is 4 of them.
        let length = |(value, _, dot): &(Value, bool, bool)| {
            let units = 4 << (Value::Semifusa as usize - *value as usize);
            Time::new(if *dot { units + units / 2 } else { units }, 32)
        };
        let plain: Vec<Time> = music.iter().map(length).collect();
        let lengths: Vec<Time> =
            events(sign, &words.join(" ")).iter().map(|event| event.length).collect();
        // The last event of a section is held or trimmed if it is a long.
        prop_assert_eq!(&lengths[..lengths.len() - 1], &plain[..plain.len() - 1]);
    }

    /// Every perfect group sums to its perfection. Dots of division part the groups.
    #[test]
    fn groups_sum_to_their_perfection(
        groups in prop::collection::vec(0..7_usize, 1..30),
        (sign, perfect, part, half) in prop::sample::select(vec![
            ("O", "br", "sb", "mn"), ("C.", "sb", "mn", "sm"), ("O|", "br", "sb", "mn"),
        ]),
    ) {
        let shapes = [
            (1, format!("{perfect} A4.:")),
            (1, format!("{perfect} _")),
            (1, format!("{perfect} A4 {part} A4.:")),
            (1, format!("{part} A4 A4 A4.:")),
            (1, format!("{perfect} A4 {half} A4 A4.:")),
            (1, format!("{part} A4. {half} A4 {part} A4.:")),
            (2, format!("{{ {perfect} A4 A4 A4 }}")),
        ];
        let words: Vec<&str> = groups.iter().map(|group| shapes[*group].1.as_str()).collect();
        let found = events(&format!("sign {sign}\n"), &words.join(" "));
        let plain = Value::from_letters(perfect).unwrap().plain();
        let perfection = plain + plain.half();
        let mut next = 0;
        for group in groups {
            let (perfections, shape) = &shapes[group];
            let count = shape.matches("A4").count() + shape.matches('_').count();
            let sum: Time = found[next..next + count].iter().map(|event| event.length).sum();
            prop_assert_eq!(sum, perfection * *perfections as i64, "{}", shape);
            next += count;
        }
    }
}

/// A voice of so many events, with all that reckoning has rules for.
fn long_voice(events: usize) -> String {
    let phrase =
        "br A4 sb A mn A A br A A sb A A br A { br A A A } mn A. sm A mn A A sb A. A br A _ ";
    let count = phrase.matches('A').count() + phrase.matches('_').count();
    let mut text = "voice Cantus clef C1 sign O\n".to_owned();
    for number in 0..events / count {
        text.push_str(phrase);
        text.push_str(if number % 1000 == 0 { "sign 3 " } else { "\n" });
        text.push_str(if number % 1000 == 1 { "sign O " } else { "" });
    }
    text
}

fn time_to_reckon(events: usize) -> Duration {
    let parsed = parse(&long_voice(events));
    let start = Instant::now();
    let reckoned = reckon(&parsed.piece);
    let time = start.elapsed();
    drop(reckoned);
    time
}

/// A voice of 400 000 events is reckoned within a second, under all the readings of its signs; a
/// build that is not optimized has ten.
#[test]
fn long_voices_are_reckoned_at_once() {
    let time = time_to_reckon(400_000);
    println!("{time:?}");
    let limit = if cfg!(debug_assertions) { 10 } else { 1 };
    assert!(time < Duration::from_secs(limit), "{time:?}");
}
