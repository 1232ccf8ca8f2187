//! Advice in words.

use firstjack_words::Words;

use super::thru::Doubt;
use super::{Advice, Remedy, Way, boxes};
use crate::typeset::shortened;
use dsp_core::circuit::Thru;
use dsp_core::response::Merit;

/// Names are cut to so many characters.
const LONGEST_NAME: usize = 40;

/// More setups than this are counted, not listed.
const MOST_SETUPS: usize = 12;

/// Pairs that may change places: more are not told.
const MOST_PAIRS: usize = 3;

impl Advice<'_> {
    /// All of it, the one thing to do first.
    pub fn lines(&self, words: &Words) -> Vec<String> {
        let plug = self.plug_and_hear(words);
        let mut lines = match (self.remedy(words), self.is_alone() && self.doing.way == Way::AsItIs) {
            // What is the only one there is needs no word before that.
            (Some(remedy), true) => vec![remedy],
            (Some(remedy), false) => vec![plug, remedy],
            (None, true) => vec![plug, words.get("advice.enough").to_owned()],
            (None, false) => vec![plug],
        };
        if !self.is_alone() {
            lines.extend(self.tie(words));
            lines.push(self.in_order(words));
            lines.extend(self.holding(words));
        }
        lines.extend(self.doubt(words));
        lines
    }

    /// What to plug in, as one says it: "Plug straight into the combo".
    pub fn plug(&self, words: &Words) -> String {
        let said = |id: &str, name: &str| words.say(id, &[("name", &shortened(name, LONGEST_NAME))]);
        match &self.doing.way {
            Way::First(name) => return said("advice.plug_first", name),
            Way::Straight(name) => return said("advice.plug_straight_only", name),
            Way::AsItIs => {}
        }
        let chain = &self.doing.chain;
        let mut named = chain.links().filter_map(|(link, _)| link.name());
        let first = boxes(chain).next();
        match (named.next(), named.next(), first) {
            (None, ..) => said("advice.plug_load", self.name(self.doing.setup)),
            (Some(only), None, Some(_)) => said("advice.plug_straight", only),
            (Some(_), Some(_), Some((_, input, _))) if input.thru == Some(Thru::After) => {
                said("advice.plug_buffered", &input.name)
            }
            _ => said("advice.plug_as", self.name(self.doing.setup)),
        }
    }

    fn plug_and_hear(&self, words: &Words) -> String {
        let (plug, outcome) = (self.plug(words), self.told(&self.doing.outcome, words));
        if self.doing.way == Way::AsItIs {
            return words.say("advice.then", &[("plug", &plug), ("outcome", &outcome)]);
        }
        let before = self.doing.before.figure(words);
        words.say("advice.instead", &[("plug", &plug), ("outcome", &outcome), ("before", &before)])
    }

    /// What helps, where what there is is not good enough.
    pub fn remedy(&self, words: &Words) -> Option<String> {
        let best = !self.is_alone() || self.doing.way != Way::AsItIs;
        let before = self.doing.outcome.figure(words);
        Some(match &self.remedy {
            Remedy::Enough => return None,
            Remedy::Else(needed) => words.sentence(&words.asked(needed, self.situation.max_loss_db)),
            Remedy::Ask { needed, outcome } => {
                let (input, outcome) = (words.input_asked(needed), self.told(outcome, words));
                let values = [("input", &*input), ("outcome", &outcome), ("before", &before)];
                words.say(if best { "advice.better_ask" } else { "advice.ask" }, &values)
            }
            Remedy::Bring { ohms, needed, outcome, is_here, on_short } => {
                let from = needed.asked_ohms().0.map_or(*ohms, |from| from.min(*ohms));
                let (from, ohms, outcome) = (words.ohms(from), words.ohms(*ohms), self.told(outcome, words));
                let cable = if *on_short { words.get("advice.on_short") } else { "" };
                let values = [
                    ("needed", &*from),
                    ("ohms", &ohms),
                    ("cable", cable),
                    ("outcome", &outcome),
                    ("before", &before),
                ];
                words.say(
                    match (best, is_here) {
                        (_, true) => "advice.bring_too",
                        (true, false) => "advice.better_bring",
                        (false, false) => "advice.bring",
                    },
                    &values,
                )
            }
        })
    }

    fn told(&self, outcome: &super::Outcome, words: &Words) -> String {
        outcome.told(&self.situation.strings.lowest, words)
    }

    fn name(&self, setup: usize) -> &str {
        &self.situation.setups[setup].name
    }

    /// "In order of what low A loses: tuner 13 dB, combo 19 dB."
    fn in_order(&self, words: &Words) -> String {
        let of = |index: &usize| {
            let name = shortened(self.name(*index), LONGEST_NAME);
            format!("{name} {}", self.outcomes[*index].figure(words))
        };
        let mut list: Vec<String> = self.order.iter().take(MOST_SETUPS).map(of).collect();
        if let Some(more) = self.order.len().checked_sub(MOST_SETUPS).filter(|more| *more > 0) {
            list.push(words.say("note.beside", &[("count", &more.to_string())]));
        }
        let list = list.join("; ");
        let string = words.note(&self.situation.strings.lowest);
        match self.doing.outcome.merit {
            Merit::LossDb(_) => words.say("advice.order_level", &[("string", string), ("list", &list)]),
            Merit::TopHz(_) => words.say("advice.order_top", &[("list", &list)]),
        }
    }

    /// Why the first is ahead of one that loses a little less.
    pub fn tie(&self, words: &Words) -> Option<String> {
        let [first, second, ..] = self.order[..] else { return None };
        let [one, other] = [first, second].map(|index| self.outcomes[index].merit);
        let [first, second] = [first, second].map(|index| shortened(self.name(index), LONGEST_NAME));
        let is_behind = one.order(&other).is_gt();
        is_behind.then(|| words.say("advice.tie", &[("first", &first), ("second", &second)]))
    }

    /// Whether the order holds within tolerances.
    pub fn holding(&self, words: &Words) -> Option<String> {
        if self.holds()? {
            return Some(words.get("advice.holds").to_owned());
        }
        let pair = |(ahead, behind): (usize, usize)| {
            let [ahead, behind] = [ahead, behind].map(|index| shortened(self.name(index), LONGEST_NAME));
            words.say("advice.swap", &[("ahead", &ahead), ("behind", &behind)])
        };
        let pairs: Vec<String> = self.swaps().take(MOST_PAIRS).map(pair).collect();
        let pairs = pairs.join(", ");
        Some(if self.ranking.first_holds() {
            let first = shortened(self.name(*self.order.first()?), LONGEST_NAME);
            words.say("advice.first_holds", &[("first", &first), ("pairs", &pairs)])
        } else {
            words.say("advice.open", &[("pairs", &pairs)])
        })
    }

    /// How to find out what the advice depends on.
    pub fn doubt(&self, words: &Words) -> Option<String> {
        let Doubt { name, is_buffered, otherwise, setup } = self.doubt.as_ref()?;
        let (name, outcome) = (shortened(name, LONGEST_NAME), self.told(otherwise, words));
        let values = [("name", &*name), ("outcome", &outcome)];
        Some(match (is_buffered, setup) {
            (true, _) => words.say("advice.is_buffered", &values),
            (false, None) => words.say("advice.is_parallel", &values),
            (false, Some(setup)) => {
                let setup = shortened(self.name(*setup), LONGEST_NAME);
                words.say("advice.is_parallel_in", &[&values[..], &[("setup", &setup)]].concat())
            }
        })
    }
}
