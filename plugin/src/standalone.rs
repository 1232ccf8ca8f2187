use nice_plug::prelude::*;

use crate::editor::SOUND;
use crate::plugin::Firstjack;

/// Runs the plugin in the framework's standalone, with the framework's own arguments (the first one is the program's name),
/// until its window is closed; the window says where `sound` comes from and goes to. For once in a process. False if that
/// failed; the reason has been logged. Arguments that the framework does not understand end the process.
pub fn standalone(arguments: impl IntoIterator<Item = String>, sound: String) -> bool {
    SOUND.get_or_init(|| sound);
    nice_export_standalone_with_args::<Firstjack, _>(arguments)
}
