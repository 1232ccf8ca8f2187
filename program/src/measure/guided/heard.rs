use super::trouble::Fault;
use firstjack_measure::sweep::Sweep;

/// What a step's recording has in it, as far as the dialogue goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heard {
    /// Its highest sample, in dB of full scale.
    pub peak_db: f64,
    /// Whether full scale was reached.
    pub clipped: bool,
    /// How many whole sweeps are in it.
    pub sweeps: usize,
    /// How loud the low part of the sweeps is against what was played, in dB.
    pub gain_db: f64,
    /// RMS of what is there without a sweep, in dB of full scale.
    pub noise_db: f64,
    /// From the output to the input, in seconds.
    pub latency_seconds: f64,
    /// How often the interface reported lost sound.
    pub dropouts: usize,
}

impl Heard {
    /// Where a reference's peak should be, in dB of full scale: room above for what comes, and well above the noise.
    pub const AIM_DB: f64 = -20.0;
    /// Below this a reference is too quiet, in dB of full scale.
    pub const QUIET_DB: f64 = -30.0;
    /// Below this there is nothing: the noise of an open input of 16 bits and more.
    const NOTHING_DB: f64 = -75.0;

    /// What makes it useless by itself; `can_be_lowered` is whether the sweep can be quieter.
    pub fn fault(&self, can_be_lowered: bool) -> Option<Fault> {
        if self.dropouts > 0 {
            return Some(Fault::Dropouts { times: self.dropouts });
        }
        if self.clipped {
            return Some(Fault::Clipped { lowered: can_be_lowered });
        }
        match self.sweeps {
            0 if self.peak_db > Self::NOTHING_DB => Some(Fault::NoSweep),
            0 => Some(Fault::Nothing),
            found if found < Sweep::COUNT => Some(Fault::Incomplete { found, of: Sweep::COUNT }),
            // Levels that are no numbers can be compared with nothing.
            _ if [self.peak_db, self.gain_db].iter().any(|db| !db.is_finite()) => Some(Fault::Nothing),
            _ => None,
        }
    }
}
