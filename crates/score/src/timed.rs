//! Timed voices, and the score that they make on the minim grid.

use std::ops::Add;

use notation::{Hand, ItemId, NoteSigns, Piece, Span, Standing};
use rudiments::{Accidental, Clef, Mensuration, Pitch, Proportion, Sign, Signature, Time, Value};

use crate::annotations::Annotations;
use crate::mark::{Mark, Run};
use crate::rule::Rule;

/// All voices on one grid, with bars.
#[derive(Clone, PartialEq, Debug)]
pub struct Score {
    /// What stands over the piece.
    pub heading: Heading,
    /// The length of a full bar where no value is perfect.
    pub bar: Time,
    /// The bars, without gaps, from the beginning to the end.
    pub bars: Vec<Bar>,
    /// The voices, top voice first. Each one's events follow without gaps from the beginning to
    /// the end of the score.
    pub voices: Vec<TimedVoice>,
    /// Where the last bar ends.
    pub length: Time,
    /// When it begins in the piece; a whole piece at nothing. All other times count from there.
    pub begins: Time,
    /// The subjects that the head names. Nothing draws them; they are there for the study of the
    /// piece.
    pub subjects: Vec<Run>,
    /// The marks to be drawn: the editor's, and whatever an analysis has added.
    pub marks: Vec<Mark>,
    /// What the editor gives to a hand; where two name the same note, the later counts.
    pub hands: Vec<(Run, Hand)>,
    /// Where the editor lets systems and pages begin; in order, one a bar.
    pub breaks: Vec<Break>,
    /// What an analysis wants to be drawn at moments.
    pub annotations: Annotations,
}

/// Where a system of the score begins, or a page.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Break {
    /// The bar with which it begins, from 0.
    pub bar: usize,
    /// Whether a page begins with it too.
    pub page: bool,
}

impl Score {
    /// The number of its first bar; in a whole piece 1.
    pub fn first_bar(&self) -> u32 {
        self.bars.first().map_or(1, |bar| bar.number)
    }

    /// The bar in which a moment is; the last one from its end on.
    pub fn bar_at(&self, at: Time) -> Option<&Bar> {
        let begun = self.bars.partition_point(|bar| bar.start <= at);
        self.bars.get(begun.saturating_sub(1))
    }
}

impl Score {
    /// Leaves the staff of a voice empty where notes begin from one moment on and before another.
    /// Clefs and hands are those that the notes need, but nothing of them is seen or sounds. Its rests
    /// stay, so that one sees where it enters.
    ///
    /// ```
    /// use score::{BarLength, Options, Staves, align, arrange, reckon};
    ///
    /// let piece = notation::parse("voice Cantus clef C1\n  sb _ A4 B lg C5 //\n").piece;
    /// let mut score = align(&piece, reckon(&piece), BarLength::Breve).score;
    /// score.blank(0, rudiments::Time::ZERO, score.length);
    /// let open = Options { staves: Staves::Open, ..Options::default() };
    /// let arrangement = arrange(&score, open);
    /// let [rest, note] = arrangement.bars[0].voices[0].as_slice() else { panic!() };
    /// assert!(!rest.left_out && note.left_out && note.notes.is_empty());
    /// ```
    pub fn blank(&mut self, voice: usize, from: Time, to: Time) {
        if let Some(voice) = self.voices.get_mut(voice) {
            voice.blank.push((from, to));
        }
    }
}

impl TimedVoice {
    /// Whether the staff is left empty by what begins at a moment.
    pub fn is_blank(&self, at: Time) -> bool {
        self.blank.iter().any(|(from, to)| *from <= at && at < *to)
    }
}

/// What stands over a piece.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Heading {
    /// The name of the example, in a file of several.
    pub example: Option<String>,
    /// Its title.
    pub title: Option<String>,
    /// Who wrote it.
    pub composer: Option<String>,
    /// Where it is printed.
    pub source: Option<String>,
    /// Who edited it.
    pub editor: Option<String>,
    /// The editor's notes.
    pub notes: Vec<String>,
    /// The name of its file without folder and ending, for whoever shows a piece that has no title. A
    /// piece does not know it by itself.
    pub file: Option<String>,
}

impl Heading {
    /// What the head of a piece says.
    pub fn of(piece: &Piece) -> Heading {
        let text = |text: &Option<notation::Text>| text.as_ref().map(|text| text.text.clone());
        let head = &piece.head;
        Heading {
            example: text(&head.example),
            title: text(&head.title),
            composer: text(&head.composer),
            source: text(&head.source),
            editor: text(&head.editor),
            notes: head.notes.iter().map(|note| note.text.clone()).collect(),
            file: None,
        }
    }

    /// Title and example as one line: `A chapter. 12`.
    pub fn full_title(&self) -> Option<String> {
        let lines: Vec<&str> =
            [&self.title, &self.example].into_iter().flatten().map(String::as_str).collect();
        (!lines.is_empty()).then(|| lines.join(". "))
    }

    /// What a piece is called that has neither title nor name: as its file.
    pub fn name_of_file(&self) -> Option<&str> {
        self.file.as_deref().filter(|_| self.title.is_none() && self.example.is_none())
    }
}

/// A bar.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Bar {
    /// Its number, from 1.
    pub number: u32,
    /// Where it begins.
    pub start: Time,
    /// Where it ends; a bar before the end of a section may be short, and so may one before a change
    /// of all voices into a proportion or out of it.
    pub end: Time,
    /// What stands at its end.
    pub close: Close,
    /// By which mensuration most voices count it. In a passage that all voices count in a proportion
    /// it says nothing.
    pub mensuration: Mensuration,
}

/// What stands at the end of a bar.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Close {
    /// A plain bar line.
    Plain,
    /// A double bar: the end of a section.
    Section,
    /// The end of a section that is repeated; a repeat goes back to the end of the section before.
    Repeat,
    /// The final bar line.
    Final,
    /// The final bar line, with a repeat.
    FinalRepeat,
}

/// A voice with all its times.
#[derive(Clone, PartialEq, Debug)]
pub struct TimedVoice {
    /// Its place in the piece, from the top, from 0. (A voice without music is in the piece alone.)
    pub place: usize,
    /// Its name.
    pub name: String,
    /// The clef printed at its beginning.
    pub clef: Clef,
    /// The signature at its beginning.
    pub signature: Signature,
    /// The sign at its beginning.
    pub sign: Option<Sign>,
    /// What is read, in order.
    pub events: Vec<TimedEvent>,
    /// Whatever happens between events, in order of time.
    pub changes: Vec<(Time, Change)>,
    /// Where notes sound beyond the score; in a whole piece nowhere.
    pub cut: Cut,
    /// Where its staff is left empty, from a moment to another: see [`Score::blank`].
    pub blank: Vec<(Time, Time)>,
}

/// Whether a voice is cut in the middle of a note, as it may be in an [`crate::Excerpt`]. Of a rest
/// it says nothing that would be seen.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Cut {
    /// Its first event began before the score does.
    pub before: bool,
    /// Its last event goes on after the score has ended.
    pub after: bool,
}

/// What happens in a voice at a moment.
#[derive(Clone, PartialEq, Debug)]
pub enum Change {
    /// A clef is printed.
    Clef(Clef),
    /// A signature is printed.
    Signature(Signature),
    /// A sign is printed.
    Sign(Sign),
    /// Words are printed.
    Words(String),
    /// A line of the source ends.
    LineEnd,
    /// A page of the source ends.
    PageEnd,
}

/// A note or rest with its time: in a [`Score`] that of the piece; while a voice is counted, that of
/// its section.
#[derive(Clone, PartialEq, Debug)]
pub struct TimedEvent<At = Time> {
    /// The item of the piece that it comes from; in a canon, that of the voice which is followed.
    /// Nothing for a silence that nobody printed.
    pub item: Option<ItemId>,
    /// Its number among the printed notes and rests of its voice, from 1.
    pub index: Option<u32>,
    /// Its token in the parts file.
    pub span: Span,
    /// When it begins.
    pub onset: At,
    /// How long it lasts, by the rules and, at the end of a section, by where the voices meet.
    pub length: Time,
    /// The value that is printed.
    pub value: Value,
    /// Whether it is half as long again as the value alone, by a dot of addition or by perfection.
    pub dotted: bool,
    /// Which values were perfect where it was counted.
    pub mensuration: Mensuration,
    /// In what proportion to plain counting it stands: `3:2` for two thirds. What its length has
    /// beyond that is due to its rule.
    pub proportion: Proportion,
    /// The rule that gave it its length.
    pub rule: Rule,
    /// What sounds; nothing for a rest.
    pub notes: Vec<Sounded>,
    /// How it stands to the source.
    pub standing: Standing,
    /// The signs at it.
    pub signs: NoteSigns,
    /// Whether it is blackened.
    pub colored: bool,
    /// The number of its ligature in the voice.
    pub ligature: Option<u32>,
}

impl<At: Copy + Add<Time, Output = At>> TimedEvent<At> {
    /// When it is over.
    pub fn end(&self) -> At {
        self.onset + self.length
    }
}

impl<At> TimedEvent<At> {
    /// The same event at another time, or by another way of counting time.
    pub(crate) fn at<Other>(self, onset: Other) -> TimedEvent<Other> {
        TimedEvent {
            onset,
            item: self.item,
            index: self.index,
            span: self.span,
            length: self.length,
            value: self.value,
            dotted: self.dotted,
            mensuration: self.mensuration,
            proportion: self.proportion,
            rule: self.rule,
            notes: self.notes,
            standing: self.standing,
            signs: self.signs,
            colored: self.colored,
            ligature: self.ligature,
        }
    }

    /// Whether it is a rest.
    pub fn is_rest(&self) -> bool {
        self.notes.is_empty()
    }
}

/// A note as it sounds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Sounded {
    /// What sounds, all signs considered.
    pub pitch: Pitch,
    /// The sign printed before it.
    pub printed: Option<Accidental>,
    /// The editor's sign above it.
    pub editorial: Option<Accidental>,
}
