use serde::Deserialize;

use crate::units::Percent;

/// How a pot's resistance follows its position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Taper {
    /// In proportion.
    #[default]
    Linear,
    /// Logarithmic: a tenth of the resistance at half of the way, `(81^x - 1)/80` (a tenth is common practice, no source).
    Logarithmic,
}

impl Taper {
    /// The part of the resistance below the wiper, 0 to 1.
    pub fn part(self, position: Percent) -> f64 {
        let x = position.fraction();
        match self {
            Self::Linear => x,
            Self::Logarithmic => (81f64.powf(x) - 1.0) / 80.0,
        }
    }
}
