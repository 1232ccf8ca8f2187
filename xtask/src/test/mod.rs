//! Everything that must hold, in steps: from the cheapest to the dearest as long as each needs all cores, then side by side what waits much.

mod beside;
mod build;
mod changed;
mod clock;
mod judges;
mod lints;
mod tests;

use anyhow::{Result, bail, ensure};

use crate::built::Built;
use crate::{demo, licences, screenshots, shell, windows};
use beside::Beside;
use clock::Clock;

/// One thing that must hold.
struct Step {
    /// What `--only` calls it.
    name: &'static str,
    what: &'static str,
    run: fn(&Options) -> Result<()>,
}

const fn step(name: &'static str, what: &'static str, run: fn(&Options) -> Result<()>) -> Step {
    Step { name, what, run }
}

/// What the steps after it need of the system; it begins before all others, in a process of its own.
const SYSTEM: Step = step("system", "what the system and Python must have", |_| judges::prepare());

/// One after the other.
const FIRST: [Step; 7] = [
    step("format", "every source file as rustfmt writes it", |_| {
        shell::run(shell::cargo().args(["fmt", "--all", "--check"]))
    }),
    step("licences", "every dependency's; the patches of vendor are what was changed there", |_| {
        licences::check()?;
        let patches = ["vendor/nice-plug.patch", "vendor/baseview.patch"];
        shell::run(shell::command("git").args(["apply", "--reverse", "--check"]).args(patches))
    }),
    step("lints", "clippy, of the program with sound, with a window only, and with neither", |_| {
        lints::clippy()
    }),
    step("docs", "documentation without warnings", |_| lints::docs()),
    step("plain", "what the program without window and sound refuses", |_| tests::plain()),
    BUILD,
    step("host", "the window in a CLAP host, with nothing beside", |_| tests::alone()),
];

/// What all of the steps below run.
const BUILD: Step =
    step("build", "all tests, and the program and the plugin for the judges", |_| build::build());

/// The steps of which each lane is one after the other, beside the other lanes and the tests of windows.
const LANES: [&[Step]; 3] = [
    &[step("tests", "the tests in Rust, but for those of windows", tests::run)],
    &[step("judges", "scipy, a VST3 host, a workstation, a browser", judges::run)],
    &[
        step("demo", "the demo, and the plugin in a CLAP host", |_| demo::run(&Built::for_tests())),
        step("pictures", "pictures of a real window", |_| screenshots::run(&Built::for_tests(), false)),
    ],
];

/// They wait for frames most of the time, which the lanes fill, and go before them when a frame is due.
const WINDOWS: Step =
    step("x11", "the tests of windows, as their hosts and users see them", |_| tests::windows());

/// Only where it is asked for: beside the others it takes them past half an hour.
const WINE: Step = step("windows", "all for Windows, by wine", |_| windows::check(&Built::for_tests()));

/// What is asked for.
#[derive(Debug, Default, clap::Args)]
pub struct Options {
    /// This step and no other; several times for several
    #[arg(long, value_name = "NAME", conflicts_with = "quick")]
    only: Vec<String>,
    /// Format, lints, and the tests of what has changed but for those of windows: for those who work on it
    #[arg(long)]
    quick: bool,
    /// The build that a step needs has just been made
    #[arg(long, hide = true)]
    built: bool,
}

/// Runs all checks, or some: one after the other up to the first that fails, side by side all of them.
pub fn run(options: &Options) -> Result<()> {
    let mut clock = Clock::start();
    let done = if options.quick {
        quick(&mut clock, options)
    } else if options.only.is_empty() {
        all(&mut clock, options)
    } else {
        only(&mut clock, options)
    };
    clock.tell();
    done?;
    println!(
        "\n{} hold",
        if options.quick || !options.only.is_empty() { "these checks" } else { "all checks" }
    );
    Ok(())
}

fn all(clock: &mut Clock, options: &Options) -> Result<()> {
    let mut system = Some(Beside::start(&[SYSTEM])?);
    for step in &FIRST {
        if step.name == "lints"
            && let Some(system) = system.take()
        {
            system.end(clock, lints::begin)?;
        }
        clock.time(step, options)?;
    }
    let lanes = LANES.iter().map(|steps| Beside::start(steps)).collect::<Result<Vec<_>>>()?;
    let mut done = vec![clock.time(&WINDOWS, options)];
    done.extend(lanes.into_iter().map(|lane| lane.end(clock, || ())));
    let failures: Vec<String> =
        done.into_iter().filter_map(Result::err).map(|error| format!("{error:#}")).collect();
    ensure!(failures.is_empty(), "{}", failures.join("\n"));
    println!("\n!!!!!!!! Windows was not tested: `cargo xtask test --only windows` does it\n");
    Ok(())
}

fn quick(clock: &mut Clock, options: &Options) -> Result<()> {
    FIRST
        .iter()
        .filter(|step| ["format", "lints"].contains(&step.name))
        .try_for_each(|step| clock.time(step, options))?;
    LANES[0].iter().try_for_each(|step| clock.time(step, options))
}

fn only(clock: &mut Clock, options: &Options) -> Result<()> {
    let of_build = || LANES.iter().copied().flatten().chain([&WINE]);
    let known = || [&SYSTEM].into_iter().chain(&FIRST).chain([&WINDOWS]).chain(of_build());
    for name in &options.only {
        if !known().any(|step| step.name == name) {
            let known: Vec<String> = known().map(|step| format!("  {:9} {}", step.name, step.what)).collect();
            bail!("there is no step '{name}'; there are\n{}", known.join("\n"));
        }
    }
    let wanted = |step: &&Step| options.only.iter().any(|name| name == step.name);
    if !options.built && of_build().any(|step| wanted(&step)) && !wanted(&&BUILD) {
        clock.time(&BUILD, options)?;
    }
    known().filter(wanted).try_for_each(|step| clock.time(step, options))
}
