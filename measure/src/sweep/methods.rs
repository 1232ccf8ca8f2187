use super::Known;
use crate::{Found, Measured, Recording, Refusal};

/// A pickup's capacitance, and resistance and capacitance of the input: from the output straight into the input (`reference`), through the
/// known part with the measuring lead on the node (`empty`), and with the pickup at the node besides (`plugged`).
pub fn pickup(reference: &Recording, empty: &Recording, plugged: &Recording, _known: &Known) -> Measured {
    nothing([("reference", reference), ("empty", empty), ("plugged", plugged)])
}

/// Resistance and capacitance of a box's input and, where they show, its blocking capacitor or its transformer's primary: from the output straight
/// into the box and the box into the input (`reference`), and with the known part between output and box (`boxed`).
pub fn input_box(reference: &Recording, boxed: &Recording, _known: &Known) -> Measured {
    nothing([("reference", reference), ("box", boxed)])
}

/// Inductance, resistance, losses and winding capacitance of a magnetic pickup, by the same three recordings as a capacitive one.
pub fn coil(reference: &Recording, empty: &Recording, plugged: &Recording, _known: &Known) -> Measured {
    nothing([("reference", reference), ("empty", empty), ("plugged", plugged)])
}

fn nothing<const N: usize>(steps: [(&'static str, &Recording); N]) -> Measured {
    let refused = steps
        .into_iter()
        .find_map(|(name, step)| step.problem(name))
        .unwrap_or(Refusal::Silent { recording: steps[0].0 });
    Measured { found: Found::default(), refused: Some(refused), remarks: Vec::new(), chart: Vec::new() }
}
