//! From recordings to levels over the reference: what all methods have in common.

use super::bands::{Band, Spectra, Transform, bands};
use super::find::{Places, find};
use super::mains::Mains;
use crate::{Recording, Refusal};

/// Rates that the test sound is made for, in Hz.
const RATES_HZ: (f64, f64) = (44_000.0, 200_000.0);
/// Longer than this is another recording, in seconds.
const LONGEST_SECONDS: f64 = 90.0;
/// More harmonics than this are no more a matter of a decent stage, as a part: a sine that is cut off at 0.96 of its peak has 0.9 %, and is
/// then 0.08 dB low (Fourier series of a clipped sine).
const MOST_DISTORTION: f64 = 0.01;
/// More than repeats may differ by, in dB.
const MOST_UNEVEN_DB: f64 = 0.2;
/// Clocks that differ by more than this are told of.
const DRIFT: f64 = 5e-6;

/// The levels of each step over the reference, in the order of the steps.
#[derive(Debug, Clone)]
pub(super) struct Levelled {
    pub steps: Vec<Vec<Band>>,
    pub remarks: Vec<String>,
}

/// Checks all recordings, the reference first, finds their sweeps, and takes them to levels.
pub(super) fn levelled(recordings: &[(&'static str, &Recording)]) -> Result<Levelled, Refusal> {
    let (_, reference) = recordings[0];
    for (name, recording) in recordings {
        check(name, recording, reference.rate_hz)?;
    }
    let transform = Transform::new(reference.rate_hz);
    let found: Vec<Sounded> = recordings
        .iter()
        .map(|(name, recording)| Sounded::new(name, recording, &transform))
        .collect::<Result<_, _>>()?;
    let mains_hz: Vec<f64> = found.iter().filter_map(|sounded| sounded.mains_hz).collect();
    let mut steps = Vec::new();
    for ((name, _), sounded) in recordings.iter().zip(&found).skip(1) {
        let (bands, repeats) = bands(&sounded.spectra, &found[0].spectra, reference.rate_hz, &mains_hz);
        let (low, high) =
            repeats.iter().fold((0.0, 0.0), |(low, high): (f64, f64), db| (low.min(*db), high.max(*db)));
        if high - low > MOST_UNEVEN_DB {
            return Err(Refusal::Uneven { recording: name, db: high - low });
        }
        steps.push(bands);
    }
    Ok(Levelled { steps, remarks: remarks(&found, &mains_hz) })
}

fn check(name: &'static str, recording: &Recording, reference_hz: f64) -> Result<(), Refusal> {
    let hz = recording.rate_hz;
    if !(RATES_HZ.0..=RATES_HZ.1).contains(&hz) {
        return Err(Refusal::Rate { recording: name, hz });
    }
    if hz.to_bits() != reference_hz.to_bits() {
        return Err(Refusal::RatesDiffer { recording: name, hz, reference_hz });
    }
    #[expect(clippy::cast_precision_loss, reason = "frames of minutes")]
    let seconds = recording.samples.len() as f64 / hz;
    if seconds > LONGEST_SECONDS {
        return Err(Refusal::TooLong { recording: name, seconds });
    }
    recording.problem(name).map_or(Ok(()), Err)
}

/// A recording with its sweeps found.
struct Sounded {
    spectra: Spectra,
    mains_hz: Option<f64>,
}

impl Sounded {
    fn new(name: &'static str, recording: &Recording, transform: &Transform) -> Result<Self, Refusal> {
        let Places { first, distortion } = find(recording, name)?;
        if distortion > MOST_DISTORTION {
            return Err(Refusal::Distorted { recording: name, percent: 100.0 * distortion });
        }
        let mains = Mains::find(recording, first);
        let spectra = transform.spectra(&recording.samples, first, mains.as_ref());
        Ok(Self { spectra, mains_hz: mains.map(|mains| mains.hz) })
    }
}

fn remarks(found: &[Sounded], mains_hz: &[f64]) -> Vec<String> {
    let mut remarks = Vec::new();
    if let Some(hz) = mains_hz.first() {
        remarks.push(format!("multiples of {hz:.1} Hz (mains) are left out"));
    }
    let drift = found
        .iter()
        .map(|sounded| sounded.spectra.drift())
        .fold(0.0, |most: f64, drift| most.max(drift.abs()));
    if drift > DRIFT {
        let millionths = 1e6 * drift;
        remarks.push(format!("output and input run on clocks that differ by {millionths:.0} parts in a million: better use one interface for both"));
    }
    remarks
}
