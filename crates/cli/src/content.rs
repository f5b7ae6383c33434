//! What names the content of a file.

use std::hash::Hasher as _;

use siphasher::sip128::{Hasher128 as _, SipHasher13};

/// What names the content of a file: the same in every build of the program. No secret hangs on it.
pub(crate) fn content(bytes: &[u8]) -> u128 {
    let mut hasher = SipHasher13::new();
    hasher.write(bytes);
    hasher.finish128().into()
}
