//! The plugin in the framework, with its window replaced by the session that a window has: edits without a display.

use std::cell::RefCell;
use std::ffi::{CStr, c_char, c_void};
use std::fmt;
use std::ptr::null;
use std::sync::{Arc, OnceLock};

use firstjack_plugin::editor::HostSession;
use firstjack_plugin::telemetry::Telemetry;
use firstjack_plugin::{Firstjack, FirstjackParams};
use nice_plug::context::gui::GuiContext;
use nice_plug::context::process::SendEventError;
use nice_plug::editor::dpi::NativeSize;
use nice_plug::editor::{Editor, EditorHandle, HostMethods, ParentWindowHandle, SpawnedEditor};
use nice_plug::prelude::*;
use nice_plug::wrapper::clap::{
    CLAP_PLUGIN_FACTORY_ID, CLAP_VERSION, PluginDescriptor, Wrapper, clap_host, clap_plugin,
    clap_plugin_descriptor, clap_plugin_entry, clap_plugin_factory,
};

thread_local! {
    /// Of the instance that was made last on this thread.
    static PARAMS: RefCell<Option<Arc<FirstjackParams>>> = const { RefCell::new(None) };
    static TELEMETRY: RefCell<Option<Arc<Telemetry>>> = const { RefCell::new(None) };
    /// Of the window that was opened last on this thread.
    static CONTEXT: RefCell<Option<GuiContext>> = const { RefCell::new(None) };
}

/// The parameters of the instance that was made last.
pub fn params() -> Arc<FirstjackParams> {
    PARAMS.with_borrow(|params| params.clone().expect("an instance was made"))
}

/// What a window hears of the instance that was made last.
pub fn telemetry() -> Arc<Telemetry> {
    TELEMETRY.with_borrow(|telemetry| telemetry.clone().expect("an instance was made"))
}

/// The session of the window that was opened last.
pub fn session() -> HostSession {
    let context = CONTEXT.with_borrow(|context| context.clone().expect("a window was opened"));
    HostSession::new(params(), context, telemetry())
}

pub struct Spy(Firstjack);

impl Default for Spy {
    fn default() -> Self {
        let plugin = Firstjack::default();
        let params = Arc::into_raw(Plugin::params(&plugin));
        // SAFETY: that is what the plugin's parameters are.
        let params = unsafe { Arc::from_raw(params.cast::<FirstjackParams>()) };
        PARAMS.set(Some(params));
        TELEMETRY.set(Some(plugin.telemetry()));
        Self(plugin)
    }
}

impl Plugin for Spy {
    const NAME: &'static str = Firstjack::NAME;
    const VENDOR: &'static str = Firstjack::VENDOR;
    const URL: &'static str = Firstjack::URL;
    const EMAIL: &'static str = Firstjack::EMAIL;
    const VERSION: &'static str = Firstjack::VERSION;
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = Firstjack::AUDIO_IO_LAYOUTS;
    const SAMPLE_ACCURATE_AUTOMATION: bool = Firstjack::SAMPLE_ACCURATE_AUTOMATION;

    type Editor = Unseen;
    type SysExMessage = ();
    type BackgroundTask = ();

    fn params(&self) -> Arc<dyn Params> {
        self.0.params()
    }

    fn editor(&mut self, _: AsyncExecutor<Self>) -> Option<Unseen> {
        Some(Unseen)
    }

    fn filter_state(state: &mut PluginState) {
        Firstjack::filter_state(state);
    }

    fn activate(
        &mut self,
        layout: &AudioIOLayout,
        config: &BufferConfig,
        context: &mut impl ActivateContext<Self>,
    ) -> bool {
        self.0.activate(layout, config, &mut Through(context))
    }

    fn reset(&mut self) {
        self.0.reset();
    }

    fn process(
        &mut self,
        buffer: &mut Buffer,
        aux: &mut AuxiliaryBuffers,
        context: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        self.0.process(buffer, aux, &mut Through(context))
    }
}

impl ClapPlugin for Spy {
    const CLAP_ID: &'static str = Firstjack::CLAP_ID;
    const CLAP_DESCRIPTION: Option<&'static str> = None;
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = Firstjack::CLAP_FEATURES;

    fn whole_state(&self) -> Option<Arc<dyn WholeState>> {
        ClapPlugin::whole_state(&self.0)
    }
}

/// The framework's context of one plugin as that of the other.
struct Through<'a, C>(&'a mut C);

impl<C: ActivateContext<Spy>> ActivateContext<Firstjack> for Through<'_, C> {
    fn plugin_api(&self) -> PluginApi {
        self.0.plugin_api()
    }
    fn execute(&self, (): ()) {
        self.0.execute(());
    }
    fn set_latency_samples(&self, samples: u32) {
        self.0.set_latency_samples(samples);
    }
    fn set_current_voice_capacity(&self, capacity: u32) {
        self.0.set_current_voice_capacity(capacity);
    }
}

impl<C: ProcessContext<Spy>> ProcessContext<Firstjack> for Through<'_, C> {
    fn plugin_api(&self) -> PluginApi {
        self.0.plugin_api()
    }
    fn execute_background(&self, (): ()) {
        self.0.execute_background(());
    }
    fn execute_gui(&self, (): ()) {
        self.0.execute_gui(());
    }
    fn transport(&self) -> &Transport {
        self.0.transport()
    }
    fn next_event(&mut self) -> Option<NoteEvent<()>> {
        self.0.next_event()
    }
    fn try_send_event(&mut self, event: NoteEvent<()>) -> Result<(), (NoteEvent<()>, SendEventError)> {
        self.0.try_send_event(event)
    }
    fn set_latency_samples(&self, samples: u32) {
        self.0.set_latency_samples(samples);
    }
    fn request_restart(&self) {
        self.0.request_restart();
    }
    fn set_current_voice_capacity(&self, capacity: u32) {
        self.0.set_current_voice_capacity(capacity);
    }
}

/// A window that is nowhere.
pub struct Unseen;

/// Nothing goes wrong with it.
#[derive(Debug)]
pub struct Never;

impl fmt::Display for Never {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        to.write_str("never")
    }
}

impl std::error::Error for Never {}

impl Editor for Unseen {
    type Handle = Self;

    fn spawn(
        &self,
        _: Option<ParentWindowHandle>,
        _: bool,
        _: Option<f64>,
        context: GuiContext,
        _: Option<HostMethods>,
    ) -> Result<SpawnedEditor<Self>, Box<dyn std::error::Error>> {
        CONTEXT.set(Some(context));
        Ok(SpawnedEditor { handle: Self, window: () })
    }

    fn size(&self) -> NativeSize<u32> {
        NativeSize { width: 1, height: 1 }
    }

    fn resize_hint(&self) -> ResizeHint {
        ResizeHint { can_resize: true, ..ResizeHint::default() }
    }
}

impl EditorHandle for Unseen {
    type Window = ();
    type Error = Never;

    fn run_until_closed((): ()) -> Result<(), Never> {
        Ok(())
    }
    fn set_parent(&self, _: ParentWindowHandle, (): &()) -> Result<(), Never> {
        Ok(())
    }
    fn show(&self, (): &()) -> Result<(), Never> {
        Ok(())
    }
    fn hide(&self, (): &()) -> Result<(), Never> {
        Ok(())
    }
    fn set_size(&self, _: NativeSize<u32>, (): &()) -> Result<(), Never> {
        Ok(())
    }
    fn host_main_thread_callback(&self, (): &()) {}
    fn param_value_changed(&self, _: &str, _: f32) {}
    fn param_modulation_changed(&self, _: &str, _: f32) {}
}

/// As the framework's macro makes it, which this binary has once already.
pub static ENTRY: clap_plugin_entry = clap_plugin_entry {
    clap_version: CLAP_VERSION,
    init: Some(init),
    deinit: Some(deinit),
    get_factory: Some(factory),
};

static FACTORY: clap_plugin_factory = clap_plugin_factory {
    get_plugin_count: Some(count),
    get_plugin_descriptor: Some(descriptor),
    create_plugin: Some(create),
};

static DESCRIPTOR: OnceLock<PluginDescriptor> = OnceLock::new();

unsafe extern "C" fn init(_: *const c_char) -> bool {
    true
}

unsafe extern "C" fn deinit() {}

unsafe extern "C" fn factory(id: *const c_char) -> *const c_void {
    // SAFETY: ids are texts.
    let is_known = unsafe { CStr::from_ptr(id) } == CLAP_PLUGIN_FACTORY_ID;
    if is_known { (&raw const FACTORY).cast() } else { null() }
}

unsafe extern "C" fn count(_: *const clap_plugin_factory) -> u32 {
    1
}

unsafe extern "C" fn descriptor(_: *const clap_plugin_factory, _: u32) -> *const clap_plugin_descriptor {
    DESCRIPTOR.get_or_init(PluginDescriptor::for_plugin::<Spy>).clap_plugin_descriptor()
}

unsafe extern "C" fn create(
    _: *const clap_plugin_factory,
    host: *const clap_host,
    _: *const c_char,
) -> *const clap_plugin {
    // SAFETY: the host outlives the plugin, which is ended by its `destroy`.
    unsafe { (*Arc::into_raw(Wrapper::<Spy>::new(host))).clap_plugin.as_ptr() }
}
