//! A voice as it is to be, typed: what is there stays as it is, as far as it still means the same.

use rudiments::{Tone, Value};

use super::plan::{From, Place, Planned};
use super::typing::{Typing, one_rest};
use crate::parser::state::{Course, InForce};
use crate::words::{self, Body, EventWord, PlaceWord, Word};
use crate::{Edit, Event, Group, ItemKind, Parsed, Span, Token, TokenKind, Voice};

/// The edits that make of a voice what is planned.
pub(super) fn spell(text: &str, parsed: &Parsed, voice: usize, planned: &[Planned]) -> Vec<Edit> {
    let free_completing = !parsed.piece.may_have_perfect_values();
    let voice = &parsed.piece.voices[voice];
    let mut speller = Speller {
        text,
        tokens: &parsed.tokens,
        voice,
        free_completing,
        typing: Typing::new(text, &voice.items),
        old: Course::new(voice.clef),
        new: Course::new(voice.clef),
        passed: 0,
        valued: 0,
        token: parsed.tokens.partition_point(|token| token.span.start < voice.span.end),
        touched: None,
        opened: 0,
        before: None,
        group: None,
        first_in_side: false,
        says_value: false,
    };
    for planned in planned {
        speller.item(planned);
    }
    speller.take_out(voice.items.len());
    speller.typing.edits()
}

/// Goes through the voice as it was and as it will be at the same time.
struct Speller<'s> {
    text: &'s str,
    tokens: &'s [Token],
    voice: &'s Voice,
    /// Whether it is spelling alone that a note is typed as a completing one.
    free_completing: bool,
    typing: Typing<'s>,
    old: Course,
    new: Course,
    /// So many items were passed on the old course.
    passed: usize,
    /// So many items have had the values before them put in force.
    valued: usize,
    /// The next token.
    token: usize,
    /// Where more can be typed after the last event, if that is typed anew.
    touched: Option<Place>,
    /// How many groups that are there have opened since.
    opened: usize,
    /// The item of the event right before, if it was there.
    before: Option<usize>,
    /// The group that is typed anew, while it is open.
    group: Option<Group>,
    /// Whether nothing stands in its second side yet.
    first_in_side: bool,
    /// Whether the first event there says its value even if that is in force.
    says_value: bool,
}

impl Speller<'_> {
    fn item(&mut self, planned: &Planned) {
        let (kind, from) = (&planned.kind, planned.from);
        match from {
            From::New(place, like) => {
                match place {
                    Place::BeforeValue(item) => self.take_out(item),
                    Place::Before(item) => self.value_before(item),
                    Place::After(_) => {}
                }
                match kind {
                    ItemKind::Event(event) => self.new_event(place, like, event),
                    _ => self.new_mark(place, kind),
                }
            }
            From::Kept(item) | From::Changed(item) => {
                self.value_before(item);
                let changed = matches!(from, From::Changed(_));
                match kind {
                    ItemKind::Event(event) => self.event(item, event, changed),
                    ItemKind::Direct(tone) => self.direct(item, *tone, changed),
                    ItemKind::Clef(clef) if changed => {
                        self.typing.instead(item, format!("clef {clef}"));
                    }
                    ItemKind::Divide | ItemKind::Close(_) | ItemKind::More => self.touched = None,
                    ItemKind::Open(_) => self.opened += 1,
                    _ => {}
                }
                self.new.pass(kind);
                self.pass_old();
            }
        }
    }

    /// The next item on the old course.
    fn pass_old(&mut self) {
        let kind = &self.voice.items[self.passed].kind;
        if let ItemKind::Event(event) = kind {
            self.old.now.value = in_force(event, event.completing);
        }
        self.old.pass(kind);
        self.passed += 1;
    }

    /// Takes out the items before one that are not there any more. The values before them stay.
    fn take_out(&mut self, end: usize) {
        while self.passed < end {
            self.value_before(self.passed);
            self.typing.instead(self.passed, "");
            self.pass_old();
        }
    }

    /// Puts the values in force that are typed before an item.
    fn value_before(&mut self, item: usize) {
        self.take_out(item);
        if self.valued > item {
            return;
        }
        self.valued = item + 1;
        let start = self.voice.items[item].span.start;
        let done = item.checked_sub(1).map_or(0, |before| self.voice.items[before].span.end);
        // Where the voice is left for others, their values do not count.
        let mut elsewhere = false;
        while let Some(token) = self.tokens.get(self.token).filter(|token| token.span.start < start)
        {
            self.token += 1;
            elsewhere |=
                token.first_on_line && matches!(token.span.of(self.text), "voice" | "more");
            if let Some(value) = self.value_of(*token)
                && token.span.start >= done
                && !elsewhere
            {
                self.old.now.value = Some(value);
                self.new.now.value = Some(value);
            }
        }
    }

    fn value_of(&self, token: Token) -> Option<Value> {
        let word = token.kind == TokenKind::Word;
        word.then(|| Value::from_letters(token.span.of(self.text))).flatten()
    }

    /// The value right before an item, and the first of several.
    fn values_right_before(&self, item: usize) -> Option<(Span, Span)> {
        let start = self.voice.items[item].span.start;
        let done = item.checked_sub(1).map_or(0, |before| self.voice.items[before].span.end);
        let place = self.tokens.partition_point(|token| token.span.start < start);
        let before = self.tokens[..place].iter().rev();
        let mut values = before
            .take_while(|token| token.span.start >= done && self.value_of(**token).is_some())
            .map(|token| token.span);
        let last = values.next()?;
        Some((last, values.last().unwrap_or(last)))
    }

    /// Whether a value is typed before an item, or from there to the next event.
    fn is_valued(&self, item: usize) -> bool {
        let items = &self.voice.items;
        let next = (item..items.len()).find(|item| items[*item].event().is_some());
        (item..=next.unwrap_or(item)).any(|item| self.values_right_before(item).is_some())
    }

    fn type_at(&mut self, place: Place, word: &str) {
        match place {
            Place::BeforeValue(item) if self.typed_at(item) < self.voice.items[item].span.start => {
                self.typing.at(self.typed_at(item), word);
            }
            Place::BeforeValue(item) | Place::Before(item) => self.typing.before(item, word),
            Place::After(item) => self.typing.after(item, word),
        }
    }

    /// Where an item begins with the values right before it.
    fn typed_at(&self, item: usize) -> u32 {
        let own = self.voice.items[item].span.start;
        self.values_right_before(item).map_or(own, |(_, first)| first.start)
    }

    /// An event that is there, or is changed in its place.
    fn event(&mut self, item: usize, event: &Event, changed: bool) {
        let old = self.voice.items[item].event().unwrap_or(event);
        let neighbour = self.before.replace(item);
        let touched = self.touched.take();
        let opened = std::mem::take(&mut self.opened);
        if !changed && self.old.now == self.new.now {
            self.new.now.value = in_force(event, event.completing);
            return;
        }
        let token = one_rest(self.voice.items[item].span.of(self.text));
        let Some(word) = Word::new(&token) else {
            self.new.now.value = in_force(event, event.completing);
            return;
        };
        let now = self.new.now;
        let completes = |value: Option<Value>| value.and_then(Value::smaller) == Some(event.value);
        let alone = neighbour != self.event_before(item);
        let completes = if changed { completes(now.value) } else { !alone };
        let point = old.completing && now.dotted && completes;
        let unpointed = old.completing && !point;
        let needed = if point { event.value.larger() } else { Some(event.value) };
        if let Some(value) = needed.filter(|_| now.value != needed) {
            match (touched, self.values_right_before(item)) {
                (Some(place), _) if !changed && !unpointed => {
                    self.type_at(place, value.letters());
                    self.new.value_before_groups(opened, value);
                }
                (_, Some((span, _))) if changed => self.typing.instead_of(span, value.letters()),
                _ => self.typing.before(item, value.letters()),
            }
        }
        // What completed another note says its octave where that is no longer before it.
        let said = unpointed && !changed && alone;
        let word = self.respelled(word.changed(old, event), &token, event, said);
        let typed = format!("{}{word}", if point { "." } else { "" });
        if typed != token {
            self.typing.instead(item, typed);
        }
        if changed || unpointed {
            self.touched = Some(Place::After(item));
        }
        self.new.now.value = in_force(event, point);
    }

    fn event_before(&self, item: usize) -> Option<usize> {
        (0..item).rev().find(|before| self.voice.items[*before].event().is_some())
    }

    /// A word whose notes are those of an event: each as it was typed, if it still means its tone; the
    /// first with its octave, where that is to be said.
    fn respelled<'w>(&self, word: Word<'w>, typed: &str, event: &Event, octave: bool) -> Word<'w> {
        let now = self.new.now;
        let Some((EventWord { body: Body::Heads(heads), .. }, _)) = words::event(typed) else {
            return word;
        };
        let reads = |place: PlaceWord, tone: Tone, octave: bool| {
            let said = !octave || !matches!(place, PlaceWord::Letter(_, None));
            said && now.tone(place) == Some(tone)
        };
        // On the other side of a variant octaves are always said.
        let all = self.group == Some(Group::Variant);
        let mut notes = heads.iter().zip(event.notes());
        let Some((first, note)) = notes.next() else { return word };
        let others = notes.all(|(head, note)| reads(head.place, note.tone, all));
        let mut word = word;
        let octave = octave || all;
        if !reads(first.place, note.tone, octave) {
            let short = word.is_bare() && !octave;
            word = word.spelled(self.place(note.tone, short));
        }
        let said = |tone| self.place(tone, false);
        if others { word } else { word.with_others(event, said) }
    }

    fn direct(&mut self, item: usize, tone: Tone, changed: bool) {
        let now = self.new.now;
        let typed = words::direct(self.voice.items[item].span.of(self.text));
        let same = typed.and_then(|place| now.tone(place)) == Some(tone);
        if same || (!changed && self.old.now == now) {
            return;
        }
        let short = matches!(typed, Some(PlaceWord::Letter(_, None)));
        self.typing.instead(item, format!("~{}", self.place(tone, short)));
    }

    /// Where a tone stands under the clef in force: as a letter, without its octave if that may be
    /// short and is understood; or as a position.
    fn place(&self, tone: Tone, short: bool) -> PlaceWord {
        let now = self.new.now;
        let positions = now.clef.filter(|_| self.voice.positions);
        let bare = PlaceWord::Letter(tone.step, None);
        if short && positions.is_none() && now.tone(bare) == Some(tone) {
            bare
        } else {
            PlaceWord::of(tone, positions)
        }
    }

    /// An event beside those that are there.
    fn new_event(&mut self, place: Place, like: Option<usize>, event: &Event) {
        let now = self.new.now;
        let half = now.value.and_then(Value::smaller);
        let like = like.and_then(|item| Some((item, self.voice.items[item].event()?)));
        // The first on a side says its value, unless it would then count otherwise.
        let completes = |old: &Event| match (self.first_in_side, self.free_completing) {
            (true, free) => old.completing && !free,
            (false, free) => old.completing || free,
        };
        let point =
            now.dotted && half == Some(event.value) && like.is_some_and(|(_, old)| completes(old));
        // A new event says its value, unless it stands among others that have it.
        let alone = like.is_none()
            && match place {
                _ if self.group.is_some() => self.first_in_side && self.says_value,
                Place::BeforeValue(item) if self.touched != Some(place) => self.is_valued(item),
                _ => false,
            };
        if !point && (alone || now.value != Some(event.value)) {
            self.type_at(place, event.value.letters());
        }
        let word = match like {
            Some((item, old)) => {
                let token = one_rest(self.voice.items[item].span.of(self.text));
                let first = |event: &Event| event.notes().first().map(|note| note.tone);
                let moved = first(old) != first(event);
                Word::new(&token).map(|word| {
                    self.respelled(word.changed(old, event), &token, event, moved).to_string()
                })
            }
            None => None,
        };
        let word = word.unwrap_or_else(|| {
            let short = self.group.is_none();
            EventWord::of(event, |tone| self.place(tone, short)).to_string()
        });
        self.type_at(place, &format!("{}{word}", if point { "." } else { "" }));
        self.new.pass(&ItemKind::Event(event.clone()));
        self.new.now.value = in_force(event, point);
        (self.first_in_side, self.before, self.touched) = (false, None, Some(place));
        self.opened = 0;
    }

    /// What is no event, beside what is there.
    fn new_mark(&mut self, place: Place, kind: &ItemKind) {
        match kind {
            ItemKind::Open(group) if self.group.is_none() => {
                self.group = Some(*group);
                self.first_in_side = true;
                // In a variant a value is only said again where no event is beside it.
                let beside = &self.voice.items[place.item()];
                self.says_value = *group != Group::Variant || beside.event().is_none();
            }
            ItemKind::Divide => self.first_in_side = true,
            ItemKind::Close(group) if self.group == Some(*group) => {
                // Either side of a variant can be kept by hand.
                let end = self.new.printed_end().and_then(|InForce { value, .. }| value);
                if *group == Group::Variant
                    && let Some(value) = end.filter(|value| self.new.now.value != Some(*value))
                {
                    self.type_at(place, value.letters());
                }
                self.group = None;
            }
            _ => {}
        }
        self.type_at(place, &kind.typed());
        self.new.pass(kind);
        self.touched = None;
    }
}

/// The value in force after an event; that of a completing note is double its own.
fn in_force(event: &Event, completing: bool) -> Option<Value> {
    event.value.larger().filter(|_| completing).or(Some(event.value))
}
