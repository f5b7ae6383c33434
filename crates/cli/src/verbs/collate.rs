//! `collate`: what differs between two transcriptions.

use std::collections::HashMap;
use std::path::Path;

use cartella::{
    Aligned, BarLength, Basis, Collated, Collation, Diagnostic, Difference, Document, Example,
    LARGEST_FILE, Locus, Standing, is_musicxml,
};
use serde::Serialize;

use crate::Outcome;
use crate::arguments::{Collate, Format};
use crate::files::{self, Failure, Inputs, is_standard_output};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::{Source, count, json};
use crate::streams::{self, Stream, say};
use crate::verbs::grid::over;

/// So many words of a difference are shown to a person; a program gets all of them.
const MOST_WORDS: usize = 16;

/// What is said of the comparison with a modern score.
const SOUNDING: &str = "Only what sounds is compared: pitches and lengths, in minims. MusicXML has no original clefs, printed values, ligatures, coloration or line ends.";

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
        let modern = ["musicxml", "xml", "mxl"].iter().any(|one| ending.eq_ignore_ascii_case(one));
        let loaded = if modern {
            let bytes = files::read(path, LARGEST_FILE)?;
            if !is_musicxml(&bytes) {
                return Err(Failure::Said(format!(
                    "{name} is not a MusicXML score; turn other encodings into parts files with `cartella read`"
                )));
            }
            let minim = options.minim.map(Into::into);
            let (document, _) = Document::read_musicxml(&name, &bytes, minim)
                .map_err(|error| Failure::Said(error.to_string()))?;
            Loaded { path: path.to_owned(), name, document, only: None }
        } else {
            Loaded::read(path)?
        };
        let found = loaded.examples().flat_map(Example::diagnostics);
        let errors: Vec<Diagnostic> = loaded
            .document
            .shared_diagnostics()
            .iter()
            .chain(found)
            .filter(|found| found.is_error())
            .cloned()
            .collect();
        say(&loaded.source(&loaded.name).render(&errors, colors));
        if loaded.examples().all(|example| example.piece().voices.is_empty()) {
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
    let is_stream = |path: &Path| files::is_stream(&files::parted(path).0);
    if is_stream(&options.left) && is_stream(&options.right) {
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
    let Paired { pairs, alone } = paired(&left, &right)?;
    let bar: BarLength = options.bars.bar.into();
    let scores: Vec<[Aligned<'_>; 2]> =
        pairs.iter().map(|pair| pair.map(|example| example.score(bar))).collect();
    let compared: Vec<Collated<'_>> =
        scores.iter().map(|[left, right]| left.collate(right, basis)).collect();
    if let Some(path) = &options.output {
        write(path, options, &left.loaded.document, &compared)?;
    }
    let mut answer = Printed::default();
    for (place, ([one, other], compared)) in pairs.iter().zip(&compared).enumerate() {
        let (here, there) = (left.loaded.label(*one), right.loaded.label(*other));
        let told = Told {
            left: &left,
            right: &right,
            pair: [*one, *other],
            here: &left.loaded.source(&here),
            there: &right.loaded.source(&there),
            basis,
        };
        let collation = &compared.collation;
        answer += match options.format {
            Format::Json => told.json(collation),
            Format::Text => Printed::plain(over(*one, place) + &told.text(collation)),
        };
    }
    for (file, name) in &alone {
        answer += match options.format {
            Format::Json => json(&Alone { version: 1, example: name, only_in: &file.loaded.name }),
            Format::Text => {
                Printed::plain(format!("\nexample {name} stands in {} alone\n", file.loaded.name))
            }
        };
    }
    // Variants on standard output leave no room for anything else.
    let to = Stream::beside(options.output.as_deref().is_some_and(is_standard_output));
    streams::answer(to, &answer)?;
    let same = alone.is_empty() && compared.iter().all(|one| one.collation.differences.is_empty());
    Ok(if same { Outcome::Done } else { Outcome::Findings })
}

/// The examples that are compared, and those, by name, that one file has alone.
struct Paired<'f> {
    pairs: Vec<[Example<'f>; 2]>,
    alone: Vec<(&'f File, &'f str)>,
}

/// Examples of the same name; one of each file whatever its name.
fn paired<'f>(left: &'f File, right: &'f File) -> Result<Paired<'f>, Failure> {
    let here: Vec<Example<'_>> = left.loaded.examples().collect();
    let there: Vec<Example<'_>> = right.loaded.examples().collect();
    if let ([one], [other]) = (here.as_slice(), there.as_slice()) {
        return Ok(Paired { pairs: vec![[*one, *other]], alone: Vec::new() });
    }
    let named = |examples: &[Example<'f>]| -> HashMap<&'f str, Example<'f>> {
        examples.iter().filter_map(|example| Some((example.name()?, *example))).collect()
    };
    let (by_name, known) = (named(&there), named(&here));
    let (mut pairs, mut alone) = (Vec::new(), Vec::new());
    for (name, example) in here.iter().filter_map(|one| Some((one.name()?, *one))) {
        match by_name.get(name) {
            Some(other) => pairs.push([example, *other]),
            None => alone.push((left, name)),
        }
    }
    let others = there.iter().filter_map(|other| other.name());
    alone.extend(others.filter(|name| !known.contains_key(name)).map(|name| (right, name)));
    if pairs.is_empty() {
        return Err(Failure::Said(format!(
            "{} and {} have no example of the same name: name those that are to be compared, as in {} \
             {}",
            left.loaded.name,
            right.loaded.name,
            left.loaded.label(here[0]),
            right.loaded.label(there[0])
        )));
    }
    Ok(Paired { pairs, alone })
}

/// Writes the left file with what differs as variants.
fn write(
    path: &Path,
    options: &Collate,
    left: &Document,
    compared: &[Collated<'_>],
) -> Result<(), Failure> {
    let merged = left.merge(compared);
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
    /// The examples of either.
    pair: [Example<'t>; 2],
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
        let voices = self.pair.into_iter().flat_map(|example| &example.piece().voices);
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
            example: self.pair[0].name(),
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
    Some(format!("{}:{line}:{column}", source.name))
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
struct Alone<'a> {
    version: u32,
    example: &'a str,
    only_in: &'a str,
}

#[derive(Serialize)]
struct Answer<'a> {
    version: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    example: Option<&'a str>,
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
