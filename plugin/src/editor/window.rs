//! The window as the framework wants it.

use std::error::Error;
use std::sync::Arc;

use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::{LogicalSize, NativeSize};
use nice_plug::editor::{HostMethods, SizeConstraints, SpawnedEditor};
use nice_plug::plugin::TrackInfo;
use nice_plug::prelude::*;
use nice_plug_egui::{
    EguiEditor, EguiEditorHandle, EguiEditorState, EguiNiceSettings, RepaintNotifier, create_egui_editor,
};

use super::EditorApp;
use super::app::FRAME;
use super::settings::{SMALLEST, Settings};

/// The framework's editor, which tells the host the size of the window as it is: the framework's own leaves the zoom out.
pub struct FirstjackEditor {
    inner: EguiEditor<EditorApp>,
    state: Arc<EguiEditorState>,
}

impl FirstjackEditor {
    /// Of an app; `repaint` asks for a frame from any thread.
    pub fn new(app: EditorApp, repaint: RepaintNotifier) -> Option<Self> {
        let Settings { width, height, zoom, .. } = app.settings;
        let state = EguiEditorState::from_size(LogicalSize::new(f64::from(width), f64::from(height)), zoom);
        let smallest = LogicalSize::new(SMALLEST.0 * zoom, SMALLEST.1 * zoom);
        let hint = ResizeHint {
            size_constraints: SizeConstraints::Logical { min_size: Some(smallest), max_size: None },
            ..ResizeHint::RESIZABLE
        };
        let settings = EguiNiceSettings::new()
            .with_tile("Firstjack")
            .with_resize_hint(hint)
            .with_repaint_poll_interval(FRAME);
        create_egui_editor(state.clone(), repaint, settings, app).map(|inner| Self { inner, state })
    }
}

impl Editor for FirstjackEditor {
    type Handle = EguiEditorHandle;

    fn spawn(
        &self,
        parent: Option<ParentWindowHandle>,
        wait_for_parent: bool,
        fallback_scale_factor: Option<f64>,
        gui_context: GuiContext,
        host: Option<HostMethods>,
    ) -> Result<SpawnedEditor<Self::Handle>, Box<dyn Error>> {
        self.inner.spawn(parent, wait_for_parent, fallback_scale_factor, gui_context, host)
    }

    fn size(&self) -> NativeSize<u32> {
        let NativeSize { width, height } = self.inner.size();
        let zoom = f64::from(self.state.user_scale_factor());
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "thousands of pixels")]
        let zoomed = |pixels: u32| (f64::from(pixels) * zoom).round() as u32;
        NativeSize { width: zoomed(width), height: zoomed(height) }
    }

    fn resize_hint(&self) -> ResizeHint {
        self.inner.resize_hint()
    }

    fn track_info_updated(&self, info: TrackInfo) {
        self.inner.track_info_updated(info);
    }

    unsafe fn assume_standalone_in_process(&self) {
        // SAFETY: the caller's promise.
        unsafe { self.inner.assume_standalone_in_process() };
    }
}
