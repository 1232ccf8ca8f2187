use arrayvec::ArrayVec;
use rustfft::num_complex::Complex64;

use super::Transfer;
use super::landmark::{self, Peak};
use crate::circuit::{Chain, Pickups};

/// Where levels at the top are looked for, in Hz: from what a loudspeaker plays to far above what is heard.
const BAND_HZ: (f64, f64) = (20.0, 100e3);

/// Where corners are looked for, in Hz: wider, since undone and nearly unloaded pickups have theirs far outside the band.
const WIDE_HZ: (f64, f64) = (1e-3, 10e6);

/// How far up a coil's level at low frequencies is looked for where a transformer or a blocking capacitor takes the lowest, in Hz.
const PLATEAU_TO_HZ: f64 = 1e3;

/// The part by which the plateau's power lies above DC's where a shunt takes the lowest frequencies: 0.1 dB.
const LEAST_SHELF: f64 = 1.023;

/// A zero and a pole within an octave all but cancel.
const NEAR: f64 = 2.0;

/// What is heard of an instrument: the response of its only pickup, or of two together for the same voltage in both,
/// polarity included.
#[derive(Debug, Clone, PartialEq)]
pub struct Response {
    parts: ArrayVec<Transfer, 2>,
    weight: f64,
    magnetic: bool,
}

/// Where a response begins to fall towards DC.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// Below this it falls, in Hz: where its lowest poles lie, a pair's natural frequency or the lowest real one.
    pub below_hz: f64,
    /// How steep it is two octaves below: 1 for 6 dB an octave, 2 for 12.
    pub order: u32,
}

impl Response {
    /// Of the pickups of an instrument as they are wired, into `chain`.
    pub fn new(pickups: &Pickups, chain: &Chain) -> Self {
        let parts = (0..pickups.count()).map(|index| Transfer::of(pickups, index, chain)).collect();
        Self { parts, weight: 1.0, magnetic: all_magnetic(pickups) }
    }

    /// Of a take with one track for each pickup: each alone into `chain`, the right way round and without the other one
    /// beside it, whatever the blend; together, the mean of both. Of one pickup it is the same as [`Response::new`].
    pub fn recorded(pickups: &Pickups, chain: &Chain) -> Self {
        let alone = |index| Transfer::new(&Pickups::One(*pickups.pickup(index)), chain);
        let parts: ArrayVec<Transfer, 2> = (0..pickups.count()).map(alone).collect();
        let weight = if parts.len() == 2 { 0.5 } else { 1.0 };
        Self { parts, weight, magnetic: all_magnetic(pickups) }
    }

    /// Of one of its pickups, counted from zero, the other one silent; `magnetic` says whether that is a coil.
    #[must_use]
    pub fn of_part(&self, index: usize, magnetic: bool) -> Self {
        Self::of(self.parts[index.min(self.parts.len() - 1)].clone(), magnetic)
    }

    pub(super) fn of(transfer: Transfer, magnetic: bool) -> Self {
        Self { parts: ArrayVec::from_iter([transfer]), weight: 1.0, magnetic }
    }

    /// The response of each pickup, the other one silent.
    pub fn parts(&self) -> &[Transfer] {
        &self.parts
    }

    /// Whether nothing loads the pickups but each other.
    pub fn is_unloaded(&self) -> bool {
        self.parts.iter().all(Transfer::is_unloaded)
    }

    /// Whether every pickup is a coil, whose loss is at the top.
    pub const fn is_magnetic(&self) -> bool {
        self.magnetic
    }

    /// `H` at `hz`.
    pub fn at(&self, hz: f64) -> Complex64 {
        self.weight * self.parts.iter().map(|part| part.at(hz)).sum::<Complex64>()
    }

    /// Level lost at `hz` against the open-circuit voltage, in dB; positive is a loss. Infinite where two pickups cancel.
    pub fn loss_db(&self, hz: f64) -> f64 {
        match self.parts.as_slice() {
            [only] => only.loss_db(hz),
            _ => -10.0 * self.power(hz).log10(),
        }
    }

    /// The low end's corner in Hz, where it has half the power of the passband: zero if there is none.
    ///
    /// Of one pole `1 / (2π R C)`. Otherwise found numerically, against the highest level (of coils: against the level at low
    /// frequencies, which a resonance exceeds).
    pub fn corner_hz(&self) -> f64 {
        if let [only] = self.parts.as_slice()
            && !self.magnetic
            && only.poles().degree() <= 1
            // A zero elsewhere, as of a leaking pickup with nothing plugged in, may cancel the pole.
            && only.zeros().iter().all(|zero| zero.natural_rad_s() == 0.0)
        {
            return only.highest_natural_hz();
        }
        let (hz, power) = self.passband();
        landmark::crossing(|hz| self.power(hz), 0.5 * power, hz, WIDE_HZ.0).unwrap_or(0.0)
    }

    /// Where the top has fallen to half the power of the passband, in Hz, if it does below 100 kHz. Found numerically, against
    /// the same level as [`Response::corner_hz`].
    pub fn top_corner_hz(&self) -> Option<f64> {
        let (hz, power) = self.passband();
        let within = (hz < BAND_HZ.1).then_some(hz)?;
        landmark::crossing(|hz| self.power(hz), 0.5 * power, within, BAND_HZ.1)
    }

    /// The highest resonance between 20 Hz and 100 kHz, in dB above the level at low frequencies (of capacitive pickups, whose
    /// loss is there: above the level at the top). `None` if there is no peak of 0.05 dB or more, or no such level.
    pub fn peak(&self) -> Option<Peak> {
        let reference = if self.magnetic { self.passband().1 } else { self.level_at_top()? };
        landmark::peak(|hz| self.power(hz), BAND_HZ, reference)
    }

    /// What is lost in the passband in dB: to a shunt capacitance, `20 log10((C_p + C) / C_p)`, to a coil's own resistance,
    /// to a volume pot. A gain control restores it.
    pub fn level_loss_db(&self) -> f64 {
        match (self.parts.as_slice(), self.level_at_top()) {
            ([only], Some(_)) if !self.magnetic => only.level_loss_db(),
            _ => -10.0 * self.passband().1.log10(),
        }
    }

    /// Where it begins to fall towards DC, and how steeply; `None` if it does not.
    pub fn slope(&self) -> Option<Slope> {
        let part = self.parts.first()?;
        let corners = |roots: &[super::Root]| -> Vec<f64> {
            roots.iter().map(|root| root.natural_rad_s() / std::f64::consts::TAU).collect()
        };
        let mut poles = corners(&part.poles());
        poles.sort_by(f64::total_cmp);
        for zero in corners(&part.zeros()).into_iter().filter(|zero| *zero > 0.0) {
            let near = |pole: &f64| (NEAR.recip()..NEAR).contains(&(pole / zero));
            if let Some(index) = poles.iter().position(near) {
                poles.remove(index);
            }
        }
        let below_hz = poles.into_iter().find(|pole| *pole > 0.0)?;
        let (upper, lower) = (below_hz / 4.0, below_hz / 4.4);
        let steepness = (self.power(upper) / self.power(lower)).ln() / (2.0 * (upper / lower).ln());
        let order = [1, 2, 3, 4].into_iter().rev().find(|order| steepness > f64::from(*order) - 0.5)?;
        Some(Slope { below_hz, order })
    }

    fn power(&self, hz: f64) -> f64 {
        self.at(hz).norm_sqr()
    }

    /// The level that corners are counted from, as a place in Hz and `|H|²` there.
    fn passband(&self) -> (f64, f64) {
        let power = |hz| self.power(hz);
        if !self.magnetic {
            return landmark::highest(power, WIDE_HZ);
        }
        // Beside a transformer, which shorts the lowest frequencies but for its winding, DC is not where the passband lies.
        let (at_dc, flattest) = (self.power(0.0), landmark::flattest(power, (BAND_HZ.0, PLATEAU_TO_HZ)));
        if flattest.1 > LEAST_SHELF * at_dc { flattest } else { (BAND_HZ.0, at_dc) }
    }

    /// `|H|²` far above all corners, where it has one that is not zero.
    fn level_at_top(&self) -> Option<f64> {
        let level = |part: &Transfer| part.zeros().degree() == part.poles().degree();
        self.parts.iter().all(level).then(|| self.power(WIDE_HZ.1 * 1e3))
    }
}

fn all_magnetic(pickups: &Pickups) -> bool {
    (0..pickups.count()).all(|index| pickups.pickup(index).is_magnetic())
}
