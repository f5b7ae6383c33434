//! The chapter of joinings as a book of examples.

use std::fmt::Write as _;
use std::path::Path;

use cartella::{Model, joined_parts};

use super::words;
use crate::Outcome;
use crate::files::Failure;
use crate::verbs::imitate::put_examples;

/// Writes every model as an example in four voices.
pub(super) fn patterns(models: &[Model], output: &Path, replace: bool) -> Result<Outcome, Failure> {
    let joined = models.iter().filter_map(|model| Some((model, model.joining.as_ref()?)));
    let mut text = String::new();
    for (number, (model, (pair, joined))) in (1..).zip(joined) {
        let _ = writeln!(text, "example {number}");
        text += &joined_parts(&words::of_model(model), &words::reasons(joined), joined, pair);
        text.push('\n');
    }
    put_examples(&text, output, replace)?;
    Ok(Outcome::Done)
}
