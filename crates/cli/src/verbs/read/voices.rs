//! The voices whose lines a file shows, as they are typed before it.

use std::path::Path;

use cartella::{StaffLine, ToldApart, apart_by, seeming_voices, told_apart};

use crate::files::{Failure, shown};

/// The voices whose lines follow one another in a file.
pub(super) struct Voices {
    names: Vec<String>,
    /// How many lines each has, if that is said.
    counts: Option<Vec<usize>>,
}

/// The lines of each voice, with its name.
type Parted = Vec<(String, Vec<StaffLine>)>;

impl Voices {
    /// A file of one voice.
    pub(super) fn one(name: String) -> Voices {
        Voices { names: vec![name], counts: None }
    }

    /// `Cantus`, `Cantus+Tenor`, or `Cantus:4+Tenor`, where the Cantus has four lines; the last may do without.
    pub(super) fn typed(typed: &str, path: &Path) -> Result<Voices, Failure> {
        let path = shown(path);
        let mut names: Vec<String> = Vec::new();
        let mut counts: Vec<Option<usize>> = Vec::new();
        for one in typed.split('+') {
            let (name, count) = match one.rsplit_once(':') {
                Some((name, count)) if count.bytes().all(|byte| byte.is_ascii_digit()) => {
                    (name, count.parse().ok())
                }
                _ => (one, None),
            };
            if name.is_empty() {
                return Err(Failure::Said(format!(
                    "{typed}={path}: type the voice before it, as in Tenor={path}"
                )));
            }
            if names.iter().any(|other| other == name) {
                return Err(Failure::Said(format!("{typed}={path}: {name} is named twice")));
            }
            names.push(name.to_owned());
            counts.push(count);
        }
        let last = counts.len() - 1;
        let counts = match counts[..last].iter().copied().collect::<Option<Vec<usize>>>() {
            Some(known) if last > 0 => Some(known.into_iter().chain(counts[last]).collect()),
            _ if counts.iter().all(Option::is_none) => None,
            _ => {
                return Err(Failure::Said(format!(
                    "{typed}={path}: say of each voice but the last how many lines it has, or of none"
                )));
            }
        };
        Ok(Voices { names, counts })
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
        if let Some(mut counts) = self.counts {
            let all = lines.iter().filter(|line| line.has_music()).count();
            if counts.len() < self.names.len() {
                counts.push(all.saturating_sub(counts.iter().sum()));
            }
            let sum: usize = counts.iter().sum();
            if sum != all {
                return Err(Failure::Said(format!(
                    "{path}: {all} lines with music are found, but the voices are to have {sum}"
                )));
            }
            let voices = apart_by(lines, &counts);
            return Ok((self.names.into_iter().zip(voices).collect(), None));
        }
        let count = self.names.len();
        if count == 1 {
            let seeming = seeming_voices(&lines);
            let note = (seeming > 1).then(|| {
                format!(
                    "{path} seems to show {seeming} voices, one below another; if so, name all of them: \
                     Cantus+Tenor={path}"
                )
            });
            return Ok((self.names.into_iter().zip([lines]).collect(), note));
        }
        let all = lines.iter().filter(|line| line.has_music()).count();
        // Of several files, one may show none of them.
        if all == 0 {
            return Ok((self.names.into_iter().map(|name| (name, Vec::new())).collect(), None));
        }
        let Some(ToldApart { voices, sure }) = told_apart(lines, count) else {
            return Err(Failure::Said(format!(
                "{path}: {all} lines with music are found, for {count} voices"
            )));
        };
        let mut next = 1;
        let mut whose: Vec<String> = Vec::with_capacity(count);
        let mut typed: Vec<String> = Vec::with_capacity(count);
        for (name, lines) in self.names.iter().zip(&voices) {
            let last = next + lines.len() - 1;
            whose.push(if last == next {
                format!("line {next} is of {name}")
            } else {
                format!("lines {next} to {last} are of {name}")
            });
            typed.push(format!("{name}:{}", lines.len()));
            next = last + 1;
        }
        let mut note = format!("{path}: {}", whose.join(", "));
        if !sure {
            note += &format!(
                "; this is not sure: if it is wrong, type {}={path} with the right numbers",
                typed.join("+")
            );
        }
        Ok((self.names.into_iter().zip(voices).collect(), Some(note)))
    }
}
