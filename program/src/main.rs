//! `firstjack`: tells what a pickup loses, renders takes through other loads, draws the curves, packs a comparison into one page.

mod advice;
mod arguments;
mod catalogue;
mod curve;
#[cfg(feature = "sound")]
mod devices;
#[cfg(feature = "window")]
mod display;
mod error;
mod format;
mod interrupt;
mod kit;
#[cfg(feature = "sound")]
mod live;
mod manual;
mod measure;
mod name;
mod new;
mod note;
#[cfg(feature = "window")]
mod open;
mod output;
mod pack;
mod paper;
mod passes;
mod plot;
mod progress;
mod reamp;
mod render;
mod rescue;
mod source;
mod stdout;
mod style;
mod tell;
mod typeset;
mod votes;

use std::borrow::Cow;
use std::io::Write;
use std::process::ExitCode;

use clap::Parser;
use firstjack_words::visible_but;

use arguments::{Command, Firstjack};
use error::Failure;

fn main() -> ExitCode {
    match run(&Firstjack::try_parse().unwrap_or_else(|error| refuse(&error))) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            let red = anstyle::AnsiColor::Red.on_default().bold();
            // With nobody there to read it the exit code has to do.
            let _ = writeln!(anstream::stderr(), "{red}firstjack:{red:#} {}", failure.told());
            ExitCode::from(failure.exit_code())
        }
    }
}

/// Ends as clap would: with help, or with what is wrong with the arguments. Those it quotes, so that they may steer nothing.
fn refuse(error: &clap::Error) -> ! {
    let plain = error.render().to_string();
    if let Cow::Owned(shown) = visible_but(&plain, &['\n']) {
        let _ = anstream::stderr().write_all(shown.as_bytes());
        std::process::exit(error.exit_code());
    }
    error.exit()
}

/// What is told of a topic, or of a command by itself.
fn help(topic: Option<&str>) -> Result<(), Failure> {
    if topic == Some("setups") {
        return stdout::print(include_str!("../../docs/setups.md"));
    }
    let words = ["firstjack"].into_iter().chain(topic).chain(["--help"]);
    Firstjack::try_parse_from(words).map_or_else(|error| refuse(&error), |_| Ok(()))
}

fn run(firstjack: &Firstjack) -> Result<(), Failure> {
    match &firstjack.command {
        Command::Tell(arguments) => tell::run(arguments),
        Command::Render(arguments) => render::run(arguments),
        Command::Curve(arguments) => curve::run(arguments),
        Command::Pack(arguments) => pack::run(arguments),
        Command::Note(arguments) => note::run(arguments),
        Command::IntoAmp(arguments) => reamp::run(arguments),
        Command::Rescue(arguments) => rescue::run(arguments),
        Command::Measure(arguments) => measure::run(arguments),
        #[cfg(feature = "window")]
        Command::Open(arguments) => open::run(arguments),
        #[cfg(not(feature = "window"))]
        Command::Open(_) => Err(Failure::Unbuilt { command: "open", feature: "window" }),
        #[cfg(feature = "sound")]
        Command::Live(arguments) => live::run(arguments),
        #[cfg(not(feature = "sound"))]
        Command::Live(_) => Err(Failure::Unbuilt { command: "live", feature: "sound" }),
        Command::Votes(arguments) => votes::run(arguments),
        Command::Kit(arguments) => kit::run(arguments),
        Command::List => catalogue::run(),
        Command::Completions { shell } => manual::completions(*shell),
        Command::Man => manual::man(),
        Command::New(arguments) => new::run(arguments),
        Command::Help { topic } => help(topic.as_deref()),
    }
}
