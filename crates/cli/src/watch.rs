//! Doing something again whenever a file changes.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use notify::{Event, EventKind, RecursiveMode, Watcher as _};

use crate::Outcome;
use crate::files::{Failure, folder, is_stream, parted};
use crate::printed::Printed;
use crate::streams::say;

/// Text editors write in several strokes; what comes within this time is one change.
const STROKES: Duration = Duration::from_millis(60);

/// Does some work, and again whenever one of the files changes of which it was made, until interrupted. The work
/// says which files these are: they may be others every time.
pub(crate) fn all(
    work: impl Fn() -> Result<(Outcome, Vec<PathBuf>), Failure>,
) -> Result<Outcome, Failure> {
    let unwatched = |error: notify::Error| Failure::Said(format!("cannot watch: {error}"));
    let (sender, receiver) = channel();
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<Event>| {
        // A watcher whose receiver is gone has nobody left to tell.
        let _ = sender.send(event);
    })
    .map_err(unwatched)?;
    let (mut files, mut watched): (Vec<PathBuf>, Vec<PathBuf>) =
        work().map(|(_, files)| (files, Vec::new()))?;
    let mut changed = false;
    let mut told = false;
    loop {
        for folder in files.iter().map(|path| folder(path)) {
            // A folder that is not there yet cannot be watched; the text that names it can.
            if !watched.iter().any(|other| other == folder) && folder.is_dir() {
                watcher.watch(folder, RecursiveMode::NonRecursive).map_err(unwatched)?;
                watched.push(folder.to_owned());
            }
        }
        if !told {
            say(&Printed::plain("watching; interrupt with Ctrl-C\n"));
            told = true;
        }
        let wait = if changed { STROKES } else { Duration::from_hours(1) };
        match receiver.recv_timeout(wait) {
            Ok(Ok(event)) if !matches!(event.kind, EventKind::Access(_)) => {
                let named =
                    |path: &PathBuf| files.iter().any(|file| file.file_name() == path.file_name());
                changed |= event.paths.iter().any(named);
            }
            Ok(_) => {}
            Err(RecvTimeoutError::Timeout) if !changed => {}
            Err(RecvTimeoutError::Timeout) => {
                changed = false;
                match work() {
                    Ok((_, now)) => files = now,
                    Err(Failure::Closed) => return Err(Failure::Closed),
                    Err(failure) => say(&failure.printed()),
                }
            }
            Err(RecvTimeoutError::Disconnected) => return Ok(Outcome::Done),
        }
    }
}

/// Works on the files, and again on each that changes, until interrupted. The folders are watched
/// rather than the files, since many text editors put a new file in the place of the old one.
pub(crate) fn again(
    paths: &[PathBuf],
    work: impl Fn(&[PathBuf]) -> Result<Outcome, Failure>,
) -> Result<Outcome, Failure> {
    let real: Vec<PathBuf> = paths.iter().map(|path| parted(path).0).collect();
    if real.iter().any(|path| is_stream(path)) {
        return Err(Failure::Said("standard input cannot be watched".to_owned()));
    }
    let unwatched = |error: notify::Error| Failure::Said(format!("cannot watch: {error}"));
    let (sender, receiver) = channel();
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<Event>| {
        // A watcher whose receiver is gone has nobody left to tell.
        let _ = sender.send(event);
    })
    .map_err(unwatched)?;
    let mut folders: Vec<&Path> = real.iter().map(|path| folder(path)).collect();
    folders.sort_unstable();
    folders.dedup();
    for folder in folders {
        watcher.watch(folder, RecursiveMode::NonRecursive).map_err(unwatched)?;
    }
    let report = |result: Result<Outcome, Failure>| match result {
        Err(Failure::Closed) => Err(Failure::Closed),
        Err(failure) => {
            say(&failure.printed());
            Ok(())
        }
        Ok(_) => Ok(()),
    };
    report(work(paths))?;
    say(&Printed::plain("watching; interrupt with Ctrl-C\n"));
    let mut changed: Vec<PathBuf> = Vec::new();
    loop {
        let wait = if changed.is_empty() { Duration::from_hours(1) } else { STROKES };
        match receiver.recv_timeout(wait) {
            Ok(Ok(event)) if !matches!(event.kind, EventKind::Access(_)) => {
                for (path, real) in paths.iter().zip(&real) {
                    let named = |other: &PathBuf| other.file_name() == real.file_name();
                    if event.paths.iter().any(named) && !changed.contains(path) {
                        changed.push(path.clone());
                    }
                }
            }
            Ok(_) => {}
            Err(RecvTimeoutError::Timeout) if changed.is_empty() => {}
            Err(RecvTimeoutError::Timeout) => report(work(&std::mem::take(&mut changed)))?,
            Err(RecvTimeoutError::Disconnected) => return Ok(Outcome::Done),
        }
    }
}
