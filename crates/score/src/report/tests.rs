use notation::parse;

use super::*;
use crate::{BarLength, align, reckon};

fn of(text: &str) -> Report {
    let piece = parse(text).piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    report(&piece, &score)
}

/// The entries of one voice, as they are printed.
fn entries(music: &str) -> Vec<String> {
    let text = format!("voice Tenor clef C4\n  {music}\n");
    assert!(!parse(&text).has_errors(), "{:#?}", parse(&text).diagnostics);
    of(&text).entries.iter().map(Entry::text).collect()
}

fn says(music: &str, expected: &[&str]) {
    assert_eq!(entries(music), expected);
}

#[test]
fn an_emendation() {
    says(
        "br D3 / mn F < fu G. sf A | sm G. .A \"the copy of the abbey\" > mn E3 lg D3",
        &[
            "Tenor, bar 2, 2nd and 3rd notes (line 2, nos. 3–4): dotted fusa G3, semifusa A3 in the \
           source; emended to dotted semiminim G3, fusa A3, after the copy of the abbey.",
        ],
    );
}

#[test]
fn a_deletion_stands_before_what_follows() {
    says(
        "br D3 mn F < G | > E3 lg D3",
        &["Tenor, bar 2, before the 2nd note (line 1, no. 3): minim G3 in the source; deleted."],
    );
    says(
        "br D3 lg F < mn G | >",
        &["Tenor, bar 2, after the 1st note (line 1, no. 3): minim G3 in the source; deleted."],
    );
}

#[test]
fn an_addition_precedes_a_number_of_the_source() {
    says(
        "br D3 mn F < | _ G > E3 lg D3",
        &[
            "Tenor, bar 2, 1st rest to 2nd note (line 1, before no. 3): minim rest, minim G3 lacking \
           in the source; added.",
        ],
    );
}

#[test]
fn what_is_supplied() {
    says(
        "br D3 [ mn F G A ] G lg D3",
        &["Tenor, bar 2, 1st to 3rd notes (line 1, before no. 2): minims F3 G3 A3 not in the \
           source; supplied."],
    );
}

#[test]
fn accidentals_of_the_editor() {
    says(
        "br D3 mn F[#] F#[n] G+B[b] E lg D3",
        &[
            "Tenor, bar 2, 1st note (line 1, no. 2): sharp added to F3.",
            "Tenor, bar 2, 2nd note (line 1, no. 3): F♯3 in the source; read with a natural.",
            "Tenor, bar 2, 3rd note (line 1, no. 4): flat added to B3.",
        ],
    );
}

#[test]
fn doubts_lengths_and_dots() {
    says(
        "sb D3? E=5/2 F.+ G.: lg D3",
        &[
            "Tenor, bar 1, 1st note (line 1, no. 1): semibreve D3 hard to make out in the source.",
            "Tenor, bar 1, 2nd note (line 1, no. 2): semibreve E3 in the source; taken to last 2 \
             1/2 minims.",
            "Tenor, bar 2, 1st note (line 1, no. 3): the dot after semibreve F3 taken as one of \
             addition.",
            "Tenor, bar 2, 2nd note (line 1, no. 4): the dot after semibreve G3 taken as one of \
             division.",
        ],
    );
}

#[test]
fn readings_of_time() {
    says(
        "br D3 perfect br br E sb F ratio 3:2 sb D E F ratio 1:1 br D lg D3",
        &[
            "Tenor, bar 2, before the 1st note (line 1, before no. 2): from here on breves are \
             perfect, by the editor's decision.",
            "Tenor, bar 3, before the 1st note (line 1, before no. 4): from here on 3 of any value \
             in the time of 2, by the editor's decision.",
            "Tenor, bar 4, before the 1st note (line 1, before no. 7): from here on plain counting \
             again, by the editor's decision.",
        ],
    );
}

#[test]
fn a_variant() {
    says(
        "br D3 mn F <? G A | sb G > E3 lg D3",
        &["Tenor, bar 2, 2nd and 3rd notes (line 1, nos. 3–4): minims G3 A3 or semibreve G3; yet \
           to be decided, the first is read."],
    );
    says(
        "br D3 mn F <? | G > E3 lg D3",
        &[
            "Tenor, bar 2, before the 2nd note (line 1, before no. 3): nothing or minim G3; yet to be \
           decided, the first is read.",
        ],
    );
}

#[test]
fn ligatures_coloration_and_chords() {
    says(
        "br D3 < ( br E \\ D ) | ( sb E D ) > { < sb B | mn B > mn A } < mn G+B | G+D4 > br F lg D3",
        &[
            "Tenor, bar 2, 1st and 2nd notes (line 1, nos. 2–3): oblique ligature of breves E3 D3 \
             in the source; emended to ligature of semibreves E3 D3.",
            "Tenor, bar 3, 1st note (line 1, no. 4): black semibreve B3 in the source; emended to \
             black minim B3.",
            "Tenor, bar 3, 3rd note (line 1, no. 6): minim G3+B3 in the source; emended to minim \
             G3+D4.",
        ],
    );
}

#[test]
fn signs_and_clefs() {
    says(
        "br D3 < clef C3 | clef C4 > < sign 3 | > [ \"fuga\" ] br E lg D3",
        &[
            "Tenor, bar 2, before the 1st note (line 1, before no. 2): clef C3 in the source; \
             emended to clef C4.",
            "Tenor, bar 2, before the 1st note (line 1, before no. 2): sign 3 in the source; deleted.",
            "Tenor, bar 2, before the 1st note (line 1, before no. 2): the words “fuga” not in the \
             source; supplied.",
        ],
    );
}

#[test]
fn across_a_bar_line() {
    says(
        "sb D3 E < F | mn F G > br D lg D3",
        &["Tenor, bar 2, 1st and 2nd notes (line 1, no. 3): semibreve F3 in the source; emended \
           to minims F3 G3."],
    );
    says(
        "sb D3 < E F G | D E F > lg D3",
        &["Tenor, bar 1, 2nd note, to bar 2, 2nd note (line 1, nos. 2–4): semibreves E3 F3 G3 in \
           the source; emended to semibreves D3 E3 F3."],
    );
}

#[test]
fn by_bar_and_then_from_the_top_voice_down() {
    let report = of("voice A clef C1\n br G4 G[#] lg G\nvoice B clef C4\n br D3? E? lg D\n\
                     voice C canon B 5 below after 4\n");
    let order: Vec<String> = report
        .entries
        .iter()
        .map(|entry| format!("{} {}", entry.voice, entry.place.as_ref().map_or(0, |p| p.bar)))
        .collect();
    assert_eq!(order, ["C 0", "B 1", "A 2", "B 2"]);
    let canon = report.entries[0].text();
    assert_eq!(
        canon,
        "C: not written out in the source; follows B at the 5th below, 4 minims later."
    );
}

#[test]
fn several_of_a_kind_in_a_bar() {
    says(
        "mn D3 < E | F > < F | G > < G | A > lg D3",
        &[
            "Tenor, bar 1, 2nd note (line 1, no. 2): minim E3 in the source; emended to minim F3.",
            "Tenor, bar 1, 3rd note (line 1, no. 3): minim F3 in the source; emended to minim G3.",
            "Tenor, bar 1, 4th note (line 1, no. 4): minim G3 in the source; emended to minim A3.",
        ],
    );
}

#[test]
fn what_is_told_with_something_else_has_no_entry_of_its_own() {
    says(
        "br D3 [ mn F[#] G? ] < mn E F | sb E=3 > lg D3",
        &[
            "Tenor, bar 2, 1st and 2nd notes (line 1, before no. 2): minim F[♯]3, minim G3 (doubtful) not \
             in the source; supplied.",
            "Tenor, bar 2, 3rd note (line 1, nos. 2–3): minims E3 F3 in the source; emended to \
             semibreve E3 lasting 3 minims.",
        ],
    );
}

#[test]
fn an_empty_report_says_so() {
    let text = of("title A duo\nvoice A clef C1\n br G4 lg G\n").text();
    assert_eq!(
        text,
        "A duo\n\nCritical report\n\nThe score is what the source prints: nothing is emended, \
         supplied, or left to be decided.\n"
    );
}

/// Places stay those of the whole, as bars do.
#[test]
fn what_is_outside_an_excerpt_is_left_out() {
    let piece = parse(
        "voice Tenor clef C4\n  br D3[#] mn E F[#] G A br G[#] //\nvoice Bassus clef F4\n  br D3 mn E F G[#] A br G3 //\n",
    )
    .piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    let whole = report(&piece, &score);
    let within = |bars, voices: &[usize]| {
        let cut = crate::Excerpt::bars(bars).voices(voices.iter().copied()).of(&score).unwrap();
        let entries = whole.clone().within(&cut).entries;
        entries
            .into_iter()
            .map(|entry| (entry.voice, entry.place.unwrap().words))
            .collect::<Vec<_>>()
    };
    let at = |voice: &str, words: &str| (voice.to_owned(), words.to_owned());
    let second = [at("Tenor", "bar 2, 2nd note"), at("Bassus", "bar 2, 3rd note")];
    assert_eq!(within(2..=2, &[0, 1]), second);
    assert_eq!(within(2..=2, &[1]), second[1..]);
    assert_eq!(within(1..=3, &[0, 1]).len(), whole.entries.len());
}
