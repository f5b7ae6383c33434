//! Which pictures show which voices, and so which line stands in which strip.

use std::fs;
use std::path::{Path, PathBuf};

use cartella::{Copied, Layout, Piece};

use crate::files::{Failure, shown};
use crate::printed::in_line;
use crate::verbs::scans::{Found, found};

/// The endings of files that are taken from a folder.
const ENDINGS: [&str; 4] = ["png", "jpg", "jpeg", "pdf"];

/// Pictures, in order, and the voices that they show.
struct Source {
    voices: Vec<usize>,
    files: Vec<PathBuf>,
}

/// The strip of a line.
pub(super) struct Placed {
    /// The voice, as a place in the piece.
    pub(super) voice: usize,
    /// The line of the source, from 1.
    pub(super) line: u32,
    pub(super) found: Found,
}

/// The strips of the lines of a piece.
pub(super) struct Matched {
    pub(super) placed: Vec<Placed>,
    /// For each source in which there are more staves with music, or fewer, than lines are typed, what is to
    /// be said of it; its strips are not among the others.
    pub(super) said: Vec<String>,
}

/// Looks for the strips of all lines in the pictures that are named: `VOICE=FILE`, a file of all voices, or a
/// folder.
pub(super) fn matched(copied: &Copied<'_>, named: &[String]) -> Result<Matched, Failure> {
    let piece = copied.example().piece();
    let mut matched = Matched { placed: Vec::new(), said: Vec::new() };
    for source in sources(piece, named)? {
        let lines = lines(copied, &source.voices);
        let strips = found(&source.files)?;
        let strips: Vec<Found> = strips.into_iter().filter(|found| !found.strip.empty).collect();
        if strips.len() == lines.len() {
            let placed = lines.into_iter().zip(strips);
            matched.placed.extend(placed.map(|((voice, line), found)| Placed {
                voice,
                line,
                found,
            }));
        } else {
            matched.said.push(unequal(piece, &source, lines.len(), strips.len()));
        }
    }
    Ok(matched)
}

/// The lines of some voices in the order in which the source prints them.
fn lines(copied: &Copied<'_>, voices: &[usize]) -> Vec<(usize, u32)> {
    let all = copied.lines.iter().map(|line| (line.voice, line.number));
    let mut lines: Vec<(usize, u32)> = all.filter(|(voice, _)| voices.contains(voice)).collect();
    if copied.example().piece().head.layout != Layout::Partbooks {
        lines.sort_by_key(|(voice, line)| (*line, *voice));
    }
    lines
}

fn unequal(piece: &Piece, source: &Source, lines: usize, strips: usize) -> String {
    let names: Vec<_> =
        source.voices.iter().map(|voice| in_line(&piece.voices[*voice].name)).collect();
    let files: Vec<String> = source.files.iter().map(|file| shown(file)).collect();
    let count = |count: usize, one: &str, many: &str| match count {
        0 => format!("no {one}"),
        1 => format!("1 {one}"),
        count => format!("{count} {many}"),
    };
    format!(
        "{} in the file, but {} with music in {}: see with --strips which they are; is a line end \
         missing, or has the picture another piece too?",
        format_args!("{}: {}", names.join(", "), count(lines, "line", "lines")),
        count(strips, "staff", "staves"),
        files.join(", ")
    )
}

/// What the words after `--facsimile` name.
fn sources(piece: &Piece, named: &[String]) -> Result<Vec<Source>, Failure> {
    let written: Vec<usize> =
        (0..piece.voices.len()).filter(|voice| piece.voices[*voice].canon.is_none()).collect();
    let (mut sources, mut shared): (Vec<Source>, Vec<PathBuf>) = (Vec::new(), Vec::new());
    for word in named {
        let path = PathBuf::from(word);
        if let Some((name, file)) = word.split_once('=').filter(|_| !path.exists()) {
            let voice = named_voice(piece, &written, name)?;
            match sources.iter_mut().find(|source| source.voices == [voice]) {
                Some(source) => source.files.push(file.into()),
                None => sources.push(Source { voices: vec![voice], files: vec![file.into()] }),
            }
        } else if path.is_dir() {
            sources.extend(of_folder(piece, &written, &path)?);
        } else if ending(&path).is_some() {
            shared.push(path);
        } else {
            return Err(Failure::Said(format!(
                "--facsimile {}: type VOICE=FILE, a picture (PNG, JPEG, PDF) of all voices, or a folder; the \
                 parts file comes before it",
                in_line(word)
            )));
        }
    }
    if !shared.is_empty() {
        sources.push(Source { voices: written, files: shared });
    }
    Ok(sources)
}

fn named_voice(piece: &Piece, written: &[usize], name: &str) -> Result<usize, Failure> {
    let voice = written.iter().find(|voice| piece.voices[**voice].name == name);
    voice.copied().ok_or_else(|| {
        let names: Vec<_> =
            written.iter().map(|voice| in_line(&piece.voices[*voice].name)).collect();
        Failure::Said(format!(
            "--facsimile: there is no voice {}; the voices are {}",
            in_line(name),
            names.join(", ")
        ))
    })
}

/// The ending of a file that may be a picture, in small letters.
fn ending(path: &Path) -> Option<String> {
    let ending = path.extension()?.to_str()?.to_ascii_lowercase();
    ENDINGS.contains(&ending.as_str()).then_some(ending)
}

/// The pictures of a folder: those named like the voices; or else as many as there are voices, by the
/// order of their names; or else all of them for all voices.
fn of_folder(piece: &Piece, written: &[usize], folder: &Path) -> Result<Vec<Source>, Failure> {
    let unread = |error| Failure::Unread(folder.to_owned(), error);
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(unread)? {
        let path = entry.map_err(unread)?.path();
        if ending(&path).is_some() && path.is_file() {
            files.push(path);
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(Failure::Said(format!("{} has no pictures (PNG, JPEG, PDF)", shown(folder))));
    }
    let one = |(voice, file): (usize, PathBuf)| Source { voices: vec![voice], files: vec![file] };
    let of_name = |voice: &usize| {
        let name = piece.voices[*voice].name.to_lowercase();
        let is_it = |file: &&PathBuf| {
            file.file_stem().is_some_and(|stem| stem.to_string_lossy().to_lowercase() == name)
        };
        files.iter().find(is_it).map(|file| (*voice, file.clone()))
    };
    let by_name: Vec<(usize, PathBuf)> = written.iter().filter_map(of_name).collect();
    Ok(if by_name.len() == written.len() {
        by_name.into_iter().map(one).collect()
    } else if files.len() == written.len() {
        written.iter().copied().zip(files).map(one).collect()
    } else {
        vec![Source { voices: written.to_vec(), files }]
    })
}
