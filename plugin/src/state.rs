//! What a saved state may contain, and what becomes of one that is damaged, edited or from another version.
//!
//! Format 1: `params` holds one plain value for each id of `params` in its stored unit, `heard` as its id
//! ("setup-1" to "setup-6", "as-recorded"); `fields` holds `"format": "1"`.
//!
//! The framework sets whatever it reads, unclamped, and keeps the present value of a parameter that is missing. So
//! before it does, every state is made whole: each parameter is there, of its type and within its range.
//! What cannot be used becomes the default. A state of a later format is read as far as it is understood.

use std::collections::BTreeMap;

use nice_plug::params::enums::EnumParamInner;
use nice_plug::params::persist::serialize_field;
use nice_plug::plugin::ParamValue;
use nice_plug::prelude::*;

use crate::params::FirstjackParams;

/// Version of the format that is written.
pub(crate) const FORMAT: u32 = 1;

/// Makes a state whole. Unknown parameters and fields are dropped.
pub(crate) fn repair(state: &mut PluginState) {
    let defaults = FirstjackParams::default();
    let given = std::mem::take(&mut state.params);
    for (id, param, _) in defaults.param_map() {
        let value = match param {
            // SAFETY: the pointers lead into `defaults`, which outlives them.
            ParamPtr::FloatParam(param) => float(unsafe { &*param }, given.get(&id)),
            // SAFETY: as above.
            ParamPtr::BoolParam(param) => switch(unsafe { &*param }, given.get(&id)),
            // SAFETY: as above.
            ParamPtr::EnumParam(param) => choice(unsafe { &*param }, given.get(&id)),
            // There is none; the framework would keep the present value.
            ParamPtr::IntParam(_) => continue,
        };
        state.params.insert(id, value);
    }
    state.fields =
        BTreeMap::from_iter(serialize_field(&FORMAT).ok().map(|version| ("format".to_owned(), version)));
}

fn float(param: &FloatParam, given: Option<&ParamValue>) -> ParamValue {
    // The ends as the host reaches them, which in f32 may differ from the range's in the last digit: what was
    // saved must come back to the bit.
    let (low, high) = (param.preview_plain(0.0), param.preview_plain(1.0));
    let value = match given {
        Some(ParamValue::F32(value)) if !value.is_nan() => *value,
        #[expect(
            clippy::cast_precision_loss,
            reason = "whole numbers up to 2^24 are exact, the rest is edited"
        )]
        Some(ParamValue::I32(value)) => *value as f32,
        _ => param.default_plain_value(),
    };
    ParamValue::F32(value.clamp(low, high))
}

fn switch(param: &BoolParam, given: Option<&ParamValue>) -> ParamValue {
    match given {
        Some(ParamValue::Bool(value)) => ParamValue::Bool(*value),
        _ => ParamValue::Bool(param.default_plain_value()),
    }
}

fn choice(param: &EnumParamInner, given: Option<&ParamValue>) -> ParamValue {
    // Still the default, since `param` is fresh.
    let default = param.unmodulated_plain_id().unwrap_or_default();
    match given {
        Some(ParamValue::String(id)) if param.set_from_id(id) => ParamValue::String(id.clone()),
        _ => ParamValue::String(default.to_owned()),
    }
}
