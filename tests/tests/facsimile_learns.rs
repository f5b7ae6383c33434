//! The reader learns the print of the scans by itself: a few steps, on a piece that it reads badly at first. What
//! it comes to in the end stands in `crates/facsimile/training/README.md`.

use facsimile::image::GrayImage;
use facsimile::{Network, learn};
use suite::{LaidOut, Threads, laid_out, opendata, read_wrong};

#[test]
fn without_a_line_that_is_known() {
    let Some(opendata) = opendata() else { return };
    let staves = laid_out(&opendata, &|piece, _| piece == 10);
    let lines: Vec<&LaidOut> = staves.iter().filter(|staff| !staff.sorts.is_empty()).collect();
    let pictures: Vec<GrayImage> = lines.iter().map(|line| line.picture.clone()).collect();
    let shipped = Network::shipped();
    let learned = learn(&shipped, &[], &pictures, 10, &mut Threads);
    let ((signs, before), (_, now)) =
        (read_wrong(&lines, &shipped), read_wrong(&lines, &learned.network));
    assert!(signs > 800, "{signs}");
    // 71 become 41.
    assert!(4 * now <= 3 * before, "{before} of {signs} wrong before, {now} after");
}
