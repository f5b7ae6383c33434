//! Suspensions: a note that is held, or struck again, into a dissonance on a stronger place than
//! that of its beginning, and goes down a step.
//!
//! Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 42 (the syncopated dissonance, prepared by a
//! consonance and resolved to the nearest imperfect one); Fux, *Gradus ad Parnassum*, 1725, I, fourth
//! species; Jeppesen, *The Style of Palestrina and the Dissonance*, 1927, of syncopation (the
//! ornaments, and the consonant fourth); all from memory.

use super::moments::{Moment, Moments, NoteRef, Sounding};
use crate::dyad::{Concord, Discord, Dyad};
use crate::kinds::named;
use crate::rank::Rank;
use crate::texture::{Height, Note, Texture};

/// A suspension. All times are in ticks.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Suspension {
    /// The suspended note as it sounds at the dissonance; if it is struck again there, that one.
    pub(crate) held: NoteRef,
    /// Whether it is struck again on the dissonance.
    pub(crate) restruck: bool,
    /// What is struck against it and is dissonant with it, the lowest first; at least one.
    pub(crate) struck: Vec<NoteRef>,
    /// When the suspended note begins.
    pub(crate) preparation: i64,
    /// How it is prepared.
    pub(crate) prepared: Prepared,
    /// When it becomes dissonant.
    pub(crate) dissonance: i64,
    /// When the note begins to which it goes; if the resolution is ornamented, after the ornament.
    pub(crate) resolution: i64,
    /// That note, a step below.
    pub(crate) resolved: NoteRef,
    /// What stands between.
    pub(crate) ornament: Option<Ornament>,
    /// Its numbers with the lowest of what is struck.
    pub(crate) numbers: Numbers,
    /// Whether it is resolved as the books have it: in two voices to an imperfect consonance.
    pub(crate) regular: bool,
}

named! {
    /// How a suspended note begins.
    pub enum Prepared {
        /// Consonant with all that sounds.
        Consonance = "a consonance",
        /// As a fourth over the lowest note, by step, while that is held or repeated: the consonant
        /// fourth.
        Fourth = "a consonant fourth",
        /// So, but as a seventh, as about 1500.
        Seventh = "a seventh over a held note",
    }
}

named! {
    /// What stands between a suspended note and its resolution.
    pub enum Ornament {
        /// The resolution comes a semiminim or less too early, and is struck again in its place.
        Anticipated = "resolution anticipated",
        /// The resolution, its lower neighbour, and the resolution.
        Turned = "resolution turned",
        /// The third below comes first.
        ThirdBelow = "third below first",
        /// A short rest.
        Rest = "rest before the resolution",
    }
}

named! {
    /// The numbers of a suspension: the interval of the dissonance, and the one that it becomes while
    /// the struck note stays.
    pub enum Numbers {
        /// Upper note suspended.
        SevenSix = "7-6",
        /// Upper note suspended.
        FourThree = "4-3",
        /// Lower note suspended.
        TwoThree = "2-3",
        /// Lower note suspended, an octave wider.
        NineTen = "9-10",
        /// Upper note suspended; in three voices or more.
        NineEight = "9-8",
        /// Upper note suspended, into the unison.
        TwoOne = "2-1",
        /// Lower note suspended.
        FourFive = "4-5",
        /// Lower note suspended, into the octave.
        SevenEight = "7-8",
        /// Lower note of a false fifth suspended, into the sixth.
        FiveSix = "5-6",
    }
}

impl Numbers {
    /// The numbers of two dissonant notes of which one goes down a step; none where a suspension has
    /// no such interval.
    pub(crate) fn of(held: Height, struck: Height) -> Option<Numbers> {
        let upper = (held.rung, held.semitones) > (struck.rung, struck.semitones);
        let steps = (held.rung - struck.rung).abs();
        Some(match (steps % 7, upper) {
            (6, true) => Numbers::SevenSix,
            (3, true) => Numbers::FourThree,
            (1, true) if steps == 1 => Numbers::TwoOne,
            (1, true) => Numbers::NineEight,
            (1, false) if steps == 1 => Numbers::TwoThree,
            (1, false) => Numbers::NineTen,
            (3, false) => Numbers::FourFive,
            (6, false) => Numbers::SevenEight,
            (4, false) => Numbers::FiveSix,
            _ => return None,
        })
    }

    /// Whether the books have it in so many sounding voices. They leave out what resolves to a
    /// perfect consonance, which more voices than two cover (Zarlino III, ch. 42; Fux I; from memory).
    pub fn is_regular(self, voices: usize) -> bool {
        match self {
            Numbers::NineEight => voices > 2,
            Numbers::TwoOne | Numbers::FourFive | Numbers::SevenEight => false,
            _ => true,
        }
    }
}

/// All suspensions, in order of their dissonances; at one moment by lines.
pub(crate) fn suspensions(texture: &Texture, moments: &Moments) -> Vec<Suspension> {
    let mut found = Vec::new();
    // Until when each line is suspended: what is struck meanwhile belongs to the same suspension.
    let mut until = vec![i64::MIN; texture.lines.len()];
    for moment in moments.iter() {
        for held in moment.sounding {
            let until = &mut until[held.note.line as usize];
            if *until > moment.at {
                continue;
            }
            let Some(suspension) = suspension(texture, moments, &moment, held) else { continue };
            *until = suspension.resolution;
            found.push(suspension);
        }
    }
    found
}

/// The suspension of a note that becomes dissonant at a moment.
fn suspension(
    texture: &Texture,
    moments: &Moments,
    moment: &Moment<'_>,
    held: &Sounding,
) -> Option<Suspension> {
    let strikes = |other: &&Sounding| {
        other.struck
            && other.note.line != held.note.line
            && !(held.struck && repeated(texture, other.note).is_some())
            && dyad(moment, held, other).is_discord()
    };
    // Most notes are consonant with all.
    moment.sounding.iter().find(strikes)?;
    let first = if held.struck { repeated(texture, held.note)? } else { held.note };
    let begun = first.of(texture).onset;
    let latest = moment.at + (moment.at - begun);
    let Resolution { resolved, ornament } = resolution(texture, held.note, latest)?;
    let resolution = resolved.of(texture).onset;
    if begun >= moment.at {
        return None;
    }
    let resolves = |struck: &&Sounding| {
        is_stronger(struck.note.of(texture), moment.at, first.of(texture), resolution)
            && resolves(moments, held, struck, (resolved, resolution))
    };
    let mut struck: Vec<&Sounding> =
        moment.sounding.iter().filter(strikes).filter(resolves).collect();
    struck.sort_by_key(|struck| struck.pitch());
    let numbers = Numbers::of(held.height, struck.first()?.height)?;
    let prepared = prepared(texture, moments, first)?;
    let voices = moment.sounding.len();
    let regular = numbers.is_regular(voices)
        && (voices > 2 || !is_perfect_then(moments, (resolved, resolution), struck[0].note.line));
    Some(Suspension {
        held: held.note,
        restruck: held.struck,
        struck: struck.into_iter().map(|struck| struck.note).collect(),
        preparation: begun,
        prepared,
        dissonance: moment.at,
        resolution,
        resolved,
        ornament,
        numbers,
        regular,
    })
}

/// What two notes make at a moment. A fourth, tritone or false fifth passes for a consonance while a
/// lower note sounds with which both are consonant.
pub(crate) fn dyad(moment: &Moment<'_>, one: &Sounding, other: &Sounding) -> Dyad {
    let dyad = Dyad::of(one.height, other.height, true);
    if !matches!(dyad, Dyad::Discord(Discord::Fourth | Discord::Tritone)) {
        return dyad;
    }
    let bottom = one.pitch().min(other.pitch());
    let consonant =
        |with: &Sounding, lower: &Sounding| !Dyad::of(with.height, lower.height, true).is_discord();
    let mut lower = moment.sounding.iter().filter(|lower| lower.pitch() < bottom);
    let passes = lower.any(|lower| consonant(one, lower) && consonant(other, lower));
    if passes { Dyad::of(one.height, other.height, false) } else { dyad }
}

/// The dissonance of two notes, if they are dissonant.
pub(crate) fn discord(moment: &Moment<'_>, one: &Sounding, other: &Sounding) -> Option<Discord> {
    match dyad(moment, one, other) {
        Dyad::Discord(discord) => Some(discord),
        Dyad::Concord(_) => None,
    }
}

/// The note directly before, if this one is the same again.
pub(crate) fn repeated(texture: &Texture, note: NoteRef) -> Option<NoteRef> {
    let before = note.before()?;
    (before.of(texture).pitch? == note.of(texture).pitch?).then_some(before)
}

/// Whether a moment is a stronger place than the one at which a note begins. Where values go in
/// threes, the second part of three is strong enough for a note that has begun with the first, if it
/// resolves on the third (common practice in triple time).
fn is_stronger(struck: &Note, at: i64, first: &Note, resolution: i64) -> bool {
    let rank = struck.measure.rank(at);
    if rank < first.measure.rank(first.onset) {
        return rank < Rank::Less;
    }
    let part = struck.measure.second_of_three(at);
    part.is_some_and(|part| first.onset <= at - part && resolution <= at + part)
}

/// To what a suspended note goes.
struct Resolution {
    resolved: NoteRef,
    ornament: Option<Ornament>,
}

/// The note a step below a held one, directly after it or after an ornament, that begins at the
/// latest at a moment: a dissonance lasts no longer than its preparation.
fn resolution(texture: &Texture, held: NoteRef, latest: i64) -> Option<Resolution> {
    let plain = held.after(texture).map(|resolved| Resolution { resolved, ornament: None });
    let all = [ornamented(texture, held), plain];
    let from = held.of(texture).pitch?.rung;
    all.into_iter().flatten().find(|resolution| {
        let resolved = resolution.resolved.of(texture);
        resolved.pitch.is_some_and(|to| to.rung == from - 1) && resolved.onset <= latest
    })
}

/// To what a held note goes after an ornament.
fn ornamented(texture: &Texture, held: NoteRef) -> Option<Resolution> {
    let from = held.of(texture).pitch?.rung;
    let steps = |note: NoteRef| Some(note.of(texture).pitch?.rung - from);
    let short = |note: NoteRef| {
        let note = note.of(texture);
        2 * (note.end - note.onset) <= note.measure.minim
    };
    let first = held.after(texture).filter(|first| short(*first))?;
    let second = first.after(texture)?;
    let (resolved, ornament) = match (steps(first), steps(second)) {
        (Some(-1), Some(-1)) => (second, Ornament::Anticipated),
        (Some(-1), Some(-2)) if short(second) => (second.after(texture)?, Ornament::Turned),
        (Some(-2), Some(-1)) => (second, Ornament::ThirdBelow),
        (None, Some(-1)) => (second, Ornament::Rest),
        _ => return None,
    };
    // An ornament leads from a weaker place to the one at which the resolution is due.
    let rank = |note: NoteRef| note.of(texture).measure.rank(note.of(texture).onset);
    (rank(resolved) < rank(first)).then_some(Resolution { resolved, ornament: Some(ornament) })
}

/// Whether what a suspended note goes to is consonant with the voice that was struck.
pub(crate) fn resolves(
    moments: &Moments,
    held: &Sounding,
    struck: &Sounding,
    (resolved, resolution): (NoteRef, i64),
) -> bool {
    if Numbers::of(held.height, struck.height).is_none() {
        return false;
    }
    let Some(then) = moments.at(resolution) else { return true };
    let (own, other) = (then.of_line(resolved.line), then.of_line(struck.note.line));
    let (Some(own), Some(other)) = (own, other) else { return true };
    discord(&then, own, other).is_none()
}

/// Whether a note makes a perfect consonance with another line when it begins.
fn is_perfect_then(moments: &Moments, resolved: (NoteRef, i64), line: u32) -> bool {
    let (resolved, resolution) = resolved;
    moments.at(resolution).is_some_and(|then| {
        let (own, other) = (then.of_line(resolved.line), then.of_line(line));
        own.zip(other).is_some_and(|(own, other)| {
            matches!(dyad(&then, own, other), Dyad::Concord(Concord::Octave | Concord::Fifth))
        })
    })
}

/// How a note is prepared, if it is.
pub(crate) fn prepared(texture: &Texture, moments: &Moments, first: NoteRef) -> Option<Prepared> {
    let moment = moments.at(first.of(texture).onset)?;
    let own = moment.of_line(first.line)?;
    let lowest = moment.lowest()?;
    let with_lowest = discord(&moment, own, lowest);
    let entering = entering(texture, &moment, own);
    let discords = |other: &&Sounding| {
        // What is itself dissonant with the lowest, or passes, does not count.
        discord(&moment, own, other).is_some()
            && !(with_lowest.is_none() && discord(&moment, other, lowest).is_some())
            && !is_ornament(texture, own, other)
    };
    let mut others = moment.sounding.iter().filter(discords).peekable();
    if others.peek().is_none() {
        return Some(Prepared::Consonance);
    }
    // Who strikes the lowest note's tone only doubles it.
    let doubles =
        |other: &Sounding| (other.height.semitones - lowest.height.semitones).rem_euclid(12) == 0;
    others.all(|other| stays(texture, other) || doubles(other)).then_some(entering).flatten()
}

/// Whether a note sounds on, or is only struck again.
pub(crate) fn stays(texture: &Texture, sounding: &Sounding) -> bool {
    !sounding.struck || repeated(texture, sounding.note).is_some()
}

/// Whether a note that is struck enters as a consonant fourth, or as a seventh so: by step, over the
/// lowest note, which sounds on or is struck again.
pub(crate) fn entering(texture: &Texture, moment: &Moment<'_>, own: &Sounding) -> Option<Prepared> {
    let lowest = moment.lowest()?;
    let enters = own.struck && matches!(own.note.of(texture).come, Some(-1 | 1));
    // Of several voices that have the lowest note one may strike it.
    let mut as_low = moment.sounding.iter().filter(|other| moment.is_lowest(other));
    if !(enters && as_low.any(|other| stays(texture, other))) {
        return None;
    }
    let steps = own.height.rung - lowest.height.rung;
    match (discord(moment, own, lowest)?, steps % 7) {
        (Discord::Fourth, 3) => Some(Prepared::Fourth),
        (Discord::Second, 6) => Some(Prepared::Seventh),
        _ => None,
    }
}

/// Whether a note that is struck together with another is only an ornament of its voice: by step,
/// falling, shorter than the other, and a semiminim at most.
fn is_ornament(texture: &Texture, with: &Sounding, struck: &Sounding) -> bool {
    let (with, note) = (with.note.of(texture), struck.note.of(texture));
    let length = note.end - note.onset;
    let short = 2 * length <= note.measure.minim && length < with.end - with.onset;
    struck.struck && short && (note.come, note.leave) == (Some(-1), Some(-1))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{texture, voices};
    use super::*;

    /// When each suspension is prepared, dissonant and resolved, in minims, and what it is.
    fn found(music: &[&str]) -> Vec<String> {
        let texture = texture(&voices(music));
        let moments = Moments::new(&texture);
        let told = |suspension: &Suspension| {
            let minim = |at: i64| rudiments::Time::new(at, texture.minim).to_string();
            let Suspension { preparation, dissonance, resolution, .. } = *suspension;
            let times = [preparation, dissonance, resolution].map(minim).join(" ");
            let line = suspension.held.line;
            let mut told = format!("V{line} {times} {}", suspension.numbers.name());
            if let Some(ornament) = suspension.ornament {
                told += &format!(", {}", ornament.name());
            }
            if suspension.restruck {
                told += ", struck again";
            }
            if suspension.prepared != Prepared::Consonance {
                told += &format!(", {}", suspension.prepared.name());
            }
            told
        };
        suspensions(&texture, &moments).iter().map(told).collect()
    }

    /// Fux, *Gradus ad Parnassum*, 1725, I, fourth species (from memory).
    #[test]
    fn the_numbers_of_the_fourth_species() {
        assert_eq!(found(&["sb _ C5 C5 B4", "br E4 D4"]), ["V0 2 4 6 7-6, struck again"]);
        assert_eq!(found(&["mn E5 sb C5 mn B4 sb C5", "mn C4 E4 sb D4 C4"]), ["V0 1 2 3 7-6"]);
        assert_eq!(found(&["mn E5 sb C5 mn B4 sb C5", "mn C4 A4 sb G4 C4"]), ["V0 1 2 3 4-3"]);
        assert_eq!(found(&["sb A4 B4 C5", "mn F4 sb A4 mn G4 sb C4"]), ["V1 1 2 3 2-3"]);
        assert_eq!(found(&["sb C5 B4 C5", "mn F4 sb A3 mn G3 sb C4"]), ["V1 1 2 3 9-10"]);
    }

    /// Remarks of the books: into the octave, unison, or fifth.
    #[test]
    fn resolutions_to_perfect_consonances() {
        assert_eq!(found(&["mn _ sb G4 mn F4", "mn _ E4 sb F4"]), ["V0 1 2 3 2-1"]);
        assert_eq!(found(&["mn C5 D5 sb C5", "mn F4 sb D4 mn C4"]), ["V1 1 2 3 7-8"]);
        assert_eq!(found(&["mn C5 B4 sb C5", "mn A4 sb G4 mn F4"]), ["V1 1 2 3 4-5"]);
        assert!(!Numbers::NineEight.is_regular(2) && Numbers::NineEight.is_regular(3));
    }

    #[test]
    fn the_dissonance_is_on_a_stronger_place_than_the_beginning() {
        // The same, a minim later.
        assert_eq!(found(&["mn _ E5 sb C5 mn B4 sb C5", "mn _ C4 E4 sb D4 C4"]), [] as [&str; 0]);
        assert_eq!(found(&["sb C5 mn B4 C5", "mn C4 D4 E4 C4"]), [] as [&str; 0]);
    }

    #[test]
    fn the_preparation_is_consonant_and_long_enough() {
        assert_eq!(found(&["mn E5 sb C5 mn B4", "mn C4 D4 sb D4"]), [] as [&str; 0]);
        assert_eq!(found(&["sm E5 D5 E5 C5 sb C5 B4", "sb C4 br D4"]), [] as [&str; 0]);
    }

    #[test]
    fn the_held_note_goes_down_a_step() {
        assert_eq!(found(&["mn E5 sb C5 mn D5", "mn C4 E4 sb D4"]), [] as [&str; 0]);
        assert_eq!(found(&["mn E5 sb C5 mn G4", "mn C4 E4 sb D4"]), [] as [&str; 0]);
    }

    /// Jeppesen, *The Style of Palestrina and the Dissonance* (from memory).
    #[test]
    fn ornaments_of_the_resolution() {
        let over = |upper| found(&[upper, "mn C4 E4 sb D4 C4"]);
        assert_eq!(over("mn E5 C5. sm B4 mn B4 sb C5"), ["V0 1 2 3 7-6, resolution anticipated"]);
        assert_eq!(over("mn E5 C5. fu B4 A4 mn B4 sb C5"), ["V0 1 2 3 7-6, resolution turned"]);
        assert_eq!(over("mn E5 C5. sm A4 mn B4 sb C5"), ["V0 1 2 3 7-6, third below first"]);
        assert_eq!(
            over("mn E5 C5. sm _ mn B4 sb C5"),
            ["V0 1 2 3 7-6, rest before the resolution"]
        );
    }

    #[test]
    fn the_other_voice_may_move_meanwhile() {
        assert_eq!(found(&["mn E5 sb C5 mn B4 sb C5", "mn C4 E4 D4 G4 sb C4"]), ["V0 1 2 3 7-6"]);
    }

    #[test]
    fn the_consonant_fourth_prepares() {
        assert_eq!(
            found(&["mn B4 sb C5 mn B4 sb C5", "br G3 sb C4"]),
            [] as [&str; 0],
            "nothing is struck against it"
        );
        assert_eq!(
            found(&["mn B4 sb C5 mn B4 sb C5", "mn D5 C5 D5 D5 sb E5", "sb G3 G3 C4"]),
            ["V0 1 2 3 4-3, a consonant fourth"]
        );
    }

    /// A suspended note may be dissonant with several voices: one suspension, the lowest first.
    #[test]
    fn several_voices_strike_one_note() {
        let music = ["mn E5 sb C5 mn B4 sb C5", "mn A4 A4 sb D5 E5", "mn C4 E4 sb D4 C4"];
        let texture = texture(&voices(&music));
        let found = suspensions(&texture, &Moments::new(&texture));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].struck, [NoteRef::new(2, 2), NoteRef::new(1, 2)]);
        assert_eq!(found[0].held, NoteRef::new(0, 1));
        assert_eq!(found[0].resolved, NoteRef::new(0, 2));
    }

    #[test]
    fn a_chain_is_seen_link_by_link() {
        assert_eq!(
            found(&["mn _ sb E5 D5 C5 B4 mn A4", "mn _ sb G4 F4 E4 D4 mn C4"]).len(),
            0,
            "both move together"
        );
        assert_eq!(
            found(&["mn _ sb E5 D5 C5 B4 mn C5", "mn _ G4 sb F4 E4 D4 C4"]),
            ["V0 1 2 3 7-6", "V0 3 4 5 7-6", "V0 5 6 7 7-6"]
        );
    }

    /// In triple time the dissonance stands on the second part of three (common practice).
    #[test]
    fn in_threes() {
        let found = found(&[
            "sign C. mn E5 E5 E5 sb C5 mn B4 sb. C5",
            "sign C. mn C4 D4 E4 E4 D4 D4 sb. C4",
        ]);
        assert_eq!(found, ["V0 3 4 5 7-6"]);
    }
}
