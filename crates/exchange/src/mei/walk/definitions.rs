//! Clefs, signatures and signs, at the beginning and inside a voice.

use notation::ItemKind;
use roxmltree::Node;
use rudiments::{Clef, Sign, Signature, Value};

use super::Walk;
use crate::mei::definition::{self, Counting};
use crate::mei::voice::Item;
use crate::{Fault, ReadError};

impl<'a, 'i> Walk<'a, 'i, '_> {
    pub(super) fn definition(&mut self, node: Node<'a, 'i>) -> Result<(), ReadError> {
        self.remarks.attributes(node, definition::ATTRIBUTES);
        if let Some(notation) = node.attribute("notationtype") {
            if !notation.starts_with("mensural") {
                let notation = notation.chars().take(24).collect();
                return Err(self.remarks.fault(node, Fault::NotMensural { notation }));
            }
            if notation.ends_with("black") {
                self.remarks
                    .about(node, "black notation is read value for value as if it were white");
            }
        }
        if node.attribute("lines").is_some_and(|lines| lines != "5") {
            self.remarks.about(node, "a staff of other than five lines is read as one of five");
        }
        if let Some(value) = node.attribute("dur.default") {
            self.default_value = definition::value(value);
        }
        if let Some(clef) = definition::clef(node, "clef.", self.remarks) {
            self.clef(node, clef);
        }
        if let Some(signature) = definition::signature(node, self.remarks) {
            self.signature(node, signature);
        }
        let counting = definition::counting_of_definition(node, self.remarks);
        self.counting(node, &counting);
        Ok(())
    }

    /// Whether nothing was read yet but what stands at the beginning of a voice.
    pub(super) fn is_beginning(&self) -> bool {
        self.voice.items.is_empty()
    }

    pub(super) fn clef(&mut self, node: Node<'_, '_>, clef: Clef) {
        let before = self.now.clef.replace(clef);
        if self.is_beginning() {
            self.voice.clef = Some(clef);
            if before.is_some_and(|before| before != clef) {
                self.remarks.about(node, "of two clefs at the beginning, the second is read");
            }
        } else if before != Some(clef) || !self.edits.is_empty() {
            self.voice.add(ItemKind::Clef(clef));
        }
    }

    pub(super) fn signature(&mut self, node: Node<'_, '_>, signature: Signature) {
        let before = std::mem::replace(&mut self.now.signature, signature);
        if self.is_beginning() {
            self.voice.signature = signature;
            if before != signature && before != Signature::NONE {
                self.remarks.about(node, "of two signatures at the beginning, the second is read");
            }
        } else if before != signature || !self.edits.is_empty() {
            self.voice.add(ItemKind::Signature(signature));
        }
    }

    /// A sign, and of what is said beside it that which it does not show.
    pub(super) fn counting(&mut self, node: Node<'_, '_>, counting: &Counting) {
        if let Some(sign) = counting.sign {
            self.sign(node, sign);
            self.now.time.take_sign(sign);
        }
        if let Some(ratio) = counting.ratio {
            self.reading(ItemKind::Ratio(ratio));
        }
        for (value, perfect) in counting.divisions.iter().copied() {
            // Under a figure 3 practice is divided on the breve and the semibreve.
            let undecided =
                self.now.time.undecided && matches!(value, Value::Breve | Value::Semibreve);
            if undecided || self.now.time.mensuration.is_perfect(value) != perfect {
                self.reading(ItemKind::Perfection { value, perfect });
                self.now.time.take_perfection(value, perfect);
            }
        }
    }

    /// A reading of time; what is read already after the same sign is not said again.
    fn reading(&mut self, reading: ItemKind) {
        let reading = Item::Other(reading);
        let items =
            if self.is_beginning() { &mut self.voice.opening } else { &mut self.voice.items };
        let same = items.iter().rev().take_while(|item| is_reading(item)).any(|it| *it == reading);
        if !same {
            items.push(reading);
        }
    }

    /// A sign; figures right after a circle belong to it. A sign may be printed again, so that one
    /// in force already is kept.
    pub(super) fn sign(&mut self, node: Node<'_, '_>, sign: Sign) {
        let together = |before: Sign| {
            let joined = before.circle.is_some() && before.upper.is_none() && sign.circle.is_none();
            joined.then_some(Sign { upper: sign.upper, lower: sign.lower, ..before })
        };
        if self.is_beginning() {
            let before = self.voice.sign;
            if sign.circle.is_some() {
                self.voice.opening.clear();
            }
            self.voice.sign = Some(before.and_then(together).unwrap_or(sign));
            if before.is_some_and(|before| before != sign && together(before).is_none()) {
                self.remarks.about(node, "of two signs at the beginning, the second is read");
            }
            return;
        }
        match self.voice.items.iter_mut().rev().find(|item| !is_reading(item)) {
            Some(Item::Other(ItemKind::Sign(before))) if *before == sign => {}
            Some(Item::Other(ItemKind::Sign(before))) if together(*before).is_some() => {
                *before = together(*before).unwrap_or(sign);
            }
            _ => self.voice.add(ItemKind::Sign(sign)),
        }
    }
}

fn is_reading(item: &Item) -> bool {
    matches!(item, Item::Other(ItemKind::Ratio(_) | ItemKind::Perfection { .. }))
}
