//! A walk over the values of a circuit that may carry a tolerance. Each element names its own, so that none is forgotten.

use crate::units::Toleranced;

/// What is done with each value.
pub(crate) type Visit<'a> = dyn FnMut(&mut dyn Toleranced) + 'a;

/// Visits a value that an element may have.
pub(super) fn each<T: Toleranced>(value: &mut Option<T>, visit: &mut Visit<'_>) {
    if let Some(value) = value {
        visit(value);
    }
}
