//! For pieces made at random: what the MusicXML says sounds is what the grid says.

use num_rational::Ratio;
use proptest::prelude::*;
use rudiments::Time;
use score::{BarLength, Options, Reduction, Score, Staves};
use suite::{SoundingNote, aligned, musicxml, sounding_voices};

/// A word of music under the soprano clef; most are plain notes.
fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => "(br|sb|mn|sm|fu|sf)".prop_map(String::from),
        12 => "[A-G](#|b)?(\\[(#|b|n)\\])?4\\.?".prop_map(String::from),
        2 => "_(\\*[1-3])?\\.?".prop_map(String::from),
        1 => "[DE]4\\+[GA]4\\.?".prop_map(String::from),
        1 => "G4=([1-9]|1/3|2/5|7/4|5/7)".prop_map(String::from),
        1 => "\\{ sb G4 mn A4 G4 \\}".prop_map(String::from),
        1 => "\\( br D4 E4 \\)".prop_map(String::from),
        1 => "(ratio 3:2|ratio 1:1|ratio 4:3)".prop_map(String::from),
        1 => "(/|\\^|\"words\"|signature Bb|signature none)".prop_map(|word| {
            // A corona belongs to a note.
            if word == "^" { "A4^".to_owned() } else { word }
        }),
    ]
}

/// What is sung between double bars; every voice has as many sections.
fn voice(sections: usize) -> impl Strategy<Value = String> {
    let section = proptest::collection::vec(word(), 1..16)
        .prop_map(|words| format!("mn G4 {} br G4", words.join(" ")));
    proptest::collection::vec(section, sections).prop_map(|sections| sections.join(" || "))
}

fn piece() -> impl Strategy<Value = String> {
    (1..=3_usize, 1..=5_usize).prop_flat_map(|(sections, voices)| {
        proptest::collection::vec(voice(sections), voices).prop_map(|voices| {
            let voices = voices.iter().enumerate();
            voices
                .map(|(place, music)| format!("voice V{place} clef C1\n  {music}\n"))
                .collect::<String>()
        })
    })
}

/// The notes of each voice as the grid has them, in quarter notes of the reduction.
fn of_the_grid(score: &Score, reduction: Reduction) -> Vec<Vec<SoundingNote>> {
    let quarters = |time: Time| {
        let minims = Ratio::new(time.numerator(), time.denominator());
        match reduction {
            Reduction::Original => minims * 2,
            Reduction::Halved => minims,
            Reduction::Quartered => minims / 2,
        }
    };
    let voices = score.voices.iter().map(|voice| {
        let notes = voice.events.iter().flat_map(|event| {
            event.notes.iter().map(move |note| SoundingNote {
                onset: quarters(event.onset),
                length: quarters(event.length),
                step: note.pitch.tone.step.letter(),
                alter: i32::from(note.pitch.alteration),
                octave: i32::from(note.pitch.tone.octave),
                editorial: false,
            })
        });
        notes.collect()
    });
    voices.collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn musicxml_says_what_the_grid_says(
        text in piece(),
        open in any::<bool>(),
        semibreves in any::<bool>(),
        reduction in 0..3_usize,
    ) {
        let bar = if semibreves { BarLength::Semibreve } else { BarLength::Breve };
        let (score, _) = aligned(&text, bar);
        let staves = if open { Staves::Open } else { Staves::Keyboard };
        let reduction =
            [Reduction::Original, Reduction::Halved, Reduction::Quartered][reduction];
        let xml = musicxml(&score, Options { staves, reduction, ..Options::default() });
        let mut voices = sounding_voices(&xml);
        voices.sort_by_key(|voice| voice.voice.parse::<u32>().unwrap());
        let read: Vec<Vec<SoundingNote>> = voices
            .into_iter()
            .map(|voice| {
                let notes = voice.notes.into_iter();
                notes.map(|note| SoundingNote { editorial: false, ..note }).collect()
            })
            .collect();
        prop_assert_eq!(read, of_the_grid(&score, reduction), "{}", text);
    }
}
