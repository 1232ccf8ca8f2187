//! `firstjack live`: an input heard through setups, by the framework's standalone.

use cpal::traits::{DeviceTrait, HostTrait};

use crate::arguments::LiveArguments;
use crate::arguments::window::Backend;
use crate::devices::{Names, host, name, named};
use crate::error::Failure;
use crate::{display, stdout};

/// Runs the command until the window is closed.
pub fn run(arguments: &LiveArguments) -> Result<(), Failure> {
    // The framework would wait for ever without one.
    display::check()?;
    let way = Way::new(arguments)?;
    stdout::print(&format!("{}\n", way.description))?;
    if firstjack_plugin::standalone(framework_arguments(&way, arguments), way.description) {
        return Ok(());
    }
    Err(Failure::Sound("the window or the sound could not be started; the reason is above".to_owned()))
}

/// How sound comes and goes.
struct Way {
    /// As the framework calls it.
    backend: &'static str,
    description: String,
}

/// The system's own, as the framework calls it.
const SYSTEM: &str = if cfg!(target_os = "macos") {
    "core-audio"
} else if cfg!(windows) {
    "wasapi"
} else {
    "alsa"
};

impl Way {
    fn new(arguments: &LiveArguments) -> Result<Self, Failure> {
        match arguments.backend {
            Backend::Dummy => {
                Ok(Self { backend: "dummy", description: "No sound: only the window.".to_owned() })
            }
            Backend::Jack => Self::jack().map_err(|problem| Failure::Sound(format!("no JACK: {problem}"))),
            Backend::Auto => Self::jack().or_else(|_| Self::system(arguments)),
            _ => Self::system(arguments),
        }
    }

    /// The server decides on rate and buffer.
    fn jack() -> Result<Self, String> {
        firstjack_libraries::jack().map_err(|missing| missing.to_string())?;
        let opened = jack::Client::new("Firstjack probe", jack::ClientOptions::NO_START_SERVER);
        let (client, _) = opened.map_err(|error| format!("no server answers ({error})"))?;
        let (rate_hz, frames) = (client.sample_rate(), client.buffer_size());
        Ok(Self { backend: "jack", description: format!("JACK, {rate_hz} Hz, {frames} frames.") })
    }

    fn system(arguments: &LiveArguments) -> Result<Self, Failure> {
        let host = host().map_err(|missing| no_sound(&missing.to_string()))?;
        let output = match &arguments.output {
            Some(wanted) => named("--output", wanted, host.output_devices(), Names::Only)?,
            None => host.default_output_device().ok_or_else(|| no_sound("no device for sound was found"))?,
        };
        let input = match &arguments.input {
            Some(wanted) => name(&named("--input", wanted, host.input_devices(), Names::Only)?),
            None => "nothing (give --input)".to_owned(),
        };
        let (output, rate, buffer) = (check(&output, arguments)?, arguments.rate, arguments.buffer);
        Ok(Self {
            backend: SYSTEM,
            description: format!("From {input} to {output}, {rate} Hz, {buffer} frames."),
        })
    }
}

fn no_sound(problem: &str) -> Failure {
    Failure::Sound(format!("{problem}; --backend dummy opens the window without sound"))
}

/// Whether the framework will find what it needs of an output; gives its name.
fn check(output: &cpal::Device, arguments: &LiveArguments) -> Result<String, Failure> {
    let name = name(output);
    let configs = output.supported_output_configs().map_err(|error| {
        no_sound(&format!("{name} does not answer: {}", error.to_string().trim_end_matches('.')))
    })?;
    let channels = if arguments.mono { 1 } else { 2 };
    let fits = |config: cpal::SupportedStreamConfigRange| {
        let buffers = match config.buffer_size() {
            cpal::SupportedBufferSize::Range { min, max } => (*min..=*max).contains(&arguments.buffer),
            cpal::SupportedBufferSize::Unknown => false,
        };
        let rates = config.min_sample_rate()..=config.max_sample_rate();
        config.channels() == channels && rates.contains(&arguments.rate) && buffers
    };
    if configs.into_iter().any(fits) {
        return Ok(name);
    }
    let asked = format!("{channels} channels at {} Hz with {} frames", arguments.rate, arguments.buffer);
    Err(no_sound(&format!("{name} does not take {asked}; try another --rate, --buffer or --output")))
}

fn framework_arguments(way: &Way, arguments: &LiveArguments) -> Vec<String> {
    let mut words = vec!["firstjack".to_owned()];
    // As one word, whatever a device's name begins with.
    let mut option = |name: &str, value: String| words.push(format!("{name}={value}"));
    option("--backend", way.backend.to_owned());
    option("--audio-layout", if arguments.mono { "2" } else { "1" }.to_owned());
    option("--sample-rate", arguments.rate.to_string());
    option("--period-size", arguments.buffer.to_string());
    for (name, value) in [
        ("--input-device", &arguments.input),
        ("--output-device", &arguments.output),
        ("--connect-jack-inputs", &arguments.connect),
    ] {
        if let Some(value) = value {
            option(name, value.clone());
        }
    }
    words
}
