//! How keyboard scores of the open data lie under the hands.

use std::fmt::Write as _;

use score::BarLength;
use suite::{MADRIGALS, Playing, aligned, duos, madrigal_parts, opendata, playing, read_score};

/// The madrigals of five voices one by one, and the duos together.
#[test]
fn what_a_player_meets() {
    let Some(opendata) = opendata() else { return };
    let mut table = String::new();
    let mut all = Playing::default();
    for piece in MADRIGALS {
        let (score, _) = aligned(&madrigal_parts(&opendata, piece), BarLength::Breve);
        let of_piece = playing(&score);
        let _ = writeln!(table, "{of_piece} {piece}");
        all += of_piece;
    }
    let _ = writeln!(table, "{all} madrigals");
    // Before voices were kept in their hands: 27, 37 and 338.
    assert!(all.beyond_a_ninth <= 27 && all.excursions <= 18 && all.changes <= 169, "{all}");
    // Before hands were shared out anew for their clefs: 173, 6, 46 and 385.
    assert!(all.full_hand <= 59 && all.in_beam <= 5 && all.ninths <= 46, "{all}");
    assert!(all.right_far + all.left_far <= 385, "{all}");
    let mut all = Playing::default();
    for (name, xml) in duos(&opendata) {
        let text = read_score(&name, xml.as_ref(), None);
        all += playing(&aligned(&text, BarLength::Breve).0);
    }
    let _ = writeln!(table, "{all} duos");
    // Before each hand had its voice: 942 of 2145.
    assert!(all.idle_hand * 10 <= all.one_a_hand, "{all}");
    insta::assert_snapshot!(table);
}
