//! The plugin as the framework wants it: who it is, its layouts, and when what happens.

use std::sync::Arc;

use nice_plug::prelude::*;

#[cfg(feature = "editor")]
use crate::editor::{EditorApp, FirstjackEditor};
use crate::host::moment::Moment;
use crate::host::params::FirstjackParams;
use crate::host::state;
use crate::sound::MAX_CHANNELS;
use crate::sound::engine::Engine;
use crate::sound::telemetry::{Telemetry, Teller};

/// One instance.
pub struct Firstjack {
    params: Arc<FirstjackParams>,
    /// What is heard of them.
    moment: Moment,
    /// `None` before activation, and at rates that the core is not made for: sound then passes unchanged.
    engine: Option<Engine>,
    /// What a window hears.
    telemetry: Arc<Telemetry>,
    /// The end that tells it; made with the engine.
    teller: Option<Teller>,
    /// Asks the editor for a frame; real-time safe.
    #[cfg(feature = "editor")]
    repaint: nice_plug_egui::RepaintNotifier,
}

impl Default for Firstjack {
    fn default() -> Self {
        Self {
            params: Arc::new(FirstjackParams::default()),
            moment: Moment::default(),
            engine: None,
            telemetry: Arc::default(),
            teller: None,
            #[cfg(feature = "editor")]
            repaint: nice_plug_egui::RepaintNotifier::new(),
        }
    }
}

impl Firstjack {
    /// What a window hears of this instance.
    pub fn telemetry(&self) -> Arc<Telemetry> {
        self.telemetry.clone()
    }
}

/// As many channels out as in. The port names are left to the framework, which would give both ports the input's.
const fn layout(channels: u32, name: &'static str) -> AudioIOLayout {
    AudioIOLayout {
        main_input_channels: NonZeroU32::new(channels),
        main_output_channels: NonZeroU32::new(channels),
        names: PortNames { layout: Some(name), ..PortNames::const_default() },
        ..AudioIOLayout::const_default()
    }
}

impl Plugin for Firstjack {
    const NAME: &'static str = "Firstjack";
    const VENDOR: &'static str = "Firstjack";
    const URL: &'static str = "";
    const EMAIL: &'static str = "";
    const VERSION: &'static str = env!("CARGO_PKG_VERSION");
    const AUDIO_IO_LAYOUTS: &'static [AudioIOLayout] = &[layout(2, "Stereo"), layout(1, "Mono")];
    const SAMPLE_ACCURATE_AUTOMATION: bool = true;

    #[cfg(feature = "editor")]
    type Editor = FirstjackEditor;
    #[cfg(not(feature = "editor"))]
    type Editor = ();
    type SysExMessage = ();
    type BackgroundTask = ();

    fn params(&self) -> Arc<dyn Params> {
        self.params.clone()
    }

    #[cfg(feature = "editor")]
    fn editor(&mut self, _executor: AsyncExecutor<Self>) -> Option<Self::Editor> {
        let app = EditorApp::new(self.params.clone(), self.telemetry.clone());
        Some(FirstjackEditor::new(app, self.repaint.clone()))
    }

    fn filter_state(state: &mut PluginState) {
        state::repair(state);
    }

    fn activate(
        &mut self,
        audio_io_layout: &AudioIOLayout,
        buffer_config: &BufferConfig,
        _context: &mut impl ActivateContext<Self>,
    ) -> bool {
        let channels =
            audio_io_layout.main_output_channels.map_or(MAX_CHANNELS, |count| count.get() as usize);
        let news = self.params.whole.read(|| self.moment.follow(&self.params));
        let rate_hz = f64::from(buffer_config.sample_rate);
        self.teller = Some(self.telemetry.activate(rate_hz, channels));
        // Hosts take a refusal for a broken plugin, so a rate beyond reach is bridged instead.
        let (news, circuit) = (news.as_ref(), self.moment.circuit());
        self.engine = news
            .zip(circuit)
            .and_then(|(news, circuit)| Engine::new(rate_hz, channels, &news.snapshot, circuit).ok());
        if let (Some(engine), Some(circuit)) = (&mut self.engine, circuit) {
            engine.know(&self.params.music.now(), circuit);
            engine.set_offline(buffer_config.process_mode == ProcessMode::Offline);
        }
        true
    }

    fn reset(&mut self) {
        if let (Some(engine), Some(circuit)) = (&mut self.engine, self.moment.circuit()) {
            engine.reset(circuit);
        }
        self.teller.iter_mut().for_each(Teller::interrupt);
    }

    fn process(
        &mut self,
        buffer: &mut Buffer,
        _aux: &mut AuxiliaryBuffers,
        context: &mut impl ProcessContext<Self>,
    ) -> ProcessStatus {
        let news = self.moment.follow(&self.params);
        let (Some(engine), Some(circuit), Some(teller)) =
            (&mut self.engine, self.moment.circuit(), &mut self.teller)
        else {
            return ProcessStatus::Normal;
        };
        if let Some(news) = news {
            engine.set(&news.snapshot, circuit, news.has_new_circuit);
            if let Some(music) = self.moment.music().current().filter(|_| news.has_new_music) {
                engine.know(music, circuit);
            }
        }
        #[cfg(feature = "editor")]
        if teller.is_open() && is_heard(buffer.as_slice()) {
            self.repaint.request_repaint();
        }
        let transport = context.transport();
        teller.follow(transport.playing, position(transport), buffer.samples());
        engine.process_and_tell(buffer.as_slice(), circuit, teller);
        if let Some(music) = engine.news() {
            self.params.music.publish(music, self.moment.music());
        }
        status(engine.tail_seconds(), f64::from(context.transport().sample_rate))
    }
}

/// The frame of the project that a block begins with, if the host says so: beats say nothing while a tempo changes, and of a part of a block the
/// framework knows seconds only with a tempo.
fn position(transport: &Transport) -> Option<i64> {
    let seconds = transport.pos_seconds.filter(|_| transport.tempo.is_some());
    #[expect(clippy::cast_possible_truncation, reason = "a cast keeps within the range")]
    let frames = |seconds: f64| (seconds * f64::from(transport.sample_rate)).round() as i64;
    transport.pos_samples.or(seconds.map(frames))
}

/// Whether there is anything to be drawn of a block.
#[cfg(feature = "editor")]
fn is_heard(block: &[&mut [f32]]) -> bool {
    block.iter().any(|channel| channel.iter().any(|sample| *sample != 0.0))
}

/// What the host learns of the tail.
fn status(tail_seconds: f64, rate_hz: f64) -> ProcessStatus {
    let frames = (tail_seconds * rate_hz).ceil();
    if frames == 0.0 {
        ProcessStatus::Normal
    } else if frames < f64::from(i32::MAX) {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "just compared")]
        ProcessStatus::Tail(frames as u32)
    } else {
        ProcessStatus::KeepAlive
    }
}

impl ClapPlugin for Firstjack {
    const CLAP_ID: &'static str = "org.firstjack.firstjack";
    const CLAP_DESCRIPTION: Option<&'static str> =
        Some("Hear a pickup's take through another input: apply loading or undo it, level-matched");
    const CLAP_MANUAL_URL: Option<&'static str> = None;
    const CLAP_SUPPORT_URL: Option<&'static str> = None;
    const CLAP_FEATURES: &'static [ClapFeature] = &[
        ClapFeature::AudioEffect,
        ClapFeature::Filter,
        ClapFeature::Restoration,
        ClapFeature::Utility,
        ClapFeature::Stereo,
        ClapFeature::Mono,
    ];

    fn whole_state(&self) -> Option<Arc<dyn WholeState>> {
        Some(self.params.clone())
    }
}

impl Vst3Plugin for Firstjack {
    const VST3_CLASS_ID: [u8; 16] = *b"FirstjackLoading";
    const VST3_SUBCATEGORIES: &'static [Vst3SubCategory] =
        &[Vst3SubCategory::Fx, Vst3SubCategory::Filter, Vst3SubCategory::Restoration, Vst3SubCategory::Tools];

    fn whole_state(&self) -> Option<Arc<dyn WholeState>> {
        Some(self.params.clone())
    }
}
