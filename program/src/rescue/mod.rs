//! `firstjack rescue`: what a desk's equaliser can put back of what a setup takes, and what it leaves wrong.

mod aim;
mod rescued;
mod sentences;
mod text;

use firstjack_equaliser::Desk;
use firstjack_words::Words;

use crate::arguments::RescueArguments;
use crate::error::Failure;
use crate::source::{Source, Strings};
use crate::stdout;
use aim::Aim;
pub use rescued::{Reach, Rescue, StringReach};
pub use sentences::{in_general, name, settings};

/// Runs the command.
pub fn run(arguments: &RescueArguments) -> Result<(), Failure> {
    let source = Source::new(&arguments.source)?;
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let aim = Aim::new(arguments, &source)?;
    let desk = arguments.desk.desk();
    let rate_hz = f64::from(arguments.rate);
    let rescues: Vec<Rescue> = source
        .setups
        .iter()
        .map(|setup| Rescue::new(&setup.name, &aim.between(source.pickups, setup), &strings, &desk, rate_hz))
        .collect::<Result<_, _>>()?;
    if arguments.json {
        return stdout::print(&json(&rescues, &aim, &desk, rate_hz));
    }
    let words = Words::ENGLISH;
    let remarks = source.remark_lines(&strings, &words);
    let told: String = rescues.iter().map(|rescue| text::of(rescue, &strings, &words)).collect();
    let aimed = aim.sentence(&words);
    let after =
        [aimed.as_str()].into_iter().chain(in_general(&rescues, &words)).chain([words.get("rescue.caution")]);
    let after: String = after.map(|sentence| format!("{sentence}\n")).collect();
    stdout::print(&format!("{told}{remarks}{after}{}", words.cautions_in_short(&source.pickups)))
}

fn json(rescues: &[Rescue], aim: &Aim, desk: &Desk, rate_hz: f64) -> String {
    stdout::json(&serde_json::json!({ "rate_hz": rate_hz, "aim": aim, "desk": desk, "setups": rescues }))
}
