//! Marks of the head: the notes that they are at are known by number once these are there.

use notation::{EditorsMark, MOST_MARKED, MOST_MARKS, Span};
use rudiments::Time;

use crate::musicxml::read::voices::Voice;
use crate::reading::Remarks;

/// The marks of all voices.
#[derive(Default)]
pub(super) struct Marks {
    marks: Vec<EditorsMark>,
    /// At how many notes and rests they are.
    marked: usize,
}

impl Marks {
    /// Adds those of a voice whose notes and rests begin at these times.
    pub(super) fn add(
        &mut self,
        place: usize,
        voice: &Voice,
        onsets: &[Time],
        remarks: &mut Remarks,
    ) {
        for (from, to, marking) in voice.marks.iter().filter(|_| !onsets.is_empty()) {
            let first = onsets.partition_point(|onset| onset <= from).max(1);
            let last = onsets.partition_point(|onset| onset < to).max(first);
            let marked = self.marked + last - first + 1;
            if last > LARGEST || marked > MOST_MARKED || self.marks.len() == MOST_MARKS {
                remarks.add(0, "more marks than a parts file may have are not kept");
                return;
            }
            self.marked = marked;
            self.marks.push(EditorsMark {
                voice: place,
                first: first as u32,
                last: last as u32,
                shape: marking.shape,
                color: marking.color,
                words: marking.words.clone(),
                span: Span::default(),
            });
        }
    }

    pub(super) fn list(self) -> Vec<EditorsMark> {
        self.marks
    }
}

/// The largest number that a mark may name.
const LARGEST: usize = 9999;
