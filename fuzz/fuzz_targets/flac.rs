#![no_main]

libfuzzer_sys::fuzz_target!(
    // What the decoder panics of is caught by the source; the fuzzer's own hook would end all at the first one. What is not caught
    // ends it all the same.
    init: std::panic::set_hook(Box::new(|panic| eprintln!("{panic}"))),
    |bytes: &[u8]| firstjack_fuzz::take_of(b"fLaC?\0\0\x22", bytes)
);
