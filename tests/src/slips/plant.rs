//! Slips as people make them who copy music.

use std::collections::BTreeSet;

use counterpoint::study::cadences;
use notation::{Dot, Event, Sound};
use rudiments::{Accidental, Signature, Step, Value};
use score::{Close, TimedEvent};

use super::measure::scored;
use super::random::Random;
use super::slots::{Slot, SlotVoice, in_force, text_of_slots};
use super::threes::are_in_threes;

/// The kinds of slips that are planted.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[allow(missing_docs)]
pub enum Kind {
    Halved,
    Doubled,
    DotMissing,
    DotTooMany,
    NoteLeftOut,
    RestLeftOut,
    TypedTwice,
    PairHalved,
    PairDoubled,
    LineLeftOut,
    WordLeftOut,
    WordWrong,
    WordTooMany,
    Step,
    Third,
    Octave,
    WrongClef,
    Exchanged,
    AccidentalLeftOut,
    AccidentalTooMany,
    CadenceSignLeftOut,
}

/// The kinds that displace what follows.
pub const RHYTHM: [Kind; 13] = [
    Kind::Halved,
    Kind::Doubled,
    Kind::DotMissing,
    Kind::DotTooMany,
    Kind::NoteLeftOut,
    Kind::RestLeftOut,
    Kind::TypedTwice,
    Kind::PairHalved,
    Kind::PairDoubled,
    Kind::LineLeftOut,
    Kind::WordLeftOut,
    Kind::WordWrong,
    Kind::WordTooMany,
];

/// The kinds that change what sounds.
pub const PITCH: [Kind; 8] = [
    Kind::Step,
    Kind::Third,
    Kind::Octave,
    Kind::WrongClef,
    Kind::Exchanged,
    Kind::AccidentalLeftOut,
    Kind::AccidentalTooMany,
    Kind::CadenceSignLeftOut,
];

/// A slip that was planted.
#[derive(Clone, PartialEq, Debug)]
pub struct Planted {
    /// Its kind.
    pub kind: Kind,
    /// The voice, from 0.
    pub voice: usize,
    /// The index, in the piece with the slip, of the event that is wrong: the first of several;
    /// where something was left out, the event that it preceded; of two that should be one, the
    /// second.
    pub index: u32,
    /// The voices with the slip.
    pub voices: Vec<SlotVoice>,
}

/// Plants a slip of a kind in a voice; nothing where the voice has no place for it. In a voice with
/// passages in threes it is planted there.
pub fn plant(
    clean: &[SlotVoice],
    voice: usize,
    kind: Kind,
    random: &mut Random,
) -> Option<Planted> {
    let events: Vec<usize> = (0..clean[voice].slots.len())
        .filter(|slot| matches!(clean[voice].slots[*slot], Slot::Event(_)))
        .collect();
    let mut open = are_in_threes(&clean[voice]);
    if !open.contains(&true) {
        open.fill(true);
    }
    let signature = signature(&clean[voice]);
    let place = Place { slots: &clean[voice].slots, events: &events, open, signature };
    let number = match kind {
        Kind::CadenceSignLeftOut => *random.pick(&signs_at_cadences(clean, voice))?,
        Kind::LineLeftOut => return line_left_out(clean, voice, &place, random),
        Kind::WrongClef => return wrong_clef(clean, voice, &place, random),
        Kind::WordLeftOut | Kind::WordWrong | Kind::WordTooMany => {
            return value_word(clean, voice, kind, &place, random);
        }
        _ => {
            let fit: Vec<usize> =
                (0..events.len()).filter(|number| place.fits(*number, kind)).collect();
            *random.pick(&fit)?
        }
    };
    let mut voices = clean.to_vec();
    let slots = &mut voices[voice].slots;
    let at = events[number];
    let mut index = number as u32 + 1;
    let second = events.get(number + 1).copied();
    match kind {
        Kind::NoteLeftOut | Kind::RestLeftOut => {
            slots.remove(at);
        }
        Kind::TypedTwice => {
            slots.insert(at + 1, slots[at].clone());
            index += 1;
        }
        Kind::PairHalved | Kind::PairDoubled => {
            for slot in [Some(at), second].into_iter().flatten() {
                change(&mut slots[slot], kind, random);
            }
        }
        Kind::Exchanged => {
            let next = events[number + 1];
            let (first, second) = (place.event(number).clone(), place.event(number + 1).clone());
            for (slot, sound) in [(at, second.sound), (next, first.sound)] {
                if let Slot::Event(event) = &mut slots[slot] {
                    event.sound = sound;
                }
            }
        }
        Kind::AccidentalTooMany => {
            if let Slot::Event(Event { sound: Sound::Notes(notes), .. }) = &mut slots[at] {
                for note in notes.iter_mut() {
                    note.printed = sign_too_many(note.tone.step, signature);
                }
            }
        }
        _ => change(&mut slots[at], kind, random),
    }
    Some(Planted { kind, voice, index, voices })
}

/// Where a slip may be planted in a voice.
struct Place<'v> {
    slots: &'v [Slot],
    /// The slots that are events.
    events: &'v [usize],
    /// Whether a slip may be planted at each.
    open: Vec<bool>,
    /// The signature at the beginning.
    signature: Signature,
}

fn signature(voice: &SlotVoice) -> Signature {
    let typed = voice.opening.split_once("signature ").and_then(|(_, rest)| rest.split(' ').next());
    typed.and_then(Signature::parse).unwrap_or(Signature::NONE)
}

/// The sign that is put before a step by mistake: one that the music of the time has there, and the
/// signature has not.
fn sign_too_many(step: Step, signature: Signature) -> Option<Accidental> {
    let sign = match step {
        _ if signature.alteration(step) < 0 => Accidental::Sharp,
        Step::F | Step::C | Step::G => Accidental::Sharp,
        Step::B | Step::E | Step::A => Accidental::Flat,
        Step::D => return None,
    };
    Some(sign)
}

/// A piece without the printed sign of an event, by its number from 0.
pub fn forget_sign(clean: &[SlotVoice], voice: usize, number: usize) -> Vec<SlotVoice> {
    let mut voices = clean.to_vec();
    let mut events = voices[voice].slots.iter_mut().filter(|slot| slot.event().is_some());
    if let Some(slot) = events.nth(number) {
        change(slot, Kind::AccidentalLeftOut, &mut Random::new(0));
    }
    voices
}

/// The events of a voice that have a printed sign where voices close: leading notes of cadences,
/// fulfilled or evaded, that are not Phrygian, and last notes of sections.
pub fn signs_at_cadences(clean: &[SlotVoice], voice: usize) -> Vec<usize> {
    let (piece, score) = scored(&text_of_slots(clean));
    let events = &score.voices[voice].events;
    let cadences = cadences::of(&piece, &score);
    let cadences = cadences.iter().filter(|cadence| !cadence.phrygian);
    let leading = cadences.flat_map(|cadence| &cadence.leading);
    let mut at: BTreeSet<usize> =
        leading.filter(|event| event.voice == voice).map(|event| event.event).collect();
    let ends = score.bars.iter().filter(|bar| bar.close != Close::Plain).map(|bar| bar.end);
    at.extend(ends.filter_map(|end| events.iter().rposition(|event| event.onset < end)));
    let is_signed = |event: &&TimedEvent| event.notes.iter().any(|note| note.printed.is_some());
    let signed = at.into_iter().map(|event| &events[event]).filter(is_signed);
    signed.filter_map(|event| Some(event.index? as usize - 1)).collect()
}

impl Place<'_> {
    fn event(&self, number: usize) -> &Event {
        match &self.slots[self.events[number]] {
            Slot::Event(event) => event,
            Slot::Other(other) => unreachable!("{other}"),
        }
    }

    /// Whether it is the last of its section: there, a value means nothing.
    fn is_final(&self, number: usize) -> bool {
        let end = self.events.get(number + 1).copied().unwrap_or(self.slots.len());
        number + 1 == self.events.len()
            || self.slots[self.events[number]..end].iter().any(
                |slot| matches!(slot, Slot::Other(other) if matches!(other.as_str(), "||" | "::")),
            )
    }

    fn fits(&self, number: usize, kind: Kind) -> bool {
        let event = self.event(number);
        let rest = event.is_rest();
        let long_rest = matches!(event.sound, Sound::Rest { spaces: Some(_) });
        let plain = event.length.is_none() && !long_rest && !self.is_final(number);
        if !self.open[number] {
            return false;
        }
        let common = Value::Breve..=Value::Fusa;
        match kind {
            Kind::Halved => plain && event.value <= Value::Semiminim,
            Kind::Doubled => plain && event.value >= Value::Semibreve,
            Kind::DotMissing => plain && event.dot.is_some(),
            Kind::DotTooMany => {
                plain
                    && !rest
                    && event.dot.is_none()
                    && (Value::Semibreve..=Value::Semiminim).contains(&event.value)
            }
            Kind::NoteLeftOut => plain && !rest,
            Kind::RestLeftOut => plain && rest,
            Kind::TypedTwice => plain && event.ligature.is_none() && common.contains(&event.value),
            Kind::PairHalved | Kind::PairDoubled => {
                let fits = |value: Value| {
                    if kind == Kind::PairHalved { value.smaller() } else { value.larger() }
                        .is_some()
                };
                plain
                    && event.dot.is_some()
                    && number + 2 < self.events.len()
                    && Some(self.event(number + 1).value) == event.value.smaller()
                    && self.event(number + 1).dot.is_none()
                    && self.event(number + 1).length.is_none()
                    && !self.is_final(number + 1)
                    && fits(self.event(number + 1).value)
                    && fits(event.value)
            }
            Kind::Step | Kind::Third | Kind::Octave => !rest,
            Kind::Exchanged => {
                let simple = |event: &Event| match event.notes() {
                    [note] if note.printed.is_none() && note.editorial.is_none() => Some(note.tone),
                    _ => None,
                };
                let tones = simple(event)
                    .zip(self.events.get(number + 1).and_then(|_| simple(self.event(number + 1))));
                tones.is_some_and(|(one, next)| one != next) && !self.is_final(number)
            }
            Kind::AccidentalLeftOut => event.notes().iter().any(|note| note.printed.is_some()),
            Kind::AccidentalTooMany => match event.notes() {
                [note] => {
                    let before = number.checked_sub(1).map(|before| self.event(before).notes());
                    let again =
                        before.is_some_and(|before| before.iter().any(|b| b.tone == note.tone));
                    note.printed.is_none()
                        && note.editorial.is_none()
                        && !again
                        && sign_too_many(note.tone.step, self.signature).is_some()
                }
                _ => false,
            },
            Kind::LineLeftOut
            | Kind::WrongClef
            | Kind::WordLeftOut
            | Kind::WordWrong
            | Kind::WordTooMany
            | Kind::CadenceSignLeftOut => false,
        }
    }
}

fn change(slot: &mut Slot, kind: Kind, random: &mut Random) {
    let Slot::Event(event) = slot else { return };
    let up = random.below(2) == 1;
    match kind {
        Kind::Halved | Kind::PairHalved => {
            event.value = event.value.smaller().unwrap_or(event.value);
        }
        Kind::Doubled | Kind::PairDoubled => {
            event.value = event.value.larger().unwrap_or(event.value);
        }
        Kind::DotMissing => event.dot = None,
        Kind::DotTooMany => event.dot = Some(Dot::Plain),
        Kind::Step => move_by(event, if up { 1 } else { -1 }),
        Kind::Third => move_by(event, if up { 2 } else { -2 }),
        Kind::Octave => move_by(event, if up { 7 } else { -7 }),
        Kind::AccidentalLeftOut | Kind::CadenceSignLeftOut => {
            if let Sound::Notes(notes) = &mut event.sound {
                for note in notes.iter_mut() {
                    note.printed = None;
                }
            }
        }
        _ => {}
    }
}

fn move_by(event: &mut Event, steps: i32) {
    if let Sound::Notes(notes) = &mut event.sound {
        for note in notes.iter_mut() {
            note.tone = note.tone.up(steps);
        }
    }
}

/// The lines of a voice: the slots of each, its line end included.
fn lines(slots: &[Slot]) -> Vec<std::ops::Range<usize>> {
    let mut lines = Vec::new();
    let mut start = 0;
    for (place, slot) in slots.iter().enumerate() {
        if matches!(slot, Slot::Other(other) if matches!(other.as_str(), "/" | "//")) {
            lines.push(start..place + 1);
            start = place + 1;
        }
    }
    if start < slots.len() {
        lines.push(start..slots.len());
    }
    lines
}

/// A line in the midst of a voice, with all that is printed in it.
fn line_left_out(
    clean: &[SlotVoice],
    voice: usize,
    place: &Place<'_>,
    random: &mut Random,
) -> Option<Planted> {
    let lines = lines(place.slots);
    let other = |slot: &Slot| match slot {
        Slot::Other(other) => {
            matches!(other.as_str(), "(" | ")" | "{" | "}" | "||" | "::")
                || other.starts_with("clef")
                || other.starts_with("sign")
        }
        Slot::Event(_) => false,
    };
    let fit: Vec<usize> = (1..lines.len().saturating_sub(1))
        .filter(|line| !place.slots[lines[*line].clone()].iter().any(other))
        .filter(|line| place.events.iter().any(|event| *event >= lines[*line].end))
        .filter(|line| {
            let mut open = place.events.iter().zip(&place.open);
            open.all(|(event, open)| *open || !lines[*line].contains(event))
        })
        .collect();
    let line = lines[*random.pick(&fit)?].clone();
    let index = place.events.iter().filter(|event| **event < line.start).count() as u32 + 1;
    let mut voices = clean.to_vec();
    voices[voice].slots.drain(line);
    Some(Planted { kind: Kind::LineLeftOut, voice, index, voices })
}

/// A value word that is left out, another than it should be, or one too many. All events up to the
/// next value word have the wrong values then.
fn value_word(
    clean: &[SlotVoice],
    voice: usize,
    kind: Kind,
    place: &Place<'_>,
    random: &mut Random,
) -> Option<Planted> {
    let typed = in_force(place.slots);
    let count = typed.len();
    let begins: Vec<usize> =
        (0..count).filter(|number| typed[*number].is_governed_anew).chain([count]).collect();
    // From where to where, and how many degrees smaller.
    let mut fit: Vec<(usize, usize, i32)> = Vec::new();
    for (run, ends) in begins.windows(2).enumerate() {
        let (from, to) = (ends[0], ends[1]);
        let value = typed[from].value;
        match kind {
            Kind::WordLeftOut if run > 0 => {
                let before = typed[from - 1].value;
                fit.push((from, to, before as i32 - value as i32));
            }
            Kind::WordWrong => fit.extend([1, -1, 2, -2].map(|smaller| (from, to, smaller))),
            Kind::WordTooMany => {
                fit.extend((from + 1..to).flat_map(|at| [1, -1].map(|smaller| (at, to, smaller))));
            }
            _ => {}
        }
    }
    let changed = |event: &Event, smaller: i32| {
        let value = event.value.degrees_smaller(smaller)?;
        let usual = (Value::Longa..=Value::Fusa).contains(&value) && event.length.is_none();
        let long_rest = matches!(event.sound, Sound::Rest { spaces: Some(_) });
        (usual && !long_rest).then_some(value)
    };
    fit.retain(|(from, to, smaller)| {
        *smaller != 0
            && (*from..*to).any(|number| !place.is_final(number))
            && (*from..*to).all(|number| place.open[number])
            && (*from..*to).all(|number| changed(place.event(number), *smaller).is_some())
    });
    let (from, to, smaller) = *random.pick(&fit)?;
    let mut voices = clean.to_vec();
    let slots = &mut voices[voice].slots;
    for number in from..to {
        if let Slot::Event(event) = &mut slots[place.events[number]] {
            event.value = changed(event, smaller)?;
        }
    }
    // What follows is typed as it was; and a word that is not left out, though it says nothing new.
    if let Some(next) = place.events.get(to) {
        slots.insert(*next, Slot::Other(typed[to].value.to_string()));
    }
    if kind != Kind::WordLeftOut {
        let wrong = typed[from].value.degrees_smaller(smaller)?;
        slots.insert(place.events[from], Slot::Other(wrong.to_string()));
    }
    Some(Planted { kind, voice, index: from as u32 + 1, voices })
}

/// A stretch read under another clef, up to the end of its line: from the line's beginning, or
/// from where a clef may have been overlooked.
fn wrong_clef(
    clean: &[SlotVoice],
    voice: usize,
    place: &Place<'_>,
    random: &mut Random,
) -> Option<Planted> {
    let lines = lines(place.slots);
    let line = random.pick(&lines)?.clone();
    let events: Vec<usize> = (0..place.events.len())
        .filter(|number| line.contains(&place.events[*number]))
        .filter(|number| !place.event(*number).is_rest())
        .collect();
    // In a source without lines, a stretch of a dozen notes.
    let stretch = if lines.len() == 1 {
        let from = random.below(events.len().saturating_sub(12).max(1));
        events.get(from..(from + 12).min(events.len()))?.to_vec()
    } else if random.below(2) == 0 {
        events
    } else {
        let from = random.below(events.len().saturating_sub(6).max(1));
        events[from..].to_vec()
    };
    let first = *stretch.first()?;
    let steps = *random.pick(&[2, -2, 4, -4])?;
    let mut voices = clean.to_vec();
    for number in stretch {
        if let Slot::Event(event) = &mut voices[voice].slots[place.events[number]] {
            move_by(event, steps);
        }
    }
    Some(Planted { kind: Kind::WrongClef, voice, index: first as u32 + 1, voices })
}
