//! `cargo xtask`: the demo, all checks, the plugin bundles, pictures of the window and the speed figures.

mod bench;
mod bundle;
mod demo;
mod display;
mod dist;
mod guide;
mod host;
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

use std::path::PathBuf;
use std::process::ExitCode;

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
    Test,
    /// The plugin as CLAP and VST3 bundles, in target/bundled
    Bundle {
        /// Also copy the bundles to where this user's hosts look for them
        #[arg(long)]
        install: bool,
    },
    /// What people get: archives for Linux and Windows and a package for Debian, with checksums, in target/dist
    Dist {
        /// The folder that firstjack.exe, Firstjack.clap and Firstjack.vst3 for Windows were built into
        #[arg(long, value_name = "FOLDER")]
        windows: Option<PathBuf>,
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
}

fn main() -> ExitCode {
    let done = match Xtask::parse().command {
        Command::Demo => demo::run(),
        Command::Test => test::run(),
        Command::Bundle { install } => bundle::run(install),
        Command::Dist { windows, check } => dist::run(windows.as_deref(), check),
        Command::Guide => guide::make().map(|page| println!("{}", page.display())),
        Command::Screenshots { keep } => screenshots::run(keep),
        Command::Bench { minutes } => bench::run(minutes),
    };
    if let Err(error) = done {
        eprintln!("xtask: {error:#}");
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}
