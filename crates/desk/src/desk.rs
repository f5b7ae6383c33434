//! From a text to what is shown of it.

use cartella::{BarLength, Copied, Diagnostic, Document, Example, Options};

use crate::message::{Printed, Shown, Strip, Voice};
use crate::places::Places;
use crate::systems::{Systems, within};
use crate::{events, findings, printed, unfinished};

/// What is to be shown.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct View<'v> {
    /// The whole text.
    pub text: &'v str,
    /// The example, in a file of several; else, and where there is none of that name, the one of the cursor.
    pub example: Option<&'v str>,
    /// The byte before which the cursor stands.
    pub cursor: u32,
    /// How wide the score is, in millimetres.
    pub width: f64,
}

/// Shows texts as they are typed. It keeps what it made of the last one, and makes anew only what has
/// changed; what it shows does not depend on what it keeps.
#[derive(Default)]
pub struct Desk {
    systems: Systems,
    last: Option<Laid>,
}

/// What was made of a text, wherever the cursor stands in it.
struct Laid {
    document: Document,
    example: Option<String>,
    place: usize,
    width: f64,
    diagnostics: Vec<Diagnostic>,
    shown: Shown,
}

impl Laid {
    fn example(&self) -> Example<'_> {
        self.document.examples().nth(self.place).unwrap_or_else(|| self.document.first())
    }
}

impl Desk {
    /// A desk that has shown nothing yet.
    pub fn new() -> Desk {
        Desk::default()
    }

    /// What a text shows. Drawings whose hashes are in `have` are named but not written out.
    ///
    /// ```
    /// use desk::{Desk, View};
    ///
    /// let text = "voice Cantus clef C1\n  sb A4 B lg C5 //\n";
    /// let view = View { text, cursor: 30, width: 180.0, ..View::default() };
    /// let mut desk = Desk::new();
    /// let shown = desk.show(&view, &[]);
    /// assert_eq!((shown.systems.len(), shown.events.len(), shown.bars), (1, 3, 2));
    /// let again = desk.show(&view, &[shown.systems[0].hash.clone()]);
    /// assert_eq!(again.systems[0].svg, None);
    /// ```
    pub fn show(&mut self, view: &View<'_>, have: &[String]) -> Shown {
        let laid = self.laid(view);
        let mut shown = laid.shown.clone();
        for drawn in &mut shown.systems {
            if have.contains(&drawn.hash) {
                drawn.svg = None;
            }
        }
        let (example, places) = (laid.example(), Places::of(laid.example()));
        let voice = places.voice_at(view.cursor);
        let typed = unfinished::is_being_typed(example.piece(), voice);
        let shared = laid.document.shared_diagnostics().iter();
        let found = shared.chain(&laid.diagnostics);
        let found = found.filter(|found| !(typed && unfinished::is_of_length(found)));
        shown.findings = findings::findings(example, &places, found);
        shown.voice = line_of(&example.copied(), &places, view);
        shown
    }

    /// The line in which the cursor stands, as printed.
    pub fn line(&mut self, view: &View<'_>) -> Option<Printed> {
        let example = self.laid(view).example();
        line_of(&example.copied(), &Places::of(example), view)
    }

    fn laid(&mut self, view: &View<'_>) -> &Laid {
        let example = view.example.map(str::to_owned);
        let last = self.last.take().filter(|last| {
            last.document.text() == view.text
                && last.example == example
                && last.width.to_bits() == view.width.to_bits()
                && (example.is_some() || last.document.examples().len() == 1)
        });
        let laid = last.unwrap_or_else(|| laid(view, example, &mut self.systems));
        self.last.insert(laid)
    }
}

fn laid(view: &View<'_>, example: Option<String>, systems: &mut Systems) -> Laid {
    let document = Document::parse(view.text);
    let place = example_of(&document, view);
    let chosen = document.examples().nth(place).unwrap_or_else(|| document.first());
    let aligned = chosen.check(BarLength::Breve, Options::USUAL_REACH);
    let score = &aligned.score;
    let drawn = if score.bars.is_empty() {
        Vec::new()
    } else {
        systems.draw(&aligned.arrangement(Options::default()), within(view.width))
    };
    let shown = Shown {
        systems: drawn,
        events: events::events(score),
        bars: score.bars.len(),
        voices: voices(chosen),
        strips: strips(chosen),
        ..Shown::default()
    };
    let diagnostics = aligned.diagnostics;
    Laid { document, example, place, width: view.width, diagnostics, shown }
}

/// Which example is shown.
fn example_of(document: &Document, view: &View<'_>) -> usize {
    let named =
        document.examples().position(|one| one.name().is_some() && one.name() == view.example);
    let begins = |one: &Example<'_>| one.piece().head.example.as_ref().map(|name| name.span.start);
    let begun =
        || document.examples().filter_map(|one| begins(&one)).filter(|at| *at <= view.cursor);
    named.unwrap_or_else(|| begun().count().saturating_sub(1))
}

fn line_of(copied: &Copied<'_>, places: &Places, view: &View<'_>) -> Option<Printed> {
    let voice = places.voice_at(view.cursor)?;
    let line = printed::line_at(copied, voice, view.cursor)?;
    Some(printed::drawn(copied.example().piece(), line, within(view.width)))
}

fn voices(example: Example<'_>) -> Vec<Voice> {
    let places = Places::of(example);
    let voice = |(place, voice): (usize, &cartella::Voice)| {
        let (start, end) = places.first_of(place);
        Voice { name: voice.name.clone(), lines: voice.source_lines(), start, end }
    };
    example.piece().voices.iter().enumerate().map(voice).collect()
}

fn strips(example: Example<'_>) -> Vec<Strip> {
    let piece = example.piece();
    let strip = |found: &cartella::Facsimile| Strip {
        voice: found.voice.map_or("*".to_owned(), |voice| piece.voices[voice].name.clone()),
        line: found.line,
        file: found.file.clone(),
        page: found.page,
        x: found.x,
        y: found.y,
        w: found.width,
        h: found.height,
        angle: found.angle,
        start: found.span.start,
        end: found.span.end,
    };
    piece.head.facsimiles.iter().map(strip).collect()
}
