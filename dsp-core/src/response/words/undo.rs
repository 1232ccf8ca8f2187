use crate::response::{Response, Shape, Transfer, spoken_db, spoken_hz};
use crate::units::Pitch;

/// The top of the band, in Hz.
const TOP_HZ: f64 = 20e3;

/// One pickup's load taken away.
#[derive(Debug, Clone, Copy)]
pub struct Undone<'a> {
    /// The response that was recorded.
    pub from: &'a Transfer,
    /// The one without load.
    pub to: &'a Transfer,
    /// What was applied.
    pub shape: &'a Shape,
    /// Whether the pickup is a coil, whose loss is at the top.
    pub magnetic: bool,
}

impl Undone<'_> {
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

    /// The first line: "low A gets back 24 dB of 38 dB", "the top gets back 12 dB of 14 dB at 6.7 kHz".
    pub fn sentence(&self, lowest: &Pitch, lowest_hz: f64) -> String {
        let hz = if self.magnetic { self.top_hz() } else { lowest_hz };
        let (lost, back) = (spoken_db(self.lost_db(hz)), spoken_db(self.shape.db(hz)));
        if self.magnetic {
            format!("the top gets back {back} of {lost} at {}", spoken_hz(hz))
        } else {
            format!("low {} gets back {back} of {lost}", lowest.letter())
        }
    }
}
