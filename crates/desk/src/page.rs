//! The page as it is built: see `page/` beside these sources.

/// The page itself; `NONCE` stands where each answer has a word of its own.
pub const INDEX: &str = include_str!("../page/built/index.html");

/// Its program.
pub const SCRIPT: &str = include_str!("../page/built/desk.js");

/// Its looks.
pub const STYLE: &str = include_str!("../page/built/desk.css");
