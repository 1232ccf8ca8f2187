use crate::Refusal;

/// Peaks below this are silence: -80 dB below full scale.
const SILENT: f64 = 1e-4;

/// So many equal samples at the very top are a flat one, if they stand this often, and the sound falls away beside them by more than
/// `STEEP` of its own steps.
const FLAT_FRAMES: usize = 3;
const FLAT_TOPS: usize = 3;
const STEEP: f64 = 8.0;

/// One channel of sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// In Hz.
    pub rate_hz: f64,
    /// Full scale is 1.
    pub samples: Vec<f64>,
}

impl Recording {
    /// Why nothing can be told from it, whatever is looked for. `recording` is what it is called then.
    pub fn problem(&self, recording: &'static str) -> Option<Refusal> {
        if self.samples.iter().any(|sample| !sample.is_finite()) {
            Some(Refusal::NotFinite { recording })
        } else if self.peak() < SILENT {
            Some(Refusal::Silent { recording })
        } else {
            self.is_clipped().then_some(Refusal::Clipped { recording })
        }
    }

    /// The largest sample.
    pub(crate) fn peak(&self) -> f64 {
        self.samples.iter().fold(0.0, |peak: f64, sample| peak.max(sample.abs()))
    }

    /// Whether tops are cut off, at full scale or, by an earlier stage, below it.
    ///
    /// A round top that is written in steps is flat as well, but beside it the sound is one or two steps lower. A top that was cut off falls
    /// away as steeply as the sound was there.
    pub(crate) fn is_clipped(&self) -> bool {
        let step = self.step();
        let highest = self.samples.iter().copied().fold(0.0, f64::max);
        let lowest = self.samples.iter().copied().fold(0.0, f64::min);
        [highest, lowest].into_iter().any(|top| top != 0.0 && self.flat_tops(top, STEEP * step) >= FLAT_TOPS)
    }

    /// The least that two samples beside each other differ by.
    fn step(&self) -> f64 {
        let steps = self.samples.windows(2).map(|pair| (pair[1] - pair[0]).abs());
        steps.filter(|step| *step > 1e-9).fold(f64::INFINITY, f64::min)
    }

    /// How often the sound stands at `top` and then falls away by more than `steep` at once.
    fn flat_tops(&self, top: f64, steep: f64) -> usize {
        let at_top = |sample: f64| (sample - top).abs() <= 1e-9;
        let flat = self.samples.chunk_by(|a, b| at_top(*a) == at_top(*b));
        let mut before = None;
        let mut count = 0;
        let mut long = false;
        for stretch in flat {
            if at_top(stretch[0]) {
                long = stretch.len() >= FLAT_FRAMES;
                continue;
            }
            let falls = |sample: f64| (top - sample).abs() > steep;
            if long && falls(stretch[0]) && before.is_some_and(falls) {
                count += 1;
            }
            before = stretch.last().copied();
        }
        count
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A second of a sine at -3 dBFS in steps of 16 bits, cut off at a part of its peak.
    fn sine(hz: f64, cut: f64) -> Recording {
        let peak = 0.7079;
        let sample = |frame: u32| {
            let sine = (2.0 * std::f64::consts::PI * hz * f64::from(frame) / 48e3).sin();
            ((peak * sine).clamp(-cut * peak, cut * peak) * 32_767.0).round() / 32_768.0
        };
        Recording { rate_hz: 48e3, samples: (0..48_000).map(sample).collect() }
    }

    #[test]
    fn round_tops_are_not_clipped_and_flat_ones_are() {
        for hz in [15.0, 55.0, 440.0, 997.0, 12_000.0, 19_000.0] {
            assert_eq!(sine(hz, 1.0).problem("empty"), None, "{hz} Hz");
        }
        for hz in [55.0, 440.0, 997.0] {
            let clipped = Some(Refusal::Clipped { recording: "empty" });
            assert_eq!(sine(hz, 0.95).problem("empty"), clipped, "{hz} Hz");
        }
    }

    #[test]
    fn silence_and_what_is_no_number_are_told_by_name() {
        let mut recording = Recording { rate_hz: 48e3, samples: vec![5e-5; 1000] };
        assert_eq!(recording.problem("box"), Some(Refusal::Silent { recording: "box" }));
        recording.samples[7] = f64::NAN;
        assert_eq!(recording.problem("box"), Some(Refusal::NotFinite { recording: "box" }));
        recording.samples.clear();
        assert_eq!(recording.problem("box"), Some(Refusal::Silent { recording: "box" }));
    }
}
