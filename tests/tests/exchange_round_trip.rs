//! Parts files written as MusicXML and read again: the same notes at the same times.

use exchange::write_mxl;
use notation::{NoteSign, NoteSigns};
use proptest::prelude::*;
use proptest::sample::subsequence;
use rudiments::Time;
use score::{BarLength, Options, Reduction, Score, Staves, TimedVoice};
use suite::{
    MADRIGALS, SIGNED, SoundingNote, aligned, faultless, fixtures, madrigal_parts, musicxml,
    opendata, read_score, sounding, with_signs,
};

const BARS: [BarLength; 2] = [BarLength::Breve, BarLength::Semibreve];
const STAVES: [Staves; 2] = [Staves::Keyboard, Staves::Open];
const REDUCTIONS: [Reduction; 3] = [Reduction::Original, Reduction::Halved, Reduction::Quartered];

/// The voices in which anything sounds.
fn heard(score: &Score) -> Vec<Vec<SoundingNote>> {
    sounding(score).into_iter().filter(|notes| !notes.is_empty()).collect()
}

/// The printed signs at notes.
fn signs(score: &Score) -> Vec<Vec<NoteSigns>> {
    let of_voice = |voice: &TimedVoice| {
        let notes = voice.events.iter().filter(|event| !event.is_rest());
        notes.map(|event| event.signs.printed()).collect::<Vec<_>>()
    };
    score.voices.iter().map(of_voice).filter(|signs| !signs.is_empty()).collect()
}

/// Writes a piece in every way, and reads it again.
fn there_and_back(name: &str, text: &str) {
    for bar in BARS {
        let (score, _) = aligned(text, bar);
        if heard(&score).is_empty() {
            return;
        }
        for staves in STAVES {
            for reduction in REDUCTIONS {
                let options = Options { staves, reduction, ..Options::default() };
                let xml = musicxml(&score, options);
                // The file says itself which note stands for a minim.
                let again = read_score(name, xml.as_bytes(), None);
                let back = faultless(name, &again, bar);
                let way = format!("{name}, {bar:?} {options:?}:\n{text}\n{again}");
                assert_eq!(heard(&back), heard(&score), "{way}");
                assert_eq!(signs(&back), signs(&score), "{way}");
                // Breaks are read by the bars of a score in breves.
                if bar == BarLength::Breve {
                    assert_eq!(back.breaks, score.breaks, "{way}");
                }
                if staves == Staves::Open && reduction == Reduction::Original {
                    assert_eq!(read_score(name, &write_mxl(&xml).unwrap(), None), again, "{way}");
                }
            }
        }
    }
}

#[test]
fn every_fixture() {
    for (name, text) in fixtures() {
        there_and_back(&name, &text);
    }
}

#[test]
fn every_madrigal() {
    let Some(opendata) = opendata() else { return };
    for piece in MADRIGALS {
        let broken = format!("break 5\npage 12\n{}", madrigal_parts(&opendata, piece));
        there_and_back(piece, &broken);
    }
}

/// Passages that all voices count in a proportion, and proportions of single groups.
#[test]
fn every_madrigal_with_its_signs() {
    let Some(opendata) = opendata() else { return };
    for (piece, signs) in SIGNED {
        there_and_back(piece, &with_signs(&madrigal_parts(&opendata, piece), signs));
    }
}

/// All voices have a ratio at the last note, within a bar: no bar begins there.
#[test]
fn a_last_note_in_a_proportion_of_its_own() {
    let text = "voice A clef C1\n mn lg\nvoice B clef C3 signature Bb\n mn ratio 2:1 A3 _. D4=8/3 \
                A3. A3. _*3 lg sign C3 A3. D4=11 A3\nvoice C clef F4\n mn A3\n";
    there_and_back("a short proportion at the end", text);
}

/// A note with any of the signs that there are, and an editor's length.
fn signed_note() -> impl Strategy<Value = String> {
    let signs = subsequence(NoteSign::ALL, 0..=NoteSign::ALL.len());
    ("[DEFG]4", signs, "=([1-9]/[1-9]|1[0-9]|7)").prop_map(|(note, signs, length)| {
        format!("{note}{}{length}", signs.into_iter().collect::<NoteSigns>())
    })
}

fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => "(lg|br|sb|mn|sm|fu|sf)".prop_map(String::from),
        12 => "[A-G](#|b|n)?[345]\\.?".prop_map(String::from),
        2 => "[A-G](#|b|n)?\\[(#|b|n)\\][345]".prop_map(String::from),
        2 => "_(\\*[1-4])?\\.?".prop_map(String::from),
        2 => signed_note(),
        1 => "[DE]4\\+[GA](#|b)?4".prop_map(String::from),
        1 => "(\\|\\||::|\"prima pars\"|clef F4|signature Bb|signature none|signature F#,C#)"
            .prop_map(String::from),
        1 => "(sign C3|ratio 3:2|ratio 5:4|ratio 1:1|ratio 2:1)".prop_map(String::from),
        1 => "(\\( br D4 E4 \\)|\\{ sb D4 mn E4 \\}|\\[ fu D4 \\])".prop_map(String::from),
    ]
}

fn music() -> impl Strategy<Value = String> {
    proptest::collection::vec(word(), 1..40).prop_map(|words| words.join(" "))
}

/// Whether the lengths of a piece, also those of held finals, have numbers that a parts file has.
fn can_be_written(text: &str) -> bool {
    let writable = |time: Time| time.numerator() <= 9999 && time.denominator() <= 9999;
    BARS.iter().all(|bar| {
        let (score, _) = aligned(text, *bar);
        score.voices.iter().flat_map(|voice| &voice.events).all(|event| writable(event.length))
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_piece(top in music(), middle in music(), low in music()) {
        let text = format!(
            "title t\nvoice A clef C1\n mn {top}\nvoice B clef C3 signature Bb\n mn {middle}\n\
             voice C clef F4\n mn {low}\n",
        );
        prop_assume!(can_be_written(&text));
        there_and_back("generated", &text);
    }
}
