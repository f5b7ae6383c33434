use score::{PlannedBar, PlannedCadence, PlannedEntry, PlannedSubject, PlannedVoice};

use super::*;
use crate::audit;
use crate::frame::{Ink, Role};

/// A plan of so many breve bars for two voices.
fn of_bars(count: i64) -> Plan {
    let bars =
        (0..count).map(|bar| PlannedBar { number: bar as u32 + 1, start: Time::minims(bar * 4) });
    let length = Time::minims(count * 4);
    let voice =
        |name: &str| PlannedVoice { name: name.to_owned(), sounds: vec![(Time::ZERO, length)] };
    Plan {
        bars: bars.collect(),
        length,
        voices: vec![voice("Cantus"), voice("Bassus")],
        ..Plan::default()
    }
}

fn said(picture: &Picture) -> Vec<String> {
    let items = picture.blocks.iter().flat_map(|block| &block.frame.items);
    let words = items.filter_map(|item| match &item.ink {
        Ink::Letters { letters, .. } => Some(letters.text.clone()),
        _ => None,
    });
    words.collect()
}

fn with_entries(count: i64, entries: &[(usize, i64, i64, &str)]) -> Plan {
    let entry = |(voice, from, to, label): &(usize, i64, i64, &str)| PlannedEntry {
        voice: *voice,
        from: Time::minims(*from),
        to: Time::minims(*to),
        subject: 0,
        inverted: false,
        label: (*label).to_owned(),
    };
    let subject = PlannedSubject { name: "S1".to_owned(), notes: "D A G F".to_owned() };
    Plan { entries: entries.iter().map(entry).collect(), subjects: vec![subject], ..of_bars(count) }
}

#[test]
fn a_short_piece_has_one_system() {
    let lines =
        |count| systems(&of_bars(count), Sp(100.0)).iter().map(Range::len).collect::<Vec<_>>();
    assert_eq!(lines(20), [20]);
    assert_eq!(lines(0), []);
    assert_eq!(lines(1), [1]);
}

#[test]
fn systems_of_a_long_piece_are_even() {
    let lengths: Vec<usize> = systems(&of_bars(70), Sp(100.0)).iter().map(Range::len).collect();
    assert_eq!(lengths.iter().sum::<usize>(), 70);
    assert!(lengths.iter().all(|length| length.abs_diff(lengths[0]) <= 1), "{lengths:?}");
}

#[test]
fn labels_give_way() {
    let look = Look::default();
    // Where the next entry is near, the name alone is said.
    let near = plan(&with_entries(20, &[(0, 0, 4, "5th above, after 8"), (0, 6, 12, "")]), &look);
    assert!(said(&near).contains(&"S1".to_owned()));
    assert!(!said(&near).iter().any(|word| word.contains("after")));
    let far = plan(&with_entries(20, &[(0, 0, 4, "5th above, after 8"), (0, 28, 32, "")]), &look);
    assert!(said(&far).contains(&"S1 5th above, after 8".to_owned()));
}

#[test]
fn nothing_runs_into_anything() {
    let cadence = |at: i64, evaded| PlannedCadence {
        at: Time::minims(at),
        letter: "B\u{266d}".to_owned(),
        kind: "seventh".to_owned(),
        evaded,
        phrygian: evaded,
    };
    let entries = [
        (0, 0, 8, "model"),
        (0, 6, 14, "8ve above, after 6"),
        (1, 70, 82, "8ve below, after 16"),
        (1, 100, 108, "a very long label that has nowhere to stand but here, at the end"),
    ];
    for (width, bars) in [(60.0, 27), (120.0, 27), (210.0, 27), (210.0, 200)] {
        let mut plan_of = with_entries(bars, &entries);
        plan_of.cadences =
            vec![cadence(20, false), cadence(22, true), cadence(24, false), cadence(104, true)];
        plan_of.entries[1].inverted = true;
        let picture = plan(&plan_of, &Look { width: Mm(width), ..Look::default() });
        assert_eq!(audit(&picture), [], "{width} {bars}");
        let said = said(&picture);
        assert!(
            said.contains(&"[B\u{266d}]".to_owned())
                && said.contains(&"seventh, Phrygian".to_owned())
        );
        assert!(said.contains(&"hatched: inverted".to_owned()));
    }
}

#[test]
fn a_plan_of_nothing() {
    let picture = plan(&Plan::default(), &Look::default());
    assert_eq!((picture.blocks.len(), picture.height), (0, Look::MARGIN * 2.0));
}

#[test]
fn an_entry_is_white_where_the_voice_is_grey() {
    let picture = plan(&with_entries(8, &[(0, 8, 16, "")]), &Look::default());
    let items = || picture.blocks.iter().flat_map(|block| &block.frame.items);
    let grey = items().filter(|item| item.role == Role::PlanBand).count();
    // Two of the first voice, one of the second, one of the texture.
    assert_eq!(grey, 4);
}
