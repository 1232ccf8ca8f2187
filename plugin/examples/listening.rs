//! What listening costs a frame of an open window at 60 frames a second, in stereo.

use std::sync::Arc;
use std::time::{Duration, Instant};

use firstjack_plugin::editor::Listener;
use firstjack_plugin::telemetry::Telemetry;

const FRAMES: u32 = 1200;

fn main() {
    for rate_hz in [48_000.0_f64, 96_000.0, 192_000.0] {
        let telemetry = Arc::new(Telemetry::default());
        let mut teller = telemetry.activate(rate_hz, 2);
        let mut listener = Listener::new(telemetry);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rate in Hz")]
        let frames = (rate_hz / 60.0) as usize;
        let mut random = fastrand::Rng::with_seed(1);
        let mut times = Vec::new();
        for frame in 0..FRAMES {
            let mut sound = [(); 2].map(|()| (0..frames).map(|_| random.f32() - 0.5).collect::<Vec<f32>>());
            let [left, right] = &mut sound;
            let block: [&mut [f32]; 2] = [left, right];
            teller.input(&block);
            teller.output(&block);
            let begin = Instant::now();
            std::hint::black_box(listener.listen(f64::from(frame) / 60.0));
            times.push(begin.elapsed());
        }
        times.sort_unstable();
        let mean = times.iter().sum::<Duration>() / FRAMES;
        let [half, most, worst] = [50, 95, 99].map(|percent| times[times.len() * percent / 100]);
        println!("{rate_hz} Hz: mean {mean:?}, half within {half:?}, 95 % {most:?}, 99 % {worst:?}");
    }
}
