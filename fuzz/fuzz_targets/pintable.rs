//! `cargo fuzz run -s none --features guided pintable fuzz/seeds/pintable`: the target with coverage guidance.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    doorwright_fuzz::pintable(bytes);
});
