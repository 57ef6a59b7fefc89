//! `cargo fuzz run -s none --features guided plan fuzz/seeds/plan`: the target with coverage guidance.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    doorwright_fuzz::plan(bytes);
});
