//! Long pieces of one kind each, invented: whatever a file may have many of.

use std::fmt::Write as _;

use crate::slips::Random;

/// A kind of piece, and the text of one with about so many notes and rests.
pub type Kind = (&'static str, fn(usize) -> String);

/// All kinds.
pub const KINDS: [Kind; 31] = [
    ("plain notes", plain),
    ("one giant line", giant_line),
    ("one voice", one_voice),
    ("two voices", two_voices),
    ("64 voices", many_voices),
    ("tuplets", tuplets),
    ("tuplets without signs", shifted_tuplets),
    ("black notes", black_notes),
    ("sections", sections),
    ("repeats in one voice", sections_of_one),
    ("rests", rests),
    ("counted rests", counted_rests),
    ("signs", signs),
    ("clefs and signatures", clefs),
    ("perfect values", perfect),
    ("ratios against one another", ratios),
    ("emendations", emendations),
    ("variants", variants),
    ("one long emendation", one_emendation),
    ("ligatures", ligatures),
    ("one long ligature", one_ligature),
    ("unknown words", unknown_words),
    ("undecided octaves", undecided),
    ("more of each voice", more),
    ("words", words),
    ("line ends", line_ends),
    ("bar lines", bar_lines),
    ("canons", canons),
    ("the same note", same_note),
    ("a drone", drone),
    ("a wrong clef, bare letters", wrong_clef),
];

/// Clefs, and the octave in which each voice is at home.
const VOICES: [(&str, &str, u32); 4] =
    [("Cantus", "C1", 4), ("Altus", "C3", 4), ("Tenor", "C4", 3), ("Bassus", "F4", 3)];

/// A note somewhere in an octave.
fn note(random: &mut Random, octave: u32) -> String {
    let step = ["C", "D", "E", "F", "G", "A", "B"][random.below(7)];
    format!("{step}{octave}")
}

/// Voices that are made of so many pieces; a piece is told its voice, its octave and its number.
fn of(
    head: &str,
    voices: &[(&str, &str, u32)],
    pieces: usize,
    mut piece: impl FnMut(&mut Random, usize, u32, usize) -> String,
) -> String {
    let mut random = Random::new(7);
    let mut text = format!("{head}\n");
    for (place, (name, clef, octave)) in voices.iter().enumerate() {
        let _ = writeln!(text, "voice {name} clef {clef}");
        for number in 0..pieces {
            text.push_str(if number % 8 == 0 { "\n  " } else { " " });
            text.push_str(&piece(&mut random, place, *octave, number));
        }
        let _ = writeln!(text, " lg D{octave}");
    }
    text
}

/// A breve of notes of several values.
fn breve(random: &mut Random, octave: u32) -> String {
    let mut next = || note(random, octave);
    format!(
        "mn {} {} sb {} mn {}. .{} sm {} {} {} {}",
        next(),
        next(),
        next(),
        next(),
        next(),
        next(),
        next(),
        next(),
        next()
    )
}

fn plain(events: usize) -> String {
    of("sign C|", &VOICES, events / 36, |random, _, octave, _| breve(random, octave))
}

fn giant_line(events: usize) -> String {
    let mut text = plain(events).replace("\n  ", " ");
    for (name, clef, _) in VOICES {
        text = text
            .replace(&format!("voice {name} clef {clef}"), &format!("voice {name} clef {clef}\n"));
    }
    text
}

fn one_voice(events: usize) -> String {
    of("sign C|", &VOICES[..1], events / 9, |random, _, octave, _| breve(random, octave))
}

fn two_voices(events: usize) -> String {
    of("sign C|", &VOICES[..2], events / 18, |random, _, octave, _| breve(random, octave))
}

fn many_voices(events: usize) -> String {
    let names: Vec<String> = (0..64).map(|voice| format!("V{voice}")).collect();
    let voices: Vec<_> = names
        .iter()
        .enumerate()
        .map(|(place, name)| {
            let (_, clef, octave) = VOICES[place / 16];
            (name.as_str(), clef, octave)
        })
        .collect();
    of("sign C|", &voices, events / 576, |random, _, octave, _| breve(random, octave))
}

fn tuplets(events: usize) -> String {
    of("sign C|", &VOICES, events / 12, |random, _, octave, _| {
        let mut next = || note(random, octave);
        format!("ratio 3:2 {{ sb {} mn {} }} ratio 1:1 sb {}", next(), next(), next())
    })
}

/// All of them within one ratio, and of lengths that no two bars share.
fn shifted_tuplets(events: usize) -> String {
    of("sign C|", &VOICES, events / 16, |random, voice, octave, number| {
        let mut next = || note(random, octave);
        let ratio = if number == 0 && voice > 0 { "ratio 3:2 " } else { "" };
        format!("{ratio}mn {} sm {} {} mn {}", next(), next(), next(), next())
    })
}

fn black_notes(events: usize) -> String {
    of("sign C|", &VOICES, events / 16, |random, _, octave, _| {
        let mut next = || note(random, octave);
        format!("{{ sb {} {} {} }} br {}", next(), next(), next(), next())
    })
}

fn sections(events: usize) -> String {
    of("sign C|", &VOICES, events / 12, |random, _, octave, number| {
        let mut next = || note(random, octave);
        format!(
            "sb {} {} br {} {}",
            next(),
            next(),
            next(),
            if number % 2 == 0 { "||" } else { "::" }
        )
    })
}

fn sections_of_one(events: usize) -> String {
    of("sign C|", &VOICES, events / 12, |random, voice, octave, _| {
        let mut next = || note(random, octave);
        format!("sb {} {} br {} {}", next(), next(), next(), if voice == 2 { "||" } else { "" })
    })
}

fn rests(events: usize) -> String {
    of("sign C|", &VOICES, events / 16, |random, voice, octave, number| {
        let mut next = || note(random, octave);
        if (number + voice) % 2 == 0 {
            "sb _ _ mn _ _ sm _ _ _ _ fu _ _ _ _".to_owned()
        } else {
            format!("sb {} {} mn {} {}", next(), next(), next(), next())
        }
    })
}

fn counted_rests(events: usize) -> String {
    of("sign C|", &VOICES, events / 400, |random, _, octave, _| {
        format!("sb {} mn _*98 sb {}", note(random, octave), note(random, octave))
    })
}

fn signs(events: usize) -> String {
    of("", &VOICES, events / 20, |random, _, octave, _| {
        let mut next = || note(random, octave);
        format!("sign C| sb {} {} sign C3 br {} sb {} {}", next(), next(), next(), next(), next())
    })
}

fn clefs(events: usize) -> String {
    of("sign C|", &VOICES, events / 16, |random, voice, octave, _| {
        let (clef, mut next) = (VOICES[voice].1, || note(random, octave));
        format!(
            "signature Bb sb {} {} clef G2 signature none sb {} {} clef {clef}",
            next(),
            next(),
            next(),
            next()
        )
    })
}

fn perfect(events: usize) -> String {
    of("sign O", &VOICES, events / 20, |random, _, octave, _| {
        let mut next = || note(random, octave);
        format!(
            "br {} sb {} {} mn {} br {}. mn {} {}",
            next(),
            next(),
            next(),
            next(),
            next(),
            next(),
            next()
        )
    })
}

fn ratios(events: usize) -> String {
    const RATIOS: [&str; 6] = ["3:2", "4:3", "1:1", "2:1", "5:4", "1:2"];
    of("sign C|", &VOICES, events / 16, |random, voice, octave, number| {
        let mut next = || note(random, octave);
        let ratio = RATIOS[(number + voice) % RATIOS.len()];
        format!("ratio {ratio} mn {} {} sb {} {}", next(), next(), next(), next())
    })
}

fn emendations(events: usize) -> String {
    of("sign C|", &VOICES, events / 24, |random, _, octave, _| {
        let mut next = || note(random, octave);
        format!(
            "mn {} < sm {} | mn {} \"the copy of the abbey\" > mn {} [ mn {} ] mn {}",
            next(),
            next(),
            next(),
            next(),
            next(),
            next()
        )
    })
}

fn variants(events: usize) -> String {
    of("sign C|", &VOICES, events / 20, |random, _, octave, _| {
        let mut next = || note(random, octave);
        format!("mn {} <? mn {} | {} > mn {} {}", next(), next(), next(), next(), next())
    })
}

fn one_emendation(events: usize) -> String {
    of("sign C|", &VOICES[..2], 1, |random, _, octave, _| {
        let long = |random: &mut Random| {
            (0..events / 4).map(|_| note(random, octave)).collect::<Vec<_>>().join(" ")
        };
        format!("mn < mn {} | mn {} >", long(random), long(random))
    })
}

fn ligatures(events: usize) -> String {
    of("sign C|", &VOICES, events / 16, |random, _, octave, _| {
        let mut next = || note(random, octave);
        format!("( sb {} {} ) ( br {} \\ {} )", next(), next(), next(), next())
    })
}

fn one_ligature(events: usize) -> String {
    of("sign C|", &VOICES, 1, |random, _, octave, _| {
        let notes: Vec<String> = (0..events / 4).map(|_| note(random, octave)).collect();
        format!("( sb {} )", notes.join(" "))
    })
}

fn unknown_words(events: usize) -> String {
    of("sign C|", &VOICES, events / 12, |random, _, octave, _| {
        let mut next = || note(random, octave);
        format!("mn {} corna {} qqq {}", next(), next(), next())
    })
}

fn undecided(events: usize) -> String {
    of("sign C|", &VOICES, events / 8, |_, _, _, _| "mn A4 D".to_owned())
}

fn more(events: usize) -> String {
    let mut random = Random::new(7);
    let mut text = String::from("sign C|\n");
    for number in 0..events / 36 {
        for (name, clef, octave) in VOICES {
            let breve = breve(&mut random, octave);
            let _ = if number == 0 {
                writeln!(text, "voice {name} clef {clef}\n  {breve}")
            } else {
                writeln!(text, "more {name}\n  {breve}")
            };
        }
    }
    text
}

fn words(events: usize) -> String {
    of("sign C|", &VOICES, events / 8, |random, _, octave, number| {
        let mut next = || note(random, octave);
        format!("\"Prima pars {number}\" mn {} {}", next(), next())
    })
}

fn line_ends(events: usize) -> String {
    of("layout stacked\nsign C|", &VOICES, events / 12, |random, _, octave, number| {
        let mut next = || note(random, octave);
        let (one, two, three, direct) = (next(), next(), next(), next());
        format!("mn {one} {two} sb {three} ~{direct} {}", if number % 5 == 0 { "//" } else { "/" })
    })
}

fn bar_lines(events: usize) -> String {
    of("layout barred\nsign C|", &VOICES, events / 36, |random, _, octave, _| {
        breve(random, octave) + " |"
    })
}

fn canons(events: usize) -> String {
    let mut text =
        of("sign C|", &VOICES[..1], events / 72, |random, _, octave, _| breve(random, octave));
    for number in 1..8 {
        let _ =
            writeln!(text, "voice Comes{number} canon Cantus 5 below after {} clef C3", number * 4);
    }
    text
}

fn same_note(events: usize) -> String {
    of("sign C|", &VOICES, events / 4, |_, _, octave, _| format!("sm F{octave}"))
}

/// One voice has few notes, as long as may be.
fn drone(events: usize) -> String {
    let pieces = events / 9;
    let long = (pieces * 4 / 5000).max(1);
    let mut text =
        of("sign C|", &VOICES[..1], pieces, |random, _, octave, _| breve(random, octave));
    text += "voice Bassus clef F4\n  ";
    for _ in 0..long {
        text += "br D3=5000 ";
    }
    text
}

/// Two voices in parallel, one of them typed a third too low, and no octave typed but the first.
fn wrong_clef(events: usize) -> String {
    let turns = events / 16;
    let turn = |steps: [&str; 4], octave: u32| {
        let [one, two, three, four] = steps;
        let turn = format!("{one} {two} {three} {four} {four} {three} {two} {one} ");
        format!("sb {one}{octave} {}", turn.repeat(turns))
    };
    let (cantus, bassus) = (turn(["A", "B", "C", "D"], 4), turn(["D", "E", "F", "G"], 3));
    format!("voice Cantus clef C1\n  {cantus}\nvoice Tenor clef C4\n  {bassus}\n")
}

#[cfg(test)]
mod tests {
    use notation::parse;

    use super::*;

    #[test]
    fn pieces_are_as_long_as_they_should_be_and_grow() {
        for (name, text) in KINDS {
            let count = |events: usize| {
                let voices = parse(&text(events)).piece.voices;
                let canons = 1 + voices.iter().filter(|voice| voice.canon.is_some()).count();
                voices.iter().map(|voice| voice.items.len() * canons).sum::<usize>() as f64
            };
            let (one, four) = (count(6000), count(24_000));
            assert!((2500.0..20_000.0).contains(&one), "{name}: {one}");
            assert!((3.5..4.5).contains(&(four / one)), "{name}: {one} {four}");
        }
    }
}
