//! Values that are turned, written back into the chain that they were taken from.

use crate::common;
use crate::common::circuits::{any_input, capacitance, chain, pickups, resistance};
use dsp_core::circuit::{Chain, Input, Knobs, Link};
use dsp_core::preset::Preset;
use dsp_core::response::Transfer;
use dsp_core::units::{Inductance, Length, UnitError};
use proptest::option;
use proptest::prelude::*;

fn read<T: std::str::FromStr<Err = UnitError>>(text: &str) -> T {
    text.parse().unwrap()
}

/// A chain as a file says it.
fn said(links: &str) -> Chain {
    let text = format!(
        "version = 2\nname = 't'\npickup = {{ capacitance = '1n' }}\nrecorded = {{ load = 'none' }}\n[[setup]]\nname = 's'\n{links}"
    );
    Preset::from_toml(&text).unwrap().setups.remove(0).chain
}

fn knobs() -> impl Strategy<Value = Knobs> {
    let length = (0.1f64..50.0).prop_map(|metres| Length::from_metres(metres).unwrap());
    let primary = (0.5f64..500.0).prop_map(|henries| Inductance::from_henries(henries).unwrap());
    let input = option::of(resistance(3.0, 8.9));
    (input, option::of(capacitance(-12.0, -8.0)), option::of(length), option::of(primary))
        .prop_map(|(input, capacitance, cable, primary)| Knobs { input, capacitance, cable, primary })
}

/// A transformer always has a primary, and nothing else has.
fn fitting(knobs: Knobs, chain: &Chain) -> Knobs {
    let primary = match chain.heard().map(|heard| heard.input) {
        Some(Input::Transformer(transformer)) => knobs.primary.or(Some(transformer.primary)),
        _ => None,
    };
    Knobs { primary, ..knobs }
}

/// To nine digits, or both nothing.
fn assert_same(got: Knobs, expected: Knobs) {
    let of = |knobs: Knobs| {
        [
            knobs.input.map(|value| value.ohms()),
            knobs.capacitance.map(|value| value.farads()),
            knobs.cable.map(|value| value.metres()),
            knobs.primary.map(|value| value.henries()),
        ]
    };
    for (got, expected) in of(got).into_iter().zip(of(expected)) {
        match (got, expected) {
            (Some(got), Some(expected)) => assert!((got / expected - 1.0).abs() < 1e-8, "{got} {expected}"),
            pair => assert_eq!(pair, (None, None)),
        }
    }
}

proptest! {
    #![proptest_config(common::cases(500))]

    #[test]
    fn what_is_put_is_taken_again(chain in chain(any_input()), knobs in knobs()) {
        let expected = fitting(knobs, &chain);
        assert_same(Knobs::take(&expected.put(&chain)).0, expected);
    }

    /// Nothing is turned, nothing changes.
    #[test]
    fn its_own_values_leave_a_chain_as_it_is(chain in chain(any_input())) {
        prop_assert_eq!(Knobs::take(&chain).0.put(&chain), chain);
    }

    /// The chain with the values in it does what the values beside the rest do. Without a splitter, behind which the parts of a load
    /// expression would stand elsewhere.
    #[test]
    fn the_response_is_the_same(pickups in pickups(), chain in chain(any_input()), knobs in knobs()) {
        let has_splitter = chain.links().any(|(link, _)| matches!(link, Link::Splitter(_)));
        prop_assume!(chain.heard().is_some() || !has_splitter);
        let (_, rest) = Knobs::take(&chain);
        let expected = Transfer::with_knobs(&pickups, 0, &rest, &fitting(knobs, &chain));
        let got = Transfer::new(&pickups, &knobs.put(&chain));
        for hz in [5.0, 40.0, 440.0, 5_000.0, 20_000.0] {
            let difference = got.loss_db(hz) - expected.loss_db(hz);
            prop_assert!(difference.abs() < 1e-3, "{} Hz: {}", hz, difference);
        }
    }
}

/// Found by the test above: the second cable takes what the first cannot give, to the last of nine digits.
#[test]
fn what_the_first_cable_cannot_give_is_not_rounded() {
    let chain = said("chain = [{ cable = '0.1 m' }, { cable = '11.726397574904833 m' }]");
    let knobs = Knobs { cable: Length::from_metres(0.3179216521109368).ok(), ..Knobs::default() };
    assert_same(Knobs::take(&knobs.put(&chain)).0, knobs);
}

#[test]
fn the_first_cable_takes_up_the_difference() {
    let chain = said(
        "chain = [{ cable = '3 m', per_metre = '150p' }, { box = 'tuner', input = '1M', thru = 'before' },
            { cable = '2 m' }, { box = 'amplifier', input = '470k' }]",
    );
    let put = |metres: Option<f64>| {
        let cable = metres.map(|metres| Length::from_metres(metres).unwrap());
        let knobs = Knobs { cable, ..Knobs::take(&chain).0 };
        knobs
            .put(&chain)
            .links()
            .filter_map(|(link, _)| match link {
                Link::Cable(cable) => Some(cable.length.metres()),
                _ => None,
            })
            .collect::<Vec<_>>()
    };
    // 3 m of 150 pF are 4.5 m of 100 pF.
    assert_eq!(put(Some(6.5)), [3.0, 2.0]);
    assert_eq!(put(Some(8.0)), [4.0, 2.0]);
    assert_eq!(put(Some(3.5)), [1.0, 2.0]);
    assert_eq!(put(Some(0.5)), [0.5]);
    assert!(put(None).is_empty());
}

#[test]
fn a_box_gets_its_values() {
    let chain = said("chain = [{ box = 'amplifier', input = '470k' }, ]");
    let knobs = Knobs {
        input: Some(read("1M")),
        capacitance: Some(read("47p")),
        cable: Some(read("6 m")),
        primary: None,
    };
    let expected =
        said("chain = [{ cable = '6 m' }, { box = 'amplifier', input = '1M', capacitance = '47p' }]");
    assert_eq!(knobs.put(&chain), expected);
    let expected = said("chain = [{ box = 'amplifier', input = '1T' }]");
    assert_eq!(Knobs::default().put(&chain), expected);
}

#[test]
fn a_transformer_reflects_its_value() {
    let with = |primary: &str, secondary: &str| {
        said(&format!(
            "chain = [{{ box = 'x', transformer = {{ primary = '{primary}', winding = '1k5', ratio = '10', secondary = '{secondary}' }} }}]"
        ))
    };
    let knobs = Knobs { input: Some(read("220k")), primary: Some(read("33 H")), ..Knobs::default() };
    assert_eq!(knobs.put(&with("47 H", "1k5")), with("33 H", "2k2"));
    let open = Knobs { primary: Some(read("47 H")), ..Knobs::default() };
    assert_eq!(open.put(&with("47 H", "1k5")), with("47 H", "1T"));
}

#[test]
fn a_plain_load_has_one_of_each() {
    let chain = said("load = '1M || 470k || 33p || 6 m || 22p'");
    let knobs = Knobs { input: Some(read("330k")), capacitance: None, ..Knobs::take(&chain).0 };
    assert_eq!(knobs.put(&chain), said("load = '330k || 6 m'"));
    let knobs = Knobs { capacitance: Some(read("47p")), ..Knobs::default() };
    assert_eq!(knobs.put(&Chain::default()), said("load = '47p'"));
    assert!(Knobs::default().put(&chain).is_empty());
}
