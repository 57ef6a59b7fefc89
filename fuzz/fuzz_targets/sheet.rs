//! `cargo fuzz run -s none --features guided sheet fuzz/seeds/sheet`: the target with coverage guidance.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    doorwright_fuzz::sheet(bytes);
});
