//! The numbers of notes and rests that the head names: where printed ones come or go, they go with
//! their notes.

use super::plan::Planned;
use crate::{Edit, Head, Parsed, Standing};

/// The head with the numbers that its subjects, marks and hands have once a voice is as planned, and the edits
/// by which they are typed. Nothing where all that one of them names is taken out, or where it holds for
/// other examples too.
pub(super) fn renumbered(
    text: &str,
    parsed: &Parsed,
    voice: usize,
    planned: &[Planned],
) -> Option<(Head, Vec<Edit>)> {
    let piece = &parsed.piece;
    // A canon has the notes and rests of the voice that it follows.
    let counted =
        |of: usize| of == voice || piece.voices[of].canon.is_some_and(|canon| canon.dux == voice);
    let numbers = Numbers::of(parsed, voice, planned);
    let mut head = piece.head.clone();
    let mut edits = Vec::new();
    let mut renumber = |start: u32, after: usize, first: &mut u32, last: &mut u32| {
        let new = numbers.range(*first, *last)?;
        if new != (*first, *last) {
            let token =
                parsed.tokens.binary_search_by_key(&start, |token| token.span.start).ok()?;
            let range = parsed.tokens.get(token + after)?.span;
            let one = !range.of(text).contains('-') && new.0 == new.1;
            let typed = if one { new.0.to_string() } else { format!("{}-{}", new.0, new.1) };
            edits.push(Edit::new(range, typed));
            (*first, *last) = new;
        }
        Some(())
    };
    // The range is typed after the name of the voice.
    for subject in head.subjects.iter_mut().filter(|subject| counted(subject.voice)) {
        renumber(subject.span.start, 1, &mut subject.first, &mut subject.last)?;
    }
    for mark in head.marks.iter_mut().filter(|mark| counted(mark.voice)) {
        renumber(mark.span.start, 2, &mut mark.first, &mut mark.last)?;
    }
    for hand in head.hands.iter_mut().filter(|hand| counted(hand.voice)) {
        renumber(hand.span.start, 3, &mut hand.first, &mut hand.last)?;
    }
    Some((head, edits))
}

/// The new numbers of the printed notes and rests of a voice.
struct Numbers {
    /// By their old numbers, from 0 on; nothing for what is taken out.
    new: Vec<Option<u32>>,
}

impl Numbers {
    fn of(parsed: &Parsed, voice: usize, planned: &[Planned]) -> Numbers {
        let items = &parsed.piece.voices[voice].items;
        let printed = |standing: Standing| standing.is_printed();
        let old = items.iter().filter(|item| item.event().is_some() && printed(item.standing));
        let mut new = vec![None; old.count()];
        let mut number = 0;
        for planned in planned.iter().filter(|planned| printed(planned.standing)) {
            if !matches!(planned.kind, crate::ItemKind::Event(_)) {
                continue;
            }
            number += 1;
            let old = planned.from.item().and_then(|item| items[item].event()?.index);
            if let Some(place) = old.and_then(|old| new.get_mut(old as usize - 1)) {
                *place = Some(number);
            }
        }
        Numbers { new }
    }

    /// What was named from one number to another.
    fn range(&self, first: u32, last: u32) -> Option<(u32, u32)> {
        let named = self.new.get(first as usize - 1..last as usize)?;
        let mut left = named.iter().flatten();
        let first = *left.next()?;
        Some((first, left.next_back().copied().unwrap_or(first)))
    }
}
