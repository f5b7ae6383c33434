//! Rows as tables: a row an example, an entry or a cadence.

use cartella::invention::Steps;

use serde::{Serialize, Serializer};

use crate::minims::Minims;
use crate::row::{Cadence, Entry, Row};

/// Of what a table has a row each.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Topic {
    /// Examples.
    Examples,
    /// Entries of subjects, and voices that follow in a canon.
    Entries,
    /// Cadences.
    Cadences,
}

/// What a table tells of examples.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Table(pub Topic);

/// Where an example stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Place<'p> {
    /// Its file.
    pub file: &'p str,
}

/// What stands in a cell.
#[derive(Clone, PartialEq, Debug)]
pub enum Cell {
    /// Nothing.
    Nothing,
    /// Text.
    Text(String),
    /// A number.
    Number(i64),
    /// Yes or no.
    Flag(bool),
    /// Any number of texts.
    List(Vec<String>),
}

impl Cell {
    /// As text, lists parted by semicolons.
    pub fn text(&self) -> String {
        match self {
            Cell::Nothing => String::new(),
            Cell::Text(text) => text.clone(),
            Cell::Number(number) => number.to_string(),
            Cell::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
            Cell::List(list) => list.join("; "),
        }
    }
}

/// Nothing as nothing, and everything else as what it is.
impl Serialize for Cell {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Cell::Nothing => serializer.serialize_none(),
            Cell::Text(text) => serializer.serialize_str(text),
            Cell::Number(number) => serializer.serialize_i64(*number),
            Cell::Flag(flag) => serializer.serialize_bool(*flag),
            Cell::List(list) => list.serialize(serializer),
        }
    }
}

fn text(text: &str) -> Cell {
    Cell::Text(text.to_owned())
}

fn maybe(text: Option<&str>) -> Cell {
    text.map_or(Cell::Nothing, |text| Cell::Text(text.to_owned()))
}

fn number(number: impl TryInto<i64>) -> Cell {
    number.try_into().map_or(Cell::Nothing, Cell::Number)
}

fn minims(minims: Minims) -> Cell {
    Cell::Text(minims.to_string())
}

fn list<T: ToString>(list: impl IntoIterator<Item = T>) -> Cell {
    Cell::List(list.into_iter().map(|one| one.to_string()).collect())
}

/// `5 above after 1`
fn follows((steps, delay): (i32, Minims)) -> String {
    format!("{} after {delay}", Steps(steps))
}

/// A number with its sign: `+1`, `-2`, `0`.
fn signed(steps: i32) -> String {
    if steps > 0 { format!("+{steps}") } else { steps.to_string() }
}

/// What stands at the beginning of every row.
const BEGINNING: [&str; 2] = ["file", "example"];

impl Table {
    /// The names of the columns.
    pub fn columns(self) -> impl Iterator<Item = &'static str> {
        let columns: &[&str] = match self.0 {
            Topic::Examples => &[
                "title",
                "source",
                "topics",
                "voices",
                "names",
                "clefs",
                "cleffing",
                "signature",
                "sign",
                "bars",
                "minims",
                "fewest",
                "most",
                "final",
                "system",
                "modes",
                "subject",
                "steps",
                "values",
                "subjects",
                "imitations",
                "forms",
                "canons",
                "pairs",
                "cadences",
                "upon",
                "faults",
                "untreated",
                "errors",
            ],
            Topic::Entries => &[
                "subject",
                "voice",
                "first",
                "last",
                "at",
                "bar",
                "interval",
                "delay",
                "from_model",
                "delay_from_model",
                "form",
                "quality",
                "notes",
                "overlap",
                "upon",
            ],
            Topic::Cadences => &[
                "at",
                "bar",
                "goal",
                "degree",
                "kind",
                "name",
                "phrygian",
                "evaded_by",
                "suspension",
                "cantizans",
                "tenorizans",
                "bassizans",
                "enters",
                "after_semibreve",
                "before_goal",
            ],
        };
        BEGINNING.into_iter().chain(columns.iter().copied())
    }

    /// The rows of an example, with a cell for each column.
    pub fn rows(self, place: Place<'_>, row: &Row) -> Vec<Vec<Cell>> {
        let rows = match self.0 {
            Topic::Examples => vec![example(row)],
            Topic::Entries => {
                let canons = row.canons.iter().map(|canon| {
                    let mut cells = vec![
                        text("canon"),
                        text(row.name(canon.voices.1)),
                        maybe_number(canon.numbers.0),
                        maybe_number(canon.numbers.1),
                        Cell::Nothing,
                        number(canon.bars.0),
                        text(&Steps(canon.steps).to_string()),
                        minims(canon.delay),
                        Cell::Nothing,
                        Cell::Nothing,
                        text(&canon.form),
                    ];
                    cells.resize(15, Cell::Nothing);
                    cells
                });
                let entries = row.entries.iter().enumerate();
                canons.chain(entries.map(|(place, one)| entry(row, place, one))).collect()
            }
            Topic::Cadences => row.cadences.iter().map(|one| cadence(row, one)).collect(),
        };
        let beginning = [text(place.file), maybe(row.example.as_deref())];
        rows.into_iter().map(|cells| [&beginning[..], &cells].concat()).collect()
    }
}

fn maybe_number(one: Option<u32>) -> Cell {
    one.map_or(Cell::Nothing, number)
}

fn example(row: &Row) -> Vec<Cell> {
    let subject = row.subjects.iter().find(|one| one.named).or(row.subjects.first());
    let numbers = subject.map(|one| match one.numbers {
        (Some(first), Some(last)) => format!("{} {first}-{last}", row.name(one.voice)),
        _ => row.name(one.voice).to_owned(),
    });
    let mut forms: Vec<&str> = row.entries.iter().map(|entry| entry.form.as_str()).collect();
    forms.sort_unstable();
    forms.dedup();
    let pairs = row.pairs.iter().map(|pair| match (pair.answers, pair.alone) {
        (Some(answers), _) => format!("answers {}", follows(answers)),
        (None, true) => "alone".to_owned(),
        (None, false) => "with others".to_owned(),
    });
    let canons: Vec<String> =
        row.canons.iter().map(|canon| follows((canon.steps, canon.delay))).collect();
    let entered = row.entries.iter().filter_map(|entry| entry.before).map(follows);
    let upon = row.cadences.iter().flat_map(|cadence| {
        cadence.upon.iter().filter_map(|upon| {
            let entry = row.entries.get(upon.entry)?;
            Some(format!("{} upon {}", row.name(entry.voice), cadence.goal))
        })
    });
    vec![
        maybe(row.title.as_deref()),
        maybe(row.source.as_deref()),
        list(&row.topics),
        number(row.voices.len()),
        list(row.voices.iter().map(|voice| &voice.name)),
        list(row.voices.iter().map(|voice| &voice.clef)),
        maybe(row.clefs.as_deref()),
        text(&row.signature),
        maybe(row.sign.as_deref()),
        number(row.bars),
        minims(row.length),
        number(row.sounding.0),
        number(row.sounding.1),
        maybe(row.last.as_deref()),
        text(&row.system),
        list(&row.modes),
        maybe(numbers.as_deref()),
        subject.map_or(Cell::Nothing, |one| list(one.steps.iter().map(|steps| signed(*steps)))),
        subject.map_or(Cell::Nothing, |one| list(&one.values)),
        number(row.subjects.len()),
        list(canons.iter().cloned().chain(entered)),
        list(forms),
        list(canons),
        list(pairs),
        list(row.cadences.iter().map(|cadence| {
            let evaded = if cadence.evaded_by.is_some() { " evaded" } else { "" };
            format!("{} {}{evaded}", cadence.goal, cadence.kind)
        })),
        list(upon),
        number(row.faults),
        number(row.untreated),
        number(row.errors),
    ]
}

fn entry(row: &Row, place: usize, entry: &Entry) -> Vec<Cell> {
    let steps = |relation: Option<(i32, Minims)>| {
        relation.map_or(Cell::Nothing, |(steps, _)| text(&Steps(steps).to_string()))
    };
    let delay = |relation: Option<(i32, Minims)>| {
        relation.map_or(Cell::Nothing, |(_, delay)| minims(delay))
    };
    let is_upon = |cadence: &&Cadence| cadence.upon.iter().any(|upon| upon.entry == place);
    let upon = row.cadences.iter().find(is_upon);
    vec![
        text(&format!("S{}", entry.subject + 1)),
        text(row.name(entry.voice)),
        maybe_number(entry.numbers.0),
        maybe_number(entry.numbers.1),
        minims(entry.at),
        number(entry.bars.0),
        steps(entry.before),
        delay(entry.before),
        steps(entry.model),
        delay(entry.model),
        text(&entry.form),
        maybe(entry.quality.as_deref()),
        number(entry.notes),
        entry.overlap.map_or(Cell::Nothing, minims),
        maybe(upon.map(|cadence| cadence.goal.as_str())),
    ]
}

fn cadence(row: &Row, cadence: &Cadence) -> Vec<Cell> {
    let [cantizans, tenorizans, bassizans, _] = cadence.roles;
    let role = |voice: Option<usize>| maybe(voice.map(|voice| row.name(voice)));
    let entering = cadence.upon.iter().filter_map(|upon| row.entries.get(upon.entry));
    vec![
        minims(cadence.at),
        number(cadence.bar),
        text(&cadence.goal),
        cadence.degree.map_or(Cell::Nothing, number),
        text(&cadence.kind),
        text(&cadence.name),
        Cell::Flag(cadence.phrygian),
        maybe(cadence.evaded_by.as_deref()),
        maybe(cadence.suspension.as_deref()),
        role(cantizans),
        role(tenorizans),
        role(bassizans),
        list(entering.map(|entry| row.name(entry.voice))),
        list(cadence.upon.iter().filter_map(|upon| upon.after_semibreve)),
        list(cadence.upon.iter().map(|upon| upon.before_goal)),
    ]
}

#[cfg(test)]
mod tests {
    use cartella::{BarLength, Document, RuleSet};

    use super::*;

    #[test]
    fn every_row_has_a_cell_for_each_column() {
        let text = include_str!("../../../fixtures/two-duos.parts");
        let canon = include_str!("../../../fixtures/canon-at-the-fifth.parts");
        for (text, rows) in [(text, [1, 1, 1]), (canon, [1, 1, 1])] {
            let document = Document::parse(text);
            let aligned = document.score(BarLength::Breve);
            let row = Row::of(&aligned, &aligned.study(RuleSet::default()));
            let topics = [Topic::Examples, Topic::Entries, Topic::Cadences];
            for (topic, least) in topics.into_iter().zip(rows) {
                let table = Table(topic);
                let rows = table.rows(Place { file: "a.parts" }, &row);
                assert!(rows.len() >= least, "{topic:?}");
                assert!(rows.iter().all(|cells| cells.len() == table.columns().count()));
            }
        }
    }
}
