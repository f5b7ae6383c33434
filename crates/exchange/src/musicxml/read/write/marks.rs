//! Marks as lines of the head: the notes that they are at are known by number once these are written.

use std::fmt::Write as _;

use notation::{MOST_MARKED, MOST_MARKS, MarkShape};
use rudiments::Time;

use crate::musicxml::read::voices::Voice;
use crate::reading::Remarks;

/// The lines of the marks of all voices.
#[derive(Default)]
pub(super) struct Marks {
    lines: String,
    count: usize,
    /// At how many notes and rests they are.
    marked: usize,
}

impl Marks {
    /// Adds those of a voice whose notes and rests begin at these times.
    pub(super) fn add(&mut self, voice: &Voice, onsets: &[Time], remarks: &mut Remarks) {
        for (from, to, marking) in voice.marks.iter().filter(|_| !onsets.is_empty()) {
            let first = onsets.partition_point(|onset| onset <= from).max(1);
            let last = onsets.partition_point(|onset| onset < to).max(first);
            let marked = self.marked + last - first + 1;
            if last > LARGEST || marked > MOST_MARKED || self.count == MOST_MARKS {
                remarks.add(0, "more marks than a parts file may have are not kept");
                return;
            }
            (self.count, self.marked) = (self.count + 1, marked);
            let _ = write!(self.lines, "mark {} {first}-{last}", voice.name);
            if marking.shape != MarkShape::default() {
                let _ = write!(self.lines, " {}", marking.shape);
            }
            if let Some(color) = marking.color {
                let _ = write!(self.lines, " {color}");
            }
            if !marking.words.is_empty() {
                let _ = write!(self.lines, " \"{}\"", marking.words);
            }
            self.lines.push('\n');
        }
    }

    pub(super) fn lines(&self) -> &str {
        &self.lines
    }
}

/// The largest number that a mark may name.
const LARGEST: usize = 9999;
