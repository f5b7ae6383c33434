//! Voices as the text of a parts file: explicit, with an octave at every note and one text line
//! for a printed line; not in canonical form.

use std::fmt::Write;

use notation::{Dot, Group};
use rudiments::{Signature, Value};

use super::heading::Heading;
use super::voice::{Event, Head, Item, Sound, Voice, is_of_the_editor};

/// The text of a piece, and where in it each note and rest begins, in bytes, voice by voice.
pub(super) fn text(heading: &Heading, voices: &[Voice]) -> (String, Vec<Vec<u32>>) {
    let mut text = String::new();
    let mut line = |keyword: &str, words: &Option<String>| {
        if let Some(words) = words {
            let _ = writeln!(text, "{keyword} {words}");
        }
    };
    line("title", &heading.title);
    line("source", &heading.source);
    line("editor", &heading.editor);
    line("note", &heading.composer.as_ref().map(|composer| format!("Composer: {composer}")));

    // What all voices share is said once.
    let first = voices.first();
    let signature = first
        .map(|voice| voice.signature)
        .filter(|shared| voices.iter().all(|voice| voice.signature == *shared))
        .unwrap_or(Signature::NONE);
    let sign = first
        .and_then(|voice| voice.sign)
        .filter(|shared| voices.iter().all(|voice| voice.sign == Some(*shared)));
    if signature != Signature::NONE {
        let _ = writeln!(text, "signature {signature}");
    }
    if let Some(sign) = sign {
        let _ = writeln!(text, "sign {sign}");
    }
    let mut starts = Vec::with_capacity(voices.len());
    for voice in voices {
        if !text.is_empty() {
            text.push('\n');
        }
        let _ = write!(text, "voice {}", voice.name);
        if let Some(clef) = voice.clef {
            let _ = write!(text, " clef {clef}");
        }
        if voice.signature != signature {
            let _ = write!(text, " signature {}", voice.signature);
        }
        if let Some(own) = voice.sign.filter(|own| Some(*own) != sign) {
            let _ = write!(text, " sign {own}");
        }
        text.push('\n');
        let mut writer =
            Writer { text: &mut text, in_line: false, value: None, starts: Vec::new() };
        writer.items(&voice.items);
        starts.push(writer.starts);
    }
    (text, starts)
}

struct Writer<'t> {
    text: &'t mut String,
    /// Whether something stands on the line already.
    in_line: bool,
    /// The value in force.
    value: Option<Value>,
    /// Where the notes and rests begin.
    starts: Vec<u32>,
}

impl Writer<'_> {
    fn items(&mut self, items: &[Item]) {
        let coloration = coloration(items);
        for (item, coloration) in items.iter().zip(coloration) {
            if coloration.begins {
                self.token("{");
            }
            self.item(item);
            if coloration.ends {
                self.token("}");
            }
        }
        self.end_line();
    }

    fn item(&mut self, item: &Item) {
        match item {
            Item::Event(event) => self.event(event),
            Item::Clef(clef) => self.token(&format!("clef {clef}")),
            Item::Signature(signature) => self.token(&format!("signature {signature}")),
            Item::Sign(sign) => self.token(&format!("sign {sign}")),
            Item::Ratio(ratio) => self.token(&format!("ratio {ratio}")),
            Item::Perfection { value, perfect: true } => self.token(&format!("perfect {value}")),
            Item::Perfection { value, .. } => self.token(&format!("imperfect {value}")),
            Item::LineEnd => {
                self.token("/");
                self.end_line();
            }
            Item::PageEnd => {
                self.token("//");
                self.end_line();
            }
            Item::SectionEnd => self.token("||"),
            Item::Repeat => self.token("::"),
            Item::Direct(tone) => self.token(&format!("~{tone}")),
            Item::Words(words) => self.token(&format!("\"{words}\"")),
            Item::Open(group) => self.mark(*group, true),
            Item::Divide => {
                self.token("|");
                self.value = None;
            }
            Item::Close(group) => self.mark(*group, false),
        }
    }

    fn event(&mut self, event: &Event) {
        if event.joined {
            self.token("\\");
        }
        if self.value.replace(event.value) != Some(event.value) {
            self.token(event.value.letters());
        }
        let word = word(event);
        self.token(&word);
        self.starts.push((self.text.len() - word.len()) as u32);
    }

    /// The bracket of a group. Which value is in force after the editor's groups need not be
    /// known here: it is said again.
    fn mark(&mut self, group: Group, opens: bool) {
        let (open, close) = match group {
            Group::Ligature => ("(", ")"),
            Group::Coloration => ("{", "}"),
            Group::Supplied => ("[", "]"),
            Group::Emendation => ("<", ">"),
            Group::Variant => ("<?", ">"),
        };
        self.token(if opens { open } else { close });
        if is_of_the_editor(group) {
            self.value = None;
        }
    }

    fn token(&mut self, token: &str) {
        self.text.push_str(if self.in_line { " " } else { "  " });
        self.text.push_str(token);
        self.in_line = true;
    }

    fn end_line(&mut self) {
        if std::mem::replace(&mut self.in_line, false) {
            self.text.push('\n');
        }
    }
}

/// Whether coloration begins before an item, or ends after it.
#[derive(Clone, Copy, Default)]
struct Coloration {
    begins: bool,
    ends: bool,
}

/// The runs of coloured notes. They run across line ends and ligatures.
fn coloration(items: &[Item]) -> Vec<Coloration> {
    let mut coloration = vec![Coloration::default(); items.len()];
    let mut last = None;
    for (place, item) in items.iter().enumerate() {
        match item {
            Item::Event(event) if event.colored => {
                coloration[place].begins = last.is_none();
                last = Some(place);
            }
            Item::Open(group) | Item::Close(group) if !is_of_the_editor(*group) => {}
            Item::Event(_) | Item::Open(_) | Item::Divide | Item::Close(_) => {
                if let Some(last) = last.take() {
                    coloration[last].ends = true;
                }
            }
            _ => {}
        }
    }
    if let Some(last) = last {
        coloration[last].ends = true;
    }
    coloration
}

/// A note or rest with its marks.
fn word(event: &Event) -> String {
    let mut word = match &event.sound {
        Sound::Rest(None) => "_".to_owned(),
        Sound::Rest(Some(spaces)) => format!("_{spaces}"),
        Sound::Notes(heads) => heads.iter().map(|note| head(*note)).collect::<Vec<_>>().join("+"),
    };
    word.push_str(match event.dot {
        None => "",
        Some(Dot::Plain) => ".",
        Some(Dot::Adds) => ".+",
        Some(Dot::Divides) => ".:",
    });
    let _ = write!(word, "{}", event.signs);
    if let Some(length) = event.length {
        let _ = write!(word, "={length}");
    }
    word
}

fn head(head: Head) -> String {
    let mut word = head.tone.step.to_string();
    if let Some(printed) = head.printed {
        word.push(printed.letter());
    }
    if let Some(editorial) = head.editorial {
        word.extend(['[', editorial.letter(), ']']);
    }
    let _ = write!(word, "{}", head.tone.octave);
    word
}
