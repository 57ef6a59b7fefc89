//! `cargo fuzz run -s none --features guided quantity fuzz/seeds/quantity`: the target with coverage guidance.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    doorwright_fuzz::quantity(bytes);
});
