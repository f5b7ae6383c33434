//! The music of one voice.

use std::collections::BTreeMap;
use std::iter::Peekable;
use std::slice::Iter;

use notation::{Event, Item, ItemKind, MOST_EVENTS, NoteSign, NoteSigns, SECTION_END, Sound};
use rudiments::{Clef, Proportion, Sign, Signature, Time, Value};

use super::signs::Signs;
use super::values::{Written, editors, in_proportion};
use super::{Clefs, Limits, Opening};
use crate::musicxml::read::grid::Grid;
use crate::musicxml::read::voices::{Timed, Voice};
use crate::reading::Remarks;
use crate::{Fault, ReadError};

/// The items of a voice, from the beginning of the piece to its end, and when its notes and rests
/// begin.
///
/// # Errors
/// If a length cannot be written, or there is more than a parts file may hold.
pub(super) fn items(
    limits: &mut Limits,
    voice: &Voice,
    clefs: &Clefs,
    opening: &Opening,
    ends: &BTreeMap<Time, bool>,
    grid: &Grid,
    remarks: &mut Remarks,
) -> Result<(Vec<Item>, Vec<Time>), ReadError> {
    let ends: Vec<(Time, bool)> = ends.iter().map(|(at, repeat)| (*at, *repeat)).collect();
    let mut writer = Writer {
        limits,
        items: Vec::new(),
        ratio: Proportion::EQUAL,
        now: Time::ZERO,
        onsets: Vec::new(),
        length: Time::ZERO,
        signs: Signs::new(opening.signature),
        sign: opening.sign,
        clef: clefs.first().map(|(_, clef)| *clef),
        clefs: clefs.iter().peekable(),
        signatures: voice.signatures.iter().peekable(),
        mensurations: voice.signs.iter().peekable(),
        rubrics: voice.words.iter().peekable(),
        note_signs: voice.note_signs.iter().peekable(),
        ends: ends.iter().peekable(),
        grid,
        remarks,
    };
    let mut rests = voice.rests.iter().peekable();
    for note in &voice.notes {
        writer.silence(note.onset, &mut rests)?;
        writer.event(note)?;
    }
    writer.silence(grid.end(), &mut rests)?;
    if let Some((_, true)) = writer.ends.next() {
        writer.add(ItemKind::Repeat);
    }
    Ok((writer.items, writer.onsets))
}

struct Writer<'t, 'r> {
    limits: &'t mut Limits,
    items: Vec<Item>,
    /// The ratio in force.
    ratio: Proportion,
    /// Up to where all is written.
    now: Time,
    /// When the notes and rests begin that are written.
    onsets: Vec<Time>,
    /// How long the voice is, as a parts file counts it.
    length: Time,
    signs: Signs,
    sign: Option<Sign>,
    clef: Option<Clef>,
    clefs: Peekable<Iter<'r, (Time, Clef)>>,
    signatures: Peekable<Iter<'r, (Time, Signature)>>,
    mensurations: Peekable<Iter<'r, (Time, Sign)>>,
    rubrics: Peekable<Iter<'r, (Time, String)>>,
    note_signs: Peekable<Iter<'r, (Time, NoteSign)>>,
    ends: Peekable<Iter<'r, (Time, bool)>>,
    grid: &'r Grid,
    remarks: &'r mut Remarks,
}

type Rests<'r> = Peekable<Iter<'r, Timed>>;

impl Writer<'_, '_> {
    /// Rests up to a time: those of the file, and others between them.
    fn silence(&mut self, to: Time, rests: &mut Rests<'_>) -> Result<(), ReadError> {
        while let Some(rest) = rests.next_if(|rest| rest.onset < to) {
            // It may run into the next note, or across a double bar, if the file has that so.
            if rest.onset >= self.now && rest.end() <= to {
                self.plain_silence(rest.onset)?;
                if self.next_end().is_none_or(|end| rest.end() <= end) {
                    self.event(rest)?;
                }
            }
        }
        self.plain_silence(to)
    }

    /// Rests of plain values up to a time, none of them across a bar line.
    fn plain_silence(&mut self, to: Time) -> Result<(), ReadError> {
        while self.now < to {
            let (bar, bar_end) = self.grid.around(self.now);
            let end = to.min(bar_end).min(self.next_end().unwrap_or(to));
            let length = rest_length(self.now - bar, end - self.now);
            self.before_event()?;
            let written = if length > LONGEST_REST {
                editors(length).ok_or_else(|| self.unwritable(length, 0))?
            } else {
                self.write_length(length, None, 0)?
            };
            self.lengthen(length, written, 0)?;
            self.add_event(written.event(Sound::Rest { spaces: None }));
            self.signs.rest();
            self.now += length;
        }
        Ok(())
    }

    /// The next end of a section that is still to come.
    fn next_end(&self) -> Option<Time> {
        self.ends.clone().map(|(at, _)| *at).find(|at| *at > self.now)
    }

    /// A note or rest of the file.
    fn event(&mut self, event: &Timed) -> Result<(), ReadError> {
        self.before_event()?;
        let signs = self.signs_at(event);
        let mut written = self.write_length(event.length, event.ratio, event.byte)?;
        let end = event.end();
        let ends_section = self.ends.peek().is_some_and(|(at, _)| *at == end);
        if ends_section && end < self.grid.end() && written.value <= Value::Longa {
            // A long at the end of a section would stand for no particular length.
            written =
                editors(event.length).ok_or_else(|| self.unwritable(event.length, event.byte))?;
        }
        self.lengthen(event.length, written, event.byte)?;
        let sound = if event.heads.is_empty() {
            self.signs.rest();
            Sound::Rest { spaces: None }
        } else {
            let (notes, elsewhere) = self.signs.event(&event.heads);
            if elsewhere {
                let what = "a note whose accidental a parts file does not have is written on \
                            another step that sounds the same";
                self.remarks.add(event.byte, what);
            }
            Sound::Notes(notes)
        };
        self.add_event(Event { signs, ..written.event(sound) });
        self.now = end;
        Ok(())
    }

    /// What changes, or ends, before the next event.
    fn before_event(&mut self) -> Result<(), ReadError> {
        let now = self.now;
        if self.limits.events > MOST_EVENTS as i64 {
            return Err(self.remarks.error(0, Fault::TooMuchMusic));
        }
        while let Some((_, repeat)) = self.ends.next_if(|(at, _)| *at <= now) {
            self.add(if *repeat { ItemKind::Repeat } else { ItemKind::SectionEnd });
            self.length += SECTION_END;
        }
        if let Some(clef) = last(&mut self.clefs, now)
            && self.clef.replace(clef) != Some(clef)
        {
            self.add(ItemKind::Clef(clef));
        }
        if let Some(signature) = last(&mut self.signatures, now)
            && std::mem::replace(&mut self.signs.signature, signature) != signature
        {
            self.add(ItemKind::Signature(signature));
        }
        if let Some(sign) = last(&mut self.mensurations, now)
            && self.sign.replace(sign) != Some(sign)
        {
            self.add(ItemKind::Sign(sign));
            self.ratio = Proportion::EQUAL;
        }
        while let Some((_, words)) = self.rubrics.next_if(|(at, _)| *at <= now) {
            self.add(ItemKind::Words(words.clone()));
        }
        Ok(())
    }

    /// The signs at the next event: its own, and those of directions.
    fn signs_at(&mut self, event: &Timed) -> NoteSigns {
        let mut signs = event.signs;
        while let Some((_, sign)) = self.note_signs.next_if(|(at, _)| *at <= self.now) {
            signs.extend([*sign]);
        }
        signs
    }

    /// Finds how a length is written, and says so if another ratio is to be in force for it.
    fn write_length(
        &mut self,
        length: Time,
        ratio: Option<Proportion>,
        byte: usize,
    ) -> Result<Written, ReadError> {
        let own = ratio.filter(|ratio| !ratio.many().is_power_of_two());
        let others = [Proportion::EQUAL, self.ratio, Proportion::SESQUIALTERA];
        let mut candidates = own.into_iter().chain(others).chain(ratio);
        let found = candidates
            .find_map(|ratio| in_proportion(length, ratio).map(|written| (ratio, written)));
        let Some((ratio, written)) = found else {
            return editors(length).ok_or_else(|| self.unwritable(length, byte));
        };
        if std::mem::replace(&mut self.ratio, ratio) != ratio {
            self.add(ItemKind::Ratio(ratio));
        }
        Ok(written)
    }

    fn unwritable(&self, length: Time, byte: usize) -> ReadError {
        self.remarks.error(byte, Fault::Unwritable { minims: length.to_string() })
    }

    /// That the voice does not become longer than one may be, by its lengths or by its values.
    fn lengthen(&mut self, length: Time, written: Written, byte: usize) -> Result<(), ReadError> {
        let plain = written.value.plain();
        let printed = if written.dotted { plain + plain.half() } else { plain };
        self.limits.events += 1;
        self.length += if written.length.is_some() { length } else { length.max(printed) };
        if self.length > self.limits.longest_voice {
            return Err(self.remarks.error(byte, Fault::TooLong));
        }
        Ok(())
    }

    /// Adds an event that begins now.
    fn add_event(&mut self, event: Event) {
        self.onsets.push(self.now);
        self.add(ItemKind::Event(event));
    }

    fn add(&mut self, kind: ItemKind) {
        self.items.push(Item::new(kind));
    }
}

/// The last of the changes up to a time; all of them are taken.
fn last<T: Copy>(changes: &mut Peekable<Iter<'_, (Time, T)>>, now: Time) -> Option<T> {
    let mut last = None;
    while let Some((_, change)) = changes.next_if(|(at, _)| *at <= now) {
        last = Some(*change);
    }
    last
}

/// Silence of more than so many minims within a measure is written as one rest with the editor's
/// length, so that a long silence in the file does not become a longer text.
const LONGEST_REST: Time = Time::minims(32);

/// How long the first rest is of a silence that begins so long after the beginning of the measure
/// and is itself so long. Rests stand on the beats of their values.
fn rest_length(within: Time, silence: Time) -> Time {
    if silence > LONGEST_REST {
        return Time::minims(silence.whole(Time::minims(1)));
    }
    let on_beat = |value: &Value| within.within(value.plain()).is_zero();
    let fits = |value: &Value| *value >= Value::Breve && value.plain() <= silence;
    if let Some(value) = Value::ALL.into_iter().find(|value| fits(value) && on_beat(value)) {
        return value.plain();
    }
    // Off all beats: up to that of the next minim.
    let beat = Value::Minim.plain();
    let to_beat = within.round_up(beat) - within;
    if to_beat.is_positive() && to_beat < silence { to_beat } else { silence }
}
