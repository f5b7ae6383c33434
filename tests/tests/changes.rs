//! A change at any event of any piece: the text then reads as the piece with that change, and nothing
//! else in it is another.

use notation::{
    Change, Digits, Dot, Event, Group, Item, ItemId, ItemKind, Manner, NewEvent, Note, Parsed,
    Sound, Spelling, Standing, apply, parse, tidy,
};
use proptest::prelude::*;
use proptest::test_runner::TestCaseError;
use rudiments::{Accidental, Clef, Step, Tone, Value};
use score::change;
use suite::pieces;

fn value() -> impl Strategy<Value = Value> {
    prop::sample::select(&Value::ALL[1..7])
}

fn tone() -> impl Strategy<Value = Tone> {
    (0..7_usize, 2..6_i8).prop_map(|(step, octave)| Tone::new(Step::ALL[step], octave))
}

fn sign() -> impl Strategy<Value = Option<Accidental>> {
    use Accidental::{Flat, Natural, Sharp};
    prop::option::of(prop::sample::select(vec![Sharp, Flat, Natural]))
}

fn new_event() -> impl Strategy<Value = NewEvent> {
    let note = (tone(), sign(), sign());
    let note = note.prop_map(|(tone, printed, editorial)| Note { tone, printed, editorial });
    (value(), any::<bool>(), prop::option::weighted(0.7, note))
        .prop_map(|(value, dotted, note)| NewEvent { value, dotted, note })
}

fn what() -> impl Strategy<Value = Change> {
    prop_oneof![
        (value(), any::<bool>()).prop_map(|(value, dotted)| Change::Value { value, dotted }),
        (value(), value()).prop_map(|(first, second)| Change::Pair { first, second }),
        (value(), 1..5_u32).prop_map(|(value, events)| Change::Values { value, events }),
        (-2..3_i32, 1..6_u32).prop_map(|(smaller, events)| Change::Degrees { smaller, events }),
        tone().prop_map(Change::Tone),
        (tone(), tone()).prop_map(|(first, second)| Change::Tones { first, second }),
        (-9..9_i32, 1..5_u32).prop_map(|(steps, events)| Change::Steps { steps, events }),
        sign().prop_map(Change::Sign),
        sign().prop_map(Change::EditorialSign),
        prop::collection::vec(new_event(), 1..3).prop_map(Change::Insert),
        Just(Change::Delete),
        (prop::sample::select(vec!["C3", "F4", "G2"]), 1..5_u32)
            .prop_map(|(clef, events)| Change::Clef { clef: Clef::parse(clef).unwrap(), events }),
    ]
}

fn manner() -> impl Strategy<Value = Manner> {
    prop::sample::select(vec![Manner::Retyped, Manner::Emended, Manner::Supplied, Manner::Variant])
}

/// What is compared of an event: all that is typed of it.
fn said(event: &Event) -> Event {
    Event { index: None, completing: false, ligature: None, ..event.clone() }
}

/// The same of one that is new: it is coloured like what is beside it.
fn plain(event: &Event) -> Event {
    Event { colored: false, ..said(event) }
}

fn events(items: &[Item], counts: impl Fn(Standing) -> bool) -> Vec<Event> {
    let counted = items.iter().filter(|item| counts(item.standing));
    counted.filter_map(Item::event).map(said).collect()
}

/// What is read with the second side of every variant.
fn with_alternatives(items: &[Item]) -> Vec<Event> {
    let mut read = Vec::new();
    let mut within = false;
    for item in items {
        match &item.kind {
            ItemKind::Open(Group::Variant) => within = true,
            ItemKind::Close(Group::Variant) => within = false,
            ItemKind::Event(event)
                if item.standing == Standing::Alternative
                    || (!within && item.standing.is_read()) =>
            {
                read.push(said(event));
            }
            _ => {}
        }
    }
    read
}

/// All that stands between the events, but for groups of the editor's.
fn between(items: &[Item]) -> Vec<ItemKind> {
    let is_group = |group: &Group| !matches!(group, Group::Ligature | Group::Coloration);
    let others = items.iter().filter(|item| match &item.kind {
        ItemKind::Event(_) | ItemKind::Divide => false,
        ItemKind::Open(group) | ItemKind::Close(group) => !is_group(group),
        _ => true,
    });
    others.map(|item| item.kind.clone()).collect()
}

/// What a voice without its clefs and directs has between its events.
fn without_clefs(kinds: Vec<ItemKind>) -> Vec<ItemKind> {
    let others = kinds.into_iter();
    others.filter(|kind| !matches!(kind, ItemKind::Clef(_) | ItemKind::Direct(_))).collect()
}

/// The places on the staff on which the notes stand that are read.
fn places(parsed: &Parsed, voice: usize) -> Vec<Vec<i32>> {
    let voice = &parsed.piece.voices[voice];
    let mut clef = voice.clef.unwrap();
    let mut places = Vec::new();
    for item in &voice.items {
        match &item.kind {
            ItemKind::Clef(new) => clef = *new,
            ItemKind::Event(event) if item.standing.is_read() => {
                places.push(event.notes().iter().map(|note| clef.place_of(note.tone)).collect());
            }
            _ => {}
        }
    }
    places
}

fn first_note(event: &mut Event, change: impl FnOnce(&mut Note)) {
    if let Sound::Notes(notes) = &mut event.sound {
        change(&mut notes[0]);
    }
}

/// What is to be read with a change at the event of that place among those that are read.
fn expected(mut read: Vec<Event>, at: usize, change: &Change) -> Vec<Event> {
    let end = |events: u32| read.len().min(at + events as usize);
    match change {
        Change::Value { value, dotted } => {
            let event = &mut read[at];
            event.value = *value;
            event.dot = if *dotted { event.dot.or(Some(Dot::Plain)) } else { None };
        }
        Change::Pair { first, second } => {
            read[at].value = *first;
            read[at + 1].value = *second;
        }
        Change::Values { value, events } => {
            let end = end(*events);
            read[at..end].iter_mut().for_each(|event| event.value = *value);
        }
        Change::Degrees { smaller, events } => {
            let end = end(*events);
            for event in &mut read[at..end] {
                event.value = event.value.degrees_smaller(*smaller).unwrap_or(event.value);
            }
        }
        Change::Tone(tone) => first_note(&mut read[at], |note| note.tone = *tone),
        Change::Tones { first, second } => {
            first_note(&mut read[at], |note| note.tone = *first);
            first_note(&mut read[at + 1], |note| note.tone = *second);
        }
        Change::Steps { steps, events } => {
            let end = end(*events);
            for event in &mut read[at..end] {
                first_note(event, |note| note.tone = note.tone.up(*steps));
            }
        }
        Change::Sign(sign) => first_note(&mut read[at], |note| note.printed = *sign),
        Change::EditorialSign(sign) => first_note(&mut read[at], |note| note.editorial = *sign),
        Change::Insert(new) => {
            let sound = |note: Option<Note>| match note {
                Some(note) => Sound::Notes(vec![note]),
                None => Sound::Rest { spaces: None },
            };
            let new = new.iter().map(|new| Event {
                dot: new.dotted.then_some(Dot::Plain),
                ..Event::new(new.value, sound(new.note))
            });
            read.splice(at..at, new);
        }
        Change::Delete => {
            read.remove(at);
        }
        Change::Clef { .. } => {}
    }
    read
}

fn errors(parsed: &Parsed) -> Vec<&'static str> {
    let errors = parsed.diagnostics.iter().filter(|found| found.is_error());
    let mut codes: Vec<&str> = errors.map(|found| found.code.number()).collect();
    codes.sort_unstable();
    codes
}

/// How many events that are read a change may touch.
fn reach(change: &Change) -> usize {
    match change {
        Change::Pair { .. } | Change::Tones { .. } => 2,
        Change::Values { events, .. }
        | Change::Degrees { events, .. }
        | Change::Steps { events, .. }
        | Change::Clef { events, .. } => *events as usize,
        _ => 1,
    }
}

/// Whether there is a reason why a change cannot be made.
fn may_be_refused(parsed: &Parsed, at: ItemId, change: &Change, manner: Manner) -> bool {
    let items = &parsed.piece.voices[at.voice].items;
    let is_read = |item: &usize| items[*item].standing.is_read() && items[*item].event().is_some();
    let touched: Vec<usize> = (at.item..items.len()).filter(is_read).take(reach(change)).collect();
    let last = touched[touched.len() - 1];
    let within = &items[at.item..=last];
    let around = &items[at.item.saturating_sub(1)..items.len().min(last + 2)];
    let has = |kind: ItemKind| around.iter().any(|item| item.kind == kind);
    let long_rest = |item: &Item| {
        item.event().is_some_and(|event| matches!(event.sound, Sound::Rest { spaces: Some(_) }))
    };
    // With another value or note a ligature may be none.
    let is_bound = |item: &Item| item.event().is_some_and(|event| event.ligature.is_some());
    let bound = within.iter().any(is_bound);
    let read = events(items, Standing::is_read);
    let number = events(&items[..at.item], Standing::is_read).len();
    match change {
        Change::Pair { .. } | Change::Tones { .. } if touched.len() < 2 => return true,
        Change::Clef { .. } => {
            // It may not reach into a group with two sides, or out of one.
            let sided = |group| matches!(group, Group::Emendation | Group::Variant);
            let parts = |item: &Item| match item.kind {
                ItemKind::Clef(_) | ItemKind::Divide => true,
                ItemKind::Open(group) | ItemKind::Close(group) => sided(group),
                _ => false,
            };
            let oblique = has(ItemKind::Oblique);
            return manner != Manner::Retyped || within.iter().any(parts) || oblique || bound;
        }
        Change::Insert(_) => {}
        _ if manner == Manner::Supplied => return true,
        _ => {}
    }
    let is_printed = |item: &Item| item.event().is_none() || item.standing == Standing::Printed;
    // A dot that divides, or a note that completes another, would do something else.
    parsed.piece.may_have_perfect_values()
        || expected(read.clone(), number, change) == read
        || has(ItemKind::Oblique)
        || within.iter().any(long_rest)
        || bound
        || (manner != Manner::Retyped && !within.iter().all(is_printed))
}

/// Whether the change is made as it should be, or refused with a reason.
fn holds(text: &str, at: usize, what: &Change, manner: Manner) -> Result<(), TestCaseError> {
    let parsed = parse(text);
    let places_of: Vec<ItemId> = parsed
        .piece
        .voices
        .iter()
        .enumerate()
        .flat_map(|(voice, of)| {
            let read = of.items.iter().enumerate();
            let read = read.filter(|(_, item)| item.standing.is_read() && item.event().is_some());
            read.map(move |(item, _)| ItemId { voice, item })
        })
        .collect();
    prop_assume!(!places_of.is_empty() && !parsed.has_errors());
    let id = places_of[at % places_of.len()];
    let items = &parsed.piece.voices[id.voice].items;
    if manner == Manner::Variant {
        prop_assume!(items.iter().all(|item| item.kind != ItemKind::Open(Group::Variant)));
    }
    let Some(edits) = change(text, &parsed, id, what, manner) else {
        let place = items[id.item].span.start;
        let refused = may_be_refused(&parsed, id, what, manner);
        prop_assert!(refused, "refused {what:?} {manner:?} at {place}:\n{text}");
        return Ok(());
    };
    let changed = apply(text, &edits);
    let after = parse(&changed);
    let shown = format!("{what:?} {manner:?} at {}:\n{text}\n{changed}", items[id.item].span.start);
    prop_assert_eq!(errors(&after), errors(&parsed), "{}", shown);

    prop_assert_eq!(&after.piece.head, &parsed.piece.head, "{}", shown);
    prop_assert_eq!(after.piece.voices.len(), parsed.piece.voices.len(), "{}", shown);
    for (place, (one, other)) in after.piece.voices.iter().zip(&parsed.piece.voices).enumerate() {
        if place != id.voice {
            let bare = |item: &Item| (item.standing, item.kind.clone());
            let (one, other) = (one.items.iter().map(bare), other.items.iter().map(bare));
            prop_assert!(one.eq(other), "{}", shown);
        }
    }

    let new = &after.piece.voices[id.voice].items;
    let number = events(&items[..id.item], Standing::is_read).len();
    let read = events(items, Standing::is_read);
    let printed = events(items, Standing::is_printed);
    let is_clef = matches!(what, Change::Clef { .. });
    let colored = |events: Vec<Event>| -> Vec<Event> {
        // An event that is inserted is coloured like what is beside it.
        let is_new = matches!(what, Change::Insert(_));
        events.iter().map(|event| if is_new { plain(event) } else { event.clone() }).collect()
    };
    if is_clef {
        // The tones may be others, but not the places on the staff.
        prop_assert_eq!(places(&after, id.voice), places(&parsed, id.voice), "{}", shown);
        prop_assert_eq!(without_clefs(between(new)), without_clefs(between(items)), "{}", shown);
        let values = |events: Vec<Event>| -> Vec<_> {
            events.into_iter().map(|event| (event.value, event.dot)).collect()
        };
        prop_assert_eq!(values(events(new, Standing::is_read)), values(read), "{}", shown);
        return Ok(());
    }
    prop_assert_eq!(between(new), between(items), "{}", shown);
    let wanted = colored(expected(read.clone(), number, what));
    if manner == Manner::Variant {
        prop_assert_eq!(colored(with_alternatives(new)), wanted, "{}", shown);
        prop_assert_eq!(events(new, Standing::is_read), read, "{}", shown);
    } else {
        prop_assert_eq!(colored(events(new, Standing::is_read)), wanted, "{}", shown);
    }
    // What is printed stays, but for what a typist mistyped, or an editor who has written it himself.
    let others = |standing| standing == Standing::Replaced || standing == Standing::Printed;
    match manner {
        Manner::Variant | Manner::Supplied => {
            prop_assert_eq!(events(new, Standing::is_printed), printed, "{}", shown);
        }
        Manner::Emended => {
            prop_assert_eq!(events(new, others), events(items, others), "{}", shown);
        }
        Manner::Retyped => {
            let replaced = |standing| standing == Standing::Replaced;
            prop_assert_eq!(events(new, replaced), events(items, replaced), "{}", shown);
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 3000, max_global_rejects: 60_000, ..ProptestConfig::default()
    })]

    #[test]
    fn a_change_is_made_as_it_is_meant(
        text in pieces::piece(),
        needed in any::<bool>(),
        at in 0..1000_usize,
        what in what(),
        manner in manner(),
    ) {
        // Octaves are left out where they need not be said, so that letters depend on one another.
        let spelling = Spelling { digits: Digits::Needed, ..Spelling::default() };
        let text = if needed { tidy(&text, spelling).unwrap_or(text) } else { text };
        holds(&text, at, &what, manner)?;
    }
}
