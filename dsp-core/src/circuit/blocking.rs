use super::{Immittance, Ladder};
use crate::units::Capacitance;

/// A blocking (coupling) capacitor in front of what follows it in a box: in series, `Z = 1/(s C)`; 1 to 100 nF are usual
/// (common practice, no source). With the resistance behind it, it is a load of `1/(R + 1/(s C))` for the pickup, and a
/// high-pass `s R C/(1 + s R C)` for the box.
pub(super) fn add_to(capacitance: Capacitance, ladder: &mut Ladder) {
    ladder.series(Immittance::linear(0.0, capacitance.farads()).inverse());
}
