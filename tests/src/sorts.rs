//! Rows of sorts compared.

use facsimile::{Kind, Sort};

/// What of a row of sorts the encodings tell: directs and bar lines they do not; and where a signature
/// shows the same sign at two octaves, they have it once.
pub fn compared(sorts: impl Iterator<Item = Sort>) -> Vec<Sort> {
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
pub fn differences(one: &[Sort], other: &[Sort]) -> usize {
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
