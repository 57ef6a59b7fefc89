//! `cargo fuzz run -s none --features guided plate_log fuzz/seeds/plate_log`: the target with coverage guidance.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    doorwright_fuzz::plate_log(bytes);
});
