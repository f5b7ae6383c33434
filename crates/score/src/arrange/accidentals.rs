//! Which accidentals a reader needs.
//!
//! A sign before a note holds, as in modern practice, for its place on its staff to the end of
//! the bar, whatever voice it stands in. A tied note needs none, and what it was tied from does
//! not hold for later notes. The editor's sign, small above a note, holds for that note alone;
//! after it every other note at that place of the bar has a sign of its own. Two notes that begin
//! at once at one place with different alterations have both a sign, and so has what follows them
//! there. So no pitch is left to be guessed.
//!
//! Cautionary signs stand where a reader would stumble, once for a place in a bar:
//!
//! - at a note that is as the signature has it, where the same letter, in another octave or on the
//!   other staff, was altered earlier in the bar, or is in the same moment;
//! - at such a note in the bar after one in which the same tone was altered last, on whatever
//!   staff, or where it is held altered over the bar line;
//! - where the source prints a sign that only confirms the signature.

use rudiments::Signature;

use super::{ArrangedBar, Manner, Segment, SegmentNote, ShownAccidental, Staff};
use crate::Score;

/// Gives every note the sign that it needs.
pub(super) fn show(score: &Score, staves: &[Staff], bars: &mut [ArrangedBar]) {
    let Some(range) = Range::of(bars) else { return };
    let mut reader = Reader::new(staves, range);
    let mut order = Vec::new();
    for bar in bars {
        reader.turn_bar(staves);
        // The notes of the bar in the order of time, at one moment from the top voice down.
        order.clear();
        for (voice, segments) in bar.voices.iter().enumerate() {
            let notes = segments.iter().enumerate().filter(|(_, segment)| !segment.is_rest());
            order.extend(notes.map(|(place, segment)| (segment.onset, voice, place)));
        }
        order.sort_unstable();
        // What goes on from before an excerpt, nobody has read.
        let goes_on = |segment: &Segment| segment.tied_before && segment.onset.is_positive();
        for moment in order.chunk_by(|one, other| one.0 == other.0) {
            reader.struck.clear();
            for (_, voice, place) in moment {
                let segment = &bar.voices[*voice][*place];
                for note in &segment.notes {
                    reader.hear(segment.staff, *note, goes_on(segment));
                }
            }
            reader.struck.sort_unstable();
            reader.struck.dedup();
            // The editor's signs make doubtful what follows them, not what begins with them.
            for editors in [false, true] {
                for (_, voice, place) in moment {
                    let segment = &mut bar.voices[*voice][*place];
                    if goes_on(segment) {
                        continue;
                    }
                    let sounded = &score.voices[*voice].events[segment.event].notes;
                    for (note, sounded) in segment.notes.iter_mut().zip(sounded) {
                        match (sounded.editorial.is_some(), editors) {
                            (true, true) => {
                                note.accidental = Some(reader.editorial(segment.staff, *note));
                            }
                            (false, false) => {
                                let printed = sounded.printed.is_some();
                                note.accidental = reader.read(segment.staff, *note, printed);
                            }
                            _ => {}
                        }
                    }
                }
            }
        }
    }
}

/// From the lowest to the highest rung of all notes.
#[derive(Clone, Copy)]
struct Range {
    lowest: i32,
    count: usize,
}

impl Range {
    fn of(bars: &[ArrangedBar]) -> Option<Range> {
        let segments = bars.iter().flat_map(|bar| bar.voices.iter().flatten());
        let rungs = segments.flat_map(|segment| &segment.notes).map(|note| note.pitch.tone.rung());
        let (lowest, highest) = rungs.fold(None, |outer: Option<(i32, i32)>, rung| {
            Some(outer.map_or((rung, rung), |(low, high)| (low.min(rung), high.max(rung))))
        })?;
        Some(Range { lowest, count: (highest - lowest + 1) as usize })
    }
}

/// What a reader knows who has read up to some moment of a bar.
struct Reader {
    range: Range,
    /// The bar, counted from 1.
    bar: usize,
    /// For each staff the signature of this bar, and the number of signatures it has had.
    signatures: Vec<(Signature, usize)>,
    /// What is known of each place of each staff.
    places: Vec<Place>,
    /// How each tone sounded last, on whatever staff.
    tones: Vec<Tone>,
    /// For each letter, the bar in which it was altered last against the signature.
    altered: [usize; 7],
    /// What begins at this moment: staff, rung and alteration, sorted.
    struck: Vec<(usize, i32, i8)>,
}

/// What is known of a place of a staff; all of it only for the bar it names.
#[derive(Clone, Copy, Default)]
struct Place {
    bar: usize,
    /// The alteration that holds; nothing where signs at one moment contradict each other.
    holds: Option<i8>,
    /// Whether a sign has stood before a note here.
    has_sign: bool,
    /// Whether an editor's sign has stood above a note here since.
    doubtful: bool,
}

/// The last bar in which a tone sounded and its last alteration there; and the same of the bar in
/// which it sounded before that.
#[derive(Clone, Copy, Default)]
struct Tone {
    last: (usize, i8),
    before: (usize, i8),
}

impl Reader {
    fn new(staves: &[Staff], range: Range) -> Reader {
        Reader {
            range,
            bar: 0,
            signatures: vec![(Signature::NONE, 0); staves.len()],
            places: vec![Place::default(); staves.len() * range.count],
            tones: vec![Tone::default(); range.count],
            altered: [0; 7],
            struck: Vec::new(),
        }
    }

    fn turn_bar(&mut self, staves: &[Staff]) {
        for (now, staff) in self.signatures.iter_mut().zip(staves) {
            if let Some((bar, next)) = staff.signatures.get(now.1)
                && *bar <= self.bar
            {
                *now = (*next, now.1 + 1);
            }
        }
        self.bar += 1;
    }

    /// The alteration that the signature gives to a note's step.
    fn signed(&self, staff: usize, note: SegmentNote) -> i8 {
        self.signatures[staff].0.alteration(note.pitch.tone.step)
    }

    fn rung(&self, note: SegmentNote) -> usize {
        (note.pitch.tone.rung() - self.range.lowest) as usize
    }

    /// The place of a note, as it is in this bar.
    fn place(&mut self, staff: usize, note: SegmentNote) -> &mut Place {
        let rung = self.rung(note);
        let fresh = Place {
            bar: self.bar,
            holds: Some(self.signed(staff, note)),
            has_sign: false,
            doubtful: false,
        };
        let place = &mut self.places[staff * self.range.count + rung];
        if place.bar != fresh.bar {
            *place = fresh;
        }
        place
    }

    /// Takes notice of a note that begins, or goes on, at this moment.
    fn hear(&mut self, staff: usize, note: SegmentNote, tied: bool) {
        let (tone, alteration) = (note.pitch.tone, note.pitch.alteration);
        if !tied {
            self.struck.push((staff, tone.rung(), alteration));
        }
        if alteration != self.signed(staff, note) {
            self.altered[tone.step as usize] = self.bar;
        }
        let rung = self.rung(note);
        let heard = &mut self.tones[rung];
        if heard.last.0 != self.bar {
            heard.before = heard.last;
        }
        heard.last = (self.bar, alteration);
    }

    /// Whether something else begins at this moment at the same place with another alteration.
    fn is_contradicted(&self, staff: usize, note: SegmentNote) -> bool {
        let here = (staff, note.pitch.tone.rung());
        let first = self.struck.partition_point(|(staff, rung, _)| (*staff, *rung) < here);
        self.struck.get(first + 1).is_some_and(|(staff, rung, _)| (*staff, *rung) == here)
    }

    /// The sign above a note to which the editor gives one.
    fn editorial(&mut self, staff: usize, note: SegmentNote) -> ShownAccidental {
        self.place(staff, note).doubtful = true;
        ShownAccidental { alteration: note.pitch.alteration, manner: Manner::Editorial }
    }

    /// The sign before any other note.
    fn read(&mut self, staff: usize, note: SegmentNote, printed: bool) -> Option<ShownAccidental> {
        let alteration = note.pitch.alteration;
        let contradicted = self.is_contradicted(staff, note);
        let surprising =
            alteration == self.signed(staff, note) && (printed || self.was_altered(note));
        let place = self.place(staff, note);
        let manner = if contradicted || place.holds != Some(alteration) {
            Manner::Needed
        } else if place.doubtful || (surprising && !place.has_sign) {
            Manner::Cautionary
        } else {
            return None;
        };
        place.holds = (!contradicted).then_some(alteration);
        place.has_sign = true;
        place.doubtful = false;
        Some(ShownAccidental { alteration, manner })
    }

    /// Whether a reader has an alteration in mind that this note has not: of its letter, from this
    /// bar, or of its tone, from the bar before.
    fn was_altered(&self, note: SegmentNote) -> bool {
        let heard = self.tones[self.rung(note)];
        let (bar, alteration) = heard.before;
        let in_the_bar_before =
            bar + 1 == self.bar && bar > 0 && alteration != note.pitch.alteration;
        self.altered[note.pitch.tone.step as usize] == self.bar || in_the_bar_before
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashMap;

    use proptest::prelude::*;

    use crate::Excerpt;

    use super::super::testing::{any_score, score, with_signature};
    use super::super::{Arrangement, Options, Segment, Staves, arrange};
    use super::*;

    /// The notes of each voice as shown, a bar a string: `#` `b` `n` before a note, in `( )` where
    /// it is cautionary, in `[ ]` where it stands above; `~` before a tied note.
    fn shown_on(staves: Staves, score: &Score) -> Vec<String> {
        let arrangement = arrange(score, Options { staves, ..Options::default() });
        let note = |segment: &Segment, note: &SegmentNote| {
            let sign = note.accidental.map_or_else(String::new, |accidental| {
                let sign = ["b", "n", "#"][(accidental.alteration + 1) as usize];
                match accidental.manner {
                    Manner::Needed => sign.to_string(),
                    Manner::Cautionary => format!("({sign})"),
                    Manner::Editorial => format!("[{sign}]"),
                }
            });
            let tie = if segment.tied_before { "~" } else { "" };
            format!("{tie}{sign}{}", note.pitch.tone)
        };
        let voice = |place: usize| {
            let bar = |bar: &ArrangedBar| {
                let segments = bar.voices[place].iter();
                let notes = segments
                    .flat_map(|segment| segment.notes.iter().map(move |n| note(segment, n)));
                notes.collect::<Vec<_>>().join(" ")
            };
            arrangement.bars.iter().map(bar).collect::<Vec<_>>().join(" | ")
        };
        (0..score.voices.len()).map(voice).collect()
    }

    fn shown(voice: &str) -> String {
        shown_on(Staves::Open, &score(4, &[voice])).remove(0)
    }

    /// Of voices that share a staff, over a bass on the other.
    fn together(voices: &[&str]) -> Vec<String> {
        let mut shown = shown_on(Staves::Keyboard, &score(4, &[voices, &["C3:4"]].concat()));
        shown.pop();
        shown
    }

    #[test]
    fn a_sign_holds_to_the_end_of_the_bar() {
        assert_eq!(shown("F#4:1 G4 F#4 G4 F#4:4"), "#F4 G4 F4 G4 | #F4");
        assert_eq!(shown("F#4:1 G4 F4 G4"), "#F4 G4 nF4 G4");
    }

    #[test]
    fn a_signature_needs_no_signs() {
        let score = with_signature(score(4, &["Bb4:1 A4 B4 A4 Bb4:4"]), "Bb");
        assert_eq!(shown_on(Staves::Open, &score), ["B4 A4 nB4 A4 | (b)B4"]);
    }

    #[test]
    fn a_tie_carries_its_alteration_over_the_bar_line() {
        assert_eq!(shown("G4:2 F#4:4 G4:2"), "G4 #F4 | ~F4 G4");
        assert_eq!(shown("G4:2 F#4:3 G4:1 F#4:2"), "G4 #F4 | ~F4 G4 #F4");
        assert_eq!(shown("G4:2 F#4:3 G4:1 F4:2"), "G4 #F4 | ~F4 G4 (n)F4");
    }

    #[test]
    fn a_caution_in_the_next_bar_only() {
        assert_eq!(shown("F#4:4 F4:4 F4:4"), "#F4 | (n)F4 | F4");
        assert_eq!(shown("F#4:4 G4:4 F4:4"), "#F4 | G4 | F4");
        assert_eq!(shown("F#4:2 F4:2 F4:4"), "#F4 nF4 | F4");
        assert_eq!(shown("F#4:4 F4:2 G4:1 F4"), "#F4 | (n)F4 G4 F4");
    }

    #[test]
    fn a_caution_in_another_octave_and_on_the_other_staff() {
        assert_eq!(shown("F#4:2 F5:1 F5:1"), "#F4 (n)F5 F5");
        assert_eq!(together(&["F#5:4", "F3:4"]), ["#F5", "(n)F3"]);
        assert_eq!(together(&["G5:2 F#5:2", "F3:4"]), ["G5 #F5", "F3"]);
    }

    #[test]
    fn another_octave_needs_its_own_sign() {
        assert_eq!(shown("F#4:2 F#5:2"), "#F4 #F5");
    }

    #[test]
    fn voices_of_a_staff_share_their_signs() {
        assert_eq!(together(&["F#4:2 A4:2", "D4:2 F#4:2"]), ["#F4 A4", "D4 F4"]);
        assert_eq!(together(&["F#4:2 A4:2", "D4:2 F4:2"]), ["#F4 A4", "D4 nF4"]);
    }

    #[test]
    fn contradicting_notes_of_one_moment_are_both_signed() {
        let found = together(&["F4:2 A4:1 F4:1", "F#4:2 D4:2"]);
        assert_eq!(found, ["nF4 A4 nF4", "#F4 D4"]);
        let found = together(&["F#4:2 A4:1 F4:1", "F4:2 D4:2"]);
        assert_eq!(found, ["#F4 A4 nF4", "nF4 D4"]);
    }

    #[test]
    fn an_editors_sign_holds_for_its_note_alone() {
        assert_eq!(shown("F[#]4:1 G4 F4 F4"), "[#]F4 G4 (n)F4 F4");
        assert_eq!(shown("F[#]4:1 G4 F[#]4 F#4"), "[#]F4 G4 [#]F4 #F4");
        assert_eq!(shown("F#4:1 G4 F[n]4 F#4"), "#F4 G4 [n]F4 (#)F4");
        assert_eq!(shown("F[#]4:4 F4:4"), "[#]F4 | (n)F4");
    }

    #[test]
    fn a_sign_that_the_source_prints_without_need_is_kept_as_a_caution() {
        let mut score = score(4, &["F4:1 G4 F4 G4 F4:4"]);
        for event in [0, 2] {
            score.voices[0].events[event].notes[0].printed = Some(rudiments::Accidental::Flat);
        }
        assert_eq!(shown_on(Staves::Open, &score), ["(n)F4 G4 F4 G4 | F4"]);
    }

    #[test]
    fn a_doubled_sign_has_its_own_alteration() {
        let mut score = score(4, &["F4:4"]);
        score.voices[0].events[0].notes[0].pitch.alteration = 2;
        let arrangement = arrange(&score, Options::default());
        let shown = arrangement.bars[0].voices[0][0].notes[0].accidental.unwrap();
        assert_eq!((shown.alteration, shown.manner), (2, Manner::Needed));
    }

    /// Reads the signs back by modern rules; an error names the note that could be read in two
    /// ways, or is not what sounds.
    fn read_back(arrangement: &Arrangement) -> Result<(), String> {
        let mut tied: HashMap<(usize, usize), i8> = HashMap::new();
        for (number, bar) in arrangement.bars.iter().enumerate() {
            // What a sign before a note has made hold at a place, or nothing where that is unclear.
            let mut holds: HashMap<(usize, i32), Option<i8>> = HashMap::new();
            let mut moments: Vec<_> =
                bar.voices.iter().flatten().map(|segment| segment.onset).collect();
            moments.sort_unstable();
            moments.dedup();
            for moment in moments {
                let now = || {
                    let voices = bar.voices.iter().enumerate();
                    let segments = voices.flat_map(|(voice, segments)| {
                        segments.iter().map(move |segment| (voice, segment))
                    });
                    let segments = segments.filter(|(_, segment)| segment.onset == moment);
                    segments.flat_map(|(voice, segment)| {
                        let notes = segment.notes.iter().enumerate();
                        notes.map(move |(rank, note)| ((voice, rank), segment, note))
                    })
                };
                let place =
                    |segment: &Segment, note: &SegmentNote| (segment.staff, note.pitch.tone.rung());
                let mut before_notes: HashMap<(usize, i32), Vec<i8>> = HashMap::new();
                for (_, segment, note) in now() {
                    if let Some(sign) = note.accidental
                        && sign.manner != Manner::Editorial
                    {
                        let signs = before_notes.entry(place(segment, note)).or_default();
                        signs.push(sign.alteration);
                    }
                }
                for (place, signs) in &mut before_notes {
                    signs.dedup();
                    holds.insert(*place, if signs.len() == 1 { Some(signs[0]) } else { None });
                }
                for (held, segment, note) in now() {
                    let place = place(segment, note);
                    let staff = &arrangement.staves[segment.staff];
                    let signature = staff
                        .signatures
                        .iter()
                        .rev()
                        .find(|(bar, _)| *bar <= number)
                        .map_or(0, |(_, signature)| signature.alteration(note.pitch.tone.step));
                    let read = match note.accidental {
                        _ if segment.tied_before && segment.onset.is_positive() => {
                            tied.get(&held).copied()
                        }
                        Some(sign) => Some(sign.alteration),
                        None => holds.get(&place).copied().unwrap_or(Some(signature)),
                    };
                    if read != Some(note.pitch.alteration) {
                        return Err(format!("bar {number}, {}: read {read:?}", note.pitch));
                    }
                    tied.insert(held, note.pitch.alteration);
                }
                for (_, segment, note) in now() {
                    let is_editorial = |sign: ShownAccidental| sign.manner == Manner::Editorial;
                    if note.accidental.is_some_and(is_editorial) {
                        holds.insert(place(segment, note), None);
                    }
                }
            }
        }
        Ok(())
    }

    proptest! {
        #[test]
        fn signs_read_back_are_the_pitches(
            score in any_score(5),
            signature in prop::sample::select(vec!["none", "Bb", "F#", "Bb,Eb"]),
            open in any::<bool>(),
            transposition in prop::sample::select(vec![None, Some(4), Some(5), Some(2)]),
        ) {
            let score = with_signature(score, signature);
            let staves = if open { Staves::Open } else { Staves::Keyboard };
            let transpose = transposition.and_then(|number| {
                rudiments::Interval::of_number(number, rudiments::Direction::Down)
            });
            let arrangement =
                arrange(&score, Options { staves, transpose, ..Options::default() });
            prop_assert_eq!(read_back(&arrangement), Ok(()));
        }

        /// A tie that comes from outside brings no sign with it.
        #[test]
        fn signs_of_an_excerpt_are_the_pitches(
            score in any_score(4),
            (first, count) in (1..6_u32, 0..3_u32),
        ) {
            if let Ok(cut) = Excerpt::bars(first..=first + count).of(&score) {
                prop_assert_eq!(read_back(&arrange(&cut, Options::default())), Ok(()));
            }
        }
    }
}
