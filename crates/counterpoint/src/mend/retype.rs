//! Suggestions as edits of the text: retyped, or written as an emendation beside what is printed.
//! All other bytes stay as they are.

use notation::{
    Dot, Edit, Event, ItemKind, NoteSigns, Parsed, Piece, Sound, Span, Standing, Token, TokenKind,
    apply, examples,
};
use rudiments::{Accidental, Clef, Time, Tone, Value};

use super::suggestion::Suggestion;
use super::word::{self, Word};
use crate::slip::Repair;

/// The edits by which a suggestion is typed instead of what stands there: a typist's slip.
///
/// Nothing where it says too little to be typed, as of a whole line left out.
pub fn retype(text: &str, parsed: &Parsed, suggestion: &Suggestion) -> Option<Vec<Edit>> {
    let writer = Writer::new(text, parsed, suggestion)?;
    let edits = match suggestion.repair {
        Repair::Value { value, dotted } => writer.retype_value(value, dotted)?,
        Repair::Pair { first, second } => writer.retype_pair(first, second)?,
        Repair::InsertNote { value, dotted, tone } => {
            let word = writer.new_note(tone, dotted);
            writer.insert(value, &word, Some(tone))
        }
        Repair::InsertRest { value } => writer.insert(value, "_", None),
        Repair::Delete => writer.delete(),
        Repair::Tone(tone) => writer.retype_tones(1, |_| tone)?,
        Repair::Transpose { steps, events } => {
            writer.retype_tones(events, |tone| tone.up(steps))?
        }
        Repair::Sign(sign) => vec![writer.retype_word(|word| Some(word.signed(sign)))?],
        Repair::InsertLine { .. } => return None,
    };
    writer.reads_as(&edits, &writer.expected(suggestion.repair)?).then_some(edits)
}

/// The edits by which a suggestion is written as an emendation, `< printed | read >`: the source
/// was seen to be wrong.
///
/// Nothing where it says too little, or where an emendation cannot stand.
pub fn emend(text: &str, parsed: &Parsed, suggestion: &Suggestion) -> Option<Vec<Edit>> {
    let writer = Writer::new(text, parsed, suggestion)?;
    if writer.items[writer.at].standing != Standing::Printed {
        return None;
    }
    let edits = match suggestion.repair {
        Repair::Value { value, dotted } => {
            let word = writer.word(writer.at)?;
            vec![writer.side_by_side(writer.at, value, &word.dotted(dotted).text())?]
        }
        Repair::Pair { first, second } => writer.emend_pair(first, second)?,
        Repair::InsertNote { value, dotted, tone } => {
            let dot = if dotted { "." } else { "" };
            let word = writer.place(tone).map_or(format!("{tone}{dot}"), |p| format!("{p}{dot}"));
            writer.emend_insert(value, &word)
        }
        Repair::InsertRest { value } => writer.emend_insert(value, "_"),
        Repair::Delete => {
            let (first, last) = writer.around_rest(writer.at);
            let printed = writer.own_text(writer.at);
            vec![Edit::new(writer.span(writer.at), format!("{first}< {printed} | >{last}"))]
        }
        Repair::Tone(tone) => vec![writer.emend_tone(writer.at, tone)?],
        Repair::Transpose { steps, events } => writer
            .sounding(events)
            .into_iter()
            .map(|item| writer.emend_tone(item, writer.tone(item)?.up(steps)))
            .collect::<Option<Vec<Edit>>>()?,
        Repair::Sign(sign) => {
            let event = writer.event(writer.at)?;
            let word = writer.word(writer.at)?.signed(sign);
            vec![writer.side_by_side(writer.at, event.value, &word.text())?]
        }
        Repair::InsertLine { .. } => return None,
    };
    writer.reads_as(&edits, &writer.expected(suggestion.repair)?).then_some(edits)
}

/// What of an event must be as expected once it is typed.
type Read = (Value, Option<Dot>, Sound);

fn read(event: &Event) -> Read {
    (event.value, event.dot, event.sound.clone())
}

/// What must be read once a suggestion is typed, and the item of the event that was there before.
type Expected = (Read, Option<usize>);

/// What stands at an event and is left as it is by every repair.
fn marks(event: &Event) -> (Option<Time>, NoteSigns, bool) {
    (event.length, event.signs, event.colored)
}

/// The place of a suggestion in the text.
struct Writer<'w> {
    text: &'w str,
    piece: &'w Piece,
    tokens: &'w [Token],
    voice: usize,
    items: &'w [notation::Item],
    /// The changes of clef among them.
    clefs: Vec<(usize, Clef)>,
    /// The item of the suggestion.
    at: usize,
}

impl<'w> Writer<'w> {
    fn new(text: &'w str, parsed: &'w Parsed, suggestion: &Suggestion) -> Option<Writer<'w>> {
        let piece = &parsed.piece;
        let items = &piece.voices.get(suggestion.voice)?.items;
        let at = suggestion.item;
        let clefs = items.iter().enumerate().filter_map(|(place, item)| match item.kind {
            ItemKind::Clef(clef) => Some((place, clef)),
            _ => None,
        });
        matches!(items.get(at)?.kind, ItemKind::Event(_)).then_some(Writer {
            text,
            piece,
            tokens: &parsed.tokens,
            voice: suggestion.voice,
            items,
            clefs: clefs.collect(),
            at,
        })
    }

    fn event(&self, item: usize) -> Option<&'w Event> {
        match &self.items.get(item)?.kind {
            ItemKind::Event(event) => Some(event),
            _ => None,
        }
    }

    fn span(&self, item: usize) -> Span {
        self.items[item].span
    }

    /// The item of the next event that is read.
    fn next(&self, item: usize) -> Option<usize> {
        (item + 1..self.items.len())
            .find(|next| self.event(*next).is_some() && self.items[*next].standing.is_read())
    }

    /// How many rests of its token stand before an event, and how many after it.
    fn in_token(&self, item: usize) -> (usize, usize) {
        let same = |other: &&notation::Item| other.span == self.items[item].span;
        let before = self.items[..item].iter().rev().take_while(same).count();
        let after = self.items[item + 1..].iter().take_while(same).count();
        (before, after)
    }

    /// What is typed before and after an event for the other rests of its token.
    fn around_rest(&self, item: usize) -> (String, String) {
        let (before, after) = self.in_token(item);
        let first = word::rests(before).map_or(String::new(), |rests| format!("{rests} "));
        let last = word::rests(after).map_or(String::new(), |rests| format!(" {rests}"));
        (first, last)
    }

    /// The token of an event, without the other rests of `_*4`.
    fn own_text(&self, item: usize) -> &'w str {
        let token = self.span(item).of(self.text);
        if self.in_token(item) == (0, 0) && !token.starts_with("_*") { token } else { "_" }
    }

    fn word(&self, item: usize) -> Option<Word<'w>> {
        Word::new(self.own_text(item))
    }

    /// The word of an event with its octave, so that it is understood whatever is before it.
    fn sure(&self, item: usize) -> Option<Word<'w>> {
        let word = self.word(item)?;
        Some(match self.tone(item).filter(|_| !word.is_place()) {
            Some(tone) => word.at_tone(tone, true),
            None => word,
        })
    }

    /// The value in force where an event is typed.
    fn in_force(&self, item: usize) -> Option<Value> {
        let event = self.event(item)?;
        if event.completing { event.value.larger() } else { Some(event.value) }
    }

    /// The place of an event's token among all tokens.
    fn token(&self, item: usize) -> usize {
        let start = self.span(item).start;
        self.tokens.partition_point(|token| token.span.start < start)
    }

    fn value_of(&self, token: &Token) -> Option<Value> {
        (token.kind == TokenKind::Word)
            .then(|| Value::from_letters(token.span.of(self.text)))
            .flatten()
    }

    /// The value token right before an event.
    fn value_before(&self, item: usize) -> Option<Span> {
        let before = self.tokens.get(self.token(item).checked_sub(1)?)?;
        self.value_of(before).map(|_| before.span)
    }

    /// Whether a value is typed after an event before the next one.
    fn value_after(&self, item: usize) -> bool {
        let next = self.next_in_text(item).map_or(u32::MAX, |next| self.span(next).start);
        let after = &self.tokens[self.token(item) + 1..];
        // A group may end before that value comes, but then it takes its own values with it.
        after
            .iter()
            .take_while(|token| token.span.start < next && token.span.of(self.text) != "more")
            .any(|token| self.value_of(token).is_some())
    }

    /// The next event of another token, read or not.
    fn next_in_text(&self, item: usize) -> Option<usize> {
        (item + 1..self.items.len())
            .find(|next| self.event(*next).is_some() && self.span(*next) != self.span(item))
    }

    fn retype_word(&self, change: impl Fn(Word<'w>) -> Option<Word<'w>>) -> Option<Edit> {
        let word = change(self.word(self.at)?)?;
        let point = if self.event(self.at)?.completing { "." } else { "" };
        Some(Edit::new(self.span(self.at), format!("{point}{}", word.text())))
    }

    fn retype_value(&self, value: Value, dotted: bool) -> Option<Vec<Edit>> {
        let word = self.word(self.at)?.dotted(dotted).text();
        let mut edits = self.valued(self.at, value, &word)?;
        if !dotted {
            edits.extend(self.explicit_after(self.at, false));
        }
        Some(merged(edits))
    }

    /// The edits by which an event has a value, and all that follow keep theirs.
    fn valued(&self, item: usize, value: Value, word: &str) -> Option<Vec<Edit>> {
        let in_force = self.in_force(item)?;
        let (first, last) = self.around_rest(item);
        let after = if value == in_force || (last.is_empty() && self.value_after(item)) {
            String::new()
        } else {
            format!(" {in_force}")
        };
        let before = if value == in_force { String::new() } else { format!("{value} ") };
        Some(match self.value_before(item).filter(|_| first.is_empty()) {
            Some(span) if value != in_force => vec![
                Edit::new(span, value.to_string()),
                Edit::new(self.span(item), format!("{word}{after}{last}")),
            ],
            _ => {
                vec![Edit::new(self.span(item), format!("{first}{before}{word}{after}{last}"))]
            }
        })
    }

    /// Where the next event completes a dotted note that is no longer there: its value is said; and
    /// its octave, if `sure`.
    fn explicit_after(&self, item: usize, sure: bool) -> Vec<Edit> {
        let explicit = || {
            let next = self.next(item)?;
            let event = self.event(next).filter(|event| event.completing)?;
            let word = if sure { self.sure(next)? } else { self.word(next)? };
            self.valued(next, event.value, &word.text())
        };
        explicit().unwrap_or_default()
    }

    fn retype_pair(&self, first: Value, second: Value) -> Option<Vec<Edit>> {
        let next = self.next(self.at)?;
        let (event, following) = (self.event(self.at)?, self.event(next)?);
        if following.completing && !event.completing && first.smaller() == Some(second) {
            // The second follows the first by itself; what comes after both does not.
            let in_force = self.in_force(self.at)?;
            let mut edits = match self.value_before(self.at) {
                Some(span) => vec![Edit::new(span, first.to_string())],
                None => vec![insertion(self.span(self.at).start, format!("{first} "))],
            };
            if !self.value_after(next) {
                edits.push(insertion(self.span(next).end, format!(" {in_force}")));
            }
            return Some(edits);
        }
        let mut edits = self.valued(self.at, first, &self.word(self.at)?.text())?;
        edits.extend(self.valued(next, second, &self.word(next)?.text())?);
        Some(edits)
    }

    /// The token before which something is typed that stands before an event: before its value
    /// and the groups that open with it; and whether its value is among them.
    fn before(&self, item: usize) -> (u32, bool) {
        let mut place = self.token(item);
        let mut valued = false;
        while let Some(token) = place.checked_sub(1).map(|before| &self.tokens[before]) {
            let value = self.value_of(token).is_some();
            let opens =
                token.kind == TokenKind::Mark && matches!(token.span.of(self.text), "(" | "{");
            if !value && !opens {
                break;
            }
            valued |= value;
            place -= 1;
        }
        (self.tokens[place].span.start, valued)
    }

    fn insert(&self, value: Value, word: &str, tone: Option<Tone>) -> Vec<Edit> {
        let at = self.at;
        let in_force = self.in_force(at).unwrap_or(value);
        let (first, _) = self.around_rest(at);
        let completing = self.event(at).is_some_and(|event| event.completing);
        let mut edits = if first.is_empty() {
            let (place, valued) = self.before(at);
            let before =
                if valued || value != in_force { format!("{value} ") } else { String::new() };
            let after =
                if valued || value == in_force { String::new() } else { format!("{in_force} ") };
            let mut edits = vec![insertion(place, format!("{before}{word} {after}"))];
            if completing && let Some(own) = self.sure(at) {
                let value = self.event(at).map_or(value, |event| event.value);
                edits.extend(self.valued(at, value, &own.text()).unwrap_or_default());
            }
            edits
        } else {
            let (before, after) = self.in_token(at);
            let [before, after] = [before, after + 1].map(|n| word::rests(n).unwrap_or_default());
            let (value, back) = if value == in_force {
                (String::new(), String::new())
            } else {
                (format!("{value} "), format!("{in_force} "))
            };
            let text = format!("{before} {value}{word} {back}{after}");
            vec![Edit::new(self.span(at), text)]
        };
        if let Some(tone) = tone {
            edits.extend(self.anchor(at, Some(tone)));
        }
        merged(edits)
    }

    fn delete(&self) -> Vec<Edit> {
        let span = self.span(self.at);
        let (before, after) = self.in_token(self.at);
        if let Some(rests) = word::rests(before + after) {
            return vec![Edit::new(span, rests)];
        }
        // One blank goes with it.
        let start = span.start as usize;
        let blank = self.text[..start].ends_with(' ');
        let mut edits =
            vec![Edit::new(Span::new(start - usize::from(blank), span.end as usize), "")];
        edits.extend(self.explicit_after(self.at, true));
        if let Some(next) = self.next_pitched(self.at + 1) {
            edits.extend(self.anchor(next, self.previous(self.at)));
        }
        merged(edits)
    }

    /// The items of so many events that sound, from the suggestion's on; rests are counted too.
    fn sounding(&self, events: u32) -> Vec<usize> {
        let mut items = Vec::new();
        let mut next = Some(self.at);
        for _ in 0..events {
            let Some(item) = next else { break };
            items.push(item);
            next = self.next(item);
        }
        items.retain(|item| self.tone(*item).is_some());
        items
    }

    fn tone(&self, item: usize) -> Option<Tone> {
        self.event(item)?.notes().first().map(|note| note.tone)
    }

    fn retype_tones(&self, events: u32, to: impl Fn(Tone) -> Tone) -> Option<Vec<Edit>> {
        let items = self.sounding(events);
        let mut edits = Vec::new();
        let mut last = None;
        for item in &items {
            let tone = to(self.tone(*item)?);
            let word = self.word(*item)?;
            let new = match self.place(tone) {
                Some(place) => word.at_place(place),
                None => {
                    let previous = last.or_else(|| self.previous(*item));
                    let bare = !word.has_octave() && self.bare(*item, tone, previous);
                    word.at_tone(tone, !bare)
                }
            };
            let point = if self.event(*item)?.completing { "." } else { "" };
            edits.push(Edit::new(self.span(*item), format!("{point}{}", new.text())));
            last = Some(tone);
        }
        if let (Some(item), Some(tone)) = (items.last(), last)
            && let Some(next) = self.next_pitched(item + 1)
        {
            edits.extend(self.anchor(next, Some(tone)));
        }
        Some(edits)
    }

    /// A note that is not there yet.
    fn new_note(&self, tone: Tone, dotted: bool) -> String {
        let dot = if dotted { "." } else { "" };
        match self.place(tone) {
            Some(place) => format!("{place}{dot}"),
            None if self.bare(self.at, tone, self.previous(self.at)) => {
                format!("{}{dot}", tone.step)
            }
            None => format!("{tone}{dot}"),
        }
    }

    /// The place of a tone on the staff, in a voice that is typed in positions.
    fn place(&self, tone: Tone) -> Option<i32> {
        self.piece.voices[self.voice].positions.then_some(())?;
        self.clef(self.at).map(|clef| clef.place_of(tone))
    }

    /// The clef in force at an item.
    fn clef(&self, item: usize) -> Option<Clef> {
        let changed = self.clefs.partition_point(|(place, _)| *place < item).checked_sub(1);
        let changed = changed.map(|change| self.clefs[change].1);
        changed.or(self.piece.voices[self.voice].clef)
    }

    /// The note before an item, by which a bare letter is understood.
    fn previous(&self, item: usize) -> Option<Tone> {
        let kept = |standing| !matches!(standing, Standing::Emended | Standing::Alternative);
        (0..item)
            .rev()
            .filter(|before| kept(self.items[*before].standing))
            .find_map(|before| self.tone(before))
    }

    /// Whether the bare letter of a tone means it.
    fn bare(&self, item: usize, tone: Tone, previous: Option<Tone>) -> bool {
        let Some(clef) = self.clef(item) else { return false };
        if self.items[item].standing == Standing::Emended {
            return false;
        }
        let near = |tone: Tone| previous.is_some_and(|p| tone.steps_above(p).abs() <= 2);
        match clef.on_staff(tone.step) {
            (only, None) => only == tone,
            (low, Some(_)) if near(low) => low == tone,
            (_, Some(high)) => near(high) && high == tone,
        }
    }

    /// The next item whose letter is understood by the note before it.
    fn next_pitched(&self, from: usize) -> Option<usize> {
        (from..self.items.len()).find(|item| {
            matches!(self.items[*item].kind, ItemKind::Direct(_)) || self.tone(*item).is_some()
        })
    }

    /// Where a bare letter would be understood otherwise after another note: its octave is typed.
    /// A direct lets the note after it depend on that other note too.
    fn anchor(&self, item: usize, previous: Option<Tone>) -> Vec<Edit> {
        let mut edits = Vec::new();
        let mut next = self.next_pitched(item);
        while let Some(item) = next {
            let span = self.span(item);
            let direct = match self.items[item].kind {
                ItemKind::Direct(tone) => Some(tone),
                _ => None,
            };
            let Some(tone) = direct.or_else(|| self.tone(item)) else { break };
            let typed = span.of(self.text);
            let body = typed.strip_prefix(['~', '.']).unwrap_or(typed);
            if let Some(word) = Word::new(body)
                && !word.has_octave()
                && !word.is_place()
                && !self.bare(item, tone, previous)
            {
                let mark = &typed[..typed.len() - body.len()];
                edits.push(Edit::new(span, format!("{mark}{}", word.at_tone(tone, true).text())));
            }
            next = direct.and_then(|_| self.next_pitched(item + 1));
        }
        edits
    }

    /// An event as printed and as read.
    fn side_by_side(&self, item: usize, value: Value, word: &str) -> Option<Edit> {
        let in_force = self.in_force(item)?;
        let (first, last) = self.around_rest(item);
        let printed = self.own_text(item);
        let value = if value == in_force { String::new() } else { format!("{value} ") };
        Some(Edit::new(self.span(item), format!("{first}< {printed} | {value}{word} >{last}")))
    }

    fn emend_tone(&self, item: usize, tone: Tone) -> Option<Edit> {
        let word = self.word(item)?;
        let new = match self.place(tone) {
            Some(place) => word.at_place(place),
            None => word.at_tone(tone, true),
        };
        self.side_by_side(item, self.event(item)?.value, &new.text())
    }

    fn emend_pair(&self, first: Value, second: Value) -> Option<Vec<Edit>> {
        let next = self.next(self.at)?;
        let (word, following) = (self.word(self.at)?, self.word(next)?);
        let between = Span { start: self.span(self.at).end, end: self.span(next).start };
        let between = between.of(self.text).trim();
        if between.is_empty() || Value::from_letters(between).is_some() {
            let span = self.span(self.at).to(self.span(next));
            let second =
                if first.smaller() == Some(second) { ".".to_owned() } else { format!("{second} ") };
            let text = format!(
                "< {} | {first} {} {second}{} >",
                span.of(self.text),
                word.text(),
                following.text()
            );
            return Some(vec![Edit::new(span, text)]);
        }
        Some(vec![
            self.side_by_side(self.at, first, &word.text())?,
            self.side_by_side(next, second, &following.text())?,
        ])
    }

    fn emend_insert(&self, value: Value, word: &str) -> Vec<Edit> {
        let (first, _) = self.around_rest(self.at);
        if first.is_empty() {
            let (place, _) = self.before(self.at);
            return vec![insertion(place, format!("< | {value} {word} > "))];
        }
        let (before, after) = self.in_token(self.at);
        let [before, after] = [before, after + 1].map(|n| word::rests(n).unwrap_or_default());
        let text = format!("{before} < | {value} {word} > {after}");
        vec![Edit::new(self.span(self.at), text)]
    }

    /// Whether the text reads as expected after the edits, without new errors, and is counted so.
    fn reads_as(&self, edits: &[Edit], expected: &[Expected]) -> bool {
        // Of several examples of the text, only this one.
        let name = self.piece.head.example.as_ref();
        let again = |text: &str| {
            let is_this = |one: &Parsed| one.name() == name.map(|name| name.text.as_str());
            examples(text).examples.into_iter().find(is_this).unwrap_or_default()
        };
        let after = again(&apply(self.text, edits));
        if after.has_errors() && !again(self.text).has_errors() {
            return false;
        }
        // As the dots are meant: a note still completes the one before it if that still has a dot.
        let mut meant = after.piece.clone();
        let Some(voice) = meant.voices.get_mut(self.voice) else { return false };
        let items = voice.items.iter_mut().filter(|item| item.standing.is_read());
        let mut events = items.filter_map(|item| match &mut item.kind {
            ItemKind::Event(event) => Some(event),
            _ => None,
        });
        let mut dotted = false;
        for (read_so, of) in expected {
            let Some(event) = events.next() else { return false };
            let before = of.and_then(|item| self.event(item));
            if read(event) != *read_so || before.is_some_and(|old| marks(old) != marks(event)) {
                return false;
            }
            if let Some(before) = before.filter(|before| before.value == event.value) {
                event.completing = before.completing && dotted;
            }
            dotted = event.dot.is_some();
        }
        if events.next().is_some() {
            return false;
        }
        score::first_difference(&meant, &after.piece).is_none()
    }

    /// What the voice is to read once the repair is made.
    fn expected(&self, repair: Repair) -> Option<Vec<Expected>> {
        let mut reads = Vec::new();
        let items = match repair {
            Repair::Transpose { events, .. } => self.sounding(events),
            Repair::Pair { .. } => vec![self.at, self.next(self.at)?],
            _ => vec![self.at],
        };
        for item in 0..self.items.len() {
            let Some(event) = self.event(item).filter(|_| self.items[item].standing.is_read())
            else {
                continue;
            };
            let number = items.iter().position(|changed| *changed == item);
            let Some(number) = number else {
                reads.push((read(event), Some(item)));
                continue;
            };
            let (old_value, dot, sound) = read(event);
            match repair {
                Repair::Value { value, dotted } => {
                    let dot = dotted.then_some(dot.unwrap_or(Dot::Plain));
                    reads.push(((value, dot, sound), Some(item)));
                }
                Repair::Pair { first, second } => {
                    let value = if number == 0 { first } else { second };
                    reads.push(((value, dot, sound), Some(item)));
                }
                Repair::InsertNote { value, dotted, tone } => {
                    let note = notation::Note { tone, printed: None, editorial: None };
                    let dot = dotted.then_some(Dot::Plain);
                    reads.push(((value, dot, Sound::Notes(vec![note])), None));
                    reads.push((read(event), Some(item)));
                }
                Repair::InsertRest { value } => {
                    reads.push(((value, None, Sound::Rest { spaces: None }), None));
                    reads.push((read(event), Some(item)));
                }
                Repair::Delete => {}
                Repair::Tone(tone) => {
                    reads.push(((old_value, dot, with_first(sound, |_| tone)), Some(item)));
                }
                Repair::Transpose { steps, .. } => {
                    let sound = with_first(sound, |tone| tone.up(steps));
                    reads.push(((old_value, dot, sound), Some(item)));
                }
                Repair::Sign(sign) => {
                    reads.push(((old_value, dot, with_sign(sound, sign)), Some(item)));
                }
                Repair::InsertLine { .. } => return None,
            }
        }
        Some(reads)
    }
}

fn with_first(mut sound: Sound, to: impl Fn(Tone) -> Tone) -> Sound {
    if let Sound::Notes(notes) = &mut sound
        && let Some(first) = notes.first_mut()
    {
        first.tone = to(first.tone);
    }
    sound
}

fn with_sign(mut sound: Sound, sign: Accidental) -> Sound {
    if let Sound::Notes(notes) = &mut sound
        && let Some(first) = notes.first_mut()
    {
        first.printed = Some(sign);
    }
    sound
}

fn insertion(at: u32, text: String) -> Edit {
    Edit::new(Span { start: at, end: at }, text)
}

/// Edits in order, an insertion before a token made one with what is typed in the token's place;
/// of two for the same token the first.
fn merged(mut edits: Vec<Edit>) -> Vec<Edit> {
    edits.sort_by_key(|edit| edit.span);
    let mut result: Vec<Edit> = Vec::new();
    for edit in edits {
        match result.last_mut() {
            Some(last) if last.span == edit.span => {}
            Some(last)
                if last.span.start == edit.span.start && last.span.end == last.span.start =>
            {
                last.span = edit.span;
                last.text.push_str(&edit.text);
            }
            Some(last) if last.span.start == edit.span.start => {}
            _ => result.push(edit),
        }
    }
    result
}

#[cfg(test)]
mod tests;
