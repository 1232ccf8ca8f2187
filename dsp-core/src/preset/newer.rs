//! What came with which version: a file that says an earlier one may not have it, since programs that only know that one refuse it.

use super::text::{LinkText, PickupText, PresetText};

/// The first field of a file that came with a later version than it says, and that version.
pub(super) fn newer_field(file: &PresetText) -> Option<(&'static str, i64)> {
    let venue = file.setups.iter().any(|setup| setup.venue.is_some()).then_some("venue");
    let fields = [(of_version_2(file), 2), (venue, 3)];
    let newer = fields.into_iter().filter(|(_, since)| file.version < *since);
    newer.filter_map(|(field, since)| field.zip(Some(since))).next()
}

fn of_version_2(file: &PresetText) -> Option<&'static str> {
    let chains = file.setups.iter().map(|setup| &setup.chain).chain([&file.recorded.chain]);
    let positions = file.setups.iter().map(|setup| (setup.volume, setup.tone));
    let positions = positions.chain([(file.recorded.volume, file.recorded.tone)]);
    let of_position =
        |(volume, tone): (Option<_>, Option<_>)| volume.map(|_| "volume").or(tone.map(|_| "tone"));
    file.blend
        .as_ref()
        .map(|_| "blend")
        .or_else(|| file.pickup.as_ref().and_then(of_pickup))
        .or_else(|| positions.into_iter().find_map(of_position))
        .or_else(|| chains.flatten().flatten().find_map(of_link))
}

fn of_pickup(text: &PickupText) -> Option<&'static str> {
    let fields = [
        (text.inductance.is_some(), "inductance"),
        (text.resistance.is_some(), "resistance"),
        (text.winding.is_some(), "winding"),
        (text.tone.is_some(), "tone"),
        (text.volume.is_some(), "volume"),
    ];
    first(&fields)
}

fn of_link(text: &LinkText) -> Option<&'static str> {
    let fields = [
        (text.leakage.is_some(), "leakage"),
        (text.transformer.is_some(), "transformer"),
        (text.blocking.is_some(), "blocking"),
        (text.splitter.is_some(), "splitter"),
        (text.resistor.is_some(), "resistor"),
        (text.branch.is_some(), "branch"),
    ];
    first(&fields)
}

fn first(fields: &[(bool, &'static str)]) -> Option<&'static str> {
    fields.iter().find(|(given, _)| *given).map(|(_, name)| *name)
}
