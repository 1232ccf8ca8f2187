//! The K-weighting of ITU-R BS.1770-5, annex 1: a high shelf, then a high-pass. The standard tabulates both
//! sections at 48 kHz; at other rates they come from the analog prototypes that give that table at 48 kHz by the
//! bilinear transform (corner, Q and gain: from memory; the test compares with the table).

use std::f64::consts::TAU;

/// b0 b1 b2, a1 a2 of both sections at `rate_hz`.
pub(super) fn sections(rate_hz: f64) -> [[f64; 5]; 2] {
    let (shelf, high_pass) = (Prototype::shelf(), Prototype::high_pass());
    let [_, _, _, a1, a2] = high_pass.section(rate_hz);
    // The standard's second section has the numerator 1, -2, 1, not the prototype's scaled one.
    [shelf.section(rate_hz), [1.0, -2.0, 1.0, a1, a2]]
}

/// |K|² of the weighting at `hz`, the standard's own at 48 kHz; up to 20 kHz.
pub fn k_weight(hz: f64) -> f64 {
    power(hz, 48_000.0)
}

struct Prototype {
    corner_hz: f64,
    q: f64,
    /// Gain at the top, as an amplitude; the bandpass term's gain is its power 0.4996...
    high: f64,
    band: f64,
    low: f64,
}

/// |K|² of the weighting at `hz`, in a system running at `rate_hz`.
pub(super) fn power(hz: f64, rate_hz: f64) -> f64 {
    let (shelf, high_pass) = (Prototype::shelf(), Prototype::high_pass());
    let a0 = high_pass.denominator_scale(rate_hz);
    shelf.power(hz, rate_hz) * high_pass.power(hz, rate_hz) * a0 * a0
}

impl Prototype {
    fn shelf() -> Self {
        let high = 10f64.powf(3.999_843_853_973_347 / 20.0);
        Self {
            corner_hz: 1_681.974_450_955_533,
            q: 0.707_175_236_955_419_6,
            high,
            band: high.powf(0.499_666_774_154_541_6),
            low: 1.0,
        }
    }

    const fn high_pass() -> Self {
        Self { corner_hz: 38.135_470_876_024_44, q: 0.500_327_037_323_877_3, high: 1.0, band: 0.0, low: 0.0 }
    }

    /// b0 b1 b2, a1 a2 by the bilinear transform.
    fn section(&self, rate_hz: f64) -> [f64; 5] {
        let (k, a0) = (self.k(rate_hz), self.denominator_scale(rate_hz));
        let (middle, low) = (k / self.q, k * k);
        [
            (self.high + self.band * middle + self.low * low) / a0,
            2.0 * (self.low * low - self.high) / a0,
            (self.high - self.band * middle + self.low * low) / a0,
            2.0 * (low - 1.0) / a0,
            (1.0 - middle + low) / a0,
        ]
    }

    fn k(&self, rate_hz: f64) -> f64 {
        (TAU / 2.0 * self.corner_hz / rate_hz).tan()
    }

    fn denominator_scale(&self, rate_hz: f64) -> f64 {
        let k = self.k(rate_hz);
        1.0 + k / self.q + k * k
    }

    /// `(high s² + band s/Q + low) / (s² + s/Q + 1)` on the warped frequency axis.
    fn power(&self, hz: f64, rate_hz: f64) -> f64 {
        let w = (TAU / 2.0 * hz / rate_hz).tan() / self.k(rate_hz);
        let part =
            |high: f64, band: f64, low: f64| (low - high * w * w).powi(2) + (band * w / self.q).powi(2);
        part(self.high, self.band, self.low) / part(1.0, 1.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use approx::assert_relative_eq;

    /// ITU-R BS.1770, annex 1, tables 1 and 2: b0 b1 b2, a1 a2 of both sections at 48 kHz (from memory).
    const TABLE: [[f64; 5]; 2] = [
        [
            1.535_124_859_586_97,
            -2.691_696_189_406_38,
            1.198_392_810_852_85,
            -1.690_659_293_182_41,
            0.732_480_774_215_85,
        ],
        [1.0, -2.0, 1.0, -1.990_047_454_833_98, 0.990_072_250_366_21],
    ];

    fn table_power(hz: f64) -> f64 {
        let part = |c0: f64, c1: f64, c2: f64| {
            let w = TAU * hz / 48_000.0;
            (c0 + c1 * w.cos() + c2 * (2.0 * w).cos()).powi(2) + (c1 * w.sin() + c2 * (2.0 * w).sin()).powi(2)
        };
        TABLE.iter().map(|[b0, b1, b2, a1, a2]| part(*b0, *b1, *b2) / part(1.0, *a1, *a2)).product()
    }

    #[test]
    fn sections_are_the_standards_table_at_48_khz() {
        for (section, table) in super::sections(48_000.0).iter().flatten().zip(TABLE.iter().flatten()) {
            assert_relative_eq!(section, table, max_relative = 1e-9);
        }
    }

    #[test]
    fn equals_the_standards_table_at_48_khz() {
        for hz in [20.0, 55.0, 200.0, 997.0, 1_682.0, 5_000.0, 20_000.0] {
            assert_relative_eq!(super::power(hz, 48_000.0), table_power(hz), max_relative = 1e-6);
        }
    }

    /// Other rates follow the same curve where neither is near its Nyquist frequency.
    #[test]
    fn other_rates_follow_the_same_curve() {
        for rate_hz in [44_100.0, 96_000.0, 192_000.0] {
            for hz in [30.0, 100.0, 1_000.0, 3_000.0] {
                assert_relative_eq!(super::power(hz, rate_hz), table_power(hz), max_relative = 0.03);
            }
        }
    }
}
