//! The voices whose lines a file shows, as they are typed before it.

use std::path::Path;

use cartella::{
    Document, StaffLine, ToldApart, apart_by, in_turn, seeming_voices, told_apart, voice_name,
};

use crate::files::{Failure, shown};

/// The voices whose lines a file shows.
pub(super) struct Voices {
    names: Vec<String>,
    lines: Lines,
}

/// How the lines of voices stand.
enum Lines {
    /// As is to be told.
    Unsaid,
    /// Each voice has so many, one voice after another; the last may be left to be counted.
    Counted(Vec<usize>),
    /// They take turns.
    InTurn,
}

/// The lines of each voice, with its name.
type Parted = Vec<(String, Vec<StaffLine>)>;

impl Voices {
    /// A file of one voice.
    pub(super) fn one(name: String) -> Voices {
        Voices { names: vec![name], lines: Lines::Unsaid }
    }

    /// `Cantus`, `Cantus+Tenor`, or `Cantus:4+Tenor`, where the Cantus has four lines; the last may do without.
    /// `Cantus,Tenor`, where their lines take turns.
    pub(super) fn typed(typed: &str, path: &Path) -> Result<Voices, Failure> {
        let path = shown(path);
        let refused = |why: String| Err(Failure::Said(format!("{typed}={path}: {why}")));
        let mut names: Vec<String> = Vec::new();
        let mut counts: Vec<Option<usize>> = Vec::new();
        let takes_turns = typed.contains(',');
        if takes_turns && typed.contains(['+', ':']) {
            return refused(
                "type a + between voices that follow one another, or a comma between those whose lines take turns"
                    .to_owned(),
            );
        }
        for one in typed.split(['+', ',']) {
            let (name, count) = match one.rsplit_once(':') {
                None => (one, None),
                Some((name, count)) => match count.parse::<u16>() {
                    Ok(count) => (name, Some(usize::from(count))),
                    Err(_) => {
                        return refused(format!(
                            "after the : comes how many lines {name} has, as in {name}:4"
                        ));
                    }
                },
            };
            if name.is_empty() {
                return refused(if takes_turns {
                    format!("type each voice, as in Cantus,Tenor={path}")
                } else if typed.contains('+') {
                    format!("type each voice, as in Cantus+Tenor={path}")
                } else {
                    format!("type the voice before it, as in Tenor={path}")
                });
            }
            // As it will stand in the parts file, so that a voice is the same however it is typed.
            let name = voice_name(name, &[]);
            if names.contains(&name) {
                return refused(format!(
                    "{name} is named twice; where a voice goes on below the others, make two pictures of the page"
                ));
            }
            names.push(name);
            counts.push(count);
        }
        if takes_turns {
            return Ok(Voices { names, lines: Lines::InTurn });
        }
        if counts.iter().all(Option::is_none) {
            return Ok(Voices { names, lines: Lines::Unsaid });
        }
        let last = counts.pop().flatten();
        match counts.into_iter().collect::<Option<Vec<usize>>>() {
            Some(known) => {
                let counts = known.into_iter().chain(last).collect();
                Ok(Voices { names, lines: Lines::Counted(counts) })
            }
            None => refused(
                "say of each voice but the last how many lines it has, or of none".to_owned(),
            ),
        }
    }

    pub(super) fn len(&self) -> usize {
        self.names.len()
    }

    /// Parts the lines of a file among the voices; with what is to be said of it.
    pub(super) fn parted(
        self,
        lines: Vec<StaffLine>,
        path: &Path,
    ) -> Result<(Parted, Option<String>), Failure> {
        let path = shown(path);
        let Voices { names, lines: standing } = self;
        let all = lines.len();
        // Of several files, one may show none of them.
        if all == 0 {
            return Ok((names.into_iter().map(|name| (name, Vec::new())).collect(), None));
        }
        let seeming = seeming(&lines, names.len(), &path);
        if names.len() == 1 && matches!(standing, Lines::Unsaid) {
            return Ok((names.into_iter().zip([lines]).collect(), seeming));
        }
        let mut otherwise = String::new();
        let (voices, take_turns) = match standing {
            Lines::Counted(counts) => (by_count(lines, counts, names.len(), &path)?, false),
            Lines::InTurn => match in_turn(lines, names.len()) {
                Some(voices) => (voices, true),
                None => {
                    return Err(Failure::Said(format!(
                        "{path}: {} with music, which does not come out even where {} voices take turns; name \
                         those that it shows, or type a + between them if they follow one another",
                        lines_are(all),
                        names.len()
                    )));
                }
            },
            Lines::Unsaid => {
                let Some(ToldApart { voices, sure, in_turn }) = told_apart(lines, names.len())
                else {
                    return Err(Failure::Said(format!(
                        "{path}: {} with music, too few for {} voices; name those that it shows",
                        lines_are(all),
                        names.len()
                    )));
                };
                if !sure {
                    let typed: Vec<String> = names
                        .iter()
                        .zip(&voices)
                        .map(|(name, lines)| format!("{name}:{}", lines.len()))
                        .collect();
                    otherwise = format!(
                        "; this is not sure: if it is wrong, type {}={path} with the right numbers",
                        typed.join("+")
                    );
                    if all.is_multiple_of(names.len()) {
                        otherwise +=
                            &format!(", or {}={path} if their lines take turns", names.join(","));
                    }
                }
                (voices, in_turn)
            }
        };
        let whose = if take_turns { turns(&names, all) } else { whose(&names, &voices) };
        let mut note = format!("{path}: {whose}{otherwise}");
        if let Some(seeming) = seeming {
            note = format!("{note}\n{seeming}");
        }
        Ok((names.into_iter().zip(voices).collect(), Some(note)))
    }
}

/// The lines parted among so many voices by counts, of which the last may be left to be counted.
fn by_count(
    lines: Vec<StaffLine>,
    mut counts: Vec<usize>,
    voices: usize,
    path: &str,
) -> Result<Vec<Vec<StaffLine>>, Failure> {
    let all = lines.len();
    if counts.len() < voices {
        counts.push(all.saturating_sub(counts.iter().sum()));
    }
    if counts.iter().sum::<usize>() != all || counts.contains(&0) {
        let typed: Vec<String> = counts.iter().map(usize::to_string).collect();
        return Err(Failure::Said(format!(
            "{path}: {} with music, but {} as it was typed; type how many of these each voice has",
            lines_are(all),
            typed.join(" and "),
        )));
    }
    Ok(apart_by(lines, &counts))
}

/// What is said if a file seems to show more voices than were named.
fn seeming(lines: &[StaffLine], named: usize, path: &str) -> Option<String> {
    let seeming = seeming_voices(lines);
    (seeming > named).then(|| {
        let usual = Document::names_of_voices(&vec![String::new(); seeming]);
        format!(
            "{path} seems to show {seeming} voices, one below another; if so, name all of them: {}={path}",
            usual.join("+")
        )
    })
}

/// Which lines are whose.
fn whose(names: &[String], voices: &[Vec<StaffLine>]) -> String {
    let mut next = 1;
    let mut whose: Vec<String> = Vec::with_capacity(names.len());
    for (name, lines) in names.iter().zip(voices) {
        let last = next + lines.len() - 1;
        whose.push(if last == next {
            format!("line {next} is of {name}")
        } else {
            format!("lines {next} to {last} are of {name}")
        });
        next = last + 1;
    }
    whose.join(", ")
}

/// Which lines are whose, where they take turns.
fn turns(names: &[String], lines: usize) -> String {
    let all = match names.split_last() {
        Some((last, others)) if !others.is_empty() => format!("{} and {last}", others.join(", ")),
        _ => names.concat(),
    };
    format!("the lines of {all} take turns, {} of each", lines / names.len().max(1))
}

fn lines_are(count: usize) -> String {
    if count == 1 { "there is 1 line".to_owned() } else { format!("there are {count} lines") }
}
