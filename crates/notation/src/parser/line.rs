//! The lines that open a voice, or go on with one.

use rudiments::{Clef, Sign, Signature};

use super::arguments::Place;
use super::suggest::{is_meant_as_music, sign};
use super::vocabulary::{
    ATTRIBUTES, attribute, head_item, is_event, is_music, is_taken, opens_voice,
};
use super::{Parser, PendingCanon, Stage, VoiceState};
use crate::lexer::TokenKind;
use crate::limits::MOST_VOICES;
use crate::{Canon, Code, Diagnostic, Item, ItemKind, Span, Standing, Token, Voice, words};

impl Parser<'_> {
    /// `voice` or `more`, its first word taken.
    pub(super) fn voice_line(&mut self, token: Token) {
        self.close_groups(token.span.start as usize);
        if !token.first_on_line {
            let word = self.word(token);
            let message = format!("`{word}` must stand at the beginning of a line");
            self.report(
                Diagnostic::new(Code::VoiceName, token.span, message)
                    .help("put it on a new line")
                    .fix(Span::new(token.span.start as usize, token.span.start as usize), "\n"),
            );
        }
        if self.word(token).eq_ignore_ascii_case("voice") {
            self.open_voice(token);
        } else {
            self.more(token);
        }
    }

    fn open_voice(&mut self, token: Token) {
        if self.piece.voices.len() == MOST_VOICES {
            if self.stage != Stage::PassedOver {
                let message = format!("too many voices: a piece may have {MOST_VOICES}");
                self.report(
                    Diagnostic::new(Code::TooManyVoices, token.span, message)
                        .help("put each piece into a file of its own; the rest is ignored"),
                );
            }
            self.stage = Stage::PassedOver;
            return;
        }
        let (name, span) = self.name(token);
        let place = self.piece.voices.len();
        self.stage = Stage::Voice(place);
        self.piece.voices.push(Voice {
            name,
            span,
            clef: None,
            signature: self.piece.head.signature,
            sign: self.piece.head.sign,
            positions: false,
            canon: None,
            items: Vec::new(),
        });
        self.states.push(VoiceState::new(None));
        // Whether it is clear where the music begins that may stand on the line.
        let mut clear = true;
        while let Some(next) = self.peek().filter(|next| !next.first_on_line) {
            let word = self.word(next);
            if let Some(attribute) = attribute(word) {
                self.next += 1;
                if attribute != word {
                    self.unknown_word(next, ATTRIBUTES.into_iter());
                }
                self.attribute(place, next, attribute);
            } else if self.states[place].now.clef.is_none()
                && let Some(clef) = Clef::parse(word)
            {
                self.next += 1;
                clear = self.bare_clef(place, next, clef);
            } else if self.is_more_of_a_name(next) {
                self.next += 1;
                self.long_name(next);
            } else if self.bare_sign(place, next) {
            } else {
                self.music_on_line(next, clear);
                break;
            }
        }
    }

    /// A clef without the word that says so; whether it is sure to be one.
    fn bare_clef(&mut self, place: usize, token: Token, clef: Clef) -> bool {
        self.piece.voices[place].clef = Some(clef);
        self.states[place].now.clef = Some(clef);
        let start = token.span.start as usize;
        let found = Diagnostic::new(
            Code::NoSuchClef,
            token.span,
            "the word `clef` is missing before this clef",
        )
        .help(format!("type clef {clef}"));
        // Before other notes it may be one itself.
        let note_follows = self.on_line(self.next).is_some_and(|next| {
            let word = self.word(next);
            is_event(word) && Sign::parse(word).is_none()
        });
        self.report(if note_follows { found } else { found.fix(Span::new(start, start), "clef ") });
        !note_follows
    }

    /// A sign or signature without the word that says so, last on the line or before another of what
    /// may stand there; whether there is one.
    fn bare_sign(&mut self, place: usize, token: Token) -> bool {
        if token.kind != TokenKind::Word {
            return false;
        }
        let joined = self.joined(self.next);
        let word = &self.text[token.span.start as usize..joined.end];
        let Some(meant) = sign(word) else {
            let signature = self.bare_signature();
            self.piece.voices[place].signature =
                signature.unwrap_or(self.piece.voices[place].signature);
            return signature.is_some();
        };
        let goes_on = self.on_line(joined.next).is_none_or(|next| {
            let word = self.word(next);
            attribute(word).is_some() || opens_voice(word) || Signature::parse(word).is_some()
        });
        if !goes_on {
            return false;
        }
        self.piece.voices[place].sign = Some(meant);
        self.next = joined.next;
        let whole = Span::new(token.span.start as usize, joined.end);
        let typed = Sign::parse(word).map_or_else(|| meant.to_string(), |_| word.to_owned());
        let message = "the word `sign` is missing before this sign";
        self.report(
            Diagnostic::new(Code::NoSuchSign, whole, message)
                .help(format!("type sign {meant}"))
                .fix(whole, format!("sign {typed}")),
        );
        true
    }

    /// Whether a word after a name belongs to it: it means nothing itself, and the line goes on
    /// with what follows a name.
    fn is_more_of_a_name(&self, token: Token) -> bool {
        let next = self.tokens.get(self.next + 1).filter(|next| !next.first_on_line);
        let goes_on = next.is_some_and(|next| attribute(self.word(*next)).is_some());
        token.kind == TokenKind::Word && goes_on && !is_taken(self.word(token))
    }

    fn long_name(&mut self, token: Token) {
        self.report(
            Diagnostic::new(Code::VoiceName, token.span, "a name is one word")
                .help("join its words by a hyphen: Cantus-I"),
        );
    }

    /// The name of a voice: a word of its own; where it is missing or taken, one is made up.
    fn name(&mut self, token: Token) -> (String, Span) {
        let next = self.peek().filter(|next| !next.first_on_line && next.kind == TokenKind::Word);
        let count = self.piece.voices.len() + 1;
        let made_up = |stem: &str| format!("{stem}-{count}");
        match next.map(|next| (self.word(next), next.span)) {
            Some((name, span)) if !is_taken(name) => {
                self.next += 1;
                if let Some(first) = self.names.get(name).copied() {
                    let opened = self.piece.voices[first].span;
                    self.report(
                        Diagnostic::new(
                            Code::VoiceName,
                            span,
                            format!("there is a voice `{name}` already"),
                        )
                        .related(opened, "here")
                        .help(format!(
                            "give it a name of its own, or go on with the other: more {name}"
                        )),
                    );
                    return (made_up(name), span);
                }
                self.names.insert(name, count - 1);
                (name.to_owned(), span)
            }
            _ => {
                self.report(
                    Diagnostic::new(Code::VoiceName, token.span, "this voice has no name")
                        .help("name it in one word: voice Cantus clef C1"),
                );
                (made_up("Voice"), token.span)
            }
        }
    }

    fn attribute(&mut self, place: usize, token: Token, attribute: &str) {
        match attribute {
            "positions" => self.piece.voices[place].positions = true,
            "canon" => self.canon(place, token),
            "clef" => {
                let clef = self.clef(token, Place::Line);
                self.piece.voices[place].clef = clef;
                self.states[place].now.clef = clef;
                self.states[place].clef_missing = clef.is_none();
            }
            "signature" => {
                if let Some(signature) = self.signature(token, Place::Line) {
                    self.piece.voices[place].signature = signature;
                }
            }
            _ => {
                if let Some(sign) = self.sign(token) {
                    self.piece.voices[place].sign = Some(sign);
                }
            }
        }
    }

    fn canon(&mut self, place: usize, token: Token) {
        let parts = [(); 5].map(|()| self.take_on_line());
        let last = parts.iter().flatten().last().map_or(token.span, |part| part.span);
        let canon = (|| {
            let [dux, number, direction, after, delay] = parts;
            let dux = self.word(dux?);
            let number: i32 = self.word(number?).parse().ok()?;
            let steps = (1..=15).contains(&number).then_some(number - 1)?;
            let steps = match self.word(direction?) {
                "above" => steps,
                "below" => -steps,
                _ => return None,
            };
            let after = words::minims(self.word(delay?))
                .filter(|_| after.is_some_and(|after| self.word(after) == "after"))?;
            Some((dux, steps, after))
        })();
        let span = token.span.to(last);
        match canon {
            Some((dux, steps, after)) => {
                // The dux is found once all voices are known.
                self.piece.voices[place].canon = Some(Canon { dux: place, steps, after });
                self.canons.push(PendingCanon { comes: place, span, dux, steps, after });
            }
            None => self.report(
                Diagnostic::new(Code::CanonUnclear, span, "this canon is incomplete").help(
                    "type the voice that it follows, the interval, and the delay in minims: canon Cantus 5 above after 2",
                ),
            ),
        }
    }

    fn more(&mut self, token: Token) {
        let name = self.take_on_line();
        let place = name.and_then(|name| self.names.get(self.word(name)).copied());
        match place {
            Some(place) => {
                self.stage = Stage::Voice(place);
                let item =
                    Item { span: token.span, standing: Standing::Printed, kind: ItemKind::More };
                self.piece.voices[place].items.push(item);
                if let Some(next) = self.peek().filter(|next| !next.first_on_line) {
                    self.music_on_line(next, true);
                }
            }
            None if self.piece.voices.len() == MOST_VOICES => self.stage = Stage::PassedOver,
            None => {
                let name = name.map_or("", |name| self.word(name));
                let known: Vec<&str> =
                    self.piece.voices.iter().map(|voice| voice.name.as_str()).collect();
                let help = if known.is_empty() {
                    "open it first: voice Cantus clef C1".to_owned()
                } else {
                    format!("the voices so far: {}", known.join(" "))
                };
                let message = format!("there is no voice `{name}` to go on with");
                self.report(Diagnostic::new(Code::MoreOfNoVoice, token.span, message).help(help));
                self.stage = Stage::PassedOver;
            }
        }
    }

    fn music_on_line(&mut self, next: Token, clear: bool) {
        let message = "the music of a voice begins on the next line";
        let found =
            Diagnostic::new(Code::MusicOnVoiceLine, next.span, message).help("break the line here");
        let word = self.word(next);
        let small = word.to_ascii_lowercase();
        let start = next.span.start as usize;
        // At the beginning of a line some words mean something else; and a clef or sign may lack the
        // word that says so.
        let is_surely_music = clear
            && !opens_voice(&small)
            && head_item(&small).is_none()
            && (next.kind != TokenKind::Word || is_music(word) || is_meant_as_music(word))
            && sign(word).is_none()
            && Clef::parse(word).is_none();
        self.beside_voice = !is_surely_music;
        let found =
            if is_surely_music { found.fix(Span::new(start, start), "\n  ") } else { found };
        self.report(found);
    }

    /// Canons name voices that may come later.
    pub(super) fn resolve_canons(&mut self) {
        for canon in std::mem::take(&mut self.canons) {
            let PendingCanon { comes, span, dux: name, steps, after } = canon;
            let dux = self.names.get(name).copied();
            let written = |dux: &usize| self.piece.voices[*dux].canon.is_none();
            let message = match dux {
                None => format!("there is no voice `{name}` to follow"),
                Some(dux) if !written(&dux) => format!("`{name}` is not written out itself"),
                Some(dux) => {
                    let items = &self.piece.voices[dux].items;
                    let is_event = |item: &&Item| matches!(item.kind, ItemKind::Event(_));
                    let followed = items.iter().filter(is_event).count();
                    let fits = self.admitted(None, span, followed) == followed;
                    self.piece.voices[comes].canon = fits.then_some(Canon { dux, steps, after });
                    continue;
                }
            };
            self.piece.voices[comes].canon = None;
            self.report(
                Diagnostic::new(Code::CanonUnclear, span, message)
                    .help("name a voice of this file that is written out"),
            );
        }
    }
}
