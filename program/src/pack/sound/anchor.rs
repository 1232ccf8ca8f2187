use std::f64::consts::PI;

use biquad::{Biquad, Coefficients, DirectForm2Transposed, Hertz, Type};

use crate::passes::Treatment;

/// Where the anchor's low-pass ends: the low-range anchor of ITU-R BS.1534-3, section 5.1.
pub const ANCHOR_HZ: f64 = 3500.0;

/// Poles of the low-pass: as many as the standard's limits need (25 dB at 4 kHz, 50 dB at 4.5 kHz).
const ORDER: u32 = 12;

/// How far the passband waves, in dB; the standard allows 0.1.
const RIPPLE_DB: f64 = 0.09;

/// A low-pass for each channel.
pub fn low_pass(rate_hz: f64, channels: usize) -> Treatment {
    let mut filters = vec![sections(rate_hz); channels];
    Box::new(move |block| {
        for (sections, channel) in filters.iter_mut().zip(block) {
            for value in channel {
                *value = sections.iter_mut().fold(*value, |value, section| section.run(value));
            }
        }
    })
}

/// A Chebyshev low-pass of the first kind in sections (poles on an ellipse: `sinh a sin t ± i cosh a cos t`; textbook), by the
/// bilinear transform. Each pole pair is prewarped to a frequency and a Q of its own, which is the transform of the whole.
///
/// # Panics
/// Never: all rates of takes lie above twice the corner.
fn sections(rate_hz: f64) -> Vec<DirectForm2Transposed<f64>> {
    let order = f64::from(ORDER);
    let epsilon = (10f64.powf(RIPPLE_DB / 10.0) - 1.0).sqrt();
    let a = (1.0 / epsilon).asinh() / order;
    let corner = (PI * ANCHOR_HZ / rate_hz).tan();
    let section = |pair: u32| {
        let angle = PI * (2.0 * f64::from(pair) + 1.0) / (2.0 * order);
        let (damping, frequency) = (a.sinh() * angle.sin(), a.cosh() * angle.cos());
        let radius = f64::hypot(damping, frequency);
        let hz = Hertz::from_hz(rate_hz / PI * (corner * radius).atan()).expect("positive");
        let q = radius / (2.0 * damping);
        let rate = Hertz::from_hz(rate_hz).expect("positive");
        let mut low_pass =
            Coefficients::from_params(Type::LowPass, rate, hz, q).expect("below half the rate");
        if pair == 0 {
            // Of even order the passband would wave between one and the ripple above it.
            let lowered = 10f64.powf(-RIPPLE_DB / 20.0);
            [&mut low_pass.b0, &mut low_pass.b1, &mut low_pass.b2].into_iter().for_each(|b| *b *= lowered);
        }
        DirectForm2Transposed::<f64>::new(low_pass)
    };
    (0..ORDER / 2).map(section).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The level of a sine behind the filter, in dB, by its Fourier sum over whole seconds.
    fn level_db(rate_hz: u32, hz: f64) -> f64 {
        let step = 2.0 * PI * hz / f64::from(rate_hz);
        let mut block = [(0..2 * rate_hz).map(|frame| (step * f64::from(frame)).sin()).collect::<Vec<f64>>()];
        low_pass(f64::from(rate_hz), 1)(&mut block);
        let (mut re, mut im) = (0.0, 0.0);
        for (frame, value) in (0..2 * rate_hz).zip(&block[0]).skip(usize::try_from(rate_hz).unwrap()) {
            let (sin, cos) = (step * f64::from(frame)).sin_cos();
            re += value * cos;
            im += value * sin;
        }
        20.0 * (2.0 * f64::hypot(re, im) / f64::from(rate_hz)).log10()
    }

    /// ITU-R BS.1534-3, section 5.1, from memory: within 0.1 dB up to 3.5 kHz, at least 25 dB down at 4 kHz and 50 dB at 4.5 kHz.
    #[test]
    fn the_low_pass_keeps_the_limits_of_the_standard() {
        for rate_hz in [11_025, 44_100, 48_000, 96_000, 384_000] {
            for hz in [20.0, 100.0, 1000.0, 2000.0, 3000.0, 3400.0, 3500.0] {
                let db = level_db(rate_hz, hz);
                assert!(db.abs() <= 0.1, "{rate_hz} Hz: {db} dB at {hz} Hz");
            }
            for (hz, limit) in [(4000.0, -25.0), (4500.0, -50.0)] {
                let db = level_db(rate_hz, hz);
                assert!(db <= limit, "{rate_hz} Hz: {db} dB at {hz} Hz");
            }
        }
    }
}
