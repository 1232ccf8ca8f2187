use crate::{Refusal, Series};

/// A value with the interval that holds it 19 times in 20, in SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The likeliest.
    pub value: f64,
    /// Where the interval begins.
    pub low: f64,
    /// Where it ends.
    pub high: f64,
}

/// All that can be found; what a method does not tell, or what does not show, is none.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Found {
    /// Of the pickup alone, in farads.
    pub capacitance_f: Option<Estimate>,
    /// Of the pickup and all that stands beside it, such as its cable, in farads.
    pub total_capacitance_f: Option<Estimate>,
    /// An input's resistance in ohms.
    pub input_ohms: Option<Estimate>,
    /// An input's capacitance in farads, with that of a cable on it.
    pub input_f: Option<Estimate>,
    /// The capacitor in series with an input, in farads.
    pub blocking_f: Option<Estimate>,
    /// The inductance of a transformer's primary, in henries.
    pub primary_h: Option<Estimate>,
    /// Of a coil, in henries.
    pub inductance_h: Option<Estimate>,
    /// Of a coil's wire, in ohms.
    pub resistance_ohms: Option<Estimate>,
    /// The losses of a coil's core and cover as a resistance across its inductance, in ohms.
    pub loss_ohms: Option<Estimate>,
    /// The capacitance of a coil's winding, in farads.
    pub winding_f: Option<Estimate>,
}

/// What a measurement came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Nothing at all, if it is refused.
    pub found: Found,
    /// Why the recordings cannot tell.
    pub refused: Option<Refusal>,
    /// What else is worth to be told: what was assumed, what was noticed, each a sentence.
    pub remarks: Vec<String>,
    /// What was measured and what was fitted to it; as far as it came, if it is refused.
    pub chart: Vec<Series>,
}
