#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| firstjack_fuzz::take(bytes));
