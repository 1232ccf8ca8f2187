use super::{Response, Shape, Transfer};

/// The top of the band, in Hz.
const TOP_HZ: f64 = 20e3;

/// Where a level is looked for that is missing everywhere: octaves from here on, in Hz, so many.
const LEVEL_HZ: (f64, u8) = (31.25, 10);

/// One pickup's load taken away, or changed for another.
#[derive(Debug, Clone, Copy)]
pub struct Undo<'a> {
    /// The response that was recorded.
    pub from: &'a Transfer,
    /// The one that is to be heard.
    pub to: &'a Transfer,
    /// What was applied.
    pub shape: &'a Shape,
    /// Whether the pickup is a coil, whose loss is at the top.
    pub magnetic: bool,
}

impl Undo<'_> {
    /// What the load took at `hz`, in dB.
    pub fn lost_db(&self, hz: f64) -> f64 {
        self.from.loss_db(hz) - self.to.loss_db(hz)
    }

    /// What is still lost at `hz`, in dB.
    pub fn left_db(&self, hz: f64) -> f64 {
        self.lost_db(hz) - self.shape.db(hz)
    }

    /// What is missing at every frequency from 31 Hz to 16 kHz alike, in dB: a level, which gain gives back. Zero where all load is taken away, since
    /// a ceiling takes nothing of that kind there.
    pub fn level_left_db(&self) -> f64 {
        if self.to.unloaded && !self.from.unloaded {
            return 0.0;
        }
        let octaves = (0..LEVEL_HZ.1).map(|octave| LEVEL_HZ.0 * f64::from(octave).exp2());
        octaves.map(|hz| self.left_db(hz)).fold(f64::INFINITY, f64::min).max(0.0)
    }

    /// What of the loss at `hz` comes back, in dB, level that is missing everywhere aside.
    pub fn given_db(&self, hz: f64) -> f64 {
        self.shape.db(hz) + self.level_left_db()
    }

    /// Where a coil's top is judged, in Hz: at its resonance without load, or 20 kHz if that is higher or none.
    pub fn top_hz(&self) -> f64 {
        let peak = Response::of(self.to.clone(), true).peak();
        peak.map_or(TOP_HZ, |peak| peak.hz.min(TOP_HZ))
    }

    /// Where the load's cost is judged, in Hz: a coil's at the top, any other's at the lowest string.
    pub fn judged_hz(&self, lowest_hz: f64) -> f64 {
        if self.magnetic { self.top_hz() } else { lowest_hz }
    }
}
