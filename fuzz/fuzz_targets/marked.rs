//! `cargo fuzz run -s none --features guided marked fuzz/seeds/marked`: the target with coverage guidance.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    doorwright_fuzz::marked(bytes);
});
