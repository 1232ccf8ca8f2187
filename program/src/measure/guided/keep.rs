use std::path::{Path, PathBuf};

use firstjack_measure::Recording;
use firstjack_sound::{Container, Encoding, Format, Making, Metadata, Sink};

use super::steps::Step;
use crate::arguments::WriteArguments;
use crate::error::Failure;
use crate::output::{Expected, Outputs};

/// Files that the recordings are kept in, checked before anything sounds.
pub struct Keep {
    outputs: Outputs,
    files: Vec<PathBuf>,
}

impl Keep {
    /// One file a step in this folder, which may be a new one.
    ///
    /// # Errors
    /// If one of them exists, or the folder takes none.
    pub fn new(folder: &Path, steps: &[Step]) -> Result<Self, Failure> {
        let write = WriteArguments { overwrite: false, dry_run: false, verbose: false };
        let mut outputs = Outputs::new(&write, []);
        outputs.folder(folder)?;
        let files: Vec<PathBuf> =
            steps.iter().map(|step| folder.join(format!("{}.wav", step.name()))).collect();
        for file in &files {
            outputs.add("--keep", file, Expected::default())?;
        }
        outputs.prepare(false)?;
        Ok(Self { outputs, files })
    }

    /// Writes the recordings, as they came.
    ///
    /// # Errors
    /// If the system cannot write.
    pub fn write(mut self, rate_hz: u32, recordings: &[Recording]) -> Result<(), Failure> {
        for (file, recording) in self.files.iter().zip(recordings) {
            let failed = |error| Failure::write(file, error);
            let making = Making {
                container: Container::Wav,
                format: Format { channels: 1, rate_hz, encoding: Encoding::Float32 },
                frames: recording.samples.len() as u64,
                metadata: &Metadata::default(),
                exact: true,
            };
            let mut sink = Sink::new(self.outputs.create(file)?, making).map_err(failed)?;
            sink.write(std::slice::from_ref(&recording.samples), 1.0).map_err(failed)?;
            sink.finish().map_err(failed)?.publish()?;
        }
        self.outputs.keep();
        Ok(())
    }
}
