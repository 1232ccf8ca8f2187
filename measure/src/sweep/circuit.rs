//! The node behind the known part: what stands in parallel there, and what it makes of the output.

use realfft::num_complex::Complex;

/// The output's own impedance, in ohms: that of a line output (common practice, no source).
pub(super) const OUTPUT_OHMS: f64 = 150.0;

/// An element at the node, by the places of its values among those that are fitted, which are logarithms of SI units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Arm {
    Resistor(usize),
    Capacitor(usize),
    /// A resistor behind a capacitor in series.
    Blocked {
        resistor: usize,
        capacitor: usize,
    },
    /// A resistor in series with an inductor, which has its losses across it.
    Coil {
        inductor: usize,
        resistor: usize,
        loss: usize,
    },
}

/// The known part, in SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Source {
    Resistor(f64),
    Capacitor(f64),
}

/// A step: what stands at the node, and which value is a gain in dB, if one is fitted.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Node {
    pub arms: Vec<Arm>,
    pub gain: Option<usize>,
}

impl Arm {
    /// The admittance at `s`, and its derivatives by the values.
    fn admittance(
        self,
        s: Complex<f64>,
        ln: &[f64],
        mut derivative: impl FnMut(usize, Complex<f64>),
    ) -> Complex<f64> {
        let one = Complex::new(1.0, 0.0);
        let at = |place: usize| ln[place].exp();
        match self {
            Self::Resistor(place) => {
                let siemens = one / at(place);
                derivative(place, -siemens);
                siemens
            }
            Self::Capacitor(place) => {
                let siemens = s * at(place);
                derivative(place, siemens);
                siemens
            }
            Self::Blocked { resistor, capacitor } => {
                let in_series = (s * at(capacitor)).inv();
                let siemens = (in_series + at(resistor)).inv();
                derivative(resistor, -siemens * siemens * at(resistor));
                derivative(capacitor, siemens * siemens * in_series);
                siemens
            }
            Self::Coil { inductor, resistor, loss } => {
                let (inductive, lossy) = ((s * at(inductor)).inv(), one / at(loss));
                let inside = (inductive + lossy).inv();
                let siemens = (inside + at(resistor)).inv();
                let squared = siemens * siemens;
                derivative(resistor, -squared * at(resistor));
                derivative(inductor, -squared * inside * inside * inductive);
                derivative(loss, -squared * inside * inside * lossy);
                siemens
            }
        }
    }
}

impl Source {
    fn impedance(self, s: Complex<f64>) -> Complex<f64> {
        match self {
            Self::Resistor(ohms) => Complex::new(ohms, 0.0),
            Self::Capacitor(farads) => (s * farads).inv(),
        }
    }
}

/// The level of a step over the reference in dB, at a frequency in Hz, and its derivatives by the values, added to `gradient`.
///
/// `H = (1 + Zo Yr) / (1 + (Zo + Zs) Y)`: Zo the output's own impedance, Zs the known part, Y the step's admittances, Yr those that the reference was recorded
/// with (voltage divider).
pub(super) fn level_db(
    node: &Node,
    reference: &Node,
    source: Source,
    hz: f64,
    ln: &[f64],
    gradient: &mut [f64],
) -> f64 {
    let s = Complex::new(0.0, 2.0 * std::f64::consts::PI * hz);
    let to_db = 20.0 / std::f64::consts::LN_10;
    let mut log_magnitude = |node: &Node, series: Complex<f64>, sign: f64| {
        let mut derivatives = Vec::with_capacity(8);
        let siemens: Complex<f64> = node
            .arms
            .iter()
            .map(|arm| arm.admittance(s, ln, |place, value| derivatives.push((place, value))))
            .sum();
        let factor = series * siemens + 1.0;
        for (place, derivative) in derivatives {
            gradient[place] += sign * to_db * (series * derivative / factor).re;
        }
        sign * to_db * factor.norm().ln()
    };
    let output = Complex::new(OUTPUT_OHMS, 0.0);
    let level =
        log_magnitude(reference, output, 1.0) + log_magnitude(node, output + source.impedance(s), -1.0);
    let Some(gain) = node.gain else { return level };
    gradient[gain] += 1.0;
    level + ln[gain]
}

#[cfg(test)]
mod tests {
    use super::*;

    const HZ: [f64; 4] = [20.0, 440.0, 3_000.0, 17_000.0];

    fn nodes() -> [Node; 2] {
        let blocked = Arm::Blocked { resistor: 2, capacitor: 3 };
        let coil = Arm::Coil { inductor: 4, resistor: 5, loss: 6 };
        let input = [Arm::Resistor(0), Arm::Capacitor(1)];
        let gain = Some(7);
        [
            Node { arms: input.to_vec(), gain: None },
            Node { arms: [&input[..], &[blocked, coil]].concat(), gain },
        ]
    }

    /// Central differences.
    #[test]
    fn the_gradient_is_the_derivative() {
        let values: [f64; 7] = [1e6, 300e-12, 200e3, 10e-9, 4.0, 8e3, 400e3];
        let ln: Vec<f64> = values.iter().map(|value| value.ln()).chain([0.5]).collect();
        let [reference, node] = nodes();
        for source in [Source::Resistor(100e3), Source::Capacitor(1e-9)] {
            for hz in HZ {
                let at = |ln: &[f64]| level_db(&node, &reference, source, hz, ln, &mut [0.0; 8]);
                let mut gradient = [0.0; 8];
                level_db(&node, &reference, source, hz, &ln, &mut gradient);
                for (place, exact) in gradient.iter().enumerate() {
                    let moved = |by: f64| {
                        let mut moved = ln.clone();
                        moved[place] += by;
                        at(&moved)
                    };
                    let numerical = (moved(1e-5) - moved(-1e-5)) / 2e-5;
                    assert!((exact - numerical).abs() < 1e-6, "{hz} Hz, {place}: {exact}, {numerical}");
                }
            }
        }
    }

    /// A low-pass of first order behind a divider (textbook RC).
    #[test]
    fn a_resistor_into_an_input_is_a_divider_and_a_low_pass() {
        let node = Node { arms: vec![Arm::Resistor(0), Arm::Capacitor(1)], gain: None };
        let none = Node { arms: Vec::new(), gain: None };
        let (known, ohms, farads) = (100e3, 1e6, 300e-12);
        let series = known + OUTPUT_OHMS;
        let corner_hz = (1.0 / series + 1.0 / ohms) / (2.0 * std::f64::consts::PI * farads);
        for hz in HZ {
            let expected =
                -20.0 * (1.0 + series / ohms).log10() - 10.0 * (hz / corner_hz).powi(2).ln_1p() / 10f64.ln();
            let level =
                level_db(&node, &none, Source::Resistor(known), hz, &[ohms.ln(), farads.ln()], &mut [0.0; 2]);
            assert!((level - expected).abs() < 1e-9, "{hz} Hz: {level}, {expected}");
        }
    }
}
