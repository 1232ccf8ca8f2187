//! The whole window.

mod focus;
mod instrument;
mod longer;
mod pages;
mod presets;

use egui::{Ui, UiBuilder, vec2};
use egui_kittest::Harness;
use firstjack_kit::KitFile;
use firstjack_plugin::editor::{Message, Model, Session, Theme, Views, apply_theme};

use crate::fake::Fake;

pub const PASSIVE: &str = include_str!("../../../../presets/passive.toml");
/// The smallest size in points.
pub const SMALL: (f32, f32) = (720.0, 480.0);
/// As large as the drawings are.
pub const LARGE: (f32, f32) = (1120.0, 720.0);
/// The tabs.
pub const PAGES: [&str; 3] = ["Curves", "Strings", "Blind test"];

/// The model, what lies behind it, and all views.
pub struct Window {
    pub session: Fake,
    pub model: Model,
    views: Views,
}

impl Window {
    pub fn new(preset: &str, heard: Option<usize>) -> Self {
        let mut session = Fake::new(preset);
        session.document.heard = heard;
        Self::of(session)
    }

    /// Of what lies behind it.
    pub fn of(mut session: Fake) -> Self {
        let model = Model::new(&mut session);
        Self { session, model, views: Views::default() }
    }

    /// With menus that offer what lies beside a kit.
    pub fn beside(self, kit: KitFile) -> Self {
        Self { views: Views::with_kit(Some(kit)), ..self }
    }

    pub fn show(&mut self, ui: &mut Ui) {
        if !has_letters(ui.ctx()) {
            return;
        }
        let mut out: Vec<Message> = Vec::new();
        let readings = self.session.readings().clone();
        self.views.show(&mut to_the_edges(ui), &self.model, &readings, &mut out);
        out.into_iter().for_each(|message| self.model.update(message, &mut self.session));
    }
}

/// Whether the letters are there, which are asked for otherwise: a window has them before its first frame, a harness does not.
pub fn has_letters(ctx: &egui::Context) -> bool {
    let family = egui::FontFamily::Name("semibold".into());
    let has = ctx.fonts(|fonts| fonts.definitions().families.contains_key(&family));
    if !has {
        ctx.set_fonts(firstjack_plugin::editor::views::fonts());
        ctx.request_repaint();
    }
    has
}

/// As large as the window, without the harness' margin.
pub fn to_the_edges(ui: &mut Ui) -> Ui {
    let rect = ui.ctx().content_rect();
    let mut whole = ui.new_child(UiBuilder::new().max_rect(rect));
    whole.set_clip_rect(rect);
    whole
}

/// A window of a preset, settled.
pub fn window(
    preset: &str,
    heard: Option<usize>,
    size: (f32, f32),
    theme: Theme,
) -> Harness<'static, Window> {
    let mut harness = Harness::builder()
        .with_size(vec2(size.0, size.1))
        .with_step_dt(1.0 / 60.0)
        .build_ui_state(|ui, window: &mut Window| window.show(ui), Window::new(preset, heard));
    apply(&mut harness, theme);
    harness
}

/// Puts a theme to work, and waits for it.
pub fn apply(harness: &mut Harness<'_, Window>, theme: Theme) {
    apply_theme(&harness.ctx, theme);
    harness.run_steps(3);
}
