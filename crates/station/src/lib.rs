//! station (being written)
