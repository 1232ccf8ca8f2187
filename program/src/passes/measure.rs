use dsp_core::loudness::{Loudness, LoudnessMeter};
use dsp_core::processor::GuardStatus;

use super::fan::{self, Block, Work};
use super::playback::Playback;
use super::true_peak::TruePeak;
use crate::error::Failure;
use crate::progress::Progress;
use crate::render::Take;

/// What a version is like, at a gain of one.
#[derive(Debug, Clone)]
pub struct Measured {
    pub loudness: Loudness,
    /// Highest true peak (BS.1770, annex 2); full scale is one. Zero where it does not count.
    pub true_peak: f64,
    pub guard: GuardStatus,
}

/// Versions that one thread measures: all their channels share one meter.
struct Group {
    /// Each with its place among all.
    versions: Vec<(usize, Playback, Option<TruePeak>)>,
    meter: LoudnessMeter,
}

/// Plays all versions from beginning to end, in one pass over the take, and tells what each is like. `channels` is how many each has.
///
/// # Errors
/// As [`fan::run`].
pub fn measure(
    take: &mut Take,
    progress: &Progress,
    versions: Vec<Playback>,
    channels: u16,
) -> Result<Vec<Measured>, Failure> {
    let (rate_hz, channels) = (take.format().rate_hz, usize::from(channels));
    let count = fan::threads().min(versions.len()).max(1);
    let mut shares: Vec<Vec<(usize, Playback, Option<TruePeak>)>> = Vec::new();
    shares.resize_with(count, Vec::new);
    for (index, version) in versions.into_iter().enumerate() {
        let true_peak = version.peak_counts().then(|| TruePeak::new(rate_hz, channels));
        shares[index % count].push((index, version, true_peak));
    }
    let group = |versions: Vec<(usize, Playback, Option<TruePeak>)>| Group {
        meter: LoudnessMeter::new(rate_hz, versions.len(), channels),
        versions,
    };
    let mut groups: Vec<Group> = shares.into_iter().map(group).collect();
    fan::run(take, progress, groups.iter_mut().map(Group::part).collect())?;
    let mut measured: Vec<(usize, Measured)> = groups.into_iter().flat_map(Group::finish).collect();
    measured.sort_by_key(|(index, _)| *index);
    Ok(measured.into_iter().map(|(_, measured)| measured).collect())
}

impl Group {
    fn part(&mut self) -> Work<'_> {
        Box::new(|block| {
            self.add(block);
            Ok(())
        })
    }

    fn add(&mut self, block: &Block) {
        for (_, version, true_peak) in &mut self.versions {
            let played = version.play(block);
            if let Some(true_peak) = true_peak {
                true_peak.add(played);
            }
        }
        let channels = self.versions.iter().flat_map(|(_, version, _)| version.played());
        self.meter.add(&channels.map(Vec::as_slice).collect::<Vec<_>>());
    }

    fn finish(self) -> impl Iterator<Item = (usize, Measured)> {
        let measured = |((index, version, true_peak), loudness): ((_, Playback, Option<TruePeak>), _)| {
            let true_peak = true_peak.map_or(0.0, |meter| meter.highest());
            (index, Measured { loudness, true_peak, guard: version.guard_status() })
        };
        self.versions.into_iter().zip(self.meter.finish()).map(measured)
    }
}
