use super::Shape;

/// Boltzmann's constant in J/K (exact, SI 2019; CODATA).
const BOLTZMANN_J_PER_K: f64 = 1.380_649e-23;

/// Thermal noise of a resistively loaded capacitance over all frequencies, `sqrt(k T / C)` in V rms: it does
/// not depend on the resistance.
pub fn thermal_noise_volts(farads: f64, kelvin: f64) -> f64 {
    (BOLTZMANN_J_PER_K * kelvin / farads).sqrt()
}

/// By how many dB `shape` raises white noise between `low_hz` and `high_hz`, against the top of the band: the mean
/// of `|K|²` over the interval, in closed form.
///
/// `(w² + z²)/(w² + p²) = 1 + (z² - p²)/(w² + p²)`, whose integral is an arctangent.
pub fn noise_rise_db(shape: &Shape, low_hz: f64, high_hz: f64) -> f64 {
    let (low, high) = (std::f64::consts::TAU * low_hz, std::f64::consts::TAU * high_hz);
    let (zero, pole) = (shape.zero_rad_s, shape.pole_rad_s);
    let integral = if pole > 0.0 {
        ((high / pole).atan() - (low / pole).atan()) / pole
    } else {
        low.recip() - high.recip()
    };
    10.0 * (1.0 + (zero * zero - pole * pole) * integral / (high - low)).log10()
}
