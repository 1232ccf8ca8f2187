//! `firstjack rescue`: what a desk's equaliser can put back of what a setup takes, and what it leaves wrong.

mod rescued;
mod sentences;
mod text;

use dsp_core::circuit::{Chain, Positions};
use dsp_core::response::Response;
use firstjack_words::Words;

use crate::arguments::RescueArguments;
use crate::error::Failure;
use crate::source::{Source, Strings, load};
use crate::stdout;
pub use rescued::{Reach, Rescue, StringReach};
pub use sentences::{name, settings};

/// Runs the command.
pub fn run(arguments: &RescueArguments) -> Result<(), Failure> {
    let source = Source::new(&arguments.source)?;
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let (chain, positions) = match &arguments.through {
        Some(text) => {
            (Chain::from(&load("--recorded-through", text, &source.pickups)?), Positions::default())
        }
        None => source.recorded.clone().unwrap_or_default(),
    };
    let recorded = Response::recorded(&source.pickups.with_positions(positions), &chain);
    let desk = arguments.desk.desk();
    let rate_hz = f64::from(arguments.rate);
    let rescues: Vec<Rescue> = source
        .setups
        .iter()
        .map(|setup| Rescue::new(&source.pickups, &recorded, setup, &strings, &desk, rate_hz))
        .collect::<Result<_, _>>()?;
    if arguments.json {
        return stdout::print(&json(&rescues, &desk, rate_hz));
    }
    let words = Words::ENGLISH;
    let remarks = source.remark_lines(&strings, &words);
    let told: String = rescues.iter().map(|rescue| text::of(rescue, &strings, &words)).collect();
    let caution_of_boost = words.get("rescue.caution");
    stdout::print(&format!("{told}{remarks}{caution_of_boost}\n{}", words.cautions_in_short(&source.pickups)))
}

fn json(rescues: &[Rescue], desk: &firstjack_equaliser::Desk, rate_hz: f64) -> String {
    stdout::json(&serde_json::json!({ "rate_hz": rate_hz, "desk": desk, "setups": rescues }))
}
