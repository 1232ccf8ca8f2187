//! What is heard where a recording is played into a chain, against what the pickup would have been.

use super::johnson::{BOLTZMANN, KELVIN};
use super::{Between, Range, Shape, Transfer};
use crate::circuit::Feed;
use crate::units::Resistance;

/// The band that is judged goes up to here, in Hz.
const TOP_HZ: f64 = 10e3;

/// Places in an octave that are looked at.
const PLACES: u32 = 48;

/// No output of more ohms is a low one: it picks up hum, and minds the cable in front of a pad.
const HIGHEST_OHMS: f64 = 10e3;

/// Steps in which a resistance is looked for: to a part in 10^9.
const HALVINGS: u32 = 40;

/// The noise of a resistance from 20 Hz to 20 kHz in volts rms, `sqrt(4 k T R B)` (Johnson, Nyquist).
pub fn johnson_volts(ohms: f64) -> f64 {
    (4.0 * BOLTZMANN * KELVIN * ohms * (20e3 - 20.0)).sqrt()
}

/// A take that is changed by shapes and played from a feed into the chain that it is to be heard through.
#[derive(Debug, Clone, Copy)]
pub struct Fed<'a> {
    /// The pickups, what the take was recorded through, and the chain that is played into.
    pub between: &'a Between,
    /// What the take is changed by, one a pickup.
    pub shapes: &'a [Shape],
    /// From where it is played.
    pub feed: Feed,
}

impl Fed<'_> {
    /// How much more is heard at `hz` than the pickup would have been, in dB, before any gain: with a volt from the feed for a volt at the input
    /// that recorded. Of a blend the least and the greatest of its pickups. With every value in the middle of its tolerance.
    pub fn db(&self, hz: f64) -> Range {
        self.over(self.between, &[hz])
    }

    /// The same, least and greatest from `lowest_hz` to 10 kHz. A gain takes away what lies in the middle; half of what lies between them is the
    /// error that is left.
    pub fn deviation(&self, lowest_hz: f64) -> Range {
        let count = ((TOP_HZ / lowest_hz).log2().max(0.0) * f64::from(PLACES)).ceil().max(1.0);
        let ratio = (TOP_HZ / lowest_hz).max(1.0).powf(count.recip());
        let places = std::iter::successors(Some(0.0), |place| Some(place + 1.0));
        let hz: Vec<f64> =
            places.take_while(|place| *place <= count).map(|place| lowest_hz * ratio.powf(place)).collect();
        self.over(self.between, &hz)
    }

    /// The same at `hz` wherever values lie within their tolerances, the pickups', the recording input's and the chain's, while the take is changed
    /// by what is right in the middle of them.
    pub fn within_db(&self, hz: f64) -> Range {
        let ends = |figure: &dyn Fn(Range) -> f64| self.between.ends_of(|at| figure(self.over(at, &[hz])));
        let of_low = ends(&|range| range.low);
        // Of one pickup both are the same.
        let of_high = if self.shapes.len() > 1 { ends(&|range| range.high) } else { of_low.clone() };
        match (of_low, of_high) {
            (Some([low, _]), Some([_, high])) => {
                Range { low: self.over(&low, &[hz]).low, high: self.over(&high, &[hz]).high }
            }
            _ => self.db(hz),
        }
    }

    /// The error that is left in dB: half of what lies between the ends of [`Fed::deviation`].
    pub fn error_db(&self, lowest_hz: f64) -> f64 {
        let Range { low, high } = self.deviation(lowest_hz);
        0.5 * (high - low)
    }

    /// The most that output and pad together may have as their resistance for the error to stay within `error_db`, 10 kΩ at most;
    /// `None` if it does not with any.
    pub fn most_ohms(&self, lowest_hz: f64, error_db: f64) -> Option<Resistance> {
        let is_right = |ohms: f64| {
            let output = Resistance::from_ohms(ohms).ok()?;
            let fed = Fed { feed: Feed { output, pad: None, ..self.feed }, ..*self };
            (fed.error_db(lowest_hz) <= error_db).then_some(output)
        };
        if let Some(highest) = is_right(HIGHEST_OHMS) {
            return Some(highest);
        }
        let (mut low, mut high) = (1.0f64, HIGHEST_OHMS);
        let mut most = is_right(low)?;
        for _ in 0..HALVINGS {
            let middle = (low * high).sqrt();
            match is_right(middle) {
                Some(output) => (low, most) = (middle, output),
                None => high = middle,
            }
        }
        Some(most)
    }

    /// The least and the greatest at these frequencies, were the circuits those of `at`.
    fn over(&self, at: &Between, hz: &[f64]) -> Range {
        let (from, to) = at.responses();
        let fed = Transfer::of_feed(&self.feed, &at.heard.0);
        let parts = from.parts().iter().zip(to.parts()).zip(self.shapes);
        let at_all = parts.flat_map(|((from, to), shape)| {
            let fed = &fed;
            hz.iter().map(move |hz| shape.db(*hz) - from.loss_db(*hz) + to.loss_db(*hz) - fed.loss_db(*hz))
        });
        let nothing = Range { low: f64::INFINITY, high: f64::NEG_INFINITY };
        at_all.fold(nothing, |range, db| Range { low: range.low.min(db), high: range.high.max(db) })
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use proptest::prelude::*;
    use rustfft::num_complex::Complex64;

    use super::*;
    use crate::circuit::{Chain, Pad, Pickup, Positions};
    use crate::response::{Ceiling, Change};
    use crate::units::{Capacitance, Load};

    fn between(pickup: &str, recorded: &str, heard: &str) -> Between {
        let chain = |load: &str| (Chain::from(&load.parse::<Load>().unwrap()), Positions::default());
        Between {
            pickups: Pickup::new(pickup.parse().unwrap()).into(),
            recorded: chain(recorded),
            heard: chain(heard),
        }
    }

    /// Without any load.
    fn unloaded(between: &Between) -> Shape {
        let pickups = &between.pickups;
        let from = Transfer::new(pickups, &between.recorded.0);
        Change::new(&from, &Transfer::new(pickups, &Chain::default())).shape(Ceiling::Off)
    }

    fn with_load(between: &Between) -> Shape {
        let pickups = &between.pickups;
        let from = Transfer::new(pickups, &between.recorded.0);
        Change::new(&from, &Transfer::at_jack(pickups, 0, &between.heard.0)).shape(Ceiling::Off)
    }

    fn ohms(value: f64) -> Resistance {
        Resistance::from_ohms(value).unwrap()
    }

    /// Voltage dividers of complex impedances (textbook): `Z_L/(Z_L + Z_s)`, in front of it a pad.
    fn divided(ohms_before: f64, farads: Option<f64>, load: (f64, f64), hz: f64) -> Complex64 {
        let s = Complex64::new(0.0, TAU * hz);
        let load = (Complex64::from(load.0.recip()) + s * load.1).inv();
        let source = farads.map_or(Complex64::from(0.0), |farads| (s * farads).inv());
        load / (load + source + ohms_before)
    }

    proptest! {
        /// Against dividers by hand, whatever the values: both ways, and a pad.
        #[test]
        fn it_is_what_dividers_make(
            pickup in -9.7f64..-7.7, load in 4.0f64..7.5, shunt in -11.0f64..-8.7, output in 0.3f64..3.5, pad in 3.0f64..40.0,
            recorded in 5.0f64..7.5, hz in 1.3f64..4.3,
        ) {
            let of = |exponent: f64| 10f64.powf(exponent);
            let (farads, load, hz) = (of(pickup), (of(load), of(shunt)), of(hz));
            let text = format!("{:e} || {:e}F", load.0, load.1);
            let between = between(&format!("{farads:e}F"), &format!("{:e}", of(recorded)), &text);
            let output = ohms(of(output));
            let pad = Pad::of_db(pad, output, ohms(1e4));
            let straight = divided(0.0, Some(farads), load, hz);
            for capacitance in [None, Capacitance::from_farads(farads).ok()] {
                let feed = Feed { output, pad, capacitance };
                let shape = if capacitance.is_some() { unloaded(&between) } else { with_load(&between) };
                let baked = if capacitance.is_some() { Complex64::from(1.0) } else { straight };
                let fed = divided(feed.ohms(), capacitance.map(|_| farads), load, hz) * baked / straight;
                let expected = 20.0 * fed.norm().log10() - feed.pad_db();
                let got = Fed { between: &between, shapes: &[shape], feed }.db(hz);
                prop_assert!((got.low - expected).abs() < 1e-6, "{got:?} {expected}");
            }
        }

        /// At the most that the output may have the error is the bar, and no smaller resistance has more.
        #[test]
        fn no_less_has_more_error(pickup in -9.7f64..-7.7, load in 4.0f64..7.5, shunt in -11.0f64..-8.7, part in 0.0f64..1.0) {
            let of = |exponent: f64| 10f64.powf(exponent);
            let between = between(&format!("{:e}F", of(pickup)), "none", &format!("{:e} || {:e}F", of(load), of(shunt)));
            let shapes = [unloaded(&between)];
            let capacitance = Capacitance::from_farads(of(pickup)).ok();
            let fed = |output| Fed { between: &between, shapes: &shapes, feed: Feed { output, pad: None, capacitance } };
            let most = fed(ohms(100.0)).most_ohms(41.2, 0.1).unwrap();
            let error = |ohms_: f64| fed(ohms(ohms_)).error_db(41.2);
            prop_assert!(error(most.ohms()) <= 0.1);
            prop_assert!(error(most.ohms() * 1.01) > 0.1 || most.ohms() == HIGHEST_OHMS);
            prop_assert!(error(most.ohms().powf(part).max(0.01)) <= 0.1);
        }
    }

    /// Inside a box that blocks: what is played is put at its jack, and not where it listens, or it would be blocked twice.
    #[test]
    fn a_blocking_capacitor_blocks_once() {
        let text = "version = 2\nname = 'x'\npickup = { capacitance = '1n' }\nrecorded = { load = 'none' }\n[[setup]]\nname = 'a'\nchain = [\
                    { cable = '6 m' }, { box = 'b', input = '100k', blocking = '1n' }]\n";
        let preset = crate::preset::Preset::from_toml(text).unwrap();
        let between = Between {
            pickups: preset.pickups,
            recorded: (Chain::default(), Positions::default()),
            heard: (preset.setups[0].chain.clone(), Positions::default()),
        };
        let feed = Feed { output: ohms(1.0), pad: None, capacitance: None };
        let deviation = Fed { between: &between, shapes: &[with_load(&between)], feed }.deviation(41.2);
        assert!(deviation.low.abs().max(deviation.high) < 1e-3, "{deviation:?}");
    }

    /// A kilohm at 20 °C in 20 kHz: 0.57 µV (data sheets of low-noise amplifiers give 4 nV for a hertz; from memory).
    #[test]
    fn johnson_noise() {
        assert!((johnson_volts(1e3) / 0.5688e-6 - 1.0).abs() < 1e-3, "{}", johnson_volts(1e3));
    }
}
