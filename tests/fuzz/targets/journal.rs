#![no_main]

#[allow(dead_code, unused_imports)] // One of its functions is this target's.
mod holds;

libfuzzer_sys::fuzz_target!(|data: &[u8]| holds::journal(data));
