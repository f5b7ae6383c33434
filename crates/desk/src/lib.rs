//! From the text of a parts file to what a page in the browser shows of it while it is typed, and that page.
//!
//! [`Desk::show`] makes of a text the systems of the score, the line under the cursor as printed, what is
//! wrong or doubtful with what mends it, and all notes with their places. [`message`] has what is said
//! over the socket. Files, threads, clocks and sockets are the matter of whoever uses it.

mod desk;
mod events;
mod findings;
mod key;
mod mended;
pub mod message;
pub mod page;
mod places;
mod printed;
mod study;
mod systems;
mod unfinished;

pub use desk::{Desk, View};
pub use events::why_at;
pub use key::typed_for_key;
pub use mended::{fixed, mended};
pub use study::studied;
