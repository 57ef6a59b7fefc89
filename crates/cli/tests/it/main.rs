//! Integration tests of the command: one binary, one file a subject.

mod board;
mod check;
mod compare;
mod contract;
mod drawings;
mod export;
mod hostile;
mod new;
mod plate;
mod schema;
mod set;
mod sheets;
mod shell;
mod station_end;
mod tape;
mod twin;
