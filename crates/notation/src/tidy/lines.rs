//! Lines of text being filled with words.

use unicode_width::UnicodeWidthStr;

/// Lines of music are broken before they exceed so many columns, and go on indented further.
const WIDTH: usize = 96;

/// A text that grows word by word.
#[derive(Default)]
pub(super) struct Lines {
    text: String,
    /// Columns filled in the current line; none if it has not begun.
    columns: usize,
    /// Whether the current line goes on with what the last one broke off.
    goes_on: bool,
}

impl Lines {
    /// A whole line.
    pub(super) fn line(&mut self, line: &str) {
        self.end_line();
        self.text.push_str(line.trim_end());
        self.columns = line.width();
    }

    /// A blank line, unless there is one.
    pub(super) fn blank(&mut self) {
        self.end_line();
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
        self.goes_on = false;
    }

    /// The next word of music.
    pub(super) fn word(&mut self, word: &str) {
        let width = word.width();
        // The direct and the end of a source line do not stand on a line alone.
        let hangs = word.starts_with(['~', '/']);
        if self.columns > 0 && self.columns + 1 + width > WIDTH && !hangs {
            self.end_line();
            self.goes_on = true;
        }
        if self.columns == 0 {
            let indent = if self.goes_on { "    " } else { "  " };
            self.text.push_str(indent);
            self.columns = indent.len();
        } else {
            self.text.push(' ');
            self.columns += 1;
        }
        self.text.push_str(word);
        self.columns += width;
        self.goes_on = true;
    }

    /// The end of a source line: what follows begins a line of its own.
    pub(super) fn end_source_line(&mut self) {
        self.end_line();
        self.goes_on = false;
    }

    /// A comment, alone on its line or at the end of one.
    pub(super) fn comment(&mut self, comment: &str, alone: bool) {
        if alone {
            self.end_line();
            if self.goes_on {
                self.text.push_str("    ");
            }
        } else if self.columns == 0 && self.text.ends_with('\n') && !self.text.ends_with("\n\n") {
            // What it belongs to ended a source line: it stays on that line.
            self.text.pop();
            self.text.push_str("  ");
        } else if self.columns > 0 {
            self.text.push_str("  ");
        }
        self.text.push_str(comment.trim_end());
        self.text.push('\n');
        self.columns = 0;
    }

    pub(super) fn end_line(&mut self) {
        if self.columns > 0 {
            self.text.push('\n');
            self.columns = 0;
        }
    }

    pub(super) fn finish(mut self) -> String {
        self.end_line();
        self.text
    }
}
