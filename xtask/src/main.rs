//! `cargo xtask`: the demo, all checks, the plugin bundles, pictures of the window and the speed figures.

mod bench;
mod bundle;
mod demo;
mod display;
mod host;
mod licences;
mod measuring;
mod packages;
mod paths;
mod readme;
mod release;
mod screenshots;
mod shell;
mod switching;
mod take;
mod test;
mod windows;

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
    /// Speed, as ratios measured side by side in one run
    Bench {
        /// Minutes of sound in the file that is rendered
        #[arg(long, default_value_t = 10)]
        minutes: u32,
    },
    /// Pictures of the window of `firstjack open`, in target/screenshots
    Screenshots,
    /// The program and the plugin for Windows, cross-built and tested under wine, in target/windows
    Windows {
        /// Only this run of cargo, after `--`, with the toolchain for Windows
        #[arg(last = true)]
        cargo: Vec<std::ffi::OsString>,
    },
}

fn main() -> ExitCode {
    let done = match Xtask::parse().command {
        Command::Demo => demo::run(),
        Command::Test => test::run(),
        Command::Bundle { install } => bundle::run(install),
        Command::Screenshots => screenshots::run(),
        Command::Bench { minutes } => bench::run(minutes),
        Command::Windows { cargo } => windows::run(&cargo),
    };
    if let Err(error) = done {
        eprintln!("xtask: {error:#}");
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}
