//! The chapter of joinings as a book of examples.

use std::path::Path;

use cartella::{Model, joined_parts};

use super::words;
use crate::Outcome;
use crate::files::Failure;
use crate::verbs::imitate::put_examples;

/// Writes every model as an example in four voices.
pub(super) fn patterns(models: &[Model], output: &Path, replace: bool) -> Result<Outcome, Failure> {
    let joined = models.iter().filter_map(|model| Some((model, model.joining.as_ref()?)));
    let examples = (1..).zip(joined).map(|(number, (model, (pair, joined))): (u32, _)| {
        let text = joined_parts(&words::of_model(model), &words::reasons(joined), joined, pair);
        format!("example {number}\n{text}\n")
    });
    put_examples(&examples.collect::<String>(), output, replace)?;
    Ok(Outcome::Done)
}
