#![no_main]
//! Mail with answers in it: whatever it holds, it is read to its end.

#[path = "../../program/src/format/mod.rs"]
#[allow(dead_code, unused_imports, missing_docs, reason = "the program's own file, of which only reading is wanted here")]
mod format;

use std::sync::LazyLock;

use format::{Kind, Page, Sound, all};

/// Four sounds, as the seeds know them.
static PAGE: LazyLock<Page> = LazyLock::new(|| {
    let kinds = [Kind::Recorded, Kind::Setup, Kind::Setup, Kind::Anchor];
    let sound = |(number, kind)| Sound { key: format!("key{number}"), name: format!("sound {number}"), kind };
    let sounds = kinds.into_iter().enumerate().map(sound).collect();
    Page { pack: "0123456789abcdef".to_owned(), sounds, held: vec![2, 0, 3, 1] }
});

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let lines = bytes.iter().filter(|byte| **byte == b'\n').count() + 1;
    for found in all(bytes, &PAGE) {
        assert!((1..=lines).contains(&found.line), "it stands on one of the lines");
    }
});
