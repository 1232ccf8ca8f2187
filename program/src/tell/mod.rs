//! `firstjack tell`.

mod told;

use anstyle::Style;
use firstjack_words::Words;
use serde::Serialize;

use crate::advice::{Advice, AdviceTold, Situation};
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
    let crew = source.crew();
    let advice = Advice::new(Situation {
        pickups: &source.pickups,
        setups: &source.setups,
        strings: &strings,
        max_loss_db: arguments.max_loss,
        feed: crew.and_then(|crew| crew.feed.as_deref()),
        chosen: None,
    });
    if arguments.json {
        let remarks = source.remarks(&strings, &Words::ENGLISH);
        return stdout::print(&json(&told, arguments.source.setups.is_none(), advice.as_ref(), &remarks));
    }
    let text: String = told.iter().map(ToString::to_string).collect();
    let advice = advice.map_or_else(String::new, |advice| what_to_do(&advice));
    let remarks = source.remark_lines(&strings, &Words::ENGLISH);
    stdout::print(&(text + &remarks + &advice + &Words::ENGLISH.cautions_in_short(&source.pickups)))
}

/// The one thing to do, and what is said besides.
fn what_to_do(advice: &Advice) -> String {
    let (bold, words) = (Style::new().bold(), Words::ENGLISH);
    let lines = advice.lines(&words);
    let line = |(index, line): (usize, &String)| match index {
        0 => format!("  {bold}{line}{bold:#}\n"),
        _ => format!("  {line}\n"),
    };
    let lines: String = lines.iter().enumerate().map(line).collect();
    format!("{}\n{lines}\n", words.get("advice.title"))
}

/// One shape for all: a list of what is told. Of a single load that was typed its fields stand at the top too, where version 0.1.0 had them.
#[derive(Serialize)]
struct All<'a> {
    #[serde(flatten)]
    only: Option<&'a Told>,
    setups: &'a [Told],
    /// What to do; null where nothing is plugged in.
    advice: Option<AdviceTold>,
    /// What was assumed without being said, and what is asked back.
    remarks: &'a [String],
}

fn json(told: &[Told], typed: bool, advice: Option<&Advice>, remarks: &[String]) -> String {
    let advice = advice.map(|advice| AdviceTold::new(advice, &Words::ENGLISH));
    let all = All { only: told.first().filter(|_| typed && told.len() == 1), setups: told, advice, remarks };
    stdout::json(&all)
}
