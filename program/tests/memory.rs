//! Memory does not grow with a take's length. A process of its own, since the system only tells the most that any child has used.
#![cfg(unix)]

use std::io::Write;
use std::path::Path;
use std::process::Command;

use nix::sys::resource::{UsageWho, getrusage};

/// The bar of the issue, in KiB.
const MOST_KIB: i64 = 32 * 1024;

/// What five minutes may take beyond half a minute: less than a hundredth of the take.
const GROWTH_KIB: i64 = 512;

const RATE_HZ: u32 = 48_000;

/// A stereo take of 16 bits with a tone in it.
fn write_take(path: &Path, seconds: u32) {
    let second: Vec<u8> = (0..RATE_HZ)
        .flat_map(|frame| {
            let level = i16::try_from(frame % 400).unwrap() * 20 - 4000;
            [level, -level].map(i16::to_le_bytes).concat()
        })
        .collect();
    let bytes = u32::try_from(second.len()).unwrap() * seconds;
    let mut file = std::fs::File::create(path).unwrap();
    let mut header = b"RIFF".to_vec();
    header.extend((bytes + 36).to_le_bytes());
    header.extend(b"WAVEfmt \x10\0\0\0\x01\0\x02\0");
    header.extend(RATE_HZ.to_le_bytes());
    header.extend((4 * RATE_HZ).to_le_bytes());
    header.extend(b"\x04\0\x10\0data");
    header.extend(bytes.to_le_bytes());
    file.write_all(&header).unwrap();
    for _ in 0..seconds {
        file.write_all(&second).unwrap();
    }
}

/// Renders a set with level match and gives the most memory, in KiB, that any rendering has used so far.
fn most_kib_after(seconds: u32) -> i64 {
    let folder = tempfile::TempDir::new().unwrap();
    write_take(&folder.path().join("take.wav"), seconds);
    let arguments = ["--pickup", "680p", "--through", "22M", "--load", "470k", "-o", "out.wav"];
    let output = Command::new(env!("CARGO_BIN_EXE_firstjack"))
        .args(["render", "take.wav"])
        .args(arguments)
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    assert!(String::from_utf8_lossy(&output.stdout).contains("Level-matched"));
    let most = getrusage(UsageWho::RUSAGE_CHILDREN).unwrap().max_rss();
    // Bytes on Apple's systems, KiB elsewhere.
    if cfg!(target_vendor = "apple") { most / 1024 } else { most }
}

#[test]
fn five_minutes_take_no_more_than_half_a_minute() {
    let short = most_kib_after(30);
    let long = most_kib_after(300);
    println!("30 s: {short} KiB, 300 s: {long} KiB");
    assert!(long <= MOST_KIB, "{long} KiB");
    assert!(long - short <= GROWTH_KIB, "30 s: {short} KiB, 300 s: {long} KiB");
}
