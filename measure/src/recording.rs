/// One channel of sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// In Hz.
    pub rate_hz: f64,
    /// Full scale is 1.
    pub samples: Vec<f64>,
}
