//! Writing elements one after the other into one buffer.

use std::fmt::Write as _;

use quick_xml::Writer;
use quick_xml::events::{BytesEnd, BytesStart, BytesText, Event};
use score::legible;

/// An XML document in the making. A tag is its name, with its attributes where it has some, just
/// as they are to stand in the file.
pub(super) struct Tags {
    writer: Writer<Vec<u8>>,
    /// The digits of a number.
    digits: String,
}

impl Tags {
    pub(super) fn with_capacity(bytes: usize) -> Tags {
        let writer = Writer::new_with_indent(Vec::with_capacity(bytes), b' ', 1);
        Tags { writer, digits: String::new() }
    }

    /// What stands before the first element.
    pub(super) fn raw(&mut self, text: &str) {
        self.writer.get_mut().extend_from_slice(text.as_bytes());
    }

    pub(super) fn open(&mut self, tag: &str) {
        self.put(Event::Start(start(tag)));
    }

    pub(super) fn close(&mut self, name: &str) {
        self.put(Event::End(BytesEnd::new(name)));
    }

    pub(super) fn empty(&mut self, tag: &str) {
        self.put(Event::Empty(start(tag)));
    }

    /// An element with a text that needs no escape.
    pub(super) fn leaf(&mut self, tag: &str, text: &str) {
        self.put(Event::Start(start(tag)));
        self.put(Event::Text(BytesText::from_escaped(text)));
        self.put(Event::End(BytesEnd::new(name(tag))));
    }

    /// An element with whatever a person typed.
    pub(super) fn free(&mut self, tag: &str, text: &str) {
        self.put(Event::Start(start(tag)));
        self.put(Event::Text(BytesText::new(&legible(text))));
        self.put(Event::End(BytesEnd::new(name(tag))));
    }

    pub(super) fn number(&mut self, tag: &str, number: i64) {
        let mut digits = std::mem::take(&mut self.digits);
        digits.clear();
        // Writing to a string never fails, nor does writing to a buffer.
        let _ = write!(digits, "{number}");
        self.leaf(tag, &digits);
        self.digits = digits;
    }

    fn put(&mut self, event: Event<'_>) {
        let _ = self.writer.write_event(event);
    }

    pub(super) fn finish(self) -> String {
        let mut bytes = self.writer.into_inner();
        bytes.push(b'\n');
        String::from_utf8(bytes).unwrap_or_default()
    }
}

fn start(tag: &str) -> BytesStart<'_> {
    BytesStart::from_content(tag, name(tag).len())
}

fn name(tag: &str) -> &str {
    tag.split_once(' ').map_or(tag, |(name, _)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn elements_are_indented_and_escaped() {
        let mut tags = Tags::with_capacity(64);
        tags.open("a b=\"c\"");
        tags.number("n", -3);
        tags.empty("e f=\"g\"");
        tags.free("t", "x < \u{1} & y");
        tags.close("a");
        assert_eq!(
            tags.finish(),
            "<a b=\"c\">\n <n>-3</n>\n <e f=\"g\"/>\n <t>x &lt; \u{fffd} &amp; y</t>\n</a>\n"
        );
    }
}
