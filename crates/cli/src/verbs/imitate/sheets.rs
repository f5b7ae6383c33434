//! Sheets of patterns and questions, as a book of examples.

use std::path::Path;

use cartella::invention::Pattern;

use crate::Outcome;
use crate::arguments::Imitate;
use crate::files::Failure;

pub(crate) fn ask(_count: usize, _options: &Imitate) -> Result<Outcome, Failure> {
    todo!()
}

pub(crate) fn patterns(
    _found: &[Pattern],
    _output: &Path,
    _options: &Imitate,
) -> Result<Outcome, Failure> {
    todo!()
}
