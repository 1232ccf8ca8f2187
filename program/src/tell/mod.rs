//! `firstjack tell`.

mod told;

use firstjack_words::Words;
use serde::Serialize;

use crate::arguments::TellArguments;
use crate::error::Failure;
use crate::source::{Source, Strings};
use crate::stdout;
use told::Told;

/// Runs the command.
pub fn run(arguments: &TellArguments) -> Result<(), Failure> {
    let source = Source::new(&arguments.source)?;
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let told: Vec<Told> = source
        .setups
        .iter()
        .map(|setup| Told::new(&source.pickups, setup, &strings, arguments.max_loss))
        .collect();
    if arguments.json {
        let remarks = source.remarks(&strings, &Words::ENGLISH);
        return stdout::print(&json(&told, arguments.source.setups.is_none(), &remarks));
    }
    let text: String = told.iter().map(ToString::to_string).collect();
    let remarks = source.remark_lines(&strings, &Words::ENGLISH);
    stdout::print(&(text + &remarks + &Words::ENGLISH.cautions_in_short(&source.pickups)))
}

/// One shape for all: a list of what is told. Of a single load that was typed its fields stand at the top too, where version 0.1.0 had them.
#[derive(Serialize)]
struct All<'a> {
    #[serde(flatten)]
    only: Option<&'a Told>,
    setups: &'a [Told],
    /// What was assumed without being said, and what is asked back.
    remarks: &'a [String],
}

fn json(told: &[Told], typed: bool, remarks: &[String]) -> String {
    let all = All { only: told.first().filter(|_| typed && told.len() == 1), setups: told, remarks };
    stdout::json(&all)
}
