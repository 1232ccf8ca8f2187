//! What a saved state may contain, and what becomes of one that is damaged, edited or from another version.
//!
//! Format 1: `params` holds one plain value for each id of `params` in its stored unit, `heard` as its id
//! ("setup-1" to "setup-6", "as-recorded"); `fields` holds `"format": "1"`.
//!
//! Format 2: there are also `pickup_l`, `through_l` and `load_l_1` to `load_l_6`, and `fields` holds `"format": "2"` and
//! `"circuit"`, a JSON string: a preset in TOML, of which the values that are parameters are not used. The empty string is
//! a capacitive pickup and nothing that is no parameter: what every state of format 1 means.
//!
//! Format 3: there is also `hold`, and `fields` holds `"music"`, an object: the spectrum that the level match has learned of the
//! `tracks`, in levels, and of how many `seconds` of music; of none before it has learned, as in every earlier format. Then the gains
//! are those of the instrument's usual spectrum.
//!
//! Format 4: there is also `ceiling_all`, whether the ceiling bounds every change. Where it is missing, states of earlier formats keep their
//! sound: there it bounds undoing only.
//!
//! Format 5: `fields` holds `"view"`, an object: how the project is looked at (see `view_field`). It is never heard; damaged or missing it
//! is nothing.
//!
//! Format 6: there is also `floor`, where an undo comes down again, in hertz; 0 is off, as in every earlier format.
//!
//! The framework sets whatever it reads, unclamped, and keeps the present value of a parameter that is missing. So
//! before it does, every state is made whole: each parameter is there, of its type and within its range.
//! What cannot be used becomes the circuit's own value, or else the default. A state of a later format is read as far as it
//! is understood. A circuit that cannot be read is kept as it is, and heard as the empty one.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU32, Ordering};

use nice_plug::params::enums::EnumParamInner;
use nice_plug::params::persist::{PersistentField, deserialize_field, serialize_field};
use nice_plug::plugin::ParamValue;
use nice_plug::prelude::*;
use serde::de::DeserializeOwned;

use super::music_field::Kept;
use super::stored;
use super::view_field::View;
use crate::host::params::FirstjackParams;
use crate::host::preset;
use crate::sound::shown;
use crate::sound::values::Values;

/// Version of the format that is written.
pub(crate) const FORMAT: u32 = 6;

/// Parameters that came with a format, and what they are in a state of an earlier one, whatever stands there.
const CAME_LATER: [(&str, u32, ParamValue); 2] =
    [("ceiling_all", 4, ParamValue::Bool(false)), ("floor", 6, ParamValue::F32(shown::FLOOR_HZ.0))];

/// Makes a state whole. Unknown parameters and fields are dropped.
pub(crate) fn repair(state: &mut PluginState) {
    let defaults = FirstjackParams::default();
    let given = std::mem::take(&mut state.params);
    let circuit = circuit(state);
    let format = format(state);
    let missing: BTreeMap<_, _> =
        stored::by_id(&defaults, preset::read(&circuit).map_or(Values::FORMAT_1, |(_, values)| values))
            .into_iter()
            .collect();
    for (id, param, _) in defaults.param_map() {
        let earlier = CAME_LATER.into_iter().find(|(later, since, _)| *later == id && format < *since);
        if let Some((.., value)) = earlier {
            state.params.insert(id, value);
            continue;
        }
        let value = match param {
            ParamPtr::FloatParam(param) => {
                let missing = missing.get(&id).copied();
                // SAFETY: the pointers lead into `defaults`, which outlives them.
                float(unsafe { &*param }, given.get(&id), missing)
            }
            // SAFETY: as above.
            ParamPtr::BoolParam(param) => switch(unsafe { &*param }, given.get(&id)),
            // SAFETY: as above.
            ParamPtr::EnumParam(param) => choice(unsafe { &*param }, given.get(&id)),
            // There is none; the framework would keep the present value.
            ParamPtr::IntParam(_) => continue,
        };
        state.params.insert(id, value);
    }
    let music = field::<Kept>(state, "music").unwrap_or_default();
    let view = field::<View>(state, "view").unwrap_or_default();
    state.fields.clear();
    set_circuit(state, &circuit);
    let fields = [
        ("format", serialize_field(&format.max(FORMAT))),
        ("music", serialize_field(&music.repaired())),
        ("view", serialize_field(&view.repaired())),
    ];
    put(state, fields);
}

/// What a field says; nothing if it is missing or damaged.
fn field<T: DeserializeOwned>(state: &PluginState, name: &str) -> Option<T> {
    state.fields.get(name).and_then(|field| deserialize_field(field).ok())
}

fn put<E, const N: usize>(state: &mut PluginState, fields: [(&str, Result<String, E>); N]) {
    let written = |(name, value): (&str, Result<String, E>)| Some((name.to_owned(), value.ok()?));
    state.fields.extend(fields.into_iter().filter_map(written));
}

/// The format of a state; the first one if it does not say.
fn format(state: &PluginState) -> u32 {
    field(state, "format").unwrap_or(1)
}

/// The text of a state's circuit.
fn circuit(state: &PluginState) -> String {
    let field = state.fields.get("circuit").map_or("", String::as_str);
    // Whatever else is in its place is no preset either, and kept like one that cannot be read.
    deserialize_field(field).unwrap_or_else(|_| field.to_owned())
}

/// Puts a circuit's text into a state.
pub(crate) fn set_circuit(state: &mut PluginState, text: &str) {
    put(state, [("format", serialize_field(&FORMAT)), ("circuit", serialize_field(text))]);
}

/// The state's `format` field: always written as the present one, and of the last state that was loaded remembered if it was later.
pub(crate) struct FormatField(AtomicU32);

impl Default for FormatField {
    fn default() -> Self {
        Self(AtomicU32::new(FORMAT))
    }
}

impl FormatField {
    /// That a later version has saved the last state.
    #[cfg(feature = "editor")]
    pub fn problem(&self) -> Option<String> {
        let format = self.0.load(Ordering::Relaxed);
        (format > FORMAT).then(|| {
            format!(
                "A later version has saved this project (its state is of format {format}, known are 1 to {FORMAT}): what came with it is \
                 left out, and lost when it is saved here"
            )
        })
    }
}

impl PersistentField<'_, u32> for FormatField {
    fn set(&self, format: u32) {
        self.0.store(format, Ordering::Relaxed);
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&u32) -> R,
    {
        f(&FORMAT)
    }
}

fn float(param: &FloatParam, given: Option<&ParamValue>, missing: Option<f32>) -> ParamValue {
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
        _ => missing.unwrap_or_else(|| param.default_plain_value()),
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
