//! Where frequencies and levels are on the screen.

use egui::{Pos2, Rect, pos2};

use super::traces::BAND_HZ;

/// A plot's rectangle, and what its edges stand for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    pub rect: Rect,
    /// At the left edge, in Hz.
    pub low_hz: f64,
    /// At the lower and the upper edge, in dB.
    pub range_db: (f64, f64),
}

#[expect(clippy::cast_possible_truncation, reason = "thousands of points")]
impl Frame {
    /// Of a frequency's decimal logarithm.
    pub fn x(&self, log_hz: f64) -> f32 {
        let (low, high) = (self.low_hz.log10(), BAND_HZ.1.log10());
        egui::remap(log_hz, low..=high, f64::from(self.rect.left())..=f64::from(self.rect.right())) as f32
    }

    /// Of a level in dB.
    pub fn y(&self, db: f64) -> f32 {
        let (low, high) = self.range_db;
        egui::remap(db, low..=high, f64::from(self.rect.bottom())..=f64::from(self.rect.top())) as f32
    }

    pub fn at(&self, (log_hz, db): (f64, f64)) -> Pos2 {
        pos2(self.x(log_hz), self.y(db))
    }

    /// The frequency at a place, in Hz, within the band.
    pub fn hz(&self, at: Pos2) -> f64 {
        let (low, high) = (self.low_hz.log10(), BAND_HZ.1.log10());
        let part = f64::from((at.x - self.rect.left()) / self.rect.width());
        10f64.powf(low + (high - low) * part).clamp(self.low_hz, BAND_HZ.1)
    }

    /// Of the line at 0 dB, or of the edge that is next to it.
    pub fn zero(&self) -> f32 {
        self.y(0.0).clamp(self.rect.top(), self.rect.bottom())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back() {
        let rect = Rect::from_min_max(pos2(10.0, 20.0), pos2(310.0, 120.0));
        let frame = Frame { rect, low_hz: 20.0, range_db: (-50.0, 0.0) };
        assert_eq!([20.0, 20e3].map(|hz: f64| frame.x(hz.log10())), [10.0, 310.0]);
        assert_eq!([0.0, -25.0, -50.0].map(|db| frame.y(db)), [20.0, 70.0, 120.0]);
        assert!((frame.hz(pos2(110.0, 0.0)) - 200.0).abs() < 1e-3);
        assert_eq!(frame.hz(pos2(-5.0, 0.0)), 20.0);
        assert_eq!((frame.zero(), Frame { range_db: (-30.0, -10.0), ..frame }.zero()), (20.0, 20.0));
    }
}
