//! What happens to files and streams: the scenes of `docs/files.md`, one after another.

#![cfg(unix)]

mod support;

use std::fs::{self, OpenOptions, Permissions};
use std::io::Write as _;
use std::os::unix::fs::{FileTypeExt as _, MetadataExt as _, PermissionsExt as _, symlink};
use std::path::Path;
use std::process::{Command, Stdio};

use assert_cmd::cargo::cargo_bin;
use support::{cartella, run};

/// Sound music, which is not in canonical form.
const DUO: &str = "title A duo\nsign C|\nvoice Cantus clef C1\n sb _ _ A4 B ~C / mn C5 sb D mn C[#] lg D\n\
                   voice Tenor clef C4\n sb D3 E F G ~A / mn A3 F sb E lg D\n";

/// A blank is missing.
const SLIP: &str = "voice Cantus clef C1\n br G4 sb A/ G lg A\n";
const MENDED: &str = "voice Cantus clef C1\n br G4 sb A / G lg A\n";

/// Runs in a folder of its own.
type Scene = fn(&Path);

const SCENES: [(&str, Scene); 30] = [
    ("a read-only file", a_read_only_file),
    ("a file in a read-only folder", a_read_only_folder),
    ("a file with an owner and a mode", owner_and_mode),
    ("a new file", a_new_file),
    ("a symbolic link", a_link),
    ("a symbolic link to nothing", a_link_to_nothing),
    ("symbolic links in a circle", links_in_a_circle),
    ("a file with two names (hard links)", two_names),
    ("a pipe as output", a_pipe),
    ("a device as output", a_device),
    ("a folder as output", a_folder),
    ("a pipe changed in place", a_pipe_in_place),
    ("the disk is full", a_full_disk),
    ("the run is killed while it writes", killed),
    ("a file changed by another while it is worked on", changed_meanwhile),
    ("a file removed by another while it is worked on", removed_meanwhile),
    ("an output that is also read", an_output_that_is_read),
    ("two examples that would be written to one file", two_examples),
    ("two outputs of one name", two_outputs),
    ("pages of a longer score", pages_of_a_longer_score),
    ("an output that is there already", there_already),
    ("what `catalogue` and `find` keep", kept_of_a_collection),
    ("a file of sound", sound_in_blocks),
    ("an output on standard output", one_stream_one_thing),
    ("standard output is full", full_output),
    ("standard error is full", full_error),
    ("nobody reads standard output any more", closed_output_pipe),
    ("nobody reads standard error any more", closed_error_pipe),
    ("a stream that is closed from the beginning", closed_streams),
    ("control characters and hidden ones", control_characters),
];

#[test]
fn every_scene_of_the_document_is_as_it_says() {
    let document = include_str!("../../../docs/files.md");
    let cells = document.lines().filter_map(|line| line.strip_prefix("| ")?.split(" | ").next());
    let rows: Vec<&str> = cells.skip(2).collect();
    assert_eq!(SCENES.map(|(name, _)| name).as_slice(), rows);
    for (name, scene) in SCENES {
        println!("scene: {name}");
        let folder = support::folder(&[("duo.parts", DUO), ("slip.parts", SLIP)]);
        scene(folder.path());
        fs::set_permissions(folder.path(), Permissions::from_mode(0o755)).unwrap();
        let left = names(folder.path()).into_iter().find(|name| name.ends_with(".unfinished"));
        assert_eq!(left, None, "{name}");
    }
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

fn read(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(name)).unwrap()
}

/// A line of the shell; its exit status is that of the command that runs last.
fn shell(folder: &Path, line: &str) -> (i32, String, String) {
    let program = cargo_bin("cartella");
    let path =
        format!("{}:{}", program.parent().unwrap().display(), std::env::var("PATH").unwrap());
    let mut command = Command::new("sh");
    command.current_dir(folder).env("NO_COLOR", "1").env("PATH", path).args(["-c", line]);
    let output = command.output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap_or(-1), text(output.stdout), text(output.stderr))
}

/// A run that is not done, and says why.
fn refused(folder: &Path, arguments: &str, why: &str) {
    let (status, out, err) = run(folder, arguments);
    assert_eq!((status, out.as_str()), (2, ""), "{arguments}: {err}");
    assert!(err.contains(why), "{arguments}: {err}");
}

fn done(folder: &Path, arguments: &str) {
    let (status, _, err) = run(folder, arguments);
    assert_eq!((status, err.as_str()), (0, ""), "{arguments}");
}

fn set_mode(path: &Path, mode: u32) {
    fs::set_permissions(path, Permissions::from_mode(mode)).unwrap();
}

fn mode(path: &Path) -> u32 {
    fs::metadata(path).unwrap().permissions().mode() & 0o7777
}

fn pipe(path: &Path) {
    assert!(Command::new("mkfifo").arg(path).status().unwrap().success());
}

fn a_read_only_file(folder: &Path) {
    fs::write(folder.join("duo.svg"), "mine").unwrap();
    for (name, arguments) in [
        ("duo.parts", "tidy duo.parts"),
        ("slip.parts", "check slip.parts --fix"),
        ("duo.svg", "score duo.parts -o duo.svg"),
        ("duo.parts", "new duo --replace"),
    ] {
        let before = read(folder, name);
        set_mode(&folder.join(name), 0o444);
        refused(folder, arguments, "is read-only");
        assert_eq!((read(folder, name), mode(&folder.join(name))), (before, 0o444));
    }
}

fn a_read_only_folder(folder: &Path) {
    let before = names(folder);
    set_mode(folder, 0o555);
    for arguments in ["tidy duo.parts", "score duo.parts -o duo.svg", "new trio"] {
        refused(folder, arguments, "is read-only");
    }
    assert_eq!((read(folder, "duo.parts").as_str(), names(folder)), (DUO, before));
}

fn owner_and_mode(folder: &Path) {
    let path = folder.join("duo.parts");
    set_mode(&path, 0o640);
    let was = fs::metadata(&path).unwrap();
    let may_give_away = std::os::unix::fs::chown(&path, Some(4711), Some(4712)).is_ok();
    let owner = if may_give_away { (4711, 4712) } else { (was.uid(), was.gid()) };
    done(folder, "tidy duo.parts");
    let now = fs::metadata(&path).unwrap();
    assert_eq!(((now.uid(), now.gid()), mode(&path)), (owner, 0o640));
    assert!(now.ino() != was.ino() && read(folder, "duo.parts") != DUO);
    if !may_give_away {
        eprintln!("skipped: only the superuser gives files to others");
    }
}

fn a_new_file(folder: &Path) {
    for (umask, expected) in [("022", 0o644), ("077", 0o600), ("002", 0o664)] {
        let line = format!("umask {umask}; cartella score duo.parts -o {umask}.mid");
        assert_eq!(shell(folder, &line).0, 0);
        assert_eq!(mode(&folder.join(format!("{umask}.mid"))), expected);
    }
}

fn a_link(folder: &Path) {
    fs::create_dir(folder.join("sub")).unwrap();
    fs::rename(folder.join("duo.parts"), folder.join("sub/duo.parts")).unwrap();
    symlink("sub/duo.parts", folder.join("one.parts")).unwrap();
    symlink("one.parts", folder.join("two.parts")).unwrap();
    done(folder, "tidy two.parts");
    assert!(folder.join("one.parts").is_symlink() && folder.join("two.parts").is_symlink());
    assert!(read(folder, "sub/duo.parts").starts_with("title   A duo\n"));
}

fn a_link_to_nothing(folder: &Path) {
    fs::create_dir(folder.join("sub")).unwrap();
    symlink("sub/duo.mid", folder.join("link.mid")).unwrap();
    symlink("nowhere/duo.mid", folder.join("lost.mid")).unwrap();
    done(folder, "score duo.parts -o link.mid");
    assert!(folder.join("link.mid").is_symlink() && folder.join("sub/duo.mid").is_file());
    refused(folder, "score duo.parts -o lost.mid", "there is no folder ./nowhere");
}

fn links_in_a_circle(folder: &Path) {
    symlink("a.mid", folder.join("b.mid")).unwrap();
    symlink("b.mid", folder.join("a.mid")).unwrap();
    refused(folder, "score duo.parts -o a.mid", "cannot write a.mid");
    assert!(folder.join("a.mid").is_symlink());
}

fn two_names(folder: &Path) {
    fs::hard_link(folder.join("duo.parts"), folder.join("other.parts")).unwrap();
    fs::write(folder.join("duo.mid"), "mine").unwrap();
    fs::hard_link(folder.join("duo.mid"), folder.join("other.mid")).unwrap();
    refused(folder, "tidy duo.parts", "has another name too");
    refused(folder, "score duo.parts -o duo.mid", "has another name too");
    let number = |name: &str| fs::metadata(folder.join(name)).unwrap().ino();
    assert_eq!(number("duo.parts"), number("other.parts"));
    assert_eq!(
        (read(folder, "duo.parts").as_str(), read(folder, "duo.mid").as_str()),
        (DUO, "mine")
    );
}

fn a_pipe(folder: &Path) {
    pipe(&folder.join("duo.svg"));
    let line = "cat duo.svg > copy.svg & cartella score duo.parts -o duo.svg; status=$?; wait; exit $status";
    assert_eq!(shell(folder, line).0, 0);
    assert!(fs::metadata(folder.join("duo.svg")).unwrap().file_type().is_fifo());
    assert!(read(folder, "copy.svg").ends_with("</svg>\n"));
}

/// Devices of the machine itself are left alone: these are two like them in the folder.
fn a_device(folder: &Path) {
    let made = "mknod null.svg c 1 3 && mknod full.svg c 1 7 && echo > null.svg";
    if shell(folder, made).0 != 0 {
        eprintln!("skipped: no devices can be made here");
        return;
    }
    let before = names(folder);
    done(folder, "score duo.parts -o null.svg");
    refused(folder, "score duo.parts -o full.svg", "cannot write full.svg");
    for name in ["null.svg", "full.svg"] {
        assert!(fs::metadata(folder.join(name)).unwrap().file_type().is_char_device());
    }
    assert_eq!(names(folder), before);
}

fn a_folder(folder: &Path) {
    fs::create_dir(folder.join("duo.svg")).unwrap();
    refused(folder, "score duo.parts -o duo.svg", "it is a folder");
}

fn a_pipe_in_place(folder: &Path) {
    let (status, out, err) = shell(folder, "cat duo.parts | cartella tidy /dev/stdin");
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("it is a pipe or a device"), "{err}");
}

/// A limit on the size of files stands for a disk that is full: the system ends the run that goes
/// beyond it, or refuses it more room if that signal is ignored.
const LIMIT: &str = "ulimit -c 0; ulimit -f 4;";

fn a_full_disk(folder: &Path) {
    fs::write(folder.join("duo.svg"), "mine").unwrap();
    let before = names(folder);
    let line = format!("trap '' XFSZ; {LIMIT} exec cartella score duo.parts -o duo.svg");
    let (status, _, err) = shell(folder, &line);
    assert_eq!(status, 2, "{err}");
    assert!(err.contains("cannot write duo.svg"), "{err}");
    assert_eq!((read(folder, "duo.svg").as_str(), names(folder)), ("mine", before));
}

fn killed(folder: &Path) {
    fs::write(folder.join("duo.svg"), "mine").unwrap();
    let (other, mine) = (".cartella-notes.unfinished", ".cartella-0123456789ab");
    for name in [other, mine] {
        fs::write(folder.join(name), "").unwrap();
    }
    shell(folder, &format!("{LIMIT} exec cartella score duo.parts -o duo.svg"));
    assert_eq!(read(folder, "duo.svg"), "mine");
    let left = |name: &String| name.ends_with(".unfinished") && name != other;
    assert_eq!(names(folder).iter().filter(|name| left(name)).count(), 1, "the run was killed");
    done(folder, "score duo.parts -o duo.mid");
    assert_eq!(names(folder).iter().filter(|name| left(name)).count(), 0);
    for name in [other, mine] {
        fs::remove_file(folder.join(name)).unwrap();
    }
}

/// Runs the command on a pipe, and does something in the moment when it has read all but the end.
fn meanwhile(folder: &Path, arguments: &str, text: &str, act: impl Fn(&Path)) -> (i32, String) {
    let path = folder.join("work.parts");
    pipe(&path);
    let run = cartella(folder, arguments).stderr(Stdio::piped()).spawn().unwrap();
    let mut end = OpenOptions::new().write(true).open(&path).unwrap();
    end.write_all(text.as_bytes()).unwrap();
    act(&path);
    drop(end);
    let output = run.wait_with_output().unwrap();
    (output.status.code().unwrap(), String::from_utf8(output.stderr).unwrap())
}

fn changed_meanwhile(folder: &Path) {
    let theirs = "title Theirs\n";
    for (arguments, text, ours) in
        [("tidy work.parts", DUO, "title   A duo\n"), ("check work.parts --fix", SLIP, MENDED)]
    {
        let (status, err) = meanwhile(folder, arguments, text, |path| {
            fs::write(folder.join("theirs"), theirs).unwrap();
            fs::rename(folder.join("theirs"), path).unwrap();
        });
        assert_eq!(status, 2, "{err}");
        assert!(err.contains("was changed by another program meanwhile"), "{err}");
        assert_eq!(read(folder, "work.parts"), theirs);
        assert!(read(folder, "work.parts.new").starts_with(ours));
        fs::remove_file(folder.join("work.parts")).unwrap();
        fs::remove_file(folder.join("work.parts.new")).unwrap();
    }
}

fn removed_meanwhile(folder: &Path) {
    let (status, err) =
        meanwhile(folder, "tidy work.parts", DUO, |path| fs::remove_file(path).unwrap());
    assert_eq!(status, 2, "{err}");
    assert!(
        err.contains("it is not there any more") && !folder.join("work.parts").exists(),
        "{err}"
    );
}

fn an_output_that_is_read(folder: &Path) {
    fs::rename(folder.join("duo.parts"), folder.join("duo.mid")).unwrap();
    symlink("duo.mid", folder.join("link.mid")).unwrap();
    fs::hard_link(folder.join("duo.mid"), folder.join("hard.mid")).unwrap();
    for output in ["duo.mid", "./duo.mid", "link.mid", "hard.mid"] {
        refused(
            folder,
            &format!("score duo.mid -o first.svg -o {output}"),
            "is read: give the output another name",
        );
    }
    refused(folder, "score duo.mid slip.parts --into . --as mid", "2 files failed");
    refused(
        folder,
        "collate duo.mid slip.parts -o link.mid --replace",
        "is read: give the output another name",
    );
    refused(folder, "collate duo.mid slip.parts -o slip.parts --replace", "it is what is read");
    assert_eq!(shell(folder, "cartella score - -o duo.mid < duo.mid").0, 2);
    assert_eq!(read(folder, "duo.mid"), DUO);
    assert_eq!(read(folder, "slip.parts"), SLIP);
    assert!(!folder.join("first.svg").exists());
}

fn two_outputs(folder: &Path) {
    symlink("duo.svg", folder.join("link.svg")).unwrap();
    let before = names(folder);
    for outputs in ["-o duo.svg -o ./duo.svg", "-o duo.svg -o link.svg", "-o - -o - --as svg"] {
        refused(folder, &format!("score duo.parts {outputs}"), "two outputs would be one file");
    }
    refused(folder, "score duo.parts --into sub --as svg --as svg", "--as svg stands twice");
    fs::write(folder.join("score.parts"), DUO).unwrap();
    refused(folder, "score - score.parts --into sub --as svg", "two files would become one");
    fs::remove_file(folder.join("score.parts")).unwrap();
    assert_eq!(names(folder), before);
}

fn two_examples(folder: &Path) {
    fs::write(folder.join("c.parts"), format!("example 1\n{DUO}")).unwrap();
    fs::write(folder.join("c-1.parts"), DUO).unwrap();
    let (status, _, err) =
        run(folder, "score c.parts c-1.parts --into examples --as svg --as mid --jobs 1");
    assert_eq!(status, 2);
    assert!(err.contains("two examples would become one file: examples/c-1.svg"), "{err}");
    assert_eq!(fs::read_dir(folder.join("examples")).unwrap().count(), 2);
    let svg = fs::read_to_string(folder.join("examples/c-1.svg")).unwrap();
    run(folder, "score c.parts#1 -o first.svg");
    assert_eq!(svg, fs::read_to_string(folder.join("first.svg")).unwrap());
}

fn pages_of_a_longer_score(folder: &Path) {
    let long = DUO.replace("sb D3 E F G", &"sb D3 E F G ".repeat(60));
    fs::write(folder.join("long.parts"), long).unwrap();
    for kind in ["svg", "png"] {
        let arguments =
            |name: &str| format!("score {name}.parts -o out.{kind} --page a4 --size 12 --dpi 36");
        run(folder, &arguments("long"));
        let page = |number: u32| folder.join(format!("out-{number}.{kind}"));
        let last = (1..99).take_while(|number| page(*number).exists()).last().unwrap();
        assert!(last >= 4, "{last} pages");
        // A picture of a whole piece, and a file of somebody else.
        run(folder, &format!("score duo.parts -o out-2.{kind}"));
        fs::write(page(last + 1), "mine").unwrap();
        let (status, _, err) = run(folder, &arguments("duo"));
        assert_eq!(status, 0);
        let said = format!("out-3.{kind} to out-{last}.{kind} are removed: they were pages");
        assert!(err.starts_with(&said), "{err}");
        assert!(page(1).exists() && page(2).exists() && page(last + 1).exists());
        assert!((3..=last).all(|number| !page(number).exists()));
        done(folder, &arguments("duo"));
    }
}

fn there_already(folder: &Path) {
    done(folder, "score duo.parts -o duo.musicxml");
    fs::copy(folder.join("duo.parts"), folder.join("other.parts")).unwrap();
    fs::write(folder.join("out.parts"), "mine").unwrap();
    for arguments in
        ["new out", "read duo.musicxml -o out.parts", "collate duo.parts other.parts -o out.parts"]
    {
        refused(folder, arguments, "exists already");
        assert_eq!(read(folder, "out.parts"), "mine");
    }
}

fn sound_in_blocks(folder: &Path) {
    let size = |name: &str| fs::metadata(folder.join(name)).unwrap().len() as usize;
    done(folder, "score duo.parts -o duo.wav -o duo.flac");
    let (status, bytes, err) = support::run_for_bytes(folder, "score duo.parts --as wav -o -");
    assert_eq!((status, bytes.len(), err.as_str()), (0, size("duo.wav"), ""));
    // In a place of old it keeps mode and all; where it cannot be written it stays as it was.
    set_mode(&folder.join("duo.flac"), 0o640);
    done(folder, "score duo.parts -o duo.flac --stops 8");
    assert_eq!(mode(&folder.join("duo.flac")), 0o640);
    set_mode(&folder.join("duo.wav"), 0o440);
    refused(folder, "score duo.parts -o duo.wav", "read-only");
    assert_eq!(size("duo.wav"), bytes.len());
}

fn one_stream_one_thing(folder: &Path) {
    fs::write(folder.join("other.parts"), DUO.replace("E lg D", "F lg D")).unwrap();
    fs::write(folder.join("bad.parts"), "voice A clef C1\n sb D4 ]\n").unwrap();
    let json = |text: &str| serde_json::from_str::<serde_json::Value>(text.trim()).unwrap();

    let (status, out, err) = shell(folder, "cartella check - --fix < slip.parts");
    assert_eq!((status, out.as_str()), (0, MENDED));
    assert!(err.contains("1 place mended") && err.contains("nothing wrong"), "{err}");
    let (_, out, err) = shell(folder, "cartella check - --fix < duo.parts");
    assert_eq!(out, DUO, "nothing is to be mended");
    assert!(err.contains("nothing wrong"), "{err}");
    let (_, out, err) = shell(folder, "cartella check - --fix --format json < duo.parts");
    assert_eq!((out.as_str(), json(&err)["version"].as_u64()), (DUO, Some(1)));

    for output in ["-", "/dev/stdout", "/dev/fd/1"] {
        let line = format!("score duo.parts -o {output} --as svg --audit");
        let (status, out, err) = run(folder, &line);
        assert_eq!((status, json(&err)["heads"].as_array().unwrap().len()), (0, 14));
        done(folder, "score duo.parts -o duo.svg");
        assert_eq!(out, read(folder, "duo.svg"));
    }
    let (_, out, err) =
        support::run_for_bytes(folder, "score duo.parts slip.parts -o - --as pdf --report");
    assert!(out.starts_with(b"%PDF") && err.contains("Critical report"), "{err}");

    let (status, out, err) = run(folder, "collate duo.parts other.parts -o -");
    assert_eq!(status, 1);
    assert!(out.starts_with("title A duo\n") && out.contains("<? E | F"), "{out}");
    assert!(err.contains("1 difference in"), "{err}");
    let (_, out, err) = run(folder, "collate duo.parts other.parts -o - --format json");
    assert!(out.starts_with("title A duo\n") && json(&err)["differences"].is_array(), "{err}");

    // The answer itself is an output, and JSON where JSON was asked for.
    let (status, out, err) = run(folder, "mend bad.parts --format json");
    assert_eq!((status, err.as_str()), (1, ""));
    assert_eq!(
        (&json(&out)["version"], &json(&out)["suggestions"]),
        (&1.into(), &serde_json::json!([]))
    );
    assert_eq!(json(&out)["diagnostics"][0]["code"], "E007");
}

/// Whether there is a stream that is always full.
fn has_full() -> bool {
    let full = Path::new("/dev/full").exists();
    if !full {
        eprintln!("skipped: there is no /dev/full here");
    }
    full
}

fn full_output(folder: &Path) {
    if !has_full() {
        return;
    }
    for arguments in [
        "check duo.parts",
        "check duo.parts slip.parts --format json",
        "grid duo.parts",
        "score duo.parts -o - --as svg",
        "score duo.parts -o duo.svg --audit",
        "tidy - < duo.parts",
        "explain",
        "--help",
        "--version",
        "--manual",
    ] {
        let (status, _, err) = shell(folder, &format!("cartella {arguments} > /dev/full"));
        assert_eq!(status, 2, "{arguments}");
        assert!(err.contains("cannot write standard output"), "{arguments}: {err}");
    }
    assert!(folder.join("duo.svg").exists());
}

fn full_error(folder: &Path) {
    if !has_full() {
        return;
    }
    let (wrong, whole) = (SLIP.replace("lg A", "lg A ]"), names(folder));
    fs::write(folder.join("wrong.parts"), wrong).unwrap();
    for arguments in [
        "grid wrong.parts",
        "mend wrong.parts",
        "check nowhere.parts",
        "check duo.parts slip.parts",
        "check --nothing",
        "tidy wrong.parts",
        "collate duo.parts wrong.parts",
        "score wrong.parts -o wrong.svg",
        "score wrong.parts duo.parts -o book.pdf",
        "score wrong.parts duo.parts --into sub --as mid",
        "new trio",
    ] {
        let (status, ..) = shell(folder, &format!("cartella {arguments} 2> /dev/full"));
        assert_eq!(status, 2, "{arguments}");
    }
    for name in ["wrong.svg", "book.pdf", "sub/wrong.mid", "sub/duo.mid", "trio.parts"] {
        assert!(folder.join(name).is_file(), "{name} is written");
    }
    assert!(whole.iter().all(|name| folder.join(name).exists()));
}

/// The shell's own pipe, whose reader has ended before the command writes.
fn piped(folder: &Path, arguments: &str, into: &str) -> i32 {
    let line = format!("{{ sleep 0.2; cartella {arguments} {into}; echo $? > status; }}");
    let line = format!("{{ {line} | true; }} 2>&1; sleep 0.01");
    shell(folder, &line);
    read(folder, "status").trim().parse().unwrap()
}

fn closed_output_pipe(folder: &Path) {
    for arguments in
        ["check slip.parts", "grid duo.parts", "explain", "--help", "check duo.parts slip.parts"]
    {
        assert_eq!(piped(folder, arguments, ""), 0, "{arguments}");
    }
    assert_eq!(piped(folder, "score slip.parts duo.parts -o book.pdf --report", ""), 0);
    assert!(folder.join("book.pdf").exists());
}

fn closed_error_pipe(folder: &Path) {
    let into = "2>&1 > /dev/null";
    assert_eq!(piped(folder, "grid slip.parts", into), 1);
    assert_eq!(piped(folder, "check nowhere.parts", into), 2);
    assert_eq!(piped(folder, "score slip.parts duo.parts -o book.pdf", into), 1);
    assert_eq!(piped(folder, "check slip.parts --fix", into), 0);
    assert!(folder.join("book.pdf").exists() && read(folder, "slip.parts") == MENDED);
}

fn kept_of_a_collection(folder: &Path) {
    let rows = |keeping: &str| shell(folder, &format!("cartella catalogue . {keeping}"));
    let (_, kept, _) = rows("--cache kept");
    assert_eq!(names(&folder.join("kept")).len(), 1);
    let (status, unkept, err) = rows("--cache duo.parts/kept");
    assert!(err.contains("what was studied is not kept"), "{err}");
    assert_eq!((status, unkept), (1, kept), "slip.parts has an error");
}

fn closed_streams(folder: &Path) {
    let (status, ..) = shell(folder, "cartella score slip.parts duo.parts -o book.pdf >&- 2>&-");
    assert_eq!(status, 1);
    assert!(folder.join("book.pdf").exists());
    assert_eq!(shell(folder, "cartella check duo.parts >&-").0, 0);
    assert_eq!(shell(folder, "cartella check duo.parts 2>&- <&-").0, 0);
}

fn control_characters(folder: &Path) {
    let bad = ["\u{1b}", "\u{7}", "\u{9b}", "\u{202e}", "\u{2066}", "\u{200b}", "\r"];
    let evil = "title \u{1b}[31mred \u{202e}der\nsource \u{9b}2J\nvoice Can\u{1b}\u{7}tus\u{200b} clef C1\n \
                br G4 sb A/ \u{1b}]0;x\u{7} { D | E : \u{2066}who\u{1b}[0m } \u{202e}wh\u{1b}at lg A ]\r x\n\
                voice Ten\u{202e}or clef C1\n br G4 sb A lg A\n";
    let name = "e\u{1b}[2J\nvil\u{202e}.parts";
    fs::write(folder.join(name), evil).unwrap();
    let runs: [&[&str]; 15] = [
        &["check", name],
        &["check", name, "--color", "always"],
        &["check", name, "slip.parts", "nowhere\u{1b}"],
        &["check", name, "--why", "\u{1b}:1"],
        &["check", "\u{1b}\u{202e}.parts"],
        &["check", "--\u{1b}[31m"],
        &["\u{1b}[31m"],
        &["grid", name],
        &["mend", name],
        &["report", name],
        &["score", name, "-o", "\u{1b}.svg", "-o", "x.xyz\u{1b}"],
        &["score", name, "--into", "\u{1b}/\u{1b}", "--as", "mid"],
        &["collate", name, "duo.parts"],
        &["explain", "\u{1b}[2J"],
        &["tidy", name, "--check"],
    ];
    for arguments in runs {
        let output = cartella(folder, "").args(arguments).output().unwrap();
        assert!(output.status.code().is_some_and(|code| code <= 2), "{arguments:?}");
        for bytes in [output.stdout, output.stderr] {
            let mut text = String::from_utf8(bytes).unwrap();
            if arguments.contains(&"always") {
                text = without_colors(&text);
            }
            let found = bad.iter().find(|bad| text.contains(**bad));
            assert_eq!(found, None, "{arguments:?}: {text:?}");
            assert!(!text.contains("\nvil"), "a name stays on its line: {text}");
        }
    }
    // JSON has it as it is.
    let output = cartella(folder, "check --format json").arg(name).output().unwrap();
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["files"][0]["file"], name);
}

/// The text without the colours that are the command's own: bold, and one of the bright ones.
fn without_colors(text: &str) -> String {
    ["0", "1", "91", "92", "93", "94", "96", "33"]
        .iter()
        .fold(text.to_owned(), |text, style| text.replace(&format!("\u{1b}[{style}m"), ""))
}
