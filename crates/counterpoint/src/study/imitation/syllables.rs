//! Hexachord syllables.
//!
//! The hexachords are the natural one on C, the hard one on G and the soft one on F, each *ut re mi
//! fa sol la* with its semitone between *mi* and *fa* (from the lines of the hymn *Ut queant laxis*,
//! which begin on C D E F G A; from memory). Who goes beyond one mutates into another: upwards on a note that
//! becomes *re*, downwards on one that becomes *la*, and no oftener than needed (the rule of the
//! primers, such as Listenius, *Musica*, 1537; from memory). With a flat in the signature everything
//! stands a fourth higher. A note that a sharp raises keeps the syllable of its step, as at cadences
//! (common practice).

use rudiments::{Pitch, Signature, Step, Tone};

use crate::kinds::named;

named! {
    /// A syllable of the hexachord.
    pub enum Syllable {
        /// The first of the six.
        Ut = "ut",
        /// The second.
        Re = "re",
        /// The third: a semitone under the next.
        Mi = "mi",
        /// The fourth: a semitone above the one before.
        Fa = "fa",
        /// The fifth.
        Sol = "sol",
        /// The sixth.
        La = "la",
    }
}

named! {
    /// The hexachords, from the flat side to the sharp side.
    pub enum Hexachord {
        /// On E flat, where two flats or more are sung: a feigned one.
        OnEFlat = "on E flat",
        /// On B flat: feigned, but usual in cantus mollis.
        OnBFlat = "on B flat",
        /// The soft hexachord, on F.
        Soft = "soft",
        /// The natural hexachord, on C.
        Natural = "natural",
        /// The hard hexachord, on G.
        Hard = "hard",
    }
}

impl Hexachord {
    /// The step of its *ut*.
    fn ut(self) -> Step {
        match self {
            Hexachord::OnEFlat => Step::E,
            Hexachord::OnBFlat => Step::B,
            Hexachord::Soft => Step::F,
            Hexachord::Natural => Step::C,
            Hexachord::Hard => Step::G,
        }
    }

    /// How it alters a step that it has.
    fn alteration(self, step: Step) -> i8 {
        let flats: &[Step] = match self {
            Hexachord::OnEFlat => &[Step::B, Step::E, Step::A],
            Hexachord::OnBFlat => &[Step::B, Step::E],
            Hexachord::Soft => &[Step::B],
            Hexachord::Natural | Hexachord::Hard => &[],
        };
        -i8::from(flats.contains(&step))
    }

    /// The syllable of a pitch in it; nothing where it lacks that.
    fn syllable(self, pitch: Pitch) -> Option<Syllable> {
        let above = (pitch.tone.step as usize + 7 - self.ut() as usize) % 7;
        // Two sharps, or two flats, are read as one: no hexachord has them.
        let sharpened = pitch.alteration > 0;
        let alteration = if sharpened { 0 } else { pitch.alteration.max(-1) };
        // What a sharp raises keeps its syllable; but B flat and E flat are no steps of its line.
        let has = self.alteration(pitch.tone.step) == alteration;
        if has { Syllable::ALL.get(above).copied() } else { None }
    }
}

/// A note with its syllable.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Solmization {
    /// Its syllable.
    pub syllable: Syllable,
    /// The hexachord to which that belongs.
    pub hexachord: Hexachord,
}

/// A mutation that is not on the usual syllable is worth this many on the usual one.
const MUTATION: u32 = 12;
const UNUSUAL: u32 = 5;

/// The syllables of a melody, a note each; pitches that no hexachord has (beyond E flat and A flat)
/// have the syllable of their step without the flat.
///
/// Of all ways to sing it, the one with the fewest and most usual mutations: one pass, with the least
/// cost of every hexachord at every note.
pub fn solmize(melody: &[Pitch], signature: Signature) -> Vec<Solmization> {
    const COUNT: usize = Hexachord::ALL.len();
    let flats = signature.alteration(Step::B) < 0;
    let two = flats && signature.alteration(Step::E) < 0;
    let mut ways: Vec<[Option<(u32, usize)>; COUNT]> = Vec::with_capacity(melody.len());
    for (place, pitch) in melody.iter().enumerate() {
        let before = place.checked_sub(1).map(|before| (&ways[before], melody[before]));
        let mut costs = [None; COUNT];
        for (number, hexachord) in Hexachord::ALL.iter().enumerate() {
            let Some(syllable) = syllable(*hexachord, *pitch) else { continue };
            let own = home(*hexachord, flats, two);
            costs[number] = match before {
                None => Some((own, number)),
                Some((ways, last)) => (0..COUNT)
                    .filter_map(|from| {
                        let (cost, _) = ways[from]?;
                        let mutation = if from == number {
                            0
                        } else {
                            mutation(last.tone, pitch.tone, syllable)
                        };
                        Some((cost + own + mutation, from))
                    })
                    .min(),
            };
        }
        ways.push(costs);
    }
    let last = ways.last().map(|last| (0..COUNT).min_by_key(|number| cost(last, *number)));
    let mut number = last.flatten().unwrap_or(0);
    let mut sung: Vec<Solmization> = Vec::with_capacity(melody.len());
    for (ways, pitch) in ways.iter().zip(melody).rev() {
        let hexachord = Hexachord::ALL[number];
        // Whatever has a way has a syllable.
        let syllable = syllable(hexachord, *pitch).unwrap_or(Syllable::Ut);
        sung.push(Solmization { syllable, hexachord });
        number = ways[number].map_or(number, |(_, from)| from);
    }
    sung.reverse();
    sung
}

fn cost(ways: &[Option<(u32, usize)>], number: usize) -> u32 {
    ways[number].map_or(u32::MAX, |(cost, _)| cost)
}

/// The syllable of a pitch in a hexachord; of one that none has, that of its plain step.
fn syllable(hexachord: Hexachord, pitch: Pitch) -> Option<Syllable> {
    let any = Hexachord::ALL.iter().any(|hexachord| hexachord.syllable(pitch).is_some());
    hexachord.syllable(if any { pitch } else { Pitch::new(pitch.tone, 0) })
}

/// How far a hexachord is from home: a note in it costs so much.
fn home(hexachord: Hexachord, flat: bool, two: bool) -> u32 {
    use Hexachord::{Hard, Natural, OnBFlat, OnEFlat, Soft};
    match (hexachord, flat, two) {
        (Natural | Hard, false, _)
        | (Soft | Natural, true, false)
        | (OnBFlat | Soft, true, true) => 0,
        (Soft, false, _) | (OnBFlat, true, false) | (OnEFlat, true, true) => 1,
        _ => 3,
    }
}

/// What it costs to mutate on a note.
fn mutation(from: Tone, to: Tone, becomes: Syllable) -> u32 {
    let steps = to.steps_above(from);
    let usual = match becomes {
        Syllable::Re => steps > 0,
        Syllable::La => steps < 0,
        _ => false,
    };
    // By leap, wherever the new hexachord begins to be needed.
    if usual || steps.abs() > 1 { MUTATION } else { MUTATION + UNUSUAL }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The syllables of a melody that is typed as in a parts file.
    fn sung(melody: &str, signature: &str) -> String {
        let text = format!("voice A clef C1 signature {signature}\n sb {melody}\n");
        let piece = notation::parse(&text).piece;
        let score = score::align(&piece, score::reckon(&piece), score::BarLength::Breve).score;
        let pitches = score.voices[0].events.iter().flat_map(|event| &event.notes);
        let pitches: Vec<Pitch> = pitches.map(|note| note.pitch).collect();
        let sung = solmize(&pitches, Signature::parse(signature).unwrap());
        sung.iter().map(|note| note.syllable.name()).collect::<Vec<_>>().join(" ")
    }

    /// The lines of the hymn *Ut queant laxis* begin on C D E F G A (from memory).
    #[test]
    fn the_natural_hexachord() {
        assert_eq!(sung("C4 D E F G A", "none"), "ut re mi fa sol la");
    }

    /// An exact imitation has the same syllables in another hexachord.
    #[test]
    fn the_same_syllables_a_fifth_above() {
        assert_eq!(sung("D4 A4 G F E D", "none"), "re la sol fa mi re");
        assert_eq!(sung("A4 E5 D C B A", "none"), "re la sol fa mi re");
        assert_eq!(sung("G4 D5 C B A G", "Bb"), "re la sol fa mi re");
    }

    /// Scales through two hexachords, as primers have them (Listenius, *Musica*, 1537; from memory).
    #[test]
    fn mutation_upwards_on_re_and_downwards_on_la() {
        assert_eq!(sung("C4 D E F G A B C5", "none"), "ut re mi fa sol re mi fa");
        assert_eq!(sung("C5 B A G F E D C", "none"), "fa mi la sol fa mi re ut");
        assert_eq!(sung("G4 A B C5 D E F", "none"), "ut re mi fa re mi fa");
        assert_eq!(sung("A4 G F E D C B3", "none"), "la sol fa la sol fa mi");
        assert_eq!(sung("F4 G A B C5 D E F", "Bb"), "ut re mi fa sol re mi fa");
    }

    /// One note above *la* is *fa*.
    #[test]
    fn b_flat_is_fa() {
        assert_eq!(sung("D4 A4 Bb A", "none"), "la mi fa mi");
        assert_eq!(sung("D4 A4 Eb5 D", "Bb"), "la mi fa mi");
    }

    #[test]
    fn a_raised_note_keeps_its_syllable() {
        assert_eq!(sung("A4 G F# G A", "none"), "la sol fa sol la");
    }

    #[test]
    fn what_no_hexachord_has() {
        let flat = Pitch::new(Tone::new(Step::G, 4), -1);
        assert_eq!(solmize(&[flat; 3], Signature::NONE).len(), 3);
        assert_eq!(solmize(&[], Signature::NONE), []);
    }
}
