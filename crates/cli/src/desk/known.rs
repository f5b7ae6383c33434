//! What is known of the pieces of the folder.

use std::path::PathBuf;
use std::sync::Mutex;
use std::time::SystemTime;

use serde::Serialize;

/// A piece or example in the list of the folder.
#[derive(Clone, Serialize)]
pub(super) struct Listed {
    pub(super) path: String,
    pub(super) example: Option<String>,
    pub(super) title: Option<String>,
    pub(super) source: Option<String>,
    pub(super) voices: usize,
    pub(super) errors: usize,
    pub(super) warnings: usize,
}

/// What is known of files, as long as they are not changed.
#[derive(Default)]
pub(super) struct Known(pub(super) Mutex<Vec<Entry>>);

/// A file, its size and time, and what is in it.
pub(super) type Entry = (PathBuf, (u64, SystemTime), Vec<Listed>);
