//! The window as the framework wants it.

use std::cell::Cell;
use std::error::Error;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::{LogicalSize, NativeSize};
use nice_plug::editor::{EditorHandle, HostMethods, SizeConstraints, SpawnedEditor};
use nice_plug::prelude::*;
use nice_plug_egui::baseview::{self, HandlerError, Window, WindowSize};
use nice_plug_egui::{
    EguiEditorHandle, EguiEditorState, EguiNiceSettings, Frame, NiceEguiApp, RepaintNotifier,
    create_egui_editor,
};

use super::EditorApp;
use super::app::{FRAME, Open};
use super::extent::Extent;
use super::keeper::Keeper;
use super::settings::Settings;

/// The framework's editor, made anew for each window, so that it opens with what is remembered by then, and tells the host the size of the
/// window as it is: the framework's own leaves the zoom out, or counts it twice.
pub struct FirstjackEditor {
    app: App,
    repaint: RepaintNotifier,
    open: Open,
    keeper: Arc<Keeper>,
    extent: Arc<Extent>,
}

/// An app that outlives the framework's editor.
#[derive(Clone)]
struct App(Arc<Mutex<EditorApp>>);

impl App {
    fn lock(&self) -> MutexGuard<'_, EditorApp> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl NiceEguiApp for App {
    fn build(
        &mut self,
        egui_ctx: egui::Context,
        nice_gui_ctx: GuiContext,
        frame: &mut Frame,
    ) -> Result<(), HandlerError> {
        self.lock().build(egui_ctx, nice_gui_ctx, frame)
    }

    fn ui(&mut self, ui: &mut egui::Ui, frame: &mut Frame) {
        self.lock().ui(ui, frame);
    }

    fn resized(&mut self, new_size: WindowSize) {
        self.lock().resized(new_size);
    }

    fn zoom_factor_changed(&mut self, zoom_factor: f32) {
        self.lock().zoom_factor_changed(zoom_factor);
    }
}

impl FirstjackEditor {
    /// Of an app; `repaint` asks for a frame from any thread.
    pub fn new(app: EditorApp, repaint: RepaintNotifier) -> Self {
        let (open, keeper, extent) = app.shared();
        Self { app: App(Arc::new(Mutex::new(app))), repaint, open, keeper, extent }
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
        let settings = self.keeper.settings();
        self.app.lock().begin(settings);
        let Settings { width, height, zoom, .. } = settings;
        let state = EguiEditorState::from_size(LogicalSize::new(f64::from(width), f64::from(height)), zoom);
        // The smallest size is ours: the framework's stays what it was when the window opened.
        let framework = EguiNiceSettings::new()
            .with_tile("Firstjack")
            .with_resize_hint(ResizeHint::RESIZABLE)
            .with_repaint_poll_interval(FRAME);
        let inner = create_egui_editor(state, self.repaint.clone(), framework, self.app.clone())
            .ok_or("the framework has no editor")?;
        let SpawnedEditor { handle, window } =
            inner.spawn(parent, wait_for_parent, fallback_scale_factor, gui_context, host)?;
        let size = window.size();
        self.extent.set(size.physical, size.scale_factor);
        let handle = FirstjackHandle {
            inner: handle,
            open: self.open.clone(),
            keeper: self.keeper.clone(),
            extent: self.extent.clone(),
            is_calling_back: Cell::new(false),
        };
        Ok(SpawnedEditor { handle, window })
    }

    fn size(&self) -> NativeSize<u32> {
        self.extent.native().unwrap_or_else(|| self.extent.of(&self.keeper.settings()))
    }

    fn resize_hint(&self) -> ResizeHint {
        hint(&self.extent)
    }

    unsafe fn assume_standalone_in_process(&self) {
        // SAFETY: the caller's promise.
        unsafe { baseview::assume_standalone_in_process() };
    }
}

/// Of any size from the smallest at the zoom on.
fn hint(extent: &Extent) -> ResizeHint {
    ResizeHint {
        size_constraints: SizeConstraints::Logical { min_size: Some(extent.smallest()), max_size: None },
        ..ResizeHint::RESIZABLE
    }
}

/// The framework's handle of an open window, which ends the session when the host closes it.
pub struct FirstjackHandle {
    inner: EguiEditorHandle,
    open: Open,
    keeper: Arc<Keeper>,
    extent: Arc<Extent>,
    is_calling_back: Cell<bool>,
}

impl Drop for FirstjackHandle {
    fn drop(&mut self) {
        self.open.end();
        self.keeper.close();
        self.extent.clear();
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
        // A host that is asked for a size may come back here before it answers, which the framework would not survive. It does then
        // what is left when it comes out again.
        if !self.is_calling_back.replace(true) {
            self.inner.host_main_thread_callback(window);
            self.is_calling_back.set(false);
        }
    }

    fn set_size(&self, new_size: NativeSize<u32>, window: &Window) -> Result<(), Self::Error> {
        self.inner.set_size(new_size, window)
    }

    fn set_fallback_scale_factor(&self, scale_factor: f64, window: &Window) -> Result<(), Self::Error> {
        self.inner.set_fallback_scale_factor(scale_factor, window)
    }

    fn adjust_size(&self, new_size: NativeSize<u32>, window: &Window) -> Option<NativeSize<u32>> {
        let now = window.size();
        let native = NativeSize::from_logical_or_physical(now.logical, now.physical);
        Some(hint(&self.extent).adjust_size(new_size, native, now.scale_factor))
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
