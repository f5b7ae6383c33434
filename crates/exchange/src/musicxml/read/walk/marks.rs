//! Words and signs over a staff.

use roxmltree::Node;
use rudiments::Time;

use super::Walk;
use crate::ReadError;
use crate::elements::{child, children, elements, name, text};
use crate::musicxml::read::exact::decimal;
use crate::musicxml::read::part::{Mark, MarkKind, Moment};

impl<'a> Walk<'a, '_> {
    pub(super) fn direction(&mut self, direction: Node<'a, '_>) -> Result<(), ReadError> {
        for sound in children(direction, "sound") {
            self.sound(sound);
        }
        let kinds: Vec<MarkKind> = children(direction, "direction-type")
            .flat_map(elements)
            .filter_map(|sign| self.sign(sign))
            .collect();
        if kinds.is_empty() {
            return Ok(());
        }
        let at = self.offset(direction)?;
        let voice = child(direction, "voice").is_some().then(|| self.voice(direction));
        let staff = Self::staff(direction);
        self.part.marks.extend(kinds.into_iter().map(|kind| Mark { at, voice, staff, kind }));
        Ok(())
    }

    /// Where a direction stands: so many divisions from the cursor.
    fn offset(&mut self, direction: Node<'_, '_>) -> Result<Moment, ReadError> {
        let mut at = self.now();
        if let Some(offset) = child(direction, "offset") {
            let text = offset.text().unwrap_or_default();
            let read = decimal(text).ok_or_else(|| self.bad_number(offset, "offset", text))?;
            let offset_minims = self.minim.minims(read.over(self.divisions));
            let distance = offset_minims.max(Time::ZERO - offset_minims);
            self.admit(offset, distance)?;
            at.within = (at.within + offset_minims).max(Time::ZERO);
        }
        Ok(at)
    }

    /// A sign over the staff, if it is kept.
    fn sign(&mut self, sign: Node<'_, '_>) -> Option<MarkKind> {
        let not_kept = match name(sign) {
            "words" | "rehearsal" => return quoted(sign).map(MarkKind::Words),
            "segno" => return Some(MarkKind::Signum),
            "dynamics" | "wedge" => "dynamics are not kept",
            "metronome" => "the tempo is not kept",
            "octave-shift" => "octave lines are not kept: notes stand where they sound",
            "pedal" => "pedal signs are not kept",
            "bracket" | "dashes" => "brackets and lines over the staff are not kept",
            "symbol"
            | "coda"
            | "eyeglasses"
            | "damp"
            | "damp-all"
            | "string-mute"
            | "image"
            | "scordatura"
            | "harp-pedals"
            | "accordion-registration"
            | "percussion" => "other signs over the staff are not kept",
            // What no reader of the page sees.
            _ => return None,
        };
        self.remarks.about(sign, not_kept);
        None
    }
}

/// The text of an element as words in quotes.
fn quoted(element: Node<'_, '_>) -> Option<String> {
    let words = text(element)?.replace('"', "”").replace('\u{feff}', "");
    (!words.is_empty()).then_some(words)
}
