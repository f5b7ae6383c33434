//! Divisions, signatures, times, clefs and transpositions.

use roxmltree::Node;
use rudiments::{Accidental, Clef, ClefShape, Quarters, Sign, Signature, Step, Time};

use super::{Walk, staff_number};
use crate::ReadError;
use crate::elements::{child, children, elements, name};
use crate::musicxml::read::exact::{Number, decimal, whole};
use crate::musicxml::read::part::{BarLine, Change, Moment, Staff};
use crate::musicxml::read::pitch::Transposition;

/// What is in force on a staff, as far as it is said of it.
#[derive(Clone, Copy, Default)]
pub(super) struct StaffState {
    /// Octaves by which its clef sounds above what is written.
    clef_octave: Option<i32>,
    /// The signature as written.
    signature: Option<Signature>,
    transposition: Option<Transposition>,
}

impl<'a> Walk<'a, '_> {
    pub(super) fn attributes(&mut self, attributes: Node<'a, '_>) -> Result<(), ReadError> {
        // Staves whose transposition may be that of their clef.
        let mut touched: Vec<Staff> = Vec::new();
        for element in elements(attributes) {
            match name(element) {
                "divisions" => self.divisions(element)?,
                "key" => {
                    let (staff, signature) = (staff(element), self.key(element));
                    self.said_of(staff, |state, said| state.signature = said.then_some(signature));
                    self.change(staff, Change::Signature(signature));
                }
                "time" => self.time(element),
                "clef" => {
                    self.clef(element);
                    touched.push(Some(staff(element).unwrap_or(1)));
                }
                "transpose" => {
                    let (staff, by) = (staff(element), self.transposition(element)?);
                    self.said_of(staff, |state, said| state.transposition = said.then_some(by));
                    self.change(staff, Change::Transposition(by));
                    match staff {
                        Some(_) => touched.push(staff),
                        None => touched.extend(self.staves.keys()),
                    }
                }
                "for-part" => {
                    self.remarks.about(element, "transpositions for single parts are not kept");
                }
                "measure-style" => self.measure_style(element),
                // How the staves are drawn.
                _ => {}
            }
        }
        for staff in touched {
            self.settle_transposition(staff);
        }
        Ok(())
    }

    fn change(&mut self, staff: Staff, change: Change) {
        self.part.changes.push((self.now(), staff, change));
    }

    /// A transposition that repeats the octave of a clef is none, whatever clef comes later.
    fn settle_transposition(&mut self, staff: Staff) {
        let octave = self.said(staff, |state| state.clef_octave).unwrap_or(0);
        if octave != 0 && self.transposing(staff) == Transposition::octaves(octave) {
            let none = Transposition::default();
            self.set(staff, |state| state.transposition = Some(none));
            self.change(staff, Change::Transposition(none));
        }
    }

    fn set(&mut self, staff: Staff, set: impl FnOnce(&mut StaffState)) {
        set(self.staves.entry(staff).or_default());
    }

    /// Takes in what is said of a staff. What is said of all ends what was said of one.
    fn said_of(&mut self, staff: Staff, set: impl Fn(&mut StaffState, bool)) {
        self.set(staff, |state| set(state, true));
        if staff.is_none() {
            for (_, state) in self.staves.iter_mut().filter(|(staff, _)| staff.is_some()) {
                set(state, false);
            }
        }
    }

    /// Something that is said of a staff, or else of all of them.
    fn said<T>(&self, staff: Staff, what: impl Fn(&StaffState) -> Option<T>) -> Option<T> {
        let of = |staff| self.staves.get(&staff).and_then(&what);
        of(staff).or_else(|| of(None))
    }

    /// The transposition of a staff.
    pub(super) fn transposing(&self, staff: Staff) -> Transposition {
        self.said(staff, |state| state.transposition).unwrap_or_default()
    }

    /// The signature of a staff as it sounds.
    pub(super) fn signature(&self, staff: Staff) -> Signature {
        let written = self.said(staff, |state| state.signature).unwrap_or_default();
        self.transposing(staff).of_signature(written)
    }

    fn divisions(&mut self, element: Node<'_, '_>) -> Result<(), ReadError> {
        let text = element.text().unwrap_or_default();
        self.divisions = decimal(text)
            .filter(|divisions| *divisions > Number::ZERO)
            .ok_or_else(|| self.bad_number(element, "divisions", text))?;
        Ok(())
    }

    fn key(&mut self, element: Node<'_, '_>) -> Signature {
        if let Some(fifths) = child(element, "fifths") {
            return match whole(fifths.text().unwrap_or_default(), -7..=7) {
                Some(fifths) => Signature::of_fifths(fifths as i32),
                None => {
                    self.remarks.about(fifths, "a signature of more than seven signs is not kept");
                    Signature::NONE
                }
            };
        }
        let mut signature = Signature::NONE;
        let mut step = None;
        for element in elements(element) {
            let text = element.text().unwrap_or_default();
            match name(element) {
                "key-step" => step = letter(text),
                "key-alter" => match (step, whole(text, -1..=1)) {
                    (Some(step), Some(alteration)) => {
                        signature = signature.with(step, alteration as i8);
                    }
                    _ => self.remarks.about(element, "an unusual sign of a signature is not kept"),
                },
                _ => {}
            }
        }
        signature
    }

    /// The time signature. A parts file has its bars drawn anew; only a sign is kept.
    fn time(&mut self, element: Node<'_, '_>) {
        let shown = element.attribute("print-object") != Some("no");
        let sign = match element.attribute("symbol") {
            Some("common") => Some(Sign::IMPERFECT),
            Some("cut") => Some(Sign::CUT),
            _ => None,
        };
        let beats = children(element, "beats").map(|beats| {
            let text = beats.text().unwrap_or_default();
            text.split('+').map(|beats| whole(beats, 1..=999)).sum::<Option<i64>>()
        });
        let values = children(element, "beat-type")
            .map(|value| whole(value.text().unwrap_or_default(), 1..=1024));
        let bar: Option<Quarters> =
            beats.zip(values).map(|(beats, value)| Some(Quarters::new(4 * beats?, value?))).sum();
        let bar = bar.map(|quarters| self.minim.minims(quarters)).filter(|bar| bar.is_positive());
        self.measures.time(self.measure, bar);
        if !shown {
            return;
        }
        if let Some(sign) = sign {
            self.change(staff(element), Change::Sign(sign));
        }
        if bar.is_some_and(|bar| bar != Time::minims(2) && bar != Time::minims(4)) {
            let what = "measures that are no breve and no semibreve long are not kept: bars are \
                        drawn anew";
            self.remarks.about(element, what);
        }
    }

    fn clef(&mut self, element: Node<'_, '_>) {
        let content = |wanted| child(element, wanted).and_then(|found| found.text());
        let shape = content("sign").and_then(|letter| letter.trim().parse().ok());
        let shape = shape.and_then(ClefShape::from_letter);
        let usual = match shape {
            Some(ClefShape::G) => 2,
            Some(ClefShape::F) => 4,
            Some(ClefShape::C) => 3,
            None => 0,
        };
        let line = content("line").map_or(Some(usual), |line| whole(line, 1..=5));
        let octave = content("clef-octave-change").map_or(Some(0), |octave| whole(octave, -9..=9));
        let clef = match (shape, line, octave) {
            (Some(shape), Some(line), Some(0)) => Clef::new(shape, line as u8),
            _ => None,
        };
        if clef.is_none() {
            let what =
                "a clef that a parts file does not have is replaced by one that fits the voice";
            self.remarks.about(element, what);
        }
        let staff = Some(staff(element).unwrap_or(1));
        self.set(staff, |state| state.clef_octave = octave.map(|octave| octave as i32));
        self.change(staff, Change::Clef(clef));
    }

    fn transposition(&mut self, element: Node<'_, '_>) -> Result<Transposition, ReadError> {
        if let Some(double) = child(element, "double") {
            self.remarks.about(double, "the octave doubling of a part is not kept");
        }
        let number = |wanted: &'static str| match child(element, wanted) {
            None => Ok(None),
            Some(found) => {
                let text = found.text().unwrap_or_default();
                let read = whole(text, -120..=120).map(|number| Some(number as i32));
                read.ok_or_else(|| self.bad_number(found, wanted, text))
            }
        };
        let (steps, semitones) = (number("diatonic")?, number("chromatic")?.unwrap_or(0));
        let octaves = number("octave-change")?.unwrap_or(0);
        Ok(Transposition::new(steps, semitones).and_octaves(octaves))
    }

    /// Signs that stand for music which is not written out.
    fn measure_style(&mut self, element: Node<'_, '_>) {
        for style in elements(element) {
            match name(style) {
                "measure-repeat" | "beat-repeat" | "slash" => {
                    self.remarks.about(style, "signs that repeat a measure or beat are not kept");
                }
                // Rests of several measures are written out anyway.
                _ => {}
            }
        }
    }

    /// A bar line that is more than one.
    pub(super) fn bar_line(&mut self, element: Node<'_, '_>) {
        let place = match element.attribute("location") {
            Some("left") => Moment { measure: self.measure, within: Time::ZERO },
            Some("middle") => self.now(),
            _ => Moment { measure: self.measure + 1, within: Time::ZERO },
        };
        let mut kind = None;
        for part in elements(element) {
            match name(part) {
                "bar-style" => {
                    let style = part.text().unwrap_or_default().trim();
                    let double =
                        ["light-light", "light-heavy", "heavy-light", "heavy-heavy", "heavy"];
                    kind = kind.or(double.contains(&style).then_some(BarLine::Section));
                }
                "repeat" => {
                    let forward = part.attribute("direction") == Some("forward");
                    kind = Some(if forward { BarLine::RepeatBegins } else { BarLine::Repeat });
                }
                "ending" => self.remarks.about(part, "first and second endings are not kept"),
                "fermata" => self.remarks.about(part, "a corona over a bar line is not kept"),
                "segno" | "coda" => self.remarks.about(part, "signs at a bar line are not kept"),
                _ => {}
            }
        }
        if let Some(kind) = kind {
            self.part.bar_lines.push((place, kind, element.range().start));
        }
    }
}

/// The staff that the `number` of an element names; all of them where there is none.
fn staff(element: Node<'_, '_>) -> Staff {
    element.attribute("number").and_then(staff_number)
}

/// The step that a letter names.
pub(super) fn letter(text: &str) -> Option<Step> {
    let mut letters = text.trim().chars();
    let step = letters.next().and_then(Step::from_letter);
    if letters.next().is_some() { None } else { step }
}

/// The sign that the format's name of an accidental stands for, if it is a simple one.
pub(super) fn accidental(text: &str) -> Option<Accidental> {
    match text.trim() {
        "sharp" => Some(Accidental::Sharp),
        "flat" => Some(Accidental::Flat),
        "natural" => Some(Accidental::Natural),
        _ => None,
    }
}
