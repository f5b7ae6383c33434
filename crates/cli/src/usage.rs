//! What is said where the command line cannot be understood, in plain words where that is possible.

use std::error::Error as _;
use std::num::ParseIntError;

use clap::error::{ContextKind, ContextValue, ErrorKind};

use crate::arguments::Color;
use crate::printed::{Printed, in_line};

/// What is printed of a command line that cannot be understood, or that asks for help.
pub(crate) fn printed(mut error: clap::Error) -> Printed {
    if let Some(said) = said(&error) {
        return Printed::plain(format!("cartella: {said}\n"));
    }
    // What was typed is escaped before it is coloured; hints may repeat it.
    let typed: Vec<(ContextKind, ContextValue)> =
        error.context().map(|(kind, value)| (kind, value.clone())).collect();
    for (kind, value) in typed {
        let shown = match &value {
            ContextValue::String(text) => ContextValue::String(in_line(text).into_owned()),
            ContextValue::Strings(texts) => {
                ContextValue::Strings(texts.iter().map(|text| in_line(text).into_owned()).collect())
            }
            _ => continue,
        };
        if shown != value {
            error.insert(kind, shown);
            error.remove(ContextKind::Suggested);
        }
    }
    let text = error.render();
    if Color::Auto.resolve() {
        Printed::as_it_is(text.ansi().to_string())
    } else {
        Printed::plain(text.to_string())
    }
}

/// A sentence for an option with a value that is none, or for something that is missing; nothing
/// where the words of the command line's reader do.
fn said(error: &clap::Error) -> Option<String> {
    let context = |kind| error.get(kind);
    let one = |kind| match context(kind)? {
        ContextValue::String(text) => Some(text.as_str()),
        _ => None,
    };
    match error.kind() {
        ErrorKind::ValueValidation => {
            let option = one(ContextKind::InvalidArg)?.split(' ').next()?;
            let value = one(ContextKind::InvalidValue)?;
            let source = error.source()?;
            let reason = if source.is::<ParseIntError>() {
                format!("`{value}` is not a number")
            } else {
                // Ranges as people write them.
                source.to_string().replace("..=", " to ")
            };
            Some(format!("{option}: {}", in_line(&reason)))
        }
        ErrorKind::MissingRequiredArgument => {
            let ContextValue::Strings(missing) = context(ContextKind::InvalidArg)? else {
                return None;
            };
            let usage = context(ContextKind::Usage).map_or(String::new(), ToString::to_string);
            let missing = missing.join(" and ").replace("...", "");
            let verb = if missing.contains(" and ") { "are" } else { "is" };
            Some(format!("{missing} {verb} missing\n{}", usage.trim()))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser as _;

    use super::*;
    use crate::arguments::Arguments;

    #[test]
    fn what_is_wrong_is_said_in_plain_words() {
        for (arguments, expected) in [
            (
                "check a.parts --why Cantus",
                "--why: `Cantus` is not a note or rest: type the voice and the number, \
                 Cantus:12; or a bar, Cantus:b12; or a line and column of the file, 12:5",
            ),
            (
                "new duo --clefs C1,D4",
                "--clefs: D4 is not a clef: type its letter and line, C1 C3 C4 F4 G2",
            ),
            ("new duo --voices 70", "--voices: 70 is not in 1 to 64"),
            ("new duo --voices two", "--voices: `two` is not a number"),
            ("check", "<FILE> is missing\nUsage: cartella check <FILE>..."),
            ("collate", "<A> and <B> are missing\nUsage: cartella collate <A> <B>"),
        ] {
            let arguments = ["cartella"].into_iter().chain(arguments.split(' '));
            let error = Arguments::try_parse_from(arguments).err().unwrap();
            assert_eq!(said(&error).as_deref(), Some(expected));
        }
    }
}
