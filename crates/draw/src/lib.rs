//! draw (being written)
