//! Random circuits over the common ranges and beyond.

use dsp_core::circuit::{
    Blended, Cable, CapacitivePickup, Chain, Element, Input, InputBox, Link, MagneticPickup, Pickup, Pickups,
    Polarity, Splitter, Taper, Thru, ToneControl, Transformer, VolumePot,
};
use dsp_core::units::{Capacitance, Inductance, Length, Percent, Ratio, Resistance, Tolerance};
use proptest::option;
use proptest::prelude::*;

/// Between two powers of ten, evenly in the logarithm.
fn log(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low..high).prop_map(|exponent| 10f64.powf(exponent))
}

/// None more often than not; figures are those of the middle, whatever it is.
fn tolerance() -> impl Strategy<Value = Tolerance> {
    let some = (0.001f64..90.0).prop_map(|percent| {
        let said: Ratio = format!("1 ±{percent} %").parse().unwrap();
        said.tolerance()
    });
    let between = (0.1f64..0.999).prop_map(|low| {
        let said: Ratio = format!("{low} to {}", 1.0 / low).parse().unwrap();
        said.tolerance()
    });
    prop_oneof![6 => Just(Tolerance::NONE), 2 => some, 1 => between]
}

pub fn resistance(low: f64, high: f64) -> impl Strategy<Value = Resistance> {
    (log(low, high), tolerance())
        .prop_map(|(ohms, tolerance)| Resistance::from_ohms(ohms).unwrap().with_tolerance(tolerance))
}

pub fn capacitance(low: f64, high: f64) -> impl Strategy<Value = Capacitance> {
    (log(low, high), tolerance())
        .prop_map(|(farads, tolerance)| Capacitance::from_farads(farads).unwrap().with_tolerance(tolerance))
}

fn inductance(low: f64, high: f64) -> impl Strategy<Value = Inductance> {
    (log(low, high), tolerance())
        .prop_map(|(henries, tolerance)| Inductance::from_henries(henries).unwrap().with_tolerance(tolerance))
}

fn percent() -> impl Strategy<Value = Percent> {
    (0.0..=100.0).prop_map(|percent| Percent::new(percent).unwrap())
}

fn taper() -> impl Strategy<Value = Taper> {
    prop_oneof![Just(Taper::Linear), Just(Taper::Logarithmic)]
}

fn volume() -> impl Strategy<Value = VolumePot> {
    (resistance(4.0, 6.5), taper(), percent()).prop_map(|(resistance, taper, position)| VolumePot {
        resistance,
        taper,
        position,
    })
}

fn tone() -> impl Strategy<Value = ToneControl> {
    (resistance(4.0, 6.5), capacitance(-9.0, -7.0), taper(), percent()).prop_map(
        |(resistance, capacitance, taper, position)| ToneControl { resistance, capacitance, taper, position },
    )
}

pub fn capacitive_element() -> impl Strategy<Value = CapacitivePickup> {
    (capacitance(-9.7, -7.7), option::of(resistance(6.0, 10.0)))
        .prop_map(|(capacitance, leakage)| CapacitivePickup { capacitance, leakage })
}

fn magnetic_element() -> impl Strategy<Value = MagneticPickup> {
    let winding = option::of(capacitance(-10.3, -9.5));
    (inductance(-0.5, 1.2), resistance(3.3, 4.5), winding, option::of(resistance(4.5, 6.5))).prop_map(
        |(inductance, resistance, winding, loss)| MagneticPickup { inductance, resistance, winding, loss },
    )
}

pub fn pickup() -> impl Strategy<Value = Pickup> {
    let element = prop_oneof![
        capacitive_element().prop_map(Element::Capacitive),
        magnetic_element().prop_map(Element::Magnetic)
    ];
    (element, option::of(tone()), option::of(volume())).prop_map(|(element, tone, volume)| Pickup {
        element,
        tone,
        volume,
    })
}

pub fn pickups() -> impl Strategy<Value = Pickups> {
    let polarity = || prop_oneof![Just(Polarity::Same), Just(Polarity::Reversed)];
    let one = move || {
        (pickup(), option::of(resistance(3.0, 6.0)), polarity())
            .prop_map(|(pickup, mixing, polarity)| Blended { pickup, mixing, polarity })
    };
    prop_oneof![
        2 => pickup().prop_map(Pickups::One),
        1 => [one(), one()].prop_map(Pickups::Blend)
    ]
}

pub fn cable() -> impl Strategy<Value = Cable> {
    (0.1f64..30.0, tolerance(), option::of(capacitance(-10.2, -9.8)), option::of(resistance(6.0, 9.0)))
        .prop_map(|(metres, tolerance, per_metre, leakage)| Cable {
            length: Length::from_metres(metres).unwrap().with_tolerance(tolerance),
            per_metre,
            leakage,
        })
}

pub fn transformer() -> impl Strategy<Value = Transformer> {
    let ratio = (5.0f64..20.0).prop_map(|ratio| Ratio::from_value(ratio).unwrap());
    (
        inductance(0.7, 2.7),
        option::of(resistance(1.5, 4.0)),
        ratio,
        resistance(2.0, 4.0),
        option::of(capacitance(-10.5, -9.0)),
        option::of(resistance(4.3, 6.3)),
    )
        .prop_map(|(primary, winding, ratio, secondary, capacitance, core)| Transformer {
            primary,
            winding,
            ratio,
            secondary,
            capacitance,
            core,
        })
}

/// A box with a thru in parallel with its input.
pub fn input_box(input: impl Strategy<Value = Input>) -> impl Strategy<Value = InputBox> {
    let blocking = option::of(capacitance(-9.0, -7.0));
    (input, option::of(capacitance(-11.0, -9.5)), blocking).prop_map(|(input, capacitance, blocking)| {
        InputBox { name: "box".into(), input, capacitance, blocking, thru: Some(Thru::Before) }
    })
}

pub fn resistive() -> BoxedStrategy<Input> {
    resistance(4.0, 8.0).prop_map(Input::Resistance).boxed()
}

pub fn any_input() -> BoxedStrategy<Input> {
    prop_oneof![resistive(), transformer().prop_map(Input::Transformer)].boxed()
}

/// A chain whose boxes have such inputs, with a splitter now and then; what is too large is left out.
pub fn chain(input: BoxedStrategy<Input>) -> impl Strategy<Value = Chain> {
    chain_of(plain_link(input))
}

/// A chain of all that there is, bare inductances too: it may resonate without loss.
pub fn any_chain() -> impl Strategy<Value = Chain> {
    let bare = inductance(0.0, 3.0).prop_map(Link::Inductance);
    chain_of(prop_oneof![8 => plain_link(any_input()), 1 => bare].boxed())
}

fn plain_link(input: BoxedStrategy<Input>) -> BoxedStrategy<Link> {
    prop_oneof![
        2 => cable().prop_map(Link::Cable),
        3 => input_box(input).prop_map(Link::Box),
        1 => resistance(4.0, 8.0).prop_map(Link::Resistance),
        1 => capacitance(-11.0, -9.0).prop_map(Link::Capacitance),
    ]
    .boxed()
}

fn chain_of(link: BoxedStrategy<Link>) -> impl Strategy<Value = Chain> {
    let branch = proptest::collection::vec(link.clone(), 1..3);
    let splitter =
        (option::of(resistance(3.0, 5.0)), branch).prop_filter_map("too large", |(resistor, branch)| {
            Some(Link::Splitter(Splitter {
                name: "splitter".into(),
                resistor,
                branch: Chain::new(branch).ok()?,
            }))
        });
    proptest::collection::vec(prop_oneof![6 => link, 1 => splitter], 0..5)
        .prop_filter_map("too large", |links| Chain::new(links).ok())
}
