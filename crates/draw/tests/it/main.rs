//! Integration tests of the drawings: one binary, one file a subject.

mod drawings;
mod paper;
