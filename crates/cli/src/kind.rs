//! The kinds of score that can be written.

use std::path::Path;

use clap::ValueEnum;

/// A kind of score that can be written.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Kind {
    #[value(alias = "xml")]
    Musicxml,
    Mxl,
    Svg,
    Pdf,
    Png,
    #[value(alias = "midi")]
    Mid,
    Wav,
    Flac,
    /// A page with the example alone, for a browser
    Html,
}

impl Kind {
    /// The ending of its files' names.
    pub(crate) fn ending(self) -> &'static str {
        match self {
            Kind::Musicxml => "musicxml",
            Kind::Mxl => "mxl",
            Kind::Svg => "svg",
            Kind::Pdf => "pdf",
            Kind::Png => "png",
            Kind::Mid => "mid",
            Kind::Wav => "wav",
            Kind::Flac => "flac",
            Kind::Html => "html",
        }
    }

    /// Whether it is heard.
    pub(crate) fn is_heard(self) -> bool {
        match self {
            Kind::Mid | Kind::Wav | Kind::Flac => true,
            Kind::Musicxml | Kind::Mxl | Kind::Svg | Kind::Pdf | Kind::Png | Kind::Html => false,
        }
    }

    /// Whether it is sound, made by an instrument.
    pub(crate) fn is_sound(self) -> bool {
        matches!(self, Kind::Wav | Kind::Flac)
    }

    /// All endings, for a sentence: `.musicxml, .mxl or .mid`.
    pub(crate) fn endings() -> String {
        let endings: Vec<String> =
            Kind::value_variants().iter().map(|kind| format!(".{}", kind.ending())).collect();
        match endings.split_last() {
            Some((last, others)) if !others.is_empty() => {
                format!("{} or {last}", others.join(", "))
            }
            _ => endings.concat(),
        }
    }

    /// The kind of a file by its name: `.xml` and `.midi` are endings too.
    pub(crate) fn of(path: &Path) -> Option<Kind> {
        Kind::from_str(path.extension()?.to_str()?, true).ok()
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;
    use crate::arguments::Arguments;

    #[test]
    fn the_help_names_every_ending() {
        let command = Arguments::command();
        let score = command.find_subcommand("score").unwrap();
        let output = score.get_arguments().find(|argument| argument.get_id() == "output").unwrap();
        let help = output.get_help().unwrap().to_string();
        let named: Vec<&str> =
            help.split(|c: char| c.is_whitespace() || "(),".contains(c)).collect();
        for kind in Kind::value_variants() {
            assert!(named.contains(&format!(".{}", kind.ending()).as_str()), "{}", kind.ending());
        }
    }
}
