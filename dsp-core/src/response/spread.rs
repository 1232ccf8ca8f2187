//! Figures of a circuit whose values carry tolerances, as ranges. Each value may lie anywhere within its tolerance, all of them
//! independently; so the range is the least and the greatest figure over all of them at once.

use super::extremes::{Effort, extremes, highest, lowest};
use super::{InputNeeded, Response};
use crate::circuit::{Chain, Pickups, Spread};

/// For a figure that is computed at once, such as a loss at a frequency: some milliseconds at most.
const LOSS: Effort = Effort { climbs: 4, budget: 4_000 };

/// For a curve, of which every frequency has its neighbours to be held against.
const CURVE: Effort = Effort { climbs: 1, budget: 400 };

/// For a figure that is itself searched for along frequencies.
const CORNER: Effort = Effort { climbs: 1, budget: 100 };

/// For an input to ask for, which is searched for along resistances.
const NEEDED: Effort = Effort { climbs: 1, budget: 40 };

/// The least and the greatest value of a figure.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Range {
    /// The least.
    pub low: f64,
    /// The greatest.
    pub high: f64,
}

impl Spread {
    /// The loss in dB at `hz`.
    pub fn loss_db(&self, hz: f64) -> Range {
        self.range(LOSS, |response| response.loss_db(hz))
    }

    /// The loss in dB at `hz` as a curve needs it: a ridge between several values at once may be missed. Of one pickup, counted from
    /// zero, the others silent, or of all together.
    pub fn curve_db(&self, pickup: Option<usize>, hz: f64) -> Range {
        self.range(CURVE, |response| match pickup {
            Some(index) => response.parts()[index].loss_db(hz),
            None => response.loss_db(hz),
        })
    }

    /// The low end's corner in Hz, as [`Response::corner_hz`] has it.
    pub fn corner_hz(&self) -> Range {
        self.range(CORNER, Response::corner_hz)
    }

    /// Where the top has fallen to half the power of the passband, in Hz; infinite where it does not below 100 kHz.
    pub fn top_corner_hz(&self) -> Range {
        self.range(CORNER, |response| response.top_corner_hz().unwrap_or(f64::INFINITY))
    }

    /// The input that suffices wherever the values lie, as [`InputNeeded::new`] has it for one place. An upper end that lies below what is
    /// needed elsewhere is given up.
    pub(super) fn input_needed(&self, lowest_hz: f64, max_loss_db: f64) -> InputNeeded {
        let needed = |at: &[f64]| {
            let (pickups, chains) = self.at(at);
            InputNeeded::new(&pickups, &chains[0], lowest_hz, max_loss_db)
        };
        let or_infinite = |ohms: Option<f64>| ohms.unwrap_or(f64::INFINITY);
        let (most, from) = highest(self.count(), NEEDED, |at| or_infinite(needed(at).from_ohms));
        let worst = needed(&most);
        if worst.to_ohms.is_none() && needed(&vec![0.0; self.count()]).to_ohms.is_none() {
            return worst;
        }
        let (_, to) = lowest(self.count(), NEEDED, |at| or_infinite(needed(at).to_ohms));
        InputNeeded { to_ohms: Some(to).filter(|to| to.is_finite() && *to > from), ..worst }
    }

    /// The two ends at which a figure of pickups and chains is least and greatest: where the values lie, each within its tolerance.
    pub fn ends(&self, figure: impl Fn(&Pickups, &[Chain]) -> f64) -> [(Pickups, Vec<Chain>); 2] {
        let found = extremes(self.count(), LOSS, |at| {
            let (pickups, chains) = self.at(at);
            figure(&pickups, &chains)
        });
        found.map(|(at, _)| self.at(&at))
    }

    /// Of a figure of the first chain.
    fn range(&self, effort: Effort, figure: impl Fn(&Response) -> f64) -> Range {
        let [(_, low), (_, high)] = extremes(self.count(), effort, |at| {
            let (pickups, chains) = self.at(at);
            figure(&Response::new(&pickups, &chains[0]))
        });
        Range { low, high }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::preset::Preset;
    use crate::units::Load;

    fn plain(pickup: &str, load: &str) -> (Pickups, Chain) {
        let pickup = crate::circuit::Pickup::new(pickup.parse().unwrap());
        (pickup.into(), Chain::from(&load.parse::<Load>().unwrap()))
    }

    fn spread(pickup: &str, load: &str) -> Spread {
        let (pickups, chain) = plain(pickup, load);
        Spread::of(&pickups, [&chain]).unwrap()
    }

    /// Textbook RC: `10 log10(1 + (f_c/f)²)`, `f_c = 1/(2π R C)`.
    fn rc_db(ohms: f64, farads: f64, hz: f64) -> f64 {
        let corner_hz = 1.0 / (std::f64::consts::TAU * ohms * farads);
        10.0 * (1.0 + (corner_hz / hz).powi(2)).log10()
    }

    #[test]
    fn a_pickup_within_thirty_per_cent() {
        let range = spread("680p ±30 %", "1M").loss_db(55.0);
        let expected = Range { low: rc_db(1e6, 1.3 * 680e-12, 55.0), high: rc_db(1e6, 0.7 * 680e-12, 55.0) };
        assert!((range.low - expected.low).abs() < 1e-9 && (range.high - expected.high).abs() < 1e-9);
        assert_eq!(
            (format!("{:.1}", range.low), format!("{:.1}", range.high)),
            ("10.7".into(), "15.8".into())
        );
        let both = spread("680p ±30 %", "1MM").loss_db(55.0);
        assert!((both.high - rc_db(0.8e6, 0.7 * 680e-12, 55.0)).abs() < 1e-9);
        let corner = spread("680p ±30 %", "1M").corner_hz();
        assert!(
            (corner.high * std::f64::consts::TAU * 1e6 * 0.7 * 680e-12 - 1.0).abs() < 1e-12,
            "{corner:?}"
        );
    }

    /// The input that suffices is that of the smallest capacitance: `R = 1/(2π f C sqrt(10^(1/10) - 1))` (textbook RC).
    #[test]
    fn the_input_that_suffices_everywhere() {
        let needed = spread("680p ±30 %", "1M").input_needed(55.0, 1.0);
        let expected = 1.0 / (std::f64::consts::TAU * 55.0 * 0.7 * 680e-12 * (10f64.powf(0.1) - 1.0).sqrt());
        assert!((needed.from_ohms.unwrap() / expected - 1.0).abs() < 1e-9, "{needed:?}");
        assert_eq!(needed.to_ohms, None);
    }

    #[test]
    fn without_a_tolerance_there_is_no_spread() {
        let (pickups, chain) = plain("680p", "1M || 6 m || 47 H");
        assert!(Spread::of(&pickups, [&chain]).is_none());
    }

    /// A value at the edge of what a quantity may be stays within.
    #[test]
    fn ends_stay_within_what_a_quantity_may_be() {
        let range = spread("680p", "1T ±50 %").loss_db(55.0);
        assert!(range.low >= 0.0 && range.high < 1e-6, "{range:?}");
    }

    const CIRCUITS: [&str; 4] = [
        "pickup = { capacitance = '1n ±30 %' }\n[recorded]\nload = 'none'\n[[setup]]\nname = 'a'\n\
         chain = [{ box = 'b', transformer = { primary = '47 H ±50 %', winding = '1k5', ratio = '12 ±1 %', secondary = '22k ±5 %' } }]",
        "pickup = { inductance = '4.7 H ±10 %', resistance = '8k2 ±10 %', winding = '120p ±20 %', \
         volume = { resistance = '470k ±20 %', position = '70 %' }, tone = { resistance = '220k ±20 %', capacitance = '22n ±10 %' } }\n\
         [recorded]\nload = 'none'\n[[setup]]\nname = 'a'\nchain = [{ cable = '6 m', per_metre = '100p ±30 %' }, { box = 'b', input = '1M ±20 %' }]",
        "pickup = { capacitance = '47n ±50 %' }\n[recorded]\nload = 'none'\n[[setup]]\nname = 'a'\nload = '100 H ±50 % || 1M ±20 %'",
        "pickup = { capacitance = '1n ±60 %' }\n[recorded]\nload = 'none'\n[[setup]]\nname = 'a'\n\
         chain = [{ splitter = 's', resistor = '10k ±20 %', branch = [{ box = 't', input = '47k ±20 %', blocking = '10n ±20 %' }] }, \
         { box = 'b', input = '1M ±20 %', blocking = '4n7 ±20 %', thru = 'before' }, { cable = '6 m ±20 %' }]",
    ];

    /// No place within the tolerances, of many drawn at random, lies outside of the range.
    #[test]
    fn random_draws_lie_within() {
        let mut state = 1u64;
        let mut draw = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            2.0 * f64::from(u32::try_from(state >> 32).unwrap()) / f64::from(u32::MAX) - 1.0
        };
        for circuit in CIRCUITS {
            let preset = Preset::from_toml(&format!("version = 4\nname = 'x'\n{circuit}")).unwrap();
            let spread = Spread::of(&preset.pickups, [&preset.setups[0].chain]).unwrap();
            for hz in [20.0, 41.2, 73.4, 110.0, 440.0, 2_000.0, 6_000.0] {
                let (range, curve) = (spread.loss_db(hz), spread.curve_db(None, hz));
                let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
                for _ in 0..2_000 {
                    let places: Vec<f64> = (0..spread.count()).map(|_| draw()).collect();
                    let (pickups, chains) = spread.at(&places);
                    let db = Response::new(&pickups, &chains[0]).loss_db(hz);
                    (low, high) = (low.min(db), high.max(db));
                }
                assert!(
                    low >= range.low - 1e-9 && high <= range.high + 1e-9,
                    "{low} {high} {range:?} {circuit}"
                );
                assert!(
                    low >= curve.low - 0.1 && high <= curve.high + 0.1,
                    "{low} {high} {curve:?} {circuit}"
                );
            }
        }
    }
}
