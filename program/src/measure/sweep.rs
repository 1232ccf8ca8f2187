//! `firstjack measure sweep`: writes the test sound.

use std::io::Cursor;

use firstjack_measure::sweep::Sweep;
use firstjack_sound::{Container, Encoding, Format, Making, Metadata, Sink};

use crate::arguments::measure::SweepArguments;
use crate::error::Failure;
use crate::output::{self, Expected, Outputs};
use crate::stdout;

/// Runs the command.
pub fn run(arguments: &SweepArguments) -> Result<(), Failure> {
    let output = &arguments.output;
    let container = output::kind_of(output, None, &[("wav", Container::Wav)])?;
    let sweep = Sweep::new(arguments.rate.into(), arguments.level);
    let format = Format { channels: 1, rate_hz: arguments.rate, encoding: Encoding::Int24 };
    let samples = sweep.samples();
    let frames = samples.len() as u64;
    let mut outputs = Outputs::new(&arguments.write, []);
    let bytes = frames * format.bytes_per_frame() as u64;
    let seconds = crate::passes::seconds(frames, arguments.rate.into());
    outputs.add("-o", output, Expected { bytes: Some(bytes), seconds: Some(seconds) })?;
    if !outputs.prepare(false)? {
        return Ok(());
    }
    let making = Making { container, format, frames, metadata: &Metadata::default(), exact: false };
    let bytes = written(making, &samples).map_err(|error| Failure::write(output, error))?;
    output::write(&outputs, output, &bytes)?;
    stdout::report(&said(arguments, &sweep, seconds), output)
}

fn written(making: Making, samples: &[f64]) -> std::io::Result<Vec<u8>> {
    let mut sink = Sink::new(Cursor::new(Vec::new()), making)?;
    sink.write(&[samples.to_vec()], 1.0)?;
    Ok(sink.finish()?.into_inner())
}

fn said(arguments: &SweepArguments, sweep: &Sweep, seconds: f64) -> String {
    let (name, rate, level) = (crate::name::Name::of(&arguments.output), arguments.rate, arguments.level);
    let (count, each, high) = (Sweep::COUNT, Sweep::SECONDS, sweep.highest_hz());
    format!(
        "{name}: {count} sweeps of {each} s from {low} Hz to {high:.0} Hz, {seconds:.1} s in all, peak {level} dBFS, 24 bits at \
         {rate} Hz.

Before it sounds: monitors down, headphones off the ears, phantom power off, mute before plugging. It is
played by hand, into the measuring lead and nothing else, never into anything on the mains.

What to do next: play it in a session of {rate} Hz and record, once each, with all gains left alone,
  1. reference: the output straight into the input, its gain so that the peak is at about -12 dBFS
  2. empty: through the measuring lead (firstjack measure lead), the instrument unplugged
  3. plugged: the same with the instrument plugged in
then firstjack measure pickup --reference 1.wav --empty 2.wav --plugged 3.wav --resistor \"100k ±1%\"
",
        low = Sweep::LOWEST_HZ,
    )
}
