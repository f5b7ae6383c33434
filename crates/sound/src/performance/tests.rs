use proptest::prelude::*;
use rudiments::{Direction, Value};
use score::{BarLength, Excerpt, align, reckon};

use super::*;

fn score(text: &str) -> Score {
    let piece = notation::parse(text).piece;
    align(&piece, reckon(&piece), BarLength::Breve).score
}

/// A score of voices without a head, each given by its music.
fn voices(music: &[&str]) -> Score {
    let voice = |(place, music): (usize, &&str)| format!("voice V{place} clef C1\n {music}\n");
    score(&music.iter().enumerate().map(voice).collect::<String>())
}

/// A tempo in which a second is a minim, and nothing that is not asked for.
fn strict() -> Playing {
    Playing::exact()
}

/// Pitch, and the seconds at which it is struck and let go.
fn heard(score: &Score, playing: &Playing) -> Vec<String> {
    let notes = perform(score, playing, None).notes;
    let say = |note: &PlayedNote| {
        format!("{} {}-{}", note.pitch, round(note.struck), round(note.released))
    };
    notes.iter().map(say).collect()
}

/// To a thousandth.
fn round(seconds: f64) -> f64 {
    (seconds * 1000.0).round() / 1000.0
}

#[test]
fn the_tempo_is_so_many_of_a_value_to_the_minute() {
    let duo = voices(&["mn C4 D sb E"]);
    let at = |value, per_minute| {
        let tempo = Tempo::new(value, per_minute).unwrap();
        heard(&duo, &Playing { tempo, ..strict() })
    };
    assert_eq!(at(Value::Minim, 60), ["C4 0-1", "D4 1-2", "E4 2-4"]);
    assert_eq!(at(Value::Semibreve, 60), ["C4 0-0.5", "D4 0.5-1", "E4 1-2"]);
    assert_eq!(at(Value::Semibreve, 36), ["C4 0-0.833", "D4 0.833-1.667", "E4 1.667-3.333"]);
}

#[test]
fn proportions_are_exact() {
    let three = voices(&["ratio 3:2 mn C4 D E F G A ratio 1:1 br B", "mn C4 D E F br G"]);
    let starts: Vec<Time> =
        perform(&three, &strict(), None).notes.iter().map(|note| note.start).collect();
    let thirds = [0, 0, 2, 3, 4, 6, 6, 8, 9, 10, 12, 12];
    assert_eq!(starts, thirds.map(|third| Time::new(third, 3)));
}

#[test]
fn a_note_is_let_go_before_it_is_struck_again() {
    let playing = Playing { touch: Touch { repeated: 0.06, ..Touch::EXACT }, ..strict() };
    let repeated = voices(&["mn C4 C D sb _ D"]);
    assert_eq!(heard(&repeated, &playing), ["C4 0-0.94", "C4 1-2", "D4 2-3", "D4 5-8"]);
    let again: Vec<bool> =
        perform(&repeated, &playing, None).notes.iter().map(|note| note.restruck).collect();
    assert_eq!(again, [false, true, false, false]);
}

#[test]
fn a_short_note_loses_at_most_half() {
    let tempo = Tempo::new(Value::Minim, 480).unwrap();
    let playing = Playing { tempo, touch: Touch { repeated: 0.06, ..Touch::EXACT }, ..strict() };
    // A fusa lasts a 32nd of a second.
    let fusae = voices(&["fu C4 C sb D"]);
    assert_eq!(heard(&fusae, &playing)[..2], ["C4 0-0.016", "C4 0.031-0.063"]);
}

#[test]
fn lines_of_the_source_are_parted() {
    let playing = Playing { touch: Touch { line_end: 0.04, ..Touch::EXACT }, ..strict() };
    let lines = voices(&["mn C4 D / E F //"]);
    assert_eq!(heard(&lines, &playing), ["C4 0-1", "D4 1-1.96", "E4 2-3", "F4 3-3.96"]);
}

#[test]
fn a_corona_holds_all_voices() {
    let playing = Playing { touch: Touch { corona: Time::minims(2), ..Touch::EXACT }, ..strict() };
    let duo = voices(&["mn C5 D^ E F5", "sb A4 mn B C5"]);
    let expected = ["C5 0-1", "A4 0-4", "D5 1-4", "E5 4-5", "B4 4-5", "F5 5-6", "C5 5-6"];
    assert_eq!(heard(&duo, &playing), expected);
}

#[test]
fn what_sounds_on_over_a_hold_is_longer() {
    let playing = Playing { touch: Touch { corona: Time::minims(2), ..Touch::EXACT }, ..strict() };
    let duo = voices(&["mn C5 D^ E F5", "br A4"]);
    let expected = ["C5 0-1", "A4 0-6", "D5 1-4", "E5 4-5", "F5 5-6"];
    assert_eq!(heard(&duo, &playing), expected);
}

#[test]
fn finals_are_held() {
    let touch = Touch { section: Time::minims(1), last: Time::minims(2), ..Touch::EXACT };
    let parts = voices(&["br C4 || br D"]);
    assert_eq!(heard(&parts, &Playing { touch, ..strict() }), ["C4 0-5", "D4 5-11"]);
    // A final with a corona is held once.
    let touch = Touch { corona: Time::minims(2), ..touch };
    let parts = voices(&["br C4^ || br D^"]);
    assert_eq!(heard(&parts, &Playing { touch, ..strict() }), ["C4 0-6", "D4 6-12"]);
}

#[test]
fn repeats_are_played() {
    let parts = voices(&["mn C4 D E F :: br G"]);
    let playing = Playing { repeats: true, ..strict() };
    let performance = perform(&parts, &playing, None);
    let passes: Vec<(u32, u32)> =
        performance.bars.iter().map(|bar| (bar.number, bar.pass)).collect();
    assert_eq!(passes, [(1, 1), (1, 2), (2, 1)]);
    assert_eq!(performance.notes.len(), 9);
    assert_eq!((performance.notes[4].pass, performance.notes[4].struck), (2, 4.0));
}

#[test]
fn bars_are_counted_before_the_music() {
    let strokes = |text: &str, count_in| {
        let performance = perform(&score(text), &Playing { count_in, ..strict() }, None);
        let strokes = performance
            .strokes
            .iter()
            .map(|stroke| format!("{}{}", stroke.at, if stroke.strong { "!" } else { "" }));
        let first = performance.notes[0].start;
        (strokes.collect::<Vec<_>>().join(" "), first.to_string())
    };
    let said = |strokes: &str, first: &str| (strokes.to_owned(), first.to_owned());
    let plain = "voice A clef C1 sign C\n br C4 D\n";
    assert_eq!(strokes(plain, 0), said("", "0"));
    assert_eq!(strokes(plain, 2), said("0! 1 2 3 4! 5 6 7", "8"));
    assert_eq!(strokes("voice A clef C1 sign O\n br C4 D\n", 1), said("0! 1 2 3 4 5", "6"));
    let three = "voice A clef C1\n ratio 3:2 mn C4 D E F G A\n";
    assert_eq!(strokes(three, 1), said("0! 2/3 4/3 2 8/3 10/3", "4"));
}

#[test]
fn a_voice_keeps_its_seat_without_the_others() {
    let whole = voices(&["br C5", "br A4", "br F4"]);
    let lowest = Excerpt::default().voices([2]).of(&whole).unwrap();
    let seats = perform(&lowest, &Playing::of(&whole), None).voices;
    assert_eq!(seats, [PlayedVoice { loudness: 1.0, pan: 0.6 }]);
}

#[test]
fn a_note_that_is_cut_is_struck_at_the_cut() {
    let whole = voices(&["mn C4 lg D mn E sb F", "br A4 A A"]);
    let second = Excerpt::bars(2..=2).of(&whole).unwrap();
    let playing = Playing { times: 2, ..strict() };
    assert_eq!(heard(&second, &playing), ["D4 0-4", "A4 0-4", "D4 4-8", "A4 4-8"]);
}

#[test]
fn all_is_transposed() {
    let up = Interval::of_number(2, Direction::Up);
    let notes = perform(&voices(&["mn C4 D"]), &strict(), up).notes;
    assert_eq!(notes.iter().map(|note| note.pitch.to_string()).collect::<Vec<_>>(), ["D4", "E4"]);
}

fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        3 => "(lg|br|sb|mn|sm|fu)".prop_map(String::from),
        12 => "[D-G](#|b)?4\\^?\\.?".prop_map(String::from),
        2 => "_(\\*[1-4])?".prop_map(String::from),
        1 => "[DE]4\\+[GA]4".prop_map(String::from),
        1 => "(ratio 3:2|ratio 1:1|\\|\\||::|/)".prop_map(String::from),
    ]
}

fn any_score() -> impl Strategy<Value = Score> {
    let voice = || proptest::collection::vec(word(), 1..40);
    (voice(), voice()).prop_map(|(high, low)| {
        score(&format!(
            "voice A clef C1\n sb E4 {}\nvoice B clef C1\n mn E4 {}\n",
            high.join(" "),
            low.join(" ")
        ))
    })
}

fn any_playing() -> impl Strategy<Value = Playing> {
    (0..3_u32, 1..3_u32, any::<bool>(), 10..200_u16).prop_map(
        |(count_in, times, repeats, minims)| {
            let tempo = Tempo::new(Value::Minim, minims).unwrap();
            Playing { tempo, count_in, times, repeats, ..Playing::default() }
        },
    )
}

/// Voice, beginning, end and pitch.
type Sound = (usize, Time, Time, String);

/// What sounds, in order; what is cut at one moment is one again.
fn sounding(pieces: &[(Score, Time)]) -> Vec<Sound> {
    let mut all: Vec<Sound> = Vec::new();
    for (score, shift) in pieces {
        for note in perform(score, &Playing::exact(), None).notes {
            let voice = &score.voices[note.voice];
            let (place, start) = (voice.place, note.start + *shift);
            let cut = note.event == 0 && voice.cut.before;
            let same = |one: &&mut Sound| {
                cut && one.0 == place && one.2 == start && one.3 == note.pitch.to_string()
            };
            match all.iter_mut().find(same) {
                Some(one) => one.2 = note.end + *shift,
                None => all.push((place, start, note.end + *shift, note.pitch.to_string())),
            }
        }
    }
    all.sort();
    all
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Every note is struck at the second of its beginning, exactly as the fractions say, and let go
    /// after that, and not later than its end.
    #[test]
    fn notes_are_where_they_are_counted(score in any_score(), playing in any_playing()) {
        let performance = perform(&score, &playing, None);
        let minim = 60.0 / f64::from(playing.tempo.per_minute());
        for note in &performance.notes {
            let event = &score.voices[note.voice].events[note.event];
            prop_assert_eq!(note.end - note.start, event.length);
            let passed = performance.clock.passed(note.start);
            let second = passed.numerator() as f64 / passed.denominator() as f64 * minim;
            prop_assert!((note.struck - second).abs() < 1e-9);
            prop_assert!(note.struck < note.released);
            prop_assert!(note.released <= performance.clock.seconds(note.end));
            let half = (performance.clock.seconds(note.end) - note.struck) * Touch::MOST;
            prop_assert!(note.released - note.struck >= half - 1e-9);
        }
        prop_assert!(performance.notes.is_sorted_by_key(|note| note.start));
        prop_assert!(performance.notes.iter().all(|note| note.end <= performance.end));
    }

    /// Bars and strokes fill the performance without gaps, whatever is repeated.
    #[test]
    fn bars_follow_one_another(score in any_score(), playing in any_playing()) {
        let performance = perform(&score, &playing, None);
        let mut now = performance.bars[0].start;
        prop_assert_eq!(now.is_zero(), performance.strokes.is_empty());
        for bar in &performance.bars {
            prop_assert_eq!(bar.start, now);
            prop_assert!(bar.starts < bar.ends);
            now = bar.end;
        }
        prop_assert_eq!(now, performance.end);
    }

    /// One bar after another, each cut out by itself, sounds as the whole does.
    #[test]
    fn bars_in_a_row_are_the_whole(score in any_score()) {
        let bar = |bar: &score::Bar| {
            (Excerpt::bars(bar.number..=bar.number).of(&score).unwrap(), bar.start)
        };
        let bars: Vec<(Score, Time)> = score.bars.iter().map(bar).collect();
        prop_assert_eq!(sounding(&bars), sounding(&[(score.clone(), Time::ZERO)]));
    }

    /// An excerpt of everything is played as the whole, and voices that are left out change nothing of
    /// the others.
    #[test]
    fn voices_left_out_change_nothing(score in any_score(), playing in any_playing()) {
        let playing = Playing { touch: Touch { corona: Time::ZERO, ..playing.touch }, ..playing };
        let whole = perform(&score, &playing, None);
        prop_assert_eq!(&perform(&Excerpt::default().of(&score).unwrap(), &playing, None), &whole);
        let lower = Excerpt::default().voices([1]).of(&score).unwrap();
        let lower = perform(&lower, &playing, None);
        prop_assert_eq!(lower.bars, whole.bars);
        let of_lower = whole.notes.iter().filter(|note| note.voice == 1);
        let alone: Vec<PlayedNote> =
            lower.notes.into_iter().map(|note| PlayedNote { voice: 1, ..note }).collect();
        prop_assert_eq!(alone, of_lower.copied().collect::<Vec<_>>());
    }
}
