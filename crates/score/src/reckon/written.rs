//! An event on its way to its length.

use notation::Dot;
use rudiments::{Mensuration, Proportion, Time, Value};

use super::shape::NoteShape;
use crate::rule::Rule;

/// A note or rest as printed, and what has been found of its length so far.
#[derive(Clone, Debug)]
pub(super) struct Written {
    pub(super) value: Value,
    pub(super) rest: bool,
    /// Over how many spaces a long rest stands.
    spaces: Option<u8>,
    pub(super) dot: Option<Dot>,
    /// Whether it completes the dotted note before it.
    pub(super) completing: bool,
    pub(super) colored: bool,
    /// The editor's length.
    pub(super) typed: Option<Time>,
    /// The values that are perfect.
    pub(super) mensuration: Mensuration,
    /// The proportion in force.
    pub(super) proportion: Proportion,
    /// Whether the editor's ratio says all, if this is the first of a black group: it is in force,
    /// or `ratio 1:1` stands right before it.
    pub(super) ratio_decides: bool,
    /// Whether figures mark it as black.
    pub(super) figured: bool,

    /// In minims, before the proportion in force.
    pub(super) length: Time,
    /// A proportion beside the one in force, by coloration; the length has it already.
    pub(super) group: Proportion,
    /// What the dot does.
    pub(super) sense: Sense,
    /// Whether no rule of perfection may change it.
    pub(super) fixed: bool,
    /// Whether it is made imperfect by coloration.
    pub(super) black: bool,
    /// Whether what precedes has taken a part of it, in the perfection being counted.
    pub(super) lost_before: bool,
    pub(super) rule: Rule,
}

/// What a dot does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Sense {
    /// There is none.
    None,
    /// It adds half.
    Adds,
    /// It keeps a perfect note perfect.
    Perfects,
    /// It parts two perfections.
    Divides,
}

impl Written {
    pub(super) fn new(shape: NoteShape) -> Written {
        let NoteShape { value, rest, spaces, dot, completing, colored, set } = shape;
        Written {
            value,
            rest,
            spaces,
            dot,
            completing,
            colored,
            typed: set,
            mensuration: Mensuration::IMPERFECT,
            proportion: Proportion::EQUAL,
            ratio_decides: false,
            figured: false,
            length: Time::ZERO,
            group: Proportion::EQUAL,
            sense: Sense::None,
            fixed: false,
            black: false,
            lost_before: false,
            rule: Rule::Plain,
        }
    }

    /// Its length where nothing changes it, a dot of addition considered.
    pub(super) fn count_alone(&mut self, mensuration: Mensuration) {
        self.mensuration = mensuration;
        let mensuration = if self.black { Mensuration::IMPERFECT } else { mensuration };
        if let Some(typed) = self.typed {
            (self.length, self.fixed, self.rule) = (typed, true, Rule::Editor);
            return;
        }
        self.length = match self.spaces {
            Some(spaces) => mensuration.full(Value::Breve) * spaces as i64,
            None => mensuration.full(self.value),
        };
        self.rule = match self.spaces {
            Some(_) => Rule::LongRest,
            None if self.black => Rule::ColoredImperfect,
            None => Rule::unchanged(self.value, self.rest, mensuration.is_perfect(self.value)),
        };
        match self.sense {
            Sense::Adds => {
                self.length += self.length.half();
                self.rule = Rule::DotAdds;
            }
            Sense::Perfects => self.rule = Rule::DotPerfects,
            Sense::Divides => self.rule = Rule::DotDivides,
            Sense::None => {}
        }
    }

    /// The length as sung, in the proportion in force; the editor's is what it is.
    pub(super) fn sung(&self) -> Time {
        let as_is = self.typed.is_some() || self.proportion.is_equal();
        if as_is { self.length } else { self.length * self.proportion }
    }

    /// All proportions in which it stands.
    pub(super) fn whole_proportion(&self) -> Proportion {
        match (self.typed, self.group.is_equal()) {
            (Some(_), _) => Proportion::EQUAL,
            (None, true) => self.proportion,
            (None, false) => self.proportion.and(self.group),
        }
    }

    /// Whether the printed value, dotted, is as long as this.
    pub(super) fn is_dotted(&self) -> bool {
        match (self.typed, self.group.is_equal()) {
            (Some(_), _) | (None, false) => self.sense == Sense::Adds,
            (None, true) => {
                let plain = self.value.plain();
                self.length == plain + plain.half()
            }
        }
    }
}
