//! Stems by pitch: what strikes together on a staff is ordered from the top, whichever voices it is
//! of.
//!
//! Each bar of a staff is taken for itself, attack by attack.
//!
//! - Where all that sounds strikes together in equal values and in heads of its own, or one voice sounds by itself, for at
//!   least half of the bar, notes that strike together share a stem, and stems go by the middle
//!   line. (For less than that, voices would part and join too often.)
//! - Elsewhere, of all that strikes together, the highest has its stem up, the lowest its stem down. One
//!   between them goes with a neighbour whose stem it can share: one of the same value, dot and
//!   beams. A note that strikes by itself looks at those that sound on: above all of them its stem
//!   is up, below them down. One that has none beside it keeps to the place of its voice.
//! - Notes under a beam have one side. Where the order of voices changes under a beam, the beam is
//!   broken there.
//!
//! (Common practice of keyboard music; Gould, *Behind Bars*, on several parts on a staff; Ross, *The Art
//! of Music Engraving*; from memory.)

use rudiments::Time;

use super::super::{ArrangedBar, Beam, Options, Segment, Shape, Staff, Stem, beams};
use super::middle_line;
use crate::{Bar, Score};

/// Of more that strike together than this, no hand can play them, half go up.
const MOST_WEIGHED: usize = 8;

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

/// A note, or a chord of one voice, that strikes on a staff.
#[derive(Clone)]
struct Strike {
    voice: usize,
    /// Its segment in the voice.
    place: usize,
    onset: Time,
    end: Time,
    /// The sum of its lowest and its highest rung.
    height: i32,
    has_stem: bool,
    /// The notes under one beam with it, or itself alone.
    group: usize,
    /// What strikes with it.
    attack: usize,
    alone: bool,
    /// Where its group has no side in common.
    side: Stem,
}

impl Strike {
    fn of(voice: usize, place: usize, segment: &Segment) -> Strike {
        let rungs = || segment.notes.iter().map(|note| note.pitch.tone.rung());
        Strike {
            voice,
            place,
            onset: segment.onset,
            end: segment.end(),
            height: rungs().min().unwrap_or(0) + rungs().max().unwrap_or(0),
            has_stem: matches!(segment.shape, Shape::Plain { value, .. } if value.has_stem()),
            group: 0,
            attack: 0,
            alone: false,
            side: Stem::Up,
        }
    }
}

/// What one beam joins, or a single strike.
struct Group {
    /// In order of time.
    strikes: Vec<usize>,
    side: Option<Stem>,
    /// Whether it is a part of what was under one beam.
    broken: bool,
}

/// What strikes at one moment.
struct Attack {
    onset: Time,
    /// From the highest to the lowest; of those as high, the upper voice first.
    strikes: Vec<usize>,
    /// What sounds on.
    held: Vec<usize>,
    texture: Texture,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Texture {
    /// All that sounds has one stem.
    One,
    /// Several parts.
    Parts,
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
        let groups = groups(voices, &mut strikes);
        let attacks = attacks(&strikes);
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

    /// Finds the attacks at which all that sounds has one stem.
    fn find_textures(&mut self) {
        let textures: Vec<Texture> =
            (0..self.attacks.len()).map(|number| self.texture_of(number)).collect();
        for (attack, texture) in self.attacks.iter_mut().zip(textures) {
            attack.texture = texture;
        }
        // What a beam joins is of one texture; so is what is too short by itself. Each round turns
        // attacks into several parts, or is the last.
        loop {
            let before =
                self.attacks.iter().filter(|attack| attack.texture == Texture::One).count();
            self.spread_along_beams();
            self.drop_short_stretches();
            let after = self.attacks.iter().filter(|attack| attack.texture == Texture::One).count();
            if after == before {
                break;
            }
        }
    }

    fn texture_of(&self, number: usize) -> Texture {
        let attack = &self.attacks[number];
        let next = self.attacks.get(number + 1).map_or(self.bar.end, |next| next.onset);
        let first = attack.strikes[0];
        let equal = attack.strikes.iter().all(|other| {
            let (one, two) = (self.segment(first), self.segment(*other));
            let ties = |segment: &Segment| (segment.tied_before, segment.tied_after);
            self.can_share_stem(first, *other)
                && self.share_beams(first, *other)
                && ties(one) == ties(two)
        });
        // Two that meet in one head are told apart by their stems.
        let pairs = attack.strikes.windows(2);
        let equal = equal
            && pairs
                .into_iter()
                .all(|pair| self.strikes[pair[0]].height != self.strikes[pair[1]].height);
        let is_one = attack.held.is_empty() && equal && self.strikes[first].end <= next;
        if is_one { Texture::One } else { Texture::Parts }
    }

    fn spread_along_beams(&mut self) {
        let mut parts = vec![false; self.groups.len()];
        for attack in self.attacks.iter().filter(|attack| attack.texture == Texture::Parts) {
            for strike in &attack.strikes {
                parts[self.strikes[*strike].group] = true;
            }
        }
        for attack in &mut self.attacks {
            if attack.strikes.iter().any(|strike| parts[self.strikes[*strike].group]) {
                attack.texture = Texture::Parts;
            }
        }
    }

    /// A stretch of one texture is at least half as long as the bar, or all there is.
    fn drop_short_stretches(&mut self) {
        let half = (self.bar.end - self.bar.start) / 2;
        let mut first = 0;
        while first < self.attacks.len() {
            let one = |attack: &Attack| attack.texture == Texture::One;
            let count = self.attacks[first..].iter().take_while(|attack| one(attack)).count();
            let after = first + count;
            if count > 0 {
                let end =
                    self.attacks[after - 1].strikes.iter().map(|s| self.strikes[*s].end).max();
                let length = end.unwrap_or(self.bar.end) - self.attacks[first].onset;
                if length < half && count < self.attacks.len() {
                    for attack in &mut self.attacks[first..after] {
                        attack.texture = Texture::Parts;
                    }
                }
            }
            first = after.max(first + 1);
        }
    }

    /// Stems by the middle line, where all have one.
    fn one_stem(&mut self, staff: (&Staff, usize)) {
        for attack in self.attacks.iter().filter(|attack| attack.texture == Texture::One) {
            let undecided =
                |strike: &&usize| self.groups[self.strikes[**strike].group].side.is_none();
            if attack.strikes.iter().any(|strike| undecided(&strike)) {
                let together = attack.strikes.iter().map(|strike| self.strikes[*strike].group);
                let together: Vec<usize> = together.collect();
                let members = together.iter().flat_map(|group| &self.groups[*group].strikes);
                let side = middle_line::side(members.map(|strike| self.segment(*strike)), staff);
                for group in together {
                    self.groups[group].side = Some(side);
                }
            }
            for strike in &attack.strikes {
                self.strikes[*strike].alone = true;
            }
        }
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

    /// Decides on the side of those that strike between others: so many from the top go up.
    fn place_between(&mut self, number: usize) {
        let strikes = self.attacks[number].strikes.clone();
        if strikes.len() < 3 {
            return;
        }
        let ups = if strikes.len() > MOST_WEIGHED {
            strikes.len() / 2
        } else {
            (1..strikes.len()).min_by_key(|ups| self.cost(&strikes, *ups)).unwrap_or(1)
        };
        for (rank, strike) in strikes.iter().enumerate() {
            let side = self.decided(*strike).unwrap_or(side_of_rank(rank, ups));
            self.groups[self.strikes[*strike].group].side = Some(side);
        }
    }

    fn decided(&self, strike: usize) -> Option<Stem> {
        self.groups[self.strikes[strike].group].side
    }

    /// What it costs to turn so many from the top up, and the others down, but for those that are
    /// decided.
    fn cost(&self, strikes: &[usize], ups: usize) -> i32 {
        /// The higher of two has its stem down, the lower up.
        const CROSSED: i32 = 100;
        /// Two on one side that cannot share a stem: one has to stand aside.
        const ASIDE: i32 = 20;
        /// One leaves its own beam for the stem of the other.
        const LEFT: i32 = 6;
        /// Two heads on one stem that touch.
        const SECOND: i32 = 3;
        let side = |rank: usize| self.decided(strikes[rank]).unwrap_or(side_of_rank(rank, ups));
        let pairs = (0..strikes.len())
            .flat_map(|high| (high + 1..strikes.len()).map(move |low| (high, low)));
        pairs
            .map(|(high, low)| {
                // The stem that runs past the other's head.
                let passing = match (side(high), side(low)) {
                    (Stem::Up, Stem::Up) => low,
                    (Stem::Down, Stem::Down) => high,
                    (Stem::Up, Stem::Down) => return 0,
                    (Stem::Down, Stem::Up) => return CROSSED,
                };
                if !self.strikes[strikes[passing]].has_stem {
                    return 0;
                }
                let [high, low] = [high, low].map(|rank| strikes[rank]);
                let steps = (self.strikes[high].height - self.strikes[low].height) / 2;
                if !self.can_share_stem(high, low) {
                    return ASIDE;
                }
                let beams = if self.share_beams(high, low) { 0 } else { LEFT };
                beams + if steps <= 1 { SECOND } else { steps / 5 }
            })
            .sum()
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

    /// Breaks beams that would run into one another, or into a stem.
    fn clear_beams(&mut self) {
        for group in 0..self.groups.len() {
            if self.groups[group].strikes.len() > 1 {
                self.clear_of_beams(group);
            }
        }
        let mut group = 0;
        // What is broken off is looked at again.
        while group < self.groups.len() {
            if self.groups[group].strikes.len() > 1 && !self.clear_of_stems(group) {
                continue;
            }
            group += 1;
        }
    }

    /// The attacks under a beam, its own first and last included.
    fn span(&self, group: usize) -> std::ops::RangeInclusive<usize> {
        let strikes = &self.groups[group].strikes;
        let attack =
            |strike: Option<&usize>| strike.map_or(0, |strike| self.strikes[*strike].attack);
        attack(strikes.first())..=attack(strikes.last())
    }

    /// Takes a group apart if another beam on its side, farther out, is above or below it: its notes
    /// hang on the stems of that one where they can.
    fn clear_of_beams(&mut self, group: usize) {
        let side = self.groups[group].side;
        let others = self.span(group).flat_map(|number| &self.attacks[number].strikes);
        let own = self.groups[group].strikes[0];
        let farther_out = |other: usize| {
            let (own, other) = (self.strikes[own].height, self.strikes[other].height);
            if side == Some(Stem::Up) { other >= own } else { other <= own }
        };
        let inside = others.copied().any(|other| {
            let there = self.strikes[other].group;
            there != group
                && self.groups[there].side == side
                && self.groups[there].strikes.len() > 1
                && !self.share_beams(own, other)
                && farther_out(self.groups[there].strikes[0])
        });
        if inside {
            let members = std::mem::take(&mut self.groups[group].strikes);
            for member in &members[1..] {
                self.split(group, &[*member], side);
            }
            self.groups[group].strikes = vec![members[0]];
        }
    }

    /// Breaks a beam before the first note beside which, or between whose neighbours, a stem of
    /// another value stands on the same side; whether there is none.
    fn clear_of_stems(&mut self, group: usize) -> bool {
        let side = self.groups[group].side;
        let span = self.span(group);
        let members = &self.groups[group].strikes;
        for number in span.start() + 1..*span.end() {
            let own = members.iter().position(|member| self.strikes[*member].attack >= number);
            let Some(rank) = own else { continue };
            let here = Some(members[rank]).filter(|own| self.strikes[*own].attack == number);
            let in_the_way = self.attacks[number].strikes.iter().any(|other| {
                Some(*other) != here
                    && self.strikes[*other].has_stem
                    && self.decided(*other) == side
                    && !here.is_some_and(|own| self.can_share_stem(own, *other))
            });
            if in_the_way {
                let (before, after) = (members[..rank].to_vec(), members[rank..].to_vec());
                self.split(group, &before, side);
                self.groups[group].strikes = after;
                return false;
            }
        }
        true
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

fn side_of_rank(rank: usize, ups: usize) -> Stem {
    if rank < ups { Stem::Up } else { Stem::Down }
}

/// Groups the strikes by their beams.
fn groups(voices: &[Vec<Segment>], strikes: &mut [Strike]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    let mut goes_on = false;
    for (number, strike) in strikes.iter_mut().enumerate() {
        let beam = voices[strike.voice][strike.place].beams.iter().next();
        if !goes_on {
            groups.push(Group { strikes: Vec::new(), side: None, broken: false });
        }
        let group = groups.len() - 1;
        groups[group].strikes.push(number);
        strike.group = group;
        goes_on = matches!(beam, Some(Beam::Begins | Beam::GoesOn));
    }
    groups
}

/// The attacks of a bar in order of time.
fn attacks(strikes: &[Strike]) -> Vec<Attack> {
    let mut order: Vec<usize> = (0..strikes.len()).collect();
    order.sort_by_key(|number| {
        let strike = &strikes[*number];
        (strike.onset, -strike.height, strike.voice)
    });
    let mut sounding: Vec<usize> = Vec::new();
    let together = order.chunk_by(|one, two| strikes[*one].onset == strikes[*two].onset);
    together
        .map(|together| {
            let onset = strikes[together[0]].onset;
            sounding.retain(|other| strikes[*other].end > onset);
            let held = sounding.clone();
            sounding.extend(together);
            Attack { onset, strikes: together.to_vec(), held, texture: Texture::Parts }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::super::testing::score;
    use super::super::super::{Arrangement, Options, arrange};
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
