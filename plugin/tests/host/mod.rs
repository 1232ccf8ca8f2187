//! A CLAP host in the test's own process, driving the plugin through the entry point that it exports.
//!
//! With the framework's allocation guard on (debug builds), an allocation inside of `process` aborts the test.

#![allow(dead_code, unused_imports, reason = "every test file uses another part")]

mod desk;
mod sizes;
mod sounds;

use std::collections::BTreeMap;
use std::ffi::CString;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use clack_extensions::audio_ports_config::PluginAudioPortsConfig;
use clack_extensions::gui::{GuiApiType, GuiConfiguration, GuiSize, PluginGui, Window};
use clack_extensions::latency::PluginLatency;
use clack_extensions::params::{ParamInfoBuffer, ParamInfoFlags, PluginParams};
use clack_extensions::render::{PluginRender, RenderMode};
use clack_extensions::state::PluginState;
use clack_extensions::tail::{PluginTail, TailLength};
use clack_host::entry::EntryDescriptor;
use clack_host::events::event_types::{ParamModEvent, ParamValueEvent};
use clack_host::events::spaces::CoreEventSpace;
use clack_host::prelude::*;

use desk::{Desk, Main, Shared};
pub use sounds::{Noise, Sound, assert_close, assert_same, bend, difference, sine};

/// What a host knows of a parameter.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter {
    pub id: u32,
    pub name: String,
    pub group: String,
    pub min: f64,
    pub max: f64,
    pub default: f64,
    pub flags: ParamInfoFlags,
}

/// A change of a parameter at a frame, counted from the start of the sound that is run.
#[derive(Debug, Clone, Copy)]
pub struct Change<'a> {
    pub frame: usize,
    pub name: &'a str,
    pub value: f64,
    /// Whether `value` is added to the parameter instead.
    pub modulation: bool,
}

impl<'a> Change<'a> {
    pub fn new(frame: usize, name: &'a str, value: f64) -> Self {
        Self { frame, name, value, modulation: false }
    }
}

/// What the plugin tells of its parameters.
#[derive(Debug, Clone, PartialEq)]
pub enum Told {
    Begin(String),
    Value(String, f64),
    End(String),
}

/// Room for what is told in a block: the allocation guard is on while it is.
const MOST_TOLD: usize = 4096;
/// So long after the last word all has been said: longer than a frame of a window drawn in software.
const QUIET: Duration = Duration::from_millis(500);

/// CLAP states of the framework start with the length of the JSON that follows.
pub fn packed(json: &str) -> Vec<u8> {
    let length = u64::try_from(json.len()).unwrap();
    [&length.to_le_bytes(), json.as_bytes()].concat()
}

/// The preset of a name in the workspace.
pub fn preset(name: &str) -> String {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../presets");
    std::fs::read_to_string(format!("{folder}/{name}.toml")).unwrap()
}

/// The blend with the first pickup's volume turned down in the third setup.
pub fn turned_blend() -> String {
    let blend = preset("blend");
    let turned = blend.replace("name = \"passive box\"\n", "name = \"passive box\"\nvolume = \"30 %\"\n");
    assert_ne!(turned, blend);
    turned
}

pub struct Host {
    instance: PluginInstance<Desk>,
    processor: Option<PluginAudioProcessor<Desk>>,
    parameters: BTreeMap<String, Parameter>,
    order: Vec<String>,
    /// Time spent in the plugin's `process`.
    pub processing: Duration,
    told: Vec<Told>,
}

impl Host {
    pub fn new() -> Self {
        Self::of(&firstjack_plugin::clap_entry)
    }

    /// Of an entry point of the framework's.
    pub fn of(entry: &'static EntryDescriptor) -> Self {
        // SAFETY: the entry is the framework's, which follows the CLAP specification.
        let entry = unsafe { PluginEntry::load_from_raw(entry, c"") }.unwrap();
        let info = HostInfo::new("Test", "Test", "", "0").unwrap();
        let mut instance = PluginInstance::new(
            |()| Shared::default(),
            |_| Main::default(),
            &entry,
            c"org.firstjack.firstjack",
            &info,
        )
        .unwrap();
        let list = list_parameters(&mut instance);
        Self {
            instance,
            processor: None,
            processing: Duration::ZERO,
            told: Vec::new(),
            order: list.iter().map(|parameter| parameter.name.clone()).collect(),
            parameters: list.into_iter().map(|parameter| (parameter.name.clone(), parameter)).collect(),
        }
    }

    /// A host that is running at `rate_hz`, after setting parameters by their text.
    pub fn running(rate_hz: f64, settings: &[(&str, &str)]) -> Self {
        let mut host = Self::new();
        for (name, text) in settings {
            host.set(name, text);
        }
        host.start(rate_hz);
        host
    }

    /// A host that is running at `rate_hz` with a preset, after setting parameters by their text.
    pub fn with_preset(rate_hz: f64, preset: &str, settings: &[(&str, &str)]) -> Self {
        let mut host = Self::new();
        host.load_preset(preset);
        for (name, text) in settings {
            host.set(name, text);
        }
        host.start(rate_hz);
        host
    }

    /// Loads a preset as an editor would: into the present state, which is then loaded.
    pub fn load_preset(&mut self, preset: &str) {
        let mut state = serde_json::from_slice(&self.save()[8..]).unwrap();
        firstjack_plugin::load_preset(preset, &mut state).unwrap();
        assert!(self.load(&packed(&serde_json::to_string(&state).unwrap())));
    }

    /// Chooses the layout by its place in the list.
    pub fn select_layout(&mut self, index: u32) {
        let handle = self.instance.plugin_handle();
        let ports: PluginAudioPortsConfig = handle.get_extension().unwrap();
        ports.select(&handle, ClapId::new(index)).unwrap();
    }

    pub fn set_offline(&mut self, offline: bool) {
        let handle = self.instance.plugin_handle();
        let render: PluginRender = handle.get_extension().unwrap();
        let mode = if offline { RenderMode::Offline } else { RenderMode::Realtime };
        render.set(&handle, mode).unwrap();
    }

    pub fn start(&mut self, rate_hz: f64) {
        self.activate(rate_hz);
        self.start_processing();
    }

    /// Ready to run, and not running.
    pub fn activate(&mut self, rate_hz: f64) {
        let configuration =
            PluginAudioConfiguration { sample_rate: rate_hz, min_frames_count: 1, max_frames_count: 1 << 20 };
        self.processor = Some(self.instance.activate(|_, _| (), configuration).unwrap().into());
    }

    pub fn start_processing(&mut self) {
        self.processor.as_mut().expect("activated").start_processing().unwrap();
    }

    fn is_running(&self) -> bool {
        self.processor.as_ref().is_some_and(PluginAudioProcessor::is_started)
    }

    pub fn stop(&mut self) {
        let processor = self.processor.take().expect("running");
        self.instance.deactivate(processor.into_stopped());
    }

    pub fn reset(&mut self) {
        self.processor.as_mut().expect("running").reset();
    }

    pub fn latency(&mut self) -> u32 {
        let handle = self.instance.plugin_handle();
        handle.get_extension::<PluginLatency>().unwrap().get(&handle)
    }

    pub fn tail(&mut self) -> TailLength {
        let handle = self.processor.as_mut().expect("running").plugin_handle();
        handle.get_extension::<PluginTail>().unwrap().get(&handle)
    }

    /// Opens the editor in a window of X11.
    pub fn open_editor(&mut self, window: u32) -> GuiSize {
        self.open_editor_in(GuiApiType::X11, Window::from_x11_handle(window.into()))
    }

    /// Opens the editor in a window of Windows, which is kept until it is closed.
    pub fn open_editor_on_windows(&mut self, window: *mut std::ffi::c_void) -> GuiSize {
        // SAFETY: the test keeps the window until the editor is closed.
        self.open_editor_in(GuiApiType::WIN32, unsafe { Window::from_win32_hwnd(window) })
    }

    fn open_editor_in(&mut self, api_type: GuiApiType<'_>, window: Window<'_, '_>) -> GuiSize {
        let handle = self.instance.plugin_handle();
        let gui: PluginGui = handle.get_extension().expect("it has an editor");
        let configuration = GuiConfiguration { api_type, is_floating: false };
        assert!(gui.is_api_supported(&handle, configuration));
        gui.create(&handle, configuration).unwrap();
        let size = gui.get_size(&handle).unwrap();
        assert!(gui.can_resize(&handle));
        // SAFETY: the test keeps the window until the editor is closed.
        unsafe { gui.set_parent(&handle, window) }.unwrap();
        gui.show(&handle).unwrap();
        size
    }

    /// Resizes the open editor, as far as it allows; what it became.
    pub fn resize_editor(&mut self, size: GuiSize) -> GuiSize {
        let handle = self.instance.plugin_handle();
        let gui: PluginGui = handle.get_extension().unwrap();
        let adjusted = gui.adjust_size(&handle, size).unwrap();
        gui.set_size(&handle, adjusted).unwrap();
        adjusted
    }

    pub fn show_editor(&mut self, shown: bool) {
        let handle = self.instance.plugin_handle();
        let gui: PluginGui = handle.get_extension().unwrap();
        if shown { gui.show(&handle) } else { gui.hide(&handle) }.unwrap();
    }

    pub fn close_editor(&mut self) {
        let handle = self.instance.plugin_handle();
        let gui: PluginGui = handle.get_extension().unwrap();
        gui.hide(&handle).unwrap();
        gui.destroy(&handle);
    }

    /// What a host's main thread does now and then.
    pub fn idle(&mut self) {
        self.instance.call_on_main_thread_callback();
    }

    /// Parameters in the host's order.
    pub fn parameters(&self) -> Vec<Parameter> {
        self.order.iter().map(|name| self.parameters[name].clone()).collect()
    }

    fn id(&self, name: &str) -> ClapId {
        ClapId::new(self.parameters.get(name).unwrap_or_else(|| panic!("no parameter '{name}'")).id)
    }

    pub fn value(&mut self, name: &str) -> f64 {
        let id = self.id(name);
        let handle = self.instance.plugin_handle();
        handle.get_extension::<PluginParams>().unwrap().get_value(&handle, id).unwrap()
    }

    pub fn text_of(&mut self, name: &str, value: f64) -> String {
        let id = self.id(name);
        let handle = self.instance.plugin_handle();
        let params: PluginParams = handle.get_extension().unwrap();
        let mut buffer = [0; 256];
        let text = params.value_to_text(&handle, id, value, &mut buffer).unwrap();
        String::from_utf8(text.to_vec()).unwrap()
    }

    /// The present value as it is shown.
    pub fn text(&mut self, name: &str) -> String {
        let value = self.value(name);
        self.text_of(name, value)
    }

    /// What a typed text means; `None` if it is refused.
    pub fn read(&mut self, name: &str, text: &str) -> Option<f64> {
        let id = self.id(name);
        let handle = self.instance.plugin_handle();
        let params: PluginParams = handle.get_extension().unwrap();
        params.text_to_value(&handle, id, &CString::new(text).unwrap())
    }

    /// Sets a parameter to what `text` means, at rest or between two blocks.
    pub fn set(&mut self, name: &str, text: &str) {
        let value = self.read(name, text).unwrap_or_else(|| panic!("'{text}' was refused for '{name}'"));
        self.set_value(name, value);
    }

    /// What the plugin tells until it has had nothing more to tell for a while: by blocks of silence, or at rest when it asks.
    pub fn told_until_quiet(&mut self) -> Vec<Told> {
        let begin = Instant::now();
        let mut last = begin;
        while last.elapsed() < QUIET {
            assert!(begin.elapsed() < Duration::from_secs(30), "it tells and tells");
            let before = self.told.len();
            if self.is_running() {
                self.run(&vec![vec![0.0; 480]; 2], 480);
            } else if self.was_asked_to_flush() {
                self.flush(&EventBuffer::new());
            }
            self.idle();
            if self.told.len() > before {
                last = Instant::now();
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        std::mem::take(&mut self.told)
    }

    /// What the plugin has told since the last time.
    pub fn take_told(&mut self) -> Vec<Told> {
        std::mem::take(&mut self.told)
    }

    /// Whether the plugin has asked for a flush since the last time.
    pub fn was_asked_to_flush(&mut self) -> bool {
        self.instance.access_shared_handler(Shared::take_flush)
    }

    /// How often the plugin has said that its state has changed since the last time.
    pub fn was_marked(&mut self) -> usize {
        self.idle();
        self.instance.access_handler(Main::take_dirty)
    }

    pub fn set_value(&mut self, name: &str, value: f64) {
        let mut events = EventBuffer::new();
        events.push(&ParamValueEvent::new(0, self.id(name), Pckn::match_all(), value));
        self.flush(&events);
    }

    /// A flush without anything from the host.
    pub fn flush_out(&mut self) {
        self.flush(&EventBuffer::new());
    }

    fn flush(&mut self, events: &EventBuffer) {
        let mut told = EventBuffer::with_capacity(MOST_TOLD);
        let (input, mut output) = (InputEvents::from_buffer(events), OutputEvents::from_buffer(&mut told));
        if let Some(processor) = &mut self.processor {
            let mut handle = processor.plugin_handle();
            let params: PluginParams = handle.get_extension().unwrap();
            params.flush_active(&mut handle, &input, &mut output);
        } else {
            let mut handle = self.instance.inactive_plugin_handle().unwrap();
            let params: PluginParams = handle.get_extension().unwrap();
            params.flush(&mut handle, &input, &mut output);
        }
        self.hear(&told);
    }

    /// Takes note of what is told.
    fn hear(&mut self, events: &EventBuffer) {
        let named = |id: Option<ClapId>| {
            let id = id.expect("an id").get();
            let named = self.parameters.values().find(|parameter| parameter.id == id);
            named.expect("a parameter of that id").name.clone()
        };
        let told = events.iter().filter_map(|event| match event.as_core_event()? {
            CoreEventSpace::ParamGestureBegin(event) => Some(Told::Begin(named(event.param_id()))),
            CoreEventSpace::ParamValue(event) => Some(Told::Value(named(event.param_id()), event.value())),
            CoreEventSpace::ParamGestureEnd(event) => Some(Told::End(named(event.param_id()))),
            _ => None,
        });
        let told: Vec<Told> = told.collect();
        self.told.extend(told);
    }

    pub fn save(&mut self) -> Vec<u8> {
        let handle = self.instance.plugin_handle();
        let mut bytes = Vec::new();
        handle.get_extension::<PluginState>().unwrap().save(&handle, &mut bytes).unwrap();
        bytes
    }

    /// Loads a state; false if it was refused.
    pub fn load(&mut self, mut bytes: &[u8]) -> bool {
        let handle = self.instance.plugin_handle();
        handle.get_extension::<PluginState>().unwrap().load(&handle, &mut bytes).is_ok()
    }

    /// Runs `sound` in blocks of `block` frames.
    pub fn run(&mut self, sound: &Sound, block: usize) -> Sound {
        self.run_with(sound, std::iter::repeat(block), &[])
    }

    /// Runs `sound` cut into blocks of the sizes that `blocks` yields, with `changes` in the order of their frames.
    pub fn run_with(
        &mut self,
        sound: &Sound,
        blocks: impl IntoIterator<Item = usize>,
        changes: &[Change],
    ) -> Sound {
        let frames = sound[0].len();
        let mut output: Sound = vec![Vec::with_capacity(frames); sound.len()];
        let mut blocks = blocks.into_iter();
        let mut start = 0;
        while start < frames {
            let end = frames.min(start + blocks.next().expect("enough blocks"));
            let mut input: Sound = sound.iter().map(|channel| channel[start..end].to_vec()).collect();
            let mut events = EventBuffer::new();
            for change in changes.iter().filter(|change| (start..end).contains(&change.frame)) {
                let (time, id) = (u32::try_from(change.frame - start).unwrap(), self.id(change.name));
                if change.modulation {
                    events.push(&ParamModEvent::new(time, id, Pckn::match_all(), change.value));
                } else {
                    events.push(&ParamValueEvent::new(time, id, Pckn::match_all(), change.value));
                }
            }
            let block = self.run_block(&mut input, &events);
            output.iter_mut().zip(block).for_each(|(all, part)| all.extend(part));
            start = end;
        }
        output
    }

    fn run_block(&mut self, input: &mut Sound, events: &EventBuffer) -> Sound {
        let processor = self.processor.as_mut().expect("running").as_started_mut().unwrap();
        let mut told = EventBuffer::with_capacity(MOST_TOLD);
        let (output, time) = process(processor, input, events, &mut told);
        self.processing += time;
        self.hear(&told);
        output
    }

    /// Runs `sound` over and over on a thread of its own, as hosts do, while this one does `meanwhile`; what came out, in
    /// the order of time.
    pub fn run_beside(&mut self, sound: &Sound, block: usize, mut meanwhile: impl FnMut(&mut Self)) -> Sound {
        let mut processor = self.processor.take().expect("running");
        let running = AtomicBool::new(true);
        std::thread::scope(|scope| {
            let audio = scope.spawn(|| {
                let mut output: Sound = vec![Vec::new(); sound.len()];
                let mut all_told = Vec::new();
                let frames = sound[0].len();
                while running.load(Ordering::SeqCst) {
                    for start in (0..frames).step_by(block) {
                        let end = frames.min(start + block);
                        let mut input = sound.iter().map(|channel| channel[start..end].to_vec()).collect();
                        let started = processor.as_started_mut().unwrap();
                        let mut told = EventBuffer::with_capacity(MOST_TOLD);
                        let (part, _) = process(started, &mut input, &EventBuffer::new(), &mut told);
                        all_told.push(told);
                        output.iter_mut().zip(part).for_each(|(all, part)| all.extend(part));
                    }
                }
                (processor, output, all_told)
            });
            meanwhile(self);
            running.store(false, Ordering::SeqCst);
            let (processor, output, told) = audio.join().unwrap();
            self.processor = Some(processor);
            told.iter().for_each(|told| self.hear(told));
            output
        })
    }
}

/// One block, and how long the plugin took.
fn process(
    processor: &mut StartedPluginAudioProcessor<Desk>,
    input: &mut Sound,
    events: &EventBuffer,
    told: &mut EventBuffer,
) -> (Sound, Duration) {
    let frames = input[0].len();
    // Not zero: what the plugin leaves unwritten shows.
    let mut output = vec![vec![f32::NAN; frames]; input.len()];
    let mut input_ports = AudioPorts::with_capacity(input.len(), 1);
    let mut output_ports = AudioPorts::with_capacity(input.len(), 1);
    let input_audio = input_ports.with_input_buffers([AudioPortBuffer {
        latency: 0,
        channels: AudioPortBufferType::f32_input_only(input.iter_mut().map(InputChannel::variable)),
    }]);
    let mut output_audio = output_ports.with_output_buffers([AudioPortBuffer {
        latency: 0,
        channels: AudioPortBufferType::f32_output_only(output.iter_mut().map(Vec::as_mut_slice)),
    }]);
    let begin = Instant::now();
    processor
        .process(
            &input_audio,
            &mut output_audio,
            &InputEvents::from_buffer(events),
            &mut OutputEvents::from_buffer(told),
            None,
            None,
        )
        .unwrap();
    (output, begin.elapsed())
}

impl Drop for Host {
    fn drop(&mut self) {
        if self.processor.is_some() {
            self.stop();
        }
    }
}

fn list_parameters(instance: &mut PluginInstance<Desk>) -> Vec<Parameter> {
    let handle = instance.plugin_handle();
    let params: PluginParams = handle.get_extension().unwrap();
    (0..params.count(&handle))
        .map(|index| {
            let mut buffer = ParamInfoBuffer::new();
            let info = params.get_info(&handle, index, &mut buffer).unwrap();
            Parameter {
                id: info.id.get(),
                name: String::from_utf8(info.name.to_vec()).unwrap(),
                group: String::from_utf8(info.module.to_vec()).unwrap(),
                min: info.min_value,
                max: info.max_value,
                default: info.default_value,
                flags: info.flags,
            }
        })
        .collect()
}
