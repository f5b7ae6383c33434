//! The command as a person runs it: files in a folder of their own, answers and exit statuses.

mod support;

use std::fs;
use std::path::Path;

use support::run;

const DUO: &str = "title A duo\nsign C|\nvoice Cantus clef C1\n sb _ _ A4 B ~C / mn C5 sb D mn C[#] lg D\n\
                   voice Tenor clef C4\n sb D3 E F G ~A / mn A3 F sb E lg D\n";

/// A folder with a file `duo.parts` in it.
fn folder(text: &str) -> tempfile::TempDir {
    support::folder(&[("duo.parts", text)])
}

#[test]
fn a_sound_piece_checks() {
    let folder = folder(DUO);
    let (status, out, err) = run(folder.path(), "check duo.parts");
    assert_eq!((status, err.as_str()), (0, ""));
    assert_eq!(out, "duo.parts: nothing wrong; 2 voices, 4 bars, 16 minims\n");
}

#[test]
fn an_error_shows_its_place() {
    let folder = folder(&DUO.replace("G ~A", "G | ~A").replace("A3 F sb", "A3 F snb"));
    let (status, out, _) = run(folder.path(), "check duo.parts");
    assert_eq!(status, 1);
    insta::assert_snapshot!(out);
}

#[test]
fn diagnostics_are_json_if_asked_for() {
    let folder = folder(&DUO.replace("sb E lg D", "sb E lg D ]"));
    let (status, out, _) = run(folder.path(), "check duo.parts --format json");
    assert_eq!(status, 1);
    insta::assert_snapshot!(out);
}

/// A misprinted value: the check ends with the place, not only with the voice that is too short.
#[test]
fn a_check_ends_with_what_is_worth_looking_at() {
    let text = include_str!("../../../fixtures/misprinted-value.parts");
    let folder = folder(text);
    let (status, out, _) = run(folder.path(), "check duo.parts");
    assert_eq!(status, 1);
    let (_, worth) = out.split_once("worth looking at:\n").unwrap();
    insta::assert_snapshot!(worth);
    let (_, out, _) = run(folder.path(), "check duo.parts --format json");
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    let place = &answer["files"][0]["worth_looking_at"][0];
    assert_eq!((&place["voice"], &place["index"]), (&"Altus".into(), &18.into()));
    assert_eq!(place["codes"], serde_json::json!(["E041"]));
}

#[test]
fn what_is_mechanical_is_mended() {
    let folder = folder(&DUO.replace("lg D\nvoice", "lg D/\nvoice").replace("sb E", "SB E"));
    let (status, out, err) = run(folder.path(), "check duo.parts --fix");
    assert_eq!(err, "duo.parts: 2 places mended\n");
    assert_eq!(
        (status, out.as_str()),
        (0, "duo.parts: nothing wrong; 2 voices, 4 bars, 16 minims\n")
    );
    let mended = fs::read_to_string(folder.path().join("duo.parts")).unwrap();
    assert_eq!(mended, DUO.replace("lg D\nvoice", "lg D /\nvoice"));
}

#[test]
fn tidy_writes_in_place_and_once() {
    let folder = folder(DUO);
    assert_eq!(run(folder.path(), "tidy duo.parts --check").0, 1);
    assert_eq!(run(folder.path(), "tidy duo.parts"), (0, String::new(), String::new()));
    assert_eq!(run(folder.path(), "tidy duo.parts --check").0, 0);
    insta::assert_snapshot!(fs::read_to_string(folder.path().join("duo.parts")).unwrap());
}

#[test]
fn tidy_leaves_a_file_with_errors_as_it_is() {
    let folder = folder("voice A clef C1\n sb D4 ]\n");
    let (status, _, err) = run(folder.path(), "tidy duo.parts");
    assert_eq!(status, 1);
    assert!(err.ends_with("duo.parts: 1 error; the file is left as it is\n"), "{err}");
    let text = fs::read_to_string(folder.path().join("duo.parts")).unwrap();
    assert_eq!(text, "voice A clef C1\n sb D4 ]\n");
}

#[test]
fn the_grid_is_a_table() {
    let folder = folder(DUO);
    let (status, out, _) = run(folder.path(), "grid duo.parts --width 60");
    assert_eq!(status, 0);
    insta::assert_snapshot!(out);
}

#[test]
fn the_grid_is_json_if_asked_for() {
    let folder = folder(DUO);
    let (_, out, _) = run(folder.path(), "grid duo.parts --format json");
    assert!(out.starts_with("{\"version\":1,\"title\":\"A duo\",\"length\":\"16\""), "{out}");
    let third = r#"{"index":3,"kind":"note","pitch":"A4","at":"4","for":"2","line":4,"column":9}"#;
    assert!(out.contains(third), "{out}");
}

#[test]
fn a_score_is_written() {
    let folder = folder(DUO);
    let (status, out, err) = run(folder.path(), "score duo.parts -o duo.musicxml -o open.musicxml");
    assert_eq!((status, out.as_str(), err.as_str()), (0, "", ""));
    let score = fs::read_to_string(folder.path().join("duo.musicxml")).unwrap();
    assert!(score.contains("<score-partwise version=\"4.0\">"));
    let names: Vec<_> =
        fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(names.len(), 3, "nothing is left behind: {names:?}");
}

#[test]
fn a_score_with_a_slip_is_written_all_the_same() {
    let folder = folder(&DUO.replace("A3 F sb E", "A3 F sb E sm D"));
    let (status, _, err) = run(folder.path(), "score duo.parts -o duo.musicxml");
    assert_eq!(status, 1);
    assert_eq!(
        err,
        "duo.parts: the voices do not end together (E041); the score is written all the same, and \
         `cartella check duo.parts` says more\n"
    );
    assert!(folder.path().join("duo.musicxml").exists());
    // Also where the difference is a semibreve or a breve; and beside other errors.
    for (more, first) in [("sb D", ""), ("br D", ""), ("sb D4 nm D", "error[E001]")] {
        fs::write(
            folder.path().join("duo.parts"),
            DUO.replace("A3 F sb E", &format!("A3 F sb E {more}")),
        )
        .unwrap();
        let (status, _, err) = run(folder.path(), "score duo.parts -o duo.musicxml");
        assert_eq!(status, 1, "{more}: {err}");
        assert!(err.starts_with(first), "{more}: {err}");
        let last = err.lines().last().unwrap();
        assert!(
            last.contains("do not end together") && last.contains("`cartella check"),
            "{more}: {err}"
        );
    }
}

#[test]
fn standard_streams() {
    let piped =
        |folder, arguments| assert_cmd::Command::from_std(support::cartella(folder, arguments));
    let folder = folder("");
    let output = piped(folder.path(), "score - -o - --as musicxml").write_stdin(DUO).output();
    let output = output.unwrap();
    assert!(output.status.success());
    assert!(output.stdout.starts_with(b"<?xml"));
    let output = piped(folder.path(), "tidy -").write_stdin(DUO).output().unwrap();
    assert!(output.stdout.starts_with(b"title   A duo\n"));
}

#[test]
fn what_could_not_run_says_why() {
    let folder = folder(DUO);
    for (arguments, said) in [
        ("check nothing.parts", "cannot read nothing.parts"),
        ("score duo.parts -o duo.xyz", "what kind of file is duo.xyz?"),
        ("score duo.parts -o -", "name the kind of file for standard output"),
        ("score duo.parts -o nowhere/duo.musicxml", "cannot write nowhere/duo.musicxml"),
        ("score duo.parts -o x.musicxml --transpose 4 sideways", "is not an interval"),
        ("score duo.parts -o x.musicxml --transpose 99 down", "is not an interval"),
        ("explain E999", "E999 is neither a code nor a word"),
        ("score duo.parts", "say which score to write: -o NAME.musicxml"),
        ("score duo.parts --into out", "name the kind of file for the folder: --as musicxml"),
        ("score duo.parts --into nowhere/out --as mid", "there is no nowhere"),
        ("score duo.parts --into duo.parts --as mid", "duo.parts is not a folder"),
        ("check duo.parts --why Cantus", "`Cantus` is not a note or rest"),
        ("check", "<FILE> is missing"),
        ("read duo.parts", "XML"),
        ("new x --clefs C1,D4", "D4 is not a clef"),
        ("play duo.parts", "unrecognized subcommand"),
    ] {
        let (status, _, err) = run(folder.path(), arguments);
        assert_eq!(status, 2, "{arguments}: {err}");
        assert!(err.contains(said), "{arguments}: {err}");
    }
}

#[test]
fn a_file_that_is_there_is_not_lost() {
    let folder = folder(DUO);
    let (status, _, err) = run(folder.path(), "new duo --voices 2");
    assert_eq!(status, 2);
    assert!(err.contains("exists already"), "{err}");
    assert_eq!(run(folder.path(), "new duo --voices 2 --replace").0, 0);
}

#[test]
fn a_new_file_is_ready_to_be_filled_in() {
    let folder = folder("");
    assert_eq!(run(folder.path(), "new Ricercar --clefs G2,C2,C3,F3").0, 0);
    let text = fs::read_to_string(folder.path().join("Ricercar.parts")).unwrap();
    insta::assert_snapshot!(text);
    let (status, out, _) = run(folder.path(), "check Ricercar.parts");
    assert_eq!(status, 0, "{out}");
}

#[test]
fn a_file_that_is_no_text() {
    let folder = folder("");
    fs::write(folder.path().join("duo.parts"), b"voice A clef C1\n sb D\xff4\n").unwrap();
    let (status, out, _) = run(folder.path(), "check duo.parts");
    assert_eq!(status, 1);
    assert!(out.contains("E030") && out.contains("line 2"), "{out}");
}

const FOUR_VOICES: &str = include_str!("../../../fixtures/misprinted-value.parts");

/// The fixture's head says that one value is misprinted, but not where.
#[test]
fn a_slip_is_found_and_mended() {
    let folder = folder(FOUR_VOICES);
    let (status, out, _) = run(folder.path(), "mend duo.parts --format json");
    assert_eq!(status, 1);
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    let suggestions = answer["suggestions"].as_array().unwrap();
    let rank = suggestions.iter().position(|found| found["printed"] == "sm F").unwrap() + 1;
    assert!(rank <= 3, "{out}");
    let (status, out, _) = run(folder.path(), "mend duo.parts");
    assert!(status == 1 && out.starts_with("Altus has a slip (1.00)"), "{out}");
    assert!(out.ends_with("--apply 1`; if the source has it so, `--emend 1`\n"), "{out}");
    assert_eq!(run(folder.path(), &format!("mend duo.parts --emend {rank}")).0, 0);
    let emended = fs::read_to_string(folder.path().join("duo.parts")).unwrap();
    assert!(emended.contains("< F | mn F >"), "{emended}");
    assert_eq!(run(folder.path(), "check duo.parts").0, 0);
    let (status, _, err) = run(folder.path(), "mend duo.parts --apply 99");
    assert!(status == 2 && err.contains("there is no suggestion"), "{err}");
}

/// Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 29 (from memory): no two fifths in a row. A piece
/// that has them is not said to be right, though no slip explains them.
#[test]
fn what_no_slip_explains_is_named() {
    let fifths = "sign C|\nvoice Cantus clef C1\n  sb A4 B4 C5 B4 lg A4 //\n\
                  voice Tenor clef C4\n  sb D4 E4 F4 G4 lg D4 //\n";
    let folder = folder(fifths);
    let (status, out, _) = run(folder.path(), "check duo.parts");
    let text = "bar 1, minim 3, Cantus 2 and Tenor 2: two fifths in a row, in the same direction";
    let worth = format!("worth looking at:\n  duo.parts:3:9: {text}, and 1 more of this kind\n");
    assert!(status == 0 && out.starts_with(&worth), "{out}");
    assert!(
        out.ends_with("no error, but 1 place to look at; 2 voices, 3 bars, 12 minims\n"),
        "{out}"
    );
    let (status, out, _) = run(folder.path(), "mend duo.parts");
    let said = format!(
        "no likely slip explains this; compare it with the source:\n  duo.parts:3:9: {text}\n"
    );
    assert!(status == 0 && out.contains(&said), "{out}");
    let (_, out, _) = run(folder.path(), "mend duo.parts --format json");
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(answer["unexplained"][0]["text"], text);
}

#[test]
fn a_picture_is_drawn_and_audited() {
    let folder = folder(DUO);
    let (status, out, err) = run(folder.path(), "score duo.parts -o duo.svg --size 9 --audit");
    assert_eq!((status, err.as_str()), (0, ""));
    let picture = fs::read_to_string(folder.path().join("duo.svg")).unwrap();
    assert!(picture.starts_with("<svg") || picture.starts_with("<?xml"), "{picture:.60}");
    let (_, cantus) = picture.split_once("data-voice=\"Cantus\"").unwrap();
    let (cantus, _) = cantus.split_once("data-voice").unwrap();
    assert_eq!(cantus.matches("data-index").count(), 7, "two rests are drawn as one");
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(answer["audit"].as_array().unwrap().len(), 0);
    assert_eq!(answer["heads"].as_array().unwrap().len(), 14);
    assert_eq!(answer["staves"][1]["clef"], "F4");
    let (status, _, err) = run(folder.path(), "score duo.parts -o duo.svg --size 99");
    assert!(status == 2 && err.contains("the height is from 2 to 30 millimetres"), "{err}");
}

#[test]
fn a_length_has_a_reason() {
    let folder = folder("voice A clef C1 sign O\n br G4 sb A br G lg G\n");
    let (status, out, _) = run(folder.path(), "check duo.parts --why A:1");
    assert_eq!(status, 0);
    assert!(out.starts_with("A 1, a breve, lasts 4 minims: "), "{out}");
    for (event, said) in
        [("A:9", "its last is 4"), ("B:1", "the voices are A"), ("A", "not a note or rest")]
    {
        let (status, _, err) = run(folder.path(), &format!("check duo.parts --why {event}"));
        assert!(status == 2 && err.contains(said), "{err}");
    }
}

/// A bar, and a line and column, are asked about as they are seen in the answers.
#[test]
fn lengths_of_a_bar_and_at_a_place_have_their_reasons() {
    let folder = folder(
        "voice A clef C1\n br G4 mn A _*2 B\n lg G lg G\nvoice B canon A 5 below after 2\n\
         voice 7 clef C4\n lg G3 lg G lg G\n",
    );
    let why = |which: &str| run(folder.path(), &format!("check duo.parts --why {which}"));
    let said = |which: &str| -> Vec<String> {
        let (status, out, err) = why(which);
        assert_eq!((status, err.as_str()), (0, ""), "{which}");
        let said = out.lines().map(|line| line.split(", lasts").next().unwrap().to_owned());
        said.collect()
    };
    assert_eq!(said("A:b1"), ["A 1, a breve"]);
    assert_eq!(
        said("A:b2"),
        ["A 2, a minim", "A 3, a rest of a minim", "A 4, a rest of a minim", "A 5, a minim"]
    );
    let held = said("7:b2");
    assert_eq!(held, ["nothing begins in 7 in bar 2; what began before goes on:", "7 1, a longa"]);
    // At a note, which the follower has too; on its value; at rests that are one word.
    assert_eq!(said("2:5"), ["A 1, a breve", "B 1, a breve"]);
    assert_eq!(said("3:2"), ["A 6, a longa", "B 6, a longa"]);
    assert_eq!(said("6:5"), ["7 1, a longa"]);
    // A voice may have a number for its name.
    assert_eq!(said("7:3"), ["7 3, a longa"]);
    for (which, message) in [
        ("A:b99", "there is no bar 99; the last is"),
        ("C:b1", "the voices are A, B, 7"),
        ("4:5", "no note or rest stands in line 4 from column 5 on"),
        ("A:b", "a bar, Cantus:b12; or a line and column of the file, 12:5"),
    ] {
        let (status, _, err) = why(which);
        assert!(status == 2 && err.contains(message), "{which}: {err}");
    }
}

/// A sign in the head that is read in several ways: what is said leads out of it.
#[test]
fn a_sign_in_the_head_is_decided_in_the_music() {
    let file = |head: &str, music: &str| {
        format!("{head}\n\nvoice Cantus clef C1\n  {music}br A4 sb G br F sb E br D\n")
    };
    let checked = |text: &str| {
        let folder = folder(text);
        let (status, out, _) = run(folder.path(), "check duo.parts");
        (status, out)
    };
    let (_, out) = checked(&file("sign 3", ""));
    let said =
        "type `ratio 3:2` or `ratio 3:1` at the beginning of the music of each voice that has it";
    assert!(out.contains("W106") && out.contains(said), "{out}");
    // Where people type it first, it is said where it belongs.
    for head in ["sign 3 ratio 3:2", "sign 3\nratio 3:2"] {
        let (status, out) = checked(&file(head, ""));
        let said = "type `ratio 3:2` at the beginning of the music of each voice";
        assert!(status == 1 && out.contains(said), "{out}");
        assert_eq!(out.matches("error[").count(), 1, "{out}");
    }
    for music in ["ratio 3:2 ", "ratio 3:1 ", "ratio 3:2 perfect sb "] {
        let (status, out) = checked(&file("sign 3", music));
        assert!(status == 0 && out.contains("nothing wrong"), "{music}: {out}");
    }
}

#[test]
fn every_code_is_explained() {
    let folder = folder("");
    let (status, all, _) = run(folder.path(), "explain");
    assert_eq!(status, 0);
    let (_, codes) = all.split_once("\n\n").unwrap();
    for line in codes.lines() {
        let code = line.split_whitespace().next().unwrap();
        let (status, text, _) = run(folder.path(), &format!("explain {code}"));
        assert!(status == 0 && text.starts_with(&format!("{code}: ")), "{text}");
    }
}

#[test]
fn words_and_marks_are_explained() {
    let folder = folder("");
    for (word, said) in [
        ("sb", "sb: semibreve\n\nTwo minims"),
        ("ligature", "( ): ligature\n"),
        ("clef", "clef: clef\n"),
        ("<?", "<? | >: variant\n"),
    ] {
        let (status, text, _) = run(folder.path(), &format!("explain {word}"));
        assert!(status == 0 && text.starts_with(said), "{text}");
    }
    let (_, all, _) = run(folder.path(), "explain");
    assert!(all.contains("  semibreve\n") && all.contains("E003  "), "{all}");
}

#[test]
fn as_many_voices_as_clefs() {
    let folder = folder("");
    let (status, _, err) = run(folder.path(), "new duo2 --voices 3 --clefs C1,C4");
    assert_eq!(status, 2);
    assert_eq!(
        err,
        "cartella: 3 voices but 2 clefs, C1,C4: name a clef for each voice, or leave out --voices\n"
    );
    assert_eq!(run(folder.path(), "new duo2 --voices 1 --clefs C1,C4").0, 2);
    assert!(!folder.path().join("duo2.parts").exists());
    assert_eq!(run(folder.path(), "new duo2 --voices 2 --clefs C1,C4").0, 0);
}

/// Two things are wrong and no value is to blame: the list is there all the same, as it is for one
/// slip and for many errors.
#[test]
fn two_diagnostics_are_worth_looking_at() {
    let one = "voice Cantus clef C1\n sb D4 E5 D5\n";
    let folder = folder(one);
    assert!(!run(folder.path(), "check duo.parts").1.contains("worth looking at"));
    fs::write(folder.path().join("duo.parts"), one.replace("D5", "D5 ]")).unwrap();
    let (_, out, _) = run(folder.path(), "check duo.parts");
    let (_, worth) = out.split_once("worth looking at:\n").unwrap();
    assert_eq!(worth.lines().take_while(|line| !line.is_empty()).count(), 2, "{out}");
}

/// What is mended makes no other error, in the examples of all codes, counted and aligned too.
#[test]
fn mending_makes_no_other_error() {
    let errors = |folder: &Path, name: &str| {
        let (_, out, _) = run(folder, &format!("check {name} --format json"));
        let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
        let found = answer["files"][0]["diagnostics"].as_array().unwrap().clone();
        let errors = found.iter().filter(|found| found["severity"] == "error");
        errors.map(|found| found["code"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let codes = cartella::Code::ALL.iter().filter(|code| !code.example().is_empty());
    let slips =
        codes.flat_map(|code| [code.example().to_owned(), code.example().replace(" /", "/")]);
    let user = "title Duo\ntitel Duo\nkey Bb\nsign c\nvoice Cantus Secundus clef C1 C|\n  sb D4 E h\n  \
                SB. A4 B, Bflat F## sb A4 A4-B4 A4~ mn C5 ^ D5^^ sb D..\nvoice Bassus F4\n sb D3 E -\n";
    for (place, text) in slips.chain([user.to_owned()]).enumerate() {
        let folder = folder(&text);
        let before = errors(folder.path(), "duo.parts");
        run(folder.path(), "check duo.parts --fix");
        let after = errors(folder.path(), "duo.parts");
        let count = |codes: &[String], code| codes.iter().filter(|other| *other == code).count();
        let more = after.iter().find(|code| count(&after, *code) > count(&before, *code));
        assert_eq!(more, None, "{place}: {text}\n{before:?} {after:?}");
    }
}
