//! The way through a part, measure by measure.

mod attributes;
mod cursor;
mod marks;
mod note;
mod signs;

use std::collections::HashMap;

use roxmltree::Node;
use rudiments::{Quarters, Time};

use super::Minim;
use super::exact::{Exact, Number, decimal};
use super::grid::Measures;
use super::part::{Moment, Part};
use super::survey::PartElements;
use crate::elements::{child, elements, name};
use crate::reading::Remarks;
use crate::{Fault, ReadError};
use attributes::StaffState;
use cursor::Cursor;
use signs::Signed;

/// Reads a part. What is known of the lengths of its measures is added to `measures`.
///
/// # Errors
/// If a note has no pitch or no length that a parts file could have.
pub(super) fn part(
    elements: PartElements<'_, '_>,
    minim: Minim,
    exact: &mut Exact,
    measures: &mut Measures,
    remarks: &mut Remarks,
) -> Result<Part, ReadError> {
    let mut walk = Walk {
        remarks,
        minim,
        exact,
        measures,
        part: Part { name: elements.name, ..Part::default() },
        voices: HashMap::new(),
        divisions: Number::ONE,
        staves: HashMap::new(),
        measure: 0,
        cursor: Cursor::default(),
        chord: None,
        signed: Vec::new(),
        open_marks: HashMap::new(),
    };
    for (number, measure) in elements.measures {
        walk.measure(number, measure)?;
    }
    Ok(walk.part)
}

struct Walk<'a, 'r> {
    remarks: &'r mut Remarks,
    minim: Minim,
    exact: &'r mut Exact,
    measures: &'r mut Measures,
    part: Part,
    /// The places of voices by name.
    voices: HashMap<&'a str, usize>,
    /// So many divisions are a quarter.
    divisions: Number,
    /// What is in force on each staff, and on all others.
    staves: HashMap<Option<u32>, StaffState>,
    /// The number of the measure, from 0.
    measure: usize,
    cursor: Cursor,
    /// The event that the next note of a chord belongs to, where it is kept, and its beginning.
    chord: Option<(Option<usize>, Time)>,
    /// The notes of this measure with their signs.
    signed: Vec<Signed>,
    /// The places of marks whose brackets are open, by the numbers of these.
    open_marks: HashMap<&'a str, usize>,
}

impl<'a> Walk<'a, '_> {
    fn measure(&mut self, number: usize, measure: Node<'a, '_>) -> Result<(), ReadError> {
        self.measure = number;
        self.cursor = Cursor::default();
        self.chord = None;
        for element in elements(measure) {
            match name(element) {
                "note" => self.note(element)?,
                "backup" => {
                    let quarters = self.duration(element)?;
                    self.admit(element, self.minim.minims(quarters))?;
                    let near = self.quarters(Number::ONE) * 2;
                    if !self.cursor.back(quarters, self.minim, near) {
                        let what = "what goes back over the beginning of a measure stops there";
                        self.remarks.about(element, what);
                    }
                }
                "forward" => {
                    let quarters = self.duration(element)?;
                    let length = self.admit(element, self.minim.minims(quarters))?;
                    self.cursor.forward(quarters, length);
                    self.reached(element)?;
                }
                "attributes" => self.attributes(element)?,
                "direction" => self.direction(element)?,
                "barline" => self.bar_line(element),
                "sound" => self.sound(element),
                "print" => {
                    let begins = |what: &str| element.attribute(what) == Some("yes");
                    let page = begins("new-page");
                    if page || begins("new-system") {
                        self.part.breaks.push((number, page));
                    }
                }
                "harmony" => self.remarks.about(element, "chord symbols are not kept"),
                "figured-bass" => self.remarks.about(element, "figures of the bass are not kept"),
                // How the page is laid out, what is played or heard, and links.
                _ => {}
            }
        }
        signs::mark(std::mem::take(&mut self.signed), &mut self.part.events);
        self.measures.content(number, self.cursor.extent);
        Ok(())
    }

    /// Where the cursor stands.
    fn now(&self) -> Moment {
        Moment { measure: self.measure, within: self.cursor.at }
    }

    /// The place of a voice, by the name that an element gives it.
    fn voice(&mut self, element: Node<'a, '_>) -> usize {
        let name = child(element, "voice").and_then(|voice| voice.text()).unwrap_or("1").trim();
        let next = self.part.voices.len();
        let place = *self.voices.entry(name).or_insert(next);
        if place == next {
            self.part.voices.push(name.to_owned());
        }
        place
    }

    /// The number of the staff that an element gives.
    fn staff(element: Node<'_, '_>) -> u32 {
        child(element, "staff").and_then(|staff| staff.text()).and_then(staff_number).unwrap_or(1)
    }

    /// The duration in an element.
    fn duration(&mut self, element: Node<'_, '_>) -> Result<Quarters, ReadError> {
        let duration = child(element, "duration").unwrap_or(element);
        let text = child(element, "duration").and_then(|duration| duration.text()).unwrap_or("");
        let read = decimal(text).filter(|duration| *duration >= Number::ZERO);
        let duration = read.ok_or_else(|| self.bad_number(duration, "duration", text))?;
        Ok(self.quarters(duration))
    }

    /// So many divisions.
    fn quarters(&self, divisions: Number) -> Quarters {
        let quarters = divisions / self.divisions;
        Quarters::new(*quarters.numer(), *quarters.denom())
    }

    fn admit(&mut self, element: Node<'_, '_>, length: Time) -> Result<Time, ReadError> {
        self.exact.admit(length).map_err(|fault| self.remarks.fault(element, fault))
    }

    /// That the cursor is not too far.
    fn reached(&mut self, element: Node<'_, '_>) -> Result<(), ReadError> {
        self.admit(element, self.cursor.at).map(|_| ())
    }

    fn bad_number(&self, node: Node<'_, '_>, element: &'static str, value: &str) -> ReadError {
        let value: String = value.trim().chars().take(40).collect();
        self.remarks.fault(node, Fault::BadNumber { element, value })
    }

    fn sound(&mut self, element: Node<'_, '_>) {
        if element.attribute("tempo").is_some() {
            self.remarks.about(element, "the tempo is not kept");
        }
    }
}

/// The most staves of a part; numbers beyond are none.
const MOST_STAVES: u32 = 64;

fn staff_number(text: &str) -> Option<u32> {
    text.trim().parse().ok().filter(|number| (1..=MOST_STAVES).contains(number))
}
