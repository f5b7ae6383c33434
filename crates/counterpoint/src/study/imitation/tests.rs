//! Short cases: what is sung, and what is said of it.

use score::{BarLength, align, reckon};

use super::*;

fn studied(text: &str) -> Imitations {
    let parsed = notation::parse(text);
    assert!(
        !parsed.diagnostics.iter().any(notation::Diagnostic::is_error),
        "{:#?}",
        parsed.diagnostics
    );
    imitated(&parsed.piece)
}

fn imitated(piece: &Piece) -> Imitations {
    let score = align(piece, reckon(piece), BarLength::Breve).score;
    imitations(piece, &score)
}

/// What follows a subject that the head names as the first notes of A, so many: the entries of B.
fn answered(notes: u32, a: &str, b: &str) -> Vec<Entry> {
    // At its end B is free: what follows to the end is a canon.
    let text = format!(
        "subject A 1-{notes}\nvoice A clef C3\n {a}\nvoice B clef C2\n {b} br F4 E4 A4 lg A4\n"
    );
    let found = studied(&text);
    assert!(found.canons.is_empty(), "{:?}", found.canons);
    found.entries.into_iter().filter(|entry| entry.first.voice == 1).collect()
}

fn signs(entry: &Entry) -> Vec<String> {
    entry.signs.iter().map(|sign| sign.tone.step.to_string() + mark(*sign)).collect()
}

fn mark(pitch: Pitch) -> &'static str {
    ["b", "", "#"][(pitch.alteration + 1) as usize]
}

const RISING: &str = "sb D4 E F G br A D lg D";

/// D E F G is answered exactly at the fifth above; at the fourth above only with B flat (Zarlino, III,
/// ch. 51, on fuga: the same tones and semitones; from memory).
#[test]
fn exact_and_by_steps() {
    let [fifth] = &answered(4, RISING, "br _ sb A4 B C5 D5 br B4 lg A4")[..] else { panic!() };
    assert_eq!((fifth.quality, fifth.exact, fifth.notes), (Quality::Exact, 4, 4));
    let relation = Relation { entry: 0, steps: 4, delay: Time::minims(4) };
    assert_eq!((fifth.model, fifth.before), (Some(relation), Some(relation)));
    let [fourth] = &answered(4, RISING, "br _ sb G4 A B C5 br D5 lg G4")[..] else { panic!() };
    assert_eq!((fourth.quality, fourth.exact, fourth.notes), (Quality::Steps, 3, 4));
    assert_eq!(signs(fourth), ["Bb"]);
    let [flat] = &answered(4, RISING, "br _ sb G4 A Bb C5 br D5 lg G4")[..] else { panic!() };
    assert_eq!(flat.quality, Quality::Exact);
}

/// G A B C is answered at the fifth above only with F sharp.
#[test]
fn the_fewest_signs() {
    let [fifth] = &answered(4, "sb G3 A B C4 br D lg G3", "br _ sb D4 E F G br E lg D")[..] else {
        panic!()
    };
    assert_eq!((fifth.quality, signs(fifth)), (Quality::Steps, vec!["F#".to_owned()]));
}

/// A fifth up is answered by a fourth up, and all else alike: the answer that keeps to the octave of
/// the mode (common practice).
#[test]
fn a_fifth_answered_by_a_fourth() {
    let [answer] = &answered(6, "sb D4 A4 mn G F E D lg D", "br _ _ sb A3 D4 mn C B A G lg A")[..]
    else {
        panic!()
    };
    assert_eq!((answer.quality, answer.notes), (Quality::Head, 6));
    assert_eq!(answer.model.map(|model| model.steps), Some(-3));
    assert!(answer.signs.is_empty());
}

#[test]
fn close_and_after() {
    let subject = "sb D4 A4 mn G F E D lg D4";
    let [close] = &answered(6, subject, "br _ sb _ A3 E4 mn D C B A lg A")[..] else { panic!() };
    assert_eq!(close.meeting, Some(Meeting::Close(Time::minims(2))));
    let [after] = &answered(6, subject, "br _ _ sb A3 E4 mn D C B A lg A")[..] else { panic!() };
    assert_eq!(after.meeting, Some(Meeting::After));
}

#[test]
fn a_first_note_that_is_longer() {
    let [entry] = &answered(6, "sb D4 A4 mn G F E D lg D", "br _ _ D4 sb A4 mn G F E D lg D4")[..]
    else {
        panic!()
    };
    assert!(entry.freedoms.first_value && !entry.freedoms.values);
    assert_eq!(entry.onset, Time::minims(8));
}

#[test]
fn a_note_that_is_repeated_and_a_dotted_figure() {
    let subject = "sb D4 A4 mn G F E F lg D";
    let entry = |answer: &str| answered(7, subject, answer)[0].freedoms;
    let repeated = entry("br _ _ sb D4 mn A4 A G F E F lg D");
    assert!(repeated.repetition && !repeated.values);
    assert!(entry("br _ _ sb D4 A4 mn G. .F E F lg D").values);
}

/// The same values on the other minim of the tactus.
#[test]
fn the_other_minim() {
    let entry = &answered(6, "sb D4 A4 mn G F E D lg D", "br _ mn _ sb D4 A4 mn G F E D lg D")[0];
    assert!(entry.freedoms.other_minim && !entry.freedoms.first_value);
}

#[test]
fn inverted_augmented_and_diminished() {
    let subject = "sb D4 A4 mn G F E D lg D br D";
    let form = |answer: &str| answered(6, subject, answer)[0].form;
    assert_eq!(form("br _ _ sb A4 D mn E F G A lg A br A"), Form::Inverted);
    assert_eq!(form("br _ _ D4 A4 sb G F E D lg D"), Form::Augmented);
    assert_eq!(form("br _ _ mn D4 A4 sm G F E D lg D br D"), Form::Diminished);
}

/// Without being told: leaps, and rests before.
#[test]
fn a_subject_is_found_and_ends_where_its_entries_part() {
    let found = studied(
        "voice A clef C3\n sb D4 mn D A4 F G A F sb E mn D E F D C E lg D4\n\
         voice B clef C3\n br _ _ sb A3 mn A E4 C D E C sb B3 mn A D4 sb B3 G lg A\n\
         voice C clef F4\n br _ _ _ _ sb D3 mn D A3 C3 D br A2 lg D3\n",
    );
    let [subject] = &found.subjects[..] else { panic!("{:#?}", found.subjects) };
    assert_eq!(subject.shape, [0, 4, -2, 1, 1, -2, -1, -1]);
    assert_eq!(subject.entries.len(), 2);
    assert_eq!(subject.length, Time::minims(11));
    assert_eq!((subject.first_value, subject.dotted), (Value::Semibreve, false));
    let sung: Vec<&str> = subject.syllables.iter().map(|note| note.syllable.name()).collect();
    assert_eq!(sung.join(" "), "re re la fa sol la fa mi re");
}

/// Scales prove nothing, wherever they run.
#[test]
fn scales_are_no_subjects() {
    let found = studied(
        "voice A clef C3\n mn C4 D E F sb G mn F E D E sb F mn E D C D E F G A sb G br F lg E\n\
         voice B clef C3\n sb A3 mn B C4 D E D C sb B mn C D sb E mn D C B A br B sb C D lg C\n",
    );
    assert_eq!(found, Imitations::default());
}

/// Two that are answered by two an octave lower, the upper voice of a pair first; then the lower.
#[test]
fn duos_that_answer_one_another() {
    let duo = |second: &str| {
        let text = format!(
            "voice A clef C1\n br _ sb A4 E5 mn C D B A C B lg A br _*4\n\
             voice B clef C3\n sb D4 A4 mn F G E D F E lg D br _*5\n\
             {second}"
        );
        let found = studied(&text);
        assert_eq!(found.entries.len(), 4, "{found:#?}");
        let answer = found.duos.iter().find_map(|duo| duo.answers).unwrap();
        assert!(found.duos.iter().all(|duo| duo.alone));
        (answer.steps, answer.delay, answer.order)
    };
    let same = "voice C clef C4\n br _*7 sb A3 E4 mn C D B A C B lg A\n\
                voice D clef F4\n br _*6 sb D3 A3 mn F G E D F E lg D\n";
    assert_eq!(duo(same), (-7, Time::minims(24), Order::Same));
    let exchanged = "voice C clef C2\n br _*6 sb D4 A4 mn F G E D F E lg D\n\
                     voice D clef F4\n br _*7 sb A2 E3 mn C D B A C B lg A\n";
    assert_eq!(duo(exchanged), (0, Time::minims(24), Order::Exchanged));
}

const DUX: &str = "sb D4 A4 mn G F E D F E G F sb E D C mn D E F G sb A B lg A";

/// A canon that the source does not write out, and the same written out.
#[test]
fn a_canon_is_one_thing() {
    let typed = format!("voice A clef C3\n {DUX}\nvoice B canon A 5 above after 4\n");
    let written = format!(
        "voice A clef C3\n {DUX}\n\
         voice B clef C1\n br _ sb A4 E5 mn D C B A C B D C sb B A G mn A B C D sb E F lg E\n"
    );
    for (text, unwritten) in [(typed, true), (written, false)] {
        let found = studied(&text);
        assert_eq!(found.entries, []);
        let [canon] = &found.canons[..] else { panic!("{:?}", found.canons) };
        let [comes] = &canon.followers[..] else { panic!("{canon:?}") };
        assert_eq!((comes.steps, comes.delay), (4, Time::minims(4)));
        assert_eq!((comes.form, comes.unwritten), (Form::Direct, unwritten));
        assert_eq!(canon.dux, EventId { voice: 0, event: 0 });
    }
}

/// Three voices, of which two follow the first: one canon.
#[test]
fn a_canon_of_three() {
    let found = studied(&format!(
        "voice A clef C3\n {DUX}\nvoice B canon A 8 below after 2\nvoice C canon A 4 below after 6\n"
    ));
    let [canon] = &found.canons[..] else { panic!("{:?}", found.canons) };
    let steps: Vec<i32> = canon.followers.iter().map(|follower| follower.steps).collect();
    assert_eq!(steps, [-7, -3]);
}

/// Two voices that begin together, one in values twice as long.
#[test]
fn a_canon_in_two_measures() {
    let found = studied(
        "voice A clef C3\n br D4 A4 sb G F E D F E G F br E D C lg D\n\
         voice B clef C3\n sb D4 A4 mn G F E D F E G F sb E D C br D sb F G E D F E D C D lg E\n",
    );
    let comes = &found.canons[0].followers[0];
    assert_eq!((comes.first.voice, comes.form), (0, Form::Augmented));
}

/// Two voices in parallel tenths imitate nothing.
#[test]
fn voices_that_move_together() {
    let found = studied(
        "voice A clef C1\n sb A4 E5 mn C D B A C B lg A\n\
         voice B clef C3\n sb F3 C4 mn A B G F A G lg F\n",
    );
    assert_eq!(found, Imitations::default());
}

#[test]
fn where_nothing_is_sung() {
    let rests = "voice A clef C1\n br _ _ _\nvoice B clef C1\n br _ _\n";
    let alone = format!("voice A clef C3\n {DUX} {DUX}\n");
    for text in
        ["", rests, &alone, "voice A clef C1\n", "subject A 1-3\nvoice A clef C1\n br _*3\n"]
    {
        let piece = notation::parse(text).piece;
        assert_eq!(imitated(&piece), Imitations::default(), "{text}");
    }
}

/// A subject that is named is there even if nothing answers it, or if it is short.
#[test]
fn a_named_subject_is_always_said() {
    let found = studied("subject A 2-3\nvoice A clef C1\n sb _ A4 C5 D5 lg A4\n");
    assert_eq!(found.entries.len(), 1);
    assert!(found.subjects[0].named);
    assert_eq!(found.subjects[0].shape, [2]);
}

#[test]
fn sixty_four_voices() {
    let long = format!("{DUX} sb C4 {DUX} sb E4 {DUX} sb B3 {DUX} br C4 {DUX} lg D4");
    let voices: String = (0..64)
        .map(|voice| format!("voice V{voice} clef C3\n mn{} {long}\n", " _".repeat(voice)))
        .collect();
    let found = studied(&voices);
    assert_eq!(found.canons.len(), 1);
    assert_eq!(found.canons[0].followers.len(), 63);
}

/// Whatever comes again and again: equal notes, two notes in turn, scales, a subject without end.
#[test]
fn ten_thousand_notes_that_are_alike() {
    for turn in ["D4 ", "D4 E ", "D4 E F G A G F E ", "D4 A4 F G E ", "D4 A4 F _ "] {
        let notes = 10_000 / turn.split_whitespace().count();
        let music = turn.repeat(notes);
        studied(&format!("voice A clef C3\n mn {music}\nvoice B clef C3\n sb _ mn _ {music}\n"));
        studied(&format!("voice A clef C3\n mn {music}\nvoice B clef C3\n sb _ _ {music}\n"));
    }
}
