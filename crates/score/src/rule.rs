//! The rules that give an event its length.

use rudiments::Value;

/// Which rule of reckoning gave an event its length.
///
/// The sources, all from memory: Franco of Cologne, *Ars cantus mensurabilis* (about 1280), for
/// perfection, imperfection and alteration; Tinctoris, *Tractatus de regulari valore notarum*, *De
/// imperfectione notarum*, *De alterationibus*, *Scriptum super punctis musicalibus* (about 1475),
/// and Gaffurius, *Practica musicae* (1496), book 2, for the same in white notation, for remote
/// imperfection, dots and coloration; Praetorius, *Syntagma musicum* III (1619), for the practice
/// of prints.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Rule {
    /// Two of the smaller in one of the larger.
    #[default]
    Plain,
    /// A dot of addition: half of it is added.
    DotAdds,
    /// A dot of division after it: it parts perfections and adds nothing.
    DotDivides,
    /// A long rest: as many breves as it covers spaces.
    LongRest,
    /// Perfect, as nothing makes it imperfect.
    Perfect,
    /// *Similis ante similem perfecta*: perfect before its like.
    Like,
    /// Perfect by the dot of perfection.
    DotPerfects,
    /// A rest of a perfect value, which is never made imperfect.
    PerfectRest,
    /// Made imperfect from behind, by what follows (*a parte post*).
    After,
    /// Made imperfect from before, by what precedes (*a parte ante*).
    Before,
    /// A part of it is made imperfect by what follows (*quoad partem*, remote).
    PartAfter,
    /// A part of it is made imperfect by what precedes.
    PartBefore,
    /// Parts of it are made imperfect from both sides, by two.
    PartBoth,
    /// Made imperfect as a whole, and a part of it too.
    Twice,
    /// Altered: doubled, to fill a perfection before a larger note.
    Altered,
    /// Coloration makes it imperfect.
    ColoredImperfect,
    /// Coloration in duple time: two thirds of its plain value.
    ColoredThirds,
    /// Coloration in duple time: three black in the time of one white.
    ColoredThreeForOne,
    /// Coloration in duple time that leaves the value as it is.
    ColoredPlain,
    /// Coloration of which the editor's ratio says all.
    ColoredByRatio,
    /// The minor color: a black semibreve and minim as dotted minim and semiminim.
    MinorColor,
    /// It belongs to a group that a figure 3 marks as black notes, three in the time of one white.
    Figure,
    /// The editor's length.
    Editor,
    /// The last note of its voice or section, held or trimmed to where the voices meet.
    Held,
    /// Its length could not be kept exactly; it is counted with its plain value.
    TooFine,
    /// A rest that nobody printed.
    Silence,
}

impl Rule {
    /// What the rule says of an event, to follow a colon.
    pub fn sentence(self) -> &'static str {
        match self {
            Rule::Plain => "two of the smaller value make one of it, and no rule changes that",
            Rule::DotAdds => "the dot adds half of it",
            Rule::DotDivides => "the dot after it divides two perfections and adds nothing",
            Rule::LongRest => "a long rest has as many breves as it covers spaces",
            Rule::Perfect => "it is perfect, three of the smaller, as nothing makes it imperfect",
            Rule::Like => "like before like is perfect, three of the smaller",
            Rule::DotPerfects => "the dot of perfection keeps it perfect, three of the smaller",
            Rule::PerfectRest => "the rest is perfect, as a rest is never made imperfect",
            Rule::After => "what follows makes it imperfect and takes a third of it",
            Rule::Before => "what precedes makes it imperfect and takes a third of it",
            Rule::PartAfter => "what follows makes its last part imperfect",
            Rule::PartBefore => "what precedes makes its first part imperfect",
            Rule::PartBoth => "what precedes and what follows make parts of it imperfect",
            Rule::Twice => "it is made imperfect as a whole, and a part of it too",
            Rule::Altered => {
                "it is altered, that is doubled, to fill the perfection before a larger note"
            }
            Rule::ColoredImperfect => "its colour makes it imperfect",
            Rule::ColoredThirds => "black in duple time, it lasts two thirds of its plain value",
            Rule::ColoredThreeForOne => "black in duple time, three last as long as one white",
            Rule::ColoredPlain => "black in duple time, it keeps its value, as the voices go",
            Rule::ColoredByRatio => "it is black, and the ratio says how long it lasts",
            Rule::MinorColor => {
                "a black semibreve and minim are sung as a dotted minim and a semiminim"
            }
            Rule::Figure => "the figure 3 marks its group as black, three in the time of one white",
            Rule::Editor => "the editor says so",
            Rule::Held => "the last of its section, it is held or trimmed to where the voices meet",
            Rule::TooFine => "its length cannot be kept exactly, so its plain value counts",
            Rule::Silence => "its voice has ended",
        }
    }

    /// The rule of a value that nothing changes.
    pub(crate) fn unchanged(value: Value, rest: bool, perfect: bool) -> Rule {
        match (perfect, rest) {
            (true, true) if value <= Value::Semibreve => Rule::PerfectRest,
            (true, false) if value <= Value::Semibreve => Rule::Perfect,
            _ => Rule::Plain,
        }
    }
}
