//! The fault that once burst by 44 dB, kept to be put back on purpose: a glide of the gain's logarithm that keeps slope and curvature when it
//! is turned towards a new target, by stretching them to the new length.

#[derive(Debug, Clone, Copy)]
pub(super) struct Fault {
    from: f64,
    to: f64,
    slope: f64,
    curvature: f64,
    at: f64,
    length: f64,
}

impl Fault {
    pub fn at_rest(gain: f64) -> Self {
        Self { from: gain.ln(), to: gain.ln(), slope: 0.0, curvature: 0.0, at: 1.0, length: 1.0 }
    }

    pub fn value(&self) -> f64 {
        self.log(self.t()).exp()
    }

    pub fn step(&mut self) {
        self.at = (self.at + 1.0).min(self.length);
    }

    pub fn set(&mut self, target: f64, length: f64) {
        let (t, h, stretch) = (self.t(), 1e-4, length / self.length);
        let [before, now, after] = [t - h, t, t + h].map(|t| self.log(t));
        let slope = (after - before) / (2.0 * h) * stretch;
        let curvature = (after - 2.0 * now + before) / (h * h) * stretch * stretch;
        *self = Self { from: now, to: target.ln(), slope, curvature, at: 0.0, length };
    }

    fn t(&self) -> f64 {
        self.at / self.length
    }

    /// The quintic with this value, slope and curvature at the start, and at rest at the end.
    fn log(&self, t: f64) -> f64 {
        let (t3, rest) = (t * t * t, (1.0 - t).powi(3));
        self.from
            + (self.to - self.from) * t3 * (10.0 + t * (6.0 * t - 15.0))
            + self.slope * t * rest * (1.0 + 3.0 * t)
            + 0.5 * self.curvature * t * t * rest
    }
}
