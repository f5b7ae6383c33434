//! The standard streams: all that the command prints goes through here.

use std::io::{self, ErrorKind, Write};
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::files::Failure;
use crate::printed::Printed;

/// Where answers go.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stream {
    Output,
    /// Standard output holds a file that was asked for, and that alone.
    Error,
}

impl Stream {
    /// Where answers go, if a file may go to standard output.
    pub(crate) fn beside(file_on_output: bool) -> Stream {
        if file_on_output { Stream::Error } else { Stream::Output }
    }
}

/// Whether something that was said could not be written.
static UNSAID: AtomicBool = AtomicBool::new(false);

/// Prints an answer.
pub(crate) fn answer(to: Stream, answer: &Printed) -> Result<(), Failure> {
    match to {
        Stream::Output => output(answer.as_bytes()),
        Stream::Error => {
            say(answer);
            Ok(())
        }
    }
}

/// Writes bytes to standard output.
pub(crate) fn output(bytes: &[u8]) -> Result<(), Failure> {
    written(&mut io::stdout().lock(), bytes).map_err(|error| match error.kind() {
        ErrorKind::BrokenPipe => Failure::Closed,
        _ => Failure::Unwritten(PathBuf::from("standard output"), error),
    })
}

/// Says something on standard error. What cannot be said does not stop the work; the run fails at
/// its end, unless nobody listens any more.
pub(crate) fn say(said: &Printed) {
    if let Err(error) = written(&mut io::stderr().lock(), said.as_bytes())
        && error.kind() != ErrorKind::BrokenPipe
    {
        UNSAID.store(true, Ordering::Relaxed);
    }
}

/// Whether all that was said could be written, or nobody was there to read it.
pub(crate) fn all_said() -> bool {
    !UNSAID.load(Ordering::Relaxed)
}

fn written(stream: &mut impl Write, bytes: &[u8]) -> io::Result<()> {
    if bytes.is_empty() {
        return Ok(());
    }
    stream.write_all(bytes).and_then(|()| stream.flush())
}
