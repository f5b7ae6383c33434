//! What stands in a voice, in the words of a critical report.

use notation::{Dot, Event, Group, Item, ItemKind, Note, NoteSign, Sound};
use rudiments::{Accidental, Value};

/// Notes and rests, and whatever else stands with them, one after another: `dotted semiminim G3, fusa
/// A3`; `minims D4 E4 F♯4`; `2 semibreve rests, clef C3`. Empty where there is nothing to be named.
pub(super) fn described<'i>(items: impl Iterator<Item = &'i Item>) -> String {
    let mut list = List::default();
    let mut line_ends = false;
    for item in items {
        line_ends |= matches!(item.kind, ItemKind::LineEnd | ItemKind::PageEnd);
        list.add(&item.kind);
    }
    if list.phrases.is_empty() && line_ends {
        return "end of a line".to_owned();
    }
    list.end_ligature();
    joined(&list.phrases)
}

/// One event by itself.
pub(super) fn one(event: &Event) -> String {
    joined(&[phrase(event)])
}

#[derive(Default)]
struct List {
    phrases: Vec<Phrase>,
    /// The first phrase of the ligature that is open, and whether an oblique body is in it.
    ligature: Option<(usize, bool)>,
}

enum Phrase {
    /// Notes of the same kind: what they are, one and several, and their pitches.
    Notes { one: String, several: String, pitches: Vec<String> },
    /// So many rests of the same kind.
    Rests { one: String, count: usize },
    /// Anything else.
    Other(String),
}

impl List {
    fn add(&mut self, kind: &ItemKind) {
        let other = match kind {
            ItemKind::Event(event) => return self.event(event),
            ItemKind::Open(Group::Ligature) => {
                self.ligature = Some((self.phrases.len(), false));
                return;
            }
            ItemKind::Oblique => {
                self.ligature = self.ligature.map(|(first, _)| (first, true));
                return;
            }
            ItemKind::Close(Group::Ligature) => return self.end_ligature(),
            ItemKind::Clef(clef) => format!("clef {clef}"),
            ItemKind::Signature(signature) => {
                format!("signature {}", signature.to_string().replace('#', "♯").replace('b', "♭"))
            }
            ItemKind::Sign(sign) => format!("sign {sign}"),
            ItemKind::Ratio(ratio) => format!("ratio {ratio}"),
            ItemKind::Perfection { value, perfect } => {
                format!("{} {}", if *perfect { "perfect" } else { "imperfect" }, several(*value))
            }
            ItemKind::Direct(tone) => format!("direct on {tone}"),
            ItemKind::BarLine => "bar line".to_owned(),
            ItemKind::SectionEnd => "double bar".to_owned(),
            ItemKind::Repeat => "sign of repetition".to_owned(),
            ItemKind::Words(words) => format!("the words “{words}”"),
            ItemKind::LineEnd
            | ItemKind::PageEnd
            | ItemKind::Open(_)
            | ItemKind::Divide
            | ItemKind::Close(_)
            | ItemKind::More => return,
        };
        self.phrases.push(Phrase::Other(other));
    }

    fn event(&mut self, event: &Event) {
        let new = phrase(event);
        match (self.phrases.last_mut(), new) {
            (
                Some(Phrase::Notes { one, pitches, .. }),
                Phrase::Notes { one: same, pitches: more, .. },
            ) if *one == same && plain(event) => pitches.extend(more),
            (Some(Phrase::Rests { one, count }), Phrase::Rests { one: same, .. })
                if *one == same =>
            {
                *count += 1;
            }
            (_, new) => self.phrases.push(new),
        }
    }

    fn end_ligature(&mut self) {
        if let Some((first, oblique)) = self.ligature.take() {
            let inside: Vec<Phrase> = self.phrases.drain(first..).collect();
            let oblique = if oblique { "oblique " } else { "" };
            self.phrases.push(Phrase::Other(format!("{oblique}ligature of {}", joined(&inside))));
        }
    }
}

/// Whether nothing is to be said of an event beside its value and pitch.
fn plain(event: &Event) -> bool {
    marks(event).is_empty()
}

fn phrase(event: &Event) -> Phrase {
    let dotted = matches!(event.dot, Some(Dot::Plain | Dot::Adds));
    let black = if event.colored { "black " } else { "" };
    let dotted = if dotted { "dotted " } else { "" };
    let (value, marks) = (event.value, marks(event));
    match &event.sound {
        Sound::Rest { spaces: Some(spaces) } => {
            let one = format!("{dotted}long rest over {spaces} spaces{marks}");
            Phrase::Rests { one, count: 1 }
        }
        Sound::Rest { spaces: None } => {
            Phrase::Rests { one: format!("{black}{dotted}{} rest{marks}", value.name()), count: 1 }
        }
        Sound::Notes(notes) => {
            let heads: Vec<String> = notes.iter().copied().map(head).collect();
            Phrase::Notes {
                one: format!("{black}{dotted}{}", value.name()),
                several: format!("{black}{dotted}{}", several(value)),
                pitches: vec![format!("{}{marks}", heads.join("+"))],
            }
        }
    }
}

/// What stands over or beside an event.
fn marks(event: &Event) -> String {
    let mut marks = String::new();
    if event.dot == Some(Dot::Divides) {
        marks.push_str(" with a dot of division");
    }
    let said = |sign: NoteSign| format!(" {}", sign.description().reported);
    marks.extend(event.signs.printed().iter().map(said));
    if let Some(length) = event.length {
        marks.push_str(&format!(" lasting {}", super::text::minims(length)));
    }
    marks.extend(event.signs.of_the_editor().iter().map(said));
    marks
}

/// `F♯4`; the editor's sign in brackets, `F[♯]4`.
pub(super) fn head(note: Note) -> String {
    let printed = note.printed.map_or("", glyph);
    let editorial = note.editorial.map_or(String::new(), |sign| format!("[{}]", glyph(sign)));
    format!("{}{printed}{editorial}{}", note.tone.step, note.tone.octave)
}

fn glyph(sign: Accidental) -> &'static str {
    match sign {
        Accidental::Sharp => "♯",
        Accidental::Flat => "♭",
        Accidental::Natural => "♮",
    }
}

/// The name of a sign in a sentence.
pub(super) fn sign_name(sign: Accidental) -> &'static str {
    match sign {
        Accidental::Sharp => "sharp",
        Accidental::Flat => "flat",
        Accidental::Natural => "natural",
    }
}

/// The plural of a value's name.
pub(super) fn several(value: Value) -> &'static str {
    match value {
        Value::Maxima => "maximae",
        Value::Longa => "longae",
        Value::Breve => "breves",
        Value::Semibreve => "semibreves",
        Value::Minim => "minims",
        Value::Semiminim => "semiminims",
        Value::Fusa => "fusae",
        Value::Semifusa => "semifusae",
    }
}

fn joined(phrases: &[Phrase]) -> String {
    let said = phrases.iter().map(|phrase| match phrase {
        Phrase::Notes { one, pitches, .. } if pitches.len() == 1 => format!("{one} {}", pitches[0]),
        Phrase::Notes { several, pitches, .. } => format!("{several} {}", pitches.join(" ")),
        Phrase::Rests { one, count: 1 } => one.clone(),
        Phrase::Rests { one, count } => format!("{count} {}", one.replacen("rest", "rests", 1)),
        Phrase::Other(other) => other.clone(),
    });
    said.collect::<Vec<String>>().join(", ")
}
