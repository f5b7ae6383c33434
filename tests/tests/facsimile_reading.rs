//! What stands on the staves of the scans is read as the encodings have it, for the most part: the network
//! has never seen a print.

use facsimile::{Kind, Network, Read, Sort, read};
use suite::{laid_out, opendata};

/// What of a row of sorts the encodings tell: directs and bar lines they do not; and where a signature
/// shows the same sign at two octaves, they have it once.
fn compared(sorts: impl Iterator<Item = Sort>) -> Vec<Sort> {
    let mut row: Vec<Sort> = Vec::new();
    let mut signature = 0..0;
    for mut sort in sorts {
        match sort.kind {
            Kind::Direct | Kind::BarLine | Kind::DoubleBar => continue,
            Kind::Clef(_) => signature = row.len() + 1..row.len() + 1,
            Kind::Accidental(_) if signature.end == row.len() => {
                sort.place = sort.place.map(|place| place.rem_euclid(7));
                if row[signature.clone()].contains(&sort) {
                    continue;
                }
                signature.end += 1;
            }
            _ => {}
        }
        row.push(sort);
    }
    row
}

/// How many sorts are left out, added or mistaken at least (Levenshtein's distance).
fn distance(one: &[Sort], other: &[Sort]) -> usize {
    let mut before: Vec<usize> = (0..=other.len()).collect();
    for (number, left) in one.iter().enumerate() {
        let mut row = vec![number + 1];
        for (place, right) in other.iter().enumerate() {
            let changed = before[place] + usize::from(left != right);
            row.push(changed.min(before[place + 1] + 1).min(row[place] + 1));
        }
        before = row;
    }
    before[other.len()]
}

/// One opening of each piece. Of all sixty 4.66 % of the sorts are wrong.
#[test]
fn lines_of_the_madrigals() {
    let Some(opendata) = opendata() else { return };
    let network = Network::shipped();
    let (mut wrong, mut all, mut doubtful, mut sure) = (0, 0, 0, 0);
    for strip in laid_out(&opendata, &|piece, voice| piece % 5 == voice) {
        let sorts: Vec<Read> = read(&strip.picture, &network);
        let printed = compared(strip.sorts.iter().copied());
        let found = compared(sorts.iter().map(|read| read.sort));
        if printed.is_empty() {
            assert!(found.len() <= 1, "{found:?} on an empty staff");
            continue;
        }
        let off = distance(&printed, &found);
        (wrong, all) = (wrong + off, all + printed.len());
        // Lines without faults are read with more confidence.
        let unsure = sorts.iter().filter(|read| read.confidence < 0.8).count();
        if off == 0 { sure += unsure } else { doubtful += unsure }
    }
    assert!(all > 2000, "{all} sorts are printed");
    assert!(100 * wrong <= 6 * all, "{wrong} of {all} are wrong");
    assert!(sure < doubtful, "{sure} and {doubtful} are unsure");
}
