//! The rules of a date, as data: which figure of dissonance is free, and what else is a fault.
//!
//! Each table has a column for each rule set, and its source. Who adds a rule set adds a column.

mod dissonance;
mod movement;

pub use dissonance::{Figure, Manner};
pub use movement::Rule;

use crate::kinds::named;

named! {
    /// By which rules a piece is judged.
    #[derive(Default)]
    pub enum RuleSet {
        /// About 1500.
        About1500 = "1500",
        /// About 1560; the default.
        #[default]
        About1560 = "1560",
        /// The keyboard about 1560.
        Keyboard = "keyboard",
        /// The strict species of the school books.
        Species = "species",
    }
}

impl RuleSet {
    /// The rule set of a name.
    pub fn from_name(name: &str) -> Option<RuleSet> {
        RuleSet::ALL.iter().copied().find(|rules| rules.name() == name)
    }

    /// When it held.
    pub fn date(self) -> &'static str {
        match self {
            RuleSet::About1500 => "about 1500",
            RuleSet::About1560 => "about 1560",
            RuleSet::Keyboard => "about 1560, on the keyboard",
            RuleSet::Species => "the strict species, 1725",
        }
    }

    /// Where it is published. All from memory.
    pub fn source(self) -> &'static str {
        match self {
            RuleSet::About1500 => "Tinctoris, Liber de arte contrapuncti, 1477",
            RuleSet::About1560 => {
                "Zarlino, Istitutioni harmoniche, 1558, III; Jeppesen, The Style of Palestrina and \
                 the Dissonance, 1927"
            }
            RuleSet::Keyboard => "Santa María, the treatise on the fantasia, 1565",
            RuleSet::Species => "Fux, Gradus ad Parnassum, 1725, I",
        }
    }
}

named! {
    /// How much a finding weighs.
    pub enum Severity {
        /// Worth knowing; no rule is broken.
        Remark = "remark",
        /// The date allows it, or allows it at times; the school rules do not.
        Licence = "licence",
        /// The rules forbid it.
        Fault = "fault",
    }
}

/// What a rule set says about something; nothing where it is free.
pub type Judgement = Option<Severity>;

/// A row of a table: what each rule set says, in the order of [`RuleSet::ALL`].
type Row = [Judgement; RuleSet::ALL.len()];

const FREE: Judgement = None;
const REMARK: Judgement = Some(Severity::Remark);
const LICENCE: Judgement = Some(Severity::Licence);
const FAULT: Judgement = Some(Severity::Fault);
