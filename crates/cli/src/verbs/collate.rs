//! `collate`: what differs between two transcriptions.

use std::path::Path;

use cartella::{
    Basis, Collated, Collation, Difference, Document, LARGEST_FILE, Locus, Standing, is_musicxml,
};
use serde::Serialize;

use crate::Outcome;
use crate::arguments::{Collate, Format};
use crate::files::{self, Failure, Inputs, is_standard_output};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::{Source, count, errors, json};
use crate::streams::{self, Stream, say};

/// So many words of a difference are shown to a person; a program gets all of them.
const MOST_WORDS: usize = 16;

/// What is said of the comparison with a modern score.
const SOUNDING: &str = "Compared is what sounds: pitches and lengths, in minims. Clefs, printed values, \
                        ligatures, coloration and line ends are not in MusicXML.";

/// One of the two files.
struct File {
    loaded: Loaded,
    /// Whether it came as a modern score, so that the places in its text say nothing.
    modern: bool,
}

impl File {
    fn read(path: &Path, options: &Collate, colors: bool) -> Result<File, Failure> {
        let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
        let name = files::shown(path);
        let (loaded, modern) = if ["musicxml", "xml", "mxl"]
            .iter()
            .any(|one| ending.eq_ignore_ascii_case(one))
        {
            let bytes = files::read(path, LARGEST_FILE)?;
            if !is_musicxml(&bytes) {
                return Err(Failure::Said(format!(
                    "{name} is no MusicXML score; other encodings become parts files with `cartella read`"
                )));
            }
            let minim = options.minim.map(Into::into);
            let (document, _) = Document::read_musicxml(&name, &bytes, minim)
                .map_err(|error| Failure::Said(error.to_string()))?;
            (Loaded { name, document }, true)
        } else {
            (Loaded::read(path)?, false)
        };
        let errors = errors(loaded.document.diagnostics());
        say(&loaded.source().render(&errors, colors));
        if loaded.document.piece().voices.is_empty() {
            return Err(Failure::Said(format!("{} has no voices to compare", loaded.name)));
        }
        if let Some(count) = count(&errors) {
            let said = format!("{}: {count}; what could be read is compared\n", loaded.name);
            say(&Printed::plain(said));
        }
        Ok(File { loaded, modern })
    }
}

pub(crate) fn run(options: &Collate, colors: bool) -> Result<Outcome, Failure> {
    if files::is_stream(&options.left) && files::is_stream(&options.right) {
        return Err(Failure::Said("only one of the two files can be standard input".to_owned()));
    }
    let left = File::read(&options.left, options, colors)?;
    let right = File::read(&options.right, options, colors)?;
    let modern = left.modern || right.modern;
    if modern && options.output.is_some() {
        return Err(Failure::Said(
            "variants can be written for two parts files only: what is printed is not in MusicXML"
                .to_owned(),
        ));
    }
    let basis = if modern { Basis::Sounding } else { Basis::Printed };
    let (left_score, right_score) =
        (left.loaded.score(options.bars.bar), right.loaded.score(options.bars.bar));
    let collated = left_score.collate(&right_score, basis);
    if let Some(path) = &options.output {
        write(path, options, &collated)?;
    }
    let collation = &collated.collation;
    let (here, there) = (left.loaded.source(), right.loaded.source());
    let told = Told { left: &left, right: &right, here: &here, there: &there, basis };
    let answer = match options.format {
        Format::Json => told.json(collation),
        Format::Text => Printed::plain(told.text(collation)),
    };
    // Variants on standard output leave no room for anything else.
    let to = Stream::beside(options.output.as_deref().is_some_and(is_standard_output));
    streams::answer(to, &answer)?;
    Ok(if collation.differences.is_empty() { Outcome::Done } else { Outcome::Findings })
}

/// Writes the left file with what differs as variants.
fn write(path: &Path, options: &Collate, collated: &Collated<'_>) -> Result<(), Failure> {
    let merged = collated.merge();
    let inputs = Inputs::of(&[options.left.clone(), options.right.clone()]);
    files::write_new(path, merged.text.as_bytes(), options.replace, &inputs)?;
    if merged.unwritten > 0 {
        let (are, each) = if merged.unwritten == 1 {
            ("difference is", "it stands")
        } else {
            ("differences are", "they stand")
        };
        say(&Printed::plain(format!(
            "{} {are} not among the variants: {each} on the line that opens a voice, in a voice that one \
             side lacks, in a variant, beside something that could not be read, or in a passage that has \
             too little in common\n",
            merged.unwritten
        )));
    }
    Ok(())
}

struct Told<'t> {
    left: &'t File,
    right: &'t File,
    here: &'t Source<'t>,
    there: &'t Source<'t>,
    basis: Basis,
}

impl Told<'_> {
    /// A line for each difference, and one for all.
    fn text(&self, collation: &Collation<'_>) -> String {
        let mut text: String =
            collation.differences.iter().map(|difference| self.line(difference)).collect();
        let compared = collation.compared;
        let basis = match self.basis {
            Basis::Printed => "as printed",
            Basis::Sounding => "as they sound",
        };
        text.push_str(&match collation.differences.len() {
            0 => format!("nothing differs: {compared} notes and rests compared {basis}\n"),
            1 => format!("1 difference in {compared} notes and rests, compared {basis}\n"),
            many => format!("{many} differences in {compared} notes and rests, compared {basis}\n"),
        });
        match self.basis {
            Basis::Sounding => text.push_str(&format!("{SOUNDING}\n")),
            Basis::Printed if self.edited() => {
                text.push_str("What is emended or supplied is not compared.\n");
            }
            Basis::Printed => {}
        }
        text
    }

    /// Whether something is emended or supplied on either side.
    fn edited(&self) -> bool {
        let files = [self.left, self.right].into_iter();
        let voices = files.flat_map(|file| &file.loaded.document.piece().voices);
        voices.flat_map(|voice| &voice.items).any(|item| {
            matches!(item.standing, Standing::Emended | Standing::Replaced | Standing::Supplied)
        })
    }

    /// `Tenor, bar 9, 3rd note (line 2, no. 14; a.parts:9:5, b.parts:9:7): value: mn | sm`
    fn line(&self, difference: &Difference) -> String {
        let Difference { kind, voice, left, place, left_text, right_text, count, .. } = difference;
        let mut places = Vec::new();
        let number = match (left.line, left.index) {
            (Some(line), Some(index)) if !self.left.modern => {
                Some(format!("line {line}, no. {index}"))
            }
            (Some(line), None) if !self.left.modern => Some(format!("line {line}")),
            _ => None,
        };
        places.extend(number);
        places.extend(position(self.left, self.here, &difference.left));
        places.extend(position(self.right, self.there, &difference.right));
        let places =
            if places.is_empty() { String::new() } else { format!(" ({})", places.join("; ")) };
        let sides = format!("{} | {}", short(left_text, *count), short(right_text, *count));
        format!("{voice}, {place}{places}: {}: {}\n", kind.name(), sides.trim_end())
    }

    fn json(&self, collation: &Collation<'_>) -> Printed {
        let listed = |difference: &Difference| {
            let place = |file: &File, source: &Source<'_>, locus: &Locus| match locus.span {
                Some(span) if !file.modern => {
                    let (line, column) = source.place(span);
                    (Some(line), Some(column))
                }
                _ => (None, None),
            };
            let (line, column) = place(self.left, self.here, &difference.left);
            let (right_line, right_column) = place(self.right, self.there, &difference.right);
            Listed {
                kind: difference.kind.name(),
                voice: difference.voice.clone(),
                index: difference.left.index,
                at: difference.at.to_string(),
                bar: difference.bar,
                place: difference.place.clone(),
                source_line: difference.left.line,
                left: difference.left_text.clone(),
                right: difference.right_text.clone(),
                count: difference.count,
                line,
                column,
                right_index: difference.right.index,
                right_line,
                right_column,
            }
        };
        json(&Answer {
            version: 1,
            compared: match self.basis {
                Basis::Printed => "printed",
                Basis::Sounding => "sounding",
            },
            events: collation.compared,
            differences: collation.differences.iter().map(listed).collect(),
        })
    }
}

/// Where something is in a file.
fn position(file: &File, source: &Source<'_>, locus: &Locus) -> Option<String> {
    let span = locus.span.filter(|_| !file.modern)?;
    let (line, column) = source.place(span);
    Some(format!("{}:{line}:{column}", file.loaded.name))
}

/// A text of many words cut short.
fn short(text: &str, count: usize) -> String {
    let words: Vec<&str> = text.split(' ').collect();
    if words.len() <= MOST_WORDS {
        return text.to_owned();
    }
    format!("{} … ({count} in all)", words[..MOST_WORDS].join(" "))
}

#[derive(Serialize)]
struct Answer {
    version: u32,
    compared: &'static str,
    events: usize,
    differences: Vec<Listed>,
}

#[derive(Serialize)]
struct Listed {
    kind: &'static str,
    voice: String,
    index: Option<u32>,
    at: String,
    bar: Option<u32>,
    place: String,
    source_line: Option<u32>,
    left: String,
    right: String,
    count: usize,
    line: Option<u32>,
    column: Option<u32>,
    right_index: Option<u32>,
    right_line: Option<u32>,
    right_column: Option<u32>,
}
