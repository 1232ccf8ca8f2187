//! What a note's head has for the crew: fields, filled in where a file of setups or the command says them, else to be written on.

use dsp_core::circuit::{Chain, Input, InputBox, Link};
use dsp_core::preset::{Crew, LinePolarity, Phantom};
use firstjack_words::Words;

use crate::typeset::shortened;

/// A field of the crew's.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Field {
    pub term: &'static str,
    /// `None` where it is to be written by hand.
    pub text: Option<String>,
    /// How many quarters of the page it has.
    pub quarters: u8,
}

/// All fields, in rows of four quarters.
pub(super) fn fields(crew: &Crew, words: &Words) -> Vec<Field> {
    let Crew { phantom, pad, polarity, line, feed, contact, remarks } = crew;
    let cut = |text: &Option<String>, most| text.as_ref().map(|text| shortened(text, most));
    let phantom = phantom.map(|phantom| match phantom {
        Phantom::On => words.get("crew.on").to_owned(),
        Phantom::Off => words.get("crew.off").to_owned(),
    });
    let polarity = polarity.map(|polarity| match polarity {
        LinePolarity::Normal => words.get("crew.normal").to_owned(),
        LinePolarity::Reversed => words.get("crew.reversed").to_owned(),
    });
    let field = |term, text, quarters| Field { term: words.get(term), text, quarters };
    vec![
        field("crew.phantom", phantom, 1),
        field("crew.pad", cut(pad, 24), 1),
        field("crew.polarity", polarity, 1),
        field("crew.line", cut(line, 48), 1),
        field("crew.feed", cut(feed, 60), 2),
        field("crew.contact", cut(contact, 60), 2),
        field("crew.remarks", cut(remarks, 160), 4),
    ]
}

/// Whether a chain is said to have a transformer, which keeps phantom power away (common practice, no source).
pub(super) fn has_transformer(chain: &Chain) -> bool {
    let is_transformer =
        |link: &Link| matches!(link, Link::Box(InputBox { input: Input::Transformer(_), .. }));
    chain.links().any(|(link, _)| is_transformer(link))
}
