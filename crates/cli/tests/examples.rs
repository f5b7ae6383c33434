//! Files of several examples, and one of them.

mod support;

use std::fs;

use serde_json::Value;
use support::{folder, run};

const CHAPTER: &str = "title On the clausula\nsign C|\n\n\
    ; the first\nexample 1\nvoice Cantus clef C1\nsb D5 mn C[#] lg D\nvoice Tenor clef C4\nsb F3 mn E lg D\n\n\
    example 2\nvoice Cantus clef C1\nmn G4 A SB B lg C5\nvoice Bassus clef F4\nmn G3 F sb D3 lg C\n\n\
    example 3\nnote alone\nvoice Cantus clef C1\nbr H4 br G4 lg A\n";

/// The same where all is sound.
fn sound() -> String {
    CHAPTER.replace("SB", "sb").replace("br H4 ", "")
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{error}: {text}"))
}

#[test]
fn check_lists_all_and_says_which() {
    let folder = folder(&[("c.parts", CHAPTER)]);
    let (status, out, _) = run(folder.path(), "check c.parts");
    assert_eq!(status, 1);
    for said in [
        "c.parts#1: nothing wrong; 2 voices",
        "--> c.parts#2:13:9",
        "c.parts#2: 1 error",
        "--> c.parts#3:20:4",
        "c.parts#3: 1 error",
    ] {
        assert!(out.contains(said), "{said}\n{out}");
    }
    let (status, out, _) = run(folder.path(), "check c.parts#1 c.parts#3");
    assert_eq!(status, 1);
    assert!(out.contains("c.parts#1: nothing") && !out.contains("c.parts#2"), "{out}");
}

#[test]
fn json_names_the_example() {
    let folder = folder(&[("c.parts", &format!("titel X\n{CHAPTER}"))]);
    let (_, out, _) = run(folder.path(), "check c.parts --format json");
    let answer = json(&out);
    let files = answer["files"].as_array().unwrap();
    let named: Vec<_> = files.iter().map(|file| file["example"].as_str()).collect();
    assert_eq!(named, [None, Some("1"), Some("2"), Some("3")]);
    assert!(files.iter().all(|file| file["file"] == "c.parts"));
    assert_eq!(files[0]["diagnostics"][0]["line"], 1);
    assert_eq!(files[2]["diagnostics"][0]["line"], 14);
    for verb in ["grid", "mend", "report"] {
        let (_, out, _) = run(folder.path(), &format!("{verb} c.parts --format json"));
        let named: Vec<Value> = out.lines().map(|line| json(line)["example"].clone()).collect();
        assert_eq!(named, ["1", "2", "3"], "{verb}");
        let (_, out, _) = run(folder.path(), &format!("{verb} c.parts#2 --format json"));
        assert_eq!(json(&out)["example"], "2", "{verb}");
    }
}

#[test]
fn each_example_is_answered_under_its_name() {
    let folder = folder(&[("c.parts", &sound())]);
    let (status, out, _) = run(folder.path(), "grid c.parts");
    assert_eq!(status, 0);
    let headings: Vec<&str> = out.lines().filter(|line| line.starts_with("example")).collect();
    assert_eq!(headings, ["example 1", "example 2", "example 3"]);
    let (_, out, _) = run(folder.path(), "report c.parts");
    assert_eq!(out.matches("On the clausula\n").count(), 3);
    assert!(out.starts_with("On the clausula\n1\n"), "{out}");
    let (_, out, _) = run(folder.path(), "report c.parts --format csv");
    let lines: Vec<&str> = out.lines().collect();
    assert!(lines[0].starts_with("example,bar,") && lines[1].starts_with("1,1,Cantus"), "{out}");
    let (_, out, _) = run(folder.path(), "mend c.parts");
    assert!(out.contains("c.parts#1: ") && out.contains("c.parts#3: "), "{out}");
}

#[test]
fn an_example_that_is_not_there() {
    let folder = folder(&[("c.parts", CHAPTER), ("d.parts", "voice A clef C1\n  sb A4\n")]);
    let (status, _, err) = run(folder.path(), "check c.parts#4");
    assert_eq!(status, 2);
    assert_eq!(err, "cartella: c.parts has no example 4; its examples are 1 2 3\n");
    let (_, _, err) = run(folder.path(), "grid d.parts#4");
    assert_eq!(err, "cartella: d.parts has no example 4; it is not divided into examples\n");
    let (_, _, err) = run(folder.path(), "mend c.parts --apply 1");
    assert_eq!(err, "cartella: c.parts has several examples: name one, as in c.parts#1\n");
    let (_, _, err) = run(folder.path(), "check c.parts --why Cantus:1");
    assert_eq!(err, "cartella: c.parts has several examples: name one, as in c.parts#1\n");
    let (status, out, _) = run(folder.path(), "check c.parts#1 --why Tenor:2");
    assert_eq!((status, out.lines().count()), (0, 1));
}

#[test]
fn a_file_whose_name_has_the_sign() {
    let folder = folder(&[("c.parts#1", "voice A clef C1\n  sb A4 lg B\n"), ("c.parts", CHAPTER)]);
    let (_, out, _) = run(folder.path(), "check c.parts#1");
    assert_eq!(out, "c.parts#1: nothing wrong; 1 voice, 1 bar, 4 minims\n");
}

#[test]
fn scores_are_named_after_their_examples() {
    let folder = folder(&[("c.parts", &sound())]);
    let (status, _, err) = run(folder.path(), "score c.parts --into s --as svg --as musicxml");
    assert_eq!((status, err.as_str()), (0, ""));
    let read = |name: &str| fs::read_to_string(folder.path().join("s").join(name)).unwrap();
    for name in ["1", "2", "3"] {
        assert!(
            read(&format!("c-{name}.svg"))
                .contains(&format!("<title>On the clausula. {name}</title>"))
        );
        let title = format!("<movement-title>{name}</movement-title>");
        assert!(read(&format!("c-{name}.musicxml")).contains(&title));
    }
    assert_eq!(fs::read_dir(folder.path().join("s")).unwrap().count(), 6);
    assert!(read("c-2.svg").contains("data-line=\"13\""));

    let (status, _, _) = run(folder.path(), "score c.parts#2 -o two.svg -o two.mid");
    assert_eq!(status, 0);
    assert_eq!(fs::read(folder.path().join("two.svg")).unwrap(), read("c-2.svg").as_bytes());
    let (status, _, _) = run(folder.path(), "score c.parts#3 c.parts#1 --into t --as svg");
    assert_eq!((status, fs::read_dir(folder.path().join("t")).unwrap().count()), (0, 2));
}

#[test]
fn several_examples_are_a_book() {
    let folder = folder(&[("c.parts", &sound())]);
    let (status, _, err) = run(folder.path(), "score c.parts -o c.pdf");
    assert_eq!((status, err.as_str()), (0, ""));
    let pdf = fs::read(folder.path().join("c.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF"));
    let (status, _, err) = run(folder.path(), "score c.parts -o c.svg");
    assert_eq!(status, 2);
    assert!(err.contains("several examples go into a folder: --into DIR"), "{err}");
    let (_, out, _) = run(folder.path(), "score c.parts --audit");
    let named: Vec<Value> = out.lines().map(|line| json(line)["example"].clone()).collect();
    assert_eq!(named, ["1", "2", "3"]);
}

#[test]
fn two_scores_of_one_name_are_refused() {
    let folder = folder(&[("c.parts", &sound()), ("c-1.parts", "voice A clef C1\n sb A4 lg A\n")]);
    let (status, _, err) = run(folder.path(), "score c.parts c-1.parts --into s --as mid --jobs 1");
    assert_eq!(status, 2);
    assert!(err.contains("two examples would become one file: s/c-1.mid"), "{err}");
}

#[test]
fn one_that_fails_does_not_stop_the_others() {
    let text = sound().replace("br G4 lg A\n", "");
    let folder = folder(&[("c.parts", &text)]);
    let (status, _, err) = run(folder.path(), "score c.parts --into s --as mid");
    assert_eq!(status, 2);
    assert!(err.contains("c.parts#3 has no music"), "{err}");
    assert!(err.ends_with("cartella: c.parts: 1 of 3 examples failed\n"), "{err}");
    assert_eq!(fs::read_dir(folder.path().join("s")).unwrap().count(), 2);
}

#[test]
fn what_is_changed_in_place_is_changed_in_its_example() {
    let folder = folder(&[("c.parts", CHAPTER)]);
    let path = folder.path().join("c.parts");
    let read = || fs::read_to_string(&path).unwrap();
    run(folder.path(), "check c.parts#1 --fix");
    assert_eq!(read(), CHAPTER);
    let (_, _, err) = run(folder.path(), "check c.parts#2 --fix");
    assert_eq!(err, "c.parts: 1 place mended\n");
    assert_eq!(read(), CHAPTER.replace("SB", "sb"));

    let (status, _, _) = run(folder.path(), "tidy c.parts#2");
    assert_eq!(status, 0);
    let before = CHAPTER.replace("SB", "sb");
    let after = read();
    let [from, to] = [&before, &after].map(|text| {
        let parts: Vec<&str> = text.split("example 2\n").collect();
        (parts[0].to_owned(), parts[1].split("example 3\n").map(str::to_owned).collect::<Vec<_>>())
    });
    assert_eq!((&from.0, &from.1[1]), (&to.0, &to.1[1]), "all else stays");
    assert!(to.1[0].starts_with("voice Cantus  clef C1\n  mn G4 A sb B lg C\n"), "{after}");
    let (status, out, _) = run(folder.path(), "tidy c.parts#2 --check");
    assert_eq!((status, out.as_str()), (0, ""));
    let (status, _, err) = run(folder.path(), "tidy c.parts");
    assert_eq!(status, 1);
    assert!(err.ends_with("c.parts: 1 error; the file is left as it is\n"), "{err}");
}

#[test]
fn a_suggestion_is_typed_in_its_example() {
    let duo = |name: &str, value: &str| {
        format!(
            "example {name}\nvoice Cantus clef C1\n  sb D5 C B4 A mn A B sb C5 B4 lg C5\n\
             voice Tenor clef C4\n  sb D3 E {value} G F mn F G sb A3 G lg C3\n"
        )
    };
    let text = duo("a", "sb") + &duo("b", "mn");
    let folder = folder(&[("c.parts", &text)]);
    let (_, out, _) = run(folder.path(), "mend c.parts --format json");
    let answers: Vec<Value> = out.lines().map(json).collect();
    assert_eq!(answers.len(), 2);
    let first = &answers[1]["suggestions"][0];
    assert_eq!(first["rank"], 1, "{out}");
    let (status, _, err) = run(folder.path(), "mend c.parts#b --apply 1");
    assert_eq!(status, 0, "{err}");
    assert!(err.starts_with("c.parts#b:"), "{err}");
    let after = fs::read_to_string(folder.path().join("c.parts")).unwrap();
    assert!(after.starts_with(&duo("a", "sb")) && after != text, "{after}");
}

#[test]
fn examples_are_collated_by_name() {
    let other = sound().replace("mn E lg D", "mn F lg D").replace("example 3", "example 4");
    let folder = folder(&[("a.parts", &sound()), ("b.parts", &other)]);
    let (status, out, _) = run(folder.path(), "collate a.parts b.parts");
    assert_eq!(status, 1);
    for said in [
        "example 1\nTenor, bar 1, 2nd note (line 1, no. 2; a.parts#1:9:10; b.parts#1:9:10): pitch: E3 | F3\n",
        "\nexample 2\nnothing differs",
        "\nexample 3 stands in a.parts alone\n",
        "\nexample 4 stands in b.parts alone\n",
    ] {
        assert!(out.contains(said), "{said}\n{out}");
    }
    let (_, out, _) = run(folder.path(), "collate a.parts b.parts --format json");
    let answers: Vec<Value> = out.lines().map(json).collect();
    let named: Vec<_> = answers.iter().map(|answer| answer["example"].as_str().unwrap()).collect();
    assert_eq!(named, ["1", "2", "3", "4"]);
    assert_eq!(answers[0]["differences"][0]["line"], 9);
    assert_eq!(answers[3]["only_in"], "b.parts");

    let (_, out, _) = run(folder.path(), "collate a.parts b.parts -o -");
    assert_eq!(out, sound().replace("mn E lg D", "mn <? E | F3 > lg D"));
    let (status, out, _) = run(folder.path(), "collate a.parts#3 b.parts#4");
    assert_eq!(status, 0);
    assert!(out.contains("nothing differs"), "{out}");
    let (status, _, err) = run(folder.path(), "collate a.parts#3 b.parts");
    assert_eq!(status, 2);
    assert!(err.contains("no example of the same name"), "{err}");
}

#[test]
fn a_chapter_comes_from_standard_input() {
    use std::io::Write as _;
    use std::process::Stdio;
    let folder = folder(&[]);
    let mut child = support::cartella(folder.path(), "check -- -#2")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(CHAPTER.as_bytes()).unwrap();
    let out = String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap();
    assert!(out.contains("standard input#2: 1 error"), "{out}");
}
