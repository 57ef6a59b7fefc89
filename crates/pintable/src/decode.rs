//! Bytes to text: the one place where encoding and size are judged.

use std::borrow::Cow;
use std::fmt;

/// A text of more than 4 MiB is no pin table; refusing it keeps memory bounded. Chosen, not measured.
pub const TEXT_BYTES_MAX: usize = 4 << 20;

/// Why bytes are not a text we read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DecodeError {
    /// Larger than [`TEXT_BYTES_MAX`].
    TooLarge {
        /// Its size in bytes.
        bytes: usize,
    },
    /// Not UTF-8.
    NotUtf8 {
        /// The first byte that does not fit, counted from 0.
        byte: usize,
        /// Its line, counted from 1.
        line: usize,
    },
}

impl fmt::Display for DecodeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DecodeError::TooLarge { bytes } => {
                write!(f, "the text has {bytes} bytes, more than {TEXT_BYTES_MAX}; paste only the pin table")
            }
            DecodeError::NotUtf8 { byte, line } => {
                write!(f, "not UTF-8 at byte {byte} (line {line}); save the file as UTF-8 text")
            }
        }
    }
}

impl std::error::Error for DecodeError {}

/// The bytes as text: a byte-order mark taken off, CRLF and lone CR made LF.
///
/// # Errors
/// [`DecodeError::TooLarge`] over 4 MiB, [`DecodeError::NotUtf8`] with the first byte that does not fit.
///
/// ```
/// assert_eq!(pintable::decode(b"\xEF\xBB\xBFD0 4\r\n").unwrap(), "D0 4\n");
/// assert_eq!(pintable::decode(b"D0 \xFF").unwrap_err().to_string(),
///     "not UTF-8 at byte 3 (line 1); save the file as UTF-8 text");
/// ```
pub fn decode(bytes: &[u8]) -> Result<Cow<'_, str>, DecodeError> {
    if bytes.len() > TEXT_BYTES_MAX {
        return Err(DecodeError::TooLarge { bytes: bytes.len() });
    }
    let text = std::str::from_utf8(bytes).map_err(|e| DecodeError::NotUtf8 {
        byte: e.valid_up_to(),
        line: bytes[..e.valid_up_to()].split(|b| *b == b'\n').count(),
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    Ok(if text.contains('\r') { text.replace("\r\n", "\n").replace('\r', "\n").into() } else { text.into() })
}
