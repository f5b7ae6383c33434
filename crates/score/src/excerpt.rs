//! Some bars of a score, or some of its voices, as a score of their own.
//!
//! An excerpt is music that begins and ends where it is cut, and is otherwise what it was: bars keep
//! their numbers, events their printed numbers and their places in the text. Its time begins with its
//! first bar. Clef, signature and sign are those in force there. A note that sounds over the cut is
//! shortened to what is inside; [`Cut`] says that it goes on, so that it is drawn with a tie, and with
//! the sign that it had outside.

use std::error;
use std::fmt;
use std::ops::{Range, RangeInclusive};

use notation::{NoteSign, NoteSigns};
use rudiments::Time;

use crate::annotations::{Annotations, Figure, Shade};
use crate::mark::{Mark, Run};
use crate::timed::{Bar, Break, Change, Cut, Score, TimedEvent, TimedVoice};

/// What of a score is wanted.
///
/// ```
/// use score::{BarLength, Excerpt, align, reckon};
///
/// let piece = notation::parse("voice Cantus clef C1\n  sb A4 br B sb A lg C5 //\n").piece;
/// let score = align(&piece, reckon(&piece), BarLength::Breve).score;
/// let second = Excerpt::bars(2..=2).of(&score).unwrap();
/// assert_eq!((second.bars[0].number, second.length.to_string()), (2, "4".to_owned()));
/// assert!(second.voices[0].cut.before); // the breve began in the first bar
/// ```
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Excerpt {
    /// From the first bar to the last, by their numbers; nothing for all. What is beyond the piece
    /// is left out.
    pub bars: Option<RangeInclusive<u32>>,
    /// The voices, as places in [`Score::voices`], in any order; nothing for all.
    pub voices: Option<Vec<usize>>,
}

impl Excerpt {
    /// These bars of all voices.
    pub fn bars(bars: RangeInclusive<u32>) -> Excerpt {
        Excerpt { bars: Some(bars), voices: None }
    }

    /// The same bars of these voices alone.
    #[must_use]
    pub fn voices(self, voices: impl IntoIterator<Item = usize>) -> Excerpt {
        Excerpt { voices: Some(voices.into_iter().collect()), ..self }
    }

    /// The excerpt of a score. Linear in its length.
    ///
    /// # Errors
    /// If the score has none of the bars, or none of the voices.
    pub fn of(&self, score: &Score) -> Result<Score, NoExcerpt> {
        let bars = self.places_of_bars(score)?;
        let kept = self.kept(score)?;
        let (start, end) = (score.bars[bars.start].start, score.bars[bars.end - 1].end);
        let knife = Knife { start, end, last: bars.end == score.bars.len() };
        let mut voices = Vec::with_capacity(kept.len());
        // Of each voice of the whole, its place here and which of its events are.
        let mut places: Vec<Option<(usize, Range<usize>)>> = vec![None; score.voices.len()];
        for old in kept {
            let (voice, events) = knife.voice(&score.voices[old]);
            places[old] = Some((voices.len(), events));
            voices.push(voice);
        }
        let run = |run: Run| {
            let (voice, events) = places.get(run.voice)?.as_ref()?;
            let (first, last) =
                (run.first.max(events.start), run.last.min(events.end.checked_sub(1)?));
            let moved = |event: usize| event - events.start;
            (first <= last).then(|| Run { voice: *voice, first: moved(first), last: moved(last) })
        };
        let mark = |mark: &Mark| Some(Mark { run: run(mark.run)?, ..mark.clone() });
        let breaks = score.breaks.iter().filter(|one| bars.start < one.bar && one.bar < bars.end);
        Ok(Score {
            heading: score.heading.clone(),
            bar: score.bar,
            bars: score.bars[bars.clone()].iter().map(|bar| knife.bar(*bar)).collect(),
            voices,
            length: end - start,
            begins: score.begins + start,
            subjects: score.subjects.iter().filter_map(|subject| run(*subject)).collect(),
            marks: score.marks.iter().filter_map(mark).collect(),
            hands: score.hands.iter().filter_map(|(at, hand)| Some((run(*at)?, *hand))).collect(),
            breaks: breaks.map(|one| Break { bar: one.bar - bars.start, ..*one }).collect(),
            annotations: knife.annotations(&score.annotations),
        })
    }

    /// The bars as places among those of the score; at least one.
    fn places_of_bars(&self, score: &Score) -> Result<Range<usize>, NoExcerpt> {
        let all = &score.bars;
        let places = match &self.bars {
            None => 0..all.len(),
            Some(wanted) => {
                let first = all.partition_point(|bar| bar.number < *wanted.start());
                first..all.partition_point(|bar| bar.number <= *wanted.end())
            }
        };
        let numbers = || Some((all.first()?.number, all.last()?.number));
        if places.is_empty() { Err(NoExcerpt::Bars(numbers())) } else { Ok(places) }
    }

    /// The places of the voices, in their order; at least one.
    fn kept(&self, score: &Score) -> Result<Vec<usize>, NoExcerpt> {
        let wanted = |place: &usize| self.voices.as_ref().is_none_or(|all| all.contains(place));
        let kept: Vec<usize> = (0..score.voices.len()).filter(wanted).collect();
        if kept.is_empty() { Err(NoExcerpt::Voices) } else { Ok(kept) }
    }
}

/// Why there is no excerpt.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NoExcerpt {
    /// The score has none of the bars; it has those from one number to another, or none at all.
    Bars(Option<(u32, u32)>),
    /// It has none of the voices.
    Voices,
}

impl fmt::Display for NoExcerpt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoExcerpt::Bars(Some((first, last))) => {
                write!(f, "there are no such bars: the piece has bars {first} to {last}")
            }
            NoExcerpt::Bars(None) => f.write_str("there are no bars in the piece"),
            NoExcerpt::Voices => f.write_str("the piece has none of these voices"),
        }
    }
}

impl error::Error for NoExcerpt {}

/// Cuts what is from one moment to another out of the whole.
#[derive(Clone, Copy)]
struct Knife {
    start: Time,
    end: Time,
    /// Whether the whole ends there too.
    last: bool,
}

impl Knife {
    fn bar(self, bar: Bar) -> Bar {
        Bar { start: bar.start - self.start, end: bar.end - self.start, ..bar }
    }

    /// A voice, and which of its events it has.
    fn voice(self, whole: &TimedVoice) -> (TimedVoice, Range<usize>) {
        let events = &whole.events;
        // What takes no time belongs to where it begins.
        let first =
            events.partition_point(|event| event.onset < self.start && event.end() <= self.start);
        let after = if self.last {
            events.len()
        } else {
            events.partition_point(|event| event.onset < self.end).max(first)
        };
        let inside = &events[first..after];
        let cut = Cut {
            before: inside.first().map_or(whole.cut.before, |event| {
                event.onset < self.start || first == 0 && whole.cut.before
            }),
            after: inside.last().map_or(whole.cut.after, |event| {
                event.end() > self.end || after == events.len() && whole.cut.after
            }),
        };
        let mut voice = TimedVoice {
            place: whole.place,
            name: whole.name.clone(),
            clef: whole.clef,
            signature: whole.signature,
            sign: whole.sign,
            events: inside.iter().map(|event| self.event(event)).collect(),
            changes: Vec::new(),
            cut,
            blank: whole.blank.iter().filter_map(|stretch| self.stretch(*stretch)).collect(),
        };
        for (at, change) in &whole.changes {
            match change {
                _ if *at > self.end || *at == self.end && !self.last => break,
                Change::Clef(clef) if *at <= self.start => voice.clef = *clef,
                Change::Signature(signature) if *at <= self.start => voice.signature = *signature,
                Change::Sign(sign) if *at <= self.start => voice.sign = Some(*sign),
                Change::LineEnd | Change::PageEnd if *at <= self.start => {}
                _ if *at < self.start => {}
                change => voice.changes.push((*at - self.start, change.clone())),
            }
        }
        (voice, first..after)
    }

    /// What of a stretch is inside.
    fn stretch(self, (from, to): (Time, Time)) -> Option<(Time, Time)> {
        let (from, to) = (from.max(self.start), to.min(self.end));
        (from < to).then(|| (from - self.start, to - self.start))
    }

    /// What of an event is inside. Signs that stand at its beginning or end stay there.
    fn event(self, event: &TimedEvent) -> TimedEvent {
        let (onset, end) = (event.onset.max(self.start), event.end().min(self.end));
        let is_inside = |sign: &NoteSign| {
            if sign.description().at_end { end == event.end() } else { onset == event.onset }
        };
        let signs: NoteSigns = event.signs.iter().filter(is_inside).collect();
        let onset = onset - self.start;
        TimedEvent { onset, length: end - self.start - onset, signs, ..event.clone() }
    }

    fn annotations(self, whole: &Annotations) -> Annotations {
        let Knife { start, end, last } = self;
        let shade = |shade: &Shade| Shade {
            from: shade.from.max(start) - start,
            to: shade.to.min(end) - start,
        };
        let figure = |figure: &Figure| Figure { at: figure.at - start, ..figure.clone() };
        let shades = whole.shades.iter().map(shade).filter(|shade| shade.from < shade.to);
        let figures = whole
            .figures
            .iter()
            .filter(|figure| figure.at >= start && (figure.at < end || last && figure.at == end));
        Annotations { shades: shades.collect(), figures: figures.map(figure).collect() }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use rudiments::{Sign, Signature};

    use super::*;
    use crate::Close;
    use crate::arrange::testing::{any_score, score, with_signature};
    use crate::{Manner, Options, arrange};

    /// The events of a voice: onset, length and pitch.
    fn events(voice: &TimedVoice) -> Vec<String> {
        let event = |event: &TimedEvent| {
            let pitch = event.notes.first().map_or("_".to_owned(), |note| note.pitch.to_string());
            format!("{} {}:{}", event.onset, pitch, event.length)
        };
        voice.events.iter().map(event).collect()
    }

    #[test]
    fn bars_keep_their_numbers_and_time_begins_anew() {
        let whole = score(4, &["C5:4 D5:2 E5:2 F5:4", "C4:12"]);
        let cut = Excerpt::bars(2..=3).of(&whole).unwrap();
        assert_eq!(cut.bars.iter().map(|bar| bar.number).collect::<Vec<_>>(), [2, 3]);
        assert_eq!(events(&cut.voices[0]), ["0 D5:2", "2 E5:2", "4 F5:4"]);
        assert_eq!(events(&cut.voices[1]), ["0 C4:8"]);
        assert_eq!((cut.first_bar(), cut.length), (2, Time::minims(8)));
        assert_eq!(cut.begins, Time::minims(4));
        assert_eq!(cut.bars[1].close, Close::Final);
    }

    #[test]
    fn a_note_over_the_cut_is_tied_to_both_sides() {
        let whole = score(4, &["C5:2 D5:12 E5:2"]);
        let cut = Excerpt::bars(2..=3).of(&whole).unwrap();
        assert_eq!(cut.voices[0].cut, Cut { before: true, after: true });
        let arranged = arrange(&cut, Options::default());
        let ties: Vec<(bool, bool)> = arranged
            .bars
            .iter()
            .flat_map(|bar| &bar.voices[0])
            .map(|segment| (segment.tied_before, segment.tied_after))
            .collect();
        assert_eq!(ties, [(true, true), (true, true)]);
        let whole = Excerpt::default().of(&whole).unwrap();
        assert_eq!(whole.voices[0].cut, Cut::default());
    }

    #[test]
    fn rests_over_the_cut_are_not_tied() {
        let whole = score(4, &["C5:2 _:4 E5:2"]);
        let cut = Excerpt::bars(2..=2).of(&whole).unwrap();
        let arranged = arrange(&cut, Options::default());
        assert!(arranged.bars[0].voices[0].iter().all(|segment| !segment.tied_before));
    }

    #[test]
    fn a_sign_that_was_read_outside_is_shown_again() {
        let whole = score(4, &["C5:2 F#5:4 F#5:2"]);
        let signs = |score: &Score| -> Vec<Option<Manner>> {
            let arranged = arrange(score, Options::default());
            let notes = arranged.bars.iter().flat_map(|bar| &bar.voices[0]);
            notes.map(|one| one.notes[0].accidental.map(|sign| sign.manner)).collect()
        };
        let needed = Some(Manner::Needed);
        assert_eq!(signs(&whole), [None, needed, None, needed]);
        let cut = Excerpt::bars(2..=2).of(&whole).unwrap();
        assert_eq!(signs(&cut), [needed, None]);
    }

    #[test]
    fn clef_signature_and_sign_are_those_in_force() {
        let mut whole = with_signature(score(4, &["C5:4 D5 E5"]), "Bb");
        let flatless = Signature::NONE;
        let voice = &mut whole.voices[0];
        voice.changes = vec![
            (Time::minims(2), Change::Sign(Sign::CUT)),
            (Time::minims(3), Change::LineEnd),
            (Time::minims(4), Change::Signature(flatless)),
            (Time::minims(4), Change::Words("here".to_owned())),
            (Time::minims(6), Change::Clef(rudiments::Clef::parse("C1").unwrap())),
            (Time::minims(8), Change::Words("after".to_owned())),
        ];
        let cut = Excerpt::bars(2..=2).of(&whole).unwrap();
        let voice = &cut.voices[0];
        assert_eq!((voice.signature, voice.sign), (flatless, Some(Sign::CUT)));
        assert_eq!(voice.clef, whole.voices[0].clef);
        let changes: Vec<&Time> = voice.changes.iter().map(|(at, _)| at).collect();
        assert_eq!(changes, [&Time::ZERO, &Time::minims(2)]);
    }

    #[test]
    fn signs_stay_at_their_end_of_a_note() {
        let whole = score(4, &["C5:2 D5:6^"]);
        let signs = |bars: RangeInclusive<u32>| {
            let cut = Excerpt::bars(bars).of(&whole).unwrap();
            cut.voices[0].events.iter().map(|event| event.signs.is_empty()).collect::<Vec<_>>()
        };
        assert_eq!(signs(1..=1), [true, true]);
        assert_eq!(signs(2..=2), [false]);
    }

    #[test]
    fn what_names_events_names_them_still() {
        let mut whole = score(4, &["C5:4 D5:2 E5:2 F5:4", "C4:4 D4 E4"]);
        let run = |voice, first, last| Run { voice, first, last };
        whole.subjects = vec![run(1, 1, 2), run(0, 0, 0), run(0, 0, 3)];
        let cut = Excerpt::bars(2..=2).of(&whole).unwrap();
        assert_eq!(cut.subjects, [run(1, 0, 0), run(0, 0, 1)]);
        let alone = Excerpt::bars(2..=3).voices([1]).of(&whole).unwrap();
        assert_eq!(alone.subjects, [run(0, 0, 1)]);
        assert_eq!((alone.voices.len(), alone.voices[0].place), (1, 1));
    }

    #[test]
    fn annotations_move_with_their_moments() {
        let mut whole = score(4, &["C5:4 D5 E5"]);
        let shade = |from, to| Shade { from: Time::minims(from), to: Time::minims(to) };
        whole.annotations.shades = vec![shade(2, 6), shade(8, 10)];
        whole.annotations.figures =
            [2, 4, 7, 8].map(|at| Figure::new(Time::minims(at), at.to_string())).to_vec();
        let cut = Excerpt::bars(2..=2).of(&whole).unwrap().annotations;
        assert_eq!(cut.shades, [shade(0, 2)]);
        let figures = [(0, "4"), (3, "7")].map(|(at, text)| Figure::new(Time::minims(at), text));
        assert_eq!(cut.figures, figures);
    }

    #[test]
    fn what_is_not_there_cannot_be_cut_out() {
        let whole = score(4, &["C5:4 D5 E5"]);
        let none = Excerpt::bars(4..=9).of(&whole).unwrap_err();
        assert_eq!(none, NoExcerpt::Bars(Some((1, 3))));
        assert_eq!(none.to_string(), "there are no such bars: the piece has bars 1 to 3");
        assert_eq!(Excerpt::bars(1..=1).voices([7]).of(&whole), Err(NoExcerpt::Voices));
        let beyond = Excerpt::bars(3..=9).of(&whole).unwrap();
        assert_eq!(beyond.bars.len(), 1);
    }

    /// What of each event sounds in which bar: bar, printed number, onset in the whole, length,
    /// pitches, and whether the note goes on to both sides.
    type Heard = (u32, Option<u32>, Time, Time, Vec<rudiments::Pitch>, bool, bool);

    fn heard(score: &Score, voice: usize, offset: Time) -> Vec<Heard> {
        let arranged = arrange(score, Options::default());
        let mut heard: Vec<Heard> = Vec::new();
        for (bar, arranged) in score.bars.iter().zip(&arranged.bars) {
            for segment in &arranged.voices[voice] {
                let event = &score.voices[voice].events[segment.event];
                let pitches = segment.notes.iter().map(|note| note.pitch).collect();
                let (onset, index) = (segment.onset + offset, event.index);
                let ties = (segment.tied_before, segment.tied_after);
                // However a note is written inside a bar: what is tied there is one.
                match heard.last_mut().filter(|last| last.0 == bar.number) {
                    Some(last) if ties.0 || segment.is_rest() && last.4.is_empty() => {
                        last.3 += segment.length;
                        last.6 = ties.1;
                    }
                    _ => heard.push((
                        bar.number,
                        index,
                        onset,
                        segment.length,
                        pitches,
                        ties.0,
                        ties.1,
                    )),
                }
            }
        }
        heard
    }

    proptest! {
        #[test]
        fn an_excerpt_of_the_whole_is_the_whole(score in any_score(4)) {
            let (first, last) = (score.first_bar(), score.bars.last().map_or(1, |bar| bar.number));
            let all = 0..score.voices.len();
            prop_assert_eq!(&Excerpt::default().of(&score).unwrap(), &score);
            prop_assert_eq!(&Excerpt::bars(first..=last).voices(all).of(&score).unwrap(), &score);
        }

        /// What is cut twice is what is cut once.
        #[test]
        fn an_excerpt_of_an_excerpt(score in any_score(3), (first, count) in (1..4_u32, 0..3_u32)) {
            let wide = Excerpt::bars(first..=first + count + 1).of(&score);
            let narrow = Excerpt::bars(first + 1..=first + count + 1);
            let (Ok(wide), Ok(once)) = (wide, narrow.of(&score)) else { return Ok(()) };
            prop_assert_eq!(narrow.of(&wide).unwrap(), once);
        }

        /// In every bar of an excerpt every voice has what it has there in the whole.
        #[test]
        fn nothing_inside_is_changed(
            score in any_score(4),
            (first, count) in (1..6_u32, 0..4_u32),
            voices in prop::collection::vec(0..4_usize, 1..4),
        ) {
            let wanted = Excerpt::bars(first..=first + count).voices(voices.clone());
            let Ok(cut) = wanted.of(&score) else { return Ok(()) };
            let offset = score.bars[first as usize - 1].start;
            let mut kept: Vec<usize> = voices;
            kept.retain(|voice| *voice < score.voices.len());
            kept.sort_unstable();
            kept.dedup();
            prop_assert_eq!(kept.len(), cut.voices.len());
            for (new, old) in kept.iter().enumerate() {
                let mut inside = heard(&score, *old, Time::ZERO);
                inside.retain(|heard| (first..=first + count).contains(&heard.0));
                // Rests that are joined have the number of the first, which may be outside.
                let plain = |all: Vec<Heard>| -> Vec<Heard> {
                    let number = |heard: Heard| {
                        let index = heard.1.filter(|_| !heard.4.is_empty());
                        (heard.0, index, heard.2, heard.3, heard.4, heard.5, heard.6)
                    };
                    all.into_iter().map(number).collect()
                };
                prop_assert_eq!(plain(heard(&cut, new, offset)), plain(inside));
            }
        }

        /// Events fill an excerpt without gaps, as they do any score.
        #[test]
        fn events_fill_it(score in any_score(3), (first, count) in (1..6_u32, 0..4_u32)) {
            let Ok(cut) = Excerpt::bars(first..=first + count).of(&score) else { return Ok(()) };
            for voice in &cut.voices {
                let mut now = Time::ZERO;
                for event in &voice.events {
                    prop_assert_eq!(event.onset, now);
                    now = event.end();
                }
                prop_assert_eq!(now, cut.length);
            }
        }
    }
}
