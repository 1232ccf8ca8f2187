//! What parameters store, as values.

use nice_plug::prelude::FloatParam;

use super::params::FirstjackParams;
use crate::sound::snapshot::Snapshot;
use crate::sound::values::{Load, Source, Values};

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
        values: values(params, FloatParam::value),
    }
}

/// Of the circuits, those that `value` finds.
pub(crate) fn values(params: &FirstjackParams, value: impl Fn(&FloatParam) -> f32) -> Values {
    let take = &params.take;
    Values {
        source: Source { picofarads: value(&take.pickup_picofarads), henries: value(&take.pickup_henries) },
        through: Load {
            ohms: value(&take.through_ohms),
            picofarads: value(&take.through_picofarads),
            henries: value(&take.through_henries),
            cable_metres: 0.0,
        },
        setups: std::array::from_fn(|index| {
            let setup = &params.setups[index];
            Load {
                ohms: value(&setup.ohms),
                picofarads: value(&setup.picofarads),
                henries: value(&setup.henries),
                cable_metres: value(&setup.cable_metres),
            }
        }),
    }
}

/// Each with its parameter's id.
pub(crate) fn by_id(values: &Values) -> impl Iterator<Item = (String, f32)> {
    let take = [
        ("pickup_c", values.source.picofarads),
        ("pickup_l", values.source.henries),
        ("through_r", values.through.ohms),
        ("through_c", values.through.picofarads),
        ("through_l", values.through.henries),
    ];
    let take = take.map(|(id, value)| (id.to_owned(), value));
    let setups = (1..).zip(values.setups).flat_map(|(number, load)| {
        let values = [
            ("load_r", load.ohms),
            ("load_c", load.picofarads),
            ("load_l", load.henries),
            ("cable", load.cable_metres),
        ];
        values.map(|(id, value)| (format!("{id}_{number}"), value))
    });
    take.into_iter().chain(setups)
}
