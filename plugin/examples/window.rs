//! What an open window costs: of one core while nothing happens, and of our own code in a frame. On X11 with software GL.
//!
//! `cargo run --release -p firstjack-plugin --example window`

#[path = "../tests/editor_host/display.rs"]
#[allow(dead_code, reason = "tests use more of it")]
mod display;
#[path = "../tests/editor/fake.rs"]
#[allow(dead_code, reason = "tests use more of it")]
mod fake;
#[path = "../tests/host/mod.rs"]
mod host;

use std::hint::black_box;
use std::thread::sleep;
use std::time::{Duration, Instant};

use display::{Display, SIZE, until};
use egui::{RawInput, Rect};
use fake::Fake;
use firstjack_plugin::editor::{Model, Theme, Views, apply_theme};
use host::{Host, Noise, Sound};

const RATE_HZ: f64 = 48_000.0;
/// A hundredth of a second.
const BLOCK: usize = 480;
const SECONDS: u32 = 20;
const FRAMES: u32 = 600;
/// Ticks of `/proc/self/stat` in a second (`USER_HZ` of Linux on all architectures of ours).
const TICKS: f64 = 100.0;

fn main() {
    frames();
    let folder = tempfile::tempdir().expect("a folder");
    // SAFETY: no other thread is running yet.
    let display = unsafe {
        std::env::set_var("XDG_CONFIG_HOME", folder.path());
        Display::new()
    };
    let Some(display) = display else { return };
    let silence = vec![vec![0.0; BLOCK]; 2];
    let noise = Noise::new(1).sound(2, BLOCK);
    let mut host = Host::running(RATE_HZ, &[("Heard setup", "Setup 2")]);
    report("silence without a window", &mut host, &silence);
    let window = display.window();
    host.open_editor(window);
    until("drawn", || {
        host.idle();
        display.is_drawn(window)
    });
    report("silence with the window open", &mut host, &silence);
    report("noise with the window open", &mut host, &noise);
    host.show_editor(false);
    report("noise with the window hidden", &mut host, &noise);
    host.show_editor(true);
    display.map(window, false);
    report("noise with the host's window hidden", &mut host, &noise);
    display.map(window, true);
    host.close_editor();
    report("noise after the window closed", &mut host, &noise);
}

/// Of one core, at the pace of real time.
fn report(what: &str, host: &mut Host, sound: &Sound) {
    let mut run = |seconds: u32| {
        let begin = Instant::now();
        for block in 1..=seconds * 100 {
            host.run(sound, BLOCK);
            host.idle();
            sleep((begin + Duration::from_millis(10) * block).saturating_duration_since(Instant::now()));
        }
        begin.elapsed()
    };
    // What has just happened dies away.
    run(4);
    let before = ticks();
    let took = run(SECONDS);
    let percent = 100.0 * (ticks() - before) / TICKS / took.as_secs_f64();
    println!("{what:36} {percent:5.2} % of one core over {:.0} s", took.as_secs_f64());
}

/// What this process has had of all cores, in ticks.
fn ticks() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").expect("Linux");
    // The name before may hold anything; user and system time are the 14th and 15th field.
    let fields: Vec<&str> = stat.rsplit(')').next().expect("fields").split_whitespace().collect();
    fields[11..13].iter().map(|field| field.parse::<f64>().expect("a number")).sum()
}

/// Views and their shapes, with everything in motion; what the library draws of them is not counted.
fn frames() {
    let context = egui::Context::default();
    apply_theme(&context, Theme::Dark);
    let mut session = Fake::courtyard();
    session.document.heard = Some(1);
    let model = Model::new(&mut session);
    let mut views = Views::default();
    let screen_rect = Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(f32::from(SIZE.0), f32::from(SIZE.1)));
    let mut readings = session.readings;
    let mut random = Noise::new(1);
    let (mut own, mut all) = (Vec::new(), Vec::new());
    for frame in 0..FRAMES {
        readings.version += 1;
        readings.rate_hz = RATE_HZ;
        readings.input.true_peak_db = -20.0 * random.unit();
        readings.output = readings.input;
        readings.spectrum =
            (0..240).map(|point| (20.0 * (f64::from(point) / 24.0).exp2(), -60.0 * random.unit())).collect();
        let input = RawInput {
            screen_rect: Some(screen_rect),
            time: Some(f64::from(frame) / 30.0),
            ..RawInput::default()
        };
        let begin = Instant::now();
        let mut taken = Duration::ZERO;
        let mut output = context.run_ui(input, |ui| {
            let begin = Instant::now();
            views.show(ui, &model, &readings, &mut Vec::new());
            taken = begin.elapsed();
        });
        black_box(context.tessellate(output.shapes, output.pixels_per_point));
        own.push(taken);
        all.push(begin.elapsed());
        // For a painter, which there is none of.
        output.textures_delta.clear();
    }
    for (what, times) in [("views", &mut own), ("views, layout and triangles", &mut all)] {
        times.sort_unstable();
        let [half, most] = [50, 99].map(|percent| times[times.len() * percent / 100]);
        println!("a frame, {what:28} half within {half:.2?}, 99 % within {most:.2?}");
    }
}
