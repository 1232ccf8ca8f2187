//! Speed, as ratios of medians measured side by side in one run: each command in turn, several times over.

use std::fs;
use std::hint::black_box;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use crate::built::Built;
use crate::display::Display;
use crate::host::Instance;
use crate::{bundle, demo, measuring, paths, shell};
use anyhow::{Context, Result, ensure};
use dsp_core::filter::Sections;
use dsp_core::preset::{Preset, Setup};
use dsp_core::response::{Ceiling, Change, Shape, Transfer};

const ROUNDS: usize = 5;
const FILE_RATE_HZ: u32 = 96_000;
const BLOCK: u16 = 512;

/// The plugin with the largest preset chain at rest is at least this many times faster than real time.
const PLUGIN_TIMES: f64 = 600.0;
/// A parameter that moves in every frame costs at most this much of a core.
const TURNED_PERCENT: f64 = 10.0;
/// From a circuit to its sections it takes at most this long.
const DESIGN_MICROSECONDS: f64 = 50.0;

/// Runs all of it.
pub fn run(minutes: u32) -> Result<()> {
    let folder = paths::target().join("bench");
    fs::create_dir_all(&folder)?;
    bundle::make(None)?;
    let take = folder.join("take.wav");
    write_take(&take, minutes)?;
    files(&folder, &take, minutes)?;
    measuring(&folder)?;
    plugin()?;
    window()
}

/// What an open window costs, where windows are those of X11.
fn window() -> Result<()> {
    if !cfg!(target_os = "linux") {
        return Ok(());
    }
    let display = Display::new()?;
    println!("\nan open window:");
    let mut command = shell::cargo();
    command.args(["run", "--release", "--quiet", "--package", "firstjack-plugin", "--example", "window"]);
    if let Some(name) = &display.name {
        command.env("DISPLAY", name);
    }
    shell::run(&mut command)
}

/// Stereo takes of the demo, one after the other; the right channel is half a take late.
fn write_take(path: &Path, minutes: u32) -> Result<()> {
    let take = demo::recorded(f64::from(FILE_RATE_HZ))?;
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: FILE_RATE_HZ,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut writer = hound::WavWriter::create(path, spec)?;
    let frames = usize::try_from(minutes * 60 * FILE_RATE_HZ)?;
    for frame in 0..frames {
        writer.write_sample(take[frame % take.len()])?;
        writer.write_sample(take[(frame + take.len() / 2) % take.len()])?;
    }
    Ok(writer.finalize()?)
}
/// What is to be timed: commands one after the other.
struct Contender {
    name: &'static str,
    commands: Vec<Command>,
    times: Vec<Duration>,
    peak_kib: u64,
}

/// Contenders in turn, and what the first of them may cost at most of others.
struct Race<'a> {
    folder: &'a Path,
    take: &'a Path,
    contenders: Vec<Contender>,
}

const RENDER: [&str; 7] = ["render", "TAKE", "--overwrite", "--quiet", "-o", "OUT", "--through"];
const PICKUP: [&str; 5] = ["22M", "--pickup", "680p", "--load", "470k"];
const FFMPEG: [&str; 6] = ["-y", "-nostats", "-loglevel", "error", "-i", "TAKE"];
const SETS: usize = 6;

/// One matched rendering, six of them, a page: each beside what a program of the trade makes of the same take.
fn files(folder: &Path, take: &Path, minutes: u32) -> Result<()> {
    println!("\n{minutes} min of {FILE_RATE_HZ} Hz stereo float, medians of {ROUNDS} rounds in turn:");
    let program = paths::program();
    let mut race = Race::new(folder, take);
    race.add("firstjack with match", 1, &program, &[&RENDER[..], &PICKUP].concat());
    race.add("firstjack without match", 1, &program, &[&RENDER[..], &PICKUP, &["--no-match"]].concat());
    race.add("copy", 1, Path::new("cp"), &["TAKE", "OUT"]);
    race.add_other("sox", "sox highpass -1", 1, &["TAKE", "OUT", "highpass", "-1", "498"]);
    race.run(&[("sox", 1.0)])?;

    println!("six matched renderings:");
    let mut race = Race::new(folder, take);
    let setups = folder.join("six.toml");
    fs::write(&setups, six_setups())?;
    let set = ["render", "TAKE", "--setups", "SIX", "-o", "SET", "--overwrite", "--quiet"];
    race.add("firstjack, a set of six", 1, &program, &set);
    race.add_other("sox", "sox highpass -1, six runs", SETS, &["TAKE", "OUT", "highpass", "-1", "498"]);
    let measured = [&FFMPEG[..], &["-af", "highpass=p=1:f=498,ebur128", "-c:a", "pcm_f32le", "OUT"]].concat();
    race.add_other("ffmpeg", "ffmpeg highpass,ebur128, six runs", SETS, &measured);
    race.run(&[("sox", 0.6), ("ffmpeg", 0.15)])?;

    println!("a page of eight sounds:");
    let mut race = Race::new(folder, take);
    let page = ["pack", "TAKE", "--setups", "SIX", "--audio", "opus", "--kbps", "128", "-o", "PAGE"];
    race.add("firstjack pack", 1, &program, &[&page[..], &["--overwrite", "--quiet"]].concat());
    let opus = [&FFMPEG[..], &["-c:a", "libopus", "-b:a", "128k", "-ar", "48000", "OPUS"]].concat();
    race.add_other("ffmpeg", "ffmpeg libopus, eight runs", 8, &opus);
    race.run(&[("ffmpeg", 1.0)])
}

/// What is found from recordings, each beside a copy of what it read last.
fn measuring(folder: &Path) -> Result<()> {
    println!(
        "a pickup found from 23 s of sweeps, and from 29 s of toggles (at most 2 s and 200 MiB are asked for):"
    );
    let pickups = demo::courtyard()?.pickups;
    for (name, arguments) in [
        ("firstjack measure pickup", measuring::sweeps(&Built::for_release(), folder, 680e-12)?),
        ("firstjack measure toggle", measuring::toggles(folder, &pickups)?),
    ] {
        let arguments: Vec<&str> = arguments.iter().filter_map(|argument| argument.to_str()).collect();
        let mut race = Race::new(folder, Path::new(arguments[arguments.len() - 1]));
        race.add(name, 1, &paths::program(), &arguments);
        race.add("copy", 1, Path::new("cp"), &["TAKE", "OUT"]);
        race.run(&[])?;
    }
    Ok(())
}

/// As many setups as a set has, each another load.
fn six_setups() -> String {
    let loads = ["56k", "470k", "1M", "470k || 1M", "2M2", "10M"];
    let setup = |load: &str| format!("[[setup]]\nname = \"{load}\"\nload = \"{load}\"\n");
    let head =
        "version = 2\nname = \"six\"\npickup = { capacitance = \"680p\" }\nrecorded = { load = \"22M\" }\n";
    head.to_owned() + &loads.map(setup).concat()
}

impl<'a> Race<'a> {
    const fn new(folder: &'a Path, take: &'a Path) -> Self {
        Self { folder, take, contenders: Vec::new() }
    }

    /// So many runs of a program, one after the other.
    fn add(&mut self, name: &'static str, runs: usize, program: &Path, arguments: &[&str]) {
        let command = || {
            let mut command = shell::command(program);
            for argument in arguments {
                command.arg(match *argument {
                    "TAKE" => self.take.to_owned(),
                    "OUT" => self.folder.join("out.wav"),
                    "OPUS" => self.folder.join("out.opus"),
                    "PAGE" => self.folder.join("out.html"),
                    "SET" => self.folder.join("out"),
                    "SIX" => self.folder.join("six.toml"),
                    other => other.into(),
                });
            }
            command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
            command
        };
        let commands = (0..runs).map(|_| command()).collect();
        self.contenders.push(Contender { name, commands, times: Vec::new(), peak_kib: 0 });
    }

    /// The same where the program is installed.
    fn add_other(&mut self, program: &str, name: &'static str, runs: usize, arguments: &[&str]) {
        if shell::has(program) {
            self.add(name, runs, Path::new(program), arguments);
        } else {
            println!("  no {program} to compare with");
        }
    }

    fn run(mut self, bars: &[(&str, f64)]) -> Result<()> {
        for round in 0..=ROUNDS {
            for contender in &mut self.contenders {
                // Everyone starts without the last one's files, and without its pages still on their way to the disk.
                for name in ["out.wav", "out.opus", "out.html"] {
                    let _ = fs::remove_file(self.folder.join(name));
                }
                let _ = fs::remove_dir_all(self.folder.join("out"));
                if shell::has("sync") {
                    shell::run(&mut shell::command("sync"))?;
                }
                contender.run(round > 0)?;
            }
        }
        let ours = self.contenders[0].median().as_secs_f64();
        for contender in &self.contenders {
            let (seconds, peak_mib) = (contender.median().as_secs_f64(), contender.peak_kib / 1024);
            println!("  {:34} {seconds:6.2} s, at most {peak_mib} MiB", contender.name);
            for (_, bar) in bars.iter().filter(|(program, _)| contender.name.starts_with(program)) {
                println!("    firstjack takes {:.2} of it (at most {bar} is asked for)", ours / seconds);
            }
        }
        Ok(())
    }
}

impl Contender {
    fn run(&mut self, counts: bool) -> Result<()> {
        let start = Instant::now();
        for command in &mut self.commands {
            let mut child = command.spawn().with_context(|| format!("cannot start {}", self.name))?;
            let running = AtomicBool::new(true);
            let (status, peak_kib) = thread::scope(|scope| {
                let (id, running) = (child.id(), &running);
                let watcher = scope.spawn(move || watch_memory(id, running));
                let status = child.wait();
                running.store(false, Ordering::Relaxed);
                (status, watcher.join().unwrap_or(0))
            });
            ensure!(status?.success(), "{} failed", self.name);
            self.peak_kib = self.peak_kib.max(peak_kib);
        }
        if counts {
            self.times.push(start.elapsed());
        }
        Ok(())
    }

    fn median(&self) -> Duration {
        median(self.times.clone())
    }
}

/// The peak memory of a process in KiB, as the kernel keeps it (`VmHWM`), read until it ends; zero where there is no /proc. What
/// the kernel reports of an ended child would count the memory of this program too, in which the child began.
fn watch_memory(process: u32, running: &AtomicBool) -> u64 {
    let mut peak_kib = 0;
    while running.load(Ordering::Relaxed) {
        let status = fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kib = line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok());
        // The first look may still find this program in the child's place.
        if status.lines().next().is_some_and(|name| !name.contains("xtask")) {
            peak_kib = kib.unwrap_or(0).max(peak_kib);
        }
        thread::sleep(Duration::from_millis(5));
    }
    peak_kib
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

/// The plugin in a host, 48 kHz stereo: how many times faster than real time, with a plain setup and with the largest chain
/// of all presets.
fn plugin() -> Result<()> {
    let rate_hz = f64::from(demo::RATE_HZ);
    println!(
        "\nplugin, 48 kHz stereo in blocks of {BLOCK}, level match on, medians of {ROUNDS} rounds in turn:"
    );
    let mut instance = Instance::load(&bundle::folder().join("Firstjack.clap"), rate_hz, BLOCK)?;
    scenes(&mut instance, ["Setup 2", "Setup 1"])?;
    let largest = Largest::of(|_| true)?;
    let heard = |setup: usize| format!("Setup {}", setup + 1);
    let (this, other) = (heard(largest.setup), heard(if largest.setup == 0 { 1 } else { 0 }));
    println!("  the largest preset chain, {} of {}:", this, largest.name);
    instance.load_preset(&largest.text)?;
    scenes(&mut instance, [&this, &other])?;
    println!("  (at rest at least {PLUGIN_TIMES} are asked for)");
    let blend = Largest::of(|preset| preset.pickups.count() == 2)?;
    println!(
        "  the largest blend, Setup {} of {}, its load turned in every frame:",
        blend.setup + 1,
        blend.name
    );
    instance.load_preset(&blend.text)?;
    instance.set("Heard setup", &format!("Setup {}", blend.setup + 1))?;
    turned(&mut instance, blend.setup + 1)?;
    largest.design(rate_hz);
    Ok(())
}

/// The load of a setup that is heard, turned in every frame.
fn turned(instance: &mut Instance, setup: usize) -> Result<()> {
    const SECONDS: u32 = 5;
    let take = demo::recorded(f64::from(demo::RATE_HZ))?;
    let blocks = usize::try_from(SECONDS * demo::RATE_HZ)? / usize::from(BLOCK);
    let name = format!("Setup {setup} load resistance");
    let mut times = [Vec::new(), Vec::new()];
    for round in 0..=ROUNDS {
        for (times, turns) in times.iter_mut().zip([false, true]) {
            let mut spent = Duration::ZERO;
            for block in 0..blocks {
                let from = block * usize::from(BLOCK);
                if turns {
                    let ends = [["100k", "2M2"], ["2M2", "100k"]][block % 2];
                    instance.turn(&name, ends[0], ends[1])?;
                }
                let start = Instant::now();
                instance.step(&take[from..from + usize::from(BLOCK)])?;
                spent += start.elapsed();
            }
            if round > 0 {
                times.push(spent);
            }
        }
    }
    let [rest, turned] = times.map(|times| 100.0 * median(times).as_secs_f64() / f64::from(SECONDS));
    println!("  at rest   {rest:6.2} % of a core");
    println!("  turned    {turned:6.2} % of a core (at most {TURNED_PERCENT} are asked for)");
    Ok(())
}

/// At rest in the first of two setups, ramping between both, and in silence.
fn scenes(instance: &mut Instance, setups: [&str; 2]) -> Result<()> {
    const SECONDS: u32 = 20;
    let take = demo::recorded(f64::from(demo::RATE_HZ))?;
    let silence = vec![0.0_f32; take.len()];
    let blocks = usize::try_from(SECONDS * demo::RATE_HZ)? / usize::from(BLOCK);
    instance.set("Heard setup", setups[0])?;
    let mut times = [Vec::new(), Vec::new(), Vec::new()];
    for round in 0..=ROUNDS {
        let scenes: [(&[f32], bool); 3] = [(&take, false), (&take, true), (&silence, false)];
        for (times, (signal, ramps)) in times.iter_mut().zip(scenes) {
            let mut spent = Duration::ZERO;
            for block in 0..blocks {
                if ramps {
                    // Before each change is over the next begins.
                    instance.set("Heard setup", setups[(block + 1) % 2])?;
                }
                let from = block * usize::from(BLOCK);
                let start = Instant::now();
                instance.step(&signal[from..from + usize::from(BLOCK)])?;
                spent += start.elapsed();
            }
            if round > 0 {
                times.push(spent);
            }
            if ramps {
                instance.set("Heard setup", setups[0])?;
            }
        }
    }
    let [rest, ramp, silent] = times.map(|times| median(times).as_secs_f64());
    let seconds = f64::from(SECONDS);
    println!("  at rest   {:6.0} times real time", seconds / rest);
    println!("  ramping   {:6.0} times real time", seconds / ramp);
    println!(
        "  silence   {:6.0} times real time, {:.2} of the cost of sound",
        seconds / silent,
        silent / rest
    );
    Ok(())
}

/// The setup whose changes, of all its pickups, have the most roots: four digital ones for each, two to a section.
struct Largest {
    name: String,
    text: String,
    setup: usize,
    preset: Preset,
}

impl Largest {
    fn of(counts: impl Fn(&Preset) -> bool) -> Result<Self> {
        let mut largest = None;
        let entries = fs::read_dir(paths::root().join("presets"))?;
        let mut files: Vec<_> = entries.map(|entry| Ok(entry?.path())).collect::<Result<_>>()?;
        files.sort();
        for file in files {
            let text = fs::read_to_string(file)?;
            // There are catalogues too.
            let Ok(preset) = Preset::from_toml(&text) else { continue };
            for setup in (0..preset.setups.len()).filter(|_| counts(&preset)) {
                let candidate =
                    Self { name: preset.name.clone(), text: text.clone(), setup, preset: preset.clone() };
                let roots = candidate.shapes().map(|shape| shape.zeros.degree().max(shape.poles.degree()));
                let roots = roots.max().unwrap_or(0);
                if largest.as_ref().is_none_or(|(most, _): &(usize, Self)| roots > *most) {
                    largest = Some((roots, candidate));
                }
            }
        }
        Ok(largest.context("there is no preset")?.1)
    }

    /// From the circuit to what each pickup's track is changed by.
    fn shapes(&self) -> impl Iterator<Item = Shape> {
        let Preset { pickups, recorded, recorded_at, setups, .. } = &self.preset;
        let Setup { chain, positions, .. } = &setups[self.setup];
        (0..pickups.count()).map(move |pickup| {
            let from = Transfer::of(&pickups.with_positions(*recorded_at), pickup, recorded);
            let to = Transfer::of(&pickups.with_positions(*positions), pickup, chain);
            Change::new(&from, &to).shape(Ceiling::default())
        })
    }

    /// Times what a parameter's step costs the audio thread: both responses, their ratio's roots, the sections.
    fn design(&self, rate_hz: f64) {
        const DESIGNS: u32 = 2_000;
        let mut times = Vec::new();
        for _ in 0..=ROUNDS {
            let start = Instant::now();
            for _ in 0..DESIGNS {
                for shape in black_box(self).shapes() {
                    black_box(Sections::new(&shape, rate_hz));
                }
            }
            times.push(start.elapsed() / DESIGNS);
        }
        let pickups = self.preset.pickups.count();
        let each = median(times).as_secs_f64() * 1e6 / f64::from(u32::try_from(pickups).unwrap_or(u32::MAX));
        println!(
            "  a design  {each:6.1} µs for each of {pickups} pickups (at most {DESIGN_MICROSECONDS} are asked for)"
        );
    }
}
