//! Responses, losses and what follows from them, against textbook formulas written out here.

use crate::common;
use std::f64::consts::TAU;

use crate::common::{chain, change, demo, transfer};
use approx::{assert_abs_diff_eq, assert_relative_eq};
use dsp_core::circuit::{
    CapacitivePickup, Chain, Element, InputBox, Link, MagneticPickup, Pickup, Pickups, Thru,
};
use dsp_core::response::{Ceiling, Change, Contribution, InputNeeded, Response, Transfer};
use dsp_core::units::{Capacitance, Resistance};
use proptest::prelude::*;
use realfft::num_complex::Complex64;

const A1_HZ: f64 = 55.0;
const E1_HZ: f64 = 41.203_444_614_108_74;

fn capacitive(capacitance: &str) -> CapacitivePickup {
    CapacitivePickup { capacitance: capacitance.parse().unwrap(), leakage: None }
}

fn leaky(capacitance: &str, leakage: &str) -> Pickups {
    let element = CapacitivePickup { leakage: leakage.parse().ok(), ..capacitive(capacitance) };
    Pickup::of(Element::Capacitive(element)).into()
}

/// The load to ask for, so that no more than `max_loss_db` is lost, the level that the capacitance costs everywhere included.
fn load_needed_ohms(pickup: &CapacitivePickup, load_farads: f64, hz: f64, max_loss_db: f64) -> Option<f64> {
    let capacitance = Capacitance::from_farads(load_farads).map(Link::Capacitance);
    let chain = Chain::new(capacitance.into_iter().collect()).unwrap();
    let source_farads = pickup.capacitance.farads();
    let level_db = 20.0 * ((source_farads + load_farads) / source_farads).log10();
    let pickups = Pickup::of(Element::Capacitive(*pickup)).into();
    InputNeeded::new(&pickups, &chain, hz, max_loss_db - level_db).from_ohms
}

/// Textbook voltage divider, in complex numbers: the pickup's reactance against all that stands across it, its own leakage too.
fn divider(leakage_ohms: f64, source_farads: f64, load_ohms: f64, load_farads: f64, hz: f64) -> Complex64 {
    let reactance = |farads: f64| Complex64::new(0.0, -1.0 / (TAU * hz * farads));
    let ohms = (leakage_ohms.recip() + load_ohms.recip()).recip();
    let load =
        if load_farads == 0.0 { ohms.into() } else { (reactance(load_farads).inv() + ohms.recip()).inv() };
    load / (reactance(source_farads) + load)
}

/// `1/(2πRC)`: textbook RC; "about 1600, 160, 4.8" is common practice, no source.
#[test]
fn corners() {
    for (load, corner_hz, digits) in [("100k", 1_592.0, 0.5), ("1M", 159.2, 0.05), ("33M", 4.82, 0.005)] {
        assert_abs_diff_eq!(transfer("1n", load).highest_natural_hz(), corner_hz, epsilon = digits);
    }
    assert_eq!(transfer("1n", "none").highest_natural_hz(), 0.0);
    // A cable adds to the capacitance: 1/(2π · 1 MΩ · 1.6 nF).
    assert_abs_diff_eq!(transfer("1n", "1M || 6 m").highest_natural_hz(), 99.47, epsilon = 0.005);
}

/// Loss of 1 nF at E1, `10 log10(1 + (fc/f)²)`: textbook RC.
#[test]
fn losses_of_a_nanofarad_at_low_e() {
    for (load, loss_db, digits) in
        [("47k", 38.3, 0.05), ("100k", 31.7, 0.05), ("1M", 12.0, 0.05), ("10M", 0.60, 0.005)]
    {
        assert_abs_diff_eq!(transfer("1n", load).loss_db(E1_HZ), loss_db, epsilon = digits);
    }
}

/// Loss of 680 pF at A1: textbook RC.
#[test]
fn losses_of_the_demo_at_low_a() {
    for (load, loss_db, digits) in [
        ("56k", 37.6, 0.05),
        ("470k", 19.2, 0.05),
        ("1M", 12.8, 0.05),
        ("1M || 22M", 13.2, 0.05),
        ("22M", 0.16, 0.005),
    ] {
        assert_abs_diff_eq!(transfer("680p", load).loss_db(A1_HZ), loss_db, epsilon = digits);
    }
    assert_abs_diff_eq!(
        transfer("680p", "1M").loss_db(110.0),
        10.0 * (1.0 + (234.05_f64 / 110.0).powi(2)).log10(),
        epsilon = 0.001
    );
}

/// A load of ten times the source's impedance costs at most 0.05 dB in quadrature and 0.83 dB in phase (common
/// practice, no source; `10 log10(1 + 0.1²)` and `20 log10(1.1)`).
#[test]
fn ten_times_the_source() {
    // 1 nF at 50 Hz is 3.183 MΩ.
    assert_abs_diff_eq!(transfer("1n", "31.83M").loss_db(50.0), 0.0432, epsilon = 1e-4);
    let resistive = MagneticPickup {
        inductance: "1 mH".parse().unwrap(),
        resistance: "100k".parse().unwrap(),
        winding: None,
        loss: None,
    };
    let resistive = Pickup::of(Element::Magnetic(resistive)).into();
    assert_abs_diff_eq!(Transfer::new(&resistive, &chain("1M")).loss_db(50.0), 0.8279, epsilon = 1e-4);
}

/// Two branches of one time constant side by side are one branch with both capacitors (textbook): the pole between them, which a zero
/// cancels, is no corner. With `T` the time constant, `C` the capacitors and `G` what conducts, the poles of a pickup `C_p` with
/// its load are the roots of `C_p T s² + (C_p + C + G T) s + G`. Values of E6, whose products are equal only but for rounding.
#[test]
fn a_pole_that_a_zero_cancels_is_no_corner() {
    let branch = |ohms: &str, farads: &str| {
        Link::Box(InputBox {
            blocking: Some(farads.parse().unwrap()),
            thru: Some(Thru::Before),
            ..InputBox::new("branch", ohms.parse().unwrap())
        })
    };
    let amplifier = || Link::Box(InputBox::new("amplifier", "1M".parse().unwrap()));
    let pickup: Pickups = Pickup::new("1n".parse().unwrap()).into();
    for ([r1, c1], [r2, c2]) in [
        (["100k", "1n"], ["10k", "10n"]),
        (["33k", "4.7n"], ["47k", "3.3n"]),
        (["2.2k", "680p"], ["6.8k", "220p"]),
        (["1M", "150n"], ["150k", "1u"]),
        (["330k", "22n"], ["22k", "330n"]),
    ] {
        let (ohms, farads) =
            (r1.parse::<Resistance>().unwrap().ohms(), c1.parse::<Capacitance>().unwrap().farads());
        let (t, c, g) = (ohms * farads, farads + c2.parse::<Capacitance>().unwrap().farads(), 1e-6);
        let sum = 1e-9 + c + g * t;
        let high = (sum + (sum * sum - 4.0 * 1e-9 * t * g).sqrt()) / (2.0 * 1e-9 * t);
        let expected = [g / (1e-9 * t) / high, high];
        let chain = Chain::new(vec![branch(r1, c1), branch(r2, c2), amplifier()]).unwrap();
        let transfer = Transfer::new(&pickup, &chain);
        let poles: Vec<f64> = transfer.poles().iter().map(|pole| pole.natural_rad_s()).collect();
        assert_eq!(poles.len(), 2, "{r1} {c1}, {r2} {c2}: {poles:?}, not {expected:?}");
        for (pole, expected) in poles.iter().zip(expected) {
            assert_relative_eq!(*pole, expected, max_relative = 1e-9);
        }
        assert_eq!(transfer.zeros().degree(), 2);
    }
}

/// Nothing plugged in, a coil gives its whole voltage at every frequency, whatever its core loses: there is no corner where the losses take
/// over from the inductance. (With no current there is no voltage across the coil: Kirchhoff.)
#[test]
fn a_coil_alone_has_no_corner() {
    for loss in [None, "100k".parse().ok(), "470k".parse().ok()] {
        let coil = MagneticPickup {
            inductance: "4.7 H".parse().unwrap(),
            resistance: "8k2".parse().unwrap(),
            winding: None,
            loss,
        };
        let pickups = Pickup::of(Element::Magnetic(coil)).into();
        let (transfer, response) =
            (Transfer::new(&pickups, &Chain::default()), Response::new(&pickups, &Chain::default()));
        assert_eq!(
            (transfer.highest_natural_hz(), response.corner_hz(), response.slope()),
            (0.0, 0.0, None),
            "{loss:?}"
        );
        assert!(
            transfer.poles().is_empty() && transfer.zeros().is_empty() && response.top_corner_hz().is_none()
        );
        assert_abs_diff_eq!(response.loss_db(8e3), 0.0, epsilon = 1e-9);
    }
}

/// A leak in the pickup counts like the same leak behind it. 1 nF with 1 MΩ of leakage into 10 MΩ at E1: `10 log10(1 + (ωRC)^-2)`
/// with `R = 10/11 MΩ`, 12.8 dB (textbook RC). Alone it loses what 1 MΩ takes, and no load gets that back.
#[test]
fn a_leak_is_a_loss() {
    let leaky = leaky("1n", "1M");
    let loss_db = |load| Transfer::new(&leaky, &chain(load)).loss_db(E1_HZ);
    assert_abs_diff_eq!(loss_db("10M"), 12.8, epsilon = 0.05);
    assert_abs_diff_eq!(loss_db("none"), transfer("1n", "1M").loss_db(E1_HZ), epsilon = 1e-9);
    let pickup = CapacitivePickup { leakage: "1M".parse().ok(), ..capacitive("1n") };
    assert_eq!(load_needed_ohms(&pickup, 0.0, E1_HZ, 11.9), None);
    let needed = load_needed_ohms(&pickup, 0.0, E1_HZ, 12.8).unwrap();
    assert!((9e6..11e6).contains(&needed), "{needed}");
}

/// `20 log10((C_p + C)/C_p)` and no more at the top of the band: long cables cost level, not treble (common practice).
#[test]
fn a_cable_costs_level_at_every_frequency() {
    let transfer = transfer("680p", "22M || 6 m");
    assert_abs_diff_eq!(transfer.level_loss_db(), 5.494, epsilon = 5e-4);
    assert_abs_diff_eq!(transfer.loss_db(20_000.0), 5.494, epsilon = 5e-4);
}

/// 25.3, 11.06, 7.59 and 3.87 MΩ for 0.1, 0.5, 1 and 3 dB at E1 with 1 nF: textbook RC.
#[test]
fn loads_to_ask_for() {
    for (max_loss_db, megohms, digits) in
        [(0.1, 25.3, 0.05), (0.5, 11.06, 0.005), (1.0, 7.59, 0.005), (3.0, 3.87, 0.005)]
    {
        let ohms = load_needed_ohms(&capacitive("1n"), 0.0, E1_HZ, max_loss_db).unwrap();
        assert_abs_diff_eq!(ohms / 1e6, megohms, epsilon = digits);
    }
}

/// 6 m of cable cost 5.49 dB on 680 pF; no resistance makes that less.
#[test]
fn no_load_helps_where_the_capacitance_alone_costs_more() {
    assert_eq!(load_needed_ohms(&capacitive("680p"), 600e-12, A1_HZ, 5.49), None);
    assert!(load_needed_ohms(&capacitive("680p"), 600e-12, A1_HZ, 5.50).is_some_and(|ohms| ohms > 50e6));
    for max_loss_db in [0.0, -1.0, f64::NAN] {
        assert_eq!(load_needed_ohms(&capacitive("680p"), 0.0, A1_HZ, max_loss_db), None);
    }
}

/// Each link's share, by the textbook loss of the chain with and without it.
#[test]
fn contributions_of_a_chain() {
    let demo = demo();
    let chain = &demo.setups.iter().find(|setup| setup.name == "tuner's unbuffered thru").unwrap().chain;
    let loss_db = |ohms: f64| 10.0 * (1.0 + (1.0 / (TAU * A1_HZ * ohms * 680e-12)).powi(2)).log10();
    let both_db = loss_db(1e6 * 470e3 / 1_470e3);
    let shares = Contribution::of_links(&demo.pickups, chain, A1_HZ);
    assert_eq!(chain.links().filter_map(|(link, _)| link.name()).collect::<Vec<_>>(), ["tuner", "combo"]);
    for (share, alone_ohms, without_ohms) in [(&shares[0], 1e6, 470e3), (&shares[1], 470e3, 1e6)] {
        assert!(share.loads);
        assert_abs_diff_eq!(share.loss_alone_db, loss_db(alone_ohms), epsilon = 1e-9);
        assert_abs_diff_eq!(share.saved_without_db, both_db - loss_db(without_ohms), epsilon = 1e-9);
    }
    let buffered = &demo.setups.iter().find(|setup| setup.name == "tuner").unwrap().chain;
    let shares = Contribution::of_links(&demo.pickups, buffered, A1_HZ);
    assert_abs_diff_eq!(shares[0].saved_without_db, loss_db(1e6), epsilon = 1e-9);
    for behind in &shares[1..] {
        assert_eq!((behind.loads, behind.saved_without_db), (false, 0.0));
    }
    assert_abs_diff_eq!(shares[2].loss_alone_db, loss_db(470e3), epsilon = 1e-9);
}

/// The undo of one corner is a first-order low shelf (audio EQ texts, from memory): unity far above the corner, the
/// ceiling far below, and their geometric mean halfway.
#[test]
fn undo_is_a_low_shelf() {
    let shape = change("680p", "470k", "none").shape(Ceiling::Db(24.0));
    assert_abs_diff_eq!(shape.db(0.001), 24.0, epsilon = 1e-6);
    assert_abs_diff_eq!(shape.db(1e7), 0.0, epsilon = 1e-6);
    let halfway_hz = (shape.zeros[0].decay_rad_s * shape.poles[0].decay_rad_s).sqrt() / TAU;
    assert_abs_diff_eq!(shape.db(halfway_hz), 12.0, epsilon = 1e-9);
}

/// By `|K|` itself: at DC it is the ceiling, and nowhere more. Where a load's capacitance alone has cost more than that, no
/// bass is raised at all.
#[test]
fn the_largest_boost_of_an_undo_is_the_ceiling() {
    assert_eq!(Ceiling::default(), Ceiling::Db(24.0));
    for ceiling_db in [6.0, 12.0, 24.0, 40.0] {
        for through in ["22M", "1M", "56k", "470k || 6 m", "1M || 30 m"] {
            let shape = change("680p", through, "none").shape(Ceiling::Db(ceiling_db));
            assert_abs_diff_eq!(shape.boost_db(), ceiling_db, epsilon = 1e-9);
            assert_abs_diff_eq!(shape.db(0.0), ceiling_db, epsilon = 1e-9);
            for hz in [1.0, 55.0, 440.0, 20_000.0] {
                assert!(shape.db(hz) <= ceiling_db + 1e-9, "{through}, {hz} Hz");
            }
        }
    }
    // 30 m cost 20 log10(3680 / 680) = 14.67 dB at the top of the band, and the bass more.
    let shape = change("680p", "1M || 30 m", "none").shape(Ceiling::Db(24.0));
    assert_abs_diff_eq!(shape.db(1e7), 14.67, epsilon = 0.005);
    assert!(change("680p", "1M || 30 m", "none").shape(Ceiling::Db(12.0)).is_flat());
    assert_eq!(change("680p", "56k", "none").shape(Ceiling::Off).boost_db(), f64::INFINITY);
}

/// With a leakage of 100 MΩ the unloaded pickup has a corner of its own, 2.34 Hz, and undoing 1 MΩ (236.4 Hz) asks for
/// 40.1 dB at DC (textbook RC): a lower ceiling holds it down, a higher one has nothing to do.
#[test]
fn a_ceiling_meets_the_leakage() {
    let pickup = leaky("680p", "100M");
    let transfer = |load| Transfer::new(&pickup, &chain(load));
    let change = Change::new(&transfer("1M"), &transfer("none"));
    for (ceiling, boost_db) in
        [(Ceiling::Db(24.0), 24.0), (Ceiling::Db(60.0), 40.086), (Ceiling::Off, 40.086)]
    {
        assert_abs_diff_eq!(change.shape(ceiling).boost_db(), boost_db, epsilon = 5e-4);
    }
}

/// Between two loads the rule of earlier states lets no ceiling enter; a cut has none under any rule.
#[test]
fn the_earlier_ceiling_leaves_other_changes_alone() {
    for (through, to) in [("22M", "56k"), ("56k", "22M")] {
        let change = change("680p", through, to);
        assert_eq!(change.shape(Ceiling::OfUndo(6.0)), change.shape(Ceiling::Off), "{through} to {to}");
    }
    let cut = change("680p", "22M", "56k");
    assert_eq!(cut.shape(Ceiling::Db(6.0)), cut.shape(Ceiling::Off));
}

/// `K` of two loads against the ratio of two complex dividers.
#[test]
fn a_change_is_the_ratio_of_two_dividers() {
    let leaky = leaky("1n5", "33M");
    let transfer = |load| Transfer::new(&leaky, &chain(load));
    let change = Change::new(&transfer("2M2 || 100p"), &transfer("120k || 3 m"));
    let shape = change.shape(Ceiling::default());
    for hz in [0.7, 5.0, 55.0, 440.0, 3_000.0, 19_000.0] {
        let expected = divider(33e6, 1.5e-9, 120e3, 300e-12, hz) / divider(33e6, 1.5e-9, 2.2e6, 100e-12, hz);
        assert_relative_eq!(change.at(hz).re, expected.re, max_relative = 1e-9);
        assert_relative_eq!(change.at(hz).im, expected.im, max_relative = 1e-9);
        assert_relative_eq!(shape.power(hz), expected.norm_sqr(), max_relative = 1e-9);
    }
}

/// The same load in two spellings changes nothing at all.
#[test]
fn a_load_written_in_two_ways_is_the_same_load() {
    for (a, b) in [
        ("470k || 1M", "1M || 470k"),
        ("4k7", "4.7k"),
        // These differ in the last bit: 1/15 + 1/60 is not 1/12 in binary.
        ("15k || 60k", "12k"),
        ("22k || 99k", "18k"),
        ("6 m", "600p"),
        ("1M || 3 m || 3 m", "2M || 2M || 6 m"),
    ] {
        let shape = change("680p", a, b).shape(Ceiling::default());
        assert!(shape.is_flat() && shape.gain == 1.0, "{a} and {b}: {shape:?}");
    }
    // And no more than that: a part in a million is a change.
    assert!(!change("680p", "1M", "1.000001M").shape(Ceiling::default()).is_flat());
}

proptest! {
    #![proptest_config(common::cases(256))]

    #[test]
    fn losses_follow_the_divider(
        picofarads in 200.0_f64..20_000.0,
        leakage_ohms in prop_oneof![Just(f64::INFINITY), 1e6..1e10],
        load_ohms in 1e3_f64..1e9,
        load_picofarads in prop_oneof![Just(0.0), 1.0..5_000.0],
        hz in 1.0_f64..20_000.0,
    ) {
        let farads = picofarads * 1e-12;
        let element = CapacitivePickup {
            capacitance: Capacitance::from_farads(farads).unwrap(),
            leakage: Resistance::from_ohms(leakage_ohms).ok(),
        };
        let load_farads = load_picofarads * 1e-12;
        let resistance = Resistance::from_ohms(load_ohms).map(Link::Resistance);
        let capacitance = Capacitance::from_farads(load_farads).map(Link::Capacitance);
        let chain = Chain::new([resistance, capacitance].into_iter().flatten().collect()).unwrap();
        let expected = divider(leakage_ohms, farads, load_ohms, load_farads, hz);
        let given = Transfer::new(&Pickup::of(Element::Capacitive(element)).into(), &chain);
        assert_relative_eq!(given.loss_db(hz), -20.0 * expected.norm().log10(), max_relative = 1e-9, epsilon = 1e-9);
        assert_relative_eq!(given.at(hz).arg(), expected.arg(), max_relative = 1e-9, epsilon = 1e-9);
    }

    /// Two branches of one time constant are one, whatever else stands beside them: one pole for each time constant, and the pickup's.
    #[test]
    fn two_branches_of_one_time_constant_have_one_corner(
        branches in prop::collection::vec((3.0..6.0_f64, -9.5..-7.0_f64), 1..6),
        ratio in -0.75..0.75_f64,
    ) {
        let count = branches.len();
        let same = branches[0];
        // Three time constants within some per cent make roots that rounding moves farther.
        prop_assume!(branches[1..].iter().all(|other| (other.0 + other.1 - same.0 - same.1).abs() > 0.05));
        let all = branches.into_iter().chain([(same.0 + ratio, same.1 - ratio)]);
        let branch = |(ohms, farads): (f64, f64)| {
            Link::Box(InputBox {
                blocking: Capacitance::from_farads(10f64.powf(farads)).ok(),
                thru: Some(Thru::Before),
                ..InputBox::new("branch", Resistance::from_ohms(10f64.powf(ohms)).unwrap())
            })
        };
        let amplifier = Link::Box(InputBox::new("amplifier", "1M".parse().unwrap()));
        let chain = Chain::new(all.map(branch).chain([amplifier]).collect()).unwrap();
        let transfer = Transfer::new(&Pickup::new("1n".parse().unwrap()).into(), &chain);
        prop_assert_eq!(transfer.poles().degree(), count + 1, "{:?}", transfer.poles());
    }

    /// The load needed for a loss loses just that.
    #[test]
    fn the_load_needed_is_the_inverse_of_the_loss(
        picofarads in 200.0_f64..20_000.0,
        leakage_ohms in prop_oneof![Just(f64::INFINITY), 1e6..1e10],
        load_picofarads in prop_oneof![Just(0.0), 1.0..500.0],
        hz in 20.0_f64..500.0,
        max_loss_db in 0.05_f64..40.0,
    ) {
        let farads = picofarads * 1e-12;
        let pickup = CapacitivePickup {
            capacitance: Capacitance::from_farads(farads).unwrap(),
            leakage: Resistance::from_ohms(leakage_ohms).ok(),
        };
        let loss_db = |ohms: f64| -20.0 * divider(leakage_ohms, farads, ohms, load_picofarads * 1e-12, hz).norm().log10();
        match load_needed_ohms(&pickup, load_picofarads * 1e-12, hz, max_loss_db) {
            Some(ohms) => assert_abs_diff_eq!(loss_db(ohms), max_loss_db, epsilon = 1e-6),
            None => prop_assert!(loss_db(1e15) > max_loss_db - 1e-6),
        }
    }
}
