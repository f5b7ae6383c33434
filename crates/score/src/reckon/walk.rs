//! The way through a voice: its events with the signs in force, stretch by stretch.

use notation::{Code, Diagnostic, ItemKind, Span, Voice};
use rudiments::{Mensuration, Proportion, Sign, Time, Value};

use super::figures::{self, Figures};
use super::questions::{Asked, Doubtful, Question};
use super::shape::NoteShape;
use super::signs::{InForce, Practice};
use super::written::Written;

/// The events of a voice, in order, not yet counted.
#[derive(Default)]
pub(super) struct Walked {
    pub(super) events: Vec<Written>,
    pub(super) stretches: Vec<Stretch>,
    /// By which mensuration bars are drawn from that event on: at every sign, change of perfection,
    /// ratio and double bar. Nothing in a proportion, whose passages have bars of their own, unless
    /// all is in twos.
    pub(super) mensurations: Vec<(usize, Option<Mensuration>)>,
    /// The first events of the sections after the first.
    pub(super) sections: Vec<usize>,
}

/// Events that are counted together: up to the next sign, change of perfection, or double bar.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Stretch {
    /// Its first event.
    pub(super) first: usize,
    pub(super) mensuration: Mensuration,
    /// The circle in force.
    pub(super) sign: Option<Sign>,
    /// Whether a figure 3 is in force.
    pub(super) triple: bool,
}

impl Walked {
    /// When the last event of each section begins, counted from the beginning of the section;
    /// nothing where that cannot be held exactly, or there is none.
    pub(super) fn last_onsets(&self) -> Vec<Option<Time>> {
        let all = self.events.len();
        let starts = std::iter::once(0).chain(self.sections.iter().copied());
        let ends = self.sections.iter().copied().chain(std::iter::once(all));
        starts
            .zip(ends)
            .map(|(start, end)| {
                let before_last = self.events.get(start..end.checked_sub(1)?)?;
                let mut lengths = before_last.iter().map(Written::sung);
                lengths.try_fold(Time::ZERO, Time::checked_add)
            })
            .collect()
    }
}

struct Walk<'p> {
    practice: Practice,
    in_force: InForce,
    walked: Walked,
    /// The sign since which no event has come.
    fresh: Option<Fresh>,
    /// Whether a ratio was typed since the last event.
    after_ratio: bool,
    asked: &'p mut Asked,
    diagnostics: &'p mut Vec<Diagnostic>,
}

struct Fresh {
    span: Span,
    sign: Sign,
    questions: Vec<Question>,
    /// Whether it opens the voice.
    opens: bool,
    /// Whether the editor has said which values are perfect.
    perfection: bool,
}

/// Walks through a voice under a practice.
pub(super) fn walk(
    voice: &Voice,
    practice: Practice,
    asked: &mut Asked,
    diagnostics: &mut Vec<Diagnostic>,
) -> Walked {
    let figures = figures::find(voice);
    let figures_mark = practice.readings.of(Question::Group) == 0;
    let bare = voice.items.iter().any(|item| figures::is_bare_three(&item.kind));
    let next_colored = if bare { next_colored(voice) } else { Vec::new() };
    let mut walk = Walk {
        practice,
        in_force: InForce::beginning(),
        walked: Walked::default(),
        fresh: None,
        after_ratio: false,
        asked,
        diagnostics,
    };
    walk.begin_stretch();
    if let Some(sign) = voice.sign {
        walk.sign(sign, voice.span);
        if let Some(fresh) = &mut walk.fresh {
            fresh.opens = true;
        }
    }
    for (place, item) in voice.items.iter().enumerate() {
        if !item.standing.is_read() {
            continue;
        }
        match &item.kind {
            ItemKind::Event(event) => walk.event(event),
            ItemKind::Sign(_)
                if figures::is_bare_three(&item.kind)
                    && (next_colored[place] || figures.signs.contains(&place)) =>
            {
                walk.figure_of_group(item.span);
                if !figures_mark && let ItemKind::Sign(sign) = item.kind {
                    walk.sign(sign, item.span);
                }
            }
            ItemKind::Sign(sign) => walk.sign(*sign, item.span),
            ItemKind::Ratio(ratio) => walk.ratio(*ratio),
            ItemKind::Perfection { value, perfect } => walk.perfection(*value, *perfect),
            ItemKind::SectionEnd | ItemKind::Repeat => {
                walk.walked.sections.push(walk.walked.events.len());
                walk.begin_stretch();
            }
            _ => {}
        }
    }
    if figures_mark {
        mark(&mut walk.walked.events, &figures);
    }
    walk.walked
}

/// For every item, whether the next note that is read is black.
fn next_colored(voice: &Voice) -> Vec<bool> {
    let mut next = false;
    let mut colored: Vec<bool> = voice
        .items
        .iter()
        .rev()
        .map(|item| {
            if let (ItemKind::Event(event), true) = (&item.kind, item.standing.is_read()) {
                next = event.colored;
            }
            next
        })
        .collect();
    colored.reverse();
    colored
}

fn mark(events: &mut [Written], figures: &Figures) {
    for group in &figures.events {
        for event in &mut events[group.clone()] {
            event.figured = true;
        }
    }
}

impl Walk<'_> {
    fn begin_stretch(&mut self) {
        self.walked.stretches.push(Stretch {
            first: self.walked.events.len(),
            mensuration: self.in_force.mensuration(),
            sign: self.in_force.circle,
            triple: self.in_force.triple,
        });
        self.note_mensuration();
    }

    fn note_mensuration(&mut self) {
        let (mensuration, proportion) = (self.in_force.mensuration(), self.in_force.proportion());
        let halves = mensuration.is_imperfect() && (proportion.many() as u64).is_power_of_two();
        let plain = !self.in_force.triple && (proportion.is_equal() || halves);
        let mensuration = plain.then_some(mensuration);
        self.walked.mensurations.push((self.walked.events.len(), mensuration));
    }

    fn event(&mut self, event: &notation::Event) {
        if let Some(fresh) = self.fresh.take() {
            self.ask(&fresh);
        }
        let mut written = Written::new(NoteShape::of(event));
        written.proportion = self.in_force.proportion();
        written.ratio_decides = std::mem::take(&mut self.after_ratio) || self.in_force.by_ratio;
        self.walked.events.push(written);
    }

    fn ask(&mut self, fresh: &Fresh) {
        for question in &fresh.questions {
            let in_force = self.in_force;
            self.asked.ask(*question, || Doubtful {
                span: fresh.span,
                opens: fresh.opens,
                what: format!("the sign {} is", fresh.sign),
                reading: format!("{}, {}", spoken(in_force.proportion()), perfection(&in_force)),
            });
        }
    }

    fn sign(&mut self, sign: Sign, span: Span) {
        if let Ok((next, questions)) = self.in_force.after_sign(sign, self.practice) {
            self.in_force = next;
            self.fresh = Some(Fresh { span, sign, questions, opens: false, perfection: false });
        } else {
            let message = format!("the proportion of the sign {sign} is too large to be kept");
            self.diagnostics.push(
                Diagnostic::new(Code::TimeTooFine, span, message)
                    .help("its figures go up to 64; it is ignored here"),
            );
        }
        self.begin_stretch();
    }

    fn ratio(&mut self, ratio: Proportion) {
        let explains = self.fresh.take().is_some_and(|fresh| !fresh.perfection);
        self.in_force = self.in_force.after_ratio(ratio, explains);
        self.after_ratio = true;
        if explains {
            self.begin_stretch();
        } else {
            self.note_mensuration();
        }
    }

    fn perfection(&mut self, value: Value, perfect: bool) {
        self.in_force = self.in_force.after_perfection(value, perfect);
        if let Some(fresh) = &mut self.fresh {
            // What is left to ask of a fraction is which value is perfect.
            fresh.questions.retain(|question| *question != Question::Fraction);
            fresh.perfection = true;
        }
        self.begin_stretch();
    }

    fn figure_of_group(&mut self, span: Span) {
        let sign = self.practice.readings.of(Question::Group) == 1;
        self.asked.ask(Question::Group, || Doubtful {
            span,
            opens: false,
            what: "the figure 3 at black notes is".to_owned(),
            reading: if sign { "a sign of proportion" } else { "the mark of its group" }.to_owned(),
        });
    }
}

/// `three in the time of two`
fn spoken(proportion: Proportion) -> String {
    if proportion.is_equal() {
        return "without change of pace".to_owned();
    }
    format!("{} in the time of {}", proportion.many(), proportion.in_time_of())
}

/// `the semibreve perfect`
fn perfection(in_force: &InForce) -> String {
    let names: Vec<&str> = in_force.mensuration().perfect_values().map(Value::name).collect();
    if names.is_empty() {
        return "no value perfect".to_owned();
    }
    format!("the {} perfect", names.join(" and the "))
}
