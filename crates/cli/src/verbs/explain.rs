//! `explain`: an error or a word of the notation at length.

use cartella::{Code, Term};

use crate::Outcome;
use crate::arguments::Explain;
use crate::files::Failure;
use crate::printed::Printed;
use crate::streams::{self, Stream};

pub(crate) fn run(options: &Explain) -> Result<Outcome, Failure> {
    let text = match &options.what {
        None => list(),
        Some(what) => match (Code::from_number(what), Term::find(what)) {
            (Some(code), _) => explanation(code),
            (None, Some(term)) => meaning(term),
            (None, None) => {
                return Err(Failure::Said(format!(
                    "{what} is neither a code nor a word of the parts file; `cartella explain` lists them all"
                )));
            }
        },
    };
    streams::answer(Stream::Output, &Printed::plain(text))?;
    Ok(Outcome::Done)
}

/// All that can be typed, and all codes, a line each.
fn list() -> String {
    let width = Term::all().map(|term| term.typed.len()).max().unwrap_or(0);
    let mut list: String =
        Term::all().map(|term| format!("{:width$}  {}\n", term.typed, term.called)).collect();
    list.push('\n');
    list.extend(Code::ALL.iter().map(|code| format!("{code}  {}\n", code.title())));
    list
}

fn meaning(term: Term) -> String {
    format!("{}: {}\n\n{}\n", term.typed, term.called, filled(term.text))
}

fn explanation(code: Code) -> String {
    let mut text = format!("{code}: {}\n\n{}\n", code.title(), filled(code.explanation()));
    if !code.example().is_empty() {
        text.push_str(&format!("\nNot:\n\n{}\n", indented(code.example())));
        text.push_str(&format!("but:\n\n{}", indented(code.mended())));
    }
    text
}

fn indented(text: &str) -> String {
    text.lines().map(|line| format!("    {line}\n")).collect()
}

/// The text in lines of at most 80 characters.
fn filled(text: &str) -> String {
    let mut filled = String::new();
    let mut column = 0;
    for word in text.split(' ') {
        let length = word.chars().count();
        if column > 0 && column + 1 + length > 80 {
            filled.push('\n');
            column = 0;
        } else if column > 0 {
            filled.push(' ');
            column += 1;
        }
        filled.push_str(word);
        column += length;
    }
    filled
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_explanation_has_both_examples() {
        insta::assert_snapshot!(explanation(Code::OctaveUndecided));
    }
}
