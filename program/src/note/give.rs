//! The first thing on the page: what to give.

use dsp_core::preset::{Crew, Phantom};
use dsp_core::response::InputNeeded;
use firstjack_words::Words;

use super::LONGEST_NAME;
use crate::advice::{Advice, Remedy, Way};
use crate::typeset::shortened;

/// What to give, in one large sentence.
pub(super) fn give(advice: &Advice, words: &Words) -> String {
    match &advice.remedy {
        Remedy::Enough => format!("{}.", advice.plug(words)),
        Remedy::Bring { ohms, .. } => words.say("give.bring", &[("ohms", &words.ohms(*ohms))]),
        Remedy::Ask { needed: needed @ InputNeeded { to_ohms: None, .. }, .. } => {
            words.say("give.ask_from", &[("input", &words.input_asked(needed))])
        }
        Remedy::Ask { needed, .. } => words.say("give.ask", &[("input", &words.input_asked(needed))]),
        Remedy::Else(needed) => words.sentence(&words.input_asked(needed)),
    }
}

/// What is said of it: what there is otherwise, and that nothing recommends it; of what is good enough, what it comes to.
pub(super) fn besides(advice: &Advice, verdict: &str, crew: &Crew, words: &Words) -> Vec<String> {
    let mut said = Vec::new();
    let lowest = &advice.situation.strings.lowest;
    let told = advice.doing.outcome.told(lowest, words);
    match &advice.remedy {
        Remedy::Enough if advice.doing.way == Way::AsItIs => said.push(words.sentence(verdict)),
        Remedy::Enough => {
            let before = advice.doing.before.figure(words);
            said.push(words.say("give.instead", &[("outcome", &told), ("before", &before)]));
        }
        Remedy::Ask { outcome, .. } | Remedy::Bring { outcome, .. } => {
            let then = outcome.told(lowest, words);
            let plug = advice.plug(words);
            let best = advice.order.first() == Some(&advice.doing.setup);
            let id = match (&advice.doing.way, best) {
                (Way::AsItIs, true) if advice.is_alone() => "give.only",
                (Way::AsItIs, true) => "give.best",
                _ => "give.otherwise",
            };
            let name = shortened(&advice.situation.setups[advice.doing.setup].name, LONGEST_NAME);
            let on_short = matches!(advice.remedy, Remedy::Bring { on_short: true, .. });
            let outcome = [("outcome", &*then)];
            said.push(if on_short {
                words.say("give.then_on_short", &outcome)
            } else {
                words.say("give.then", &outcome)
            });
            said.push(words.say(id, &[("name", &name), ("plug", &plug), ("outcome", &told)]));
        }
        Remedy::Else(_) => said.push(words.sentence(verdict)),
    }
    let needs_power = matches!(advice.remedy, Remedy::Ask { .. } | Remedy::Bring { .. });
    if needs_power && crew.phantom == Some(Phantom::Off) {
        said.push(words.get("give.no_phantom").to_owned());
    }
    said
}
