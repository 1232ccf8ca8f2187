//! Whether what was found can be believed.

use super::circuit::Circuit;
use super::likelihood::Step;
use super::profile::{Evidence, Expected, Likeliest, Search};
use super::spectra::to_f64;
use crate::beside::Known;
use crate::{Estimate, Refusal};

/// At least this part of the steps is what the circuit makes of them.
const LEAST_EXPLAINED: f64 = 0.2;

/// Where all frequencies step by less, in nepers, nothing was switched: 0.9 dB.
const LEAST_STEP: f64 = 0.1;

/// So much likelier are the steps with a circuit than with one step for all frequencies, as a logarithm.
const LEAST_GAIN: f64 = 20.0;

/// A pickup moves, so that its capacitance is not one number: as a logarithm, about 5 %.
const MECHANICS: f64 = 0.05;

/// An interval may reach so far from its value, as a part of that.
const MOST_HALF_WIDTH: f64 = 0.5;

/// Values that a flat step is looked for among.
const FLAT_COUNT: usize = 61;

/// What a circuit is unsure of: how it looks with one of its values at either end.
pub(crate) struct Unsure {
    low: Circuit,
    high: Circuit,
}

impl Unsure {
    pub fn new(value: Known, set: impl Fn(f64) -> Circuit) -> Self {
        Self { low: set((value.value - value.below).max(0.0)), high: set(value.value + value.above) }
    }

    fn is_none(&self) -> bool {
        self.low == self.high
    }
}

/// What is sought of a circuit, by the logarithm of a value in SI units.
pub(crate) struct Sought<'a> {
    /// From where to where it is looked for, and among how many values.
    pub range: (f64, f64, usize),
    pub set: &'a dyn Fn(&Circuit, f64) -> Circuit,
}

/// The value that groups of steps tell, with its interval, and the search's own account of it.
///
/// # Errors
/// If they do not.
pub(crate) fn judge<E: Evidence>(
    groups: &[E],
    circuit: &Circuit,
    unsure: &[Unsure],
    sought: &Sought<'_>,
) -> Result<(Estimate, Likeliest), Refusal> {
    let (low, high, count) = sought.range;
    let search = Search::new(groups, low.ln(), high.ln(), count);
    let of = |circuit: &Circuit| {
        let circuit = *circuit;
        move |value: f64, hz: f64| (sought.set)(&circuit, value.exp()).step(hz)
    };
    let expected = of(circuit);
    let found = search.likeliest(&expected);
    check(groups, &found, &expected)?;
    let (mut below, mut above) =
        ((found.value - found.low).hypot(MECHANICS), (found.high - found.value).hypot(MECHANICS));
    for Unsure { low, high } in unsure.iter().filter(|unsure| !unsure.is_none()) {
        let moved = [low, high].map(|circuit| search.value_for(&of(circuit), &found.scatter) - found.value);
        below = below.hypot(moved[0].min(moved[1]).min(0.0));
        above = above.hypot(moved[0].max(moved[1]).max(0.0));
    }
    let estimate = Estimate {
        value: found.value.exp(),
        low: (found.value - below).exp(),
        high: (found.value + above).exp(),
    };
    Ok((estimate, found))
}

/// Whether an interval is too wide to be called one.
pub(crate) fn is_wide(estimate: &Estimate) -> bool {
    let Estimate { value, low, high } = *estimate;
    (high - value).max(value - low) > MOST_HALF_WIDTH * value
}

fn check<E: Evidence>(groups: &[E], found: &Likeliest, expected: &Expected<'_>) -> Result<(), Refusal> {
    let explained = explained(groups, &|hz| expected(found.value, hz));
    let flat = flat(groups);
    let gain = (found.log_likelihood - flat.log_likelihood) / to_f64(E::sharing());
    if explained < LEAST_EXPLAINED {
        let is_nothing = flat.value.abs() < LEAST_STEP;
        return Err(if is_nothing { Refusal::NothingSwitched } else { Refusal::NotThisCircuit });
    }
    if gain < LEAST_GAIN {
        return Err(Refusal::FlatStep);
    }
    if found.is_at_end { Err(Refusal::NoEnd) } else { Ok(()) }
}

/// `1 - median|step - expected| / median|step|`.
fn explained<E: Evidence>(groups: &[E], expected: &dyn Fn(f64) -> f64) -> f64 {
    let all = || groups.iter().flat_map(|group| group.steps());
    let left = median(all().map(|step| (step.nepers - expected(step.hz)).abs()));
    1.0 - left / median(all().map(|step| step.nepers.abs())).max(f64::MIN_POSITIVE)
}

/// One step for all frequencies, whatever it is.
fn flat<E: Evidence>(groups: &[E]) -> Likeliest {
    let all = || groups.iter().flat_map(|group| group.steps()).map(|step: &Step| step.nepers);
    let (low, high) = (all().fold(0.0, f64::min) - 0.1, all().fold(0.0, f64::max) + 0.1);
    Search::new(groups, low, high, FLAT_COUNT).likeliest(&|step, _| step)
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or_default()
}
