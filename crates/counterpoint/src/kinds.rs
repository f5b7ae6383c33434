//! Things that are told apart in kinds, and the names of these.

/// Something told apart in kinds, which are numbered from 0.
pub(crate) trait Kinds: Copy + 'static {
    /// How many kinds there are.
    const COUNT: usize;

    /// The number of this one.
    fn number(self) -> usize;

    /// All of them, in the order of their numbers.
    fn all() -> Vec<Self>;

    /// This one in a few words; no other has the same.
    fn name(self) -> String;
}

/// An enumeration whose kinds are its variants, each with its name.
macro_rules! named {
    (
        $(#[$outer:meta])*
        pub enum $enum:ident {
            $($(#[$inner:meta])* $variant:ident = $name:literal,)*
        }
    ) => {
        $(#[$outer])*
        #[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
        pub enum $enum {
            $($(#[$inner])* $variant,)*
        }

        impl $enum {
            /// All kinds, in order.
            pub const ALL: &'static [$enum] = &[$($enum::$variant),*];

            /// Its name.
            pub fn name(self) -> &'static str {
                match self {
                    $($enum::$variant => $name,)*
                }
            }
        }

        impl $crate::kinds::Kinds for $enum {
            const COUNT: usize = $enum::ALL.len();

            fn number(self) -> usize {
                self as usize
            }

            fn all() -> Vec<$enum> {
                $enum::ALL.to_vec()
            }

            fn name(self) -> String {
                $enum::name(self).to_owned()
            }
        }
    };
}

pub(crate) use named;
