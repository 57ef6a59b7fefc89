//! models (being written)
