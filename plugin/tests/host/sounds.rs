//! Sounds to send in, and ways to compare what comes out.

/// Channels of samples.
pub type Sound = Vec<Vec<f32>>;

/// A generator for test signals and settings (Knuth's MMIX constants): the same on every machine.
pub struct Noise(u64);

impl Noise {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Uniform in 0..1.
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).unwrap()) / f64::from(u32::MAX)
    }

    /// A whole number below `end`.
    pub fn below(&mut self, end: u32) -> u32 {
        self.unit();
        u32::try_from(self.0 >> 32).unwrap() % end
    }

    /// White noise of peak 0.5.
    #[expect(clippy::cast_possible_truncation, reason = "samples are f32")]
    pub fn sound(&mut self, channels: usize, frames: usize) -> Sound {
        (0..channels).map(|_| (0..frames).map(|_| (self.unit() - 0.5) as f32).collect()).collect()
    }
}

/// A sine of peak `peak` on every channel.
#[expect(clippy::cast_possible_truncation, clippy::cast_precision_loss, reason = "samples are f32")]
pub fn sine(channels: usize, frames: usize, hz: f64, rate_hz: f64, peak: f64) -> Sound {
    let step = std::f64::consts::TAU * hz / rate_hz;
    let channel = (0..frames).map(|i| (peak * (step * i as f64).sin()) as f32).collect();
    vec![channel; channels]
}

/// The first sample whose bits differ, if any, as text for a message.
pub fn difference(a: &Sound, b: &Sound) -> Option<String> {
    if a.len() != b.len() || a.iter().zip(b).any(|(a, b)| a.len() != b.len()) {
        return Some("the shapes differ".to_owned());
    }
    a.iter().zip(b).enumerate().find_map(|(channel, (a, b))| {
        let at = a.iter().zip(b).position(|(a, b)| a.to_bits() != b.to_bits())?;
        Some(format!("channel {channel}, frame {at}: {:e} and {:e}", a[at], b[at]))
    })
}

/// Fails unless both have the same bits.
#[track_caller]
pub fn assert_same(a: &Sound, b: &Sound, what: &str) {
    if let Some(difference) = difference(a, b) {
        panic!("{what}: {difference}");
    }
}

/// Of the peak, -120 dB: chains that have their parts in another order round otherwise.
const SAME: f32 = 1e-6;

/// Fails unless both are the same to -120 dB of their peak.
#[track_caller]
pub fn assert_close(a: &[f32], b: &[f32], what: &str) {
    let peak = a.iter().chain(b).fold(0.0f32, |peak, x| peak.max(x.abs()));
    let off = a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0f32, f32::max);
    assert!(peak > 0.0 && off <= SAME * peak, "{what}: off by {off:e}, peak {peak:e}");
}

/// The largest bend: the second difference of a sine of angular frequency w is w² times the sine; a click shows as
/// much more.
pub fn bend(part: &[f32]) -> f64 {
    part.windows(3)
        .map(|w| f64::from(w[0]) - 2.0 * f64::from(w[1]) + f64::from(w[2]))
        .fold(0.0, |a, b| a.max(b.abs()))
}
