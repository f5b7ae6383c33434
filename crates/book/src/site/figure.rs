//! One example in a page: three layouts of its score, the copy of its source, its notes, what is to be had of it.

use std::collections::BTreeMap;

use cartella::{
    Aligned, Copied, Copy, Heading, Look, Mm, Options, TimedEvent, Tuning, cropped, why_lasting,
};
use serde_json::json;

use super::drawing::Drawings;
use super::html::{Escaped, address, data};
use crate::facsimiles::Strips;
use crate::language::Words;

/// The widths of the three layouts: a phone, a tablet or half a screen, a desk.
const WIDTHS: [(&str, Mm); 3] = [("narrow", Mm(86.0)), ("middle", Mm(142.0)), ("wide", Mm(212.0))];

/// The width of the copy of the source.
const COPY: Mm = Mm(180.0);

/// The white round a drawing.
const MARGIN: Mm = Mm(1.0);

/// What is known of an example in a page.
pub(super) struct Figure<'f> {
    /// Its score, cut to what is shown, without a heading.
    pub(super) aligned: &'f Aligned<'f>,
    pub(super) options: Options,
    /// Its name in addresses.
    pub(super) slug: &'f str,
    /// Its caption as HTML, and in plain words.
    pub(super) caption: String,
    pub(super) words: String,
    /// The copy of the source, where that is shown.
    pub(super) copied: Option<Copied<'f>>,
    /// The strips of the source, with whose leave they are shown.
    pub(super) strips: Option<(Strips, String)>,
    /// Its critical notes: letter, text, voice, index.
    pub(super) critical: Vec<(String, String, String, Option<u32>)>,
    /// Footnotes that point into it: number, text, voice, index, the id of the footnote in the page.
    pub(super) notes: Vec<PointingNote>,
    /// The address of its recording.
    pub(super) recording: Option<String>,
    /// What else is to be had of it: its name and its address.
    pub(super) downloads: Vec<(String, String)>,
}

pub(super) struct PointingNote {
    pub(super) number: u32,
    pub(super) text: String,
    pub(super) voice: String,
    pub(super) index: u32,
    pub(super) id: String,
}

/// The copy of what is shown, without what stands over it: the caption says that. Nothing where the source
/// has it only as a canon.
pub(super) fn copied<'f>(aligned: &Aligned<'f>) -> Option<Copied<'f>> {
    let mut copied = aligned.example().copied();
    copied.keep(&aligned.score);
    copied.heading = Heading::default();
    (!copied.lines.is_empty()).then_some(copied)
}

impl Figure<'_> {
    /// The figure, and the drawings that it refers to.
    pub(super) fn written(&self, drawings: &mut Drawings, said: &Words) -> String {
        let mut html = format!(
            "<figure class=\"example\" id=\"{}\">\n<figcaption>{}</figcaption>\n<div class=\"views\">\n",
            Escaped(self.slug),
            self.caption
        );
        html.push_str(&self.layouts(drawings));
        html.push_str(&self.copies(drawings, said));
        html.push_str("</div>\n<p class=\"said\" aria-live=\"polite\"></p>\n");
        html.push_str(&self.tools(said));
        html.push_str(&self.below(said));
        let json = data(&self.data());
        html.push_str(&format!("<script type=\"application/json\">{json}</script>\n</figure>\n"));
        html
    }

    /// The score in three widths; a layout that is the same as the one before stands once.
    fn layouts(&self, drawings: &mut Drawings) -> String {
        let arranged = self.aligned.arrangement(self.options);
        let mut layouts: Vec<(Vec<&str>, String)> = Vec::new();
        for (name, width) in WIDTHS {
            let look = Look { width, margin: MARGIN, ..Look::default() };
            let picture = cropped(arranged.picture(&look), MARGIN);
            let svg = arranged.document().svg(&picture);
            match layouts.last_mut() {
                Some((names, last)) if *last == svg => names.push(name),
                _ => layouts.push((vec![name], svg)),
            }
        }
        let layout = |(names, svg): (Vec<&str>, String)| {
            let words = format!("{}: {}", self.words, self.described());
            let svg = drawings.take(&svg, &words);
            format!("<div class=\"layout {}\">\n{svg}</div>\n", names.join(" "))
        };
        layouts.into_iter().map(layout).collect()
    }

    /// What is seen, in words.
    fn described(&self) -> String {
        let score = &self.aligned.score;
        let voices: Vec<&str> = score.voices.iter().map(|voice| voice.name.as_str()).collect();
        let bars = match (score.bars.first(), score.bars.last()) {
            (Some(first), Some(last)) if first.number < last.number => {
                format!(", {}–{}", first.number, last.number)
            }
            _ => String::new(),
        };
        format!("{}{bars}", voices.join(", "))
    }

    /// The copy of the source, and the same with its strips.
    fn copies(&self, drawings: &mut Drawings, said: &Words) -> String {
        let Some(copied) = &self.copied else { return String::new() };
        let mut html = String::new();
        let look = Look { width: COPY, margin: MARGIN, ..Look::default() };
        let mut view = |class: &str, name: &str, credit: &str, strips: &Strips| {
            let strip = |voice, line| strips.get(&(voice, line)).cloned();
            let picture = cropped(copied.picture(&look, &Copy::default(), &strip), MARGIN);
            let svg = copied.document().svg(&picture);
            // Pictures of pages are counted in each example anew.
            let svg = svg.replace(" id=\"page", &format!(" id=\"{}-page", self.slug));
            let svg = svg.replace("href=\"#page", &format!("href=\"#{}-page", self.slug));
            let svg = drawings.take(&svg, &format!("{}: {name}", self.words));
            let credit = if credit.is_empty() {
                String::new()
            } else {
                format!("<p class=\"source\">{}</p>\n", Escaped(credit))
            };
            html.push_str(&format!(
                "<details class=\"{class}\"><summary>{name}</summary>\n{svg}{credit}</details>\n"
            ));
        };
        view("copy", said.copy, "", &Strips::new());
        if let Some((strips, credit)) = &self.strips {
            view("facsimile", said.facsimile, credit, strips);
        }
        html
    }

    fn tools(&self, said: &Words) -> String {
        let mut html = String::from("<p class=\"tools\">");
        match &self.recording {
            Some(recording) => html.push_str(&format!(
                "<audio controls=\"controls\" preload=\"none\" aria-label=\"{}\" src=\"{}\"></audio>\n",
                Escaped(&format!("{}: {}", said.sound, self.words)),
                address(recording)
            )),
            None => html.push_str(&format!(
                "<button type=\"button\" class=\"play\" hidden=\"hidden\" aria-pressed=\"false\" \
                 data-play=\"{0}\" data-stop=\"{1}\">{0}</button>\n",
                said.play, said.stop
            )),
        }
        for (name, at) in &self.downloads {
            html.push_str(&format!(
                "<a href=\"{}\" download=\"download\">{}</a>\n",
                address(at),
                Escaped(name)
            ));
        }
        html.push_str("</p>\n");
        html
    }

    /// The notes that belong to it.
    fn below(&self, said: &Words) -> String {
        let mut html = String::new();
        if !self.notes.is_empty() {
            let links = self.notes.iter().map(|note| {
                format!(
                    "<a href=\"#{}\">{}</a> ({} {})",
                    Escaped(&note.id),
                    note.number,
                    Escaped(&note.voice),
                    note.index
                )
            });
            let links: Vec<String> = links.collect();
            html.push_str(&format!("<p class=\"here\">{}: {}</p>\n", said.notes, links.join(", ")));
        }
        if !self.critical.is_empty() {
            html.push_str(&format!("<ul class=\"critical\" aria-label=\"{}\">\n", said.critical));
            for (letter, text, voice, index) in &self.critical {
                let letter = match index {
                    Some(index) => format!(
                        "<a href=\"#{}\" data-voice=\"{}\" data-note=\"{index}\">{letter}</a>",
                        Escaped(self.slug),
                        Escaped(voice)
                    ),
                    None => letter.clone(),
                };
                html.push_str(&format!("<li>{letter} {}</li>\n", Escaped(text)));
            }
            html.push_str("</ul>\n");
        }
        html
    }

    /// What the script needs to know: why every note lasts as long as it does, when it is played, what is said of it.
    fn data(&self) -> serde_json::Value {
        let score = &self.aligned.score;
        let voices: Vec<&str> = score.voices.iter().map(|voice| voice.name.as_str()).collect();
        let why: BTreeMap<&str, BTreeMap<u32, String>> = score
            .voices
            .iter()
            .map(|voice| {
                let seen = |event: &&TimedEvent| event.is_rest() || !voice.is_blank(event.onset);
                let events = voice.events.iter().filter(seen);
                let of_voice = events
                    .filter_map(|event| Some((event.index?, why_lasting(voice, event))))
                    .collect();
                (voice.name.as_str(), of_voice)
            })
            .collect();
        let performance =
            self.aligned.arrangement(self.options).performance(&self.aligned.playing());
        let frequencies = Tuning::default().frequencies(&performance);
        let thousandth = |number: f64| (number * 1000.0).round() / 1000.0;
        let played: Vec<serde_json::Value> = performance
            .notes
            .iter()
            .zip(frequencies)
            .map(|(note, frequency)| {
                let event = &score.voices[note.voice].events[note.event];
                json!([
                    note.voice,
                    event.index.unwrap_or(0),
                    thousandth(note.struck),
                    thousandth(note.released),
                    thousandth(frequency)
                ])
            })
            .collect();
        let critical: Vec<serde_json::Value> = self
            .critical
            .iter()
            .map(|(letter, text, voice, index)| {
                json!({ "letter": letter, "text": text, "voice": voice, "index": index })
            })
            .collect();
        let notes: Vec<serde_json::Value> = self
            .notes
            .iter()
            .map(|note| {
                json!({
                    "number": note.number,
                    "text": note.text,
                    "voice": note.voice,
                    "index": note.index
                })
            })
            .collect();
        json!({
            "voices": voices, "why": why, "played": played, "critical": critical, "notes": notes
        })
    }
}
