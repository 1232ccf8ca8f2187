#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    // RIFF or RF64, as the first byte has it.
    let start = if bytes.first().is_some_and(|byte| byte % 2 == 0) { b"RIFF????WAVE" } else { b"RF64????WAVE" };
    firstjack_fuzz::take_of(start, bytes);
});
