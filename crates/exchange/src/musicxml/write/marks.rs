//! The marks of the score: words over their first note, in one direction with a bracket that begins
//! there and ends after their last. By that a reader can tell them from other words.

use notation::{MarkColor, MarkShape};
use rudiments::Time;
use score::{Mark, Score, Segment};

use super::brackets::Open;
use super::note::Notes;

/// The marks of a voice that are yet to begin, and those that have.
pub(super) struct VoiceMarks<'s> {
    /// By when they begin, the first last.
    later: Vec<(Time, Time, &'s Mark)>,
    /// Until when, which bracket, and that of what mark.
    open: Vec<(Time, Open, &'s Mark)>,
}

impl<'s> VoiceMarks<'s> {
    /// Those of each voice of a score.
    pub(super) fn of(score: &'s Score) -> Vec<VoiceMarks<'s>> {
        let none = || VoiceMarks { later: Vec::new(), open: Vec::new() };
        let mut voices: Vec<VoiceMarks<'s>> = score.voices.iter().map(|_| none()).collect();
        for mark in score.marks.iter().rev() {
            if let Some((from, to)) = mark.run.time(score) {
                voices[mark.run.voice].later.push((from, to, mark));
            }
        }
        for voice in &mut voices {
            voice.later.sort_by_key(|(from, ..)| std::cmp::Reverse(*from));
        }
        voices
    }

    /// Writes what begins with a segment.
    pub(super) fn begin(&mut self, segment: &Segment, notes: &mut Notes<'_>) {
        while let Some((_, to, mark)) = self.later.pop_if(|(from, ..)| *from < segment.end()) {
            let open = if has_bracket(mark) {
                notes.brackets.open_free(segment.onset, segment.staff)
            } else {
                None
            };
            notes.mark(mark, segment.staff, open);
            if let Some(open) = open {
                self.open.push((to, open, mark));
            }
        }
    }

    /// Writes what ends with a segment.
    pub(super) fn end(&mut self, segment: &Segment, notes: &mut Notes<'_>) {
        let end = segment.end();
        for (_, open, mark) in self.open.extract_if(.., |(to, ..)| *to <= end) {
            notes.end_of_mark(mark, open);
            notes.brackets.give_back(open, end);
        }
    }
}

/// What an analysis says in words alone has none.
fn has_bracket(mark: &Mark) -> bool {
    !matches!(mark.shape, MarkShape::Label | MarkShape::Doubt)
}

impl Notes<'_> {
    fn mark(&mut self, mark: &Mark, staff: usize, open: Option<Open>) {
        let enclosure = if mark.shape == MarkShape::Circle { " enclosure=\"circle\"" } else { "" };
        let words = format!("words{enclosure}{}", color(mark));
        let bracket = open.map(|open| bracket_tag("start", open, mark));
        self.directions(staff, |tags| {
            tags.open("direction-type");
            tags.free(&words, &mark.text());
            tags.close("direction-type");
            if let Some(bracket) = &bracket {
                tags.open("direction-type");
                tags.empty(bracket);
                tags.close("direction-type");
            }
        });
    }

    fn end_of_mark(&mut self, mark: &Mark, open: Open) {
        let tag = bracket_tag("stop", open, mark);
        self.direction(open.staff, |tags| tags.empty(&tag));
    }
}

fn bracket_tag(edge: &str, open: Open, mark: &Mark) -> String {
    let end = match mark.shape {
        MarkShape::Arrow => "arrow",
        MarkShape::Bracket => "down",
        MarkShape::Circle | MarkShape::Label | MarkShape::Doubt => "none",
    };
    let line = match mark.color {
        None | Some(MarkColor::Red) => "solid",
        Some(MarkColor::Blue | MarkColor::Orange | MarkColor::Purple) => "dashed",
        Some(MarkColor::Green | MarkColor::Sky) => "dotted",
    };
    let (number, color) = (open.number, color(mark));
    format!(
        "bracket type=\"{edge}\" number=\"{number}\" line-end=\"{end}\" line-type=\"{line}\"{color}"
    )
}

fn color(mark: &Mark) -> String {
    mark.color.map_or_else(String::new, |color| {
        let [red, green, blue] = color.rgb();
        format!(" color=\"#{red:02X}{green:02X}{blue:02X}\"")
    })
}
