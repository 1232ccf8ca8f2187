//! The crew note: what a stage needs to know of one pickup, on one A4 page. One content, written as HTML and as PDF.

mod cable;
mod content;
mod crew;
mod drawing;
mod give;
mod html;
mod order;
mod page;
#[cfg(test)]
mod tests;

use dsp_core::preset::Crew;
use firstjack_words::Words;

use crate::advice::Situation;
use crate::arguments::{NoteArguments, NoteKindArgument};
use crate::error::Failure;
use crate::output::{self, Expected, Input, Outputs};
use crate::paper;
use crate::source::{NamedChain, OwnKit, Source, Strings, find_setup, read_preset};
use crate::stdout;

pub use content::Note;

/// Whether the PDF can show a character.
#[cfg(test)]
pub fn has_glyph(c: char) -> bool {
    crate::typeset::Typesetter::new().has(c)
}

/// Names of setups and boxes are cut to so many characters.
const LONGEST_NAME: usize = 40;

/// What a note is about.
pub struct Subject<'a> {
    /// What the file of setups is called.
    pub title: &'a str,
    /// The venue, if the setups are those of one.
    pub venue: Option<&'a str>,
    pub pickups: &'a dsp_core::circuit::Pickups,
    pub setups: &'a [NamedChain],
    /// What the crew has to know, as far as it is said.
    pub crew: &'a Crew,
    /// The setup that it is about, counted from zero; the one that loses least, unless given.
    pub chosen: Option<usize>,
    pub strings: &'a Strings,
    /// Loss to accept, in dB, for the input to ask for.
    pub max_loss_db: f64,
}

impl Subject<'_> {
    fn situation(&self) -> Situation<'_> {
        Situation {
            pickups: self.pickups,
            setups: self.setups,
            strings: self.strings,
            max_loss_db: self.max_loss_db,
            feed: self.crew.feed.as_deref(),
            chosen: self.chosen,
        }
    }

    fn lowest_hz(&self) -> f64 {
        self.strings.lowest_hz()
    }
}

/// Runs the command.
pub fn run(arguments: &NoteArguments) -> Result<(), Failure> {
    let kit = OwnKit::new(&arguments.kit)?;
    let mut source = Source::from_preset(read_preset(&arguments.setups, &kit)?);
    source.kit = kit;
    if let Some(venue) = &arguments.venue {
        source.keep_venue(venue)?;
    }
    let output = &arguments.output;
    let kind = paper::kind(output, arguments.format)?;
    let setups = Input { path: &arguments.setups, is: "the file of setups" };
    let mut outputs = Outputs::new(&arguments.write, [setups]);
    outputs.add("-o", output, Expected::default())?;
    let subject = Subject {
        title: source.title.as_deref().unwrap_or_default(),
        venue: source.venue.as_deref(),
        pickups: &source.pickups,
        setups: &source.setups,
        crew: &arguments.crew.over(source.crew()),
        chosen: arguments.setup.as_ref().map(|name| find_setup(&source.setups, name)).transpose()?,
        strings: &Strings::new(&arguments.strings, source.instrument.as_deref())?,
        max_loss_db: arguments.max_loss,
    };
    let note = Note::new(&subject, &Words::new(arguments.language));
    if !outputs.prepare(false)? {
        return Ok(());
    }
    let bytes = if kind == NoteKindArgument::Pdf {
        note.pdf().map_err(|error| Failure::Usage(format!("{}: {error}", output.display())))?
    } else {
        note.document().into_bytes()
    };
    output::write(&outputs, output, &bytes)?;
    stdout::tell_aside(&source.remark_lines(subject.strings, &Words::ENGLISH))
}
