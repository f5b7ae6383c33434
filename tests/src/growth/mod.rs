//! How long each step of the way takes, on pieces of many kinds.

mod pieces;

use std::fs;
use std::hint::black_box;
use std::time::{Duration, Instant};

use counterpoint::causes::causes;
use counterpoint::mend::{Looked, emend, look, retype};
use engrave::{Look, Paper, audit, engrave, engrave_on, pages, pdf, svg};
use exchange::{read_musicxml, write_midi, write_musicxml};
use notation::{Diagnostic, LineIndex, Parsed, Spelling, parse, tidy};
use score::{
    BarLength, Basis, Options, Score, Side, Staves, align, arrange, check, collate, merge, reckon,
    report,
};
use sound::{Playing, perform};

pub use pieces::{KINDS, Kind};

/// A step, and how much of the processor's time it took.
pub type Taken = (&'static str, Duration);

/// What a step works on.
struct Work {
    text: String,
    parsed: Parsed,
    score: Score,
    diagnostics: Vec<Diagnostic>,
}

/// Goes the whole way with a text, and says how long each step took.
pub fn steps(text: &str) -> Vec<Taken> {
    let mut taken = Vec::new();
    let mut step = |name, work: &mut dyn FnMut()| {
        let begin = now();
        work();
        taken.push((name, now().saturating_sub(begin)));
    };
    let mut parsed = None;
    step("parse", &mut || parsed = Some(parse(text)));
    let parsed = parsed.unwrap_or_else(|| parse(""));
    step("tidy", &mut || drop(tidy(text, Spelling::default())));
    let mut reckoned = None;
    step("reckon", &mut || reckoned = Some(reckon(&parsed.piece)));
    let reckoned = reckoned.unwrap_or_else(|| reckon(&parsed.piece));
    let mut aligned = None;
    step("align", &mut || aligned = Some(align(&parsed.piece, reckoned.clone(), BarLength::Breve)));
    let Some(aligned) = aligned else { return taken };
    let mut diagnostics = parsed.diagnostics.clone();
    step("check", &mut || {
        let checked = check(&parsed.piece, BarLength::Semibreve, Options::USUAL_REACH);
        diagnostics.extend(checked.diagnostics);
    });
    let work = Work { text: text.to_owned(), parsed, score: aligned.score, diagnostics };
    work.written(&mut step);
    work.drawn(&mut step);
    work.weighed(&mut step);
    taken
}

/// A step by its name.
type Step<'s> = dyn FnMut(&'static str, &mut dyn FnMut()) + 's;

impl Work {
    /// What is written for other programs.
    fn written(&self, step: &mut Step<'_>) {
        step("midi", &mut || {
            drop(write_midi(&self.score, &perform(&self.score, &Playing::default(), None)));
        });
        step("report", &mut || drop(report(&self.parsed.piece, &self.score).text()));
        for staves in [Staves::Keyboard, Staves::Open] {
            let keyboard = staves == Staves::Keyboard;
            let mut arrangement = None;
            step(if keyboard { "arrange" } else { "arrange, open" }, &mut || {
                arrangement = Some(arrange(&self.score, Options { staves, ..Options::default() }));
            });
            let Some(arrangement) = arrangement else { return };
            let mut xml = String::new();
            step(if keyboard { "MusicXML" } else { "MusicXML, open" }, &mut || {
                xml = write_musicxml(&arrangement).unwrap_or_default();
            });
            if keyboard {
                step("MusicXML read", &mut || drop(read_musicxml("score", xml.as_bytes(), None)));
            }
        }
    }

    /// What is drawn.
    fn drawn(&self, step: &mut Step<'_>) {
        let arrangement = arrange(&self.score, Options::default());
        let mut picture = None;
        step("engrave", &mut || picture = Some(engrave(&arrangement, &Look::default())));
        let Some(picture) = picture else { return };
        let index = LineIndex::new(&self.text);
        step("svg", &mut || drop(svg(&picture, &|span| index.line(span.start))));
        step("audit", &mut || drop(audit(&picture)));
        let mut on_paper = None;
        step("engrave on paper", &mut || {
            on_paper = Some(engrave_on(&arrangement, &Look::default(), &Paper::A4));
        });
        let mut book = None;
        step("pages", &mut || {
            book = Some(pages(on_paper.take().into_iter().collect(), &Paper::A4));
        });
        let Some(book) = book else { return };
        step("pdf", &mut || drop(pdf(&book, None)));
    }

    /// What is compared and weighed.
    fn weighed(&self, step: &mut Step<'_>) {
        let Work { text, parsed, score, diagnostics } = self;
        let with_slips = slipped(text);
        let other = parse(&with_slips);
        let other_score = align(&other.piece, reckon(&other.piece), BarLength::Breve).score;
        let left = Side { piece: &parsed.piece, score };
        let right = Side { piece: &other.piece, score: &other_score };
        let mut collation = None;
        step("collate", &mut || collation = Some(collate(left, right, Basis::Printed)));
        step("collate sounding", &mut || drop(collate(left, right, Basis::Sounding)));
        if let Some(collation) = collation {
            step("merge", &mut || drop(merge(text, parsed, &collation)));
        }
        let mut looked = Looked::default();
        step("mend", &mut || looked = look(text, &parsed.piece, score));
        step("causes", &mut || drop(black_box(causes(&parsed.piece, diagnostics, &looked))));
        step("retype", &mut || {
            for suggestion in &looked.suggestions {
                black_box(retype(text, parsed, suggestion));
                black_box(emend(text, parsed, suggestion));
            }
        });
    }
}

/// The text with another note here and there.
fn slipped(text: &str) -> String {
    let mut number = 0;
    let words = text.split_inclusive(' ').map(|word| {
        number += usize::from(word == "D4 ");
        if word == "D4 " && number % 100 == 0 { "C4 " } else { word }
    });
    words.collect()
}

/// How much time the processor has given to this thread, where the system says; else the clock.
fn now() -> Duration {
    thread_local!(static BEGIN: Instant = Instant::now());
    let spent = fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = spent.as_deref().and_then(|spent| spent.split(' ').next()?.parse().ok());
    nanoseconds.map_or_else(|| BEGIN.with(Instant::elapsed), Duration::from_nanos)
}
