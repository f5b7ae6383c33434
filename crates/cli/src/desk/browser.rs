//! Opens an address in the browser of the user.

use std::process::{Command, Stdio};

/// The program that opens what it is given as the user wants it opened.
const OPENER: (&str, &[&str]) = if cfg!(target_os = "windows") {
    ("cmd", &["/C", "start", ""])
} else if cfg!(target_os = "macos") {
    ("open", &[])
} else {
    ("xdg-open", &[])
};

/// Whether an address is being opened.
pub(super) fn open(address: &str) -> bool {
    let (program, first) = OPENER;
    let quiet = || Stdio::null();
    let mut command = Command::new(program);
    command.args(first).arg(address).stdin(quiet()).stdout(quiet()).stderr(quiet());
    command.spawn().is_ok()
}
