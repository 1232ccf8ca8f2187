//! Recordings from files, a channel of each.

use std::path::Path;

use firstjack_measure::Recording;
use firstjack_sound::{Reading, SoundError, Source};

use crate::error::Failure;
use crate::output::Input;
use crate::passes::seconds;

/// Frames that are read together.
const BLOCK: usize = 1 << 14;

/// The rates that recordings may have, in Hz: those of the test sound.
const RATES_HZ: (u32, u32) = (44_100, 192_000);

/// More frames are something else, and memory is bounded by them: at 48 kHz two minutes of the test sound, four of playing.
pub const MOST_SWEPT: u64 = 6_000_000;
pub const MOST_PLAYED: u64 = 12_000_000;

/// A channel whose peak is below this part of the loudest one's does not sound; channels that differ by less than that part are alike.
const SILENT: f64 = 1e-2;
const ALIKE: f64 = 1e-3;

/// A recording's file, and what it is to the measurement.
#[derive(Debug, Clone, Copy)]
pub struct Named<'a> {
    pub path: &'a Path,
    /// "the reference recording".
    pub is: &'static str,
}

impl<'a> From<Named<'a>> for Input<'a> {
    fn from(Named { path, is }: Named<'a>) -> Self {
        Self { path, is }
    }
}

/// Reads recordings of one measurement.
///
/// # Panics
/// Never: there are as many as files.
pub fn read<const COUNT: usize>(
    files: [Named; COUNT],
    channel: Option<u16>,
    most: u64,
) -> Result<[Recording; COUNT], Failure> {
    for (index, one) in files.iter().enumerate() {
        files[..index].iter().try_for_each(|other| check_apart(other, one))?;
    }
    let found = files.iter().map(|file| Found::read(*file, channel, most));
    let found: Vec<Found> = found.collect::<Result<_, _>>()?;
    let mut only = found.iter().zip(&files).filter_map(|(found, file)| Some((found.only?, file)));
    if let Some((first, of)) = only.next()
        && let Some((other, file)) = only.find(|(channel, _)| *channel != first)
    {
        let (here, there) = (other + 1, first + 1);
        let problem = format!("it sounds on channel {here}, and {} on channel {there}", of.is);
        let remedy = "record all steps through one input, or choose with --channel";
        return Err(Failure::input(file.path, format!("{problem}: {remedy}")));
    }
    let recordings: Vec<Recording> = found.into_iter().map(|found| found.recording).collect();
    Ok(recordings.try_into().expect("one for each file"))
}

fn check_apart(one: &Named, other: &Named) -> Result<(), Failure> {
    if !same_file::is_same_file(one.path, other.path).unwrap_or(false) {
        return Ok(());
    }
    let problem = format!("it cannot be both {} and {}: give the file of each step", one.is, other.is);
    Err(Failure::input(other.path, problem))
}

/// What a file has in it.
struct Found {
    recording: Recording,
    /// The channel that alone sounds, of several.
    only: Option<usize>,
}

impl Found {
    fn read(file: Named, channel: Option<u16>, most: u64) -> Result<Self, Failure> {
        let mut source =
            Source::open(file.path, Reading::default()).map_err(|error| refused(&error, file.is))?;
        check(&source, file, most)?;
        let channels = usize::from(source.format().channels);
        let (chosen, only) = match channel.map(|channel| usize::from(channel) - 1) {
            Some(chosen) if chosen >= channels => {
                let there =
                    if channels == 1 { "1 channel".to_owned() } else { format!("{channels} channels") };
                let problem = format!("it has {there}: accepted are --channel 1 to {channels}");
                return Err(Failure::input(file.path, problem));
            }
            Some(chosen) => (chosen, None),
            None if channels == 1 => (0, None),
            None => heard(&mut source, file)?,
        };
        let mut samples = Vec::with_capacity(usize::try_from(source.frames()).unwrap_or_default());
        each_block(&mut source, chosen + 1, file, |block| samples.extend_from_slice(&block[chosen]))?;
        Ok(Self { recording: Recording { rate_hz: source.format().rate_hz.into(), samples }, only })
    }
}

fn check(source: &Source, file: Named, most: u64) -> Result<(), Failure> {
    let rate_hz = source.format().rate_hz;
    let refuse = |problem: String| Err(Failure::input(file.path, problem));
    if !(RATES_HZ.0..=RATES_HZ.1).contains(&rate_hz) {
        let (low, high) = RATES_HZ;
        return refuse(format!("its sample rate is {rate_hz} Hz: record {} at {low} to {high} Hz", file.is));
    }
    if source.frames() == 0 {
        return refuse(format!("there is no sound in it: record {} again", file.is));
    }
    if source.frames() > most {
        let (there, accepted) = (seconds(source.frames(), rate_hz.into()), seconds(most, rate_hz.into()));
        let problem =
            format!("it has {there:.0} s, which is more than a measurement takes: cut {} to", file.is);
        return refuse(format!("{problem} at most {accepted:.0} s"));
    }
    Ok(())
}

/// The one channel of several to take, and whether it is the only one that sounds.
fn heard(source: &mut Source, file: Named) -> Result<(usize, Option<usize>), Failure> {
    let channels = usize::from(source.format().channels);
    let mut peaks = vec![0.0_f64; channels];
    each_block(source, channels, file, |block| {
        for (peak, channel) in peaks.iter_mut().zip(block) {
            *peak = channel.iter().fold(*peak, |peak, sample| peak.max(sample.abs()));
        }
    })?;
    let loudest = peaks.iter().copied().fold(0.0, f64::max);
    let sounding: Vec<usize> = (0..channels).filter(|index| peaks[*index] > SILENT * loudest).collect();
    match sounding.as_slice() {
        [] => return Ok((0, None)),
        [only] => return Ok((*only, Some(*only))),
        _ => {}
    }
    let mut apart = 0.0_f64;
    each_block(source, channels, file, |block| {
        for index in &sounding[1..] {
            let both = block[sounding[0]].iter().zip(&block[*index]);
            apart = both.fold(apart, |apart, (one, other)| apart.max((one - other).abs()));
        }
    })?;
    if apart <= ALIKE * loudest {
        return Ok((sounding[0], None));
    }
    let listed: Vec<String> = sounding.iter().map(|index| (index + 1).to_string()).collect();
    let problem = format!("channels {} of it sound, each differently: choose one with", listed.join(", "));
    Err(Failure::input(file.path, format!("{problem} --channel {}", listed[0])))
}

/// Goes through the file, from its first frame to its last, and leaves it at the first.
fn each_block(
    source: &mut Source,
    channels: usize,
    file: Named,
    mut each: impl FnMut(&[Vec<f64>]),
) -> Result<(), Failure> {
    let refuse = |error: SoundError| refused(&error, file.is);
    let mut block = vec![Vec::new(); channels];
    while source.read(&mut block, BLOCK).map_err(refuse)? {
        each(&block);
    }
    source.rewind().map_err(refuse)
}

/// Half a recording does not measure: there is nothing to be read over.
fn refused(error: &SoundError, is: &str) -> Failure {
    let accepted = error.accepted().map_or_else(String::new, |accepted| format!("; {accepted}"));
    let again = if error.problem.remedy().is_some() { format!(": record {is} again") } else { String::new() };
    Failure::input(&error.path, format!("{}{again}{accepted}", error.problem))
}
