//! The reader learns the print of the scans from lines that are known, in a few steps: those of one piece, while
//! another is read. What comes of it in the end, also where no line is known, stands in
//! `crates/facsimile/training/README.md`.

use facsimile::image::GrayImage;
use facsimile::{Known, Network, learn};
use suite::{LaidOut, Threads, laid_out, opendata, read_wrong};

#[test]
fn from_lines_that_are_known() {
    let Some(opendata) = opendata() else { return };
    let staves = laid_out(&opendata, &|piece, _| piece == 2 || piece == 3);
    let lines = staves.iter().filter(|staff| !staff.sorts.is_empty());
    let (known, others): (Vec<&LaidOut>, Vec<&LaidOut>) = lines.partition(|line| line.piece == 2);
    let as_known =
        |line: &&LaidOut| Known { laid: line.picture.clone(), rows: vec![line.sorts.clone()] };
    let known: Vec<Known> = known.iter().map(as_known).collect();
    let pictures: Vec<GrayImage> = others.iter().map(|line| line.picture.clone()).collect();
    let shipped = Network::shipped();
    let learned = learn(&shipped, &known, &pictures, 12, &mut Threads);
    let ((signs, before), (_, now)) =
        (read_wrong(&others, &shipped), read_wrong(&others, &learned.network));
    assert!(signs > 800, "{signs}");
    assert!(3 * now <= 2 * before, "{before} of {signs} wrong before, {now} after");
}
