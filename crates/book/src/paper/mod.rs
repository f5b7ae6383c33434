//! A book on paper: title, contents, chapters, index of examples.
//!
//! All text is set in slats, one below the other; pages are filled with them. Where a page number stands in the
//! text it is known only once the pages are: so all is set again with the numbers that came out, until they
//! stay.

mod blocks;
mod drawn;
mod figures;
mod front;
mod goal;
mod pages;
mod paragraph;
mod sheet;
mod slat;

use std::collections::BTreeMap;

use cartella::{EngraveError, pdf};
use engrave::Letterer;

use crate::whole::Book;
use blocks::Setter;
use goal::Goal;
use sheet::Sheet;

/// Page numbers that change with every setting are not waited for longer.
const MOST_SETTINGS: usize = 5;

impl Book {
    /// The book on paper, page by page, with links and an outline.
    pub fn pages(&self) -> cartella::Book {
        let letterer = Letterer::default();
        let sheet = Sheet::of(self.manuscript.options.paper);
        let drawn = drawn::drawn(self, &sheet);
        let mut numbers: BTreeMap<Goal, usize> = BTreeMap::new();
        let mut settings = 0;
        loop {
            let setter = Setter::new(self, &letterer, sheet, &drawn, &numbers);
            let set = pages::fill(setter.slats(), &setter);
            let found: BTreeMap<Goal, usize> =
                set.goals.iter().map(|(goal, (page, _))| (goal.clone(), *page)).collect();
            settings += 1;
            if found == numbers || settings == MOST_SETTINGS {
                return set.book(self);
            }
            numbers = found;
        }
    }

    /// The book as a PDF file.
    ///
    /// # Errors
    /// What the library that writes the file says.
    pub fn pdf(&self) -> Result<Vec<u8>, EngraveError> {
        let title = self.title();
        pdf(&self.pages(), Some(title.as_str()).filter(|title| !title.is_empty()))
    }
}
