//! Lines of cells set in columns.

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr as _;

/// Lines of cells, the columns as wide as they need be.
pub(crate) fn set(lines: &[Vec<String>]) -> String {
    let columns = lines.iter().map(Vec::len).max().unwrap_or(0);
    let width = |column: usize| {
        lines.iter().filter_map(|line| line.get(column)).map(|cell| cell.width()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut text = String::new();
    for line in lines {
        let mut set = String::new();
        for (cell, width) in line.iter().zip(&widths) {
            let _ = write!(set, "{cell}{}  ", " ".repeat(width - cell.width()));
        }
        text.push_str(set.trim_end());
        text.push('\n');
    }
    text
}
