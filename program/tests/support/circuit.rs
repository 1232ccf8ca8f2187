//! Circuits by hand, for expected figures: impedances of textbooks in complex numbers, voltage dividers, and sentences' figures.

use std::f64::consts::TAU;

use realfft::num_complex::Complex64;

/// `1/(jωC)`.
pub fn capacitor(farads: f64, hz: f64) -> Complex64 {
    Complex64::new(0.0, -1.0 / (TAU * hz * farads))
}

/// `jωL`.
pub fn inductor(henries: f64, hz: f64) -> Complex64 {
    Complex64::new(0.0, TAU * hz * henries)
}

/// `Z1 Z2/(Z1 + Z2)`.
pub fn parallel(one: impl Into<Complex64>, other: impl Into<Complex64>) -> Complex64 {
    (one.into().inv() + other.into().inv()).inv()
}

/// What of a voltage behind `above` stands across `below`.
pub fn divider(above: impl Into<Complex64>, below: impl Into<Complex64>) -> Complex64 {
    let below = below.into();
    below / (above.into() + below)
}

/// The loss of a voltage ratio in dB.
pub fn loss_db(ratio: Complex64) -> f64 {
    -20.0 * ratio.norm().log10()
}

/// A second-order response by its textbook figures.
#[derive(Debug, Clone, Copy)]
pub struct SecondOrder {
    pub hz: f64,
    pub q: f64,
}

impl SecondOrder {
    /// Of `c0 + c1 s + c2 s²`: `ω0² = c0/c2`, `Q = sqrt(c0 c2)/c1`.
    pub fn new(c0: f64, c1: f64, c2: f64) -> Self {
        Self { hz: (c0 / c2).sqrt() / TAU, q: (c0 * c2).sqrt() / c1 }
    }

    /// How far its peak stands out, `Q/sqrt(1 - 1/(4Q²))`, in dB; low-pass and high-pass alike.
    pub fn peak_db(self) -> f64 {
        assert!(self.q > 0.5_f64.sqrt(), "Q {} has no peak", self.q);
        20.0 * (self.q / (1.0 - 0.25 / self.q.powi(2)).sqrt()).log10()
    }

    /// Where a low-pass peaks, `f0 sqrt(1 - 1/(2Q²))`.
    pub fn low_pass_peak_hz(self) -> f64 {
        self.hz * (1.0 - 0.5 / self.q.powi(2)).sqrt()
    }

    /// Where a low-pass has half the power that it has at DC: `(1 - x²)² + x²/Q² = 2`.
    pub fn low_pass_corner_hz(self) -> f64 {
        let half = 1.0 - 0.5 / self.q.powi(2);
        self.hz * (half + (half * half + 1.0).sqrt()).sqrt()
    }

    /// The lower of two real poles.
    pub fn lower_pole_hz(self) -> f64 {
        assert!(self.q < 0.5, "Q {} has no real poles", self.q);
        let half = 0.5 / self.q;
        self.hz * (half - (half * half - 1.0).sqrt())
    }
}

/// A coil of resistance, inductance and shunt capacitance into a resistance: the denominator `(1 + R/R_L) + s (R C + L/R_L) + s² L C`
/// (textbook: a low-pass of second order).
pub fn coil(ohms: f64, henries: f64, farads: f64, load_ohms: f64) -> SecondOrder {
    SecondOrder::new(1.0 + ohms / load_ohms, ohms * farads + henries / load_ohms, henries * farads)
}

/// Decibels as a sentence has them: whole ones from 10 on, tenths below.
pub fn said_db(db: f64) -> String {
    if db < 9.95 { format!("{db:.1} dB") } else { format!("{db:.0} dB") }
}

/// A frequency as a sentence has it.
pub fn said_hz(hz: f64) -> String {
    match hz {
        ..9.95 => format!("{hz:.1} Hz"),
        ..999.5 => format!("{hz:.0} Hz"),
        ..9950.0 => format!("{:.1} kHz", hz / 1e3),
        _ => format!("{:.0} kHz", hz / 1e3),
    }
}

/// The value between two at which `holds` changes, by halving their ratio.
pub fn border(mut holding: f64, mut not: f64, holds: impl Fn(f64) -> bool) -> f64 {
    assert!(holds(holding) && !holds(not));
    for _ in 0..100 {
        let middle = (holding * not).sqrt();
        if holds(middle) { holding = middle } else { not = middle }
    }
    holding
}
