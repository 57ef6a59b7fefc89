//! Integration tests of the command: one binary, one file a subject.

mod new;
mod sheets;
mod shell;
mod tape;
