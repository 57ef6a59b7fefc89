//! Picture sizes in pixels, `800x600`.

use std::fmt;
use std::str::FromStr;

use crate::error::{ErrorKind, ParseError};

/// Width and height of a picture, 1 to 65535 pixels each (the limit of a JPEG frame header, ITU-T T.81 B.2.2).
///
/// # Examples
///
/// ```
/// let size: quantity::Size = "800 × 600".parse()?;
/// assert_eq!((size.width_px, size.height_px), (800, 600));
/// assert_eq!(size.to_string(), "800x600");
/// # Ok::<(), quantity::ParseError>(())
/// ```
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Size {
    /// Across.
    pub width_px: u16,
    /// Down.
    pub height_px: u16,
}

impl FromStr for Size {
    type Err = ParseError;

    fn from_str(text: &str) -> Result<Self, ParseError> {
        let form = || {
            let found: String = text.chars().take(40).collect();
            ParseError::new(0..text.len(), ErrorKind::SizeForm { found })
        };
        let cross = text.find(['x', 'X', '×']).ok_or_else(form)?;
        let after = cross + text[cross..].chars().next().map_or(0, char::len_utf8);
        let side = |part: &str, offset: usize| {
            let digits = part.trim();
            if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
                return Err(form());
            }
            let start = offset + part.len() - part.trim_start().len();
            let range = || {
                let found: String = digits.chars().take(40).collect();
                ParseError::new(start..start + digits.len(), ErrorKind::SizeRange { found })
            };
            digits.parse::<u16>().ok().filter(|side| *side > 0).ok_or_else(range)
        };
        Ok(Self { width_px: side(&text[..cross], 0)?, height_px: side(&text[after..], after)? })
    }
}

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}x{}", self.width_px, self.height_px)
    }
}
