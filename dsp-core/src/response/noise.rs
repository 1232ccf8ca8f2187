use super::Shape;

/// Boltzmann's constant in J/K (exact, SI 2019; CODATA).
const BOLTZMANN_J_PER_K: f64 = 1.380_649e-23;

/// Thermal noise of a resistively loaded capacitance over all frequencies, `sqrt(k T / C)` in V rms: it does
/// not depend on the resistance.
pub fn thermal_noise_volts(farads: f64, kelvin: f64) -> f64 {
    (BOLTZMANN_J_PER_K * kelvin / farads).sqrt()
}

/// Steps of Simpson's rule, more than enough for a resonance of any Q that a circuit of ours has.
const STEPS: u32 = 4000;

/// By how many dB `shape` raises white noise in `band_hz` against the noise at `against_hz`: the mean of `|K|²` over the band
/// (Simpson's rule), over `|K|²` there.
pub fn noise_rise_db(shape: &Shape, band_hz: (f64, f64), against_hz: f64) -> f64 {
    let step_hz = (band_hz.1 - band_hz.0) / f64::from(STEPS);
    let weight = |i: u32| if i == 0 || i == STEPS { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
    let sum: f64 = (0..=STEPS).map(|i| weight(i) * shape.power(band_hz.0 + step_hz * f64::from(i))).sum();
    10.0 * (sum / (3.0 * f64::from(STEPS)) / shape.power(against_hz)).log10()
}
