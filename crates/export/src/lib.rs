//! From the plan to the board: what a program takes from a plan, as text in several forms.
//!
//! Start at [`handover`]: pins and values, burned and turned, and their digests. [`header`] writes them as C with checks
//! for the compiler, [`names`] lets it speak the maker's names, [`settings`] prints what is turned, and [`marked`] puts
//! numbers into the maker's own file; [`plate`] is the detector itself, with the probe that prints readings for it, and
//! [`station_end`] the station's end of the link. Nothing here knows a firmware, a file or a command; and a plan holds no
//! password and no key, so none can come out.

pub mod handover;
pub mod header;
pub mod marked;
pub mod names;
pub mod number;
pub mod plate;
pub mod settings;
pub mod station_end;

/// A file for the board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its name, without folders.
    pub name: &'static str,
    /// All of it.
    pub text: String,
}
