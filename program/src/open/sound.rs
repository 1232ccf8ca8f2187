//! What is played, to the system's default output.

use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use cpal::{BufferSize, FromSample, SampleFormat, SizedSample, StreamConfig};

use super::player::{Interleaver, Player};
use crate::devices;

/// Sound runs as long as this lives.
pub struct Stream {
    _stream: cpal::Stream,
}

/// Frames that are made together at most.
const MOST_FRAMES: usize = 4096;

/// Starts the output at the take's rate; with what the reader is told of it.
///
/// # Errors
/// If there is no device, or none that takes this rate, in words.
pub fn start(player: Player, rate_hz: u32) -> Result<(Stream, String), String> {
    let host = devices::host().map_err(|missing| missing.to_string())?;
    let device = host.default_output_device().ok_or("no device for sound was found")?;
    let name =
        device.description().map_or_else(|_| "a device without a name".to_owned(), |d| d.name().to_owned());
    let (config, format) = config(&device, &name, rate_hz)?;
    let interleaver = Interleaver::new(player, MOST_FRAMES);
    let stream = match format {
        SampleFormat::F32 => stream::<f32>(&device, config, interleaver),
        SampleFormat::I32 => stream::<i32>(&device, config, interleaver),
        _ => stream::<i16>(&device, config, interleaver),
    };
    let stream = stream.map_err(|error| format!("{name} does not open: {error}"))?;
    stream.play().map_err(|error| format!("{name} does not start: {error}"))?;
    let buffer = stream.buffer_size().map_or_else(|_| String::new(), |frames| format!(", {frames} frames"));
    Ok((Stream { _stream: stream }, format!("{name}, {rate_hz} Hz{buffer}")))
}

/// Two channels before any other number, floats before integers.
fn config(device: &cpal::Device, name: &str, rate_hz: u32) -> Result<(StreamConfig, SampleFormat), String> {
    let known = [SampleFormat::F32, SampleFormat::I32, SampleFormat::I16];
    let ranges =
        device.supported_output_configs().map_err(|error| format!("{name} does not answer: {error}"))?;
    let fitting = ranges.filter_map(|range| {
        let rank = known.iter().position(|format| *format == range.sample_format())?;
        let range = range.try_with_sample_rate(rate_hz)?;
        Some(((range.channels() != 2, range.channels(), rank), range))
    });
    let best = fitting.min_by_key(|(rank, _)| *rank).map(|(_, range)| range);
    let best = best.ok_or_else(|| format!("{name} does not play at the take's {rate_hz} Hz"))?;
    let config =
        StreamConfig { channels: best.channels(), sample_rate: rate_hz, buffer_size: BufferSize::Default };
    Ok((config, best.sample_format()))
}

fn stream<T: SizedSample + FromSample<f32> + Send + 'static>(
    device: &cpal::Device,
    config: StreamConfig,
    mut interleaver: Interleaver,
) -> Result<cpal::Stream, cpal::Error> {
    let channels = usize::from(config.channels);
    device.build_output_stream(
        config,
        move |out: &mut [T], _: &cpal::OutputCallbackInfo| {
            interleaver.fill(out.len(), channels, |place, sample| out[place] = T::from_sample(sample));
        },
        // A stream that has broken is silent; there is no one to tell on this thread.
        |_| {},
        None,
    )
}
