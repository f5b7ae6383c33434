use std::fmt::Write as _;

use rudiments::Value;

use super::*;
use crate::limits::{MOST_EVENTS, MOST_MINIMS};
use crate::{Edit, ItemKind, Standing, apply};

/// The events of the first voice, each as `index value notes` with what distinguishes it:
/// `!` replaced, `=` emended, `+` supplied, `?` alternative, `*` coloured, `(n)` ligature.
fn events(text: &str) -> String {
    let parsed = parse(text);
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    shown(&parsed.piece)
}

fn shown(piece: &Piece) -> String {
    let mut shown = Vec::new();
    for item in &piece.voices[0].items {
        let ItemKind::Event(event) = &item.kind else { continue };
        let index = event.index.map_or("-".to_owned(), |index| index.to_string());
        let notes: Vec<String> = event.notes().iter().map(|note| note.tone.to_string()).collect();
        let notes = if event.is_rest() { "_".to_owned() } else { notes.join("+") };
        let mut line = format!("{index}{} {} {notes}", mark(item.standing), event.value);
        if event.dot.is_some() {
            line.push('.');
        }
        if event.colored {
            line.push('*');
        }
        if let Some(ligature) = event.ligature {
            let _ = write!(line, "({ligature})");
        }
        shown.push(line);
    }
    shown.join(", ")
}

fn mark(standing: Standing) -> &'static str {
    match standing {
        Standing::Printed => "",
        Standing::Replaced => "!",
        Standing::Emended => "=",
        Standing::Supplied => "+",
        Standing::Alternative => "?",
    }
}

fn codes(text: &str) -> Vec<&'static str> {
    parse(text).diagnostics.iter().map(|diagnostic| diagnostic.code.number()).collect()
}

/// Music of one voice under the soprano clef.
fn cantus(music: &str) -> String {
    format!("voice Cantus clef C1\n  {music}\n")
}

#[test]
fn a_value_holds_until_the_next() {
    assert_eq!(events(&cantus("sb D4 E mn F G")), "1 sb D4, 2 sb E4, 3 mn F4, 4 mn G4");
}

#[test]
fn small_letters_are_letters_too() {
    assert_eq!(events(&cantus("sb d4 e bb4")), "1 sb D4, 2 sb E4, 3 sb B4");
}

#[test]
fn a_letter_with_one_place_needs_no_digit() {
    assert_eq!(events(&cantus("sb G A F")), "1 sb G4, 2 sb A4, 3 sb F4");
}

#[test]
fn a_letter_with_two_places_lies_within_a_third() {
    assert_eq!(events(&cantus("sb A C D")), "1 sb A4, 2 sb C5, 3 sb D5");
    assert_eq!(events(&cantus("sb E4 D C B")), "1 sb E4, 2 sb D4, 3 sb C4, 4 sb B3");
}

#[test]
fn a_letter_beyond_a_third_must_be_decided() {
    let parsed = parse(&cantus("sb G D"));
    assert_eq!(parsed.diagnostics.len(), 1);
    assert_eq!(parsed.diagnostics[0].code, Code::OctaveUndecided);
    let help = parsed.diagnostics[0].help.as_deref().unwrap();
    assert!(help.contains("D4") && help.contains("D5"), "{help}");
}

#[test]
fn a_digit_belongs_to_its_note_alone() {
    assert_eq!(events(&cantus("sb D5 G A")), "1 sb D5, 2 sb G4, 3 sb A4");
}

#[test]
fn a_completing_note_has_half_the_value_and_leaves_it_in_force() {
    assert_eq!(events(&cantus("mn G. .F E")), "1 mn G4., 2 sm F4, 3 mn E4");
}

#[test]
fn a_completing_note_may_begin_the_next_source_line() {
    assert_eq!(events(&cantus("mn G. ~F / .F E")), "1 mn G4., 2 sm F4, 3 mn E4");
}

#[test]
fn a_completing_note_needs_a_dotted_one() {
    assert_eq!(codes(&cantus("mn G .F E")), ["E010"]);
    assert_eq!(codes(&cantus("sf G. .F")), ["E010"]);
}

#[test]
fn rests_are_counted_one_by_one() {
    assert_eq!(events(&cantus("sb _*3 G")), "1 sb _, 2 sb _, 3 sb _, 4 sb G4");
}

#[test]
fn positions_are_places_on_the_staff() {
    let text = "voice Tenor clef C4 positions\n  sb 1 2 6# 11 0 -1 12\n";
    assert_eq!(events(text), "1 sb C3, 2 sb D3, 3 sb A3, 4 sb F4, 5 sb B2, 6 sb A2, 7 sb G4");
}

#[test]
fn positions_and_letters_do_not_mix() {
    assert_eq!(codes(&cantus("sb D4 5")), ["E021"]);
    assert_eq!(codes("voice T clef C4 positions\n sb 2 D\n"), ["E021"]);
}

#[test]
fn coloration_may_overlap_a_ligature() {
    assert_eq!(events(&cantus("( br D4 { E ) sb F }")), "1 br D4(0), 2 br E4*(0), 3 sb F4*");
}

#[test]
fn groups_may_run_across_source_lines() {
    assert_eq!(events(&cantus("{ sb D4 / E } F")), "1 sb D4*, 2 sb E4*, 3 sb F4");
}

#[test]
fn after_something_supplied_the_value_is_that_before_it() {
    assert_eq!(events(&cantus("sb D4 [ mn E ] F")), "1 sb D4, -+ mn E4, 2 sb F4");
}

#[test]
fn an_emendation_keeps_the_printed_index_and_state() {
    assert_eq!(
        events(&cantus("mn A4 < fu G. .A | sm G. .A > G")),
        "1 mn A4, 2! fu G4., 3! sf A4, 2= sm G4., 3= fu A4, 4 fu G4"
    );
}

#[test]
fn what_an_emendation_adds_has_no_index() {
    assert_eq!(events(&cantus("mn A < | G > F")), "1 mn A4, -= mn G4, 2 mn F4");
    assert_eq!(events(&cantus("mn A < G | > F")), "1 mn A4, 2! mn G4, 3 mn F4");
}

#[test]
fn the_first_side_of_a_variant_is_read() {
    let text = cantus("mn A <? sm G | mn G > F");
    assert_eq!(events(&text), "1 mn A4, 2 sm G4, -? mn G4, 3 sm F4");
    assert_eq!(codes(&text), ["W108"]);
}

#[test]
fn more_goes_on_with_a_voice() {
    let text = "voice A clef C1\n sb D4 E\nvoice B clef C4\n sb D3\nmore A\n F\n";
    assert_eq!(events(text), "1 sb D4, 2 sb E4, 3 sb F4");
}

#[test]
fn a_clef_may_change() {
    assert_eq!(events(&cantus("sb E4 clef C3 E F")), "1 sb E4, 2 sb E4, 3 sb F4");
}

#[test]
fn a_canon_may_name_a_later_voice() {
    let piece = parse("voice C canon D 5 below after 3/2\nvoice D clef C1\n  sb D4\n").piece;
    let canon = piece.voices[0].canon.unwrap();
    assert_eq!((canon.dux, canon.steps, canon.after), (1, -4, Time::new(3, 2)));
}

#[test]
fn signs_of_the_head_hold_for_all_voices() {
    let text =
        "sign C|\nsignature Bb\nvoice A clef C1\n sb D4\nvoice B clef C4 signature none\n sb D3\n";
    let piece = parse(text).piece;
    assert_eq!(piece.voices[0].signature.to_string(), "Bb");
    assert_eq!(piece.voices[1].signature.to_string(), "none");
    assert_eq!(piece.voices[1].sign.unwrap().to_string(), "C|");
}

#[test]
fn one_run_reports_everything() {
    let text = cantus("D4 snb E ( F# G4# | sb A ) ] _2 \"x");
    let found = codes(&text);
    for code in ["E004", "E001", "E002", "E005", "E007", "E020", "E019"] {
        assert!(found.contains(&code), "{code}: {found:?}");
    }
}

#[test]
fn what_could_be_read_of_a_malformed_note_stands() {
    let parsed = parse(&cantus("sb D4/ E4x F"));
    assert_eq!(shown(&parsed.piece), "1 sb D4, 2 sb E4, 3 sb F4");
}

#[test]
fn words_of_the_head_are_near_too() {
    let parsed = parse("titel A duo\nvoice C clef C1\n sb D4\n");
    assert_eq!(parsed.diagnostics.len(), 1);
    assert!(parsed.diagnostics[0].help.as_deref().unwrap().contains("title"));
}

/// One slip is one error: what was most likely meant is taken for all that follows.
#[test]
fn one_slip_is_one_error() {
    for (text, code) in [
        (cantus("lg. D4 E"), "E001"),
        (cantus("SB D4 E"), "E001"),
        (cantus("sbD4 E4"), "E001"),
        (cantus("minim D4 E"), "E001"),
        (cantus("mn ( D4 ( E ) ) F"), "E006"),
        (cantus("mn D4 < E [ F ] | G > E"), "E027"),
        (cantus("mn D4 breve E"), "E001"),
        (cantus("mn D4 _4 E"), "E002"),
        (cantus("mn D4 ~E4/ E"), "E002"),
        (cantus("br. A E4"), "E001"),
        (cantus("fu. A G"), "E001"),
        (cantus("brA G"), "E001"),
        (cantus("sb D4E F"), "E002"),
        (cantus("sb D4 Eflat F"), "E001"),
        (cantus("sb G bB4 A"), "E001"),
        (cantus("sb A4 - r B"), "E001 E001"),
        (cantus("sb A4 sign 3 B SIGN C| C"), "E001"),
        (cantus("sb A4 3/2 B"), "E001"),
        ("Title A duo\nvoice Cantus clef C1\n mn D4\n".to_owned(), "E001"),
        ("voice Cantus clef C1 C|\n mn D4\n".to_owned(), "E017"),
        ("voice Cantus Clef C1\n mn D4\n".to_owned(), "E001"),
        ("voice Cantus clef C1 Bb 3/2 ; torn\n mn D4\n".to_owned(), "E016 E017"),
        ("Voice Cantus clef C1\n mn D4\n".to_owned(), "E001"),
        ("voice Cantus C1\n mn D4\n".to_owned(), "E015"),
        ("voice Cantus I clef C1\n mn D4\n".to_owned(), "E012"),
        ("voice Cantus clef F\n mn D4\n".to_owned(), "E015"),
        ("voice Cantus clef C1 signature Bb, Eb\n mn D4\n".to_owned(), "E016"),
    ] {
        assert_eq!(codes(&text).join(" "), code, "{text}");
    }
}

#[test]
fn what_was_meant_is_read() {
    for (typed, meant) in [
        ("br. A E4", "br A. E4"),
        ("fu. A .G A", "fu A. .G A"),
        ("mn. _ G", "mn _. G"),
        ("lg. A sb. B4 C", "lg A. sb B4. C"),
        ("lg. sb A", "sb A"),
        ("brA G", "br A G"),
        ("sb D4E ~F/ F~F F", "sb D4 E ~F / F ~F F"),
        ("sb D4// E", "sb D4 // E"),
        ("Clef C3 sb D4 Ratio 3:2 E", "clef C3 sb D4 ratio 3:2 E"),
        ("sb Bflat4 #C - bB", "sb Bb4 C# _ Bb"),
    ] {
        let items = |music: &str| {
            let items = parse(&cantus(music)).piece.voices.remove(0).items;
            items.into_iter().map(|item| (item.standing, item.kind)).collect::<Vec<_>>()
        };
        assert_eq!(items(typed), items(meant), "{typed}");
    }
    let piece = parse("Title A duo\nvoice Cantus clef C1 c|3 Bb\n sb D4\n").piece;
    assert_eq!(piece.head.title.unwrap().text, "A duo");
    assert_eq!(piece.voices[0].sign.unwrap().to_string(), "C|3");
    assert_eq!(piece.voices[0].signature.to_string(), "Bb");
}

/// The first help says what to type.
#[test]
fn helps_say_what_to_type() {
    for (music, help) in [
        ("br. A", "br A."),
        ("sb D4 3 E", "for the sign, `sign 3`"),
        ("sb D4 C| E", "type `sign C|`"),
        ("sb D4 C3 D4", "for the sign, type `sign C3`"),
        ("sb F♯4 G", "as F#4"),
        ("sb D4 O E", "type `sign O`"),
        ("sb D4 - E", "as _"),
        ("sb D4 r E", "as _"),
        ("sb D4 ^ E", "join it to its note, without a blank: D4^"),
        ("sb D4 . E", "D4."),
        ("sb D4 =5/2 E", "D4=5/2"),
        ("sb G4' A", "C5 an octave above"),
        ("sb B4, A", "the octave is a digit"),
        ("sb A4-B4 A", "A4 B4; notes struck together are A4+B4"),
        ("sb bB4 A", "as Bb4"),
        ("sb F## A", "one printed sign"),
        ("sb D4.. A", "one dot"),
        ("sb D4:: A", "D4 ::"),
        ("sb A4~ B", "~E, after a blank"),
        ("sb Bflat A", "as Bb"),
        ("sb Fsharp G", "as F#"),
        ("sb D4 key Bb", "`signature Bb`"),
        ("sb D4 xylophone A", "cartella explain"),
        ("sb D4 h A", "B flat is typed Bb"),
        ("sb D4 Title A", "must stand at the beginning of a line"),
    ] {
        let found = parse(&cantus(music)).diagnostics;
        let first = found[0].help.as_deref().unwrap();
        assert!(first.contains(help), "{music}: {first}");
    }
    let help = |text: &str| parse(text).diagnostics[0].help.clone().unwrap();
    assert!(help("key Bb\nvoice A clef C1\n sb D4\n").contains("`signature Bb`"));
    assert!(help("genre duo\nvoice A clef C1\n sb D4\n").contains("title composer source"));
    assert_eq!(help("voice A clef C1 C|\n sb D4\n"), "type sign C|");
}

/// The text with all fixes made, and the codes of its errors before and after, sorted.
fn mended(text: &str) -> (String, Vec<Code>, Vec<Code>) {
    let errors = |text: &str| {
        let diagnostics = parse(text).diagnostics.into_iter();
        let mut codes: Vec<Code> =
            diagnostics.filter(Diagnostic::is_error).map(|d| d.code).collect();
        codes.sort_unstable();
        codes
    };
    let edits: Vec<Edit> = parse(text).diagnostics.into_iter().filter_map(|d| d.fix).collect();
    let after = apply(text, &edits);
    (after.clone(), errors(text), errors(&after))
}

/// What is sure is mended, so that the file says what was meant.
#[test]
fn what_is_sure_is_mended() {
    for (typed, meant) in [
        ("voice A clef C 4\n sb D3\n", "voice A clef C4\n sb D3\n"),
        ("voice A clef: C4\n sb D3\n", "voice A clef C4\n sb D3\n"),
        ("voice A C4\n sb D3\n", "voice A clef C4\n sb D3\n"),
        ("voice A clef C4 signature Bb Eb\n sb D3\n", "voice A clef C4 signature Bb,Eb\n sb D3\n"),
        (
            "voice A clef C4 Bb, Eb C|\n sb D3\n",
            "voice A clef C4 signature Bb,Eb sign C|\n sb D3\n",
        ),
        (
            "signature Bb Eb\nvoice A clef C4\n sb D3\n",
            "signature Bb,Eb\nvoice A clef C4\n sb D3\n",
        ),
        ("title: A duo\nvoice A clef C4\n sb D3\n", "title A duo\nvoice A clef C4\n sb D3\n"),
        (
            "voice A clef C4\n sb D3 signature Bb, Eb D\n",
            "voice A clef C4\n sb D3 signature Bb,Eb D\n",
        ),
        ("voice A clef C4\n sb D3 clef C 3 E4\n", "voice A clef C4\n sb D3 clef C3 E4\n"),
        ("voice A clef C4\n sb D3 \"Secunda\n E\n", "voice A clef C4\n sb D3 \"Secunda\"\n E\n"),
        ("voice A clef C4\n sb D3E sbD\n", "voice A clef C4\n sb D3 E sb D\n"),
        ("voice A clef C4 sb D3\n", "voice A clef C4 \n  sb D3\n"),
    ] {
        let (after, _, left) = mended(typed);
        assert_eq!((after.as_str(), left.as_slice()), (meant, &[] as &[Code]));
    }
}

/// Where two readings are possible, a person decides.
#[test]
fn what_is_not_sure_is_left() {
    for text in [
        "voice A clef C1\n sb G4 \"Prima pars E F G /\n A\n",
        "voice A clef C1\n sb G4 \"ut supra ||\n A\n",
        "voice A C4 D4 E4\n sb G3\n",
        "voice A clef C1 what is this\n sb G4\n",
        "voice A clef C1\n sb G4 Da capo\n",
        "voice A clef C1\n sb G4 - as sbb A\n",
        "voice A positions clef C1\n sb 4 clef C 4 5\n",
    ] {
        let found = parse(text);
        assert!(found.has_errors() && found.diagnostics.iter().all(|d| d.fix.is_none()), "{text}");
    }
}

/// Whether nothing in a sorted list is there more often than in another.
fn is_within(few: &[Code], many: &[Code]) -> bool {
    let count = |codes: &[Code], code| codes.iter().filter(|other| **other == code).count();
    few.iter().all(|code| count(few, *code) <= count(many, *code))
}

/// To mend what is mechanical makes no other error; without blanks, and with capital letters, the
/// examples have many.
#[test]
fn a_fix_makes_no_other_error() {
    for code in Code::ALL {
        for example in [code.example(), code.mended()] {
            let glued = |from: &str, to: &str| example.replace(from, to);
            for text in [
                example.to_owned(),
                example.to_uppercase(),
                glued(" /", "/"),
                glued(" ~", "~"),
                glued("sb ", "sb"),
                glued("sb ", "sb. "),
                glued(" E ", "E "),
                glued("clef ", ""),
                glued("sign ", ""),
                glued("signature ", ""),
                glued("\n  ", " "),
                glued("\n", " "),
                glued("\" ", " "),
            ] {
                let (after, before, left) = mended(&text);
                assert!(is_within(&left, &before), "{text}\n{after}\n{before:?} {left:?}");
            }
        }
    }
}
#[test]
fn groups_stand_four_deep_at_most() {
    assert_eq!(codes(&cantus("br D4 { ( sb D [ < sb E | mn E > ] ) } F")), [] as [&str; 0]);
    let five = codes(&cantus("br D4 <? { ( [ < sb E | mn E > ] ) } | F >"));
    assert!(five.contains(&"E006"), "{five:?}");
}

#[test]
fn an_oblique_body_joins_two_notes() {
    for music in ["( \\ br D4 E )", "( br D4 E \\ )", "( br D4 \\ \\ E )"] {
        assert_eq!(codes(&cantus(music)), ["E026"], "{music}");
    }
}

#[test]
fn every_code_has_an_example_that_shows_it_and_one_that_does_not() {
    for code in Code::ALL.iter().filter(|code| is_of_the_file(**code)) {
        assert!(codes(code.example()).contains(&code.number()), "{code}");
        assert_eq!(codes(code.mended()), [] as [&str; 0], "{code}");
    }
}

/// Whether the parts file alone has it, and a small one.
fn is_of_the_file(code: Code) -> bool {
    let counted = matches!(
        code,
        Code::NotTogether
            | Code::NotMeeting
            | Code::TimeTooFine
            | Code::BarLineOff
            | Code::SectionTaken
            | Code::ReadingDivided
            | Code::ReadingTaken
            | Code::MissingSign
            | Code::BeyondReach
            | Code::HighClefs
            | Code::LoneSignature
            | Code::SourceLinesDiffer
            | Code::CutShort
            | Code::EndsBroken
            | Code::BarsOfOthers
    );
    !counted && !code.example().is_empty()
}

#[test]
fn a_reading_takes_a_value_that_is_typed_otherwise() {
    let text = "voice Cantus clef C1\n br D4 imperfect\n SB E perfect breve D\n";
    let parsed = parse(text);
    let readings = parsed.piece.voices[0].items.iter().filter_map(|item| match item.kind {
        ItemKind::Perfection { value, perfect } => Some((value.letters(), perfect)),
        _ => None,
    });
    assert_eq!(readings.collect::<Vec<_>>(), [("sb", false), ("br", true)]);
    let edits: Vec<Edit> = parsed.diagnostics.into_iter().filter_map(|d| d.fix).collect();
    assert_eq!(apply(text, &edits), text.replace("SB", "sb").replace("breve", "br"));
}

#[test]
fn every_keyword_is_explained() {
    let head = vocabulary::HEAD_ITEMS.into_iter().chain(["stacked", "partbooks", "barred"]);
    let voice = vocabulary::OPENINGS.into_iter().chain(vocabulary::ATTRIBUTES);
    let music = vocabulary::KEYWORDS.into_iter().chain(Value::ALL.into_iter().map(Value::letters));
    for word in head.chain(voice).chain(music).chain(["above", "below", "after", "none"]) {
        let term = crate::Term::find(word).unwrap_or_else(|| panic!("{word}"));
        assert!(term.typed.split(' ').any(|typed| typed == word), "{word}");
    }
}

#[test]
fn too_large_a_text_is_not_read() {
    assert_eq!(codes(&"D ".repeat(crate::LARGEST_TEXT / 2 + 1)), ["E029"]);
}

#[test]
fn too_many_voices_are_one_error() {
    let text: String = (0..3000).map(|place| format!("voice V{place} clef C1\n sb D4\n")).collect();
    assert_eq!(codes(&text), ["E028"]);
}

#[test]
fn a_few_letters_do_not_become_a_long_score() {
    let parsed = parse(&cantus(&format!("sb D4 {}", "_*9999 ".repeat(100_000))));
    let found: Vec<Code> = parsed.diagnostics.iter().map(|found| found.code).collect();
    assert_eq!(found, [Code::TooLarge]);
    assert_eq!(parsed.piece.voices[0].items.len() as i64, MOST_MINIMS / 2);
}

#[test]
fn no_voice_has_more_than_its_share_of_minims() {
    let music = "mx D4 E _*9999\n";
    for voices in [1, 2, 64] {
        let text: String =
            (0..voices).map(|n| format!("voice V{n} clef C1\n {}", music.repeat(20))).collect();
        let parsed = parse(&text);
        let found: Vec<Code> = parsed.diagnostics.iter().map(|found| found.code).collect();
        assert_eq!(found, [Code::TooLarge], "{voices}");
        for voice in &parsed.piece.voices {
            let items = voice.items.len() as i64;
            assert_eq!(items, MOST_MINIMS / voices / 16, "{voices}");
        }
    }
}

#[test]
fn ends_of_sections_count_as_breves() {
    let parsed = parse(&cantus(&format!("sf D4 {}", "|| :: ".repeat(100_000))));
    let found: Vec<Code> = parsed.diagnostics.iter().map(|found| found.code).collect();
    assert_eq!(found, [Code::TooLarge]);
    assert_eq!(parsed.piece.voices[0].items.len() as i64, MOST_MINIMS / 4);
}

#[test]
fn what_is_not_read_lasts_no_time() {
    let parsed = parse(&cantus(&"mx D4 < D4=9999 | D4=1 > ".repeat(100)));
    assert!(!parsed.has_errors());
}

#[test]
fn more_notes_than_a_piece_may_have_are_one_error() {
    let parsed = parse(&cantus(&format!("sm D4 {}", "D ".repeat(MOST_EVENTS + 7))));
    let found: Vec<Code> = parsed.diagnostics.iter().map(|found| found.code).collect();
    assert_eq!(found, [Code::TooLarge]);
    assert_eq!(parsed.piece.voices[0].items.len(), MOST_EVENTS);
}

#[test]
fn the_notes_of_a_canon_count_as_often_as_they_sound() {
    let mut text = cantus(&format!("sf D4 {}", "D ".repeat(MOST_EVENTS / 3)));
    for number in 0..20 {
        text += &format!("\nvoice Comes{number} canon Cantus 5 above after {number}");
    }
    let parsed = parse(&text);
    let found: Vec<Code> = parsed.diagnostics.iter().map(|found| found.code).collect();
    assert!(found.contains(&Code::TooLarge));
    assert_eq!(parsed.piece.voices.iter().filter(|voice| voice.canon.is_some()).count(), 1);
}

#[test]
fn two_hundred_thousand_brackets_are_read() {
    let parsed = parse(&cantus(&"( ".repeat(200_000)));
    assert!(parsed.has_errors());
    assert!(parsed.diagnostics.len() <= MOST_DIAGNOSTICS);
}

/// What stands on the next line is no argument that was typed with blanks, whatever follows it there.
#[test]
fn a_keyword_without_its_argument_takes_nothing_from_the_next_line() {
    for text in
        ["voice A clef C1\n Sign \n Bb, voice A clef C1\n", "voice A clef C1\n Sign \n 3~E sb\n"]
    {
        let (after, before, left) = mended(text);
        assert!(is_within(&left, &before), "{after}\n{before:?} {left:?}");
    }
}

/// Fixed, the words would be taken for a signature and a sign.
#[test]
fn music_beside_the_name_of_a_voice_is_not_fixed() {
    for text in ["Voice MN BbC|\n", "voice MN BbC|\n", "Voice C1 6 Bflat\n"] {
        let (after, before, left) = mended(text);
        assert!(is_within(&left, &before), "{after}\n{before:?} {left:?}");
    }
}

mod properties {
    use proptest::prelude::*;

    use super::*;

    fn is_blank(c: char) -> bool {
        c.is_whitespace() || c == '\u{feff}'
    }

    proptest! {
        #[test]
        fn parsing_never_panics(text in any::<String>()) {
            let _ = parse(&text);
        }

        /// Text that is nearly music gets further than noise.
        #[test]
        fn parsing_near_music_never_panics(
            words in proptest::collection::vec(
                prop_oneof![
                    Just("voice A clef C1\n"), Just("voice"), Just("more A\n"), Just("clef"), Just("C1"),
                    Just("sign"), Just("C|"), Just("<"), Just("<?"), Just("|"), Just(">"), Just("("),
                    Just(")"), Just("{"), Just("}"), Just("["), Just("]"), Just("sb"), Just("sf"),
                    Just("D4"), Just("D."), Just(".E"), Just("_*3"), Just("_2"), Just("~E"), Just("/"),
                    Just("\n"), Just("||"), Just("::"), Just("\\"), Just("\"x\""), Just("canon"),
                    Just("subject A 1-2\n"), Just("title x\n"), Just("layout barred\n"), Just("ratio"),
                    Just("mark A 1-2 circle \"x\"\n"), Just("mark"), Just("facsimile"),
                    Just("facsimile A 1 f 1 0 0 9 9 0\n"), Just("A"), Just("1-2"), Just("red"),
                    Just("3:2"), Just("D=5/2"), Just("F[#]4"), Just("; c\n"), Just("é"),
                ],
                0..60,
            )
        ) {
            let text = words.join(" ");
            let parsed = parse(&text);
            for diagnostic in &parsed.diagnostics {
                prop_assert!(diagnostic.span.end as usize <= text.len());
                prop_assert!(text.get(diagnostic.span.range()).is_some());
            }
        }

        /// Words that are nearly right, with and without blanks between them.
        #[test]
        fn a_fix_of_near_music_makes_no_other_error(
            words in proptest::collection::vec(
                (
                    prop_oneof![
                        Just("voice A clef C1\n"), Just("Voice"), Just("more A\n"), Just("Clef"),
                        Just("C1"), Just("Sign"), Just("C|"), Just("<"), Just("|"), Just(">"),
                        Just("("), Just(")"), Just("["), Just("]"), Just("sb"), Just("MN"),
                        Just("breve"), Just("br."), Just("D4"), Just("D."), Just(".E"), Just("_"),
                        Just("~E"), Just("/"), Just("\n"), Just("||"), Just("::"), Just("\"x"),
                        Just("Title x\n"), Just("Layout"), Just("Ratio"), Just("3:2"), Just("3"),
                        Just("Bflat"), Just("bB"), Just("-"), Just("Bb"), Just("signature"),
                        Just("positions"), Just("6"), Just("; c\n"), Just("F[#]4"), Just("note"),
                        Just("canon"), Just("Bb,"), Just("subject"), Just("brD"),
                        Just("mark"), Just("A"), Just("1-2"), Just("facsimile"),
                    ],
                    prop_oneof![7 => Just(" "), 1 => Just("")],
                ),
                0..40,
            )
        ) {
            let text: String = words.iter().flat_map(|(word, blank)| [*word, *blank]).collect();
            let (after, before, left) = mended(&text);
            prop_assert!(is_within(&left, &before), "{text}\n{after}\n{before:?} {left:?}");
        }

        /// Tokens and blanks together are the text.
        #[test]
        fn tokens_lose_nothing(text in any::<String>()) {
            let mut end = 0;
            for token in parse(&text).tokens {
                let between = &text[end..token.span.start as usize];
                prop_assert!(between.chars().all(is_blank));
                end = token.span.end as usize;
            }
            prop_assert!(text[end..].chars().all(is_blank));
        }
    }
}
