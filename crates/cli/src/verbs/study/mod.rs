//! `study`: what a piece does, as the page that a teacher would write, as JSON, or drawn.

mod json;
mod text;
mod write;

use cartella::{Aligned, PagePart, RuleSet, Study as Studied};

use crate::Outcome;
use crate::arguments::{Format, Rules, Study, Without};
use crate::files::{Failure, Inputs, is_standard_output};
use crate::many::{Answer, Frame, each};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::streams::Stream;
use crate::verbs::grid::over;

pub(crate) fn run(options: &Study, colors: bool) -> Result<Outcome, Failure> {
    write::check(options)?;
    let several = options.files.len() > 1;
    // An output on standard output leaves no room for the page there.
    let to = Stream::beside(options.output.iter().any(|path| is_standard_output(path)));
    let between = if options.format == Format::Text { "\n" } else { "" };
    let frame = Frame { between, sought: "errors or faults", ..Frame::none(to) };
    let inputs = Inputs::of(&options.files);
    each(&options.files, options.many.jobs, &frame, |path| {
        let loaded = Loaded::read(path)?;
        let (mut out, mut err, mut outcome) =
            (Printed::default(), Printed::default(), Outcome::Done);
        if several && options.format == Format::Text {
            out += loaded.heading();
        }
        let only = if options.output.is_empty() { None } else { Some(loaded.one()?) };
        for (place, example) in loaded.examples().enumerate() {
            let mut aligned = example.score(options.bars.bar.into());
            aligned.score.heading.file = loaded.stem();
            let name = loaded.label(example);
            let source = loaded.source(&name);
            let errors = loaded.errors(example, &aligned.diagnostics);
            err += source.render(&errors, colors);
            outcome = outcome.max(Outcome::of(&errors));
            let studied = aligned.study(options.rules.into());
            if studied.has_faults() {
                outcome = Outcome::Findings;
            }
            out += match options.format {
                Format::Json => {
                    json::answer(&aligned, &studied, several.then(|| loaded.file()), &source)
                }
                Format::Text if options.accidentals => Printed::plain(
                    over(example, place) + &text::accidentals(&aligned, &studied, &name),
                ),
                Format::Text if !options.output.is_empty() => Printed::default(),
                Format::Text => {
                    let page = aligned.page(&studied, &left_out(options));
                    let blank = if place > 0 { "\n" } else { "" };
                    Printed::plain(blank.to_owned() + &text::page(&page))
                }
            };
            if only.is_some() {
                err += write::outputs(options, &aligned, &studied, &inputs, &name)?;
            }
        }
        Ok(Answer { out, err, outcome })
    })
}

/// The parts of the page that are left out; a page of text has no drawings.
fn left_out(options: &Study) -> Vec<PagePart> {
    let drawn = [PagePart::Plan, PagePart::Reduction, PagePart::Cards];
    options.without.iter().copied().map(PagePart::from).chain(drawn).collect()
}

/// Whether something is found that the rules forbid.
trait HasFaults {
    fn has_faults(&self) -> bool;
}

impl HasFaults for Studied {
    fn has_faults(&self) -> bool {
        self.findings.iter().any(|found| found.severity == cartella::Weight::Fault)
    }
}

impl From<Rules> for RuleSet {
    fn from(rules: Rules) -> RuleSet {
        match rules {
            Rules::About1500 => RuleSet::About1500,
            Rules::About1560 => RuleSet::About1560,
            Rules::Keyboard => RuleSet::Keyboard,
            Rules::Species => RuleSet::Species,
        }
    }
}

impl From<Without> for PagePart {
    fn from(part: Without) -> PagePart {
        match part {
            Without::Subjects => PagePart::Subjects,
            Without::Entries => PagePart::Entries,
            Without::Cadences => PagePart::Cadences,
            Without::Texture => PagePart::Texture,
            Without::Dissonance => PagePart::Dissonance,
            Without::Faults => PagePart::Faults,
            Without::Practise => PagePart::Practise,
            Without::Uncertain => PagePart::Uncertain,
            Without::Plan => PagePart::Plan,
            Without::Reduction => PagePart::Reduction,
            Without::Cards => PagePart::Cards,
        }
    }
}

/// The printed number of an event, its line and its column.
fn place_of(
    aligned: &Aligned<'_>,
    source: &crate::report::Source<'_>,
    event: cartella::EventId,
) -> (Option<u32>, Option<(u32, u32)>) {
    let voice = aligned.score.voices.get(event.voice);
    let event = voice.and_then(|voice| voice.events.get(event.event));
    let typed = event.filter(|event| event.item.is_some());
    let place = typed.map(|event| source.place(event.span));
    (event.and_then(|event| event.index), place)
}
