//! What a file says of the length of a single note or rest, beyond its value: `num` and `numbase`,
//! and `dur.quality`.

use roxmltree::Node;
use rudiments::Proportion;

use super::definition::lowest;
use crate::reading::Remarks;

/// What a file says of the length of a note or rest.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Said {
    /// `num` in the time of `numbase`, as against the whole length of the value.
    pub(super) ratio: Option<Proportion>,
    pub(super) quality: Option<Quality>,
    /// Whether it stands under a ratio that was made of `num` and `numbase`.
    pub(super) in_ratio: bool,
}

/// Perfect, imperfect or altered (MEI's `data.DURQUALITY.mensural`).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Quality {
    Perfect,
    Imperfect,
    Altered,
}

impl Said {
    pub(super) fn is_something(self) -> bool {
        self.ratio.is_some() || self.quality.is_some()
    }

    /// Takes in the attributes of a note, rest or chord.
    pub(super) fn take(&mut self, node: Node<'_, '_>, remarks: &mut Remarks) {
        match node.attribute("dur.quality") {
            None => {}
            Some("perfecta") => self.quality = Some(Quality::Perfect),
            Some("imperfecta") => self.quality = Some(Quality::Imperfect),
            Some("altera" | "alterata") => self.quality = Some(Quality::Altered),
            Some(_) => remarks.about(
                node,
                "a quality of a note (`dur.quality`) other than perfect, imperfect and altered is \
                 not kept",
            ),
        }
        let (num, numbase) = (node.attribute("num"), node.attribute("numbase"));
        if num.is_some() || numbase.is_some() {
            let figure = |text: Option<&str>| text.unwrap_or("1").trim().parse().ok();
            let ratio = figure(num).zip(figure(numbase)).and_then(|(num, base)| lowest(num, base));
            if ratio.is_none() {
                remarks.about(
                    node,
                    "a proportion of a note or rest (`num`, `numbase`) with figures other than 1 \
                     to 64 is not kept",
                );
            }
            self.ratio = ratio.or(self.ratio);
        }
    }
}
