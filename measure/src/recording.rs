use crate::Refusal;

/// One channel of sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// In Hz.
    pub rate_hz: f64,
    /// Full scale is 1.
    pub samples: Vec<f64>,
}

impl Recording {
    /// Why nothing can be told from it, whatever is looked for: it is silent, or its tops are cut off. `recording` is what it is called then.
    pub fn problem(&self, recording: &'static str) -> Option<Refusal> {
        let silent = self.samples.iter().all(|sample| sample.abs() < 1e-5);
        silent.then_some(Refusal::Silent { recording })
    }
}
