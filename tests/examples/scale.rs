//! What the command takes for large inputs, and how that grows:
//!
//! `cargo build --release && cargo run --release --example scale -- target/release/cartella`
//!
//! prints the table of `docs/limits.md`. Inputs are invented, and made in a scratch folder.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use suite::growth::KINDS;

/// What a run took.
#[derive(Clone, Copy, Default)]
struct Cost {
    /// The processors' time, in seconds: a busy machine changes it little.
    time: f64,
    /// The most memory, in bytes.
    memory: usize,
}

/// An input of half the size and of the full one, and what is done with it.
struct Case {
    what: &'static str,
    /// Makes the files of a size in a folder, and gives their paths.
    make: fn(&Path, usize) -> Vec<PathBuf>,
    size: usize,
    /// The arguments before and after the files; `OUT` is the scratch folder.
    runs: &'static [(&'static str, &'static str)],
}

const CASES: [Case; 4] = [
    Case {
        what: "64 voices, 64 000 notes and rests",
        make: |folder, size| one(folder, "64 voices", size),
        size: 64_000,
        runs: &[
            ("check", ""),
            ("mend", ""),
            ("score", "-o OUT/score.musicxml"),
            ("score", "--staves open -o OUT/score.svg"),
            ("score", "-o OUT/score.pdf"),
        ],
    },
    Case {
        what: "4 voices, 100 000 notes and rests",
        make: |folder, size| one(folder, "plain notes", size),
        size: 100_000,
        runs: &[
            ("check", ""),
            ("tidy --check", ""),
            ("grid", ""),
            ("mend", ""),
            ("score", "-o OUT/score.musicxml"),
            ("score", "-o OUT/score.svg"),
            ("score", "-o OUT/score.pdf"),
            ("score", "-o OUT/score.mid"),
        ],
    },
    Case {
        what: "2000 files of 200 notes and rests",
        make: many,
        size: 2000,
        runs: &[("check", ""), ("score", "--into OUT/scores --as musicxml")],
    },
    Case {
        what: "a book of 5000 pieces",
        make: many,
        size: 5000,
        runs: &[("score", "-o OUT/book.pdf")],
    },
];

fn main() {
    let Some(command) = std::env::args().nth(1) else {
        eprintln!("say which command to run: target/release/cartella");
        return;
    };
    println!(
        "| input | command | half: time | memory | all: time | memory | growth: time | memory |"
    );
    println!("| --- | --- | ---: | ---: | ---: | ---: | ---: | ---: |");
    for Case { what, make, size, runs } in CASES {
        for (verb, options) in runs {
            let [half, all] = [size / 2, size].map(|size| {
                let scratch = tempfile::tempdir().expect("there is room for files");
                let files = make(scratch.path(), size);
                cost(
                    &command,
                    verb,
                    &files,
                    &options.replace("OUT", &scratch.path().to_string_lossy()),
                )
            });
            let growth = all.time / half.time.max(0.01);
            let swelling = all.memory as f64 / half.memory.max(1) as f64;
            let shown = options.replace("OUT/", "");
            println!(
                "| {what} | `{}` | {:.2} s | {} MiB | {:.2} s | {} MiB | {growth:.1} | {swelling:.1} |",
                format!("{verb} {shown}").trim(),
                half.time,
                half.memory >> 20,
                all.time,
                all.memory >> 20,
            );
        }
    }
}

/// One file of a kind.
fn one(folder: &Path, kind: &str, size: usize) -> Vec<PathBuf> {
    let text = KINDS.iter().find(|(name, _)| *name == kind).map(|(_, text)| text(size));
    written(folder, "piece", &text.unwrap_or_default()).into_iter().collect()
}

/// So many files of a plain piece.
fn many(folder: &Path, size: usize) -> Vec<PathBuf> {
    let text = KINDS[0].1(200);
    (0..size).filter_map(|number| written(folder, &format!("piece-{number:04}"), &text)).collect()
}

fn written(folder: &Path, name: &str, text: &str) -> Option<PathBuf> {
    let path = folder.join(format!("{name}.parts"));
    fs::write(&path, text).ok().map(|()| path)
}

/// Runs the command. Its exit status says whether there is something to look at, which there is.
fn cost(command: &str, verb: &str, files: &[PathBuf], options: &str) -> Cost {
    let child = Command::new(command)
        .args(verb.split_whitespace())
        .args(files)
        .args(options.split_whitespace())
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    child.map(watched).unwrap_or_default()
}

/// What a process took until its end, asked for a hundred times a second. Nothing where the system
/// does not say.
fn watched(mut child: Child) -> Cost {
    let id = child.id();
    let of_process =
        |file: &str| fs::read_to_string(format!("/proc/{id}/{file}")).unwrap_or_default();
    let mut most = Cost::default();
    loop {
        most.memory = most.memory.max(high_water(&of_process("status")));
        most.time = most.time.max(processor_time(&of_process("stat")));
        if !matches!(child.try_wait(), Ok(None)) {
            return most;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
}

/// The most memory that a process had, by what the system says of it.
fn high_water(status: &str) -> usize {
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.and_then(|line| line.trim().strip_suffix(" kB")?.trim().parse().ok());
    kilobytes.map_or(0, |kilobytes: usize| kilobytes << 10)
}

/// The time that the processors gave to a process, in seconds: after its name in parentheses, the
/// twelfth and thirteenth fields say it in hundredths.
fn processor_time(stat: &str) -> f64 {
    let fields = stat.rsplit(')').next().unwrap_or_default().split_whitespace().skip(11).take(2);
    fields.filter_map(|field| field.parse::<f64>().ok()).sum::<f64>() / 100.0
}
