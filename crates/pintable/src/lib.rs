//! pintable (being written)
