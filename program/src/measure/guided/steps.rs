use super::heard::Heard;
use super::trouble::{Doubt, Fault};

/// One recording of a measurement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// The output straight into the input.
    Reference,
    /// Through the measuring lead, the instrument unplugged.
    Empty,
    /// Through the measuring lead, the instrument plugged in: a capacitive pickup.
    Pickup,
    /// The same with a coil.
    Coil,
    /// Through the box, driven directly.
    BoxDirect,
    /// Through the known part into the box.
    Boxed,
}

/// Of a capacitive pickup.
pub const PICKUP: &[Step] = &[Step::Reference, Step::Empty, Step::Pickup];
/// Of a magnetic one.
pub const COIL: &[Step] = &[Step::Reference, Step::Empty, Step::Coil];
/// Of a box's input.
pub const BOX: &[Step] = &[Step::BoxDirect, Step::Boxed];

/// What repeats of one recording may differ by, in dB, with hum under it.
const ALIKE_DB: f64 = 0.5;
/// What a capacitive pickup of up to 10 nF takes at most of the lows behind 100 kΩ, in dB: `10 log10(1 + (2π f R C)²)` at 160 Hz is 3.
const LOWS_DB: f64 = 3.0;
/// How far sweep and noise may differ, in dB, and still have fallen alike.
const TOGETHER_DB: f64 = 1.5;
/// Quieter than this by noise, a sweep makes wide intervals, in dB.
const CLEAR_DB: f64 = 20.0;

impl Step {
    /// As files of it are named.
    pub fn name(self) -> &'static str {
        match self {
            Self::Reference | Self::BoxDirect => "reference",
            Self::Empty => "empty",
            Self::Pickup | Self::Coil => "plugged",
            Self::Boxed => "box",
        }
    }

    /// What cannot be after the recordings `before`, unless a gain was turned.
    ///
    /// A resistor in front of any passive node takes level, and another capacitance beside the node takes more, at every frequency. A coil may
    /// tune with the lead's capacitance, and a known capacitor with a primary, so these are held against less.
    pub fn impossible(self, through_resistor: bool, before: &[Heard], now: &Heard) -> Option<Fault> {
        let (bound, name) = match self {
            Self::Reference | Self::BoxDirect => return None,
            Self::Boxed if !through_resistor => return None,
            Self::Empty | Self::Coil | Self::Boxed => (before.first()?, "the reference"),
            Self::Pickup => (before.last()?, "the empty lead"),
        };
        let by_db = now.gain_db - bound.gain_db;
        (by_db > ALIKE_DB).then_some(Fault::Louder { by_db, before: name })
    }

    /// What may be wrong after the recordings `before`.
    pub fn doubt(self, through_resistor: bool, before: &[Heard], now: &Heard) -> Option<Doubt> {
        let Some(last) = before.last() else {
            let by_db = Heard::AIM_DB - now.peak_db;
            return (now.peak_db < Heard::QUIET_DB).then_some(Doubt::Quiet { by_db });
        };
        let name = if before.len() == 1 { "the reference" } else { "the empty lead" };
        let by_db = last.gain_db - now.gain_db;
        if by_db > LOWS_DB && (last.noise_db - now.noise_db - by_db).abs() < TOGETHER_DB {
            return Some(Doubt::GainDown { by_db, before: name });
        }
        if self == Self::Pickup && through_resistor && by_db > LOWS_DB {
            return Some(Doubt::Quieter { by_db, before: name });
        }
        let above_db = now.peak_db - now.noise_db;
        (above_db < CLEAR_DB).then_some(Doubt::Quiet { by_db: CLEAR_DB - above_db })
    }
}
