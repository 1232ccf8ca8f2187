use dsp_core::units::{Capacitance, Resistance};

/// The part between the output and the node that is measured, with its tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Known {
    /// Such as `100k ±1%`.
    Resistor(Resistance),
    /// Such as `1n ±5%`.
    Capacitor(Capacitance),
}
