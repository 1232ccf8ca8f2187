//! `cargo xtask`: the demo, all checks, the plugin bundles, pictures of the window and the speed figures.

mod bench;
mod built;
mod bundle;
mod demo;
mod display;
mod dist;
mod guide;
mod host;
mod install;
mod licences;
mod measuring;
mod packages;
mod paths;
mod release;
mod screenshots;
mod shell;
mod switching;
mod take;
mod test;
mod windows;

use std::path::PathBuf;
use std::process::ExitCode;

use built::Built;
use clap::{Parser, Subcommand};

#[derive(Debug, Parser)]
#[command(bin_name = "cargo xtask")]
struct Xtask {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// The main job on a synthesised take: renders, curves, verdicts, and the plugin in a host, in target/demo
    Demo,
    /// Everything that must hold: format, lints, docs, licences, tests, outside judges, demo
    Test(test::Options),
    /// The plugin as CLAP and VST3 bundles, in target/bundled
    Bundle {
        /// Also copy the bundles to where this user's hosts look for them
        #[arg(long, conflicts_with = "target")]
        install: bool,
        /// The system that it is built for, as rustc names it; this one without
        #[arg(long, value_name = "TRIPLE")]
        target: Option<String>,
    },
    /// What people get: archives for Linux and Windows and a package for Debian, with checksums, in target/dist
    Dist {
        /// The folder that firstjack.exe, Firstjack.clap and Firstjack.vst3 for Windows were built into; they are built without
        #[arg(long, value_name = "FOLDER")]
        windows: Option<PathBuf>,
        /// Leave Windows out
        #[arg(long, conflicts_with = "windows")]
        without_windows: bool,
        /// Also install, use and remove them in clean systems of Debian 11 and 12 (needs root, debootstrap and lintian)
        #[arg(long)]
        check: bool,
    },
    /// Speed, as ratios measured side by side in one run
    Bench {
        /// Minutes of sound in the file that is rendered
        #[arg(long, default_value_t = 10)]
        minutes: u32,
    },
    /// The guide for people as one HTML file, in target/guide
    Guide,
    /// Pictures of the window of `firstjack open`, and those of the guide, in target/screenshots
    Screenshots {
        /// Also put those of the guide where it shows them, in docs/guide/pictures
        #[arg(long)]
        keep: bool,
    },
    /// The program and the plugin for Windows, cross-built and tested under wine, in target/windows
    Windows {
        /// Only this run of cargo, after `--`, with the toolchain for Windows
        #[arg(last = true)]
        cargo: Vec<std::ffi::OsString>,
    },
}

/// Runs the command that the arguments name.
#[must_use]
pub fn main() -> ExitCode {
    let done = match Xtask::parse().command {
        Command::Demo => bundle::make(None).and_then(|()| demo::run(&Built::for_release())),
        Command::Test(options) => test::run(&options),
        Command::Bundle { install, target } => bundle::run(install, target.as_deref()),
        Command::Dist { windows, without_windows, check } => {
            let windows =
                windows.map_or_else(|| dist::for_windows(without_windows), |folder| Ok(Some(folder)));
            windows.and_then(|windows| dist::run(windows.as_deref(), check))
        }
        Command::Guide => guide::make().map(|page| println!("{}", page.display())),
        Command::Screenshots { keep } => release::build("firstjack/sound", None)
            .and_then(|()| screenshots::run(&Built::for_release(), keep)),
        Command::Bench { minutes } => bench::run(minutes),
        Command::Windows { cargo } => windows::run(&cargo),
    };
    if let Err(error) = done {
        eprintln!("xtask: {error:#}");
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}
