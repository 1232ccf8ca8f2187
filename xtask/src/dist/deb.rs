//! A package of Debian and its kin (deb(5)): an `ar` archive of a version, what is said of the package, and its files.

use anyhow::{Result, ensure};

use super::archive::tar_gz;
use super::tree::Tree;

/// What its binaries need, and what they look for when they are asked for sound or a window.
const DEPENDS: &str = "libc6 (>= 2.31)";
const RECOMMENDS: &str =
    "libasound2 | libasound2t64, libgl1, libx11-6, libx11-xcb1, libxcb1, libxkbcommon-x11-0, libxkbcommon0";
const SUGGESTS: &str = "libjack-jackd2-0 | pipewire-jack";
pub const MAINTAINER: &str = "Firstjack contributors <contributors@firstjack.invalid>";

/// The package of files by their paths from the root on, made at a time in seconds since 1970.
pub fn package(tree: &Tree, version: &str, seconds: u64) -> Result<Vec<u8>> {
    let mut about = Tree::default();
    about.add("control", control(tree, version));
    let mut archive = b"!<arch>\n".to_vec();
    for (name, bytes) in [
        ("debian-binary", b"2.0\n".to_vec()),
        ("control.tar.gz", tar_gz(&about, ".", seconds)?),
        ("data.tar.gz", tar_gz(tree, ".", seconds)?),
    ] {
        ensure!(bytes.len() < 10_000_000_000, "{name} is too large");
        let header = format!("{name:<16}{seconds:<12}{:<6}{:<6}{:<8}{:<10}`\n", 0, 0, 100_644, bytes.len());
        archive.extend(header.as_bytes());
        archive.extend(&bytes);
        if bytes.len() % 2 == 1 {
            archive.push(b'\n');
        }
    }
    Ok(archive)
}

fn control(tree: &Tree, version: &str) -> String {
    // As dpkg-gencontrol counts: each file in whole KiB.
    let installed: usize = tree.files().map(|(_, file)| file.bytes.len().div_ceil(1024)).sum();
    format!(
        "Package: firstjack\nVersion: {version}\nArchitecture: amd64\nMaintainer: {MAINTAINER}\nInstalled-Size: \
         {installed}\nDepends: {DEPENDS}\nRecommends: {RECOMMENDS}\nSuggests: {SUGGESTS}\nSection: sound\nPriority: \
         optional\nDescription: hear a take through another load, and tell what a pickup loses\n A pickup on an \
         acoustic instrument is a small capacitor; the first input that\n it is plugged into makes a high-pass with it \
         that decides its tone.\n .\n Firstjack tells in dB, string by string, what a pickup loses and which\n input to \
         ask for, and plays a take as other inputs would have delivered\n it, level-matched: as CLAP and VST3 plugin, \
         live, as files, or as one page\n for the band.\n"
    )
}
