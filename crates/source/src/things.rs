//! What stands in a voice, as it is set from sorts.

use facsimile::{Instead, Kind, Row, Sort};
use notation::{Dot, Event, ItemKind, Note, NoteSign, Sound};
use rudiments::{Accidental, Clef, Place, Value};

use crate::beginnings::{Beginning, clef, is_event};
use crate::words;

/// A clef in the middle of a line that is less likely changes nothing.
const SURE_CLEF: f32 = 0.8;

/// One thing in a voice.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Thing {
    /// A note or a rest.
    Event(Played),
    /// What stands between them.
    Other(ItemKind),
}

/// A note or a rest, and from which sorts it was set.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Played {
    pub(crate) event: Event,
    /// Whether it is a note of a ligature.
    pub(crate) bound: bool,
    /// The line on which it stands, from 0.
    pub(crate) line: usize,
    /// The places of its sorts in the row: the note or rest first.
    pub(crate) sorts: Vec<usize>,
    /// Where it stands on the staff, under which clef; nothing for a rest.
    pub(crate) stands: Option<(Place, Clef)>,
    /// Why it is doubtful beside what the odds of its sorts say.
    pub(crate) odd: bool,
}

/// What could not be set as it was read.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Said {
    /// On which line of the voice, from 0.
    pub(crate) line: usize,
    pub(crate) what: String,
}

/// What stands on a line, and what could not be set.
pub(crate) struct Setter<'r> {
    row: &'r Row,
    line: usize,
    clef: Clef,
    /// The clef with which the next line begins.
    next_clef: Option<Clef>,
    things: Vec<Thing>,
    said: Vec<Said>,
    /// An accidental that waits for its note, with its place in the row.
    waiting: Option<(usize, Accidental, Place)>,
    /// Signs that wait for a note or rest, since none stands before them.
    signs: Vec<NoteSign>,
}

impl<'r> Setter<'r> {
    /// The things of a line after its beginning.
    pub(crate) fn line(
        row: &'r Row,
        line: usize,
        beginning: &Beginning,
        next_clef: Option<Clef>,
    ) -> (Vec<Thing>, Vec<Said>) {
        let mut setter = Setter {
            row,
            line,
            clef: beginning.clef,
            next_clef,
            things: Vec::new(),
            said: Vec::new(),
            waiting: None,
            signs: Vec::new(),
        };
        let before = (0..beginning.at.unwrap_or(0)).chain(beginning.left_out.iter().copied());
        for at in before {
            setter.lost(at, "where nothing of the kind stands");
        }
        for at in beginning.body..row.sorts.len() {
            setter.sort(at);
        }
        if let Some((at, ..)) = setter.waiting.take() {
            setter.lost(at, "with no note after it");
        }
        for sign in std::mem::take(&mut setter.signs) {
            let what = format!("a {} with no note is left out", sign.description().called);
            setter.said.push(Said { line, what });
        }
        (setter.things, setter.said)
    }

    fn say(&mut self, what: String) {
        self.said.push(Said { line: self.line, what });
    }

    /// A sort of the row that has no place in a voice.
    fn lost(&mut self, at: usize, why: &str) {
        let sort = self.row.sorts[at].sort;
        let what = words::sort(sort, self.clef);
        self.say(format!("{what} {why} is left out"));
    }

    fn sort(&mut self, at: usize) {
        let read = &self.row.sorts[at];
        let place = read.sort.place;
        match read.sort.kind {
            Kind::Clef(_) => self.clef_change(at, read.sort, read.confidence),
            Kind::Accidental(accidental) => {
                if let Some((before, ..)) = self.waiting.take() {
                    self.lost(before, "before another sign");
                }
                self.waiting = place.map(|place| (at, accidental, place));
            }
            Kind::Note { value, black } => self.note(at, value, black, false),
            Kind::Bound(value) => self.note(at, value, false, true),
            Kind::Rest { value, spaces } => self.rest(at, value, spaces),
            Kind::Dot => self.dot(at),
            Kind::Corona => self.sign_at_note(at, NoteSign::Corona),
            Kind::Signum => self.sign_at_note(at, NoteSign::Signum),
            Kind::Direct => self.direct(at),
            Kind::Sign(sign) => self.other(ItemKind::Sign(sign)),
            Kind::Oblique => self.other(ItemKind::Oblique),
            Kind::BarLine => self.other(ItemKind::BarLine),
            Kind::DoubleBar => self.other(ItemKind::SectionEnd),
            Kind::Repeat => self.other(ItemKind::Repeat),
        }
    }

    fn other(&mut self, kind: ItemKind) {
        self.things.push(Thing::Other(kind));
    }

    /// A clef in the middle of a line. All that follows hangs on it, so it must be sure, or the next line
    /// go on with it.
    fn clef_change(&mut self, at: usize, sort: Sort, confidence: f32) {
        match clef(sort) {
            Some(clef) if clef == self.clef => {
                self.say(format!("clef {clef} stands again, and is left out"));
            }
            Some(clef) if confidence >= SURE_CLEF || self.next_clef == Some(clef) => {
                self.clef = clef;
                self.other(ItemKind::Clef(clef));
            }
            _ => self.lost(at, "amid the notes"),
        }
    }

    fn note(&mut self, at: usize, value: Value, black: bool, bound: bool) {
        let Some(place) = self.row.sorts[at].sort.place else { return };
        let tone = self.clef.tone_at(place);
        let waiting = self.waiting.take();
        let mut sorts = vec![at];
        sorts.extend(waiting.map(|(sign, ..)| sign));
        let mut odd = false;
        if let Some((sign, _, of)) = waiting
            && of != place
        {
            odd = true;
            let what = words::sort(self.row.sorts[sign].sort, self.clef);
            self.say(format!("{what} is read as that of the note after it, {tone}"));
        }
        let printed = waiting.map(|(_, accidental, _)| accidental);
        let mut event =
            Event::new(value, Sound::Notes(vec![Note { tone, printed, editorial: None }]));
        event.colored = black;
        let stands = Some((place, self.clef));
        self.event(Played { event, bound, line: self.line, sorts, stands, odd });
    }

    fn rest(&mut self, at: usize, value: Value, spaces: u8) {
        if let Some((sign, ..)) = self.waiting.take() {
            self.lost(sign, "before a rest");
        }
        let spaces = (value == Value::Longa).then_some(spaces);
        let event = Event::new(value, Sound::Rest { spaces });
        let (line, sorts) = (self.line, vec![at]);
        self.event(Played { event, bound: false, line, sorts, stands: None, odd: false });
    }

    fn event(&mut self, mut played: Played) {
        played.event.signs.extend(self.signs.drain(..));
        self.things.push(Thing::Event(played));
    }

    /// The note or rest that stands directly before.
    fn last(&mut self) -> Option<&mut Played> {
        match self.things.last_mut() {
            Some(Thing::Event(played)) => Some(played),
            _ => None,
        }
    }

    fn dot(&mut self, at: usize) {
        match self.last() {
            Some(played) if played.event.dot.is_none() => {
                played.event.dot = Some(Dot::Plain);
                played.sorts.push(at);
            }
            Some(_) => self.lost(at, "after another"),
            None => self.lost(at, "with no note before it"),
        }
    }

    /// A corona or a signum stands above the note or rest before it in the row.
    fn sign_at_note(&mut self, at: usize, sign: NoteSign) {
        match self.last() {
            Some(played) => {
                played.event.signs.extend([sign]);
                played.sorts.push(at);
            }
            None => self.signs.push(sign),
        }
    }

    /// A direct ends a line.
    fn direct(&mut self, at: usize) {
        let rest = &self.row.sorts[at + 1..];
        let is_last = !rest
            .iter()
            .any(|read| is_event(read.sort.kind) || matches!(read.sort.kind, Kind::Direct));
        match self.row.sorts[at].sort.place {
            Some(place) if is_last => self.other(ItemKind::Direct(self.clef.tone_at(place))),
            _ => self.lost(at, "amid the notes"),
        }
    }
}

/// How likely a note or rest is as it was set: its own sorts, and that nothing more stands there.
pub(crate) fn confidence(row: &Row, played: &Played) -> f64 {
    let own: f64 = played.sorts.iter().map(|at| f64::from(row.sorts[*at].confidence)).product();
    let (Some(first), Some(last)) = (played.sorts.iter().min(), played.sorts.iter().max()) else {
        return own;
    };
    let more = row.changes.iter().filter(|change| match change.instead {
        // A dot, a corona and a signum stand after it; all else that may be missing is laid to what
        // follows.
        Instead::Before(sort) if follows(sort.kind) => change.place == last + 1,
        Instead::Before(_) => (*first..=played.sorts[0]).contains(&change.place),
        Instead::Other(_) | Instead::Nothing => false,
    });
    own / (1.0 + more.map(|change| f64::from(change.odds).exp()).sum::<f64>())
}

/// Whether a sort belongs to the note or rest before it.
pub(crate) fn follows(kind: Kind) -> bool {
    matches!(kind, Kind::Dot | Kind::Corona | Kind::Signum)
}
