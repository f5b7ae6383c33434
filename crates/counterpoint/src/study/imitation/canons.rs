//! Canons over the whole length: a voice that follows another from its first note to the end.

use notation::Piece;
use rudiments::Time;

use super::compared::Exactness;
use super::{Canon, Follower, Form};
use crate::observe::EventId;
use crate::texture::{Height, Line, Note, Texture};

/// A voice follows if this share of its notes does, in hundredths: at its end it may be free.
const SHARE: usize = 80;
/// So many of its last notes are not counted: they make the close.
const CLOSE: usize = 3;
/// A canon has so many notes at least: fewer are an entry.
const NOTES: usize = 8;
/// Of fewer notes than this all must follow, but for the last, and begin before the other has sung
/// them: else they are an answer.
const FEW: usize = 12;
/// Over the whole length: from the first of so many parts of the piece into the last.
const PARTS: i64 = 4;
/// After so many notes it is seen whether one voice may follow the other.
const GLANCE: usize = 12;
/// On so many steps at least: less is no melody.
const STEPS: usize = 3;

/// How one voice may follow another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Way {
    form: Form,
    /// Staff steps from a note to that which follows it; in inversion, their sum.
    steps: i32,
    /// Moments that belong together, in ticks.
    from: i64,
    to: i64,
}

impl Way {
    /// When the note that is followed begins.
    fn time(&self, at: i64) -> i64 {
        let since = at - self.to;
        self.from
            + match self.form {
                Form::Augmented => since / 2,
                Form::Diminished => since * 2,
                Form::Direct | Form::Inverted => since,
            }
    }

    fn rung(&self, rung: i16) -> i32 {
        let rung = i32::from(rung);
        self.steps + if self.form == Form::Inverted { -rung } else { rung }
    }
}

/// A note that sounds, with its place in the line.
type Sounding<'n> = (&'n Note, Height);

fn sounding(line: &Line) -> Vec<Sounding<'_>> {
    line.notes.iter().filter_map(|note| Some((note, note.pitch?))).collect()
}

/// The canons of a piece. Voices that the source does not write out follow the one that it names;
/// of the others each is compared with all that begin before it.
pub(super) fn canons(texture: &Texture, piece: &Piece) -> Vec<Canon> {
    let voices: Vec<Vec<Sounding<'_>>> = texture.lines.iter().map(sounding).collect();
    let onset = |line: usize| voices[line].first().map(|(note, _)| note.onset);
    let mut order: Vec<usize> = (0..voices.len()).filter(|line| onset(*line).is_some()).collect();
    // Of two that begin together the one that is written out is followed.
    order.sort_by_key(|line| (onset(*line), !texture.lines[*line].written, *line));
    let ends = voices.iter().filter_map(|voice| voice.last()).map(|(note, _)| note.end);
    let end = ends.max().unwrap_or(0);
    let mut canons: Vec<(usize, Canon)> = Vec::new();
    let mut follows = vec![false; voices.len()];
    for line in &order {
        let follower = |dux: usize| {
            let way = unwritten(texture, piece, dux, *line, &voices);
            let found = match way {
                Some(way) => follow(&voices[dux], &voices[*line], way, true),
                None if !texture.lines[*line].written => None,
                None => {
                    let ways = ways(&voices[dux], &voices[*line], texture.minim);
                    let found = ways
                        .into_iter()
                        .filter_map(|way| follow(&voices[dux], &voices[*line], way, false));
                    found.max_by_key(|found| found.pairs.len())
                }
            };
            found.map(|found| (dux, found))
        };
        let last = voices[*line].last().map_or(0, |(note, _)| note.end);
        let is_long = |dux: usize| {
            last * PARTS >= end * (PARTS - 1) && onset(dux).unwrap_or(0) * PARTS <= end
        };
        // One that begins at the same moment may go in longer values.
        let leaders = order.iter().filter(|other| {
            let told = || unwritten(texture, piece, **other, *line, &voices).is_some();
            *other != line
                && !follows[**other]
                && (told() || onset(**other) <= onset(*line) && is_long(**other))
        });
        let best =
            leaders.filter_map(|dux| follower(*dux)).max_by_key(|(_, found)| found.pairs.len());
        let Some((dux, found)) = best else { continue };
        follows[*line] = true;
        let follower = found.follower(texture, dux, *line, &voices);
        match canons.iter_mut().find(|(other, _)| *other == dux) {
            Some((_, canon)) => canon.followers.push(follower),
            None => {
                let dux_note = id(texture, dux, voices[dux][0].0);
                canons.push((dux, Canon { dux: dux_note, followers: vec![follower] }));
            }
        }
    }
    canons.into_iter().map(|(_, canon)| canon).collect()
}

fn id(texture: &Texture, line: usize, note: &Note) -> EventId {
    EventId { voice: texture.lines[line].voice, event: note.event as usize }
}

/// How a voice that is not written out follows a voice, if it is that one.
fn unwritten(
    texture: &Texture,
    piece: &Piece,
    dux: usize,
    line: usize,
    voices: &[Vec<Sounding<'_>>],
) -> Option<Way> {
    let canon = piece.voices.get(texture.lines[line].place)?.canon?;
    (canon.dux == texture.lines[dux].place).then_some(())?;
    let ((first, _), (own, _)) = (voices[dux].first()?, voices[line].first()?);
    Some(Way { form: Form::Direct, steps: canon.steps, from: first.onset, to: own.onset })
}

/// The ways in which a voice may follow: by the first notes, or by the second if a first note is
/// longer or shorter.
fn ways(dux: &[Sounding<'_>], comes: &[Sounding<'_>], minim: i64) -> Vec<Way> {
    let mut ways = Vec::new();
    for number in 0..2 {
        let (Some((one, from)), Some((other, to))) = (dux.get(number), comes.get(number)) else {
            break;
        };
        let (from, to) = (i32::from(from.rung), i32::from(to.rung));
        let later = other.onset - one.onset >= minim / 2;
        let with = |form, steps| Way { form, steps, from: one.onset, to: other.onset };
        if later {
            ways.extend([with(Form::Direct, to - from), with(Form::Inverted, to + from)]);
            ways.push(with(Form::Diminished, to - from));
        }
        ways.push(with(Form::Augmented, to - from));
    }
    ways
}

/// Notes of a voice with those that they follow.
struct Followed<'n> {
    way: Way,
    pairs: Vec<(Sounding<'n>, Sounding<'n>)>,
}

/// The notes that follow in a way, if they are enough; one pass.
fn follow<'n>(
    dux: &[Sounding<'n>],
    comes: &[Sounding<'n>],
    way: Way,
    told: bool,
) -> Option<Followed<'n>> {
    let mut pairs = Vec::new();
    let mut next = 0;
    for (number, (note, height)) in comes.iter().enumerate() {
        if !told && number >= GLANCE && pairs.len() * 2 < number {
            return None;
        }
        let at = way.time(note.onset);
        while dux.get(next).is_some_and(|(other, _)| other.onset < at) {
            next += 1;
        }
        let same = dux.get(next).filter(|(other, _)| other.onset == at);
        if let Some(other) = same
            && way.rung(other.1.rung) == i32::from(height.rung)
        {
            pairs.push((*other, (*note, *height)));
        }
    }
    let (first, last) = (pairs.first()?, pairs.last()?);
    // What is followed lies between its first and its last note that is.
    let between = |voice: &[Sounding<'_>], first: i64, last: i64| {
        voice.iter().filter(|(note, _)| (first..=last).contains(&note.onset)).count()
    };
    let of_dux = between(dux, first.0.0.onset, last.0.0.onset);
    let of_comes = comes.len() - CLOSE.min(comes.len() / 8);
    let enough = |of: usize| pairs.len() * 100 >= of * SHARE;
    let mut rungs: Vec<i16> = pairs.iter().map(|(_, (_, height))| height.rung).collect();
    rungs.sort_unstable();
    rungs.dedup();
    // It begins with the beginning of the other.
    let begins = dux.iter().take(2).any(|(note, _)| note.onset == first.0.0.onset);
    let is_canon = pairs.len() >= NOTES
        && enough(of_dux)
        && if comes.len() < FEW {
            pairs.len() + 1 >= comes.len() && first.1.0.onset < last.0.0.onset
        } else {
            enough(of_comes)
        }
        && begins
        && rungs.len() >= STEPS;
    (told || is_canon).then_some(Followed { way, pairs })
}

impl Followed<'_> {
    fn follower(
        &self,
        texture: &Texture,
        dux: usize,
        line: usize,
        voices: &[Vec<Sounding<'_>>],
    ) -> Follower {
        let ((_, leads), (own, follows)) = (voices[dux][0], voices[line][0]);
        let heights: Vec<(Height, Height)> =
            self.pairs.iter().map(|(one, other)| (one.1, other.1)).collect();
        let exactness = Exactness::of(&heights, self.way.form);
        let first = self.pairs.first().map_or(own, |(_, other)| other.0);
        let last = self.pairs.last().map_or(own, |(_, other)| other.0);
        let delay = own.onset - voices[dux][0].0.onset;
        let steps = match self.way.form {
            Form::Inverted => i32::from(follows.rung) - i32::from(leads.rung),
            _ => self.way.steps,
        };
        Follower {
            first: id(texture, line, first),
            last: id(texture, line, last),
            onset: Time::new(own.onset, texture.minim),
            steps,
            delay: Time::new(delay, texture.minim),
            form: self.way.form,
            quality: exactness.quality(),
            notes: self.pairs.len(),
            exact: exactness.exact,
            unwritten: !texture.lines[line].written,
        }
    }
}
