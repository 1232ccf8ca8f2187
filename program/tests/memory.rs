//! Memory does not grow with a take's length. A process of its own, since the system only tells the most that any child has used.
#![cfg(unix)]

use std::io::Write;
use std::path::Path;
use std::process::Command;

use nix::sys::resource::{UsageWho, getrusage};

/// The most that a rendering may take, in KiB.
const MOST_KIB: i64 = 32 * 1024;

/// The most that packing half an hour may take, in KiB.
const MOST_PACKED_KIB: i64 = 200 * 1024;

/// What five minutes may take beyond half a minute: less than a hundredth of the take.
const GROWTH_KIB: i64 = 512;

/// The same of a page, whose allocator keeps pieces of many sizes.
const GROWTH_PACKED_KIB: i64 = 2048;

/// A stereo take of 16 bits with a tone in it.
fn write_take(path: &Path, rate_hz: u32, seconds: u32) {
    let second: Vec<u8> = (0..rate_hz)
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
    header.extend(rate_hz.to_le_bytes());
    header.extend((4 * rate_hz).to_le_bytes());
    header.extend(b"\x04\0\x10\0data");
    header.extend(bytes.to_le_bytes());
    file.write_all(&header).unwrap();
    for _ in 0..seconds {
        file.write_all(&second).unwrap();
    }
}

/// Runs the program on a take of this length and gives the most memory, in KiB, that any run has used so far.
fn most_kib_after(rate_hz: u32, seconds: u32, command: &[&str]) -> i64 {
    let folder = tempfile::TempDir::new().unwrap();
    write_take(&folder.path().join("take.wav"), rate_hz, seconds);
    let arguments = ["take.wav", "--pickup", "680p", "--through", "22M", "--load", "470k", "-o", "out.wav"];
    let output = Command::new(env!("CARGO_BIN_EXE_firstjack"))
        .arg(command[0])
        .args(arguments)
        .args(&command[1..])
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    assert!(String::from_utf8_lossy(&output.stdout).contains("Level-matched"));
    let most = getrusage(UsageWho::RUSAGE_CHILDREN).unwrap().max_rss();
    // Bytes on Apple's systems, KiB elsewhere.
    if cfg!(target_vendor = "apple") { most / 1024 } else { most }
}

/// One after the other, since each sees the most of all before it: what takes more comes later. Equal runs differ by some 300 KiB, by how
/// their threads' allocators happen to meet, so the short one runs several times.
#[test]
fn long_takes_need_no_more_than_short_ones() {
    let short = (0..4).map(|_| most_kib_after(48_000, 30, &["render"])).fold(0, i64::max);
    let long = most_kib_after(48_000, 300, &["render"]);
    println!("render: 30 s: {short} KiB, 300 s: {long} KiB");
    assert!(long <= MOST_KIB, "{long} KiB");
    assert!(long - short <= GROWTH_KIB, "30 s: {short} KiB, 300 s: {long} KiB");
    let pack = |rate_hz, seconds, audio| {
        most_kib_after(rate_hz, seconds, &["pack", "--rescue", "none", "--audio", audio])
    };
    let short = (0..2).map(|_| pack(48_000, 30, "opus")).fold(0, i64::max);
    let long = pack(48_000, 120, "opus");
    let half_an_hour = pack(8_000, 1800, "flac");
    println!("pack: 30 s: {short} KiB, 120 s: {long} KiB, half an hour at 8 kHz: {half_an_hour} KiB");
    assert!(half_an_hour <= MOST_PACKED_KIB, "{half_an_hour} KiB");
    assert!(long - short <= GROWTH_PACKED_KIB, "30 s: {short} KiB, 120 s: {long} KiB");
}
