//! Scores for tests, from compact strings.

use notation::NoteSign;
use proptest::prelude::*;
use rudiments::{
    Accidental, Clef, Mensuration, Pitch, Proportion, Signature, Step, Time, Tone, Value,
};

use crate::{Annotations, Bar, Close, Cut, Heading, Score, Sounded, TimedEvent, TimedVoice};

/// A score with bars of so many minims. A voice is a list of words:
///
/// - a pitch or `_` for a rest, an editor's sign in brackets, several notes with `+`; then `:` and
///   its length in minims, where it is not that of the word before; then `^` for a corona:
///   `F#4:3/2`, `F[#]4`, `D3+D4:4`, `_:1^`.
/// - `x3:2` puts what follows in that proportion (lengths stay what they are typed as), `x` ends it.
pub(crate) fn score(bar: i64, voices: &[&str]) -> Score {
    let voices: Vec<TimedVoice> =
        voices.iter().enumerate().map(|(place, words)| voice(place, words)).collect();
    let bar = Time::minims(bar);
    let end = voices.iter().filter_map(|voice| voice.events.last()).map(TimedEvent::end).max();
    let length = end.unwrap_or_default().round_up(bar);
    let (bars_of, heading) = (Vec::new(), Heading::default());
    let (subjects, marks, hands, breaks) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let annotations = Annotations::default();
    let mut score = Score {
        heading,
        bar,
        bars: bars_of,
        voices,
        length,
        begins: Time::ZERO,
        subjects,
        marks,
        hands,
        breaks,
        annotations,
    };
    score.bars = bars(bar, length);
    for voice in &mut score.voices {
        fill(voice, length);
    }
    score
}

fn bars(bar: Time, length: Time) -> Vec<Bar> {
    let count = length.whole(bar);
    (0..count)
        .map(|place| Bar {
            number: place as u32 + 1,
            start: bar * place,
            end: bar * (place + 1),
            close: if place + 1 == count { Close::Final } else { Close::Plain },
            mensuration: Mensuration::IMPERFECT,
        })
        .collect()
}

/// Holds the voice, or keeps it silent, to the end.
fn fill(voice: &mut TimedVoice, length: Time) {
    let end = voice.events.last().map_or(Time::ZERO, TimedEvent::end);
    if end < length {
        voice.events.push(event(end, length - end, Proportion::EQUAL, Vec::new(), false));
    }
}

fn voice(place: usize, words: &str) -> TimedVoice {
    let mut events: Vec<TimedEvent> = Vec::new();
    let mut length = Time::minims(1);
    let mut proportion = Proportion::EQUAL;
    for word in words.split_whitespace() {
        if let Some(typed) = word.strip_prefix('x') {
            let parts = typed.split_once(':').map(|(many, of)| (many.parse(), of.parse()));
            proportion = match parts {
                Some((Ok(many), Ok(of))) => Proportion::new(many, of).unwrap(),
                _ => Proportion::EQUAL,
            };
            continue;
        }
        let (word, corona) = word.strip_suffix('^').map_or((word, false), |word| (word, true));
        let (name, typed) = word.split_once(':').map_or((word, None), |(n, l)| (n, Some(l)));
        if let Some(typed) = typed {
            let (above, below) = typed.split_once('/').unwrap_or((typed, "1"));
            length = Time::new(above.parse().unwrap(), below.parse().unwrap());
        }
        let notes = match name {
            "_" => Vec::new(),
            name => name.split('+').map(sounded).collect(),
        };
        let onset = events.last().map_or(Time::ZERO, TimedEvent::end);
        events.push(event(onset, length, proportion, notes, corona));
    }
    for (place, event) in events.iter_mut().enumerate() {
        event.index = Some(place as u32 + 1);
    }
    TimedVoice {
        place,
        name: format!("Voice{}", place + 1),
        clef: Clef::parse("C3").unwrap(),
        signature: Signature::NONE,
        sign: None,
        events,
        changes: Vec::new(),
        cut: Cut::default(),
        blank: Vec::new(),
    }
}

fn event(
    onset: Time,
    length: Time,
    proportion: Proportion,
    notes: Vec<Sounded>,
    corona: bool,
) -> TimedEvent {
    TimedEvent {
        item: None,
        index: None,
        span: notation::Span::default(),
        onset,
        length,
        value: Value::Minim,
        dotted: false,
        mensuration: rudiments::Mensuration::IMPERFECT,
        proportion,
        rule: crate::Rule::Plain,
        notes,
        standing: notation::Standing::Printed,
        signs: corona.then_some(NoteSign::Corona).into_iter().collect(),
        colored: false,
        ligature: None,
    }
}

/// `F#4`.
pub(crate) fn pitch(name: &str) -> Pitch {
    sounded(name).pitch
}

/// `F#4`, `F[#]4`.
fn sounded(name: &str) -> Sounded {
    let step = Step::from_letter(name.chars().next().unwrap()).unwrap();
    let octave = name.trim_start_matches(|letter: char| !letter.is_ascii_digit());
    let sign = |letters: &str| letters.chars().next().and_then(Accidental::from_letter);
    let signs = &name[1..name.len() - octave.len()];
    let editorial = signs.strip_prefix('[').and_then(sign);
    let alteration = match editorial.or(sign(signs)) {
        Some(Accidental::Sharp) => 1,
        Some(Accidental::Flat) => -1,
        _ => 0,
    };
    let pitch = Pitch::new(Tone::new(step, octave.parse().unwrap()), alteration);
    Sounded { pitch, printed: None, editorial }
}

/// The score with that signature in all voices; pitches stay.
pub(crate) fn with_signature(mut score: Score, signature: &str) -> Score {
    for voice in &mut score.voices {
        voice.signature = Signature::parse(signature).unwrap();
    }
    score
}

/// Short scores of one to so many voices, with everything that happens in them: syncopation,
/// proportions, odd lengths, rests, alterations, editor's signs, short bars.
pub(crate) fn any_score(most_voices: usize) -> impl Strategy<Value = Score> {
    let plain = prop::sample::select(vec![
        (1, 4),
        (1, 2),
        (3, 4),
        (1, 1),
        (3, 2),
        (2, 1),
        (3, 1),
        (4, 1),
        (5, 2),
        (9, 1),
    ])
    .prop_map(|(above, below)| (Time::new(above, below), Proportion::EQUAL));
    let odd = prop::sample::select(vec![(5, 7), (1, 3), (4, 5), (13, 6), (1, 2048), (1, 1031)])
        .prop_map(|(above, below)| (Time::new(above, below), Proportion::EQUAL));
    let in_proportion = (
        prop::sample::select(vec![(1, 2), (1, 1), (3, 2), (2, 1), (3, 1)]),
        prop::sample::select(vec![(3, 2), (3, 1), (9, 4), (2, 1), (4, 3)]),
    )
        .prop_map(|((above, below), (many, of))| {
            let proportion = Proportion::new(many, of).unwrap();
            (Time::new(above, below) * proportion, proportion)
        });
    let length = prop_oneof![8 => plain, 1 => odd, 3 => in_proportion];
    let note =
        (14..44_i32, -1..2_i8, any::<Option<bool>>()).prop_map(|(rung, alteration, sign)| {
            Sounded {
                pitch: Pitch::new(Tone::on_rung(rung), alteration),
                printed: (sign == Some(true)).then_some(Accidental::Sharp),
                editorial: (sign == Some(false)).then_some(Accidental::Sharp),
            }
        });
    let notes = prop_oneof![
        2 => Just(Vec::new()),
        6 => prop::collection::vec(note.clone(), 1..2),
        1 => prop::collection::vec(note, 2..3),
    ];
    let events = prop::collection::vec((length, notes, any::<bool>()), 0..12);
    let perfect = |values: &[Value]| {
        let with = |mensuration: Mensuration, value: &Value| mensuration.with(*value, true);
        values.iter().fold(Mensuration::IMPERFECT, with)
    };
    let bar = prop::sample::select(vec![
        (2, Mensuration::IMPERFECT),
        (4, Mensuration::IMPERFECT),
        (6, perfect(&[Value::Breve])),
        (3, perfect(&[Value::Semibreve])),
        (6, perfect(&[Value::Semibreve])),
        (9, perfect(&[Value::Breve, Value::Semibreve])),
    ]);
    (prop::collection::vec(events, 1..=most_voices), bar, any::<bool>()).prop_map(
        |(voices, (bar, mensuration), short)| {
            let mut score = score(bar, &vec![""; voices.len()]);
            for (voice, events) in score.voices.iter_mut().zip(voices) {
                let mut onset = Time::ZERO;
                for ((length, proportion), notes, corona) in events {
                    voice.events.push(event(onset, length, proportion, notes, corona));
                    onset += length;
                }
            }
            let ends = score.voices.iter().filter_map(|voice| voice.events.last());
            let end = ends.map(TimedEvent::end).max().unwrap_or_default();
            score.length = end.round_up(score.bar) + score.bar;
            score.bars = bars(score.bar, score.length);
            score.bars.iter_mut().for_each(|bar| bar.mensuration = mensuration);
            if short && let Some(last) = score.bars.last_mut() {
                // A section's last bar of a minim and a half.
                last.end = last.start + Time::new(3, 2);
                score.length = last.end;
            }
            let length = score.length;
            score.voices.iter_mut().for_each(|voice| fill(voice, length));
            score
        },
    )
}
