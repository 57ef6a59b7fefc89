//! `cargo fuzz run -s none --features guided edit fuzz/seeds/edit`: the target with coverage guidance.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    doorwright_fuzz::edit(bytes);
});
