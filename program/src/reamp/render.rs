//! The rendering that is played into the amplifier.

use std::path::Path;

use dsp_core::circuit::Pickups;
use dsp_core::processor::GuardStatus;
use firstjack_sound::{Container, Format, Making, Metadata, Sink};

use super::level::Played;
use super::told::{Peaks, Told, Ways};
use super::way::{Kind, Way};
use crate::arguments::IntoAmpArguments;
use crate::error::Failure;
use crate::output::Part;
use crate::passes::{self, Excerpt, Playback};
use crate::progress::Progress;
use crate::render::{Take, encoding};

/// How a take is rendered.
pub struct Rendering {
    take: Format,
    format: Format,
    container: Container,
    metadata: Metadata,
    part: Option<Excerpt>,
    pub frames: u64,
    guard: bool,
    /// Whether the pickups of a blend become one channel, as they do at their jack.
    sum: bool,
}

/// What was written.
#[derive(Debug, Clone, Copy)]
pub struct Written {
    /// In the file.
    pub gain: f64,
    pub clipped: u64,
    pub guard: GuardStatus,
    pub rate_hz: f64,
}

impl Rendering {
    pub fn new(arguments: &IntoAmpArguments, take: &mut Take, pickups: &Pickups) -> Result<Self, Failure> {
        let part = Excerpt::exact(take, &arguments.part)?;
        let frames = part.map_or(take.frames(), |part| part.frames);
        let mut metadata = take.metadata().clone();
        if part.is_some() {
            metadata.cut(take.frames() - frames, frames);
        }
        let sum = matches!(pickups, Pickups::Blend(_));
        let encoding = encoding(arguments.sample_format, take.format().encoding);
        let channels = if sum { 1 } else { take.format().channels };
        let format = Format { encoding, channels, ..take.format() };
        let container = match &arguments.output {
            Some(target) => container(target, format, frames, &metadata)?,
            None => Container::Wav,
        };
        Ok(Self {
            take: take.format(),
            format,
            container,
            metadata,
            part,
            frames,
            guard: !arguments.no_guard,
            sum,
        })
    }

    /// Of the file.
    pub fn bytes(&self) -> u64 {
        self.container.bytes(self.format, self.frames, &self.metadata)
    }

    fn playback(&self, way: &Way) -> Result<Playback, Failure> {
        let played = Playback::new(self.take, &way.shapes, self.guard, self.sum, self.format.channels)?;
        Ok(played.with(None, self.part.map(Excerpt::edges)))
    }

    /// The highest true peak of each way at a gain of one.
    pub fn measure(&self, ways: &Ways, take: &mut Take, progress: &Progress) -> Result<Peaks, Failure> {
        progress.expect(2 * take.frames());
        progress.say("measuring");
        let possible = [Some(&ways.file), ways.capacitor.as_ref().ok()].into_iter().flatten();
        let playbacks = possible.map(|way| self.playback(way)).collect::<Result<Vec<_>, _>>()?;
        let measured = passes::measure(take, progress, playbacks, self.format.channels)?;
        let peak = |index: usize| measured.get(index).map(|one| one.true_peak);
        Ok(Peaks { file: peak(0), capacitor: peak(1) })
    }

    /// Writes one way, with the gain in it that was reckoned; without levels as it comes, lowered where it would clip.
    pub fn write(
        &self,
        told: &Told,
        kind: Kind,
        take: &mut Take,
        progress: &Progress,
        part: Part,
    ) -> Result<Written, Failure> {
        let target = part.target().to_owned();
        let failed = |error| Failure::write(&target, error);
        let Some(told) = told.way(kind) else {
            return Err(Failure::Usage(format!("{}: there is no such way", target.display())));
        };
        let (highest, peak) = (self.format.encoding.highest(), told.peak.unwrap_or(0.0));
        let gain = match told.played {
            Some(played) if peak * played.gain() > highest.min(1.0) => {
                return Err(too_weak(&target, &played));
            }
            Some(played) => played.gain(),
            None if self.format.encoding.is_float() || peak <= highest => 1.0,
            None => highest / peak,
        };
        progress.say("rendering");
        let mut playback = self.playback(&told.way)?;
        let making = Making {
            container: self.container,
            format: self.format,
            frames: self.frames,
            metadata: &self.metadata,
            exact: false,
        };
        let mut sink = Sink::new(part, making).map_err(failed)?;
        let work = |block: &Vec<Vec<f64>>| sink.write(playback.play(block), gain).map_err(failed);
        passes::run(take, progress, vec![Box::new(work)])?;
        let clipped = sink.clipped();
        sink.finish().map_err(failed)?.publish()?;
        Ok(Written { gain, clipped, guard: playback.guard_status(), rate_hz: self.format.rate_hz.into() })
    }
}

fn container(target: &Path, format: Format, frames: u64, metadata: &Metadata) -> Result<Container, Failure> {
    if target.symlink_metadata().is_ok_and(|there| !there.is_file()) {
        return Ok(Container::Wav);
    }
    let container = Container::of(target).map_err(|unfit| Failure::Usage(unfit.to_string()))?;
    container
        .check(format, frames, metadata)
        .map_err(|unfit| Failure::Usage(format!("{}: {unfit}", target.display())))?;
    Ok(container)
}

/// No file has the volts that the output has not.
fn too_weak(target: &Path, played: &Played) -> Failure {
    let missing = played.peak_dbfs.unwrap_or(0.0);
    Failure::Usage(format!(
        "{}: the output is too weak by {missing:.1} dB: at the gain at which the amplifier sees the pickup's volts the highest peak would be \
         above full scale; accepted is an output with more dBu at full scale, or no --in-dbu-at-full-scale and --out-dbu-at-full-scale, for a \
         file whose level is yours",
        target.display()
    ))
}
