//! Notes and rests, and what stands over them.

use notation::Standing;
use rudiments::{Pitch, Step, Time};
use score::{
    Beam, Manner, NoteValue, Reduction, Segment, SegmentNote, Shape, Stem, TimedEvent, TimedVoice,
    Tuplet,
};

use super::brackets::{Brackets, Marks, Open};
use super::tags::Tags;
use crate::musicxml::note_signs::Said;

/// Writes the notes of a voice.
pub(super) struct Notes<'a> {
    pub(super) tags: &'a mut Tags,
    pub(super) timed: &'a TimedVoice,
    pub(super) voice: usize,
    pub(super) first_staff: usize,
    pub(super) several_staves: bool,
    /// The first voice of its part.
    pub(super) first_voice: usize,
    pub(super) brackets: &'a mut Brackets,
    pub(super) reduction: Reduction,
    pub(super) divisions: i64,
}

/// To what a segment is tied on either side.
#[derive(Clone, Copy)]
struct Ties {
    before: Option<Tied>,
    after: Option<Tied>,
}

/// Whether what it is tied to is in the score, or was cut off with the rest of the piece.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Tied {
    Inside,
    Outside,
}

impl Notes<'_> {
    /// Writes a segment; says how long it is.
    pub(super) fn segment(&mut self, segment: &Segment) -> i64 {
        let voice = self.voice - self.first_voice;
        for sign in segment.signs.iter() {
            match Said::of(sign) {
                Said::Direction(element) => {
                    self.direction(segment.staff, |tags| tags.empty(element));
                }
                Said::Notation(_) | Said::Level(_) => {}
            }
        }
        for marks in [Marks::Coloration, Marks::Ligature] {
            let open = self.brackets.open(voice, marks, segment);
            self.bracket("start", marks, open);
        }
        let length = self.reduction.quarters(segment.length) * self.divisions;
        let duration = length.numerator();
        if segment.is_rest() {
            self.note(segment, None, duration);
        }
        for rank in 0..segment.notes.len() {
            self.note(segment, Some(rank), duration);
        }
        for marks in [Marks::Ligature, Marks::Coloration] {
            let open = self.brackets.close(voice, marks, segment);
            self.bracket("stop", marks, open);
        }
        duration
    }

    /// Words above a staff.
    pub(super) fn words(&mut self, text: &str, staff: usize) {
        self.direction(staff, |tags| tags.free("words", text));
    }

    fn bracket(&mut self, edge: &str, marks: Marks, open: Option<Open>) {
        let Some(Open { number, staff }) = open else { return };
        let line = if marks == Marks::Ligature { "solid" } else { "dashed" };
        let tag = format!(
            "bracket type=\"{edge}\" number=\"{number}\" line-end=\"down\" line-type=\"{line}\""
        );
        self.direction(staff, |tags| tags.empty(&tag));
    }

    pub(super) fn direction(&mut self, staff: usize, content: impl FnOnce(&mut Tags)) {
        self.directions(staff, |tags| {
            tags.open("direction-type");
            content(tags);
            tags.close("direction-type");
        });
    }

    /// What belongs together, above a staff.
    pub(super) fn directions(&mut self, staff: usize, types: impl FnOnce(&mut Tags)) {
        self.tags.open("direction placement=\"above\"");
        types(self.tags);
        self.voice_number();
        self.staff_number(staff);
        self.tags.close("direction");
    }

    /// One thing below a staff, so long after what follows begins.
    pub(super) fn below(&mut self, staff: usize, offset: Time, content: impl FnOnce(&mut Tags)) {
        self.tags.open("direction placement=\"below\"");
        self.tags.open("direction-type");
        content(self.tags);
        self.tags.close("direction-type");
        let offset = self.duration(offset);
        if offset != 0 {
            self.tags.number("offset", offset);
        }
        self.voice_number();
        self.staff_number(staff);
        self.tags.close("direction");
    }

    /// A length in divisions; what no note of the score measures, a little short of it.
    fn duration(&self, length: Time) -> i64 {
        let length = self.reduction.quarters(length) * self.divisions;
        length.numerator() / length.denominator()
    }

    fn voice_number(&mut self) {
        self.tags.number("voice", self.timed.place as i64 + 1);
    }

    fn staff_number(&mut self, staff: usize) {
        if self.several_staves {
            self.tags.number("staff", (staff - self.first_staff) as i64 + 1);
        }
    }

    /// A note of a segment, by its rank in the chord, or a rest. The order of the elements is
    /// that of the schema.
    fn note(&mut self, segment: &Segment, rank: Option<usize>, duration: i64) {
        let note = rank.map(|rank| &segment.notes[rank]);
        let first = rank.is_none_or(|rank| rank == 0);
        self.tags.open(if segment.left_out { "note print-object=\"no\"" } else { "note" });
        if !first {
            self.tags.empty("chord");
        }
        match note {
            Some(note) => self.pitch(note.pitch),
            None if matches!(segment.shape, Shape::WholeBar { .. }) => {
                self.tags.empty("rest measure=\"yes\"");
            }
            None => self.tags.empty("rest"),
        }
        self.tags.number("duration", duration);
        let ties = self.ties(segment);
        if ties.before == Some(Tied::Inside) {
            self.tags.empty("tie type=\"stop\"");
        }
        if ties.after == Some(Tied::Inside) {
            self.tags.empty("tie type=\"start\"");
        }
        self.level(&self.timed.events[segment.event]);
        self.voice_number();
        if let Shape::Plain { value, dotted } = segment.shape {
            self.tags.leaf("type", note_type(value));
            if dotted {
                self.tags.empty("dot");
            }
        }
        if let Some(SegmentNote { accidental: Some(shown), .. }) = note {
            let tag = match shown.manner {
                Manner::Needed => Some("accidental"),
                Manner::Cautionary => Some("accidental cautionary=\"yes\""),
                Manner::Editorial => None,
            };
            if let Some(tag) = tag {
                self.tags.leaf(tag, accidental(shown.alteration));
            }
        }
        if let Some(Tuplet { many, in_time_of, .. }) = segment.tuplet {
            self.tags.open("time-modification");
            self.tags.number("actual-notes", many as i64);
            self.tags.number("normal-notes", in_time_of as i64);
            self.tags.close("time-modification");
        }
        if note.is_some() && matches!(segment.shape, Shape::Plain { value, .. } if value.has_stem())
        {
            let stem = if segment.stem == Stem::Up { "up" } else { "down" };
            self.tags.leaf("stem", stem);
        }
        self.staff_number(segment.staff);
        if first {
            self.beams(segment);
        }
        self.notations(segment, note, first);
        self.tags.close("note");
    }

    /// To what a segment is tied.
    fn ties(&self, segment: &Segment) -> Ties {
        let event = &self.timed.events[segment.event];
        // A note is tied where it begins or ends only if it is cut there.
        let tied = |is_tied: bool, is_cut: bool| match (is_tied, is_cut) {
            (false, _) => None,
            (true, false) => Some(Tied::Inside),
            (true, true) => Some(Tied::Outside),
        };
        Ties {
            before: tied(segment.tied_before, segment.onset == event.onset),
            after: tied(segment.tied_after, segment.end() == event.end()),
        }
    }

    fn pitch(&mut self, pitch: Pitch) {
        self.tags.open("pitch");
        self.tags.leaf("step", letter(pitch.tone.step));
        if pitch.alteration != 0 {
            self.tags.number("alter", pitch.alteration as i64);
        }
        self.tags.number("octave", pitch.tone.octave as i64);
        self.tags.close("pitch");
    }

    /// How a note stands to the source, where it is not simply printed there.
    fn level(&mut self, event: &TimedEvent) {
        match event.standing {
            Standing::Supplied => self.tags.leaf("level bracket=\"yes\"", "supplied"),
            Standing::Emended => self.tags.leaf("level", "emended"),
            Standing::Printed | Standing::Replaced | Standing::Alternative => {
                let level = |sign| match Said::of(sign) {
                    Said::Level(text) => Some(text),
                    Said::Direction(_) | Said::Notation(_) => None,
                };
                if let Some(text) = event.signs.iter().find_map(level) {
                    self.tags.leaf("level parentheses=\"yes\"", text);
                }
            }
        }
    }

    fn beams(&mut self, segment: &Segment) {
        for (beam, tag) in segment.beams.iter().zip(BEAMS) {
            let text = match beam {
                Beam::Begins => "begin",
                Beam::GoesOn => "continue",
                Beam::Ends => "end",
                Beam::HookForward => "forward hook",
                Beam::HookBack => "backward hook",
            };
            self.tags.leaf(tag, text);
        }
    }

    fn notations(&mut self, segment: &Segment, note: Option<&SegmentNote>, first: bool) {
        let shown = segment.tuplet.is_some_and(|tuplet| tuplet.shown);
        let edges = segment.tuplet.map(|tuplet| tuplet.edges);
        let tuplet_begins = first && edges.is_some_and(|edges| edges.begins);
        let tuplet_ends = first && edges.is_some_and(|edges| edges.ends);
        let notation = |sign| match Said::of(sign) {
            Said::Notation(element) if first => Some(element),
            Said::Notation(_) | Said::Direction(_) | Said::Level(_) => None,
        };
        let mut signs = segment.signs.iter().filter_map(notation).peekable();
        let ties = self.ties(segment);
        let (before, after) = (note.and(ties.before), note.and(ties.after));
        // What was tied before an excerpt begins has no element: a tie may lack its end, not its beginning.
        let tied = before == Some(Tied::Inside) || after.is_some();
        if tied || tuplet_begins || tuplet_ends || signs.peek().is_some() {
            self.tags.open("notations");
            if before == Some(Tied::Inside) {
                self.tags.empty("tied type=\"stop\"");
            }
            match after {
                Some(Tied::Inside) => self.tags.empty("tied type=\"start\""),
                Some(Tied::Outside) => self.tags.empty("tied type=\"let-ring\""),
                None => {}
            }
            if tuplet_begins {
                self.tags.empty(if shown {
                    "tuplet type=\"start\" number=\"1\" bracket=\"yes\""
                } else {
                    "tuplet type=\"start\" number=\"1\" bracket=\"no\" show-number=\"none\""
                });
            }
            if tuplet_ends {
                self.tags.empty("tuplet type=\"stop\" number=\"1\"");
            }
            for element in signs {
                self.tags.empty(element);
            }
            self.tags.close("notations");
        }
        if let Some(shown) = note.and_then(|note| note.accidental)
            && shown.manner == Manner::Editorial
        {
            // Notations of their own, so that the level speaks of the accidental alone.
            self.tags.open("notations");
            self.tags.leaf("level", "editorial");
            let tag = "accidental-mark placement=\"above\" size=\"cue\"";
            self.tags.leaf(tag, accidental(shown.alteration));
            self.tags.close("notations");
        }
    }
}

const BEAMS: [&str; NoteValue::MOST_FLAGS] = [
    "beam number=\"1\"",
    "beam number=\"2\"",
    "beam number=\"3\"",
    "beam number=\"4\"",
    "beam number=\"5\"",
    "beam number=\"6\"",
    "beam number=\"7\"",
    "beam number=\"8\"",
];

/// The letter of a step.
pub(super) fn letter(step: Step) -> &'static str {
    match step {
        Step::C => "C",
        Step::D => "D",
        Step::E => "E",
        Step::F => "F",
        Step::G => "G",
        Step::A => "A",
        Step::B => "B",
    }
}

/// The format's name of the sign of an alteration.
fn accidental(alteration: i8) -> &'static str {
    match alteration {
        ..=-3 => "triple-flat",
        -2 => "flat-flat",
        -1 => "flat",
        0 => "natural",
        1 => "sharp",
        2 => "double-sharp",
        3.. => "triple-sharp",
    }
}

/// The format's name of a value.
fn note_type(value: NoteValue) -> &'static str {
    match value.power() {
        3.. => "maxima",
        2 => "long",
        1 => "breve",
        0 => "whole",
        -1 => "half",
        -2 => "quarter",
        -3 => "eighth",
        -4 => "16th",
        -5 => "32nd",
        -6 => "64th",
        -7 => "128th",
        -8 => "256th",
        -9 => "512th",
        ..=-10 => "1024th",
    }
}
