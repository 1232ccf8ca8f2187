//! A small CLAP host: loads the bundle, sets parameters by the text that they show, plays sound through it.

use std::path::Path;

use anyhow::{Context, Result, anyhow};
use clack_extensions::params::{ParamInfoBuffer, PluginParams};
use clack_extensions::state::PluginState;
use clack_host::events::event_types::ParamValueEvent;
use clack_host::prelude::*;

struct Shared;

impl SharedHandler<'_> for Shared {
    fn request_restart(&self) {}
    fn request_process(&self) {}
    fn request_callback(&self) {}
}

struct Quiet;

impl HostHandlers for Quiet {
    type Shared<'a> = Shared;
    type MainThread<'a> = ();
    type AudioProcessor<'a> = ();
}

/// One instance of the plugin, active at a rate.
pub struct Instance {
    plugin: PluginInstance<Quiet>,
    processor: Option<StartedPluginAudioProcessor<Quiet>>,
    block: usize,
    ports: (AudioPorts, AudioPorts),
    buffers: (Vec<Vec<f32>>, Vec<Vec<f32>>),
    events: EventBuffer,
}

impl Instance {
    /// Loads the bundle and activates stereo processing in blocks of `block` frames.
    pub fn load(bundle: &Path, rate_hz: f64, block: u16) -> Result<Self> {
        // SAFETY: the bundle is the one that this project has just built; loading runs its initialisers.
        let entry = unsafe { PluginEntry::load(bundle) }
            .map_err(|error| anyhow!("cannot load {}: {error}", bundle.display()))?;
        let factory = entry.get_plugin_factory().context("the bundle has no plugin factory")?;
        let descriptor = factory.plugin_descriptors().next().context("the bundle has no plugin")?;
        let id = descriptor.id().context("the plugin has no id")?;
        let info = HostInfo::new("Firstjack xtask", "Firstjack", "", env!("CARGO_PKG_VERSION"))?;
        let mut plugin = PluginInstance::<Quiet>::new(|_| Shared, |_| (), &entry, id, &info)?;
        let configuration = PluginAudioConfiguration {
            sample_rate: rate_hz,
            min_frames_count: 1,
            max_frames_count: u32::from(block),
        };
        let processor = plugin.activate(|_, _| (), configuration)?.start_processing();
        let processor = processor.map_err(|error| anyhow!("the plugin does not start: {error}"))?;
        let block = usize::from(block);
        let silence = vec![vec![0.0; block]; 2];
        Ok(Self {
            plugin,
            processor: Some(processor),
            block,
            ports: (AudioPorts::with_capacity(2, 1), AudioPorts::with_capacity(2, 1)),
            buffers: (silence.clone(), silence),
            events: EventBuffer::new(),
        })
    }

    /// Loads a preset with its own values, by the plugin's state; what is heard is "as recorded" then, and all else at its default.
    pub fn load_preset(&mut self, preset: &str) -> Result<()> {
        let circuit = serde_json::to_string(preset)?;
        let fields = serde_json::json!({ "format": "2", "circuit": circuit });
        let json = serde_json::json!({ "version": "", "params": {}, "fields": fields }).to_string();
        // The framework's states begin with their length.
        let state = [&u64::try_from(json.len())?.to_le_bytes(), json.as_bytes()].concat();
        let handle = self.plugin.plugin_handle();
        let extension: PluginState = handle.get_extension().context("the plugin has no state")?;
        extension.load(&handle, &mut state.as_slice()).map_err(|_| anyhow!("the plugin refuses the preset"))
    }

    /// Sets a parameter, by its name and a value's text, from the next block on.
    pub fn set(&mut self, name: &str, text: &str) -> Result<()> {
        let (params, id) = self.find(name)?;
        let c_text = std::ffi::CString::new(text)?;
        let value = params
            .text_to_value(&self.plugin.plugin_handle(), id, &c_text)
            .with_context(|| format!("{name} does not take '{text}'"))?;
        self.events.push(&ParamValueEvent::new(0, id, Pckn::match_all(), value));
        Ok(())
    }

    /// Turns a parameter in every frame of the next block, from one value's text to another's.
    pub fn turn(&mut self, name: &str, from: &str, to: &str) -> Result<()> {
        let (params, id) = self.find(name)?;
        let handle = self.plugin.plugin_handle();
        let value = |text: &str| -> Result<f64> {
            let c_text = std::ffi::CString::new(text)?;
            params
                .text_to_value(&handle, id, &c_text)
                .with_context(|| format!("{name} does not take '{text}'"))
        };
        let (from, to) = (value(from)?, value(to)?);
        let frames = u32::try_from(self.block)?;
        for frame in 0..frames {
            let value = from + (to - from) * f64::from(frame) / f64::from(frames);
            self.events.push(&ParamValueEvent::new(frame, id, Pckn::match_all(), value));
        }
        Ok(())
    }

    fn find(&mut self, name: &str) -> Result<(PluginParams, ClapId)> {
        let handle = self.plugin.plugin_handle();
        let params: PluginParams = handle.get_extension().context("the plugin has no parameters")?;
        for index in 0..params.count(&handle) {
            let mut buffer = ParamInfoBuffer::new();
            if let Some(info) = params.get_info(&handle, index, &mut buffer)
                && info.name == name.as_bytes()
            {
                return Ok((params, info.id));
            }
        }
        Err(anyhow!("the plugin has no parameter '{name}'"))
    }

    /// Plays a mono signal through both channels, from a fresh start; returns the first.
    pub fn play(&mut self, signal: &[f32]) -> Result<Vec<f32>> {
        if let Some(processor) = &mut self.processor {
            processor.reset();
        }
        let mut played = Vec::with_capacity(signal.len());
        for chunk in signal.chunks(self.block) {
            self.step(chunk)?;
            played.extend_from_slice(&self.buffers.1[0][..chunk.len()]);
        }
        Ok(played)
    }

    /// The peak of the last block's so many frames.
    pub fn peak(&self, frames: usize) -> f64 {
        self.buffers
            .1
            .iter()
            .flat_map(|channel| &channel[..frames])
            .fold(0.0, |peak, v| peak.max(f64::from(v.abs())))
    }

    /// Plays one block, at most as long as the instance's, with the parameter changes set since the last.
    pub fn step(&mut self, input: &[f32]) -> Result<()> {
        let frames = input.len();
        self.buffers.0.iter_mut().for_each(|channel| channel[..frames].copy_from_slice(input));
        let inputs = self.ports.0.with_input_buffers([AudioPortBuffer {
            latency: 0,
            channels: AudioPortBufferType::f32_input_only(
                self.buffers.0.iter_mut().map(|channel| InputChannel::variable(&mut channel[..frames])),
            ),
        }]);
        let mut outputs = self.ports.1.with_output_buffers([AudioPortBuffer {
            latency: 0,
            channels: AudioPortBufferType::f32_output_only(
                self.buffers.1.iter_mut().map(|channel| &mut channel[..frames]),
            ),
        }]);
        let events = InputEvents::from_buffer(&self.events);
        let processor = self.processor.as_mut().context("the instance has been stopped")?;
        processor.process(&inputs, &mut outputs, &events, &mut OutputEvents::void(), None, None)?;
        self.events.clear();
        Ok(())
    }
}

impl Drop for Instance {
    fn drop(&mut self) {
        if let Some(processor) = self.processor.take() {
            self.plugin.deactivate(processor.stop_processing());
        }
    }
}
