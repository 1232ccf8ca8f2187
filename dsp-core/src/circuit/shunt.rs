use std::ops::Add;

/// What stands in parallel with a pickup in the middle of the band, where blocking capacitors conduct and primaries do
/// not: a conductance and a capacitance, `Y(s) = G + s C`. For the figures that the trade names an input by.
///
/// The default is nothing at all: an unloaded pickup.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Shunt {
    /// Conductance `G` in siemens, zero or more.
    pub siemens: f64,
    /// Capacitance `C` in farads, zero or more.
    pub farads: f64,
}

impl Shunt {
    /// The resistance of the conductance in ohms; infinite where nothing conducts.
    pub fn ohms(self) -> f64 {
        self.siemens.recip()
    }

    /// All of `parts` in parallel. The parts are added in order of size, so that the same parts in another order
    /// give the same bits.
    pub fn parallel(parts: impl IntoIterator<Item = Self>) -> Self {
        let (mut siemens, mut farads): (Vec<f64>, Vec<f64>) =
            parts.into_iter().map(|part| (part.siemens, part.farads)).unzip();
        siemens.sort_by(f64::total_cmp);
        farads.sort_by(f64::total_cmp);
        // From 0.0: the standard library's sum of nothing is -0.0, whose reciprocal is minus infinity.
        let sum = |values: Vec<f64>| values.into_iter().fold(0.0, f64::add);
        Self { siemens: sum(siemens), farads: sum(farads) }
    }
}

/// Two in parallel.
impl Add for Shunt {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { siemens: self.siemens + other.siemens, farads: self.farads + other.farads }
    }
}
