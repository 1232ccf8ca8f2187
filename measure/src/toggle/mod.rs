//! Held notes while a known load is switched in and out across the pickup.
//!
//! Each partial of a note steps where something is switched, by what the circuit makes of its frequency (`circuit.rs`). How far it steps is taken
//! from spectra on both sides (`take.rs`, `steps.rs`); the value sought is the one that makes the steps of all switches likeliest
//! (`likelihood.rs`, `profile.rs`).

pub(crate) mod answer;
mod chart;
mod circuit;
pub(crate) mod likelihood;
mod onsets;
pub(crate) mod profile;
pub(crate) mod spectra;
mod steps;
mod suggest;
pub(crate) mod take;
mod verdict;

use dsp_core::circuit::Cable;
use dsp_core::units::{Capacitance, Load};

pub use suggest::suggest_marks;

use crate::beside::Beside;
use crate::{Measured, Recording, Refusal};
use likelihood::Group;
use take::Take;

/// Fewer switches tell nothing of how far they scatter.
const LEAST_TOGGLES: usize = 6;

/// Of fewer partials a switch has no level and no tilt.
const LEAST_PARTIALS: usize = 4;

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
    answer::measured(|| {
        let take = Take::new(take, marks_seconds)?;
        answer::capacitance(&groups(&take)?, loads, cable)
    })
}

/// The input of a box, in ohms, that was switched in and out across a known pickup and what is always there.
pub fn input_box(
    take: &Recording,
    load_a: &Load,
    known_pickup: &Capacitance,
    cable: Option<&Cable>,
    marks_seconds: &[f64],
) -> Measured {
    answer::measured(|| {
        let cable = cable.map(Beside::of_cable).unwrap_or_default();
        let always = Beside::new(load_a)?.plus(cable).plus(Beside::of_capacitance(*known_pickup));
        let take = Take::new(take, marks_seconds)?;
        answer::input(&groups(&take)?, &always)
    })
}

/// The steps at all marks that tell something.
fn groups(take: &Take<'_>) -> Result<Vec<Group>, Refusal> {
    let marks = take.marks.len();
    let steps: Vec<_> = (0..marks).map(|mark| steps::steps(take, mark)).collect();
    let crowded = steps.iter().filter(|steps| steps.is_none()).count();
    let usable = steps.into_iter().flatten().filter(|steps| steps.len() >= LEAST_PARTIALS);
    let groups: Vec<Group> = usable.map(Group::new).collect();
    if groups.len() >= LEAST_TOGGLES {
        return Ok(groups);
    }
    let weak = marks - crowded - groups.len();
    Err(match () {
        () if marks < LEAST_TOGGLES => Refusal::TooFewToggles { marks, least: LEAST_TOGGLES },
        () if crowded >= weak => Refusal::TooCrowded { marks, usable: groups.len(), least: LEAST_TOGGLES },
        () => Refusal::NoNotes { marks, usable: groups.len(), least: LEAST_TOGGLES },
    })
}
