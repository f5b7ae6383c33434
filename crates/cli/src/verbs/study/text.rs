//! A study as text.

use cartella::{Aligned, Sheet, SheetBody, Study};
use unicode_width::UnicodeWidthStr as _;

/// Between two columns of a table.
const GAP: &str = "  ";

/// A page, its headings in the margin.
pub(crate) fn page(page: &Sheet) -> String {
    let mut text = String::new();
    if !page.title.is_empty() {
        text.push_str(&format!("{}\n", page.title));
    }
    text.push_str(&format!("{}\n", page.facts.join(" \u{b7} ")));
    let margin = page.parts.iter().map(|part| part.heading.width()).max().unwrap_or(0);
    for part in &page.parts {
        let lines = match &part.body {
            SheetBody::Text(lines) => lines.clone(),
            SheetBody::Table(table) => {
                let rows: Vec<&Vec<String>> =
                    std::iter::once(&table.columns).chain(&table.rows).collect();
                columns(&rows)
            }
            SheetBody::Plan(_) | SheetBody::Reduction(_) | SheetBody::Cards(_) => continue,
        };
        text.push('\n');
        for (place, line) in lines.iter().enumerate() {
            let heading = if place == 0 { part.heading.as_str() } else { "" };
            let blank = " ".repeat(margin - heading.width());
            let row = format!("{heading}{blank}{GAP}{line}");
            text.push_str(row.trim_end());
            text.push('\n');
        }
    }
    text
}

/// Rows whose cells stand under one another; a column with nothing in it is left out.
fn columns(rows: &[&Vec<String>]) -> Vec<String> {
    let count = rows.iter().map(|row| row.len()).max().unwrap_or(0);
    let cell = |row: &Vec<String>, column: usize| row.get(column).cloned().unwrap_or_default();
    let width = |column| rows.iter().map(|row| cell(row, column).width()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..count).map(width).collect();
    let line = |row: &&Vec<String>| {
        let mut line = String::new();
        for (column, width) in widths.iter().enumerate().filter(|(_, width)| **width > 0) {
            let cell = cell(row, column);
            let blank = " ".repeat(width - cell.width());
            line.push_str(&format!("{cell}{blank}{GAP}"));
        }
        line.trim_end().to_owned()
    };
    rows.iter().map(line).filter(|line| !line.is_empty()).collect()
}

/// The signs that singers would have added, the certain ones first.
pub(super) fn accidentals(aligned: &Aligned<'_>, study: &Study, name: &str) -> String {
    if study.accidentals.is_empty() {
        return format!("{name}: no sign is proposed\n");
    }
    let mut text = String::new();
    for (heading, certain) in [("certain", true), ("possible", false)] {
        let signs = study.accidentals.iter().filter(|sign| sign.is_certain() == certain);
        let lines: Vec<String> = signs.map(|sign| sign.sentence(&aligned.score)).collect();
        if !lines.is_empty() {
            text.push_str(&format!("{heading}:\n"));
        }
        for line in lines {
            text.push_str(&format!("{GAP}{line}\n"));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_stand_under_one_another() {
        let row = |cells: &[&str]| cells.iter().map(|cell| (*cell).to_owned()).collect();
        let (one, two): (Vec<String>, Vec<String>) =
            (row(&["bar", "", "goal"]), row(&["6\u{2013}7", "", "D"]));
        assert_eq!(columns(&[&one, &two]), ["bar  goal", "6\u{2013}7  D"]);
    }
}
