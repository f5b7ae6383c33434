//! Pictures: any file is read or refused; what its staves are read as is a parts file, and goes all the way.

#![no_main]

use std::sync::LazyLock;

use cartella_fuzz::whole_way;
use facsimile::{Network, Sizes, pages, read, strips};
use libfuzzer_sys::fuzz_target;
use source::{Part, StaffLine, read_together};

static NETWORK: LazyLock<Network> = LazyLock::new(Network::shipped);

/// Larger pictures take long and have nothing new.
const LARGEST: u32 = 2_000_000;

fuzz_target!(|data: &[u8]| {
    let Ok(pages) = pages(data) else { return };
    let small = pages.iter().filter(|page| page.picture.width() * page.picture.height() < LARGEST);
    let parts = small.take(2).map(|page| {
        let staves = strips(&page.picture);
        let sizes = Sizes::of(&page.picture, &staves);
        let line = |strip| StaffLine {
            row: read(&sizes.laid(strip), &NETWORK),
            place: None,
            ends_page: true,
        };
        Part { name: "tenor".to_owned(), lines: staves.iter().take(4).map(line).collect() }
    });
    if let Ok(reading) = read_together(&parts.collect::<Vec<_>>()) {
        whole_way(&reading.text);
    }
});
