//! Who may ask: a code of the opened address is exchanged, once, for the token that each request names.

use std::sync::{Mutex, PoisonError};

use crate::files::Failure;

/// So many codes wait at most to be used.
const MOST_CODES: usize = 16;

/// The token of a run of the program, and the codes that can be exchanged for it.
pub(super) struct Session {
    token: String,
    codes: Mutex<Vec<String>>,
}

impl Session {
    pub(super) fn new() -> Result<Session, Failure> {
        Ok(Session { token: secret()?, codes: Mutex::default() })
    }

    /// A new code, to be used once.
    pub(super) fn code(&self) -> Result<String, Failure> {
        let code = secret()?;
        let mut codes = self.codes.lock().unwrap_or_else(PoisonError::into_inner);
        if codes.len() == MOST_CODES {
            codes.remove(0);
        }
        codes.push(code.clone());
        Ok(code)
    }

    /// The token for a code that was not used yet.
    pub(super) fn token_for(&self, code: &str) -> Option<&str> {
        let mut codes = self.codes.lock().unwrap_or_else(PoisonError::into_inner);
        let place = codes.iter().position(|known| is_same(known, code))?;
        codes.remove(place);
        Some(&self.token)
    }

    /// Whether it is the token.
    pub(super) fn knows(&self, token: &str) -> bool {
        is_same(&self.token, token)
    }
}

/// 128 bits that nobody can guess, as hexadecimal digits.
pub(super) fn secret() -> Result<String, Failure> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes)
        .map_err(|error| Failure::Said(format!("the system gives no random numbers: {error}")))?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// Compares in a time that does not tell how much of it is right.
fn is_same(one: &str, other: &str) -> bool {
    one.len() == other.len()
        && one.bytes().zip(other.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_used_once() {
        let session = Session::new().ok().unwrap();
        let code = session.code().ok().unwrap();
        assert_eq!(session.token_for("0123"), None);
        let token = session.token_for(&code).unwrap().to_owned();
        assert_eq!(session.token_for(&code), None);
        assert!(session.knows(&token) && !session.knows(&code) && !session.knows(""));
    }
}
