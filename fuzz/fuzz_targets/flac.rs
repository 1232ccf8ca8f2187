#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| firstjack_fuzz::take_of(b"fLaC?\0\0\x22", bytes));
