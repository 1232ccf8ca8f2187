use std::path::{Path, PathBuf};

use dsp_core::circuit::Pickups;
use firstjack_sound::{Format, Metadata, Reading, STANDARD_INPUT, Source};

use crate::arguments::TakesArguments;
use crate::error::Failure;
use crate::stdout;

/// What is rendered: one file, or two mono files, one for each pickup of a blend, as the channels of one take.
pub struct Take {
    files: Vec<Source>,
    paths: Vec<PathBuf>,
    format: Format,
    frames: u64,
}

/// The files of each take: one, or two of a blend. Two mono takes were the two tracks of a blend before `--blend` said so, and still are: neither
/// can be heard through one by itself.
pub fn recordings<'a>(
    arguments: &'a TakesArguments,
    pickups: &Pickups,
) -> Result<Vec<&'a [PathBuf]>, Failure> {
    let recordings = arguments.recordings();
    let [first, second] = recordings.as_slice() else { return Ok(recordings) };
    if matches!(pickups, Pickups::One(_)) || first.len() + second.len() > 2 {
        return Ok(recordings);
    }
    let reading = Reading { salvage: arguments.allow_damaged, audition: false };
    // What comes through a pipe comes once, and did not come at all then.
    for file in [first, second].into_iter().filter(|file| file[0].as_os_str() != STANDARD_INPUT) {
        if Source::open(&file[0], reading)?.format().channels == 1 {
            let said =
                "firstjack: two tracks of a blend are now given as --blend FIRST SECOND; taken for that\n";
            stdout::tell_aside(said)?;
            return Ok(vec![&arguments.takes]);
        }
    }
    Ok(recordings)
}

impl Take {
    /// Opens one file or two; with `salvage` as far as they go, with `mixed` also two of different sample formats.
    pub fn open(paths: &[PathBuf], salvage: bool, mixed: bool) -> Result<Self, Failure> {
        let open = |path: &PathBuf| Source::open(path, Reading { salvage, audition: false });
        let files = paths.iter().map(open).collect::<Result<Vec<_>, _>>()?;
        let mut take =
            Self { format: files[0].format(), frames: files[0].frames(), files, paths: paths.to_vec() };
        if take.files.len() == 2 {
            take.check_pair(salvage, mixed)?;
            take.format.channels = 2;
            // Salvaged ones may differ in length: as far as both go.
            take.frames = take.files.iter().map(Source::frames).min().unwrap_or(0);
        }
        Ok(take)
    }

    /// Refuses two files that are not the two tracks of one take.
    fn check_pair(&self, salvage: bool, mixed: bool) -> Result<(), Failure> {
        for (file, path) in self.files.iter().zip(&self.paths) {
            let channels = file.format().channels;
            if channels != 1 {
                let accepted = "accepted are two mono takes, or one take of two channels";
                return Err(Failure::input(path, format!("it has {channels} channels; {accepted}")));
            }
        }
        let [first, second] = [&self.files[0], &self.files[1]];
        let differs = |what: &str, of_first: String, of_second: String, accepted: &str| {
            let first = self.paths[0].display();
            let problem = format!("its {what} is {of_second}, that of {first} {of_first}; {accepted}");
            Err(Failure::input(&self.paths[1], problem))
        };
        let (a, b) = (first.format(), second.format());
        if a.rate_hz != b.rate_hz {
            let hz = |rate: u32| format!("{rate} Hz");
            return differs(
                "sample rate",
                hz(a.rate_hz),
                hz(b.rate_hz),
                "accepted are two takes of one rate",
            );
        }
        if first.frames() != second.frames() && !salvage {
            let frames = |count: u64| format!("{count} frames");
            let accepted = "accepted are two takes of one length; --allow-damaged processes what both have";
            return differs("length", frames(first.frames()), frames(second.frames()), accepted);
        }
        if a.encoding != b.encoding && !mixed {
            let accepted = "say which the rendering is to have with --sample-format";
            return differs("sample format", a.encoding.to_string(), b.encoding.to_string(), accepted);
        }
        Ok(())
    }

    /// Refuses a take whose tracks do not fit the pickups.
    pub fn check_pickups(&self, pickups: &Pickups, sum: bool) -> Result<(), Failure> {
        match (pickups, self.format.channels) {
            (Pickups::One(_), _) if self.files.len() > 1 => Err(Failure::Usage(
                "--blend: it is for a blend of two pickups: accepted are takes by themselves, or --setups with a file that has [[blend]]"
                    .to_owned(),
            )),
            (Pickups::One(_), _) if sum => Err(Failure::Usage(
                "--sum goes with a blend of two pickups (--setups with a file that has [[blend]])".to_owned(),
            )),
            (Pickups::One(_), _) | (Pickups::Blend(_), 2) => Ok(()),
            (Pickups::Blend(_), channels) => {
                let accepted = "accepted are a take of two channels, the first pickup's on channel 1, or --blend with two mono takes";
                let number = if channels == 1 { "1 channel".to_owned() } else { format!("{channels} channels") };
                let problem = format!("a blend of two pickups needs a track for each, it has {number}; {accepted}");
                Err(Failure::input(&self.paths[0], problem))
            }
        }
    }

    /// The first file.
    pub fn path(&self) -> &Path {
        &self.paths[0]
    }

    pub fn format(&self) -> Format {
        self.format
    }

    /// What a session knows the first file by.
    pub fn metadata(&self) -> &Metadata {
        self.files[0].metadata()
    }

    pub fn frames(&self) -> u64 {
        self.frames
    }

    /// Whether less is there than a header says.
    pub fn is_truncated(&self) -> bool {
        self.files.iter().any(|file| file.is_truncated() || file.frames() > self.frames)
    }

    /// How many samples that are not finite were read since the last [`Take::rewind`].
    pub fn salvaged(&self) -> u64 {
        self.files.iter().map(Source::salvaged).sum()
    }

    /// Whether a file has samples of another encoding than the take's.
    pub fn is_mixed(&self) -> bool {
        self.files.iter().any(|file| file.format().encoding != self.format.encoding)
    }

    /// Leaves only `frames` frames from `from` on, which must be there.
    pub fn cut(&mut self, from: u64, frames: u64) {
        self.files.iter_mut().for_each(|file| file.cut(from, frames));
        self.frames = frames;
    }

    pub fn rewind(&mut self) -> Result<(), Failure> {
        self.files.iter_mut().try_for_each(Source::rewind).map_err(Failure::from)
    }

    /// Reads up to `most` frames; false at the end.
    pub fn read(&mut self, channels: &mut [Vec<f64>], most: usize) -> Result<bool, Failure> {
        let [first, second] = self.files.as_mut_slice() else {
            return Ok(self.files[0].read(channels, most)?);
        };
        let (left, right) = channels.split_at_mut(1);
        first.read(left, most)?;
        second.read(right, most)?;
        let frames = left[0].len().min(right[0].len());
        left[0].truncate(frames);
        right[0].truncate(frames);
        Ok(frames > 0)
    }
}
