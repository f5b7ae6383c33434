//! What stands above or below the staff: editor's accidentals, coronas, words.

use std::collections::{HashMap, HashSet};

use notation::{NoteSign, Standing};
use rudiments::Time;
use score::{Segment, Words};

use super::draft::{Side, StaffDraft};
use super::voice_line::VoiceLine;
use super::{BarPlace, Workshop, period, put_above};
use crate::fonts::Face;
use crate::frame::{Ink, Item, Origin, Role, sign_area};
use crate::glyphs::Sign;
use crate::lettering::{CAPITAL_HEIGHT, DESCENT, Lettering};
use crate::practice::SMALL;
use crate::units::{Area, Point, Sp};

/// Draws what belongs to single notes and rests, from the nearest to the farthest.
pub(super) fn draw(workshop: &Workshop<'_>, lines: &[VoiceLine], drafts: &mut [StaffDraft<'_>]) {
    for line in lines {
        for chord in &line.chords {
            let draft = &mut drafts[chord.origin.staff];
            for editorial in &chord.editorial {
                let sign = (Role::Editorial, editorial.sign, SMALL);
                outside(draft, chord.origin, sign, chord.x + chord.width / 2.0, Side::Above);
            }
        }
    }
    // What was drawn for all voices of a staff.
    let mut shared: HashSet<(Role, usize, usize, Time)> = HashSet::new();
    for line in lines {
        let chords = line
            .chords
            .iter()
            .map(|chord| (chord.origin, chord.x + chord.width / 2.0, chord.up || chord.alone));
        let rests = line.rests.iter().filter(|placed| !placed.rest.shared).map(|placed| {
            let middle = placed.x + workshop.signs.width(placed.rest.sign) / 2.0;
            (placed.rest.origin, middle, placed.rest.up || placed.rest.alone)
        });
        for (origin, middle, above) in chords.chain(rests) {
            let segment = &workshop.arrangement.bars[origin.bar].voices[origin.voice][origin.place];
            let draft = &mut drafts[origin.staff];
            let side = if above { Side::Above } else { Side::Below };
            let printed = segment.signs.printed().iter().map(Look::of);
            let editors = segment.signs.of_the_editor().iter().map(Look::of);
            let emended = begins_emended(workshop, segment, origin.voice);
            let emended = emended.then_some(EMENDED);
            for look in printed.chain(emended).chain(editors) {
                match look {
                    Look::Shared { role, over, under } => {
                        let sign = if above { over } else { under };
                        if shared.insert((role, origin.staff, origin.bar, segment.onset)) {
                            outside(draft, origin, (role, sign, 0.85), middle, side);
                        }
                    }
                    Look::Letters(role, text) => {
                        letters(workshop, draft, origin, (role, text), middle, side);
                    }
                }
            }
        }
    }
}

/// Draws the words of all bars.
pub(super) fn draw_words(
    workshop: &Workshop<'_>,
    lines: &[VoiceLine],
    places: &[BarPlace],
    drafts: &mut [StaffDraft<'_>],
) {
    for place in places {
        words_of_bar(workshop, *place, lines, drafts);
    }
}

/// At the first of what is emended.
const EMENDED: Look = Look::Letters(Role::Words, "*");

/// How something at a note is drawn.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Look {
    /// As a sign over or under the staff; one is enough for all voices of it.
    Shared { role: Role, over: Sign, under: Sign },
    /// As letters.
    Letters(Role, &'static str),
}

impl Look {
    fn of(sign: NoteSign) -> Look {
        match sign {
            NoteSign::Corona => {
                Look::Shared { role: Role::Corona, over: Sign::Corona, under: Sign::CoronaBelow }
            }
            // As many prints have it: an S between points. The modern sign of that origin would send
            // a player back.
            NoteSign::Signum => Look::Letters(Role::Signum, ":S:"),
            NoteSign::Doubt => Look::Letters(Role::Words, "?"),
        }
    }
}

/// Whether this is the first segment of an emended note.
fn begins_emended(workshop: &Workshop<'_>, segment: &Segment, voice: usize) -> bool {
    let event = &workshop.arrangement.score.voices[voice].events[segment.event];
    segment.onset <= event.onset && event.standing == Standing::Emended
}

/// Letters as a mark of a note.
fn letters(
    workshop: &Workshop<'_>,
    draft: &mut StaffDraft<'_>,
    origin: Origin,
    (role, text): (Role, &str),
    middle: Sp,
    side: Side,
) {
    let letters = workshop.letterer.set(text, Face::Roman, WORDS);
    let x = middle - letters.width / 2.0;
    let bottom = if letters.descends() { WORDS * DESCENT } else { Sp::ZERO };
    let area = Area::new(x, WORDS * -CAPITAL_HEIGHT, x + letters.width, bottom);
    let at = Point::new(x, draft.outside(side, area));
    draft.put(Item { role, of: Some(origin), ink: Ink::Letters { letters: letters.into(), at } });
}

fn outside(
    draft: &mut StaffDraft<'_>,
    origin: Origin,
    (role, sign, scale): (Role, Sign, f64),
    middle: Sp,
    side: Side,
) {
    let area = sign_area(draft.signs, sign, scale, false);
    let x = middle - area.width() / 2.0;
    let y = draft.outside(side, area.moved(x, Sp::ZERO));
    draft.scaled(role, Some(origin), sign, Point::new(x, y), scale);
}

/// The words of a bar, each above the staff of its voice, from its moment on.
fn words_of_bar(
    workshop: &Workshop<'_>,
    place: BarPlace,
    lines: &[VoiceLine],
    drafts: &mut [StaffDraft<'_>],
) {
    let bar = &workshop.arrangement.bars[place.number];
    let of_all = said_by_all(workshop, &bar.words);
    for words in &bar.words {
        let segments = &bar.voices[words.voice];
        let there = segments.partition_point(|segment| segment.end() <= words.at);
        let staff =
            segments.get(there).or(segments.last()).map_or(words.voice, |segment| segment.staff);
        let line = &lines[words.voice];
        let chord = line
            .chords
            .iter()
            .find(|chord| chord.origin.bar == place.number && chord.origin.place == there)
            .map(|chord| chord.x);
        let rest = line
            .rests
            .iter()
            .find(|rest| rest.rest.origin.bar == place.number && rest.rest.origin.place == there)
            .map(|rest| rest.x.min(place.music.max(place.start)));
        let x = chord.or(rest).unwrap_or(place.music);
        let Some(draft) = drafts.get_mut(staff) else { continue };
        let (sign, meaning) = match words.text.split_once(": ") {
            Some((sign, meaning)) => (rudiments::Sign::parse(sign), meaning),
            None => (rudiments::Sign::parse(&words.text), ""),
        };
        let Some(sign) = sign else {
            // A section or a rubric of the whole piece stands once, above.
            if words.voice > 0 && of_all.contains(&(words.at, &*words.text)) {
                continue;
            }
            let lines = set(workshop, &words.text, draft.right() - x);
            put_lines(draft, lines, x, Sp::ZERO);
            continue;
        };
        let (items, width) = period::items(sign, Role::Words, workshop.signs, workshop.letterer);
        if meaning.is_empty() {
            put_above(draft, items, x);
            continue;
        }
        let lines = set(workshop, meaning, draft.right() - x - width - AFTER_SIGN);
        let widest = lines.iter().map(|line| line.width).fold(Sp::ZERO, Sp::max);
        let x = x.min(draft.right() - widest - width - AFTER_SIGN).max(Sp::ZERO);
        let y = put_lines(draft, lines, x, width + AFTER_SIGN);
        for item in items {
            draft.put(item.moved(x, y));
        }
    }
}

/// What every voice of an open score has at one moment.
fn said_by_all<'w>(workshop: &Workshop<'_>, words: &'w [Words<'_>]) -> HashSet<(Time, &'w str)> {
    let voices = workshop.arrangement.score.voices.len();
    let mut counts: HashMap<(Time, &str), usize> = HashMap::new();
    for one in words {
        *counts.entry((one.at, &*one.text)).or_default() += 1;
    }
    counts.into_iter().filter(|(_, count)| *count == voices).map(|(said, _)| said).collect()
}

/// Between a sign and what it means.
const AFTER_SIGN: Sp = Sp(0.7);

/// The size of words, and from one line of them to the next.
const WORDS: Sp = Sp(2.1);

/// Words in one line, or in two where one has no room.
fn set(workshop: &Workshop<'_>, text: &str, room: Sp) -> Vec<Lettering> {
    let line = |text: &str| workshop.letterer.set(text, Face::Italic, WORDS);
    let whole = line(text);
    // Of all spaces, the one nearest the middle.
    let middle = |place: &usize| place.abs_diff(text.len() / 2);
    let space = text.match_indices(' ').map(|(place, _)| place).min_by_key(middle);
    match space.filter(|_| whole.width > room) {
        Some(space) => vec![line(&text[..space]), line(&text[space + 1..])],
        None => vec![whole],
    }
}

/// Draws lines of words above all that is there, with room before them, from `x` on; those that
/// would run off the end of the system end with it. The baseline of the first.
fn put_lines(draft: &mut StaffDraft<'_>, lines: Vec<Lettering>, x: Sp, before: Sp) -> Sp {
    let widest = before + lines.iter().map(|line| line.width).fold(Sp::ZERO, Sp::max);
    let x = x.min(draft.right() - widest).max(Sp::ZERO);
    let below = WORDS * (lines.len().saturating_sub(1)) as f64;
    let area = Area::new(x, WORDS * -CAPITAL_HEIGHT, x + widest, below + WORDS * DESCENT);
    let first = draft.outside(Side::Above, area);
    for (number, letters) in lines.into_iter().enumerate() {
        let at = Point::new(x + before, first + WORDS * number as f64);
        draft.put(Item {
            role: Role::Words,
            of: None,
            ink: Ink::Letters { letters: letters.into(), at },
        });
    }
    first
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_drawn_at_a_note_says_one_thing() {
        let looks: Vec<Look> =
            NoteSign::ALL.iter().copied().map(Look::of).chain([EMENDED]).collect();
        let same = |one: Look, other: Look| match (one, other) {
            // Their roles do not show.
            (Look::Letters(_, one), Look::Letters(_, other)) => one == other,
            (one, other) => one == other,
        };
        for (place, look) in looks.iter().enumerate() {
            let twice = looks[..place].iter().any(|before| same(*before, *look));
            assert!(!twice, "{look:?} is drawn for something else too");
        }
    }

    /// In an open score, what all voices have stands once; what some have stands with each.
    #[test]
    fn words_of_all_voices_stand_once() {
        let text = "voice A clef C1\n \"Prima pars\" sb A4 \"solus\" B lg C5\n\
                    voice B clef C3\n \"Prima pars\" sb A4 B lg A\n\
                    voice C clef C4\n \"Prima pars\" sb A3 \"solus\" B lg A\n";
        let piece = notation::parse(text).piece;
        let score = score::align(&piece, score::reckon(&piece), score::BarLength::Breve).score;
        let open = score::Options { staves: score::Staves::Open, ..score::Options::default() };
        let picture = crate::engrave(&score::arrange(&score, open), &crate::Look::default());
        let items = picture.blocks.iter().flat_map(|block| &block.frame.items);
        let said = items.filter_map(|item| match &item.ink {
            Ink::Letters { letters, .. } if item.role == Role::Words => Some(letters.text.as_str()),
            _ => None,
        });
        let mut said: Vec<&str> = said.collect();
        said.sort_unstable();
        assert_eq!(said, ["Prima pars", "solus", "solus"]);
    }
}
