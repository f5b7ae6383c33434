//! Everything that the rules observe in a piece, with its place.

use notation::Piece;
use rudiments::Time;
use score::Score;

use crate::against::Against;
use crate::kinds::Kinds;
use crate::melodies::{Melodies, windows};
use crate::rules::rule::{Heard, Meeting, OfEvent, OfMeeting};
use crate::rules::{Likeness, Listed, Observed, Sink};
use crate::texture::{Note, Texture};

/// Something that was observed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Observation {
    /// What it is.
    pub what: Observed,
    /// When, in minims from the beginning of the piece.
    pub at: Time,
    /// The event of which it is said; of two voices, that of the upper one.
    pub event: EventId,
    /// The other event of which it is said: that of the lower voice, or the one before in the same
    /// voice.
    pub other: Option<EventId>,
}

/// An event of a score.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct EventId {
    /// The place of its voice in [`Score::voices`].
    pub voice: usize,
    /// Its place in [`score::TimedVoice::events`].
    pub event: usize,
}

impl Observation {
    /// In a sentence for people: `bar 3, Cantus 7 and Tenor 5: parallel fifths`. Events are called
    /// by their numbers in the source; `score` is what was observed.
    pub fn sentence(&self, score: &Score) -> String {
        let name = |id: EventId| {
            let voice = score.voices.get(id.voice);
            let event = voice.and_then(|voice| voice.events.get(id.event));
            let name = voice.map_or("", |voice| voice.name.as_str());
            let index = event.and_then(|event| event.index);
            index.map_or_else(|| name.to_owned(), |index| format!("{name} {index}"))
        };
        let bar = score.bar_at(self.at).map_or(0, |bar| bar.number);
        let other = self.other.filter(|other| other.voice != self.event.voice);
        let and = other.map_or(String::new(), |other| format!(" and {}", name(other)));
        format!("bar {bar}, {}{and}: {}", name(self.event), self.what.sentence())
    }
}

/// Everything that the rules observe, in order of time; at one moment by voices, top voice first.
///
/// Of several notes of one voice at once the first is looked at. What two voices make is observed
/// whenever one of them begins a note, or both.
pub fn observe(piece: &Piece, score: &Score) -> Vec<Observation> {
    let texture = Texture::new(piece, score);
    let mut listing = Listing { texture: &texture, line: 0, seen: Vec::new() };
    let melodies = Melodies::new(&texture);
    for (number, line) in texture.lines.iter().enumerate() {
        listing.line = number;
        let mut against = Against::all(&texture, number);
        against.stretch(&line.notes, 0..line.notes.len(), 0, &mut listing, |_| ());
        listing.likenesses(&melodies);
        listing.inflections(&melodies, &mut against);
    }
    let mut seen = listing.seen;
    seen.sort_by_key(|observation| (observation.at, observation.event.voice));
    seen
}

/// A list of what is observed.
struct Listing<'t> {
    texture: &'t Texture,
    /// The line that is looked at.
    line: usize,
    seen: Vec<Observation>,
}

impl Listing<'_> {
    fn add(&mut self, what: Observed, at: i64, note: &Note, other: Option<(usize, &Note)>) {
        let id = |line: usize, note: &Note| EventId {
            voice: self.texture.lines[line].voice,
            event: note.event as usize,
        };
        let event = id(self.line, note);
        let other = other.map(|(line, note)| id(line, note));
        self.seen.push(Observation { what, at: Time::new(at, self.texture.minim), event, other });
    }

    /// How the values of a line are like those of the same melody elsewhere.
    fn likenesses(&mut self, melodies: &Melodies) {
        for five in self.texture.lines[self.line].notes.windows(5) {
            let Some((melody, length)) = windows(five.iter()).next() else { continue };
            let Some(mut others) = melodies.lengths(melody).copied() else { continue };
            let own = &mut others[length.number()];
            *own = own.saturating_sub(1);
            if let Some(likeness) = Likeness::of(length, &others) {
                self.add(likeness.what(), five[2].onset, &five[2], None);
            }
        }
    }
}

impl Listing<'_> {
    /// How the notes of a line are inflected.
    fn inflections(&mut self, melodies: &Melodies, against: &mut Against<'_>) {
        let notes = &self.texture.lines[self.line].notes;
        for (place, note) in notes.iter().enumerate() {
            let read = |place: usize| notes.get(place).copied();
            melodies.inflections.observe(place, notes, read, against, |seen| {
                self.add(seen.what(), note.onset, note, None);
            });
        }
    }
}

impl Sink for Listing<'_> {
    fn event<R: Listed + OfEvent>(&mut self, seen: R, heard: &Heard<'_>) {
        let before = heard.before.filter(|_| R::WITH_BEFORE);
        self.add(seen.what(), heard.onset, heard.note, before.map(|note| (self.line, note)));
    }

    fn meeting<R: Listed + OfMeeting>(&mut self, seen: R, meeting: &Meeting<'_>) {
        // Each pair is looked at from both sides.
        if self.line < meeting.line {
            self.add(seen.what(), meeting.at, meeting.one, Some((meeting.line, meeting.other)));
        }
    }
}

#[cfg(test)]
mod tests {
    use score::{BarLength, align, reckon};

    use super::*;

    fn scored(text: &str) -> (Piece, Score) {
        let piece = notation::parse(text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        (piece, score)
    }

    #[test]
    fn observations_lead_to_their_events() {
        let (piece, score) = scored(
            "voice Cantus clef C1\n sb D5 C5 mn B4 C5 lg D5\n\
             voice Tenor clef C4\n sb _ F4 mn E4 F4 lg D4\n",
        );
        let seen = observe(&piece, &score);
        let parallels: Vec<&Observation> =
            seen.iter().filter(|seen| seen.what.rule() == "parallel").collect();
        assert_eq!(parallels.len(), 2);
        let [first, second] = [parallels[0], parallels[1]];
        assert_eq!(first.at, Time::minims(4));
        assert_eq!(first.event, EventId { voice: 0, event: 2 });
        assert_eq!(first.other, Some(EventId { voice: 1, event: 2 }));
        assert_eq!(first.sentence(&score), "bar 2, Cantus 3 and Tenor 3: parallel fifths");
        assert_eq!(second.at, Time::minims(5));
        assert!(seen.is_sorted_by_key(|seen| seen.at));
    }

    /// Each pair of many voices is observed, and once.
    #[test]
    fn every_pair_of_twelve_voices_is_observed() {
        let voices: String = (0..12).map(|n| format!("voice V{n} clef C1\n lg D4\n")).collect();
        let (piece, score) = scored(&voices);
        let seen = observe(&piece, &score);
        let meetings = seen.iter().filter(|seen| seen.what.rule() == "consonance").count();
        assert_eq!(meetings, 12 * 11 / 2);
    }

    #[test]
    fn nothing_is_observed_where_nothing_is() {
        let (piece, score) = scored("");
        assert_eq!(observe(&piece, &score), []);
    }
}
