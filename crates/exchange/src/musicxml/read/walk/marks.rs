//! Words and signs over a staff.

use notation::{MarkColor, MarkShape};
use roxmltree::Node;
use rudiments::Time;

use super::Walk;
use crate::ReadError;
use crate::elements::{child, children, elements, name, text};
use crate::musicxml::note_signs::Said;
use crate::musicxml::read::exact::decimal;
use crate::musicxml::read::part::{Mark, MarkKind, Marking, Moment};

impl<'a> Walk<'a, '_> {
    pub(super) fn direction(&mut self, direction: Node<'a, '_>) -> Result<(), ReadError> {
        for sound in children(direction, "sound") {
            self.sound(sound);
        }
        let mut signs: Vec<Node<'a, '_>> =
            children(direction, "direction-type").flat_map(elements).collect();
        let mut ended: Vec<usize> = Vec::new();
        signs.retain(|sign| match self.ended_mark(*sign) {
            Some(place) => {
                ended.push(place);
                false
            }
            None => true,
        });
        let mut kinds: Vec<MarkKind> = Vec::new();
        if let Some((words, bracket)) = mark(&signs) {
            kinds.push(MarkKind::Mark(None, marking(words, bracket)));
            self.open_marks.insert(number(bracket), self.part.marks.len());
            signs.retain(|sign| *sign != words && *sign != bracket);
        }
        kinds.extend(signs.into_iter().filter_map(|sign| self.sign(sign)));
        if kinds.is_empty() && ended.is_empty() {
            return Ok(());
        }
        let at = self.offset(direction)?;
        for place in ended {
            if let Some(Mark { kind: MarkKind::Mark(until, _), .. }) =
                self.part.marks.get_mut(place)
            {
                *until = Some(at);
            }
        }
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
            let offset_minims = self.minim.minims(self.quarters(read));
            let distance = offset_minims.max(Time::ZERO - offset_minims);
            self.admit(offset, distance)?;
            at.within = (at.within + offset_minims).max(Time::ZERO);
        }
        Ok(at)
    }

    /// The place of the mark whose bracket this ends.
    fn ended_mark(&mut self, sign: Node<'a, '_>) -> Option<usize> {
        let ends = name(sign) == "bracket" && sign.attribute("type") == Some("stop");
        if ends { self.open_marks.remove(number(sign)) } else { None }
    }

    /// A sign over the staff, if it is kept.
    fn sign(&mut self, sign: Node<'_, '_>) -> Option<MarkKind> {
        if let Some(sign) = Said::Direction(name(sign)).sign() {
            return Some(MarkKind::Sign(sign));
        }
        let not_kept = match name(sign) {
            "words" | "rehearsal" => return quoted(sign).map(MarkKind::Words),
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

/// Words, and the beginning of a bracket in the same direction: that is how marks are written.
fn mark<'n, 'i>(signs: &[Node<'n, 'i>]) -> Option<(Node<'n, 'i>, Node<'n, 'i>)> {
    let is_start =
        |sign: &&Node<'_, '_>| name(**sign) == "bracket" && sign.attribute("type") == Some("start");
    let words = signs.iter().find(|sign| name(**sign) == "words")?;
    Some((*words, *signs.iter().find(is_start)?))
}

fn marking(words: Node<'_, '_>, bracket: Node<'_, '_>) -> Marking {
    let shape = match (words.attribute("enclosure"), bracket.attribute("line-end")) {
        (Some("circle" | "oval"), _) => MarkShape::Circle,
        (_, Some("arrow")) => MarkShape::Arrow,
        _ => MarkShape::Bracket,
    };
    let said = bracket.attribute("color").or(words.attribute("color")).unwrap_or_default();
    let is_said = |color: &MarkColor| {
        let [red, green, blue] = color.rgb();
        said.eq_ignore_ascii_case(&format!("#{red:02x}{green:02x}{blue:02x}"))
    };
    let color = MarkColor::ALL.into_iter().find(is_said);
    Marking { shape, color, words: quoted(words).unwrap_or_default() }
}

/// The number by which the two ends of a bracket are known.
fn number<'n>(bracket: Node<'n, '_>) -> &'n str {
    bracket.attribute("number").unwrap_or("1")
}

/// The text of an element as words in quotes.
fn quoted(element: Node<'_, '_>) -> Option<String> {
    let words = text(element)?.replace('"', "”").replace('\u{feff}', "");
    (!words.is_empty()).then_some(words)
}
