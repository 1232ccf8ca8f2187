//! What `process` costs, as multiples of real time, through CLAP in this process.
//!
//! `cargo run --release -p firstjack-plugin --example cost`

#[path = "../tests/host/mod.rs"]
mod host;

use host::{Change, Host, Noise, Sound, preset};

const RATE_HZ: f64 = 48_000.0;
const SECONDS: usize = 60;
const BLOCK: usize = 512;

fn main() {
    let sound = Noise::new(1).sound(2, SECONDS * 48_000);
    let silence = vec![vec![0.0; SECONDS * 48_000]; 2];
    let denormal: Sound = vec![vec![1e-40; SECONDS * 48_000]; 2];
    let setup = |level_match| [("Heard setup", "Setup 2"), ("Level match", level_match)];
    report("setup at rest, level match on", &setup("on"), &sound, &[]);
    for name in ["passive", "magnetic-single", "blend"] {
        report_of(&format!("{name} at rest, match on"), Some(name), &setup("on"), &sound, &[]);
        report_of(&format!("{name} at rest, match off"), Some(name), &setup("off"), &sound, &[]);
    }
    report("setup at rest, level match off", &setup("off"), &sound, &[]);
    report("as recorded", &[], &sound, &[]);
    report("setup at rest, silence", &setup("on"), &silence, &[]);
    report("setup at rest, denormal input", &setup("on"), &denormal, &[]);
    report("as recorded, denormal input", &[], &denormal, &[]);
    // A switch whenever the last one has landed: it never rests.
    let switches: Vec<_> = (0..SECONDS * 48_000)
        .step_by(1_440)
        .enumerate()
        .map(|(i, frame)| Change::new(frame, "Heard setup", if i % 2 == 0 { 0.0 } else { 1.0 }))
        .collect();
    report("ramping without rest", &setup("on"), &sound, &switches);
}

fn report(what: &str, settings: &[(&str, &str)], sound: &Sound, changes: &[Change]) {
    report_of(what, None, settings, sound, changes);
}

fn report_of(what: &str, name: Option<&str>, settings: &[(&str, &str)], sound: &Sound, changes: &[Change]) {
    let mut times: Vec<f64> = (0..5)
        .map(|_| {
            let mut host = match name {
                Some(name) => Host::with_preset(RATE_HZ, &preset(name), settings),
                None => Host::running(RATE_HZ, settings),
            };
            host.run_with(sound, std::iter::repeat(BLOCK), changes);
            host.processing.as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    #[expect(clippy::cast_precision_loss, reason = "a minute")]
    let ratio = |seconds: f64| SECONDS as f64 / seconds;
    println!("{what:32} {:8.0} times real time (best of 5: {:.0})", ratio(times[2]), ratio(times[0]));
}
