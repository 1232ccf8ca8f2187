//! What a take tells of its own noise, and what follows from it for an undo.

use std::ops::Range;

use dsp_core::response::{Ceiling, Shape};
use firstjack_measure::noise::{AutoCeiling, Heard, Judge, NoiseMeter, Quiet, Track};

use super::boost::LOUD_DB;
use super::plan::Plan;
use super::recorded::Version;
use super::take::Take;
use crate::error::Failure;
use crate::passes::{self, Work};
use crate::progress::Progress;

/// Each track of a take, heard.
pub struct Listened {
    tracks: Vec<Heard>,
}

impl Listened {
    /// Whether there is anything to listen for: a load of a capacitive pickup that is taken away, or much boost.
    pub fn is_needed(plan: &Plan) -> bool {
        let pickups = &plan.recorded.pickups;
        let coil = (0..pickups.count()).any(|index| pickups.pickup(index).is_magnetic());
        !coil
            && plan
                .renderings
                .iter()
                .any(|rendering| rendering.version.undoes() || rendering.version.boost_db() > LOUD_DB)
    }

    /// Reads the take once.
    pub fn new(plan: &Plan, take: &mut Take, progress: &Progress) -> Result<Self, Failure> {
        progress.say("listening");
        let strings = &plan.recorded.strings;
        let strings_hz: Vec<f64> = strings.pitches.iter().map(|pitch| pitch.hz(strings.a4_hz)).collect();
        let rate_hz = f64::from(take.format().rate_hz);
        let meter = |_| NoiseMeter::new(rate_hz, &strings_hz, plan.undo.named);
        let mut meters: Vec<NoiseMeter> = (0..plan.recorded.pickups.count()).map(meter).collect();
        let each = usize::from(take.format().channels) / meters.len();
        let work =
            meters.iter_mut().enumerate().map(|(track, meter)| work(meter, track * each..(track + 1) * each));
        passes::run(take, progress, work.collect())?;
        Ok(Self { tracks: meters.into_iter().map(NoiseMeter::finish).collect() })
    }

    /// Of every track.
    pub fn tracks(&self) -> &[Heard] {
        &self.tracks
    }

    /// The ceiling that the noise allows a version, if anything plays.
    pub fn auto(&self, plan: &Plan, version: &Version) -> Option<AutoCeiling> {
        let shapes = shapes(version);
        let tracks: Vec<Track> =
            self.tracks.iter().zip(&shapes).map(|(heard, shape)| Track { heard, shape }).collect();
        AutoCeiling::new(&tracks, plan.undo.margins)
    }

    /// How far a string's fundamental (0) or second harmonic (1) stands above the noise around it in a version, in dB; of a blend in the worse track.
    pub fn string_db(&self, version: &Version, string: usize, part: usize) -> Option<f64> {
        let shapes = shapes(version);
        let each =
            self.tracks.iter().zip(&shapes).zip(&version.shapes).filter_map(|((heard, shape), played)| {
                Judge::new(&Track { heard, shape })?.string_db(played, string, part)
            });
        each.reduce(f64::min)
    }

    /// Gives every version that boosts anything the ceiling that its noise allows.
    ///
    /// # Errors
    /// If the take does not tell.
    pub fn settle(&self, plan: &mut Plan, take: &Take) -> Result<(), Failure> {
        if self.tracks.iter().any(|heard| heard.noise == Quiet::TooShort) {
            let least = NoiseMeter::LEAST_SECONDS;
            return Err(refuse(take, &format!("nowhere {least} s of sound that lasts")));
        }
        if self.tracks.iter().any(Heard::is_drowned) {
            return Err(Failure::input(
                take.path(),
                "--undo-ceiling auto: its noise is too near to its music to tell the strings from it; accepted is a ceiling in dB, or off".to_owned(),
            ));
        }
        let mut ceilings = Vec::new();
        for rendering in &plan.renderings {
            let boosts = rendering.version.boost_db() > 0.0 && !rendering.version.is_unchanged();
            let auto = boosts.then(|| self.auto(plan, &rendering.version));
            ceilings.push(auto.map(|auto| auto.ok_or_else(|| refuse(take, "no sound"))).transpose()?);
        }
        for (rendering, auto) in plan.renderings.iter_mut().zip(ceilings) {
            if let Some(auto) = auto {
                rendering.version.set_ceiling(Ceiling::Db(auto.db));
            }
        }
        Ok(())
    }
}

fn shapes(version: &Version) -> Vec<impl Fn(Ceiling) -> Shape> {
    (0..version.shapes.len()).map(|track| move |ceiling| version.shape_within(track, ceiling)).collect()
}

fn work(meter: &mut NoiseMeter, channels: Range<usize>) -> Work<'_> {
    Box::new(move |block| {
        meter.add(block[channels.clone()].iter().map(Vec::as_slice));
        Ok(())
    })
}

fn refuse(take: &Take, has: &str) -> Failure {
    Failure::input(
        take.path(),
        format!("--undo-ceiling auto: it has {has} to tell noise by; accepted is a ceiling in dB, or off"),
    )
}
