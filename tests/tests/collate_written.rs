//! Variants that are written: the first side of all of them is the one file, the second the other,
//! whatever is typed in them.

use std::collections::HashMap;

use notation::{Code, Event, Group, Item, ItemKind, Parsed, Piece, Standing, Voice, parse};
use proptest::prelude::*;
use score::{BarLength, Basis, Score, Side, align, collate, merge, reckon};

/// What marks a variant that was in the left file already.
const OWN: &str = "own";

/// A word of a voice typed in letters: music of every kind, and slips.
fn letters() -> impl Strategy<Value = String> {
    prop_oneof![
        24 => "[DEFG]3\\.?",
        6 => "(br|sb|mn|sm)",
        3 => "[DEFG](#|b|\\[#\\])?3(\\.|\\.\\+|\\.:)?\\^?%?\\??(=5/2)?",
        3 => "_(\\*[2-5])?\\.?",
        2 => "(mn [DE]3\\. \\.[FG]3|sb [DE]3\\.|\\.E3)",
        2 => "(/|//|~E|~E3 /|\"Prima pars\"|;torn\n|\n)",
        2 => "(sign 3|sign O|sign C|sign C\\.|clef C3|clef F4|\\|\\||::|signature Bb|ratio 3:2|ratio 1:1)",
        1 => "(perfect br|imperfect br)",
        2 => "\\( [DE]3 [FG]3( sb E3)? \\)",
        1 => "\\( br E3 \\\\ D3 \\)",
        2 => "\\{ [DE]3( _)?( mn [FG]3)? \\}",
        1 => "\\( [DE]3 \\{ [FG]3 \\) E3 \\}",
        1 => "< (sm [DE]3|\\{ F3 \\}|\\( F3 G3 \\)|) \\| mn [DEF]3 >",
        1 => "<\\? \"own\" mn [DE]3 \\| sm [FG]3 >",
        1 => "\\[ mn [DEF]3 \\]",
        1 => "[DEFG]",
        1 => "[DE]3\\+A3",
        3 => slip(),
    ]
}

/// What should not be there.
fn slip() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => Just("|".to_owned()),
        2 => "[(){}<>\\[\\]\\\\]",
        1 => Just("<? \"own\"".to_owned()),
        1 => "(\"Prima|xyz|SB|sb\\.|minim|D3E|D3/|sbD3|D3#|~E/|G12|D3\\|E3|lg _2|sb _2)",
        1 => "(sign|clef|signature|ratio 3|perfect|clef H2|sign X|6#|more Nobody\n)",
    ]
}

/// A word of a voice typed in positions.
fn positions() -> impl Strategy<Value = String> {
    prop_oneof![
        12 => "[2-8]#?\\.?",
        1 => "(-9|40|99)",
        4 => "(sb|mn|sm|_|_\\*3)",
        1 => "\\( [2-5] [2-5] \\)",
        1 => "\\{ [2-5] [2-5] \\}",
        1 => "(clef C3|sign O|/|\\|\\|)",
        1 => "< [2-5] \\| [2-5] >",
        1 => slip(),
    ]
}

/// The words of a piece: its head, and of each voice its opening and its music.
type Words = (Vec<String>, Vec<(String, Vec<String>)>);

fn words() -> impl Strategy<Value = Words> {
    let head =
        proptest::collection::vec("(layout barred|layout stacked|sign O|signature Bb)", 0..2);
    let first =
        ("( sign O| sign C| sign C3| sign O\\.|)", proptest::collection::vec(letters(), 1..24))
            .prop_map(|(sign, words)| (format!("voice A clef C4{sign}\n mn D3"), words));
    let second = proptest::collection::vec(letters(), 1..16)
        .prop_map(|words| ("voice B clef C4\n".to_owned(), words));
    let placed = proptest::collection::vec(positions(), 1..16)
        .prop_map(|words| ("voice C clef C4 positions\n mn 2".to_owned(), words));
    let canon = Just(("voice D canon A 5 above after 4".to_owned(), Vec::new()));
    let more = proptest::collection::vec(letters(), 1..12)
        .prop_map(|words| ("more A\n".to_owned(), words));
    let option = proptest::option::of::<BoxedStrategy<(String, Vec<String>)>>;
    let others = (
        option(second.boxed()),
        option(placed.boxed()),
        option(canon.boxed()),
        option(more.boxed()),
    );
    (head, first, others).prop_map(|(head, first, (second, placed, canon, more))| {
        let others = [second, placed, canon, more].into_iter().flatten();
        (head, std::iter::once(first).chain(others).collect())
    })
}

fn text((head, voices): &Words) -> String {
    let mut text = head.iter().map(|line| format!("{line}\n")).collect::<String>();
    for (opening, music) in voices {
        text.push_str(&format!("{opening} {}\n", music.join(" ")));
    }
    text
}

/// A slip of the second transcriber: a voice, a place, what is put in, and whether the word stays.
type Slip = (usize, usize, Option<String>, bool);

fn slips() -> impl Strategy<Value = Vec<Slip>> {
    let word = prop_oneof![6 => letters(), 1 => positions()];
    let slip = (0..4_usize, 0..24_usize, proptest::option::of(word), any::<bool>());
    proptest::collection::vec(slip, 0..6)
}

fn slipped(words: &Words, slips: Vec<Slip>) -> Words {
    let mut other = words.clone();
    for (voice, place, word, keep) in slips {
        let voice = voice % other.1.len();
        let music = &mut other.1[voice].1;
        let place = place % (music.len() + 1);
        if !keep && place < music.len() {
            music.remove(place);
        }
        if let Some(word) = word {
            music.insert(place.min(music.len()), word);
        }
    }
    other
}

fn scored(piece: &Piece) -> Score {
    align(piece, reckon(piece), BarLength::Breve).score
}

/// A piece with the first or the second side of every variant but those that it had before.
fn side(piece: &Piece, second: bool) -> Piece {
    let of_voice = |voice: &Voice| {
        let mut items: Vec<Item> = Vec::new();
        let mut within = false;
        for (place, item) in voice.items.iter().enumerate() {
            let own = is_own(voice.items.get(place + 1));
            match item.kind {
                ItemKind::Open(Group::Variant) if !own => within = true,
                ItemKind::Close(Group::Variant) if within => within = false,
                _ if !within => items.push(item.clone()),
                _ => {
                    let alternative = item.standing == Standing::Alternative;
                    if alternative == second && !(alternative && item.kind == ItemKind::Divide) {
                        let standing = if second { Standing::Printed } else { item.standing };
                        items.push(Item { standing, ..item.clone() });
                    }
                }
            }
        }
        Voice { items, ..voice.clone() }
    };
    Piece { voices: piece.voices.iter().map(of_voice).collect(), ..piece.clone() }
}

/// What is printed, in the order of the text, of what is compared.
fn print<'i>(items: impl Iterator<Item = &'i Item>) -> Vec<String> {
    let say = |item: &Item| match &item.kind {
        ItemKind::Event(event) => {
            let Event { value, sound, dot, signs, length, colored, .. } = event;
            let signs = signs.printed();
            Some(format!("{value} {sound:?} {dot:?} {signs} {length:?} {colored}"))
        }
        ItemKind::Clef(_)
        | ItemKind::Signature(_)
        | ItemKind::Sign(_)
        | ItemKind::SectionEnd
        | ItemKind::Repeat => Some(format!("{:?}", item.kind)),
        _ => None,
    };
    let printed = |item: &&Item| item.standing.is_printed();
    items.filter(printed).filter_map(say).collect()
}

/// What the second sides of all new variants print.
fn second_sides(piece: &Piece) -> Vec<Vec<String>> {
    let mut sides = Vec::new();
    for voice in &piece.voices {
        let variants = voice.items.chunk_by(|one, next| {
            (one.standing == Standing::Alternative) == (next.standing == Standing::Alternative)
        });
        let mut own = false;
        for items in variants {
            if items[0].standing != Standing::Alternative {
                let last =
                    items.iter().rposition(|item| item.kind == ItemKind::Open(Group::Variant));
                own = last.is_some_and(|open| is_own(items.get(open + 1)));
            } else if !own {
                let printed = |item: &Item| Item { standing: Standing::Printed, ..item.clone() };
                let items: Vec<Item> = items.iter().map(printed).collect();
                sides.push(print(items.iter()));
            }
        }
    }
    sides
}

/// Whether what follows the opening of a variant marks it as one that was there before.
fn is_own(next: Option<&Item>) -> bool {
    matches!(next.map(|next| &next.kind), Some(ItemKind::Words(words)) if words == OWN)
}

/// The items of each voice without their places in the text, ligatures counted anew.
fn items(piece: &Piece) -> Vec<Vec<(Standing, ItemKind)>> {
    let of_voice = |voice: &Voice| {
        let mut numbers: HashMap<u32, u32> = HashMap::new();
        let mut renumbered = |event: &Event| {
            let next = numbers.len() as u32;
            let ligature = event.ligature.map(|old| *numbers.entry(old).or_insert(next));
            ItemKind::Event(Event { ligature, ..event.clone() })
        };
        let items = voice.items.iter().map(|item| match &item.kind {
            ItemKind::Event(event) => (item.standing, renumbered(event)),
            kind => (item.standing, kind.clone()),
        });
        items.collect()
    };
    piece.voices.iter().map(of_voice).collect()
}

/// What is said of every event in the score, and the bars.
fn times(score: &Score) -> String {
    let mut said = format!("{:?}\n", score.bars);
    for voice in &score.voices {
        for event in &voice.events {
            let (onset, length, rule) = (event.onset, event.length, event.rule);
            let notes = event.notes.iter().map(|note| note.pitch.to_string());
            let notes = notes.collect::<Vec<String>>().join("+");
            said.push_str(&format!("{} {onset} {length} {rule:?} {notes}\n", voice.name));
        }
    }
    said
}

fn errors(parsed: &Parsed) -> Vec<Code> {
    let errors = parsed.diagnostics.iter().filter(|found| found.is_error());
    let mut codes: Vec<Code> = errors.map(|found| found.code).collect();
    codes.sort_unstable();
    codes
}

/// Whether the file with variants is the one and the other; how many differences are not in it.
fn either_side(left: &str, right: &str) -> usize {
    let (one, other) = (parse(left), parse(right));
    let (here, there) = (scored(&one.piece), scored(&other.piece));
    let there = Side { piece: &other.piece, score: &there };
    let collation = collate(Side { piece: &one.piece, score: &here }, there, Basis::Printed);
    let merged = merge(left, &one, &collation);
    let said = format!("{left}\n---\n{right}\n---\n{}", merged.text);
    let both = parse(&merged.text);

    let mut known = errors(&one);
    for code in errors(&both) {
        let place = known.iter().position(|one| *one == code);
        assert!(place.is_some(), "{code:?}\n{said}");
        known.remove(place.unwrap_or_default());
    }

    assert_eq!(items(&side(&both.piece, false)), items(&one.piece), "{said}");
    assert_eq!(times(&scored(&both.piece)), times(&here), "{said}");

    let second = side(&both.piece, true);
    if merged.unwritten == 0 {
        let score = scored(&second);
        let second = Side { piece: &second, score: &score };
        let differ = collate(second, there, Basis::Printed).differences;
        assert!(differ.is_empty(), "{differ:#?}\n{said}");
    }
    for variant in second_sides(&both.piece) {
        let mut voices = other.piece.voices.iter().map(|voice| print(voice.items.iter()));
        let within = |voice: Vec<String>| {
            variant.is_empty() || voice.windows(variant.len()).any(|words| words == variant)
        };
        assert!(voices.any(within), "{variant:?}\n{said}");
    }
    merged.unwritten
}

#[test]
fn a_stray_bar_line_is_in_no_variant() {
    let voice = |music: &str| format!("voice A clef C4\n  {music}\n");
    let (left, right) = (voice("mn D3 E | F G"), voice("mn D3 F4 A4 G3"));
    assert_eq!(either_side(&left, &right), 0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// A second transcription with slips.
    #[test]
    fn the_first_side_is_the_one_and_the_second_the_other(one in words(), slips in slips()) {
        either_side(&text(&one), &text(&slipped(&one, slips)));
    }

    /// Two files that have nothing to do with each other.
    #[test]
    fn of_any_two_files(one in words(), other in words()) {
        either_side(&text(&one), &text(&other));
    }
}
