//! What is read is not written over, and nothing is written twice.

use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};

use super::place::{Identity, parted};
use super::{Failure, is_standard_output, is_stream, shown};

/// The files that a run reads, by whatever name an output may call them.
#[derive(Default)]
pub(crate) struct Inputs(HashMap<Identity, PathBuf>);

impl Inputs {
    pub(crate) fn of(paths: &[PathBuf]) -> Inputs {
        // Standard input may be a file too.
        let named = |path: &PathBuf| {
            let (path, _) = parted(path);
            let named = if is_stream(&path) { Path::new("/dev/stdin") } else { &path };
            named.is_file().then(|| (Identity::of(named), path.clone()))
        };
        Inputs(paths.iter().filter_map(named).collect())
    }

    /// Refuses an output that is one of them.
    pub(crate) fn refuse(&self, output: &Path) -> Result<(), Failure> {
        if is_standard_output(output) || self.0.is_empty() {
            return Ok(());
        }
        match self.0.get(&Identity::of(output)) {
            Some(input) if input == output => {
                let why = "it is what is read: give the output another name";
                Err(Failure::Refused(output.to_owned(), why.to_owned()))
            }
            Some(input) => {
                let input = shown(input);
                let why = format!(
                    "it is the same file as {input}, which is read: give the output another name"
                );
                Err(Failure::Refused(output.to_owned(), why))
            }
            None => Ok(()),
        }
    }
}

/// Refuses two outputs that would be one file.
pub(crate) fn check_distinct(outputs: &[PathBuf]) -> Result<(), Failure> {
    let mut seen = HashSet::new();
    for output in outputs {
        let identity = if is_standard_output(output) {
            Identity::Path(PathBuf::from("-"))
        } else {
            Identity::of(output)
        };
        if !seen.insert(identity) {
            let name = if is_stream(output) { "standard output".to_owned() } else { shown(output) };
            return Err(Failure::Said(format!("two outputs would be one file: {name}")));
        }
    }
    Ok(())
}
