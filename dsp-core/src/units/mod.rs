//! Quantities as the trade writes them: engineering notation, the RKM code of IEC 60062, tolerances, loads in
//! parallel, and equal-tempered pitches.
//!
//! Any quantity may carry a tolerance: `680p ±30 %`, or in ASCII `680p +-30%`. It may also be a letter of IEC 60062, capital and right behind
//! a value in the code of that standard: `4k7K`, `1MM`, `220pJ`. The first letter is always the multiplier, and what has a
//! meaning without a tolerance keeps it: `1M`, `4K7` and `220pF` carry none, so ±1 % of a capacitance (`F`, the farad) and ±3 % of an
//! inductance (`H`) are written in per cent. So is every tolerance below 10 pF, where the standard's letters count picofarads.
//!
//! Or it is a range, `470p to 4.7n`: anything between two ends, with their geometric mean in the middle.

mod comma;
mod error;
mod full_scale;
mod load;
mod nominal;
mod notation;
mod percent;
mod pitch;
mod preferred;
mod quantity;
mod tolerance;

pub use comma::with_point;
pub use error::{Problem, UnitError};
pub use full_scale::FullScale;
pub use load::Load;
pub(crate) use load::{LoadPart, parts_of};
pub use nominal::NominalInput;
pub(crate) use notation::nine_digits;
pub use percent::Percent;
pub use pitch::Pitch;
pub use quantity::{Capacitance, Inductance, Length, Ratio, Resistance};
pub use tolerance::Tolerance;
pub(crate) use tolerance::Toleranced;
