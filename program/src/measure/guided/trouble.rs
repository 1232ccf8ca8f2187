use thiserror::Error;

/// Why a step is repeated.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Trouble {
    /// The recording is of no use.
    #[error("{0}")]
    Fault(Fault),
    /// The recording may be good.
    #[error("{0}")]
    Doubt(Doubt),
}

/// What makes a recording useless.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Fault {
    /// The interface did not play or record.
    #[error("{0}")]
    Sound(String),
    /// Parts are missing.
    #[error(
        "Sound was interrupted {times} times while it was recorded (dropouts). Close other programs, or give another --rate."
    )]
    Dropouts { times: usize },
    /// No level at all.
    #[error(
        "Nothing arrives at the input. Is the lead in the right jacks, the input switched to line or instrument, its gain up, and --channel the one that you plugged into?"
    )]
    Nothing,
    /// Something, but not the sweep.
    #[error(
        "Something arrives, but not the sweep. Is the output turned up, and is the lead plugged into the output that the sweep plays on?"
    )]
    NoSweep,
    /// Some of the sweeps are missing.
    #[error(
        "Only {found} of {of} sweeps arrived whole. Was a plug touched, or is the delay through this interface very long?"
    )]
    Incomplete { found: usize, of: usize },
    /// Full scale was reached.
    #[error("{}", clipped(*lowered))]
    Clipped { lowered: bool },
    /// Louder than physics allow.
    #[error(
        "This is {by_db:.1} dB louder than {before}, which cannot be: a gain was turned up since. Turn it back and repeat, or begin again (b)."
    )]
    Louder { by_db: f64, before: &'static str },
}

/// What may be wrong with a recording.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Doubt {
    /// The sweep is low.
    #[error("The sweep arrives too quiet by {by_db:.0} dB.")]
    Quiet { by_db: f64 },
    /// Sweep and noise fell alike.
    #[error(
        "Sweep and noise are both {by_db:.1} dB quieter than in {before}: was a gain turned down? Then turn it back and repeat, or begin again (b)."
    )]
    GainDown { by_db: f64, before: &'static str },
    /// The node fell where a capacitance cannot pull it down.
    #[error(
        "The lows are {by_db:.1} dB quieter than in {before}. A capacitive pickup does not do that: was a gain turned down, is there a coil, a preamp or a volume control on the instrument, or a short in the lead?"
    )]
    Quieter { by_db: f64, before: &'static str },
}

fn clipped(lowered: bool) -> &'static str {
    if lowered {
        "The input clipped; the sweep is quieter now."
    } else {
        "The input clipped. If it was a knock, repeat the step. Otherwise turn the input's gain down and begin again (b), since gains must stay as they are from the first step to the last."
    }
}
