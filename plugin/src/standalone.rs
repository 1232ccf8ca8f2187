use nice_plug::prelude::*;

use crate::plugin::Firstjack;

/// Runs the plugin in the framework's standalone, with the framework's own arguments (the first one is the program's name),
/// until its window is closed. False if that failed; the reason has been logged. Arguments that the framework does not
/// understand end the process.
pub fn standalone(arguments: impl IntoIterator<Item = String>) -> bool {
    nice_export_standalone_with_args::<Firstjack, _>(arguments)
}
