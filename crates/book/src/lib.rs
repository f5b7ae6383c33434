//! A treatise: text in `CommonMark`, examples from parts files, typeset as PDF and as a web site.
//!
//! [`Book::read`] reads `book.md` and all that it names, numbers chapters, examples and footnotes, and says
//! what is wrong, each with its file and line; what can be made is made all the same. [`Book::pages`] sets
//! it on paper, [`Book::site`] as pages for a browser. [`figure_page`] is one example alone, for somebody
//! else's page.
//!
//! ```
//! use book::{Book, Language};
//!
//! let file = |name: &str| -> Result<Vec<u8>, String> {
//!     match name {
//!         "book.md" => Ok(b"# Duos\n\n## The first\n\n![A step](duos.parts#1)\n".to_vec()),
//!         "duos.parts" => Ok(b"example 1\nvoice Cantus clef C1\n  sb A4 B lg C5 //\n".to_vec()),
//!         other => Err(format!("there is no {other}")),
//!     }
//! };
//! let book = Book::read("book.md", None, &file)?;
//! assert_eq!(book.faults(), []);
//! assert!(book.pages().pages.len() >= 3); // the title, the contents, the chapter
//! # Ok::<(), String>(())
//! ```
//!
//! Nothing of the author's text is passed on as HTML: tags in it are text like any other, and only
//! addresses of the web and of mail become links.

mod attributes;
mod facsimiles;
mod fault;
mod language;
mod numbering;
mod paper;
mod shown;
mod site;
mod text;
mod whole;

pub use fault::{Fault, Place};
pub use language::Language;
pub use site::{File, FileBody, figure_page};

pub use whole::Book;
