//! What switching a load in does to the level at each frequency.

use std::f64::consts::PI;

/// A charge into a capacitance across a conductance that is always there, and what is switched in beside them. In SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Circuit {
    /// The pickup's capacitance with all that is always beside it.
    pub total_farads: f64,
    pub siemens: f64,
    pub added_siemens: f64,
    pub added_farads: f64,
}

impl Circuit {
    /// How the level changes when the load is switched in, in nepers.
    ///
    /// The source is a current `s Q` into all admittances in parallel, so levels are as `1/|G + s C|`:
    /// `L = ½ ln(G_A² + (w Ct)²) - ½ ln((G_A + G)² + (w (Ct + C))²)`.
    /// With resistances alone that is `ln(R_B/R_A) + ½ ln(1 + (w R_A Ct)²) - ½ ln(1 + (w R_B Ct)²)`, `R_B` being both in parallel.
    pub fn step(&self, hz: f64) -> f64 {
        let w = 2.0 * PI * hz;
        let without = self.siemens.hypot(w * self.total_farads);
        let with = (self.siemens + self.added_siemens).hypot(w * (self.total_farads + self.added_farads));
        (without / with).ln()
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    const RESISTOR: Circuit =
        Circuit { total_farads: 680e-12, siemens: 1e-6, added_siemens: 1.0 / 56e3, added_farads: 0.0 };

    #[test]
    fn it_is_the_ratio_of_two_first_order_high_passes() {
        // Textbook RC: a high-pass loses 10 log10(1 + (fc/f)²) dB.
        let loss = |ohms: f64, hz: f64| {
            let corner = 1.0 / (2.0 * PI * ohms * 680e-12);
            10.0 * (1.0 + (corner / hz).powi(2)).log10()
        };
        let both = 56e3 * 1e6 / (56e3 + 1e6);
        for hz in [20.0, 55.0, 400.0, 3e3, 8e3] {
            let db = 20.0 / std::f64::consts::LN_10 * RESISTOR.step(hz);
            assert_relative_eq!(db, loss(1e6, hz) - loss(both, hz), max_relative = 1e-9);
        }
    }

    #[test]
    fn a_capacitance_alone_divides() {
        let circuit = Circuit { siemens: 0.0, added_siemens: 0.0, added_farads: 680e-12, ..RESISTOR };
        for hz in [20.0, 8e3] {
            assert_relative_eq!(circuit.step(hz), 0.5f64.ln(), max_relative = 1e-12);
        }
    }
}
