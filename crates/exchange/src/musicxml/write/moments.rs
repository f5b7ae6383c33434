//! What an analysis says of moments: figures as words under the upper staff, and shaded stretches of
//! time, which the format cannot shade, as dashes under the lowest staff.

use rudiments::Time;
use score::{Annotations, Segment};

use super::note::Notes;

/// What is yet to be written, the first last.
#[derive(Default)]
pub(super) struct Moments {
    later: Vec<(Time, Said)>,
}

/// What is said of a moment.
enum Said {
    Figure(String),
    /// Where dashes of this number begin or end.
    Dashes(&'static str, usize),
}

impl Moments {
    /// All of a score.
    pub(super) fn of(annotations: &Annotations) -> Moments {
        let figure = |figure: &score::Figure| {
            let line = if figure.leads_on { "\u{2013}" } else { "" };
            (figure.at, Said::Figure(format!("{}{line}", figure.text)))
        };
        let shades = annotations.shades.iter().enumerate().flat_map(|(place, shade)| {
            // Two that meet, or lie over one another, are told apart.
            let number = place % 2 + 1;
            [(shade.from, Said::Dashes("start", number)), (shade.to, Said::Dashes("stop", number))]
        });
        let mut later: Vec<(Time, Said)> =
            annotations.figures.iter().map(figure).chain(shades).collect();
        later.sort_by_key(|(at, _)| *at);
        later.reverse();
        Moments { later }
    }

    /// Writes what belongs before a segment, and what falls into it.
    pub(super) fn begin(&mut self, segment: &Segment, last_staff: usize, notes: &mut Notes<'_>) {
        while let Some((at, said)) = self.later.pop_if(|(at, _)| *at < segment.end()) {
            notes.said(&said, at - segment.onset, last_staff);
        }
    }

    /// Writes what stands at the end of the score.
    pub(super) fn end(&mut self, last_staff: usize, notes: &mut Notes<'_>) {
        while let Some((_, said)) = self.later.pop() {
            notes.said(&said, Time::ZERO, last_staff);
        }
    }
}

impl Notes<'_> {
    /// Writes what is said so long after the next note begins.
    fn said(&mut self, said: &Said, offset: Time, last_staff: usize) {
        match said {
            Said::Figure(text) => {
                let staff = self.first_staff;
                self.below(staff, offset, |tags| tags.free("words", text));
            }
            Said::Dashes(edge, number) => {
                let tag = format!("dashes type=\"{edge}\" number=\"{number}\"");
                self.below(last_staff, offset, |tags| tags.empty(&tag));
            }
        }
    }
}
