//! The two hands of a player.

use std::fmt;

/// A hand, which is a staff of the keyboard score.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Hand {
    /// The upper staff.
    Right,
    /// The lower staff.
    Left,
}

impl Hand {
    /// Both, from the lower keys upwards.
    pub const ALL: [Hand; 2] = [Hand::Left, Hand::Right];

    /// Its staff, from 0.
    pub fn staff(self) -> usize {
        self as usize
    }

    /// As it is typed.
    pub fn word(self) -> &'static str {
        match self {
            Hand::Right => "right",
            Hand::Left => "left",
        }
    }

    /// The hand that is typed so.
    pub fn from_word(word: &str) -> Option<Hand> {
        Hand::ALL.into_iter().find(|hand| hand.word() == word)
    }
}

impl fmt::Display for Hand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}
