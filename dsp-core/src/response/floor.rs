use super::Shape;

/// A change lifts the lows if it gives a low string so much more than 1 kHz, in dB.
const LIFTS_DB: f64 = 0.05;
const MIDDLE_HZ: f64 = 1e3;

/// Where changes that lift the lows come down again by themselves, so that rumble that no string needs is not lifted with them: a high-pass of
/// second order that is flat above its corner (Butterworth's). It belongs below the lowest string, an octave at least.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Floor {
    /// The corner in Hz, more than zero.
    pub hz: f64,
}

impl Floor {
    /// The highest part of the lowest string's frequency where it belongs: there it costs the string `10 log10(1 + 0.5⁴)` = 0.26 dB.
    pub const MOST_PART: f64 = 0.5;

    /// Whether a change comes down there, given what it does to each track: if it lifts the lowest string that the floor may lie below. Of several tracks
    /// all come down if one has to, or they would not add up.
    pub fn ends(self, shapes: &[Shape]) -> bool {
        let lowest_hz = self.hz / Self::MOST_PART;
        shapes.iter().any(|shape| shape.db(lowest_hz) - shape.db(MIDDLE_HZ) > LIFTS_DB)
    }

    /// A shape that comes down there.
    #[must_use]
    pub fn under(self, shape: &Shape) -> Shape {
        shape.with_high_pass(self.hz)
    }

    /// What it costs at `hz`, in dB: `10 log10(1 + (corner/f)⁴)`.
    pub fn cost_db(self, hz: f64) -> f64 {
        10.0 * (self.hz / hz).powi(4).ln_1p() / std::f64::consts::LN_10
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;

    /// Undoing 1 MΩ on 680 pF (textbook RC) lifts every string, a load that is put on none; what lifts the top does not, nor does a gain.
    #[test]
    fn only_what_lifts_the_lows_comes_down() {
        let corner = 1.0 / (1e6 * 680e-12);
        let undone = Shape::first_order(1.0, corner, corner / 16.0);
        let loaded = Shape::first_order(1.0, 0.0, corner);
        let brighter = Shape::first_order(10.0, TAU * 2e3, TAU * 2e4);
        for hz in [3.0, 20.6, 27.5, 98.0, 200.0] {
            let floor = Floor { hz };
            assert!(floor.ends(&[undone]) && floor.ends(&[loaded, undone]), "{hz}");
            assert!(
                !floor.ends(&[loaded]) && !floor.ends(&[brighter]) && !floor.ends(&[Shape::flat(4.0)]),
                "{hz}"
            );
        }
        assert!(!Floor { hz: 27.5 }.ends(&[]));
    }

    /// What is told is what is done. The second value: `10 log10(17/16)`, from a table of logarithms (bc).
    #[test]
    fn its_cost_is_what_it_does() {
        let floor = Floor { hz: 27.5 };
        assert!((floor.cost_db(55.0) - 0.263_289_387).abs() < 1e-9);
        assert!((floor.cost_db(27.5) - 3.010_299_957).abs() < 1e-9);
        for hz in [5.0, 27.5, 55.0, 440.0] {
            let done_db = floor.under(&Shape::UNCHANGED).db(hz);
            assert!((floor.cost_db(hz) + done_db).abs() < 1e-9, "{hz}");
        }
    }
}
