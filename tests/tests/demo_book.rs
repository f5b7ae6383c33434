//! The demo book, `fixtures/book`: its text and its examples fit together, and the music is what a
//! treatise may show.

use std::collections::BTreeMap;
use std::fs;

use cartella::{BarLength, Document, RuleSet, Weight};
use suite::{demo_book, root};

/// What the text refers to with `![…](…)` or `[…](…)`: a file and the name of an example in it.
fn references<'t>(text: &'t str, opening: &str) -> Vec<(&'t str, &'t str)> {
    let targets = text.split(opening).skip(1).filter_map(|after| after.split_once(')'));
    targets.filter_map(|(target, _)| target.split_once('#')).collect()
}

/// Where the footnotes point: an example, a voice, and the number of a note or rest in it.
fn pointers(text: &str) -> Vec<(&str, &str, u32)> {
    let notes = text.lines().filter(|line| line.starts_with("[^"));
    let word = notes.filter_map(|line| line.split_once("]: ")?.1.split_whitespace().next());
    let place = word.filter_map(|word| {
        let (example, place) = word.split_once('/')?;
        let (voice, number) = place.split_once(':')?;
        Some((example, voice, number.parse().ok()?))
    });
    place.collect()
}

/// The chapters by the names of their files.
fn documents() -> BTreeMap<String, Document> {
    let chapters = demo_book().into_iter();
    chapters.map(|(name, text)| (name + ".parts", Document::parse(text))).collect()
}

#[test]
fn every_example_stands_in_the_text_once() {
    let text = fs::read_to_string(root().join("fixtures/book/book.md")).unwrap();
    let documents = documents();
    let mut standing: Vec<(&str, &str)> = documents
        .iter()
        .flat_map(|(file, document)| {
            document.examples().filter_map(|one| Some((file.as_str(), one.name()?)))
        })
        .collect();
    assert_eq!(standing.len(), 30);
    let mut shown: Vec<(&str, &str)> = text
        .lines()
        .filter(|line| line.starts_with("!["))
        .flat_map(|line| references(line, "]("))
        .collect();
    assert!(shown.is_sorted_by_key(|(_, name)| name.parse::<u32>().unwrap()));
    shown.sort_unstable();
    standing.sort_unstable();
    assert_eq!(shown, standing);
    for (file, name) in references(&text, "](") {
        assert!(documents[file].example(name).is_some(), "{file}#{name}");
    }
}

#[test]
fn footnotes_point_at_notes() {
    let text = fs::read_to_string(root().join("fixtures/book/book.md")).unwrap();
    let documents = documents();
    let pointers = pointers(&text);
    assert_eq!(pointers.len(), 6);
    for (name, voice, number) in pointers {
        let example = documents.values().find_map(|document| document.example(name)).unwrap();
        let score = example.score(BarLength::Breve).score;
        let voice = score.voices.iter().find(|one| one.name == voice).unwrap();
        let event = voice.events.iter().find(|event| event.index == Some(number)).unwrap();
        assert!(!event.is_rest(), "{name}/{}:{number}", voice.name);
    }
}

/// What is wrong with an example: what `check` finds, and the faults that `study` finds.
fn complaints(document: &Document) -> Vec<String> {
    let mut all = Vec::new();
    for example in document.examples() {
        let name = example.name().unwrap_or_default();
        let checked = example.check(BarLength::Breve, 9);
        all.extend(checked.diagnostics.iter().map(|found| format!("{name}: {}", found.message)));
        let study = checked.study(RuleSet::default());
        let faults = study.findings.iter().filter(|found| found.severity == Weight::Fault);
        all.extend(faults.map(|found| format!("{name}: {}", found.sentence(&checked.score))));
    }
    all
}

#[test]
fn examples_are_without_findings_and_faults() {
    for (file, document) in documents() {
        assert_eq!(complaints(&document), Vec::<String>::new(), "{file}");
        let tidied = document.tidy(cartella::Spelling::default()).unwrap();
        assert_eq!(tidied, document.text(), "{file}");
    }
}

/// That the check above sees what it is there to see.
#[test]
fn planted_slips_are_complained_of() {
    let (_, text) = demo_book().swap_remove(0);
    let planted = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        complaints(&Document::parse(text.replacen(from, to, 1))).join("\n")
    };
    let short = planted("mn D3 F A F sb E lg D", "mn D3 F A F E lg D");
    assert!(short.contains("to its last note after 6 minims, Tenor after 5"), "{short}");
    let clash = planted("mn D3 F A F sb E lg D", "mn D3 F G F sb E lg D");
    assert!(clash.contains("untreated"), "{clash}");
}
