//! The ceiling on circuits of any order: several poles at the origin, the top of a low-pass, and changes between two loads.

use crate::common;
use std::f64::consts::TAU;

use crate::common::circuits::{any_input, pickups};
use crate::common::{chain, change, preset_text, transfer};
use approx::{assert_abs_diff_eq, assert_relative_eq};
use dsp_core::circuit::{Chain, Element, MagneticPickup, Pickup};
use dsp_core::preset::Preset;
use dsp_core::response::{Ceiling, Change, Root, Shape, Transfer};
use proptest::prelude::*;
use realfft::num_complex::Complex64;

/// 24 dB as a plain factor.
const CEILING: f64 = 15.848_931_924_611_133;

/// 0.1 Hz to 1 MHz, finer than any resonance here.
fn largest_boost_db(shape: &Shape) -> f64 {
    let grid = (0..=20_000).map(|i| 10f64.powf(-1.0 + f64::from(i) * 7.0 / 20_000.0));
    grid.map(|hz| shape.db(hz)).fold(f64::NEG_INFINITY, f64::max)
}

fn coil(winding: Option<&str>) -> Pickup {
    Pickup::of(Element::Magnetic(MagneticPickup {
        inductance: "4.7 H".parse().unwrap(),
        resistance: "8k2".parse().unwrap(),
        winding: winding.map(|c| c.parse().unwrap()),
        loss: None,
    }))
}

/// 1 nF into 50 H ∥ 50 kΩ: `H = s²/(s² + s/(RC) + 1/(LC))`, so undoing has two poles at the origin, and they move to
/// `sqrt(1/(LC) / ceiling)`.
#[test]
fn two_poles_at_the_origin_share_a_corner() {
    let change = change("1n", "50 H || 50k", "none");
    assert_eq!(change.shape(Ceiling::Off).poles.as_slice(), [Root::real(0.0), Root::real(0.0)]);
    let shape = change.shape(Ceiling::Db(24.0));
    let corner_rad_s = (1.0 / (50.0 * 1e-9) / CEILING).sqrt();
    for pole in shape.poles.iter() {
        assert!(pole.is_real());
        assert_relative_eq!(pole.decay_rad_s, corner_rad_s, max_relative = 1e-12);
    }
    assert_abs_diff_eq!(shape.db(0.0), 24.0, epsilon = 1e-9);
    assert_abs_diff_eq!(largest_boost_db(&shape), 24.0, epsilon = 0.01);
    assert_abs_diff_eq!(shape.db(1e7), 0.0, epsilon = 1e-6);
}

/// From a transformer to a resistance a pole at the origin is left although nothing is undone: the rule of earlier states bounds it, and
/// that alone.
#[test]
fn the_earlier_rule_bounds_what_would_rise_without_end() {
    let change = change("1n", "50 H || 50k", "1M");
    let shape = change.shape(Ceiling::OfUndo(24.0));
    assert_abs_diff_eq!(shape.db(0.0), 24.0, epsilon = 1e-9);
    // The corner of 1 MΩ, 1/(RC), stays where it is.
    assert!(shape.poles.iter().any(|pole| (pole.decay_rad_s - 1_000.0).abs() < 1e-6), "{shape:?}");
    assert_eq!(change.shape(Ceiling::Off).boost_db(), f64::INFINITY);
}

/// From 47 kΩ to 1 MΩ the exact change boosts by `20 log10(1M/47k)` = 26.6 dB at DC (textbook RC). With the ceiling its pole lies 24 dB below its
/// zero `1/(RC)` instead; the earlier rule let it be.
#[test]
fn a_change_between_two_loads_keeps_to_the_ceiling() {
    let change = change("680p", "47k", "1M");
    let most_db = 20.0 * (1e6f64 / 47e3).log10();
    assert_abs_diff_eq!(change.shape(Ceiling::OfUndo(24.0)).boost_db(), most_db, epsilon = 1e-9);
    assert_eq!(change.shape(Ceiling::OfUndo(24.0)), change.shape(Ceiling::Db(27.0)));
    let shape = change.shape(Ceiling::default());
    let zero_rad_s = 1.0 / (47e3 * 680e-12);
    assert_relative_eq!(shape.zeros[0].decay_rad_s, zero_rad_s, max_relative = 1e-9);
    assert_relative_eq!(shape.poles[0].decay_rad_s, zero_rad_s / CEILING, max_relative = 1e-9);
    assert_abs_diff_eq!(largest_boost_db(&shape), 24.0, epsilon = 1e-3);
}

/// A take that was recorded with the volume nearly closed, heard with it open: what is alike at all frequencies is level, and goes first, so the
/// tone is the exact one.
#[test]
fn a_volume_that_was_turned_down_costs_level_but_no_tone() {
    let text = "version = 2\nname = 'x'\npickup = { inductance = '4.7 H', resistance = '8k2', winding = '120p', \
                volume = { resistance = '470k', taper = 'linear' } }\n[recorded]\nvolume = '2 %'\nload = '1M'\n\
                [[setup]]\nname = 'open'\nvolume = '100 %'\nload = '470k'\n";
    let preset = Preset::from_toml(text).unwrap();
    let of = |at, chain| Transfer::of(&preset.pickups.with_positions(at), 0, chain);
    let from = of(preset.recorded_at, &preset.recorded);
    let change = Change::new(&from, &of(preset.setups[0].positions, &preset.setups[0].chain));
    let exact_db = |hz: f64| 20.0 * change.at(hz).norm().log10();
    assert!(exact_db(100.0) > 30.0, "not a test");
    let shape = change.shape(Ceiling::Db(24.0));
    assert!(largest_boost_db(&shape) <= 24.0 + 1e-6);
    let level_db = exact_db(100.0) - shape.db(100.0);
    for hz in [30.0, 400.0, 2e3, 5e3, 1e4] {
        assert_abs_diff_eq!(exact_db(hz) - shape.db(hz), level_db, epsilon = 1e-6);
    }
}

/// A coil without winding capacitance into R ∥ C: `1/H = LC s² + (L/R + R_dc C) s + 1 + R_dc/R` rises without end; two poles at
/// `sqrt(ceiling/(LC))` hold it.
#[test]
fn undoing_a_low_pass_has_a_ceiling_at_the_top() {
    let pickup = coil(None).into();
    let transfer = |load| Transfer::new(&pickup, &chain(load));
    let change = Change::new(&transfer("1M || 6 m"), &transfer("none"));
    let shape = change.shape(Ceiling::Db(24.0));
    let corner_rad_s = (CEILING / (4.7 * 600e-12)).sqrt();
    assert_eq!(shape.poles.degree(), 2);
    for pole in shape.poles.iter() {
        assert_relative_eq!(pole.decay_rad_s, corner_rad_s, max_relative = 1e-12);
    }
    assert_abs_diff_eq!(shape.db(1e9), 24.0, epsilon = 1e-6);
    assert!(largest_boost_db(&shape) <= 24.0 + 1e-6);
    // At low frequencies nothing but the divider of R_dc and R, 20 log10(1.0082).
    assert_abs_diff_eq!(shape.db(1.0), 0.0709, epsilon = 1e-3);
    // Without a ceiling there are more zeros than poles.
    let exact = change.shape(Ceiling::Off);
    assert_eq!((exact.zeros.degree(), exact.poles.degree()), (2, 0));
    let w = TAU * 5_000.0;
    let (real, imaginary) = (1.0 + 8.2e-3 - 4.7 * 600e-12 * w * w, w * (4.7e-6 + 8_200.0 * 600e-12));
    assert_relative_eq!(exact.power(5_000.0), real * real + imaginary * imaginary, max_relative = 1e-9);
}

/// The unloaded coil rings with its own winding; undone, it rings no higher than the ceiling above the take.
#[test]
fn an_undone_resonance_stays_below_the_ceiling() {
    for (winding, load) in [("47p", "1M || 10 m"), ("120p", "220k || 6 m"), ("10p", "10M || 30 m")] {
        let pickup = coil(Some(winding)).into();
        let transfer = |load| Transfer::new(&pickup, &chain(load));
        let change = Change::new(&transfer(load), &transfer("none"));
        assert!(largest_boost_db(&change.shape(Ceiling::Off)) > 24.0, "{winding} {load}: not a test");
        for ceiling_db in [6.0, 12.0, 24.0] {
            let shape = change.shape(Ceiling::Db(ceiling_db));
            let boost_db = largest_boost_db(&shape);
            assert!(boost_db <= ceiling_db + 1e-3, "{boost_db} over {ceiling_db}: {winding} {load}");
        }
    }
}

/// `|K|²` at `w`, multiplied out in complex numbers.
fn dense_power(shape: &Shape, w: f64) -> f64 {
    let s = Complex64::new(0.0, w);
    let factor = |root: &Root| match root.is_real() {
        true => (s + root.decay_rad_s).norm(),
        false => {
            let at = Complex64::new(-root.decay_rad_s, root.ring_rad_s);
            (s - at).norm() * (s - at.conj()).norm()
        }
    };
    let log = |roots: &[Root]| roots.iter().map(|root| factor(root).ln()).sum::<f64>();
    (2.0 * (shape.gain.abs().ln() + log(&shape.zeros) - log(&shape.poles))).exp()
}

/// The largest boost by trying: 200 places a decade from far below to far above all roots, and around each pair every hundredth of
/// what it is wide.
fn densely_db(shape: &Shape) -> f64 {
    let roots = || shape.zeros.iter().chain(shape.poles.iter());
    let naturals: Vec<f64> = roots().map(Root::natural_rad_s).filter(|w| *w > 0.0).collect();
    let low = naturals.iter().copied().fold(1.0, f64::min) / 1e3;
    let high = naturals.iter().copied().fold(1.0, f64::max) * 1e3;
    let steps = ((high / low).log10() * 200.0).ceil();
    let mut best = dense_power(shape, 0.0);
    let mut step = 0.0;
    while step <= steps {
        best = best.max(dense_power(shape, low * (high / low).powf(step / steps)));
        step += 1.0;
    }
    for pair in roots().filter(|root| !root.is_real()) {
        for i in -400..=400 {
            let w = pair.natural_rad_s() + f64::from(i) * pair.decay_rad_s / 100.0;
            best = best.max(dense_power(shape, w.max(0.0)));
        }
    }
    10.0 * best.log10()
}

proptest! {
    #![proptest_config(common::cases(400))]

    /// Nowhere is a change of any circuit, an undo or another, louder than its ceiling, by trying every place, and the largest boost that is told
    /// is there.
    #[test]
    fn no_random_change_exceeds_its_ceiling(
        pickups in pickups(),
        from in common::circuits::chain(any_input()),
        to in prop_oneof![Just(Chain::default()), common::circuits::chain(any_input())],
        ceiling_db in 3.0..60.0,
    ) {
        for index in 0..pickups.count() {
            let transfer = |chain| Transfer::of(&pickups, index, chain);
            let change = Change::new(&transfer(&from), &transfer(&to));
            let shape = change.shape(Ceiling::Db(ceiling_db));
            let (tried_db, told_db) = (densely_db(&shape), shape.boost_db());
            prop_assert!(tried_db <= ceiling_db + 1e-6, "{tried_db} dB over {ceiling_db}: {shape:?}");
            prop_assert!(tried_db <= told_db + 1e-6, "{tried_db} dB, told {told_db}: {shape:?}");
            prop_assert!(told_db <= tried_db + 0.01, "{tried_db} dB, told {told_db}: {shape:?}");
            // Of any other ratio the largest boost is found too.
            let exact = change.shape(Ceiling::Off);
            if exact.poles.iter().all(|pole| pole.decay_rad_s > 0.0) && exact.zeros.degree() == exact.poles.degree() {
                let (tried_db, told_db) = (densely_db(&exact), exact.boost_db());
                prop_assert!(tried_db <= told_db + 1e-6, "{tried_db} dB, told {told_db}: {exact:?}");
            }
        }
    }
}

/// A pair that would ring beyond the ceiling is damped, however often that takes; the rest of the band is not lowered for its sake.
/// There the undo is the exact one, by complex arithmetic, within what a damped pair two octaves above leaves.
#[test]
fn a_damped_resonance_costs_nothing_elsewhere() {
    for (winding, load) in [("47p", "1M || 10 m"), ("120p", "220k || 6 m"), ("10p", "10M || 30 m")] {
        let pickup = coil(Some(winding)).into();
        let transfer = |load| Transfer::new(&pickup, &chain(load));
        let change = Change::new(&transfer(load), &transfer("none"));
        for ceiling_db in [6.0, 12.0, 24.0] {
            let shape = change.shape(Ceiling::Db(ceiling_db));
            for hz in [20.0, 82.4, 330.0] {
                let exact_db = 20.0 * change.at(hz).norm().log10();
                assert_abs_diff_eq!(shape.db(hz), exact_db, epsilon = 0.15);
            }
        }
    }
}

/// Applied and undone with a ceiling: what is left of the loss is what the ceiling holds back, and nothing below it.
#[test]
fn presets_undo_to_within_the_ceiling() {
    for file in
        ["passive.toml", "blocking.toml", "magnetic-single.toml", "magnetic-double.toml", "blend.toml"]
    {
        let preset = Preset::from_toml(&preset_text(file)).unwrap();
        for index in 0..preset.pickups.count() {
            for setup in &preset.setups {
                let pickups = preset.pickups.with_positions(setup.positions);
                let loaded = Transfer::of(&pickups, index, &setup.chain);
                let unloaded = Transfer::of(&pickups, index, &Chain::default());
                let change = Change::new(&loaded, &unloaded);
                let shape = change.shape(Ceiling::Db(24.0));
                assert!(
                    largest_boost_db(&shape) <= 24.0 + 1e-3,
                    "{file} {} {} {shape:?}",
                    setup.name,
                    largest_boost_db(&shape)
                );
                assert!(shape.zeros.degree() <= shape.poles.degree(), "{file} {}", setup.name);
                // Where 40 dB and more are to spare, the undo is exact.
                let hz = 1_000.0;
                let exact_db = 20.0 * change.at(hz).norm().log10();
                if change.shape(Ceiling::Off).boost_db() < 24.0 {
                    assert_abs_diff_eq!(shape.db(hz), exact_db, epsilon = 1e-6);
                }
            }
        }
    }
}

/// The ceiling of a plain load is what it was: `w_A · 10^(-ceiling/20)`.
#[test]
fn a_plain_load_keeps_its_rule() {
    let shape = change("680p", "1M", "none").shape(Ceiling::Db(24.0));
    let zero = transfer("680p", "1M").highest_natural_hz() * TAU;
    assert_eq!(shape.zeros.as_slice(), [Root::real(zero)]);
    assert_relative_eq!(shape.poles[0].decay_rad_s, zero / CEILING, max_relative = 1e-12);
}
