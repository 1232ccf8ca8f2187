//! The whole circuit: every element alone and together, against impedances put together by hand in complex numbers, and
//! facts that hold for every passive network.

use std::f64::consts::TAU;

use crate::common::{chain, preset_text, transfer};
use approx::{assert_abs_diff_eq, assert_relative_eq};
use dsp_core::circuit::{
    Blended, Cable, CapacitivePickup, Chain, ChainTooLarge, Element, Input, InputBox, Knobs, Link,
    MagneticPickup, Pickup, Pickups, Polarity, Positions, Splitter, Taper, Thru, ToneControl, Transformer,
    VolumePot,
};
use dsp_core::preset::Preset;
use dsp_core::response::{Ceiling, Change, Transfer};
use dsp_core::units::{Inductance, Percent};
use realfft::num_complex::Complex64;

const GRID_HZ: [f64; 8] = [1.0, 10.0, 41.2, 100.0, 1_000.0, 3_300.0, 20_000.0, 100_000.0];

fn s(hz: f64) -> Complex64 {
    Complex64::new(0.0, TAU * hz)
}

/// Impedances in parallel.
fn parallel(parts: &[Complex64]) -> Complex64 {
    parts.iter().map(Complex64::inv).sum::<Complex64>().inv()
}

fn ohms(value: f64) -> Complex64 {
    value.into()
}

fn farads(value: f64, hz: f64) -> Complex64 {
    (s(hz) * value).inv()
}

fn henries(value: f64, hz: f64) -> Complex64 {
    s(hz) * value
}

fn assert_is(given: Complex64, expected: Complex64, what: &str) {
    let apart = (given - expected).norm() / expected.norm();
    assert!(apart <= 1e-12, "{what}: {given} is not {expected}, {apart:e} apart");
}

fn capacitive(capacitance: &str) -> Pickup {
    Pickup::new(capacitance.parse().unwrap())
}

/// 4.7 H, 8.2 kΩ, 120 pF.
fn magnetic() -> Pickup {
    Pickup::of(Element::Magnetic(MagneticPickup {
        inductance: "4.7 H".parse().unwrap(),
        resistance: "8k2".parse().unwrap(),
        winding: "120p".parse().ok(),
        loss: None,
    }))
}

fn coil_voltage(load: Complex64, hz: f64) -> Complex64 {
    let load = parallel(&[load, farads(120e-12, hz)]);
    load / (load + ohms(8_200.0) + henries(4.7, hz))
}

/// 47 H, 1.5 kΩ, 12:1 into 1.5 kΩ, 330 pF.
fn passive_box() -> InputBox {
    let transformer = Transformer {
        primary: "47 H".parse().unwrap(),
        winding: "1k5".parse().ok(),
        ratio: "12".parse().unwrap(),
        secondary: "1k5".parse().unwrap(),
        capacitance: "330p".parse().ok(),
        core: None,
    };
    InputBox { input: Input::Transformer(transformer), ..InputBox::new("passive box", "1M".parse().unwrap()) }
}

/// Its primary, seen from the jack, and the part of the jack's voltage that is across the inductance.
fn primary(hz: f64) -> (Complex64, Complex64) {
    let inside = parallel(&[henries(47.0, hz), ohms(144.0 * 1_500.0)]);
    (parallel(&[inside + 1_500.0, farads(330e-12, hz)]), inside / (inside + 1_500.0))
}

fn amplifier() -> InputBox {
    InputBox {
        blocking: Some("22n".parse().unwrap()),
        capacitance: "100p".parse().ok(),
        ..InputBox::new("amplifier", "220k".parse().unwrap())
    }
}

fn of(links: impl IntoIterator<Item = Link>) -> Chain {
    Chain::new(links.into_iter().collect()).unwrap()
}

fn cable(length: &str) -> Link {
    Link::Cable(Cable::new(length.parse().unwrap()))
}

/// ngspice 39 gives -74.1, -35.4 and -10.15 dB at 10, 100 and 1000 Hz.
#[test]
fn a_nanofarad_into_a_primary() {
    let transfer = transfer("1n", "50 H || 50k");
    for (hz, db, digits) in [(10.0, -74.1, 0.05), (100.0, -35.4, 0.05), (1_000.0, -10.15, 0.02)] {
        assert_abs_diff_eq!(-transfer.loss_db(hz), db, epsilon = digits);
    }
}

#[test]
fn a_transformer_listens_behind_its_winding() {
    let transfer = Transfer::new(&capacitive("1n").into(), &of([cable("3 m"), Link::Box(passive_box())]));
    for hz in GRID_HZ {
        let (jack, inner) = primary(hz);
        let load = parallel(&[jack, farads(300e-12, hz)]);
        assert_is(transfer.at(hz), load / (load + farads(1e-9, hz)) * inner, "passive box");
    }
    assert_eq!(transfer.zeros().iter().filter(|zero| zero.natural_rad_s() == 0.0).count(), 2);
}

/// As the box that is listened to its high-pass counts; as a load it only loads.
#[test]
fn a_blocking_capacitor_counts_twice_where_it_is_listened_to() {
    let jack = |hz| parallel(&[farads(100e-12, hz), farads(22e-9, hz) + 220e3]);
    let heard = Transfer::new(&capacitive("1n").into(), &of([Link::Box(amplifier())]));
    let with_thru = Link::Box(InputBox { thru: Some(Thru::Before), ..amplifier() });
    let plain = Link::Box(InputBox::new("preamp", "10M".parse().unwrap()));
    let beside = Transfer::new(&capacitive("1n").into(), &of([with_thru, plain]));
    for hz in GRID_HZ {
        let inner = ohms(220e3) / (farads(22e-9, hz) + 220e3);
        assert_is(heard.at(hz), jack(hz) / (jack(hz) + farads(1e-9, hz)) * inner, "heard");
        let load = parallel(&[jack(hz), ohms(10e6)]);
        assert_is(beside.at(hz), load / (load + farads(1e-9, hz)), "beside");
    }
}

#[test]
fn leakages_of_pickup_and_cable() {
    let pickup = CapacitivePickup { capacitance: "1n".parse().unwrap(), leakage: "47M".parse().ok() };
    let damp = Cable { leakage: "22M".parse().ok(), ..Cable::new("6 m".parse().unwrap()) };
    let preamp = Link::Box(InputBox::new("preamp", "10M".parse().unwrap()));
    let transfer =
        Transfer::new(&Pickup::of(Element::Capacitive(pickup)).into(), &of([Link::Cable(damp), preamp]));
    for hz in GRID_HZ {
        // The pickup's own leakage counts like the cable's.
        let load = parallel(&[ohms(47e6), ohms(22e6), ohms(10e6), farads(600e-12, hz)]);
        assert_is(transfer.at(hz), load / (load + farads(1e-9, hz)), "damp");
    }
}

/// A logarithmic pot has a tenth of its resistance below the wiper at half of the way (common practice, no source).
#[test]
fn tapers() {
    let at = |taper: Taper, percent| taper.part(Percent::new(percent).unwrap());
    assert_eq!([at(Taper::Linear, 0.0), at(Taper::Linear, 30.0), at(Taper::Linear, 100.0)], [0.0, 0.3, 1.0]);
    assert_eq!([at(Taper::Logarithmic, 0.0), at(Taper::Logarithmic, 100.0)], [0.0, 1.0]);
    assert_relative_eq!(at(Taper::Logarithmic, 50.0), 0.1, max_relative = 1e-12);
}

#[test]
fn controls_of_a_magnetic_pickup() {
    let mut pickup = magnetic();
    pickup.tone = Some(ToneControl {
        resistance: "220k".parse().unwrap(),
        capacitance: "22n".parse().unwrap(),
        taper: Taper::Linear,
        position: "25 %".parse().unwrap(),
    });
    pickup.volume = Some(VolumePot {
        resistance: "470k".parse().unwrap(),
        taper: Taper::Logarithmic,
        position: "50 %".parse().unwrap(),
    });
    let chain = of([cable("6 m"), Link::Box(InputBox::new("amplifier", "1M".parse().unwrap()))]);
    let through = |pickup: Pickup| Transfer::new(&pickup.into(), &chain);
    let closed = pickup.with_positions(Positions { tone: "0 %".parse().ok(), volume: "100 %".parse().ok() });
    for hz in GRID_HZ {
        let end = parallel(&[farads(600e-12, hz), ohms(1e6)]);
        let tone = farads(22e-9, hz) + 55e3;
        let below = parallel(&[ohms(47e3), end]);
        let at_coil = parallel(&[tone, below + 423e3]);
        assert_is(through(pickup).at(hz), coil_voltage(at_coil, hz) * below / (below + 423e3), "turned down");
        let at_coil = parallel(&[farads(22e-9, hz), ohms(470e3), end]);
        assert_is(through(closed).at(hz), coil_voltage(at_coil, hz), "tone closed");
    }
}

/// At its lower stop a thousandth of a pot's resistance stays (common practice, no source): quiet, not silent.
#[test]
fn a_volume_pot_on_a_capacitive_pickup() {
    let mut pickup = capacitive("1n");
    let pot = VolumePot {
        resistance: "1M".parse().unwrap(),
        taper: Taper::Linear,
        position: "60 %".parse().unwrap(),
    };
    pickup.volume = Some(pot);
    let chain = chain("470k || 6 m");
    let down = pickup.with_positions(Positions { volume: "0 %".parse().ok(), tone: None });
    for hz in GRID_HZ {
        let end = parallel(&[farads(600e-12, hz), ohms(470e3)]);
        let at = |below: f64| {
            let low = parallel(&[ohms(1e6 * below), end]);
            low / (low + 1e6 * (1.0 - below) + farads(1e-9, hz))
        };
        assert_is(Transfer::new(&pickup.into(), &chain).at(hz), at(0.6), "60 %");
        assert_is(Transfer::new(&down.into(), &chain).at(hz), at(1e-3), "down");
    }
}

/// Superposition: each pickup's own, with the other one's impedance across the jack.
#[test]
fn a_blend_loads_itself() {
    let blend = |mixing: [Option<&str>; 2]| {
        let one = |pickup, mixing: Option<&str>, polarity| Blended {
            pickup,
            mixing: mixing.map(|r| r.parse().unwrap()),
            polarity,
        };
        Pickups::Blend([
            one(capacitive("1n"), mixing[0], Polarity::Same),
            one(magnetic(), mixing[1], Polarity::Reversed),
        ])
    };
    for mixing in [[Some("100k"), Some("47k")], [Some("100k"), None], [None, None]] {
        let value = |index: usize| {
            mixing[index].map_or(0.0, |r: &str| r.trim_end_matches('k').parse::<f64>().unwrap() * 1e3)
        };
        let first = Transfer::of(&blend(mixing), 0, &chain("1M || 3 m"));
        let second = Transfer::of(&blend(mixing), 1, &chain("1M || 3 m"));
        for hz in GRID_HZ {
            let end = parallel(&[ohms(1e6), farads(300e-12, hz)]);
            let coil = parallel(&[ohms(8_200.0) + henries(4.7, hz), farads(120e-12, hz)]);
            let load = parallel(&[end, coil + value(1)]);
            assert_is(first.at(hz), load / (load + farads(1e-9, hz) + value(0)), "first");
            let load = parallel(&[end, farads(1e-9, hz) + value(0)]);
            let at_coil = load + value(1);
            assert_is(second.at(hz), -coil_voltage(at_coil, hz) * load / at_coil, "second");
        }
    }
}

#[test]
fn a_splitter_with_resistors() {
    let branch = of([cable("3 m"), Link::Box(amplifier())]);
    let splitter = |resistor: Option<&str>| {
        Link::Splitter(Splitter {
            name: "splitter".into(),
            resistor: resistor.map(|r| r.parse().unwrap()),
            branch: branch.clone(),
        })
    };
    let through = |resistor| {
        let chain = of([splitter(resistor), cable("6 m"), Link::Box(passive_box())]);
        Transfer::new(&capacitive("680p").into(), &chain)
    };
    for hz in GRID_HZ {
        let branch = parallel(&[farads(400e-12, hz), farads(22e-9, hz) + 220e3]);
        let (jack, inner) = primary(hz);
        let end = parallel(&[farads(600e-12, hz), jack]);
        for (transfer, resistor) in [(through(None), 0.0), (through(Some("10k")), 10e3)] {
            let load = parallel(&[branch + resistor, end + resistor]);
            let expected = load / (load + farads(680e-12, hz)) * end / (end + resistor) * inner;
            assert_is(transfer.at(hz), expected, "splitter");
        }
    }
}

/// Behind a buffer every element is out of the way.
#[test]
fn a_buffer_hides_all_elements() {
    let buffer = InputBox { thru: Some(Thru::After), ..InputBox::new("buffer", "10M".parse().unwrap()) };
    let behind = of([Link::Box(buffer.clone()), cable("6 m"), Link::Box(passive_box())]);
    let pickup = Pickups::from(capacitive("1n"));
    assert_eq!(Transfer::new(&pickup, &behind), Transfer::new(&pickup, &of([Link::Box(buffer)])));
}

#[test]
fn chains_that_are_too_large() {
    let input = |nanofarads: u32| {
        Link::Box(InputBox {
            blocking: Some(format!("{nanofarads}n").parse().unwrap()),
            thru: Some(Thru::Before),
            ..InputBox::new("box", "1M".parse().unwrap())
        })
    };
    assert!(Chain::new((1..=8).map(input).collect()).is_ok());
    assert_eq!(Chain::new((1..=9).map(input).collect()), Err(ChainTooLarge { given: 9, accepted: 8 }));
}

/// A transformer counts for its inductance, a blocking capacitor for itself, and what is behind one, the primary's own capacitance, too;
/// across the jack it is one with the pickup's. A network has as many natural frequencies as parts that store energy, less one for each loop
/// of capacitances alone (order of complexity, textbook of network theory).
#[test]
fn a_transformer_counts_for_what_stores_energy() {
    let pickup = Pickups::from(capacitive("1n"));
    for (each, loops, blocking, own) in [
        (1, 0, None, None),
        (1, 0, None, Some("330p")),
        (2, 0, Some("10n"), None),
        (3, 1, Some("10n"), Some("330p")),
    ] {
        for number in 1..=9_u32 {
            let of_box = |index: u32| {
                let mut input = passive_box();
                if let Input::Transformer(transformer) = &mut input.input {
                    transformer.primary = Inductance::from_henries(7.0 * f64::from(index * index)).unwrap();
                    transformer.capacitance = own.map(|c: &str| c.parse().unwrap());
                }
                input.blocking = blocking.map(|c: &str| c.parse().unwrap());
                Link::Box(InputBox { thru: Some(Thru::Before), ..input })
            };
            let amplifier = Link::Box(InputBox::new("amplifier", "1M".parse().unwrap()));
            let (made, parts) =
                (Chain::new((1..=number).map(of_box).chain([amplifier]).collect()), each * number);
            if parts > 8 {
                let given = usize::try_from(parts).unwrap();
                assert_eq!(made, Err(ChainTooLarge { given, accepted: 8 }));
            } else {
                let poles = Transfer::new(&pickup, &made.unwrap()).poles().degree();
                assert_eq!(
                    poles,
                    usize::try_from(1 + (each - loops) * number).unwrap(),
                    "{number} of {each} parts"
                );
            }
        }
    }
}

/// The largest that can be written computes without a fault: two coils with all controls, and a chain of eight parts.
#[test]
fn the_largest_circuit_computes() {
    let mut pickup = magnetic();
    pickup.tone = Some(ToneControl {
        resistance: "220k".parse().unwrap(),
        capacitance: "22n".parse().unwrap(),
        taper: Taper::Linear,
        position: "50 %".parse().unwrap(),
    });
    pickup.volume = Some(VolumePot {
        resistance: "470k".parse().unwrap(),
        taper: Taper::Linear,
        position: "50 %".parse().unwrap(),
    });
    let one = |mixing: &str| Blended { pickup, mixing: mixing.parse().ok(), polarity: Polarity::Same };
    let pickups = Pickups::Blend([one("100k"), one("47k")]);
    let input = |nanofarads: u32| {
        Link::Box(InputBox {
            blocking: Some(format!("{nanofarads}n").parse().unwrap()),
            thru: Some(Thru::Before),
            ..InputBox::new("box", "1M".parse().unwrap())
        })
    };
    let splitter =
        |branch| Link::Splitter(Splitter { name: "splitter".into(), resistor: "10k".parse().ok(), branch });
    let chain = of([
        splitter(of([cable("1 m"), input(1), input(2)])),
        cable("6 m"),
        input(3),
        input(4),
        input(5),
        Link::Box(passive_box()),
    ]);
    let transfer = Transfer::new(&pickups, &chain);
    assert!(transfer.poles().degree() >= 13, "{}", transfer.poles().degree());
    for hz in GRID_HZ {
        assert!(transfer.at(hz).norm() > 0.0 && transfer.at(hz).norm() < 100.0);
    }
}

/// What is turned live gives the same circuit as the chain that says it.
#[test]
fn driven_values_are_the_chains_own() {
    for file in [
        "courtyard.toml",
        "loads.toml",
        "passive.toml",
        "blocking.toml",
        "magnetic-single.toml",
        "blend.toml",
    ] {
        let preset = Preset::from_toml(&preset_text(file)).unwrap();
        for setup in &preset.setups {
            let (knobs, rest) = Knobs::take(&setup.chain);
            let given = Transfer::with_knobs(&preset.pickups, 0, &rest, &knobs);
            let expected = Transfer::new(&preset.pickups, &setup.chain);
            for hz in GRID_HZ {
                assert_is(given.at(hz), expected.at(hz), &setup.name);
            }
        }
    }
}

/// Turning a value is the same as writing it.
#[test]
fn a_value_that_is_turned_is_the_value_that_is_written() {
    let chain = of([cable("3 m"), Link::Box(passive_box())]);
    let (mut knobs, rest) = Knobs::take(&chain);
    assert_eq!(knobs.input.map(|r| r.ohms()), Some(216e3));
    knobs.primary = "22 H".parse().ok();
    knobs.cable = "9 m".parse().ok();
    knobs.input = "432k".parse().ok();
    let Input::Transformer(transformer) = passive_box().input else { panic!() };
    let changed =
        Transformer { primary: "22 H".parse().unwrap(), secondary: "3k".parse().unwrap(), ..transformer };
    let written =
        of([cable("9 m"), Link::Box(InputBox { input: Input::Transformer(changed), ..passive_box() })]);
    let pickup = Pickups::from(capacitive("1n"));
    let (given, expected) =
        (Transfer::with_knobs(&pickup, 0, &rest, &knobs), Transfer::new(&pickup, &written));
    for hz in GRID_HZ {
        assert_is(given.at(hz), expected.at(hz), "turned");
    }
    // A secondary that nothing loads.
    knobs.input = None;
    let open = Transfer::with_knobs(&pickup, 0, &rest, &knobs);
    assert!(open.at(1_000.0).norm() > given.at(1_000.0).norm());
}

/// One chain, one response: from itself to itself nothing changes, in any order of what stands side by side.
#[test]
fn a_chain_to_itself_changes_nothing() {
    let thru = |input: InputBox| Link::Box(InputBox { thru: Some(Thru::Before), ..input });
    let end = || Link::Box(InputBox::new("end", "1M".parse().unwrap()));
    let one = of([thru(amplifier()), thru(passive_box()), cable("6 m"), end()]);
    let other = of([cable("6 m"), thru(passive_box()), thru(amplifier()), end()]);
    for pickup in [capacitive("680p"), magnetic()] {
        let transfer = |chain| Transfer::new(&pickup.into(), chain);
        for to in [&one, &other] {
            let shape = Change::new(&transfer(&one), &transfer(to)).shape(Ceiling::default());
            assert!(shape.is_flat() && shape.gain == 1.0, "{shape:?}");
        }
    }
}

/// What two chains share cancels as a whole: only what differs is left to be filtered.
#[test]
fn what_two_chains_share_cancels() {
    let tuner = || Link::Box(InputBox { thru: Some(Thru::Before), ..amplifier() });
    let from = of([tuner(), cable("3 m"), Link::Box(InputBox::new("end", "1M".parse().unwrap()))]);
    let to = of([tuner(), cable("6 m"), Link::Box(InputBox::new("end", "220k".parse().unwrap()))]);
    let transfer = |chain| Transfer::new(&capacitive("680p").into(), chain);
    let shape = Change::new(&transfer(&from), &transfer(&to)).shape(Ceiling::default());
    // The denominators differ, of second order each; the blocking capacitor's own zero is gone.
    assert_eq!((shape.zeros.degree(), shape.poles.degree()), (2, 2));
}

/// `K` by its roots against `H_B/H_A`, over the presets.
#[test]
fn a_shape_is_the_ratio_of_its_responses() {
    for file in
        ["passive.toml", "blocking.toml", "magnetic-single.toml", "magnetic-double.toml", "blend.toml"]
    {
        let preset = Preset::from_toml(&preset_text(file)).unwrap();
        for index in 0..preset.pickups.count() {
            let recorded =
                Transfer::of(&preset.pickups.with_positions(preset.recorded_at), index, &preset.recorded);
            for setup in &preset.setups {
                let heard =
                    Transfer::of(&preset.pickups.with_positions(setup.positions), index, &setup.chain);
                let shape = Change::new(&recorded, &heard).shape(Ceiling::Off);
                for hz in GRID_HZ {
                    let expected = heard.at(hz).norm() / recorded.at(hz).norm();
                    assert_relative_eq!(shape.power(hz).sqrt(), expected, max_relative = 1e-8);
                }
            }
        }
    }
}
