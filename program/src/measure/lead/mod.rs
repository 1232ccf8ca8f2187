//! `firstjack measure lead`: one page that shows how to build and use the measuring lead.

mod content;
mod html;
mod page;
mod sketch;
#[cfg(test)]
mod tests;

use firstjack_words::Words;

use crate::arguments::NoteKindArgument;
use crate::arguments::measure::LeadArguments;
use crate::error::Failure;
use crate::output::{self, Expected, Outputs};
use crate::paper;
use content::Lead;

/// Runs the command.
pub fn run(arguments: &LeadArguments) -> Result<(), Failure> {
    let output = &arguments.output;
    let kind = paper::kind(output, arguments.format)?;
    let mut outputs = Outputs::new(&arguments.write, []);
    outputs.add("-o", output, Expected::default())?;
    if !outputs.prepare(false)? {
        return Ok(());
    }
    let lead = Lead::new(&Words::new(arguments.language));
    let bytes = if kind == NoteKindArgument::Pdf {
        lead.pdf().map_err(|error| Failure::Usage(format!("{}: {error}", output.display())))?
    } else {
        lead.document().into_bytes()
    };
    output::write(&outputs, output, &bytes)
}
