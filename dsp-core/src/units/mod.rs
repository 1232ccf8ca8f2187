//! Quantities as the trade writes them: engineering notation, the RKM code of IEC 60062, loads in
//! parallel, and equal-tempered pitches.

mod error;
mod load;
mod notation;
mod percent;
mod pitch;
mod quantity;

pub use error::{Problem, UnitError};
pub use load::{Load, LoadPart};
pub use percent::Percent;
pub use pitch::{CONCERT_PITCH_HZ, Pitch};
pub use quantity::{Capacitance, Inductance, Length, Ratio, Resistance};
