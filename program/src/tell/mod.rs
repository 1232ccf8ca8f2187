//! `firstjack tell`.

mod told;

use firstjack_words::Words;

use crate::arguments::TellArguments;
use crate::error::Failure;
use crate::source::{Source, Strings};
use crate::stdout;
use told::Told;

/// Runs the command.
pub fn run(arguments: &TellArguments) -> Result<(), Failure> {
    let source = Source::new(&arguments.source, &arguments.load)?;
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let told: Vec<Told> = source
        .setups
        .iter()
        .map(|setup| Told::new(&source.pickups, setup, &strings, arguments.max_loss))
        .collect();
    if arguments.json {
        return stdout::print(&json(&told, arguments.source.setups.is_some()));
    }
    let text: String = told.iter().map(ToString::to_string).collect();
    stdout::print(&(text + &Words::ENGLISH.cautions_in_short(&source.pickups)))
}

fn json(told: &[Told], several: bool) -> String {
    if several { stdout::json(&serde_json::json!({ "setups": told })) } else { stdout::json(&told[0]) }
}
