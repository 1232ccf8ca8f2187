//! All but the builds themselves: archives of given files are the same bytes twice, and install and uninstall do what they say in a home
//! of their own.

mod archives;
#[cfg(all(target_os = "linux", target_arch = "x86_64"))]
mod home;

use super::contents::{Common, Linux};
use super::release::Release;

/// Of a commit that nobody made.
fn common() -> Common {
    let release = Release {
        commit: "0123456789abcdef".to_owned(),
        seconds: 1_700_000_000,
        day: "2023-11-14".to_owned(),
        date: "Tue, 14 Nov 2023 22:13:20 +0000".to_owned(),
    };
    Common {
        release,
        guide: b"<!DOCTYPE html><title>Guide</title>".to_vec(),
        licences: "MIT: all\n".to_owned(),
    }
}

/// A program that says its version, or does not run.
fn built(program: &str) -> Linux {
    Linux {
        program: program.into(),
        plugin: b"a plugin".to_vec(),
        manual: ".TH firstjack 1\n".to_owned(),
        bash: "complete firstjack\n".to_owned(),
        zsh: "#compdef firstjack\n".to_owned(),
        fish: "complete -c firstjack\n".to_owned(),
    }
}
