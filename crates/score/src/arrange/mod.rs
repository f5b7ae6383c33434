//! What a modern reader needs beside the bare times: staves and hands, notes split at bar lines
//! and tied, tuplets, beams, stems, and the accidentals that modern practice shows.
//!
//! Where all voices enter a proportion together, its bars have a meter of their own in which the
//! notes are written plainly, as in modern editions. Lengths and onsets are still those of the
//! minim grid: such a note is a member of a tuplet that is not shown, so that a file says exactly
//! how long it lasts.
//!
//! Every output that looks like a modern score is made from an [`Arrangement`], and decides
//! nothing of this kind itself. An arrangement knows no distances and no fonts.

mod accidentals;
mod bars;
mod beams;
mod blank;
mod brackets;
mod clefs;
mod hands;
mod marks;
mod rests;
mod spell;
mod staves;
mod stems;
mod tuplets;
mod value;

#[cfg(test)]
mod listing;
#[cfg(test)]
pub(crate) mod testing;

use std::borrow::Cow;

use notation::NoteSigns;
use rudiments::{Clef, Interval, Pitch, Quarters, Signature, Time};

use crate::{Score, passages};
use hands::Hands;

pub use bars::{Meter, MeterSymbol};
pub use hands::Stretch;
pub use notation::Hand;
pub use value::NoteValue;

/// How a score is to be laid out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Options {
    /// Two staves for two hands, or one for each voice.
    pub staves: Staves,
    /// By how much values are reduced.
    pub reduction: Reduction,
    /// By what the whole piece is transposed.
    pub transpose: Option<Interval>,
    /// The widest span of a hand, as the number of an interval: 9 is a ninth.
    pub reach: u32,
    /// What decides on which side the stems of voices are that share a staff.
    pub stems: Stems,
    /// Which rests of voices are shown that share a staff.
    pub rests: Rests,
    /// The clefs of a keyboard score.
    pub clefs: Clefs,
}

impl Options {
    /// The reach of a hand unless told otherwise: a ninth.
    pub const USUAL_REACH: u32 = 9;

    /// A pitch of the score as it stands in the arrangement.
    pub fn transposed(&self, pitch: Pitch) -> Pitch {
        self.transpose.map_or(pitch, |interval| interval.from(pitch))
    }

    /// A signature of the score as it stands in the arrangement.
    fn transposed_signature(&self, signature: Signature) -> Signature {
        self.transpose.map_or(signature, |interval| interval.move_signature(signature))
    }
}

impl Default for Options {
    fn default() -> Options {
        Options {
            staves: Staves::Keyboard,
            reduction: Reduction::Original,
            transpose: None,
            reach: Options::USUAL_REACH,
            stems: Stems::Pitch,
            rests: Rests::Needed,
            clefs: Clefs::Fitting,
        }
    }
}

/// On what staves a score stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Staves {
    /// Two staves, G2 and F4, for the two hands.
    #[default]
    Keyboard,
    /// A staff for each voice.
    Open,
}

/// What decides on which side the stems of voices are that share a staff.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Stems {
    /// What strikes together, by pitch: for playing.
    #[default]
    Pitch,
    /// The order of the voices, also where they cross: for study.
    Voice,
}

/// Which rests of voices are shown that share a staff.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Rests {
    /// Those that a player needs.
    #[default]
    Needed,
    /// Those of every voice.
    All,
}

/// The clefs of a keyboard score.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Clefs {
    /// Those under which a hand needs the fewest ledger lines, also two alike, changing where that
    /// helps for long.
    #[default]
    Fitting,
    /// Treble above bass throughout.
    Fixed,
}

/// Which modern note stands for a minim.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Reduction {
    /// The half note: original values.
    #[default]
    Original,
    /// The quarter: halved values.
    Halved,
    /// The eighth: quartered values.
    Quartered,
}

impl Reduction {
    /// The note that stands for a minim.
    pub fn minim(self) -> NoteValue {
        match self {
            Reduction::Original => NoteValue::HALF,
            Reduction::Halved => NoteValue::QUARTER,
            Reduction::Quartered => NoteValue::EIGHTH,
        }
    }

    /// A length of the score in quarter notes, as an exact fraction.
    pub fn quarters(self, length: Time) -> Quarters {
        Quarters::of(length, self.minim().quarters())
    }

    /// How long a written quarter note is, in minims.
    fn quarter(self) -> Time {
        Quarters::whole(1).minims(self.minim().quarters())
    }
}

/// A score made ready to be written down.
#[derive(Clone, PartialEq, Debug)]
pub struct Arrangement<'s> {
    /// The score; its pitches are those before transposition.
    pub score: &'s Score,
    /// How it was asked for.
    pub options: Options,
    /// The staves, from the top.
    pub staves: Vec<Staff>,
    /// A bar for each bar of the score.
    pub bars: Vec<ArrangedBar<'s>>,
    /// Where a hand cannot reach what it is to play, in order of time.
    pub stretches: Vec<Stretch>,
}

/// A staff of the arrangement.
#[derive(Clone, PartialEq, Debug)]
pub struct Staff {
    /// Its clefs: at the beginning, and wherever one changes, by bar. There is at least one.
    pub clefs: Vec<(usize, Clef)>,
    /// Octaves by which it sounds above what is written: -1 under the octave-lowered G clef.
    pub octave_change: i8,
    /// Its signatures: at the beginning, and wherever one changes, by bar.
    pub signatures: Vec<(usize, Signature)>,
}

impl Staff {
    /// Its clef in a bar.
    pub fn clef_in(&self, bar: usize) -> Clef {
        let begun = self.clefs.partition_point(|(from, _)| *from <= bar);
        begun.checked_sub(1).map_or(staves::TREBLE, |place| self.clefs[place].1)
    }

    /// The clef that begins with a bar, if it is another than before.
    pub fn clef_change(&self, bar: usize) -> Option<Clef> {
        let place = self.clefs.binary_search_by_key(&bar, |(from, _)| *from).ok()?;
        (place > 0).then(|| self.clefs[place].1)
    }

    /// The place of a sounding tone on this staff in a bar; see [`rudiments::Place`].
    pub fn place_of(&self, tone: rudiments::Tone, bar: usize) -> rudiments::Place {
        self.clef_in(bar).place_of(tone) - 7 * self.octave_change as i32
    }
}

/// What stands in a bar.
#[derive(Clone, PartialEq, Debug)]
pub struct ArrangedBar<'s> {
    /// The meter that begins with it, where it is another than before.
    pub meter: Option<Meter>,
    /// Whether a repeated section begins with it, so that its beginning must be marked.
    pub repeat_begins: bool,
    /// For each voice the segments that fill the bar without gaps.
    pub voices: Vec<Vec<Segment>>,
    /// Rests of staves that no voice has: where one goes to the other hand, and nothing is left.
    pub rests: Vec<StaffRest>,
    /// Words that stand in it: by voice, then by time.
    pub words: Vec<Words<'s>>,
}

/// A rest that belongs to a staff and to no voice.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct StaffRest {
    /// The staff, from 0.
    pub staff: usize,
    /// When it begins.
    pub onset: Time,
    /// How long it lasts.
    pub length: Time,
    /// How it is written.
    pub shape: Shape,
}

/// Words above a staff.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Words<'s> {
    /// The voice over which they stand.
    pub voice: usize,
    /// When.
    pub at: Time,
    /// What they say: the source's words; or a sign of mensuration or proportion, and after a colon
    /// what its proportion means.
    pub text: Cow<'s, str>,
}

/// A modern note or rest: what of an event stands in one bar and can be written as one sign.
#[derive(Clone, PartialEq, Debug)]
pub struct Segment {
    /// The event, as a place in the voice's events. Where rests are joined to one, the first.
    pub event: usize,
    /// When it begins.
    pub onset: Time,
    /// How long it lasts, exactly, tuplets considered.
    pub length: Time,
    /// How it is written.
    pub shape: Shape,
    /// The tuplet that it belongs to.
    pub tuplet: Option<Tuplet>,
    /// Its staff, from 0.
    pub staff: usize,
    /// What sounds, transposed, with the sign to be shown; in the order of the event's notes.
    pub notes: Vec<SegmentNote>,
    /// Whether it is tied to what comes before.
    pub tied_before: bool,
    /// Whether it is tied to what comes after.
    pub tied_after: bool,
    /// On which side its stem stands. Notes that have no stem have a side all the same: that of
    /// their voice, for ties, rests and dots.
    pub stem: Stem,
    /// Whether it stands on its staff as if there were no other voice: nothing of another sounds
    /// meanwhile, or all have one stem.
    pub alone: bool,
    /// Whether it is a rest that is not shown, as others sound on its staff.
    pub left_out: bool,
    /// Whether it is a note whose place on the staff is left empty, with the room that it needs: see
    /// [`Score::blank`]. It has no notes any more, and is left out.
    pub blank: bool,
    /// Its beams.
    pub beams: Beams,
    /// Its part in a bracket that marks a ligature.
    pub ligature: Option<Edges>,
    /// Its part in a bracket that marks coloration.
    pub coloration: Option<Edges>,
    /// The signs of its event that stand at it.
    pub signs: NoteSigns,
}

impl Segment {
    /// When it is over.
    pub fn end(&self) -> Time {
        self.onset + self.length
    }

    /// Whether it is a rest.
    pub fn is_rest(&self) -> bool {
        self.notes.is_empty()
    }
}

/// How a segment is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Shape {
    /// A note or rest of this value.
    Plain {
        /// Its value.
        value: NoteValue,
        /// Whether a dot adds half to it; no note here has two.
        dotted: bool,
    },
    /// A rest for the whole bar, whatever the bar's length.
    WholeBar {
        /// The rest that stands for it: the breve's where the bar is as long as that or longer,
        /// the whole rest otherwise (common practice).
        value: NoteValue,
    },
    /// No modern note has this length: it is less than a 1024th, or would need a tuplet of more
    /// than [`Tuplet::LARGEST`]. Only its length says how long it is.
    Unwritten,
}

/// A segment's part in a tuplet.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Tuplet {
    /// So many are played,
    pub many: u32,
    /// in the time of so many.
    pub in_time_of: u32,
    /// Whether its group begins or ends here.
    pub edges: Edges,
    /// Whether it is shown, with figure and bracket. It is not where the meter says it, as all
    /// voices stand in the proportion: [`Meter::plain`].
    pub shown: bool,
}

impl Tuplet {
    /// The largest tuplet that is written.
    pub const LARGEST: u32 = 1023;
}

/// Whether something that runs over several segments begins or ends with this one.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Edges {
    /// Whether this is its first segment.
    pub begins: bool,
    /// Whether this is its last.
    pub ends: bool,
}

/// A note of a segment.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SegmentNote {
    /// What sounds.
    pub pitch: Pitch,
    /// The sign that a reader needs.
    pub accidental: Option<ShownAccidental>,
}

/// An accidental sign that is shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ShownAccidental {
    /// Semitones that it raises the step, or lowers it if negative; 0 is the natural.
    pub alteration: i8,
    /// Why and how it is shown.
    pub manner: Manner,
}

/// Why and how an accidental is shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Manner {
    /// Before the note; without it another pitch would be read.
    Needed,
    /// Before the note; it only confirms what is read anyway.
    Cautionary,
    /// Small above the note; the editor's. It holds for this note alone.
    Editorial,
}

/// On which side of the head a stem stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[allow(missing_docs)]
pub enum Stem {
    Up,
    Down,
}

/// The beams of a segment, the primary one first.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Beams([Option<Beam>; NoteValue::MOST_FLAGS]);

impl Beams {
    /// From the primary beam on.
    pub fn iter(&self) -> impl Iterator<Item = Beam> {
        self.0.iter().map_while(|beam| *beam)
    }
}

/// What a beam does at a segment.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Beam {
    /// It begins and goes on to the next note.
    Begins,
    /// It comes from the note before and goes on.
    GoesOn,
    /// It ends here.
    Ends,
    /// A short beam towards the next note.
    HookForward,
    /// A short beam towards the note before.
    HookBack,
}

/// Makes a score ready to be written down. Linear in its length.
pub fn arrange(score: &Score, options: Options) -> Arrangement<'_> {
    let mut staves = match options.staves {
        Staves::Keyboard => staves::keyboard(score, &options),
        Staves::Open => staves::open(score, &options),
    };
    let passages = passages::find(&score.voices, score.bar);
    let meters = bars::proportions(score, &passages);
    let mut bars = bars::empty(score, options.reduction, &meters);
    for voice in 0..score.voices.len() {
        spell::voice(score, voice, &options, &meters, &mut bars);
    }
    let hands = share_out(score, &options, &mut staves, &mut bars);
    for voice in 0..score.voices.len() {
        beams::draw(score, voice, options.reduction, &mut bars);
    }
    accidentals::show(score, &staves, &mut bars);
    if options.staves == Staves::Keyboard && options.rests == Rests::Needed {
        rests::thin(score, &options, staves.len(), &meters, &mut bars);
    }
    match options.stems {
        Stems::Pitch => stems::by_pitch(score, &options, &staves, &mut bars),
        Stems::Voice => stems::by_voice(&staves, &mut bars),
    }
    blank::hide(score, &mut bars);
    marks::words(score, &passages, options.staves, &mut bars);
    let stretches = hands.map(|hands| hands.stretches).unwrap_or_default();
    Arrangement { score, options, staves, bars, stretches }
}

/// Puts the voices on their staves: those of a keyboard score by hands. Hands and clefs depend on
/// each other; each is found for the other in turn.
fn share_out(
    score: &Score,
    options: &Options,
    staves: &mut [Staff],
    bars: &mut [ArrangedBar<'_>],
) -> Option<Hands> {
    if options.staves == Staves::Open {
        staves::place(score, None, bars);
        return None;
    }
    let mut hands = hands::allocate(score, options, staves);
    staves::place(score, Some(&hands), bars);
    if options.clefs == Clefs::Fitting {
        clefs::fit(score, bars, staves);
        hands = hands::allocate(score, options, staves);
        staves::place(score, Some(&hands), bars);
        clefs::fit(score, bars, staves);
    }
    Some(hands)
}

#[cfg(test)]
mod tests {
    use super::listing::listing;
    use super::testing::{score, with_signature};
    use super::*;

    /// Three invented voices with a little of everything.
    #[test]
    fn a_keyboard_score_as_it_is_read() {
        let voices = [
            "_:2 A4 Bb4:1 C5 D5:3 C5:1/2 Bb4 A4:2 Bb4:1 F#4 G4:6^",
            "D4:2 F4:3 E4:1 D4:1/2 E4:1/4 F4 G4:3 F4:1 D4:1 D4:2 G4:1 D4:3 B[n]3:2^",
            "_:4 D3:2 F3:3 x3:2 E3:2/3 D3 C3 x D3:2 G3:3 G2:4^",
        ];
        let score = with_signature(score(4, &voices), "Bb");
        insta::assert_snapshot!(listing(&arrange(&score, Options::default())));
    }

    #[test]
    fn a_piece_of_nothing() {
        let arrangement_of = |staves| {
            let score = score(4, &[]);
            let arrangement = arrange(&score, Options { staves, ..Options::default() });
            (arrangement.bars.len(), arrangement.staves.len())
        };
        assert_eq!(arrangement_of(Staves::Keyboard), (0, 2));
        assert_eq!(arrangement_of(Staves::Open), (0, 0));
    }
}
