use crate::circuit::Pickup;
use crate::response::{Peak, Slope};
use crate::units::{Capacitance, Inductance, Percent};

/// Something that shaped a response, for any language to say.
#[derive(Debug, Clone, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "a handful, for as long as they are said")]
pub enum Fact {
    /// Of a blend: what the lowest string loses from each pickup by itself, in dB.
    EachAlone(Box<[(Pickup, f64); 2]>),
    /// The two pickups of a blend cancel at the lowest string: what it gains with the polarity of one turned round, in dB.
    Cancel(f64),
    /// What of the lowest string's loss goes to the controls on the instrument, in dB.
    Controls(f64),
    /// What an inductance across the pickup costs the lowest string.
    Inductive {
        /// Whose it is.
        owner: Owner,
        /// Where it makes the response fall, if that is not said of another one.
        slope: Option<Slope>,
        /// How far it makes the response stand out, if it does.
        peak: Option<Peak>,
        /// What it costs in dB; negative if it lifts it.
        cost_db: f64,
        /// Against what.
        against: Against,
    },
    /// What the blocking capacitor of the box that is listened to costs the lowest string, in dB; negative if it lifts it.
    Blocking(Capacitance, f64),
    /// An active pedal loads the pickup with its linear input alone in the model: its name.
    Active(String),
    /// Of a coil, named if there are two pickups, where it resonates.
    Resonance(Option<Pickup>, Resonance),
    /// Of a capacitive pickup whose top falls too: where by 3 dB, in Hz, and with the volume where, if it is turned down.
    Top(f64, Option<Percent>),
}

/// Whose inductance it is.
#[derive(Debug, Clone, PartialEq)]
pub enum Owner {
    /// The transformer of the box that is listened to.
    Heard,
    /// The transformer of another box, by its name.
    Box(String),
    /// No box: a part of a load expression.
    Bare(Inductance),
}

/// What something is compared with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Against {
    /// A resistor of so many ohms in its place.
    Resistor(f64),
    /// The rest of the load alone, so many ohms.
    Rest(f64),
    /// Nothing at all.
    Nothing,
}

/// Where a coil resonates with its controls and nothing plugged in, and where with what is plugged in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Resonance {
    /// From one place to another.
    Moves(Peak, Peak),
    /// Nowhere any more.
    Damped(Peak),
    /// Only with what is plugged in.
    Appears(Peak),
    /// Nothing is plugged in.
    Unloaded(Peak),
    /// Nowhere at all.
    Nowhere,
}
