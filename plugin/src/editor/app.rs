use std::path::PathBuf;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::Duration;

use firstjack_kit::KitFile;
use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::*;
use nice_plug_egui::baseview::{HandlerError, WindowSize};
use nice_plug_egui::{Frame, Key, KeyCapture, NiceEguiApp};

use super::settings::Settings;
#[cfg(target_os = "linux")]
use super::surroundings::Surroundings;
use super::{HostSession, Message, Model, Session, Views, apply_theme};
use crate::host::params::FirstjackParams;
use crate::sound::telemetry::Telemetry;

/// Device, rate and buffer where there is no host to show them. The framework makes the plugin from nothing, so this is the process's.
pub(crate) static SOUND: OnceLock<String> = OnceLock::new();

/// Between two frames of a meter that moves.
pub(super) const FRAME: Duration = Duration::from_millis(33);

/// What the window shows. It outlives the window: undo is still there when it opens again.
pub struct EditorApp {
    params: Arc<FirstjackParams>,
    telemetry: Arc<Telemetry>,
    model: Option<Model>,
    views: Views,
    pub(super) settings: Settings,
    /// Where settings are kept.
    path: Option<PathBuf>,
    open: Open,
}

/// What there is while a window is open; empty otherwise.
#[derive(Clone, Default)]
pub(super) struct Open(Arc<Mutex<Option<Opened>>>);

impl Open {
    fn set(&self, opened: Opened) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = Some(opened);
    }

    /// Ends the session on the thread of the caller, the host's: a window on a thread of its own closes some time later, which is
    /// too late to tell the host that a gesture has ended.
    pub fn end(&self) {
        let opened = if cfg!(target_os = "linux") {
            self.0.lock().unwrap_or_else(PoisonError::into_inner).take()
        } else {
            // There the window has no thread of its own: if it is drawing, it does so further up the stack.
            self.0.try_lock().ok().and_then(|mut open| open.take())
        };
        drop(opened);
    }
}

struct Opened {
    session: HostSession,
    #[cfg(target_os = "linux")]
    surroundings: Option<Surroundings>,
}

impl EditorApp {
    /// Of an instance, with what is remembered of windows before.
    pub fn new(params: Arc<FirstjackParams>, telemetry: Arc<Telemetry>) -> Self {
        let path = Settings::path();
        let settings = path.as_deref().map(Settings::load).unwrap_or_default();
        let (views, open) = (Views::with_kit(KitFile::find(None).ok()), Open::default());
        Self { params, telemetry, model: None, views, settings, path, open }
    }

    /// What is to be ended when the window closes.
    pub(super) fn open(&self) -> Open {
        self.open.clone()
    }

    /// Size, zoom and theme are kept as soon as they change, since closing is not told.
    fn keep(&self) {
        if let Some(path) = &self.path
            && let Err(error) = self.settings.save(path)
        {
            nice_warn!("The window's size is not remembered: {error}");
        }
    }

    fn frame(&mut self, ui: &mut egui::Ui, session: &mut HostSession) {
        let Some(model) = &mut self.model else { return };
        model.refresh(session);
        let mut out: Vec<Message> = Vec::new();
        let before = session.readings().version;
        session.listen(ui.input(|input| input.time));
        if let Some(sound) = SOUND.get() {
            egui::Panel::bottom("sound").show(ui, |ui| ui.add(egui::Label::new(sound).truncate()));
        }
        self.views.show(ui, model, session.readings(), &mut out);
        // While meters move they are drawn; then they rest.
        if session.readings().version != before {
            ui.ctx().request_repaint_after(FRAME);
        }
        if !out.is_empty() {
            ui.ctx().request_repaint();
        }
        for message in out {
            match message {
                Message::Theme(theme) => {
                    self.settings.theme = theme;
                    apply_theme(ui.ctx(), theme);
                    self.keep();
                }
                Message::Zoom(zoom) => ui.ctx().set_zoom_factor(zoom),
                message => {
                    if let Some(model) = &mut self.model {
                        model.update(message, session);
                    }
                }
            }
        }
    }
}

impl NiceEguiApp for EditorApp {
    fn build(
        &mut self,
        egui_ctx: egui::Context,
        nice_gui_ctx: GuiContext,
        frame: &mut Frame,
    ) -> Result<(), HandlerError> {
        let mut session = HostSession::new(self.params.clone(), nice_gui_ctx, self.telemetry.clone());
        let model = self.model.get_or_insert_with(|| Model::new(&mut session));
        model.refresh(&mut session);
        if model.notices.is_empty() {
            model.notices.extend(self.params.circuit_problem());
        }
        apply_theme(&egui_ctx, self.settings.theme);
        self.open.set(Opened {
            session,
            #[cfg(target_os = "linux")]
            surroundings: Surroundings::of(frame.baseview_window()),
        });
        frame.set_key_capture(keys(false));
        Ok(())
    }

    fn ui(&mut self, ui: &mut egui::Ui, frame: &mut Frame) {
        let typing = ui.ctx().text_edit_focused();
        frame.set_key_capture(keys(typing));
        let open = self.open();
        let mut opened = open.0.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(opened) = &mut *opened else { return };
        #[cfg(target_os = "linux")]
        if let Some(surroundings) = &mut opened.surroundings {
            if !typing {
                ui.input(|input| surroundings.give_back(&input.raw.events));
            }
            // The next exposure draws it.
            let can_be_seen = surroundings.can_be_seen();
            self.telemetry.set_open(can_be_seen);
            if !can_be_seen {
                return;
            }
        }
        if !typing {
            leave_space(ui.ctx());
        }
        self.frame(ui, &mut opened.session);
    }

    fn resized(&mut self, new_size: WindowSize) {
        #[expect(clippy::cast_possible_truncation, reason = "thousands of points")]
        let (width, height) = (new_size.logical.width as f32, new_size.logical.height as f32);
        if (width, height) != (self.settings.width, self.settings.height) {
            self.settings = Settings { width, height, ..self.settings };
            self.keep();
        }
    }

    fn zoom_factor_changed(&mut self, zoom_factor: f32) {
        self.settings.zoom = zoom_factor;
        self.keep();
    }
}

/// Keys that the host does not get. While a text is typed, all; otherwise those that lead from one control to the next, and only
/// while one has the focus.
fn keys(typing: bool) -> KeyCapture {
    if typing {
        return KeyCapture::CaptureAll;
    }
    let names = ["Tab", "Enter", "Escape", "ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight"];
    KeyCapture::CaptureKeys(names.iter().filter_map(|name| name.parse::<Key>().ok()).collect())
}

/// The space bar starts and stops the host, so it presses no button here; the enter key does.
fn leave_space(ctx: &egui::Context) {
    ctx.input_mut(|input| {
        input.events.retain(|event| match event {
            egui::Event::Key { key: egui::Key::Space, modifiers, .. } => modifiers.any(),
            egui::Event::Text(text) => text != " ",
            _ => true,
        });
    });
}
