//! being written
fn main() {}
