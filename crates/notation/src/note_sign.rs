//! The signs that stand at a note or rest: all of them, each described in one place.

use std::fmt;

/// What there is to say of a sign at a note.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct NoteSignDescription {
    /// The character that is typed for it, which nothing else has that follows the letter of a note.
    pub typed: &'static str,
    /// As it is called, in one word.
    pub called: &'static str,
    /// What it means, with an example.
    pub text: &'static str,
    /// What the critical report says of a note that has it.
    pub reported: &'static str,
    /// Whether it stands in the source; else the editor says something by it.
    pub printed: bool,
    /// Whether it stands at the last of the notes into which its note is split, else at the first.
    pub at_end: bool,
}

// The order of the list is the one in which signs are written.
macro_rules! note_signs {
    ($($(#[$doc:meta])* $sign:ident $typed:literal $called:literal { $($description:tt)* })*) => {
        /// A sign at a note or rest.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum NoteSign {
            $($(#[$doc])* $sign,)*
        }

        impl NoteSign {
            /// All of them, in the order in which they are written.
            pub const ALL: &'static [NoteSign] = &[$(NoteSign::$sign,)*];

            /// What there is to say of it.
            pub const fn description(self) -> NoteSignDescription {
                match self {
                    $(NoteSign::$sign => NoteSignDescription {
                        typed: $typed,
                        called: $called,
                        $($description)*
                    },)*
                }
            }
        }

        /// How texts that tell of notes go on with all signs: `, corona ^, signum %, doubt ?`.
        macro_rules! note_signs_called {
            () => { concat!($(", ", $called, " ", $typed),*) };
        }

        /// The same in short: ` ^ % ?`.
        macro_rules! note_signs_typed {
            () => { concat!($(" ", $typed),*) };
        }

        pub(crate) use {note_signs_called, note_signs_typed};
    };
}

note_signs! {
    /// A fermata.
    Corona "^" "corona" {
        text: "A fermata, joined to its note or rest: `D4^`.",
        reported: "with corona",
        printed: true,
        at_end: true,
    }

    /// A signum congruentiae.
    Signum "%" "signum" {
        text: "A signum congruentiae, joined to its note: `D4%`.",
        reported: "with signum congruentiae",
        printed: true,
        at_end: false,
    }

    /// The reading is in doubt.
    Doubt "?" "doubt" {
        text: "The note is hard to make out: `D4?`. The critical report lists it.",
        reported: "(doubtful)",
        printed: false,
        at_end: false,
    }
}

impl NoteSign {
    /// The sign that is typed so.
    pub fn from_typed(typed: &str) -> Option<NoteSign> {
        NoteSign::ALL.iter().copied().find(|sign| sign.description().typed == typed)
    }
}

/// The signs at a note or rest.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct NoteSigns(u8);

const _: () = assert!(NoteSign::ALL.len() <= u8::BITS as usize);

impl NoteSigns {
    /// Whether the sign is one of them.
    pub fn has(self, sign: NoteSign) -> bool {
        self.0 & 1 << sign as u8 != 0
    }

    /// Whether there is none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// They, in the order in which they are written.
    pub fn iter(self) -> impl Iterator<Item = NoteSign> {
        NoteSign::ALL.iter().copied().filter(move |sign| self.has(*sign))
    }

    /// Those that stand in the source.
    #[must_use]
    pub fn printed(self) -> NoteSigns {
        self.iter().filter(|sign| sign.description().printed).collect()
    }

    /// Those by which the editor says something.
    #[must_use]
    pub fn of_the_editor(self) -> NoteSigns {
        self.iter().filter(|sign| !sign.description().printed).collect()
    }
}

impl Extend<NoteSign> for NoteSigns {
    fn extend<I: IntoIterator<Item = NoteSign>>(&mut self, signs: I) {
        for sign in signs {
            self.0 |= 1 << sign as u8;
        }
    }
}

impl FromIterator<NoteSign> for NoteSigns {
    fn from_iter<I: IntoIterator<Item = NoteSign>>(signs: I) -> NoteSigns {
        let mut collected = NoteSigns::default();
        collected.extend(signs);
        collected
    }
}

/// As they are typed.
impl fmt::Display for NoteSigns {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.iter().try_for_each(|sign| f.write_str(sign.description().typed))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sign_is_typed_by_a_character_of_its_own() {
        for sign in NoteSign::ALL {
            let typed = sign.description().typed;
            assert_eq!(typed.len(), 1);
            assert_eq!(NoteSign::from_typed(typed), Some(*sign));
        }
        assert_eq!(NoteSign::from_typed("A"), None, "a letter is a note");
    }

    #[test]
    fn signs_are_a_set() {
        let mut signs: NoteSigns =
            [NoteSign::Doubt, NoteSign::Corona, NoteSign::Doubt].into_iter().collect();
        assert_eq!(signs.to_string(), "^?");
        assert_eq!(
            (signs.printed().to_string(), signs.of_the_editor().to_string()),
            ("^".into(), "?".into())
        );
        assert!(signs.has(NoteSign::Doubt) && !signs.has(NoteSign::Signum));
        signs.extend(NoteSign::ALL.iter().copied());
        assert_eq!(signs.iter().collect::<Vec<_>>(), NoteSign::ALL);
        assert!(!signs.is_empty() && NoteSigns::default().is_empty());
    }
}
