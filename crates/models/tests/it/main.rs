//! Integration tests of `models`, one binary.

mod pins;
