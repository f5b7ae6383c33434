//! Where in the text a thing was typed.

/// A stretch of the text, in bytes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Span {
    /// The first byte.
    pub start: u32,
    /// The byte after the last.
    pub end: u32,
}

impl Span {
    /// From one byte up to another; texts are at most [`crate::LARGEST_TEXT`] long.
    pub fn new(start: usize, end: usize) -> Span {
        Span { start: start as u32, end: end as u32 }
    }

    /// The bytes as an index into the text.
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }

    /// What stands there.
    pub fn of(self, text: &str) -> &str {
        &text[self.range()]
    }

    /// From the beginning of this to the end of another.
    #[must_use]
    pub fn to(self, other: Span) -> Span {
        Span { start: self.start, end: other.end }
    }

    /// Whether the byte lies in it.
    pub fn contains(self, byte: u32) -> bool {
        (self.start..self.end).contains(&byte)
    }
}

/// The beginnings of the lines of a text, so that a byte's line and column are found quickly.
#[derive(Clone, Debug)]
pub struct LineIndex {
    starts: Vec<u32>,
    /// The bytes that begin no character; few, but in a line of any length.
    inside: Vec<u32>,
}

impl LineIndex {
    /// The index of a text; one pass.
    pub fn new(text: &str) -> LineIndex {
        let mut index = LineIndex { starts: vec![0], inside: Vec::new() };
        for (place, byte) in text.bytes().enumerate() {
            if byte == b'\n' {
                index.starts.push(place as u32 + 1);
            } else if byte & 0xC0 == 0x80 {
                index.inside.push(place as u32);
            }
        }
        index
    }

    /// The line of a byte, from 1.
    pub fn line(&self, byte: u32) -> u32 {
        self.starts.partition_point(|start| *start <= byte) as u32
    }

    /// The line and the column of a byte, both from 1; columns count characters.
    pub fn line_and_column(&self, text: &str, byte: u32) -> (u32, u32) {
        let line = self.line(byte);
        let start = self.starts[line as usize - 1];
        let byte = byte.min(text.len() as u32);
        let before = |place: u32| self.inside.partition_point(|inside| *inside < place) as u32;
        let column = byte - start - (before(byte) - before(start)) + 1;
        (line, column)
    }

    /// The bytes of a line, without its line break.
    pub fn span_of_line(&self, text: &str, line: u32) -> Span {
        let start = self.starts[line as usize - 1] as usize;
        let end = self.starts.get(line as usize).map_or(text.len(), |next| *next as usize - 1);
        let end = if text[start..end].ends_with('\r') { end - 1 } else { end };
        Span::new(start, end)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters() {
        let text = "é♭x\ny";
        let index = LineIndex::new(text);
        assert_eq!(index.line_and_column(text, 0), (1, 1));
        assert_eq!(index.line_and_column(text, 5), (1, 3));
        assert_eq!(index.line_and_column(text, 7), (2, 1));
        assert_eq!(index.span_of_line(text, 1).of(text), "é♭x");
    }
}
