use super::{Response, Shape, Transfer};

/// The top of the band, in Hz.
const TOP_HZ: f64 = 20e3;

/// One pickup's load taken away.
#[derive(Debug, Clone, Copy)]
pub struct Undo<'a> {
    /// The response that was recorded.
    pub from: &'a Transfer,
    /// The one without load.
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
