//! Small cases.
