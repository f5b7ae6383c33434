//! Notes and rests.

use notation::NoteSigns;
use roxmltree::Node;
use rudiments::{Accidental, Proportion, Quarters, Time};

use super::Walk;
use super::attributes::{accidental, letter};
use super::signs::{Sign, Signed};
use crate::elements::{child, children, elements, name};
use crate::musicxml::note_signs::Said;
use crate::musicxml::read::exact::{Number, decimal, whole};
use crate::musicxml::read::part::{Event, Head};
use crate::musicxml::read::pitch;
use crate::{Fault, ReadError};

/// How long a note is.
#[derive(Clone, Copy)]
struct Length {
    /// As its duration has it.
    declared: Quarters,
    /// In minims, exactly.
    exact: Time,
    /// The tuplet in which it stands.
    ratio: Option<Proportion>,
}

impl<'a> Walk<'a, '_> {
    pub(super) fn note(&mut self, note: Node<'a, '_>) -> Result<(), ReadError> {
        if let Some(grace) = child(note, "grace") {
            self.remarks.about(grace, "grace notes are not kept");
            return Ok(());
        }
        let length = self.length(note)?;
        let before = self.chord.filter(|_| child(note, "chord").is_some());
        let onset = before.map_or(self.cursor.at, |(_, onset)| onset);
        let rest = child(note, "rest");
        let fills = rest.is_some_and(|rest| rest.attribute("measure") == Some("yes"));
        if before.is_none() {
            self.cursor.advance(length.declared, length.exact, self.minim, fills);
            self.reached(note)?;
        }
        if fills {
            self.measures.rest(self.measure, self.cursor.at);
        }
        let head = match child(note, "pitch") {
            _ if rest.is_some() => None,
            Some(_) if child(note, "cue").is_some() => {
                self.remarks.about(note, "cue notes are not kept");
                None
            }
            Some(pitch) => Some(self.head(note, pitch, onset)?),
            None => {
                self.remarks.about(note, "notes without a pitch are kept as rests");
                None
            }
        };
        let signs = self.notations(note);
        for element in elements(note) {
            match name(element) {
                "lyric" => self.remarks.about(element, "the words under the notes are not kept"),
                "notehead" => self.remarks.about(element, "the shapes of note heads are not kept"),
                "level" | "footnote" => {
                    self.remarks.about(element, "what the editor says of single notes is not kept");
                }
                _ => {}
            }
        }
        let event = match (before, head) {
            (Some((Some(event), _)), Some((head, signed))) => {
                self.add_to_chord(note, event, (head, signed), length.exact, signs);
                return Ok(());
            }
            (Some(_), None) => return Ok(()),
            // A rest that says nothing but that nothing sounds is not remembered.
            (_, None) if fills || (length.ratio.is_none() && signs.is_empty()) => None,
            (_, head) => {
                let (heads, signed) = head.into_iter().unzip::<_, _, Vec<Head>, Vec<Signed>>();
                let event = self.event(note, onset, length, heads, signs);
                let place = |signed: Signed| event.map(|event| Signed { event, ..signed });
                self.signed.extend(signed.into_iter().filter_map(place));
                event
            }
        };
        self.chord = Some((event, onset));
        Ok(())
    }

    /// A new event; its place, unless it lasts no time at all.
    fn event(
        &mut self,
        note: Node<'a, '_>,
        onset: Time,
        length: Length,
        heads: Vec<Head>,
        signs: NoteSigns,
    ) -> Option<usize> {
        if length.exact.is_zero() {
            self.remarks.about(note, "notes that last no time are not kept");
            return None;
        }
        let mut at = self.now();
        at.within = onset;
        let (voice, staff) = (self.voice(note), Self::staff(note));
        let byte = note.range().start;
        let Length { exact: length, ratio, .. } = length;
        // The rest of a chord may last longer than what the cursor has gone on by.
        self.cursor.extent = self.cursor.extent.max(onset + length);
        self.part.events.push(Event { at, length, voice, staff, heads, ratio, signs, byte });
        Some(self.part.events.len() - 1)
    }

    fn add_to_chord(
        &mut self,
        note: Node<'_, '_>,
        place: usize,
        (head, signed): (Head, Signed),
        length: Time,
        signs: NoteSigns,
    ) {
        let event = &mut self.part.events[place];
        if event.length != length {
            self.remarks.about(note, "notes of a chord that differ in length are made alike");
        }
        event.signs.extend(signs.iter());
        if event.heads.len() == MOST_HEADS {
            self.remarks.about(note, "chords of more notes than a hand can play are cut short");
        } else if event.heads.iter().all(|other| other.pitch != head.pitch) {
            event.heads.push(head);
            self.signed.push(Signed { event: place, head: event.heads.len() - 1, ..signed });
        }
    }

    /// How long a note is. Where its duration is that of its type in a tuplet, rounded to whole
    /// divisions, the latter is meant.
    fn length(&mut self, note: Node<'_, '_>) -> Result<Length, ReadError> {
        let modification = match child(note, "time-modification") {
            Some(modification) => Some(self.modification(modification)?),
            None => None,
        };
        let written = written(note).map(|quarters| match modification {
            Some((many, time)) => quarters * time / many,
            None => quarters,
        });
        let missing = child(note, "duration").is_none();
        let declared = match written {
            Some(written) if missing => written,
            _ => self.duration(note)?,
        };
        // Durations are admitted too, since the cursor goes on by them.
        self.admit(note, self.minim.minims(declared))?;
        let exact = match written.filter(|_| modification.is_some()) {
            Some(written) if within(written, declared, self.quarters(Number::ONE)) => written,
            Some(_) => {
                let what = "the duration of a note in a tuplet differs from its type: its duration \
                            is read";
                self.remarks.about(note, what);
                declared
            }
            None => declared,
        };
        let exact = self.admit(note, self.minim.minims(exact))?;
        let ratio = modification.and_then(|(many, time)| {
            let common = greatest_common_divisor(many, time);
            Proportion::new((many / common) as u32, (time / common) as u32)
        });
        Ok(Length { declared, exact, ratio: ratio.filter(|ratio| !ratio.is_equal()) })
    }

    /// So many notes in the time of so many.
    fn modification(&mut self, modification: Node<'_, '_>) -> Result<(i64, i64), ReadError> {
        let figure = |wanted: &'static str| {
            let found = child(modification, wanted);
            let text = found.and_then(|found| found.text()).unwrap_or_default();
            whole(text, 1..=999)
                .ok_or_else(|| self.bad_number(found.unwrap_or(modification), wanted, text))
        };
        Ok((figure("actual-notes")?, figure("normal-notes")?))
    }

    /// A note with its sign; where it will stand among the events is not known yet.
    fn head(
        &mut self,
        note: Node<'_, '_>,
        pitch: Node<'_, '_>,
        onset: Time,
    ) -> Result<(Head, Signed), ReadError> {
        let content = |wanted| child(pitch, wanted).and_then(|found| found.text());
        let step = content("step").and_then(letter);
        let octave = content("octave").and_then(|octave| whole(octave, 0..=9));
        let alter = content("alter").map_or(Some(Number::ZERO), decimal);
        let (Some(step), Some(octave), Some(alter)) = (step, octave, alter) else {
            return Err(self.remarks.fault(pitch, Fault::NoSuchPitch));
        };
        if !alter.is_integer() {
            self.remarks.about(pitch, "intervals smaller than a semitone are not kept");
        }
        let semitones = alter.to_integer();
        let staff = Self::staff(note);
        let transposition = self.transposing(Some(staff));
        let written = pitch::written(step, octave as i8, semitones);
        let sounding = written
            .map(|written| transposition.of_pitch(written))
            .filter(|pitch| (0..=9).contains(&pitch.tone.octave));
        let Some(mut pitch) = sounding else {
            return Err(self.remarks.fault(pitch, Fault::NoSuchPitch));
        };
        let mark = mark_over(note);
        // The sign over a note shows what the editor means; some programs take it for a drawing
        // and do not alter the pitch.
        if let Some((sign, Some(meant))) = mark
            && transposition.keeps_accidentals()
            && meant != pitch.alteration
        {
            let what =
                "an accidental over a note is followed, though the file does not alter the note";
            self.remarks.about(sign, what);
            pitch.alteration = meant;
        }
        let signature = self.signature(Some(staff)).alteration(pitch.tone.step);
        let sign = sign(note, mark.is_some(), pitch.alteration == signature);
        let tied = ["tie", "tied"].into_iter().any(|element| {
            let place = if element == "tie" { Some(note) } else { child(note, "notations") };
            let mut ties = place.into_iter().flat_map(|place| children(place, element));
            ties.any(|tie| tie.attribute("type") == Some("stop"))
        });
        let (tone, alteration) = (pitch.tone, pitch.alteration);
        let signed = Signed { onset, staff, tone, alteration, sign, event: 0, head: 0 };
        Ok((Head { pitch, editorial: None, tied }, signed))
    }

    /// Looks through the notations of a note, for the signs among them.
    fn notations(&mut self, note: Node<'_, '_>) -> NoteSigns {
        let mut signs = NoteSigns::default();
        for notation in children(note, "notations").flat_map(elements) {
            let not_kept = match name(notation) {
                "slur" => "slurs are not kept",
                "dynamics" => "dynamics are not kept",
                "articulations" => "articulations are not kept",
                "ornaments" => "ornaments are not kept",
                "technical" => "fingerings and other directions for playing are not kept",
                "arpeggiate" | "non-arpeggiate" => "broken chords are not kept",
                "glissando" | "slide" => "slides are not kept",
                "other-notation" => "other signs at notes are not kept",
                // Ties and tuplets are in the lengths, accidentals in the pitch.
                other => {
                    signs.extend(Said::Notation(other).sign());
                    continue;
                }
            };
            self.remarks.about(notation, not_kept);
        }
        signs
    }
}

/// The most notes of a chord.
const MOST_HEADS: usize = 12;

/// The sign of a note; another may stand over it.
fn sign(note: Node<'_, '_>, over: bool, as_signature: bool) -> Sign {
    let before = child(note, "accidental");
    let is_editors = |sign: Node<'_, '_>| {
        ["editorial", "bracket"].iter().any(|name| sign.attribute(*name) == Some("yes"))
    };
    match before {
        _ if over || before.is_some_and(is_editors) => Sign::Editorial,
        Some(_) => Sign::Printed,
        None if as_signature => Sign::Needless,
        None => Sign::FromBefore,
    }
}

/// The accidental that stands over a note, and the alteration that it makes.
fn mark_over<'n, 'i>(note: Node<'n, 'i>) -> Option<(Node<'n, 'i>, Option<i8>)> {
    let marks = children(note, "notations").flat_map(|n| children(n, "accidental-mark"));
    let mark = marks.last()?;
    let sign = accidental(mark.text().unwrap_or_default());
    let alteration = sign.map(|sign| match sign {
        Accidental::Sharp => 1,
        Accidental::Flat => -1,
        Accidental::Natural => 0,
    });
    Some((mark, alteration))
}

/// The value of a note with its dots.
fn written(note: Node<'_, '_>) -> Option<Quarters> {
    let value = child(note, "type")?.text()?.trim();
    let quarters = match value {
        "maxima" => Quarters::whole(32),
        "long" => Quarters::whole(16),
        "breve" => Quarters::whole(8),
        "whole" => Quarters::whole(4),
        "half" => Quarters::whole(2),
        "quarter" => Quarters::whole(1),
        "eighth" => Quarters::new(1, 2),
        _ => {
            let parts: i64 = value.strip_suffix("th").or(value.strip_suffix("nd"))?.parse().ok()?;
            let known = (16..=1024).contains(&parts) && (parts as u64).is_power_of_two();
            known.then(|| Quarters::new(4, parts))?
        }
    };
    let dots = children(note, "dot").take(5).count();
    (dots < 5).then(|| quarters * ((2 << dots) - 1) / (1 << dots))
}

fn within(one: Quarters, other: Quarters, tolerance: Quarters) -> bool {
    let distance = if one < other { other - one } else { one - other };
    distance <= tolerance
}

fn greatest_common_divisor(one: i64, other: i64) -> i64 {
    if other == 0 { one } else { greatest_common_divisor(other, one % other) }
}
