use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::Duration;

use firstjack_kit::KitFile;
use nice_plug::context::gui::GuiContext;
use nice_plug_egui::baseview::{HandlerError, WindowSize};
use nice_plug_egui::{Frame, Key, KeyCapture, NiceEguiApp};

use super::extent::{Extent, Fit};
use super::keeper::Keeper;
#[cfg(windows)]
use super::parent::Parent;
use super::settings::{Changes, Settings, ZOOM};
#[cfg(target_os = "linux")]
use super::surroundings::Surroundings;
use super::system::{self, Desktop};
use super::{HostSession, Message, Model, Session, Views, apply_theme, damage};
use crate::host::params::FirstjackParams;
use crate::sound::telemetry::Telemetry;

/// Device, rate and buffer where there is no host to show them. The framework makes the plugin from nothing, so this is the process's.
pub(crate) static SOUND: OnceLock<String> = OnceLock::new();

/// Between two frames of a meter that moves.
pub(super) const FRAME: Duration = Duration::from_millis(40);

/// What noise allows is found within this many seconds of the last sound or edit, and looked for so often.
const FOUND_SECONDS: f64 = 2.0;
const LOOK: Duration = Duration::from_millis(250);

/// What the window shows. It outlives the window: undo is still there when it opens again.
pub struct EditorApp {
    params: Arc<FirstjackParams>,
    telemetry: Arc<Telemetry>,
    model: Option<Model>,
    views: Views,
    settings: Settings,
    keeper: Arc<Keeper>,
    extent: Arc<Extent>,
    fit: Fit,
    /// When anything moved last, on the window's clock.
    moved_seconds: f64,
    /// As far as it is known.
    desktop: Desktop,
    /// In pixels, as the display was told.
    #[cfg(target_os = "linux")]
    smallest: Option<(i32, i32)>,
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
    #[cfg(windows)]
    parent: Option<Parent>,
}

impl EditorApp {
    /// Of an instance.
    pub fn new(params: Arc<FirstjackParams>, telemetry: Arc<Telemetry>) -> Self {
        let settings = Settings::default();
        Self {
            params,
            telemetry,
            model: None,
            views: Views::with_kit(KitFile::find(None).ok()),
            settings,
            keeper: Arc::new(Keeper::new(Settings::path())),
            extent: Arc::default(),
            fit: Fit::new(settings.zoom),
            moved_seconds: f64::NEG_INFINITY,
            desktop: Desktop::default(),
            #[cfg(target_os = "linux")]
            smallest: None,
            open: Open::default(),
        }
    }

    /// What is to be ended when the window closes, what is remembered of it, and how large it is.
    pub(super) fn shared(&self) -> (Open, Arc<Keeper>, Arc<Extent>) {
        (self.open.clone(), self.keeper.clone(), self.extent.clone())
    }

    /// A window is about to open with what is remembered of windows before.
    pub(super) fn begin(&mut self, settings: Settings) {
        self.settings = settings;
        self.fit = Fit::new(settings.zoom);
        self.extent.set_zoom(settings.zoom);
        #[cfg(target_os = "linux")]
        {
            self.smallest = None;
        }
    }

    /// Size, zoom and theme are kept as they change.
    fn keep(&mut self, settings: Settings) {
        let changes = Changes::between(&self.settings, &settings);
        if !changes.is_empty() {
            self.keeper.change(changes);
            self.extent.set_zoom(settings.zoom);
            self.settings = settings;
        }
    }

    /// What the desktop wants, and what window managers should know.
    #[cfg(target_os = "linux")]
    fn look_around(&mut self, ctx: &egui::Context, window: WindowSize, surroundings: &Surroundings) {
        let desktop = surroundings.desktop();
        if self.desktop != desktop {
            self.desktop = desktop;
            self.dress(ctx);
            // The library asks for the system's theme before a frame.
            ctx.request_repaint();
        }
        let smallest = self.extent.smallest().to_physical::<i32>(window.scale_factor).into();
        if self.smallest.replace(smallest) != Some(smallest) {
            surroundings.set_smallest(smallest);
        }
    }

    /// In the theme that was chosen, with as much motion as the system wants.
    fn dress(&self, ctx: &egui::Context) {
        apply_theme(ctx, self.settings.theme);
        system::tell(ctx, self.desktop);
    }

    fn choose_zoom(&mut self, zoom: f32) {
        self.fit.choose();
        self.keep(Settings { zoom: zoom.clamp(ZOOM.0, ZOOM.1), ..self.settings });
    }

    fn frame(&mut self, ui: &mut egui::Ui, session: &mut HostSession) {
        let Some(model) = &mut self.model else { return };
        model.refresh(session);
        let mut out: Vec<Message> = Vec::new();
        let before = session.readings().version;
        let now_seconds = ui.input(|input| input.time);
        session.listen(now_seconds);
        if let Some(sound) = SOUND.get() {
            egui::Panel::bottom("sound").show(ui, |ui| ui.add(egui::Label::new(sound).truncate()));
        }
        self.views.show(ui, model, session.readings(), &mut out);
        // While meters move they are drawn; then they rest.
        let moves = session.readings().version != before;
        if moves {
            ui.ctx().request_repaint_after(FRAME);
        }
        if !out.is_empty() {
            ui.ctx().request_repaint();
        }
        if moves || !out.is_empty() {
            self.moved_seconds = now_seconds;
        }
        if model.asks_noise() && now_seconds - self.moved_seconds < FOUND_SECONDS {
            ui.ctx().request_repaint_after(LOOK);
        }
        for message in out {
            match message {
                Message::Theme(theme) => {
                    self.keep(Settings { theme, ..self.settings });
                    self.dress(ui.ctx());
                }
                Message::Zoom(zoom) => {
                    self.choose_zoom(zoom);
                    ui.ctx().set_zoom_factor(zoom);
                }
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
            model.notices.extend(session.problem());
        }
        self.dress(&egui_ctx);
        damage::watch(&egui_ctx, frame);
        self.open.set(Opened {
            session,
            #[cfg(target_os = "linux")]
            surroundings: Surroundings::of(frame.baseview_window(), {
                let ctx = egui_ctx.clone();
                move || ctx.request_repaint()
            }),
            #[cfg(windows)]
            parent: Parent::of(frame.baseview_window()),
        });
        frame.set_key_capture(keys(false));
        Ok(())
    }

    fn ui(&mut self, ui: &mut egui::Ui, frame: &mut Frame) {
        let typing = ui.ctx().text_edit_focused();
        frame.set_key_capture(keys(typing));
        let open = self.open.clone();
        let window = frame.baseview_window().size();
        self.fit.follow(ui.ctx(), window, &self.settings);
        let mut opened = open.0.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(opened) = &mut *opened else { return };
        #[cfg(target_os = "linux")]
        if let Some(surroundings) = &mut opened.surroundings {
            ui.input(|input| surroundings.give_back(&input.raw.events, typing));
            // The next exposure draws it.
            let can_be_seen = surroundings.can_be_seen();
            self.telemetry.set_open(can_be_seen);
            if !can_be_seen {
                return;
            }
            self.look_around(ui.ctx(), window, surroundings);
        }
        #[cfg(windows)]
        if let Some(parent) = &mut opened.parent {
            ui.input(|input| parent.give_back(&input.raw.events, typing));
        }
        if !typing {
            leave_space(ui.ctx());
        }
        self.frame(ui, &mut opened.session);
    }

    fn resized(&mut self, new_size: WindowSize) {
        // The framework counts the zoom among the scale.
        let (size, scale) = (new_size.physical, new_size.scale_factor / f64::from(self.fit.zoom()));
        self.extent.set(size, scale);
        if let Some(settings) = self.fit.chosen(size, scale, &self.settings) {
            self.keep(settings);
        }
        self.fit.settle();
    }

    fn zoom_factor_changed(&mut self, zoom_factor: f32) {
        // By the keyboard, which the library listens to.
        if self.fit.is_choice(zoom_factor) {
            self.choose_zoom(zoom_factor);
        }
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
