//! What of a voice is to be reported.

use notation::{Canon, Dot, Event, Group, Item, ItemKind, Note, NoteSign, Piece, Standing, Voice};
use rudiments::{Proportion, Value};

use super::text::minims;
use super::words::{described, head, one, several, sign_name};
use super::{Entry, EntryKind};
use crate::places::{Numbers, Places, ordinal};

/// The entries of a voice, in the order of the text.
pub(super) fn of_voice(piece: &Piece, voice: &Voice, places: &Places) -> Vec<Entry> {
    let finder = Finder { voice, places };
    let mut entries: Vec<Entry> =
        voice.canon.map(|canon| finder.canon(piece, canon)).into_iter().collect();
    for (at, item) in voice.items.iter().enumerate() {
        match &item.kind {
            ItemKind::Open(group) if item.standing != Standing::Alternative => {
                entries.extend(finder.group(at, *group));
            }
            ItemKind::Event(event) if item.standing == Standing::Printed => {
                finder.event(at, event, &mut entries);
            }
            ItemKind::Ratio(ratio) if item.standing == Standing::Printed => {
                entries.push(finder.counting(at, counted(*ratio)));
            }
            ItemKind::Perfection { value, perfect } if item.standing == Standing::Printed => {
                entries.push(finder.counting(at, perfection(*value, *perfect)));
            }
            _ => {}
        }
    }
    entries
}

struct Finder<'v> {
    voice: &'v Voice,
    places: &'v Places,
}

impl Finder<'_> {
    /// An entry about the items from one to another, the second included.
    fn entry(&self, kind: EntryKind, first: usize, last: usize) -> Entry {
        let items = &self.voice.items;
        Entry {
            kind,
            voice: self.voice.name.clone(),
            place: self.places.place(first, last),
            line: Some(self.places.line(first)),
            numbers: self.places.numbers(items, first, last),
            span: items[first].span,
            printed: String::new(),
            read: String::new(),
            authority: None,
            remark: String::new(),
        }
    }

    fn group(&self, open: usize, group: Group) -> Option<Entry> {
        let items = &self.voice.items;
        let closes = |item: &Item| item.kind == ItemKind::Close(group);
        let close = open + items[open..].iter().position(closes)?;
        match group {
            Group::Emendation => self.emendation(open, close),
            Group::Variant => self.variant(open, close),
            // In a reading that is told as a whole nothing is supplied besides.
            Group::Supplied if items[open].standing == Standing::Printed => {
                let read = self.described(open, close, |standing| standing == Standing::Supplied);
                let entry = self.entry(EntryKind::Supplied, open, close);
                let remark = format!("{read} not in the source; supplied");
                (!read.is_empty()).then_some(Entry { read, remark, ..entry })
            }
            _ => None,
        }
    }

    /// What stands between the ends of a group, as far as it is of the wanted standing. The words of
    /// an emendation are its authority.
    fn described(&self, open: usize, close: usize, wanted: impl Fn(Standing) -> bool) -> String {
        let items = self.voice.items[open + 1..close].iter();
        described(items.filter(|item| wanted(item.standing) && !is_authority(item)))
    }

    fn emendation(&self, open: usize, close: usize) -> Option<Entry> {
        let printed = self.described(open, close, |standing| standing == Standing::Replaced);
        let read = self.described(open, close, |standing| standing == Standing::Emended);
        let said: Vec<&str> = self.voice.items[open..close]
            .iter()
            .filter(|item| is_authority(item))
            .filter_map(|item| match &item.kind {
                ItemKind::Words(words) => Some(words.as_str()),
                _ => None,
            })
            .collect();
        let authority = (!said.is_empty()).then(|| said.join("; "));
        let remark = match (printed.is_empty(), read.is_empty()) {
            (true, true) => return None,
            (true, false) => format!("{read} lacking in the source; added"),
            (false, true) => format!("{printed} in the source; deleted"),
            (false, false) => format!("{printed} in the source; emended to {read}"),
        };
        let after = authority.as_ref().map_or(String::new(), |after| format!(", after {after}"));
        let entry = self.entry(EntryKind::Emendation, open, close);
        Some(Entry { printed, read, authority, remark: format!("{remark}{after}"), ..entry })
    }

    fn variant(&self, open: usize, close: usize) -> Option<Entry> {
        let of_source = self.voice.items[open].standing == Standing::Replaced;
        let first = self.described(open, close, move |standing| {
            if of_source { standing == Standing::Replaced } else { standing.is_read() }
        });
        let second = self.described(open, close, |standing| standing == Standing::Alternative);
        if first.is_empty() && second.is_empty() {
            return None;
        }
        let or_nothing =
            |side: &str| if side.is_empty() { "nothing".to_owned() } else { side.to_owned() };
        let remark = format!(
            "{} or {}; yet to be decided, the first is read",
            or_nothing(&first),
            or_nothing(&second)
        );
        let entry = self.entry(EntryKind::Variant, open, close);
        Some(Entry {
            printed: format!("{} or {}", or_nothing(&first), or_nothing(&second)),
            read: first,
            remark,
            ..entry
        })
    }

    fn event(&self, at: usize, event: &Event, entries: &mut Vec<Entry>) {
        let mut add = |kind, printed: String, read: String, remark: String| {
            entries.push(Entry { printed, read, remark, ..self.entry(kind, at, at) });
        };
        if let Some((printed, read, remark)) = accidentals(event) {
            add(EntryKind::Accidental, printed, read, remark);
        }
        // What is printed, without what the editor says of it.
        let event_printed = Event { length: None, signs: event.signs.printed(), ..event.clone() };
        let printed = one(&event_printed);
        if let Some(length) = event.length {
            let read = minims(length);
            let remark = format!("{printed} in the source; taken to last {read}");
            add(EntryKind::Length, printed.clone(), read, remark);
        }
        let dot = match event.dot {
            Some(Dot::Adds) => Some("as one of addition"),
            Some(Dot::Divides) => Some("as one of division"),
            Some(Dot::Plain) | None => None,
        };
        if let Some(dot) = dot {
            let undotted = one(&Event { dot: None, ..event_printed });
            let remark = format!("the dot after {undotted} taken {dot}");
            add(EntryKind::Dot, format!("{undotted} with dot"), dot.to_owned(), remark);
        }
        for sign in event.signs.iter() {
            let (kind, said) = match sign {
                NoteSign::Corona | NoteSign::Signum => continue,
                NoteSign::Doubt => (EntryKind::Doubt, "hard to make out in the source"),
            };
            add(kind, printed.clone(), printed.clone(), format!("{printed} {said}"));
        }
    }

    fn counting(&self, at: usize, read: String) -> Entry {
        let remark = format!("from here on {read}, by the editor's decision");
        Entry { read, remark, ..self.entry(EntryKind::Counting, at, at) }
    }

    fn canon(&self, piece: &Piece, canon: Canon) -> Entry {
        let dux = piece.voices.get(canon.dux).map_or("", |voice| voice.name.as_str());
        let interval = match canon.steps {
            0 => "unison".to_owned(),
            steps => {
                let side = if steps < 0 { "below" } else { "above" };
                format!("{} {side}", ordinal(steps.unsigned_abs() + 1))
            }
        };
        let after = minims(canon.after);
        let read = format!("{dux} at the {interval}, {after} later");
        Entry {
            kind: EntryKind::Canon,
            voice: self.voice.name.clone(),
            place: None,
            line: None,
            numbers: Numbers::End,
            span: self.voice.span,
            printed: String::new(),
            remark: format!("not written out in the source; follows {read}"),
            read,
            authority: None,
        }
    }
}

/// Whether an item is the authority of an emendation.
fn is_authority(item: &Item) -> bool {
    item.standing == Standing::Emended && matches!(item.kind, ItemKind::Words(_))
}

/// The editor's accidentals of an event: what is printed, what is read, and the remark.
fn accidentals(event: &Event) -> Option<(String, String, String)> {
    let signed: Vec<Note> =
        event.notes().iter().filter(|note| note.editorial.is_some()).copied().collect();
    let printed = |note: &Note| head(Note { editorial: None, ..*note });
    let remarks = signed.iter().filter_map(|note| {
        let (sign, printed) = (sign_name(note.editorial?), printed(note));
        Some(match note.printed {
            None => format!("{sign} added to {printed}"),
            Some(_) => format!("{printed} in the source; read with a {sign}"),
        })
    });
    let remark = remarks.collect::<Vec<String>>().join("; ");
    let all = |named: Vec<String>| named.join(" ");
    let read = all(signed.iter().copied().map(head).collect());
    let printed = all(signed.iter().map(printed).collect());
    (!signed.is_empty()).then_some((printed, read, remark))
}

fn counted(ratio: Proportion) -> String {
    if ratio.is_equal() {
        return "plain counting again".to_owned();
    }
    format!("{} of any value in the time of {}", ratio.many(), ratio.in_time_of())
}

fn perfection(value: Value, perfect: bool) -> String {
    let perfect = if perfect { "perfect" } else { "imperfect" };
    format!("{} are {perfect}", several(value))
}
