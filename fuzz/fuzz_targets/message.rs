//! `cargo fuzz run -s none --features guided message fuzz/seeds/message`: the target with coverage guidance.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    doorwright_fuzz::message(bytes);
});
