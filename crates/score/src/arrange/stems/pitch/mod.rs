//! Stems by pitch: what strikes together on a staff is ordered from the top, whichever voices it is
//! of.
//!
//! Each bar of a staff is taken for itself, attack by attack.
//!
//! - Where all that sounds strikes together in equal values and in heads of its own, or one voice
//!   sounds by itself, for at least half of the bar, notes that strike together share a stem, and
//!   stems go by the middle line. (For less than that, voices would part and join too often.)
//! - Elsewhere, of all that strikes together, the highest has its stem up, the lowest its stem down. One
//!   between them goes with a neighbour whose stem it can share: one of the same value, dot and
//!   beams. A note that strikes by itself looks at those that sound on: above all of them its stem
//!   is up, below them down. One that has none beside it keeps to the place of its voice.
//! - Notes under a beam have one side. Voices that meet in one head keep the order that they have
//!   under their beams. Where the order of voices changes under a beam, the beam is broken there.
//!
//! (Common practice of keyboard music; Gould, *Behind Bars*, on several parts on a staff; Ross, *The Art
//! of Music Engraving*; from memory.)

mod between;
mod clear;
mod strikes;
mod texture;

use super::super::{ArrangedBar, Options, Segment, Shape, Staff, Stem, beams};
use super::middle_line;
use crate::{Bar, Score};
use strikes::{Attack, Group, Strike, Texture};

/// Gives every segment its side.
pub(in super::super) fn by_pitch(
    score: &Score,
    options: &Options,
    staves: &[Staff],
    bars: &mut [ArrangedBar],
) {
    for (number, (bar, arranged)) in score.bars.iter().zip(bars).enumerate() {
        let mut of_staves: Vec<Vec<Strike>> = vec![Vec::new(); staves.len()];
        for (voice, segments) in arranged.voices.iter().enumerate() {
            for (place, segment) in segments.iter().enumerate() {
                if !segment.is_rest() {
                    of_staves[segment.staff].push(Strike::of(voice, place, segment));
                }
            }
        }
        for (strikes, staff) in of_staves.into_iter().zip(staves) {
            let mut page = Page::new(bar, &arranged.voices, strikes);
            page.direct((staff, number));
            let Page { strikes, groups, .. } = page;
            for strike in &strikes {
                let segment = &mut arranged.voices[strike.voice][strike.place];
                segment.stem = groups[strike.group].side.unwrap_or(strike.side);
                segment.alone = strike.alone;
            }
            let broken = groups.iter().filter(|group| group.broken);
            for group in broken {
                let Some((first, last)) = group.strikes.first().zip(group.strikes.last()) else {
                    continue;
                };
                let (first, last) = (&strikes[*first], &strikes[*last]);
                let segments = &mut arranged.voices[first.voice][first.place..=last.place];
                beams::again(segments, bar.start, options.reduction);
            }
        }
        for voice in &mut arranged.voices {
            direct_rests(voice);
        }
    }
}

/// A rest stands on the side of the note before it in the bar, or else of the next.
fn direct_rests(segments: &mut [Segment]) {
    let first = segments.iter().find(|segment| !segment.is_rest());
    let mut side = first.map_or(Stem::Up, |segment| segment.stem);
    for place in 0..segments.len() {
        if segments[place].is_rest() {
            let next = segments.get(place + 1).filter(|next| !next.is_rest());
            segments[place].stem = next.map_or(side, |next| next.stem);
        } else {
            side = segments[place].stem;
        }
    }
    if first_is_whole_bar(segments) {
        segments[0].alone = true;
    }
}

fn first_is_whole_bar(segments: &[Segment]) -> bool {
    segments.first().is_some_and(|segment| matches!(segment.shape, Shape::WholeBar { .. }))
}

/// A bar of a staff.
struct Page<'b> {
    bar: &'b Bar,
    voices: &'b [Vec<Segment>],
    strikes: Vec<Strike>,
    groups: Vec<Group>,
    attacks: Vec<Attack>,
}

impl<'b> Page<'b> {
    fn new(bar: &'b Bar, voices: &'b [Vec<Segment>], mut strikes: Vec<Strike>) -> Page<'b> {
        let groups = strikes::groups(voices, &mut strikes);
        let attacks = strikes::attacks(&strikes, &groups);
        for (number, attack) in attacks.iter().enumerate() {
            for strike in &attack.strikes {
                strikes[*strike].attack = number;
            }
        }
        Page { bar, voices, strikes, groups, attacks }
    }

    fn segment(&self, strike: usize) -> &'b Segment {
        let Strike { voice, place, .. } = self.strikes[strike];
        &self.voices[voice][place]
    }

    fn direct(&mut self, staff: (&Staff, usize)) {
        self.find_textures();
        self.one_stem(staff);
        self.vote();
        for number in 0..self.attacks.len() {
            if self.attacks[number].texture == Texture::Parts {
                self.place_between(number);
            }
        }
        self.default_sides();
        self.clear_beams();
    }

    /// Lets the outer notes of each attack decide, and breaks the beams of groups whose notes want
    /// different sides.
    fn vote(&mut self) {
        let mut votes: Vec<Option<Stem>> = vec![None; self.strikes.len()];
        let mut wishes: Vec<Option<Stem>> = vec![None; self.strikes.len()];
        for attack in self.attacks.iter().filter(|attack| attack.texture == Texture::Parts) {
            match attack.strikes.as_slice() {
                [alone] => wishes[*alone] = self.beside_held(*alone, &attack.held),
                [top, .., bottom] => {
                    votes[*top] = Some(Stem::Up);
                    votes[*bottom] = Some(Stem::Down);
                }
                [] => {}
            }
        }
        for group in 0..self.groups.len() {
            if self.groups[group].side.is_some() {
                continue;
            }
            let members = self.groups[group].strikes.clone();
            let mut begins = 0;
            let mut side: Option<Stem> = None;
            for (rank, strike) in members.iter().enumerate() {
                match (side, votes[*strike]) {
                    (Some(side_now), Some(vote)) if side_now != vote => {
                        self.split(group, &members[begins..rank], side);
                        begins = rank;
                        side = Some(vote);
                    }
                    (None, vote) => side = vote,
                    _ => {}
                }
            }
            if side.is_none() {
                let count =
                    |side| members.iter().filter(|strike| wishes[**strike] == Some(side)).count();
                let (up, down) = (count(Stem::Up), count(Stem::Down));
                side = (up != down).then_some(if up > down { Stem::Up } else { Stem::Down });
            }
            self.groups[group].side = side;
            self.groups[group].strikes = members[begins..].to_vec();
            self.groups[group].broken |= begins > 0;
        }
    }

    /// Makes a group of strikes that were under the beam of another.
    fn split(&mut self, from: usize, strikes: &[usize], side: Option<Stem>) {
        let new = self.groups.len();
        for strike in strikes {
            self.strikes[*strike].group = new;
        }
        self.groups[from].broken = true;
        self.groups.push(Group { strikes: strikes.to_vec(), side, broken: true });
    }

    /// The side of a note that strikes by itself beside others that sound on.
    fn beside_held(&self, strike: usize, held: &[usize]) -> Option<Stem> {
        let height = self.strikes[strike].height;
        let above = held.iter().any(|other| self.strikes[*other].height > height);
        let below = held.iter().any(|other| self.strikes[*other].height <= height);
        match (above, below) {
            (false, true) => Some(Stem::Up),
            (true, false) => Some(Stem::Down),
            _ => None,
        }
    }

    /// The side that an attack has already asked for.
    fn decided(&self, strike: usize) -> Option<Stem> {
        self.groups[self.strikes[strike].group].side
    }

    /// Whether two that strike together can hang on one stem: under one beam, or where one of them
    /// leaves its own.
    fn can_share_stem(&self, one: usize, two: usize) -> bool {
        let (one, two) = (self.segment(one), self.segment(two));
        (one.shape, one.tuplet) == (two.shape, two.tuplet)
    }

    /// Whether two that strike together are under beams that are the same all along, or under
    /// none.
    fn share_beams(&self, one: usize, two: usize) -> bool {
        let [one, two] = [one, two].map(|strike| &self.groups[self.strikes[strike].group].strikes);
        let alike = |(one, two): (&usize, &usize)| {
            self.strikes[*one].attack == self.strikes[*two].attack
                && self.segment(*one).beams == self.segment(*two).beams
                && self.can_share_stem(*one, *two)
        };
        one.len() == two.len() && one.iter().zip(two).all(alike)
    }

    /// What nothing has decided keeps to the place of its voice among those of the bar.
    fn default_sides(&mut self) {
        let mut heights: Vec<(usize, i64, i64)> = Vec::new();
        for strike in &self.strikes {
            match heights.iter_mut().find(|(voice, ..)| *voice == strike.voice) {
                Some((_, sum, count)) => {
                    *sum += i64::from(strike.height);
                    *count += 1;
                }
                None => heights.push((strike.voice, i64::from(strike.height), 1)),
            }
        }
        let mean = |(_, sum, count): &(usize, i64, i64)| sum / count;
        heights.sort_by_key(|of_voice| (-mean(of_voice), of_voice.0));
        let side = |rank: usize| {
            if rank == 0 {
                return Stem::Up;
            }
            let Some(below) = heights.get(rank + 1) else { return Stem::Down };
            let own = mean(&heights[rank]);
            if mean(&heights[rank - 1]) - own < own - mean(below) { Stem::Down } else { Stem::Up }
        };
        for group in &mut self.groups {
            let Some(first) = group.strikes.first().filter(|_| group.side.is_none()) else {
                continue;
            };
            let voice = self.strikes[*first].voice;
            let rank = heights.iter().position(|(of_voice, ..)| *of_voice == voice);
            group.side = rank.map(side);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::testing::score;
    use super::super::super::{Arrangement, Beam, Options, arrange};
    use super::*;

    /// The stems of each voice in the first bar, `u` and `d`; rests are left out. A bass holds the
    /// left hand, so that the others have the upper staff.
    fn stems(voices: &[&str]) -> Vec<String> {
        let voices: Vec<&str> = voices.iter().copied().chain(["C3:4"]).collect();
        let score = score(4, &voices);
        let arrangement = arrange(&score, Options::default());
        let upper = &arrangement.bars[0].voices[..voices.len() - 1];
        upper
            .iter()
            .map(|voice| {
                let notes = voice.iter().filter(|segment| !segment.is_rest());
                notes.map(|note| if note.stem == Stem::Up { 'u' } else { 'd' }).collect()
            })
            .collect()
    }

    #[test]
    fn what_moves_together_has_one_stem() {
        assert_eq!(stems(&["E5:1 D5 E5 D5", "C5:1 B4 C5 B4"]), ["dddd", "dddd"]);
        assert_eq!(stems(&["A4:1 G4 A4 G4", "F4:1 E4 F4 E4"]), ["uuuu", "uuuu"]);
    }

    #[test]
    fn what_moves_apart_has_its_own() {
        assert_eq!(stems(&["E5:1 D5 E5 D5", "C5:2 B4:2"]), ["uuuu", "dd"]);
    }

    #[test]
    fn the_higher_note_has_its_stem_up_where_voices_cross() {
        assert_eq!(stems(&["C5:2 A4:2", "A4:1 G4 C5 B4"]), ["ud", "dduu"]);
    }

    /// The lower voice of a beam is the lower one also where both meet.
    #[test]
    fn voices_that_meet_under_beams_keep_their_order() {
        let [first, second] = ["F4:1/4 G4 F4:1/2 F4:3", "A4:1/4 G4 A4:1/2 A4:3"];
        let beams =
            |voices: [&str; 2]| stems(&voices).into_iter().map(|sides| sides[..2].to_owned());
        assert!(beams([first, second]).eq(["dd", "uu"]));
        assert!(beams([second, first]).eq(["uu", "dd"]));
    }

    #[test]
    fn the_middle_of_three_goes_with_its_equal() {
        assert_eq!(stems(&["E5:1 D5:3", "C5:1 B4:1 C5:2", "G4:2 G4"]), ["uu", "udu", "dd"]);
        assert_eq!(stems(&["E5:2 D5:2", "C5:1 B4:1 C5:2", "G4:1 A4 G4:1 A4"])[1], "dud");
    }

    fn beams(arrangement: &Arrangement<'_>, voice: usize) -> Vec<bool> {
        let segments = &arrangement.bars[0].voices[voice];
        segments.iter().map(|segment| segment.beams.iter().next().is_some()).collect()
    }

    #[test]
    fn a_beam_is_broken_where_voices_cross_under_it() {
        let score = score(4, &["C5:1/4 C5 G4 G4 E5:3", "A4:1/2 A4:1/2 C5:3", "C3:4"]);
        let arrangement = arrange(&score, Options::default());
        let sides: Vec<Stem> = arrangement.bars[0].voices[0].iter().map(|s| s.stem).collect();
        assert_eq!(sides[..4], [Stem::Up, Stem::Up, Stem::Down, Stem::Down]);
        assert_eq!(beams(&arrangement, 0), [true, true, true, true, false]);
        let ends = |place: usize| arrangement.bars[0].voices[0][place].beams.iter().next();
        assert_eq!((ends(1), ends(2)), (Some(Beam::Ends), Some(Beam::Begins)));
    }

    #[test]
    fn a_voice_by_itself_goes_by_the_middle_line() {
        let alone = stems(&["C5:1 D5 A4 G4"]);
        assert_eq!(alone, ["dduu"]);
    }
}
