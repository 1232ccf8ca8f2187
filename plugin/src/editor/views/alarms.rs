use crate::editor::Readings;

/// What has happened and stays told until somebody has seen it: clipping, in and out, and a guard that closed.
#[derive(Debug, Clone, Default)]
pub struct Alarms {
    clipped: [bool; 2],
    /// So many of the guard's closures have been seen.
    seen: u64,
    closures: u64,
}

impl Alarms {
    /// Takes note of what is measured now.
    pub fn note(&mut self, readings: &Readings) {
        for (clipped, meter) in self.clipped.iter_mut().zip([&readings.input, &readings.output]) {
            *clipped |= meter.true_peak_db > 0.0;
        }
        self.closures = readings.guard_closures;
        // They are counted anew after a reset.
        self.seen = self.seen.min(self.closures);
    }

    /// Whether the input, or the output, has been beyond full scale.
    pub const fn has_clipped(&self, side: Side) -> bool {
        self.clipped[side as usize]
    }

    /// Whether the guard has closed since that was last seen.
    pub const fn has_closed(&self) -> bool {
        self.closures > self.seen
    }

    /// Clipping has been seen.
    pub fn see_clipping(&mut self, side: Side) {
        self.clipped[side as usize] = false;
    }

    /// That the guard has closed has been seen.
    pub fn see_closing(&mut self) {
        self.seen = self.closures;
    }
}

/// Of the plugin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// What comes in.
    In,
    /// What goes out.
    Out,
}
