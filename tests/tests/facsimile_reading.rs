//! What stands on the staves of the scans is read as it is printed, for the most part: the network
//! has never seen a print.

use facsimile::{Network, read};
use suite::{compared, differences, laid_out, opendata};

/// One opening of each piece. Of all sixty 3.25 % of the sorts are wrong.
#[test]
fn lines_of_the_madrigals() {
    let Some(opendata) = opendata() else { return };
    let network = Network::shipped();
    let (mut wrong, mut all, mut doubtful, mut sure) = (0, 0, 0, 0);
    for strip in laid_out(&opendata, &|piece, voice| piece % 5 == voice) {
        let sorts = read(&strip.picture, &network).sorts;
        let printed = compared(strip.sorts.iter().copied());
        let found = compared(sorts.iter().map(|read| read.sort));
        if printed.is_empty() {
            assert!(found.len() <= 1, "{found:?} on an empty staff");
            continue;
        }
        let off = differences(&printed, &found);
        (wrong, all) = (wrong + off, all + printed.len());
        // Lines without faults are read with more confidence.
        let unsure = sorts.iter().filter(|read| read.confidence < 0.8).count();
        if off == 0 { sure += unsure } else { doubtful += unsure }
    }
    assert!(all > 2000, "{all} sorts are printed");
    assert!(100 * wrong <= 4 * all, "{wrong} of {all} are wrong");
    assert!(sure < doubtful, "{sure} and {doubtful} are unsure");
}
