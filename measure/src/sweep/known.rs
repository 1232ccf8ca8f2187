use dsp_core::units::{Capacitance, Resistance};

use super::circuit::Source;

/// What a part without a tolerance is taken to have, as a part: E24's (IEC 60063).
const ASSUMED: f64 = 0.05;

/// The part between the output and the node that is measured, with its tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Known {
    /// Such as `100k ±1%`.
    Resistor(Resistance),
    /// Such as `1n ±5%`.
    Capacitor(Capacitance),
}

impl Known {
    pub(super) fn source(&self) -> Source {
        match self {
            Self::Resistor(resistor) => Source::Resistor(resistor.ohms()),
            Self::Capacitor(capacitor) => Source::Capacitor(capacitor.farads()),
        }
    }

    /// The tolerance that is reckoned with, as a part.
    pub(super) fn tolerance(&self) -> f64 {
        let tolerance = self.stated();
        if tolerance > 0.0 { tolerance } else { ASSUMED }
    }

    /// What was assumed of it, where it is not stated.
    pub(super) fn remarks(&self) -> Vec<String> {
        let percent = 100.0 * ASSUMED;
        let assumed =
            || format!("no tolerance is stated of the known part: ±{percent:.0} % is reckoned with");
        if self.stated() > 0.0 { Vec::new() } else { vec![assumed()] }
    }

    fn stated(&self) -> f64 {
        match self {
            Self::Resistor(resistor) => resistor.tolerance().part(),
            Self::Capacitor(capacitor) => capacitor.tolerance().part(),
        }
    }
}
