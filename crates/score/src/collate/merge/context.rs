//! In which groups the items of a voice stand.

use notation::{Event, Group, ItemKind, Voice};

use super::barriers::Barriers;
use crate::collate::Pair;
use crate::collate::alignment::Column;
use crate::collate::element::{Joint, What};

/// The groups around the items of a voice.
pub(super) struct Context<'v> {
    voice: &'v Voice,
    barriers: &'v Barriers,
    /// Beside the items.
    pub(super) around: Vec<Around>,
    /// Beside the items: of a group's ends, the other end.
    other_end: Vec<Option<usize>>,
    /// Beside the items: how a printed event is bound to the one before and the one after.
    pub(super) joints: Vec<(Joint, Joint)>,
    /// Beside the columns: how the last event of the right side before each is bound to what follows it.
    pub(super) right_joints: Vec<Joint>,
}

/// The groups around an item; of the mark that opens a group, those without it.
#[derive(Clone, Copy, Default, Debug)]
pub(super) struct Around {
    /// Where the ligature was opened.
    pub(super) ligature: Option<usize>,
    /// Where the coloration was opened.
    pub(super) coloration: Option<usize>,
    /// Whether it is in a variant.
    pub(super) variant: bool,
    /// How many groups there are.
    pub(super) depth: usize,
}

impl<'v> Context<'v> {
    pub(super) fn of(voice: &'v Voice, pair: &Pair<'_>, barriers: &'v Barriers) -> Context<'v> {
        let mut context = Context {
            voice,
            barriers,
            around: Vec::with_capacity(voice.items.len()),
            other_end: vec![None; voice.items.len()],
            joints: vec![(Joint::None, Joint::None); voice.items.len()],
            right_joints: right_joints(pair),
        };
        let mut open: Vec<(Group, usize)> = Vec::new();
        for (place, item) in voice.items.iter().enumerate() {
            if let ItemKind::Close(group) = item.kind
                && let Some(found) = open.iter().rposition(|(one, _)| *one == group)
            {
                let (_, begun) = open.remove(found);
                context.other_end[place] = Some(begun);
                context.other_end[begun] = Some(place);
            }
            let opened = |group| open.iter().find(|(one, _)| *one == group).map(|(_, at)| *at);
            context.around.push(Around {
                ligature: opened(Group::Ligature),
                coloration: opened(Group::Coloration),
                variant: opened(Group::Variant).is_some(),
                depth: open.len(),
            });
            if let ItemKind::Open(group) = item.kind {
                open.push((group, place));
            }
        }
        for element in &pair.left {
            if let What::Event { before, after, .. } = element.what {
                context.joints[element.item] = (before, after);
            }
        }
        context
    }

    /// Whether something stands from one item to another that no variant may hold.
    pub(super) fn barred(&self, first: usize, last: usize) -> bool {
        let span = |item: usize| self.voice.items[item].span;
        self.barriers.touch(span(first).to(span(last)))
    }

    /// Whether an event can be typed in this voice: its octave is one digit, or its place one of the staff.
    pub(super) fn is_typable(&self, event: &Event) -> bool {
        let typable = |octave: i8| self.voice.positions || (0..=9).contains(&octave);
        event.is_rest()
            || (!event.notes().is_empty()
                && event.notes().iter().all(|note| typable(note.tone.octave)))
    }

    /// Whether an oblique body binds an item to one outside the stretch.
    pub(super) fn touches_oblique(&self, first: usize, last: usize) -> bool {
        let oblique =
            |item: Option<&notation::Item>| item.is_some_and(|item| item.kind == ItemKind::Oblique);
        oblique(first.checked_sub(1).and_then(|before| self.voice.items.get(before)))
            || oblique(self.voice.items.get(last + 1))
    }

    /// The stretch of items widened until every group in it is whole, and no ligature or coloration is
    /// around it. Nothing where something is in it that no variant may hold.
    pub(super) fn closed(&self, first: usize, last: usize) -> Option<(usize, usize)> {
        let (mut first, mut last) = (first, last);
        let (mut looked_from, mut looked_to) = (first, first);
        loop {
            let around = self.around[first];
            let wider = [around.ligature, around.coloration].into_iter().flatten().min();
            first = wider.map_or(first, |open| open.min(first));
            // Every item is looked at once.
            let new: Vec<usize> = (first..looked_from).chain(looked_to..=last).collect();
            (looked_from, looked_to) = (first, last + 1);
            for item in new {
                // No variant holds these: they would be lost, or misread, on its other side.
                if matches!(
                    self.voice.items[item].kind,
                    ItemKind::More | ItemKind::BarLine | ItemKind::Open(Group::Variant)
                ) {
                    return None;
                }
                if let Some(end) = self.other_end[item] {
                    (first, last) = (first.min(end), last.max(end));
                }
            }
            let around = self.around[first];
            let open = around.ligature.or(around.coloration).is_some();
            if !open && looked_from == first && looked_to == last + 1 {
                return Some((first, last));
            }
        }
    }

    /// How deep the groups stand from one item to another, the variant around them not counted.
    pub(super) fn depth_within(&self, first: usize, last: usize) -> usize {
        let opens = |item: &usize| matches!(self.voice.items[*item].kind, ItemKind::Open(_));
        let within = (first..=last).map(|item| self.around[item].depth + usize::from(opens(&item)));
        // The right side may open a ligature and a coloration.
        within.max().unwrap_or(0).max(self.around[first].depth + 2)
    }

    pub(super) fn voice(&self) -> &'v Voice {
        self.voice
    }
}

fn right_joints(pair: &Pair<'_>) -> Vec<Joint> {
    let mut last = Joint::None;
    let mut joints = Vec::with_capacity(pair.columns.len());
    for column in &pair.columns {
        joints.push(last);
        if let Column::Both(_, there) | Column::Right(there) = column
            && let What::Event { after, .. } = pair.right[*there].what
        {
            last = after;
        }
    }
    joints
}
