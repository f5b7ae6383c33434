//! What a parts file says: the head, and the printed voices as flat lists of items.

use rudiments::{Accidental, Clef, Proportion, Sign, Signature, Time, Tone, Value};

use crate::{DoubtfulClef, Hand, MarkColor, MarkShape, NoteSigns, Span, Undecided};

/// One piece or example.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Piece {
    /// What stands before the voices.
    pub head: Head,
    /// The voices, top voice first.
    pub voices: Vec<Voice>,
    /// The letters whose octave is to be typed yet.
    pub undecided: Vec<Undecided>,
    /// The clefs that look wrong.
    pub doubtful_clefs: Vec<DoubtfulClef>,
}

/// An item of a piece: which voice, and which of its items, both counted from 0.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct ItemId {
    /// The voice, as a place in [`Piece::voices`].
    pub voice: usize,
    /// The item, as a place in [`Voice::items`].
    pub item: usize,
}

impl Piece {
    /// The note or rest of that id; nothing where the piece has none there.
    pub fn event(&self, id: ItemId) -> Option<&Event> {
        self.voices.get(id.voice)?.items.get(id.item)?.event()
    }

    /// The note or rest of a number in a voice of that name, numbers counted from 1 among what is
    /// printed; of an emendation, the one that is read.
    pub fn numbered(&self, voice: &str, number: u32) -> Option<ItemId> {
        let voice = self.voices.iter().position(|one| one.name == voice)?;
        let items = &self.voices[voice].items;
        let is_it = |item: &Item| item.event().is_some_and(|event| event.index == Some(number));
        let read = items.iter().position(|item| item.standing.is_read() && is_it(item));
        let item = read.or_else(|| items.iter().position(is_it))?;
        Some(ItemId { voice, item })
    }

    /// Whether a sign or an editor's reading in it may make a value perfect, in one voice or in all:
    /// then a dot may divide, and a note that is typed as a completing one says that it adds.
    pub fn may_have_perfect_values(&self) -> bool {
        let voices = self.voices.iter();
        let mut items = voices.clone().flat_map(|voice| &voice.items);
        let mut signs = self.head.sign.into_iter().chain(voices.filter_map(|voice| voice.sign));
        signs.any(Sign::may_have_perfect_values)
            || items.any(|item| match item.kind {
                ItemKind::Sign(sign) => sign.may_have_perfect_values(),
                ItemKind::Perfection { perfect, .. } => perfect,
                _ => false,
            })
    }
}

/// What all are, if all are the same.
fn shared<T: Copy + PartialEq>(all: &[T]) -> Option<T> {
    let (first, others) = all.split_first()?;
    others.iter().all(|other| other == first).then_some(*first)
}

/// The head of a parts file.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Head {
    /// `example`: its name, in a file of several.
    pub example: Option<Text>,
    /// `title`
    pub title: Option<Text>,
    /// `composer`
    pub composer: Option<Text>,
    /// `source`
    pub source: Option<Text>,
    /// `editor`
    pub editor: Option<Text>,
    /// `note`, any number
    pub notes: Vec<Text>,
    /// `topic`, any number of lines; each may hold several: see [`Head::topics`]
    pub topics: Vec<Text>,
    /// `facsimile`, any number
    pub facsimiles: Vec<Facsimile>,
    /// `layout`
    pub layout: Layout,
    /// `sign`: the default for all voices
    pub sign: Option<Sign>,
    /// `signature`: the default for all voices
    pub signature: Signature,
    /// `subject`, any number
    pub subjects: Vec<Subject>,
    /// `mark`, any number
    pub marks: Vec<EditorsMark>,
    /// `hand`, any number
    pub hands: Vec<EditorsHand>,
    /// `break` and `page`, any number
    pub breaks: Vec<Break>,
}

impl Head {
    /// A head that says once what all voices share of these: the signature and the sign of each.
    ///
    /// ```
    /// use rudiments::Signature;
    ///
    /// let piece = notation::parse("voice A signature Bb\nvoice B signature Bb sign C\n").piece;
    /// let voices = piece.voices.iter().map(|voice| (voice.signature, voice.sign));
    /// let head = notation::Head::of_voices(voices);
    /// assert_eq!((head.signature, head.sign), (piece.voices[0].signature, None));
    /// assert_ne!(head.signature, Signature::NONE);
    /// ```
    pub fn of_voices(voices: impl Iterator<Item = (Signature, Option<Sign>)>) -> Head {
        let (signatures, signs): (Vec<Signature>, Vec<Option<Sign>>) = voices.unzip();
        let signature = shared(&signatures).unwrap_or(Signature::NONE);
        Head { signature, sign: shared(&signs).flatten(), ..Head::default() }
    }

    /// The editor's keywords, in the order of the text: what stands between the commas of the `topic`
    /// lines.
    ///
    /// ```
    /// let head = notation::parse("topic cadence, Phrygian\ntopic duo\n").piece.head;
    /// assert_eq!(head.topics().collect::<Vec<_>>(), ["cadence", "Phrygian", "duo"]);
    /// ```
    pub fn topics(&self) -> impl Iterator<Item = &str> {
        let words = self.topics.iter().flat_map(|line| line.text.split(','));
        words.map(str::trim).filter(|word| !word.is_empty())
    }
}

/// Free text of the head.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Text {
    /// What it says, without blanks at its ends.
    pub text: String,
    /// Where.
    pub span: Span,
}

/// How the source lays its voices out.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Layout {
    /// The voices' lines stand above one another and break together.
    Stacked,
    /// They do not.
    #[default]
    Partbooks,
    /// The print has bar lines.
    Barred,
}

/// Which events of which voice are the subject.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Subject {
    /// The voice, as a place in [`Piece::voices`].
    pub voice: usize,
    /// The index of the first event.
    pub first: u32,
    /// The index of the last event.
    pub last: u32,
    /// Where it was typed.
    pub span: Span,
}

/// A mark of the editor's at notes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct EditorsMark {
    /// The voice, as a place in [`Piece::voices`].
    pub voice: usize,
    /// The index of the first event.
    pub first: u32,
    /// The index of the last event.
    pub last: u32,
    /// How it is drawn.
    pub shape: MarkShape,
    /// Its colour; nothing for black.
    pub color: Option<MarkColor>,
    /// What it says; may be empty.
    pub words: String,
    /// The whole item.
    pub span: Span,
}

/// A hand of the keyboard score that the editor gives to notes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct EditorsHand {
    /// Which hand.
    pub hand: Hand,
    /// The voice, as a place in [`Piece::voices`].
    pub voice: usize,
    /// The index of the first event.
    pub first: u32,
    /// The index of the last event.
    pub last: u32,
    /// The item, as far as the name of the voice.
    pub span: Span,
}

/// Where a system of the score begins, or a page.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Break {
    /// The number of the bar with which it begins, from 2, as the score counts them.
    pub bar: u32,
    /// Whether a page begins with it too.
    pub page: bool,
    /// The whole item.
    pub span: Span,
}

/// Where a line of the source stands in a picture: a box that is turned round its middle.
///
/// Lengths are in pixels of the picture, counted from its upper left corner; of a page of a PDF in
/// points, 72 to the inch.
#[derive(Clone, PartialEq, Debug)]
pub struct Facsimile {
    /// The voice, as a place in [`Piece::voices`]; nothing for a system of all voices.
    pub voice: Option<usize>,
    /// The line of the source, or the system, from 1.
    pub line: u32,
    /// The file of the picture.
    pub file: String,
    /// The page in it, from 1.
    pub page: u32,
    /// The left edge of the box, before it is turned.
    pub x: f64,
    /// Its upper edge.
    pub y: f64,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// By how many degrees it is turned, clockwise.
    pub angle: f64,
    /// The whole item.
    pub span: Span,
}

impl Facsimile {
    /// The box as it can be typed: with three digits after the point.
    #[must_use]
    pub fn rounded(&self) -> Facsimile {
        // Nothing is typed as -0.
        let digits = |number: f64| (number * 1000.0).round() / 1000.0 + 0.0;
        Facsimile {
            x: digits(self.x),
            y: digits(self.y),
            width: digits(self.width),
            height: digits(self.height),
            angle: digits(self.angle),
            ..self.clone()
        }
    }
}

/// A voice as printed.
#[derive(Clone, PartialEq, Debug)]
pub struct Voice {
    /// One word, unique.
    pub name: String,
    /// Where the name was typed.
    pub span: Span,
    /// The clef at its beginning; nothing where none was typed (an error, unless it is a canon).
    pub clef: Option<Clef>,
    /// The signature at its beginning.
    pub signature: Signature,
    /// The sign at its beginning.
    pub sign: Option<Sign>,
    /// Whether notes are typed as places on the staff.
    pub positions: bool,
    /// Where the source does not write it out: whom it follows.
    pub canon: Option<Canon>,
    /// What is printed, and what the editor makes of it, in the order of the text.
    pub items: Vec<Item>,
}

impl Voice {
    /// How many lines of the source are typed, the last of them perhaps in part.
    pub fn source_lines(&self) -> u32 {
        let printed = || self.items.iter().filter(|item| item.standing.is_printed());
        let is_end = |item: &&Item| matches!(item.kind, ItemKind::LineEnd | ItemKind::PageEnd);
        let is_music = |item: &Item| matches!(item.kind, ItemKind::Event(_));
        let ended = printed().filter(is_end).count();
        let goes_on = printed().rev().take_while(|item| !is_end(item)).any(is_music);
        u32::try_from(ended).unwrap_or(u32::MAX - 1) + u32::from(goes_on)
    }
}

/// How a voice follows another that is written out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Canon {
    /// The voice that it follows, as a place in [`Piece::voices`].
    pub dux: usize,
    /// Staff steps above the dux, negative below.
    pub steps: i32,
    /// So many minims after the dux.
    pub after: Time,
}

/// One thing in a voice, in the order of the text.
#[derive(Clone, PartialEq, Debug)]
pub struct Item {
    /// Its token. The rests of one `_*4` share theirs.
    pub span: Span,
    /// Whether the source has it, and whether it is read.
    pub standing: Standing,
    /// What it is.
    pub kind: ItemKind,
}

impl Item {
    /// A printed item that was not typed.
    pub fn new(kind: ItemKind) -> Item {
        Item { span: Span::default(), standing: Standing::Printed, kind }
    }

    /// The note or rest that it is.
    pub fn event(&self) -> Option<&Event> {
        match &self.kind {
            ItemKind::Event(event) => Some(event),
            _ => None,
        }
    }
}

/// How an item stands to the source and to what is read.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Standing {
    /// In the source, and read.
    #[default]
    Printed,
    /// In the source, but something else is read: the first side of an emendation.
    Replaced,
    /// Read instead of what is printed: the second side of an emendation.
    Emended,
    /// Not in the source, added by the editor.
    Supplied,
    /// The second side of a variant that is yet to be decided; not read.
    Alternative,
}

impl Standing {
    /// Whether it belongs to the music as the editor reads it.
    pub fn is_read(self) -> bool {
        matches!(self, Standing::Printed | Standing::Emended | Standing::Supplied)
    }

    /// Whether it stands in the source.
    pub fn is_printed(self) -> bool {
        matches!(self, Standing::Printed | Standing::Replaced)
    }
}

/// The kinds of items.
#[derive(Clone, PartialEq, Debug)]
pub enum ItemKind {
    /// A note or a rest.
    Event(Event),
    /// A change of clef.
    Clef(Clef),
    /// A change of signature.
    Signature(Signature),
    /// A mensuration or proportion sign inside the voice.
    Sign(Sign),
    /// `ratio`, decided by the editor.
    Ratio(Proportion),
    /// `perfect br`, `imperfect br`, decided by the editor.
    Perfection {
        /// The value that is perfect or not.
        value: Value,
        /// Whether it is.
        perfect: bool,
    },
    /// `/`
    LineEnd,
    /// `//`
    PageEnd,
    /// `~E`, with the tone it announces.
    Direct(Tone),
    /// `|`, in a barred print.
    BarLine,
    /// `||`
    SectionEnd,
    /// `::`
    Repeat,
    /// A rubric or cue.
    Words(String),
    /// `\`: the notes before and after it share an oblique body.
    Oblique,
    /// A group begins. (Its words of authority, where it has some, follow as [`ItemKind::Words`].)
    Open(Group),
    /// The `|` between the two sides of an emendation or a variant.
    Divide,
    /// A group ends.
    Close(Group),
    /// A `more` line: the voice goes on here after others.
    More,
}

/// The kinds of groups.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Group {
    /// `( )`
    Ligature,
    /// `{ }`
    Coloration,
    /// `[ ]`
    Supplied,
    /// `< | >`
    Emendation,
    /// `<? | >`
    Variant,
}

impl Group {
    /// The mark that opens it.
    pub(crate) fn opening(self) -> &'static str {
        match self {
            Group::Ligature => "(",
            Group::Coloration => "{",
            Group::Supplied => "[",
            Group::Emendation => "<",
            Group::Variant => "<?",
        }
    }

    /// The mark that closes it.
    pub(crate) fn closing(self) -> &'static str {
        match self {
            Group::Ligature => ")",
            Group::Coloration => "}",
            Group::Supplied => "]",
            Group::Emendation | Group::Variant => ">",
        }
    }
}

/// A note or a rest.
#[derive(Clone, PartialEq, Debug)]
pub struct Event {
    /// Its number among the notes and rests that are printed, from 1; the read side of an
    /// emendation has the numbers of the printed side as far as they go; others have none.
    pub index: Option<u32>,
    /// Its value; of a completing note, the half.
    pub value: Value,
    /// Whether it was typed as a completing note, `.E`.
    pub completing: bool,
    /// What is heard.
    pub sound: Sound,
    /// The dot printed after it.
    pub dot: Option<Dot>,
    /// The signs at it.
    pub signs: NoteSigns,
    /// `=5/2`: so many minims, whatever the rules say.
    pub length: Option<Time>,
    /// Whether it is blackened.
    pub colored: bool,
    /// The number of its ligature in the voice, from 0.
    pub ligature: Option<u32>,
}

impl Event {
    /// An event of this value with nothing at it.
    pub fn new(value: Value, sound: Sound) -> Event {
        Event {
            index: None,
            value,
            completing: false,
            sound,
            dot: None,
            signs: NoteSigns::default(),
            length: None,
            colored: false,
            ligature: None,
        }
    }

    /// Its notes; none for a rest.
    pub fn notes(&self) -> &[Note] {
        match &self.sound {
            Sound::Rest { .. } => &[],
            Sound::Notes(notes) => notes,
        }
    }

    /// Whether it is a rest.
    pub fn is_rest(&self) -> bool {
        matches!(self.sound, Sound::Rest { .. })
    }
}

/// What is heard of an event.
#[derive(Clone, PartialEq, Debug)]
pub enum Sound {
    /// Nothing.
    Rest {
        /// Over how many spaces a long rest stands, 2 or 3, where that was typed.
        spaces: Option<u8>,
    },
    /// One note, or several at once.
    Notes(Vec<Note>),
}

/// A note's head.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Note {
    /// Its step and octave.
    pub tone: Tone,
    /// The sign printed before it.
    pub printed: Option<Accidental>,
    /// The editor's sign above it.
    pub editorial: Option<Accidental>,
}

/// A dot, and what the editor has decided about it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Dot {
    /// `.`: left to the rules.
    Plain,
    /// `.+`: it adds.
    Adds,
    /// `.:`: it divides.
    Divides,
}
