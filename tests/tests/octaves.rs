//! Octaves that were left out are found again, on all open data.

use cartella::{BarLength, Document};
use notation::{Diagnostic, Edit, ItemKind, apply, parse};
use rudiments::Tone;
use suite::{MADRIGALS, duos, madrigal_parts, opendata, read_score};

/// The text without the octaves that the program would ask for.
fn without_octaves(text: &str) -> String {
    let piece = parse(text).piece;
    let mut text = text.to_owned();
    let mut removed = Vec::new();
    for voice in &piece.voices {
        let (mut clef, mut previous): (_, Option<Tone>) = (voice.clef.unwrap(), None);
        for item in &voice.items {
            match &item.kind {
                ItemKind::Clef(changed) => clef = *changed,
                ItemKind::Event(event) => {
                    let Some(note) = event.notes().first() else { continue };
                    let near = |tone: Tone| {
                        previous.is_some_and(|before| tone.steps_above(before).abs() <= 2)
                    };
                    let (low, high) = clef.on_staff(note.tone.step);
                    if let Some(high) = high
                        && !near(low)
                        && !near(high)
                        && [low, high].contains(&note.tone)
                    {
                        let word = item.span.of(&text);
                        let digit = word.find(|c: char| c.is_ascii_digit());
                        removed.push(item.span.start as usize + digit.unwrap());
                    }
                    previous = Some(note.tone);
                }
                _ => {}
            }
        }
    }
    removed.sort_unstable();
    for at in removed.into_iter().rev() {
        text.remove(at);
    }
    text
}

/// How many octaves were asked for, and how many of those on which both witnesses agree are right and
/// wrong.
#[derive(Default, Debug)]
struct Count {
    asked: usize,
    right: usize,
    wrong: usize,
}

impl Count {
    /// Counts a piece whose octaves are left out and found again.
    fn piece(&mut self, name: &str, text: &str) {
        let truth = parse(text).piece;
        let stripped = without_octaves(text);
        let document = Document::parse(&stripped);
        let piece = document.first().piece();
        assert_eq!(piece.doubtful_clefs, [], "{name}: the clefs are right");
        let decided = document.score(BarLength::Breve).octaves();
        for octave in &decided {
            let letter = piece.undecided.iter().find(|letter| letter.span == octave.span).unwrap();
            let item = &truth.voices[letter.voice].items[letter.item.unwrap()];
            let ItemKind::Event(event) = &item.kind else { panic!("{item:?}") };
            let is_right = event.notes()[0].tone == octave.tone;
            self.right += usize::from(is_right);
            self.wrong += usize::from(!is_right);
        }
        self.asked += piece.undecided.len();
        // What is typed is read so, and leaves nothing new to be asked for.
        let edits: Vec<Edit> = decided.iter().map(|octave| octave.edit.clone()).collect();
        let typed = parse(&apply(&stripped, &edits)).piece;
        assert!(typed.undecided.len() + decided.len() <= piece.undecided.len(), "{name}");
    }
}

/// Where the other voices and the line of a voice speak for the same octave, they are right in at least
/// 98 of 100 cases. All octaves that can be asked for are left out at once, in all voices.
#[test]
fn both_witnesses_are_right_where_they_agree() {
    let Some(opendata) = opendata() else { return };
    let mut count = Count::default();
    for piece in MADRIGALS {
        count.piece(piece, &madrigal_parts(&opendata, piece));
    }
    let of_madrigals = (count.asked, count.right, count.wrong);
    for (name, text) in duos(&opendata) {
        count.piece(&name, &read_score(&name, text.as_bytes(), None));
    }
    println!("of madrigals {of_madrigals:?}, of all {count:?}");
    assert!(count.asked > 900 && count.right > 180, "{count:?}");
    assert!(count.right * 100 >= (count.right + count.wrong) * 98, "{count:?}");
}

/// A voice under the clef of another, typed without the octaves that are asked for: a clef is told only
/// where the voice has it, and the one that is named leaves far fewer questions.
#[test]
fn a_wrong_clef_is_told() {
    let Some(opendata) = opendata() else { return };
    let (mut told, mut exact) = (0, 0);
    for piece in MADRIGALS {
        let text = without_octaves(&madrigal_parts(&opendata, piece));
        for voice in &parse(&text).piece.voices {
            let right = voice.clef.unwrap().to_string();
            let opening = format!("voice {} ", voice.name);
            let line = text.lines().find(|line| line.starts_with(&opening)).unwrap();
            for clef in ["C1", "C3", "C4", "F4", "G2"].into_iter().filter(|clef| *clef != right) {
                let under = line.replace(&format!("clef {right}"), &format!("clef {clef}"));
                let wrong = parse(&text.replace(line, &under));
                for found in &wrong.piece.doubtful_clefs {
                    assert_eq!(wrong.piece.voices[found.voice].name, voice.name);
                    assert!(found.troubles[1] < found.troubles[0]);
                    let of_voice = |found: &&Diagnostic| found.message.contains("looks wrong");
                    assert_eq!(wrong.diagnostics.iter().filter(of_voice).count(), 1);
                    told += 1;
                    exact += usize::from(found.fitting.to_string() == right);
                }
            }
        }
    }
    println!("{told} told, {exact} with the clef that is printed");
    // Clefs a third apart often fit alike, so not all can be the printed one.
    assert!(told > 80 && exact * 2 > told, "{told} told, {exact} exact");
}
