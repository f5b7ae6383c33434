//! Messages of the desk: each line of a file is one. What is typed is shown, by a desk that goes on and by a
//! new one alike.

#![no_main]

use std::cell::RefCell;

use desk::message::Asked;
use desk::{Desk, View, typed_for_key};
use libfuzzer_sys::fuzz_target;

thread_local! {
    static LAST: RefCell<(Desk, String)> = RefCell::default();
}

/// Larger texts take long and have nothing new.
const LARGEST: usize = 4000;

fuzz_target!(|data: &[u8]| {
    LAST.with_borrow_mut(|(desk, last)| {
        for line in data.split(|byte| *byte == b'\n') {
            match serde_json::from_slice(line) {
                Ok(Asked::Text { text, cursor, width, .. }) if text.len() < LARGEST => {
                    let view = View { text: &text, cursor, width, ..View::default() };
                    assert_eq!(desk.show(&view, &[]), Desk::new().show(&view, &[]));
                    *last = text;
                }
                Ok(Asked::Key { cursor, key, .. }) => {
                    typed_for_key(last, None, cursor, key);
                }
                Ok(Asked::Cursor { cursor, .. }) => {
                    desk.line(&View { text: last, cursor, width: 180.0, ..View::default() });
                }
                _ => {}
            }
        }
    });
});
