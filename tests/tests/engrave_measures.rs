//! How notes stand on the staves of the keyboard scores of all open data and of the fixtures,
//! counted: the table is kept, so that nothing of it comes back unseen.

use std::fmt::Write;

use engrave::{FindingKind, Look, measures};
use suite::{LAYOUTS, MADRIGALS, drawn, duos, fixtures, madrigal_parts, opendata, read_score};

/// What is found in pieces, kind by kind: how often, and among how many.
fn counted(texts: &[String]) -> Vec<(FindingKind, [u32; 2])> {
    let mut sums: Vec<(FindingKind, [u32; 2])> = Vec::new();
    for text in texts {
        for (place, measure) in
            measures(&drawn(text, LAYOUTS[0], &Look::default())).iter().enumerate()
        {
            if sums.len() == place {
                sums.push((measure.kind, [0; 2]));
            }
            let [found, of] = &mut sums[place].1;
            *found += measure.found;
            *of += measure.of;
        }
    }
    sums
}

#[test]
fn the_table_of_measures() {
    let Some(opendata) = opendata() else { return };
    let madrigals: Vec<String> =
        MADRIGALS.iter().map(|piece| madrigal_parts(&opendata, piece)).collect();
    let duos: Vec<String> = duos(&opendata)
        .into_iter()
        .map(|(name, xml)| read_score(&name, xml.as_ref(), None))
        .collect();
    let fixtures: Vec<String> = fixtures().into_iter().map(|(_, text)| text).collect();
    let columns = [counted(&madrigals), counted(&duos), counted(&fixtures)];
    let mut table = format!("{:20}{:>16}{:>16}{:>16}\n", "", "12 madrigals", "25 duos", "fixtures");
    for (row, (kind, _)) in columns[0].iter().enumerate() {
        let _ = write!(table, "{:20}", kind.word());
        for column in &columns {
            let [found, of] = column[row].1;
            let _ = write!(table, "{:>16}", format!("{found} of {of}"));
        }
        table.push('\n');
    }
    for (kind, [found, of]) in columns.iter().flatten() {
        // Of the covered rests, one in ten may be shown.
        let few = *kind == FindingKind::CoveredRest && found * 10 <= *of;
        let fine =
            *found == 0 || few || matches!(kind, FindingKind::StemInTie | FindingKind::LedgerLines);
        assert!(fine, "{}: {found} of {of}\n{table}", kind.word());
    }
    insta::assert_snapshot!(table);
}
