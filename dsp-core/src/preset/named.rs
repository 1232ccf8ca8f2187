//! Parts without a name in a chain beside boxes, which no file says: as links that a file does say, of the same circuit.

use crate::circuit::{Cable, Chain, Input, InputBox, Link, Splitter, Thru, Transformer};
use crate::units::{Inductance, Length, Ratio, Resistance};

/// The links of a chain, none of them without a name.
///
/// A capacitance becomes a metre of cable that has it. A resistance becomes a box, with a thru in parallel, where that does not
/// change which box is listened to. Elsewhere, and for inductances, a splitter without resistors has that box on its branch.
pub(super) fn named(chain: &Chain) -> Vec<Link> {
    let (links, loads): (Vec<&Link>, Vec<bool>) = chain.links().unzip();
    let is_heard = |index: usize| loads[index] && matches!(links[index], Link::Box(_));
    let heard = (0..links.len()).rfind(|index| is_heard(*index));
    let last_splitter = links.iter().rposition(|link| matches!(link, Link::Splitter(_)));
    let name = |(index, link): (usize, &&Link)| match **link {
        Link::Resistance(value) => {
            let stays_unheard = heard.is_some_and(|heard| index < heard) || !loads[index];
            // With no box at all it may be listened to at any place behind all splitters.
            let same_place = heard.is_none() && last_splitter.is_none_or(|splitter| splitter < index);
            if stays_unheard || same_place {
                let thru = (index + 1 < links.len()).then_some(Thru::Before);
                Link::Box(InputBox { thru, ..InputBox::new(value.to_string(), value) })
            } else {
                aside(InputBox::new(value.to_string(), value))
            }
        }
        Link::Capacitance(value) => {
            Link::Cable(Cable { per_metre: Some(value), ..Cable::new(constant(Length::from_metres(1.0))) })
        }
        Link::Inductance(value) => aside(coil(value)),
        ref other => other.clone(),
    };
    links.iter().enumerate().map(name).collect()
}

/// A box as a load that is never listened to.
fn aside(input: InputBox) -> Link {
    let name = input.name.clone();
    Link::Splitter(Splitter { name, resistor: None, branch: Chain::of(vec![Link::Box(input)]) })
}

/// A transformer that shows next to nothing but its primary: the load reflected is 10^18 Ω.
fn coil(primary: Inductance) -> InputBox {
    let transformer = Transformer {
        primary,
        winding: None,
        ratio: constant(Ratio::from_value(1e3)),
        secondary: constant(Resistance::from_ohms(1e12)),
        capacitance: None,
        core: None,
    };
    InputBox {
        name: primary.to_string(),
        input: Input::Transformer(transformer),
        capacitance: None,
        blocking: None,
        thru: None,
    }
}

fn constant<T, E: std::fmt::Debug>(value: Result<T, E>) -> T {
    value.expect("within its range")
}
