#![no_main]

use firstjack_plugin::{Firstjack, FirstjackParams, load_preset};
use nice_plug::prelude::*;

libfuzzer_sys::fuzz_target!(|text: &str| {
    let Ok(mut state) = serde_json::from_str::<PluginState>(text) else { return };
    // As the framework does it when a project is opened.
    Firstjack::filter_state(&mut state);
    let params = FirstjackParams::default();
    params.deserialize_fields(&state.fields);
    let fields = params.serialize_fields();
    params.deserialize_fields(&fields);
    let _ = load_preset(text, &mut state);
});
