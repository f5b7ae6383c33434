//! The answers of `imitate` as musicians say them.

use std::fmt::Write as _;

use cartella::invention::{
    Ensemble, Entry, Figure, Move, PATTERN_NOTES, Pattern, Quality, Remark, RemarkKind, Row,
    Signed, Steps, Subject, Treatment, Verdict,
};
use cartella::{Pitch, interval_in_words};

use crate::columns::set;
use crate::report::counted;

/// `B flat`.
pub(crate) fn sounding(pitch: Pitch) -> String {
    let sign = match pitch.alteration {
        0 => " natural",
        below if below < 0 => " flat",
        _ => " sharp",
    };
    format!("{}{sign}", pitch.tone.step)
}

/// `B flat` or `F sharp and C sharp`, each once.
fn signs(signs: &[Signed]) -> String {
    let mut names: Vec<String> = Vec::new();
    for sign in signs {
        let name = sounding(sign.pitch);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names.join(" and ")
}

/// `with suspension 7-6 (3) and passing note`.
fn figures(treatments: &[Treatment]) -> String {
    let mut counts: Vec<(Figure, usize)> = Vec::new();
    for treatment in treatments {
        match counts.iter_mut().find(|(figure, _)| *figure == treatment.figure) {
            Some((_, count)) => *count += 1,
            None => counts.push((treatment.figure, 1)),
        }
    }
    let named = counts.into_iter().map(|(figure, count)| match count {
        1 => figure.to_string(),
        count => format!("{figure} ({count} times)"),
    });
    format!("with {}", named.collect::<Vec<String>>().join(" and "))
}

fn said(verdict: Verdict, signed: &[Signed], treatments: &[Treatment]) -> String {
    let treated = if treatments.is_empty() { String::new() } else { figures(treatments) };
    match verdict {
        Verdict::Works | Verdict::Fails => verdict.name().to_owned(),
        Verdict::Treated => treated,
        Verdict::Accidental => {
            let one = if signed.len() == 1 { "a sign" } else { "signs" };
            let and = if treated.is_empty() { "" } else { ", " };
            format!("needs {one}: {}{and}{treated}", signs(signed))
        }
    }
}

/// What an imitation comes to.
pub(crate) fn verdict(row: &Row) -> String {
    match (row.verdict, row.fault) {
        (Verdict::Fails, Some(fault)) => format!("fails at note {}: {fault}", fault.at),
        _ => said(row.verdict, &row.signs, &row.treatments),
    }
}

fn quality(row: &Row) -> String {
    match (&row.exact, row.quality) {
        (_, Quality::Exact) => "exact".to_owned(),
        (None, Quality::Steps) => "in steps".to_owned(),
        (Some(exact), Quality::Steps) => {
            let then = match exact.verdict {
                Verdict::Works => "",
                Verdict::Treated => ", with figures",
                Verdict::Accidental | Verdict::Fails => ", but then fails",
            };
            format!("in steps; exact with {}{then}", signs(&exact.signs))
        }
    }
}

fn remarks(remarks: &[Remark], voices: usize) -> String {
    let said = remarks.iter().map(|remark| {
        let what = match remark.kind {
            RemarkKind::Contrary if voices == 2 => {
                "perfect to perfect in contrary motion, which is a fault in two voices,"
            }
            RemarkKind::Contrary => "perfect to perfect in contrary motion",
            RemarkKind::Direct => "direct",
            RemarkKind::Crossing => "crossing",
            RemarkKind::Unison => "one key",
            RemarkKind::Sixth => "leap of a sixth",
        };
        format!("{what} at {}", remark.at)
    });
    said.collect::<Vec<String>>().join(", ")
}

/// The subject on a line: `D4 E4 F4 G4, 4 minims`.
fn heading(subject: &Subject) -> String {
    let notes = subject.notes().iter().map(|note| note.pitch.to_string());
    let minims = subject.length();
    let unit = if minims == cartella::Time::minims(1) { "minim" } else { "minims" };
    format!("{}, {} {unit}", notes.collect::<Vec<String>>().join(" "), minims.spoken())
}

/// The whole table.
pub(crate) fn table(
    subject: &Subject,
    rows: &[Row],
    mirrored: Option<&Subject>,
    mirror: impl Fn(Entry) -> Option<Row>,
) -> String {
    let count = |verdict| rows.iter().filter(|row| row.verdict == verdict).count();
    let mut text = format!("subject  {}\n", heading(subject));
    if let Some(mirrored) = mirrored {
        let _ = writeln!(text, "mirror   {}", heading(mirrored));
    }
    let _ = writeln!(
        text,
        "{}: {} work, {} with figures, {} with signs, {} fail\n",
        counted(rows.len(), "entry").replace("entrys", "entries"),
        count(Verdict::Works),
        count(Verdict::Treated),
        count(Verdict::Accidental),
        count(Verdict::Fails)
    );
    let lines = (1..).zip(rows).map(|(rank, row): (usize, &Row)| {
        let mut line = vec![format!("{rank:>3}"), row.entry.to_string(), verdict(row)];
        if mirrored.is_some() {
            let told = mirror(row.entry);
            line.push(told.map_or(String::new(), |row| {
                format!("{}: {}", Steps(row.entry.steps), verdict(&row))
            }));
        }
        if row.verdict != Verdict::Fails {
            line.push(counted(row.meetings, "meeting"));
            line.push(format!("widest {}", row.span));
            line.push(quality(row));
            line.push(remarks(&row.remarks, 2));
        }
        line
    });
    let (good, bad): (Vec<Vec<String>>, Vec<Vec<String>>) = {
        let lines: Vec<Vec<String>> = lines.collect();
        let good = rows.iter().filter(|row| row.verdict != Verdict::Fails).count();
        (lines[..good].to_vec(), lines[good..].to_vec())
    };
    text + &set(&good) + if good.is_empty() || bad.is_empty() { "" } else { "\n" } + &set(&bad)
}

/// Imitations in three and four voices.
pub(crate) fn ensembles(subject: &Subject, voices: u8, found: &[Ensemble]) -> String {
    let mut text = format!("subject  {}\n", heading(subject));
    if found.is_empty() {
        let _ = writeln!(text, "no close imitation in {voices} voices is found");
        return text;
    }
    let _ = writeln!(text, "in {voices} voices, the best {}\n", found.len());
    let lines = (1..).zip(found).map(|(rank, one): (usize, &Ensemble)| {
        let entries: Vec<String> = one.entries.iter().map(Entry::to_string).collect();
        vec![
            format!("{rank:>3}"),
            entries.join(", "),
            said(one.verdict, &one.signs, &one.treatments),
            format!("widest {}", one.span),
            if one.quality == Quality::Exact { "exact" } else { "in steps" }.to_owned(),
            remarks(&one.remarks, one.entries.len() + 1),
        ]
    });
    text + &set(&lines.collect::<Vec<Vec<String>>>())
}

/// The title of an imitation that is written out.
pub(crate) fn title(entries: &[Entry]) -> String {
    let said = |entry: &Entry| match entry.steps {
        0 => format!("at the {entry}"),
        _ => entry.to_string(),
    };
    let entries: Vec<String> = entries.iter().map(said).collect();
    format!("A subject imitated {}", entries.join(" and "))
}

/// `up a third`.
fn moved(steps: i32) -> String {
    let interval = interval_in_words(steps.unsigned_abs() + 1);
    match steps {
        0 => "repeated note".to_owned(),
        up if up > 0 => format!("up {interval}"),
        _ => format!("down {interval}"),
    }
}

/// The moves that an interval and a delay allow.
pub(crate) fn moves(interval: Steps, notes: i64, found: &[Move]) -> String {
    let mut text = match notes {
        1 => format!("{interval} after one note allows these moves\n\n"),
        notes => format!(
            "{interval} after {notes} notes: any {notes} moves in a row may together be one of these\n\n"
        ),
    };
    let lines = found.iter().map(|one| {
        let made = match one.makes {
            1 => "unison",
            3 => "third",
            5 => "fifth",
            6 => "sixth",
            _ => "octave",
        };
        let again = match (one.may_repeat, notes) {
            (true, _) => String::new(),
            (false, 1) => "not twice running".to_owned(),
            (false, notes) => {
                format!("the last of them not the same as the move {notes} before it")
            }
        };
        let hard = match one.steps {
            -5 => "a falling sixth is not sung",
            5 => "only the minor sixth is sung",
            0 if one.makes == 1 => "both on one key",
            _ => "",
        };
        vec![
            moved(one.steps),
            format!("makes a {made}").replace("a oct", "an oct"),
            again,
            hard.to_owned(),
        ]
    });
    text += &set(&lines.collect::<Vec<Vec<String>>>());
    text
}

/// The plain stepwise subjects as a table: the delays that work, by interval and number of notes.
pub(crate) fn patterns(found: &[Pattern]) -> String {
    let mut text = String::from("after how many notes plain stepwise subjects can be imitated\n");
    for rising in [true, false] {
        let _ = writeln!(text, "\n{}", if rising { "rising" } else { "falling" });
        let of_shape: Vec<&Pattern> = found.iter().filter(|one| one.rising == rising).collect();
        let mut head = vec![String::new()];
        head.extend(PATTERN_NOTES.map(|notes| format!("{notes} notes")));
        let mut lines = vec![head];
        for steps in (-7..=7).rev() {
            let cell = |pattern: &&Pattern| -> String {
                let of_interval = pattern.rows.iter().filter(|row| row.entry.steps == steps);
                let delays = of_interval.map(|row| {
                    let sign = match row.verdict {
                        Verdict::Accidental => format!(" with {}", signs(&row.signs)),
                        _ => String::new(),
                    };
                    format!("{}{sign}", row.entry.delay)
                });
                delays.collect::<Vec<String>>().join(", ")
            };
            let mut line = vec![Steps(steps).to_string()];
            line.extend(of_shape.iter().map(cell));
            if line[1..].iter().any(|cell| !cell.is_empty()) {
                lines.push(line);
            }
        }
        text += &set(&lines);
    }
    text
}
