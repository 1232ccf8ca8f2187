//! The window as the framework wants it.

use std::error::Error;
use std::sync::Arc;

use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::{LogicalSize, NativeSize};
use nice_plug::editor::{EditorHandle, HostMethods, SizeConstraints, SpawnedEditor};
use nice_plug::plugin::TrackInfo;
use nice_plug::prelude::*;
use nice_plug_egui::baseview::Window;
use nice_plug_egui::{
    EguiEditor, EguiEditorHandle, EguiEditorState, EguiNiceSettings, RepaintNotifier, create_egui_editor,
};

use super::EditorApp;
use super::app::{FRAME, Open};
use super::settings::{SMALLEST, Settings};

/// The framework's editor, which tells the host the size of the window as it is: the framework's own leaves the zoom out.
pub struct FirstjackEditor {
    inner: EguiEditor<EditorApp>,
    state: Arc<EguiEditorState>,
    open: Open,
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
        let open = app.open();
        create_egui_editor(state.clone(), repaint, settings, app).map(|inner| Self { inner, state, open })
    }
}

impl Editor for FirstjackEditor {
    type Handle = FirstjackHandle;

    fn spawn(
        &self,
        parent: Option<ParentWindowHandle>,
        wait_for_parent: bool,
        fallback_scale_factor: Option<f64>,
        gui_context: GuiContext,
        host: Option<HostMethods>,
    ) -> Result<SpawnedEditor<Self::Handle>, Box<dyn Error>> {
        let SpawnedEditor { handle, window } =
            self.inner.spawn(parent, wait_for_parent, fallback_scale_factor, gui_context, host)?;
        Ok(SpawnedEditor { handle: FirstjackHandle { inner: handle, open: self.open.clone() }, window })
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

/// The framework's handle of an open window, which ends the session when the host closes it.
pub struct FirstjackHandle {
    inner: EguiEditorHandle,
    open: Open,
}

impl Drop for FirstjackHandle {
    fn drop(&mut self) {
        self.open.end();
    }
}

impl EditorHandle for FirstjackHandle {
    type Window = Window;
    type Error = <EguiEditorHandle as EditorHandle>::Error;

    fn run_until_closed(window: Window) -> Result<(), Self::Error> {
        EguiEditorHandle::run_until_closed(window)
    }

    fn set_parent(&self, parent: ParentWindowHandle, window: &Window) -> Result<(), Self::Error> {
        self.inner.set_parent(parent, window)
    }

    fn show(&self, window: &Window) -> Result<(), Self::Error> {
        self.inner.show(window)
    }

    fn hide(&self, window: &Window) -> Result<(), Self::Error> {
        self.inner.hide(window)
    }

    fn host_main_thread_callback(&self, window: &Window) {
        self.inner.host_main_thread_callback(window);
    }

    fn set_size(&self, new_size: NativeSize<u32>, window: &Window) -> Result<(), Self::Error> {
        self.inner.set_size(new_size, window)
    }

    fn set_fallback_scale_factor(&self, scale_factor: f64, window: &Window) -> Result<(), Self::Error> {
        self.inner.set_fallback_scale_factor(scale_factor, window)
    }

    fn adjust_size(&self, new_size: NativeSize<u32>, window: &Window) -> Option<NativeSize<u32>> {
        self.inner.adjust_size(new_size, window)
    }

    fn on_virtual_key_from_host(&self, key: VirtualKeyCode, is_down: bool, modifiers: Modifiers) -> bool {
        self.inner.on_virtual_key_from_host(key, is_down, modifiers)
    }

    fn state_changed(&self) {
        self.inner.state_changed();
    }

    fn param_value_changed(&self, id: &str, normalized_value: f32) {
        self.inner.param_value_changed(id, normalized_value);
    }

    fn param_modulation_changed(&self, id: &str, modulation_offset: f32) {
        self.inner.param_modulation_changed(id, modulation_offset);
    }
}
