//! Which parts of a chain load the pickup, and what they add up to.

use crate::common;
use approx::assert_relative_eq;
use dsp_core::circuit::{Cable, Chain, InputBox, Link, Shunt, Thru};
use dsp_core::units::Load;
use proptest::prelude::*;

fn input_box(name: &str, input: &str, thru: Option<Thru>) -> Link {
    Link::Box(InputBox { thru, ..InputBox::new(name, input.parse().unwrap()) })
}

fn cable(length: &str) -> Link {
    Link::Cable(Cable::new(length.parse().unwrap()))
}

fn load(text: &str) -> Shunt {
    Chain::from(&text.parse::<Load>().unwrap()).shunt()
}

/// Ohm: 10 MΩ in parallel with 50 kΩ is 49.75 kΩ (conductances add).
#[test]
fn resistances_in_parallel() {
    assert_relative_eq!(load("10M || 50k").ohms(), 49_751.243_781_094_53, max_relative = 1e-12);
    assert_relative_eq!(load("1M || 1M || 1M || 1M").ohms(), 250e3, max_relative = 1e-12);
    assert_eq!(load("none").ohms(), f64::INFINITY);
}

/// 100 pF a metre unless said otherwise (common practice, no source).
#[test]
fn capacitances_add() {
    assert_relative_eq!(load("1M || 6 m || 100p").farads, 700e-12, max_relative = 1e-12);
    let per_metre = Some("68p".parse().unwrap());
    let cable = Cable { per_metre, ..Cable::new("2.5 m".parse().unwrap()) };
    assert_relative_eq!(cable.shunt().farads, 170e-12, max_relative = 1e-12);
}

/// Facts of the trade (common practice, no source): a buffered thru hides what follows, an unbuffered one puts it in
/// parallel, and a 1 MΩ tuner ahead of a 22 MΩ preamp makes a 1 MΩ chain.
#[test]
fn the_first_buffer_ends_what_loads() {
    let chain = |thru| {
        Chain::new(vec![
            cable("1 m"),
            input_box("tuner", "1M", Some(thru)),
            cable("6 m"),
            input_box("preamp", "22M", None),
        ])
        .unwrap()
    };
    let (before, after) = (chain(Thru::Before), chain(Thru::After));
    assert_eq!(after.links().map(|(_, loads)| loads).collect::<Vec<_>>(), [true, true, false, false]);
    assert!(before.links().all(|(_, loads)| loads));
    assert_eq!(after.loading().count(), 2);
    assert_relative_eq!(after.shunt().ohms(), 1e6, max_relative = 1e-12);
    assert_relative_eq!(after.shunt().farads, 100e-12, max_relative = 1e-12);
    assert_relative_eq!(before.shunt().ohms(), 22e6 / 23.0, max_relative = 1e-12);
    assert_relative_eq!(before.shunt().farads, 700e-12, max_relative = 1e-12);
}

/// The order of boxes decides: the same two, the other way round, make another load.
#[test]
fn order_matters_across_a_buffer() {
    let tuner = || input_box("tuner", "1M", Some(Thru::After));
    let preamp = || input_box("preamp", "22M", Some(Thru::After));
    assert_relative_eq!(
        Chain::new(vec![tuner(), preamp()]).unwrap().shunt().ohms(),
        1e6,
        max_relative = 1e-12
    );
    assert_relative_eq!(
        Chain::new(vec![preamp(), tuner()]).unwrap().shunt().ohms(),
        22e6,
        max_relative = 1e-12
    );
}

proptest! {
    #![proptest_config(common::cases(256))]

    /// The same parts in any order are the same load, to the bit.
    #[test]
    fn parts_in_any_order_give_the_same_bits(
        parts in Just(["470k", "1M", "6 m", "100p", "33k", "2M2", "0.7 m", "47p"]).prop_shuffle(),
    ) {
        let (shuffled, sorted) = (load(&parts.join(" || ")), load("470k || 1M || 6 m || 100p || 33k || 2M2 || 0.7 m || 47p"));
        prop_assert_eq!(shuffled.siemens.to_bits(), sorted.siemens.to_bits());
        prop_assert_eq!(shuffled.farads.to_bits(), sorted.farads.to_bits());
    }
}
