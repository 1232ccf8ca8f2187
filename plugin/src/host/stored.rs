//! What parameters store, as values.

use nice_plug::prelude::{FloatParam, Param, Params};

use super::params::FirstjackParams;
use super::quantities::held;
use crate::sound::snapshot::Snapshot;
use crate::sound::values::Values;

/// All of one moment, with the host's modulation.
pub(crate) fn snapshot(params: &FirstjackParams) -> Snapshot {
    let level = &params.level;
    Snapshot {
        heard: params.heard.value().setup(),
        bypass: params.bypass.value(),
        level_match: level.level_match.value(),
        hold: level.hold.value(),
        guard: level.guard.value(),
        trim_db: level.trim_db.value(),
        output_db: level.output_db.value(),
        ceiling_db: params.take.ceiling_db.value(),
        of_every_change: params.take.of_every_change.value(),
        floor_hz: params.take.floor_hz.value(),
        values: values(params, FloatParam::value),
    }
}

/// Of the circuits, those that `value` finds.
pub(crate) fn values(params: &FirstjackParams, value: impl Fn(&FloatParam) -> f32) -> Values {
    // All are put in but the cable that the take was recorded through, of which there is none.
    let mut values = Values::FORMAT_1;
    held(params, &mut values).for_each(|(param, to)| *to = value(param));
    values
}

/// Each with its parameter's id.
pub(crate) fn by_id(params: &FirstjackParams, mut values: Values) -> Vec<(String, f32)> {
    let held: Vec<_> = held(params, &mut values).map(|(param, value)| (param.as_ptr(), *value)).collect();
    let all = params.param_map().into_iter();
    all.filter_map(|(id, param, _)| Some((id, held.iter().find(|(of, _)| *of == param)?.1))).collect()
}
