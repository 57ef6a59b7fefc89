//! quantity (being written)
