use std::sync::mpsc::SyncSender;
use std::time::Duration;

use cpal::traits::DeviceTrait;
use cpal::{
    BufferSize, Device, Error, ErrorKind, FromSample, I24, Sample, SampleFormat, SizedSample, Stream,
    StreamConfig, SupportedStreamConfigRange,
};
use rtrb::{Consumer, Producer};

use crate::devices;
use crate::error::Failure;

/// The formats that are used, the best first.
const FORMATS: [SampleFormat; 5] =
    [SampleFormat::F32, SampleFormat::I32, SampleFormat::I24, SampleFormat::I16, SampleFormat::F64];
/// The sweep goes to at most so many channels: a left and a right one.
const PLAYED: usize = 2;
/// How long a stream may take to be built, where the system heeds it.
const TO_BUILD: Duration = Duration::from_secs(3);

/// A device that plays, or one that records.
#[derive(Clone)]
pub struct Line {
    pub name: String,
    device: Device,
    config: StreamConfig,
    format: SampleFormat,
}

impl Line {
    /// One that plays at this rate.
    pub fn output(device: Device, rate_hz: u32) -> Result<Self, Failure> {
        let configs = device.supported_output_configs().map(Iterator::collect);
        Self::new(device, configs, rate_hz, "--output", |channels| match channels {
            // Two, then one, then as few as there are.
            2 => 0,
            1 => 1,
            more => more,
        })
    }

    /// One that records this channel at this rate.
    pub fn input(device: Device, rate_hz: u32, channel: u16) -> Result<Self, Failure> {
        let configs = device
            .supported_input_configs()
            .map(|configs| configs.filter(|config| config.channels() >= channel).collect());
        let name = devices::name(&device);
        match configs {
            Ok(configs) if Vec::is_empty(&configs) => Err(Failure::Sound(format!(
                "{name} has no channel {channel}; try another --channel or --input"
            ))),
            configs => Self::new(device, configs, rate_hz, "--input", |channels| channels),
        }
    }

    fn new(
        device: Device,
        configs: Result<Vec<SupportedStreamConfigRange>, Error>,
        rate_hz: u32,
        option: &str,
        order: impl Fn(u16) -> u16,
    ) -> Result<Self, Failure> {
        let name = devices::name(&device);
        let configs = configs.map_err(|error| {
            let error = error.to_string();
            Failure::Sound(format!(
                "{name} does not answer: {}; try another {option}",
                error.trim_end_matches('.')
            ))
        })?;
        let format = |config: &SupportedStreamConfigRange| {
            FORMATS.iter().position(|format| *format == config.sample_format())
        };
        let fits = |config: &SupportedStreamConfigRange| {
            (config.min_sample_rate()..=config.max_sample_rate()).contains(&rate_hz)
                && format(config).is_some()
        };
        let best =
            configs.into_iter().filter(fits).min_by_key(|config| (order(config.channels()), format(config)));
        let Some(best) = best else {
            return Err(Failure::Sound(format!(
                "{name} does not take {rate_hz} Hz; try another --rate or {option}"
            )));
        };
        let config = StreamConfig {
            channels: best.channels(),
            sample_rate: rate_hz,
            buffer_size: BufferSize::Default,
        };
        Ok(Self { name, device, config, format: best.sample_format() })
    }

    /// How many it has.
    pub fn channels(&self) -> u16 {
        self.config.channels
    }

    /// As a sentence.
    pub fn failed(&self, error: &Error) -> String {
        format!("{} does not start: {}.", self.name, error.to_string().trim_end_matches('.'))
    }

    /// As a sentence.
    pub fn stalled(&self, does: &str) -> String {
        format!("{} {does} no sound any more. Is it still plugged in?", self.name)
    }

    /// A stream that plays what is on the tape, and then silence.
    pub fn play(&self, tape: Consumer<f32>, told: SyncSender<Error>) -> Result<Stream, Error> {
        match self.format {
            SampleFormat::F32 => self.play_as::<f32>(tape, told),
            SampleFormat::I32 => self.play_as::<i32>(tape, told),
            SampleFormat::I24 => self.play_as::<I24>(tape, told),
            SampleFormat::I16 => self.play_as::<i16>(tape, told),
            SampleFormat::F64 => self.play_as::<f64>(tape, told),
            _ => Err(ErrorKind::UnsupportedConfig.into()),
        }
    }

    /// A stream that records one channel onto the tape until that is full.
    pub fn record(
        &self,
        channel: u16,
        tape: Producer<f32>,
        told: SyncSender<Error>,
    ) -> Result<Stream, Error> {
        match self.format {
            SampleFormat::F32 => self.record_as::<f32>(channel, tape, told),
            SampleFormat::I32 => self.record_as::<i32>(channel, tape, told),
            SampleFormat::I24 => self.record_as::<I24>(channel, tape, told),
            SampleFormat::I16 => self.record_as::<i16>(channel, tape, told),
            SampleFormat::F64 => self.record_as::<f64>(channel, tape, told),
            _ => Err(ErrorKind::UnsupportedConfig.into()),
        }
    }

    fn play_as<T: SizedSample + FromSample<f32>>(
        &self,
        mut tape: Consumer<f32>,
        told: SyncSender<Error>,
    ) -> Result<Stream, Error> {
        let channels = usize::from(self.config.channels);
        let fill = move |block: &mut [T], _: &_| play(&mut tape, block, channels);
        self.device.build_output_stream(self.config, fill, tell(told), Some(TO_BUILD))
    }

    fn record_as<T: SizedSample>(
        &self,
        channel: u16,
        mut tape: Producer<f32>,
        told: SyncSender<Error>,
    ) -> Result<Stream, Error>
    where
        f32: FromSample<T>,
    {
        let (channels, channel) = (usize::from(self.config.channels), usize::from(channel) - 1);
        let take = move |block: &[T], _: &_| record(&mut tape, block, channels, channel);
        self.device.build_input_stream(self.config, take, tell(told), Some(TO_BUILD))
    }
}

/// The callback that plays: silence once the tape is at its end.
fn play<T: Sample + FromSample<f32>>(tape: &mut Consumer<f32>, block: &mut [T], channels: usize) {
    for frame in block.chunks_mut(channels) {
        let sample = T::from_sample(tape.pop().unwrap_or(0.0));
        let played = PLAYED.min(frame.len());
        frame[..played].fill(sample);
        frame[played..].fill(T::EQUILIBRIUM);
    }
}

/// The callback that records: once the tape is full, what comes is not wanted any more.
fn record<T: Sample>(tape: &mut Producer<f32>, block: &[T], channels: usize, channel: usize)
where
    f32: FromSample<T>,
{
    for frame in block.chunks_exact(channels) {
        let _ = tape.push(f32::from_sample(frame[channel]));
    }
}

/// Hands on what a stream complains of. What finds no room says nothing new.
fn tell(told: SyncSender<Error>) -> impl FnMut(Error) + Send + 'static {
    move |error| {
        let _ = told.try_send(error);
    }
}
