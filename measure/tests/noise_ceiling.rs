//! The automatic ceiling against sums that are written out here, for a white floor with hum and a first-order undo (textbook RC).

#[path = "../../tests/rust/searched.rs"]
mod searched;

use std::f64::consts::TAU;

use dsp_core::circuit::{Chain, Pickup};
use dsp_core::loudness::k_weight;
use dsp_core::response::{Ceiling, Change, Transfer};
use dsp_core::units::Load;
use firstjack_measure::noise::{
    AutoCeiling, Heard, Hum, Line, Margins, Music, Quiet, Stop, StringLevel, TakeNoise, Third, Track,
};
use proptest::prelude::*;

const STRINGS_HZ: [f64; 6] = [55.0, 73.416, 97.999, 130.81, 164.81, 110.0];

#[derive(Debug, Clone)]
struct Case {
    ohms: f64,
    farads: f64,
    /// Of the floor, per hertz.
    density: f64,
    /// Of the line at 50 Hz.
    hum: f64,
    /// Of each string's fundamental and second harmonic in the take.
    levels: Vec<[f64; 2]>,
    margins: Margins,
}

fn db(db: f64) -> f64 {
    10f64.powf(db / 10.0)
}

fn cases() -> impl Strategy<Value = Case> {
    let level = (-60.0..-20.0_f64, -60.0..-20.0_f64).prop_map(|(a, b)| [db(a), db(b)]);
    let levels = prop::collection::vec(level, STRINGS_HZ.len());
    (
        2e4..2e6_f64,
        3e-10..3e-9_f64,
        -150.0..-85.0_f64,
        -120.0..-50.0_f64,
        levels,
        0.0..20.0_f64,
        0.0..25.0_f64,
    )
        .prop_map(|(ohms, farads, density, hum, levels, string_db, rumble_db)| Case {
            ohms,
            farads,
            density: db(density),
            hum: db(hum),
            levels,
            margins: Margins { string_db, rumble_db },
        })
}

impl Case {
    fn change(&self) -> Change {
        let pickup = Pickup::new(format!("{}p", self.farads * 1e12).parse().unwrap()).into();
        let load: Load = format!("{}k", self.ohms / 1e3).parse().unwrap();
        Change::new(&Transfer::new(&pickup, &Chain::from(&load)), &Transfer::new(&pickup, &Chain::default()))
    }

    fn heard(&self) -> Heard {
        let strings = STRINGS_HZ.iter().zip(&self.levels);
        let strings = strings.map(|(hz, [a, b])| StringLevel { hz: *hz, heard: [Some(*a), Some(*b)] });
        let thirds =
            vec![Third { hz: 20.0, density: self.density }, Third { hz: 16e3, density: self.density }];
        let lines = vec![Line { hz: 50.0, power: self.hum }];
        let hum = Some(Hum { hz: 50.0, wanders_hz: (50.0, 50.0), lines });
        Heard {
            noise: Quiet::Noise(TakeNoise { thirds, hum }),
            music: Music { bands: self.bands(), strings: strings.collect(), channels: 1 },
        }
    }

    fn bands(&self) -> Vec<(f64, f64)> {
        let both = STRINGS_HZ.iter().zip(&self.levels);
        both.flat_map(|(hz, [a, b])| [(*hz, *a), (2.0 * hz, *b)]).collect()
    }

    /// `|K|²` of the undo within a ceiling: `(f² + fa²)/(f² + fc²)`, `fc = fa/10^(c/20)`.
    fn power(&self, hz: f64, ceiling_db: f64) -> f64 {
        let corner_hz = 1.0 / (TAU * self.ohms * self.farads);
        let lower_hz = corner_hz / 10f64.powf(ceiling_db / 20.0);
        (hz * hz + corner_hz * corner_hz) / (hz * hz + lower_hz * lower_hz)
    }

    /// Noise in a band, by a thousand trapezoids.
    fn noise(&self, (low, high): (f64, f64), with_hum: bool, weight: impl Fn(f64) -> f64) -> f64 {
        let step = (high - low) / 1000.0;
        let floor: f64 =
            (0..1000).map(|i| self.density * step * weight(low + step * (f64::from(i) + 0.5))).sum();
        let hum = if with_hum && (low..=high).contains(&50.0) { self.hum * weight(50.0) } else { 0.0 };
        floor + hum
    }

    /// By how much a string at `hz` keeps its margin, in dB.
    fn string_db(&self, (hz, power): (f64, f64), ceiling_db: f64, with_hum: bool) -> f64 {
        let change = |hz: f64| self.power(hz, ceiling_db);
        let half = 0.5 * 24.7 * (4.37 * hz / 1000.0 + 1.0);
        let noise = self.noise(((hz - half).max(20.0), hz + half), with_hum, change);
        10.0 * (power * change(hz) / noise).log10() - self.margins.string_db
    }

    /// Strings and octaves that are not clear of noise where next to nothing is lifted.
    fn drowned(&self) -> Vec<(f64, f64)> {
        self.bands().into_iter().filter(|string| self.string_db(*string, 1.0, true) < 0.0).collect()
    }

    /// By how much the worst margin is kept, in dB, but for strings that are left out.
    fn kept_db(&self, ceiling_db: f64, with_hum: bool, left_out: &[(f64, f64)]) -> f64 {
        let change = |hz: f64| self.power(hz, ceiling_db);
        let string = |string| self.string_db(string, ceiling_db, with_hum);
        // Flat is what the highest octave of 31.25 Hz to 16 kHz has.
        let gets = |hz: &f64| change(*hz) / change(16e3) > db(1.0);
        let asked = self.bands().into_iter().filter(|string| !left_out.contains(string));
        let strings = asked.filter(|(hz, _)| gets(hz)).map(string);
        let weight = |hz: f64| change(hz) * k_weight(hz);
        let music: f64 = self.bands().into_iter().map(|(hz, power)| power * weight(hz)).sum();
        let rumble =
            10.0 * (music / self.noise((20.0, 200.0), with_hum, weight)).log10() - self.margins.rumble_db;
        strings.fold(rumble, f64::min)
    }

    /// From above, in steps of 0.02 dB.
    fn highest_db(&self, with_hum: bool, left_out: &[(f64, f64)]) -> f64 {
        let corner_hz = 1.0 / (TAU * self.ohms * self.farads);
        let all_db = 10.0 * (1.0 + (corner_hz / 55.0).powi(2)).log10();
        let ratio =
            |ceiling_db: f64| 10.0 * (self.power(55.0, ceiling_db) / self.power(16e3, ceiling_db)).log10();
        let mut ceiling_db = 1.0;
        while ratio(ceiling_db) < all_db - 10.0 * (1.0 + (corner_hz / 16e3).powi(2)).log10() - 0.1 {
            ceiling_db += 0.02;
        }
        while ceiling_db > 1.0 && self.kept_db(ceiling_db, with_hum, left_out) < 0.0 {
            ceiling_db -= 0.02;
        }
        ceiling_db.max(1.0)
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(searched::cases(64)))]

    #[test]
    fn it_is_the_highest_that_keeps_the_margins(case in cases()) {
        let (change, heard) = (case.change(), case.heard());
        let shape = |ceiling| change.shape(ceiling);
        let auto = AutoCeiling::new(&[Track { heard: &heard, shape: &shape }], case.margins).unwrap();
        let drowned = case.drowned();
        let told = |index, hz| auto.others.iter().any(|others| others.drowned.contains(&(index, hz)));
        for (place, string) in case.bands().into_iter().enumerate() {
            let clear_db = case.string_db(string, 1.0, true);
            // Where it is just clear rounding decides.
            prop_assume!(clear_db.abs() > 0.01);
            prop_assert_eq!(told(place / 2, string.0), clear_db < 0.0, "{:?}", string);
        }
        let others_db = auto.others.as_ref().map_or(auto.db, |others| others.db);
        for (found, expected) in [
            (auto.db, case.highest_db(true, &[])),
            (auto.without_hum_db, case.highest_db(false, &[])),
            (others_db, case.highest_db(true, &drowned)),
        ] {
            prop_assert!((found - expected).abs() < 0.3, "{auto:?}, and {expected} by the sums");
        }
        // Never more than a fixed ceiling of the same height, nor than keeps the margins.
        prop_assert!(shape(Ceiling::Db(auto.db)).boost_db() <= auto.db + 1e-9);
        prop_assert!(auto.db <= 1.0 || case.kept_db(auto.db, true, &[]) > -0.05, "{auto:?}");
        let by_hum = matches!(auto.stop, Stop::String { hum_hz: Some(_), .. } | Stop::Rumble { hum_hz: Some(_) });
        prop_assert!(by_hum == (auto.stop != Stop::Enough && auto.without_hum_db >= auto.db + 1.0) || auto.db == 1.0);
    }
}
