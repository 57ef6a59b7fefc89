//! Values with a unit and a spread: from the text that people write, and back to text.
//!
//! Everything inside Doorwright is a plain `f64` in the unit of its field. This crate is the door: [`parse`] reads
//! `3.2 Ah ± 5 %` into a value and a [`Spread`] in the unit that the field wants, [`write`](fn@write) is its
//! inverse, [`show`] prints for the eye. Nothing here knows about fields, plans or files; an error says where in the
//! *text* it is, and whoever knows the file adds the rest.
//!
//! # Grammar
//!
//! ```ebnf
//! text     = value | plus_minus | range | factor | quantiles | typ_max ;
//! value    = number , [ unit ] ;
//! plus_minus = value , pm , ( value | number , "%" ) ;        (* percent here is always relative *)
//! range    = value , ".." , value ;                           (* uniform *)
//! factor   = value , ( "x/" | "×/" ) , number ;               (* lognormal, 95 % within the factor *)
//! quantiles = value , "|" , value , "|" , value ;             (* 5 | 50 | 95 %, two-piece lognormal *)
//! typ_max  = "typ" , value , "max" , value ;                  (* lognormal, 3 sigma and cut at max *)
//! pm       = "±" | "+-" | "+/-" ;
//! number   = [ "+" | "-" | "−" ] , ( digits , [ "." , digits ] | "." , digits ) , [ ( "e" | "E" ) , [ sign ] , digits ] ;
//! unit     = [ "1" ] , "/" , group , { "/" , group } | group , { "/" , group } ;
//! group    = factors | "(" , factors , ")" ;                  (* all of a group after "/" divides: W/m2K = W/(m2 K) *)
//! factors  = symbol , [ power ] , { [ "." | "·" | "*" ] , symbol , [ power ] } ;
//! power    = [ "^" ] , [ "-" ] , digit | [ "⁻" ] , superscript ;
//! ```
//!
//! Spaces may stand between the parts. A unit that only the last value carries holds for all (`4 .. 6 K/W`). A
//! value without a unit is right only where a plain number is wanted. `20 AWG` is read where an area is wanted.
//!
//! # Examples
//!
//! ```
//! use quantity::{Spread, parse, show};
//!
//! let run = parse("4 .. 6 K/W", "K/W")?;
//! assert_eq!(run.value, 5.0);
//! assert_eq!(run.spread, Spread::Uniform { low: 4.0, high: 6.0 });
//! assert_eq!(show(0.165, "A"), "165 mA");
//!
//! let wrong = parse("12 m", "V").unwrap_err();
//! assert_eq!(wrong.to_string(), "`12 m` is a length; a voltage is wanted, such as `12 V`");
//! # Ok::<(), quantity::ParseError>(())
//! ```

mod dimension;
mod error;
mod ladder;
mod nearest;
pub mod normal;
mod number;
mod read;
mod show;
mod size;
mod spread;
mod unit;
mod write;

pub use error::{ErrorKind, ParseError};
pub use nearest::nearest;
pub use read::parse;
pub use show::{show, show_between, show_quantity};
pub use size::Size;
pub use spread::{Sampler, Spread};
pub use write::write;

/// A value and its spread, both in one unit that the holder knows (the `want` of [`parse`]).
///
/// `value` is the median; for a [`Spread::Uniform`] that is the middle.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Quantity {
    /// The median, finite.
    pub value: f64,
    /// What is not known about it.
    pub spread: Spread,
}

impl Quantity {
    /// A value without spread.
    pub const fn exact(value: f64) -> Self {
        Self { value, spread: Spread::Exact }
    }
}

/// `value` of one unit in another of the same kind.
///
/// # Errors
///
/// `to` is no unit, or one of another kind; the place is in the text `1 TO`.
///
/// # Examples
///
/// ```
/// use quantity::convert;
/// assert_eq!(convert(900.0, "s", "ms")?, 900_000.0);
/// assert_eq!(convert(0.05, "1", "%")?, 5.0);
/// assert!(convert(1.0, "s", "m").is_err());
/// # Ok::<(), quantity::ParseError>(())
/// ```
pub fn convert(value: f64, from: &str, to: &str) -> Result<f64, ParseError> {
    if from == to {
        return Ok(value);
    }
    let text = format!("1 {to}");
    // The reader of quantities knows best what is wrong with a unit.
    parse(&text, from)?;
    match (unit::wanted(from), unit::wanted(to)) {
        (Some(from), Some(to)) => Ok(ladder::convert(value, from, to)),
        // A gauge is read as an area, and no area is written as one.
        _ => Err(ParseError::new(2..text.len(), ErrorKind::WantedUnit { want: to.to_owned() })),
    }
}

/// Whether a text is a unit that [`parse`] can want; for tests of tables that name units.
pub fn is_unit(text: &str) -> bool {
    unit::wanted(text).is_some()
}
