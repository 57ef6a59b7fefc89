//! `cargo fuzz run -s none --features guided size fuzz/seeds/size`: the target with coverage guidance.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    doorwright_fuzz::size(bytes);
});
