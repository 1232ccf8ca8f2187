//! Speed, as ratios of medians measured side by side in one run: each command in turn, several times over.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use crate::host::Instance;
use crate::{bundle, demo, paths, shell};
use anyhow::{Context, Result, ensure};

const ROUNDS: usize = 5;
const FILE_RATE_HZ: u32 = 96_000;
const BLOCK: u16 = 512;

/// Runs all of it.
pub fn run(minutes: u32) -> Result<()> {
    let folder = paths::target().join("bench");
    fs::create_dir_all(&folder)?;
    shell::run(shell::cargo().args(["build", "--release", "--package", "firstjack"]))?;
    bundle::run(false)?;
    let take = folder.join("take.wav");
    write_take(&take, minutes)?;
    files(&folder, &take, minutes)?;
    plugin()
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

/// One command to be timed.
struct Contender {
    name: &'static str,
    command: Command,
    times: Vec<Duration>,
    peak_kib: u64,
}

fn files(folder: &Path, take: &Path, minutes: u32) -> Result<()> {
    let output = folder.join("out.wav");
    let mut contenders = Vec::new();
    let mut add = |name, program: &Path, arguments: &[&str]| {
        let mut command = shell::command(program);
        let paths = [("TAKE", take), ("OUT", output.as_path())];
        for argument in arguments {
            match paths.iter().find(|(word, _)| word == argument) {
                Some((_, path)) => command.arg(path),
                None => command.arg(argument),
            };
        }
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        contenders.push(Contender { name, command, times: Vec::new(), peak_kib: 0 });
    };
    const RENDER: [&str; 12] = [
        "render",
        "TAKE",
        "--pickup",
        "680p",
        "--through",
        "22M",
        "--load",
        "470k",
        "--overwrite",
        "--quiet",
        "-o",
        "OUT",
    ];
    let program = paths::program();
    add("firstjack without match", &program, &[&RENDER[..], &["--no-match"]].concat());
    add("firstjack with match", &program, &RENDER);
    add("copy", Path::new("cp"), &["TAKE", "OUT"]);
    if shell::has("sox") {
        add("sox highpass -1", Path::new("sox"), &["TAKE", "OUT", "highpass", "-1", "498"]);
    }
    if shell::has("ffmpeg") {
        add(
            "ffmpeg highpass=p=1",
            Path::new("ffmpeg"),
            &["-y", "-i", "TAKE", "-af", "highpass=p=1:f=498", "-c:a", "pcm_f32le", "OUT"],
        );
    }
    for round in 0..=ROUNDS {
        for contender in &mut contenders {
            // Everyone starts without the last one's file, and without its pages still on their way to the disk.
            if output.exists() {
                fs::remove_file(&output)?;
            }
            if shell::has("sync") {
                shell::run(&mut shell::command("sync"))?;
            }
            contender.run(round > 0)?;
        }
    }
    println!("\n{minutes} min of {FILE_RATE_HZ} Hz stereo float, medians of {ROUNDS} rounds in turn:");
    let reference =
        contenders.iter().find(|contender| contender.name.starts_with("sox")).map(Contender::median);
    for contender in &contenders {
        let median = contender.median();
        let ratio = reference.map_or("no sox to compare with".to_owned(), |sox| {
            format!("{:.2} of sox", median.as_secs_f64() / sox.as_secs_f64())
        });
        let peak_mib = contender.peak_kib / 1024;
        println!("  {:24} {:6.2} s  {ratio}, at most {peak_mib} MiB", contender.name, median.as_secs_f64());
    }
    Ok(())
}

impl Contender {
    fn run(&mut self, counts: bool) -> Result<()> {
        let start = Instant::now();
        let mut child = self.command.spawn().with_context(|| format!("cannot start {}", self.name))?;
        let running = AtomicBool::new(true);
        let (status, peak_kib) = thread::scope(|scope| {
            let (id, running) = (child.id(), &running);
            let watcher = scope.spawn(move || watch_memory(id, running));
            let status = child.wait();
            running.store(false, Ordering::Relaxed);
            (status, watcher.join().unwrap_or(0))
        });
        ensure!(status?.success(), "{} failed", self.name);
        if counts {
            self.times.push(start.elapsed());
            self.peak_kib = self.peak_kib.max(peak_kib);
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

/// The plugin in a host, 48 kHz stereo: how many times faster than real time.
fn plugin() -> Result<()> {
    const SECONDS: u32 = 20;
    let rate_hz = f64::from(demo::RATE_HZ);
    let take = demo::recorded(rate_hz)?;
    let silence = vec![0.0_f32; take.len()];
    let blocks = usize::try_from(SECONDS * demo::RATE_HZ)? / usize::from(BLOCK);
    let mut instance = Instance::load(&bundle::folder().join("Firstjack.clap"), rate_hz, BLOCK)?;
    instance.set("Heard setup", "Setup 2")?;
    let mut times = [Vec::new(), Vec::new(), Vec::new()];
    for round in 0..=ROUNDS {
        let scenes: [(&[f32], bool); 3] = [(&take, false), (&take, true), (&silence, false)];
        for (times, (signal, ramps)) in times.iter_mut().zip(scenes) {
            let mut spent = Duration::ZERO;
            for block in 0..blocks {
                if ramps {
                    // Before each glide is over the next begins.
                    instance.set("Heard setup", if block % 2 == 0 { "Setup 1" } else { "Setup 2" })?;
                }
                let from = block * usize::from(BLOCK);
                let start = Instant::now();
                instance.step(&signal[from..from + usize::from(BLOCK)])?;
                spent += start.elapsed();
            }
            if round > 0 {
                times.push(spent);
            }
        }
    }
    let [rest, ramp, silent] = times.map(|times| median(times).as_secs_f64());
    let seconds = f64::from(SECONDS);
    println!(
        "\nplugin, 48 kHz stereo in blocks of {BLOCK}, level match on, medians of {ROUNDS} rounds in turn:"
    );
    println!("  at rest   {:6.0} times real time", seconds / rest);
    println!("  ramping   {:6.0} times real time", seconds / ramp);
    println!(
        "  silence   {:6.0} times real time, {:.2} of the cost of sound",
        seconds / silent,
        silent / rest
    );
    Ok(())
}
