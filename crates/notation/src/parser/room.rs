//! How much more a piece may have: see [`crate::limits`].

use rudiments::Time;

use super::Parser;
use crate::lexer::{Token, TokenKind};
use crate::limits::{MOST_EVENTS, MOST_VOICES, SECTION_END, longest_voice, too_long};
use crate::{Code, Diagnostic, Event, Span};

/// Lengths are counted in these parts of a minim, so that a dotted semifusa is whole.
const PARTS: i64 = 16;

/// How large the piece is, and how large it may be.
#[derive(Clone, Debug)]
pub(super) struct Room {
    /// How many notes and rests there are, and how many there may be.
    events: usize,
    most_events: usize,
    /// How long each voice is.
    lengths: [i64; MOST_VOICES],
    /// How long it may be.
    longest: Time,
    /// Whether it was said that the piece is larger.
    told: bool,
}

impl Room {
    /// That of a piece with these tokens, in a file that has so many events left. Every voice has its
    /// share of the whole length, so they are counted before the first is read.
    pub(super) fn new(text: &str, tokens: &[Token], events_left: usize) -> Room {
        let opens = |token: &&Token| {
            token.kind == TokenKind::Word && token.span.of(text).eq_ignore_ascii_case("voice")
        };
        let longest = longest_voice(tokens.iter().filter(opens).count());
        Room {
            most_events: MOST_EVENTS.min(events_left),
            events: 0,
            lengths: [0; MOST_VOICES],
            longest,
            told: false,
        }
    }

    /// How many notes and rests there are.
    pub(super) fn events(&self) -> usize {
        self.events.min(self.most_events)
    }

    /// How many more of a length a voice has room for.
    fn of_length(&self, voice: usize, length: i64) -> usize {
        let left = self.longest.numerator() * PARTS - self.lengths[voice];
        usize::try_from(left / length.max(1)).unwrap_or(0)
    }
}

/// How long an event is by what is typed, in [`PARTS`]. How many a value holds, and in what
/// proportion, is not known here.
pub(super) fn printed_length(event: &Event) -> i64 {
    // Rounded up.
    let of = |length: Time| {
        let (parts, whole) = (length.numerator().saturating_mul(PARTS), length.denominator());
        parts / whole + i64::from(parts % whole != 0)
    };
    match event.length {
        Some(length) => of(length),
        None if event.dot.is_some() => of(event.value.plain() + event.value.plain().half()),
        None => of(event.value.plain()),
    }
}

impl Parser<'_> {
    /// As many of so many events as the piece still has room for; where they are read, with their
    /// voice and how long each is.
    pub(super) fn admitted(
        &mut self,
        lasting: Option<(usize, i64)>,
        span: Span,
        times: usize,
    ) -> usize {
        let times = match lasting {
            Some((voice, length)) => self.lengthen(voice, span, length, times),
            None => times,
        };
        let room = self.room.most_events.saturating_sub(self.room.events);
        if times > room {
            let message = if self.room.most_events == MOST_EVENTS {
                format!("this piece has more than {MOST_EVENTS} notes and rests")
            } else {
                "the examples have too many notes and rests for one file".to_owned()
            };
            self.too_large(
                Diagnostic::new(Code::TooLarge, span, message)
                    .help("put each piece into a file of its own; what follows is not read"),
            );
        }
        self.room.events = self.room.events.saturating_add(times);
        times.min(room)
    }

    /// Whether a voice has room for the end of a section.
    pub(super) fn admits_section_end(&mut self, voice: usize, span: Span) -> bool {
        self.lengthen(voice, span, SECTION_END.numerator() * PARTS, 1) == 1
    }

    /// Lengthens a voice by a length so many times, or as often as it has room.
    fn lengthen(&mut self, voice: usize, span: Span, length: i64, times: usize) -> usize {
        let room = self.room.of_length(voice, length);
        if times > room {
            self.too_large(too_long(span, self.room.longest));
        }
        let lengths = &mut self.room.lengths[voice];
        *lengths = lengths.saturating_add(length.saturating_mul(times as i64));
        times.min(room)
    }

    /// Says so once.
    fn too_large(&mut self, diagnostic: Diagnostic) {
        if !std::mem::replace(&mut self.room.told, true) {
            self.report(diagnostic);
        }
    }
}
