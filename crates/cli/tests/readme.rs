//! Every command of the README is run as it stands there.

mod support;

use std::fs;
use std::path::Path;
use std::process::Command;

use assert_cmd::cargo::cargo_bin;

const MEI: &str = r#"<mei xmlns="http://www.music-encoding.org/ns/mei"><music><body><mdiv><score>
<scoreDef><staffGrp><staffDef n="1" lines="5" notationtype="mensural.white" clef.shape="C"
 clef.line="4" mensur.sign="C"/></staffGrp></scoreDef><section><staff n="1"><layer>
<note dur="brevis" pname="d" oct="4"/><note dur="longa" pname="c" oct="4"/>
</layer></staff></section></score></mdiv></body></music></mei>"#;

/// The voices of which pictures are made, each by itself.
const SOURCE: [(&str, &str); 2] = [
    (
        "cantus",
        "voice Cantus clef C1 sign C|\n  sb _ A4 D5 mn C B ~A /\n  A4. .G F A C sb D mn C# lg D //\n",
    ),
    (
        "tenor",
        "voice Tenor clef C4 sign C|\n  sb D3 A mn G F E D ~F /\n  sb F3 D mn A F sb E lg D //\n",
    ),
];

fn readme() -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../README.md")).unwrap()
}

/// The fenced blocks of a kind.
fn blocks(text: &str, kind: &str) -> Vec<String> {
    let mut blocks = Vec::new();
    for part in text.split("\n```").skip(1).step_by(2) {
        if let Some((first, block)) = part.split_once('\n')
            && first == kind
        {
            blocks.push(format!("{block}\n"));
        }
    }
    blocks
}

#[test]
fn every_command_runs() {
    let readme = readme();
    let folder = tempfile::tempdir().unwrap();
    let parts = blocks(&readme, "parts");
    assert_eq!(parts.len(), 1);
    fs::write(folder.path().join("duo.parts"), &parts[0]).unwrap();
    let examples = ["1", "2"].map(|name| format!("example {name}\n{}", parts[0]));
    fs::write(folder.path().join("examples.parts"), examples.join("\n")).unwrap();
    for part in ["cantus.mei", "tenor.mei"] {
        fs::write(folder.path().join(part), MEI).unwrap();
    }
    let treatise = folder.path().join("treatise");
    fs::create_dir(&treatise).unwrap();
    fs::write(treatise.join("duo.parts"), &parts[0]).unwrap();
    fs::write(treatise.join("book.md"), "# Duos\n\n## The first\n\n![A duo](duo.parts)\n").unwrap();
    for (voice, text) in SOURCE {
        fs::write(folder.path().join("voice.txt"), text).unwrap();
        let sheet = format!("proof voice.txt -o {voice}.png --dpi 150 --page a4");
        assert_eq!(support::run(folder.path(), &sheet).0, 0, "{voice}");
        let [page, picture] =
            ["-1.png", ".png"].map(|end| folder.path().join(format!("{voice}{end}")));
        fs::rename(page, picture).unwrap();
    }
    let command = cargo_bin("cartella");
    let bin = command.parent().unwrap().display().to_string();
    let path = format!("{bin}:{}", std::env::var("PATH").unwrap());
    let blocks = blocks(&readme, "sh");
    let lines: Vec<&str> = blocks
        .iter()
        .flat_map(|block| block.lines())
        .filter(|l| l.starts_with("cartella"))
        .collect();
    assert!(lines.len() > 12, "{lines:?}");
    for line in lines {
        let output = Command::new("bash")
            .args(["-euc", line])
            .current_dir(folder.path())
            .env("PATH", &path)
            .env("XDG_CACHE_HOME", folder.path().join("cache"))
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{line}: {said}");
    }
}

/// What the README shows of `mend` is what it says of that fixture.
#[test]
fn the_answer_of_mend_is_shown_as_it_is() {
    let [shown] = blocks(&readme(), "text mend").try_into().unwrap();
    let fixture = include_str!("../../../fixtures/misprinted-value.parts");
    let folder = support::folder(&[("fuga.parts", fixture)]);
    let (status, out, _) = support::run(folder.path(), "mend fuga.parts");
    assert_eq!((status, out.trim_end()), (1, shown.trim_end()));
}
