use super::Shunt;
use crate::units::{Capacitance, Length};

/// An instrument cable: at audio frequencies a shunt capacitance, `Y = s C'·length`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cable {
    /// Length.
    pub length: Length,
    /// Capacitance of one metre, [`Cable::PER_METRE_FARADS`] unless said otherwise.
    pub per_metre: Option<Capacitance>,
}

impl Cable {
    /// Default capacitance per metre, 100 pF; 60 to 150 pF are usual (common practice, no source).
    pub const PER_METRE_FARADS: f64 = 100e-12;

    /// Its admittance.
    pub fn admittance(&self) -> Shunt {
        let per_metre = self.per_metre.map_or(Self::PER_METRE_FARADS, Capacitance::farads);
        Shunt { siemens: 0.0, farads: per_metre * self.length.metres() }
    }
}
