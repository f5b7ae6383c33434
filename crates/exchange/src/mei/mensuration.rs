//! What the signs in a file say of perfect values, as far as that is not left to the counting.

use notation::{Group, ItemKind};
use rudiments::{Circle, Mensuration, Proportion, Sign, Value};

use super::voice::{Item, Voice, is_of_the_editor};

/// How time is counted at a place of a voice.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct TimeInForce {
    pub(super) mensuration: Mensuration,
    /// What the last circle says, whatever figures stand after it.
    of_circle: Mensuration,
    /// Whether a figure 3 leaves open which values are perfect.
    pub(super) undecided: bool,
    /// Whether there are, or may be, other lengths than those of plain counting.
    pub(super) proportioned: bool,
}

impl TimeInForce {
    pub(super) fn take_sign(&mut self, sign: Sign) {
        if let Some(circle) = sign.circle {
            self.of_circle = Mensuration::IMPERFECT
                .with(Value::Breve, circle.is_perfect())
                .with(Value::Semibreve, sign.dot);
        }
        self.mensuration = self.of_circle;
        self.undecided = sign.upper == Some(3) && matches!(sign.lower, None | Some(1 | 2));
        self.proportioned = sign.upper.is_some() || sign.circle == Some(Circle::Reversed);
    }

    pub(super) fn take_perfection(&mut self, value: Value, perfect: bool) {
        self.mensuration = self.mensuration.with(value, perfect);
    }

    fn take_ratio(&mut self, ratio: Proportion) {
        self.proportioned = !ratio.is_equal();
    }

    fn take(&mut self, item: &Item) {
        match item {
            Item::Other(ItemKind::Sign(sign)) => self.take_sign(*sign),
            Item::Other(ItemKind::Ratio(ratio)) => self.take_ratio(*ratio),
            Item::Other(ItemKind::Perfection { value, perfect }) => {
                self.take_perfection(*value, *perfect);
                self.undecided &= !matches!(value, Value::Breve | Value::Semibreve);
            }
            _ => {}
        }
    }
}

/// How time is counted at every item of a voice. After an emendation it is as on its printed side.
pub(super) fn in_force(voice: &Voice) -> Vec<TimeInForce> {
    let mut now = TimeInForce::default();
    if let Some(sign) = voice.sign {
        now.take_sign(sign);
    }
    let (mut before, mut printed) = (now, None);
    let at = |item: &Item| {
        match item {
            Item::Other(ItemKind::Open(Group::Emendation)) => before = now,
            Item::Other(ItemKind::Divide) => printed = Some(std::mem::replace(&mut now, before)),
            Item::Other(ItemKind::Close(Group::Emendation)) => now = printed.take().unwrap_or(now),
            item => now.take(item),
        }
        now
    };
    voice.items.iter().map(at).collect()
}

/// Whether notes before and after an item are not counted together: signs, readings of time, ends
/// of sections, and the editor's groups.
pub(super) fn divides(item: &Item) -> bool {
    let Item::Other(kind) = item else { return false };
    match kind {
        ItemKind::Sign(_)
        | ItemKind::Ratio(_)
        | ItemKind::Perfection { .. }
        | ItemKind::SectionEnd
        | ItemKind::Repeat
        | ItemKind::Divide => true,
        ItemKind::Open(group) | ItemKind::Close(group) => is_of_the_editor(*group),
        _ => false,
    }
}

/// The places of the notes and rests of a voice, as far as they are counted together.
pub(super) fn stretches(items: &[Item]) -> Vec<Vec<usize>> {
    let mut stretches = vec![Vec::new()];
    for (place, item) in items.iter().enumerate() {
        match (item, stretches.last_mut()) {
            (Item::Event(_), Some(stretch)) => stretch.push(place),
            (item, Some(stretch)) if divides(item) && !stretch.is_empty() => {
                stretches.push(Vec::new());
            }
            _ => {}
        }
    }
    stretches
}
