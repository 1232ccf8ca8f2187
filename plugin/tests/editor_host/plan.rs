//! Where things are in a window: the same views, laid out by another frame of the library, say it by their names.

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use firstjack_plugin::editor::{Message, Model, Session as _, Theme, Views, apply_theme};

use crate::fake::Fake;

/// The views of the courtyard.
pub struct Plan(Harness<'static, Laid>);

struct Laid {
    session: Fake,
    model: Model,
    views: Views,
}

impl Laid {
    fn show(&mut self, ui: &mut egui::Ui) {
        let mut out: Vec<Message> = Vec::new();
        let readings = self.session.readings().clone();
        self.views.show(ui, &self.model, &readings, &mut out);
        out.into_iter().for_each(|message| self.model.update(message, &mut self.session));
    }
}

impl Plan {
    /// As a fresh instance shows it, in points that are pixels.
    pub fn new() -> Self {
        let mut session = Fake::courtyard();
        let model = Model::new(&mut session);
        let (width, height) = crate::display::SIZE;
        let mut harness =
            Harness::builder().with_size(egui::vec2(f32::from(width), f32::from(height))).build_ui_state(
                |ui, laid: &mut Laid| laid.show(ui),
                Laid { session, model, views: Views::default() },
            );
        apply_theme(&harness.ctx, Theme::System);
        harness.run_steps(3);
        Self(harness)
    }

    /// Left, top, width and height of the one whose name contains this.
    pub fn place(&self, name: &str) -> [i16; 4] {
        let rect = self.0.get_by_label_contains(name).rect();
        #[expect(clippy::cast_possible_truncation, reason = "pixels of a window")]
        [rect.left(), rect.top(), rect.width(), rect.height()].map(|points| points.round() as i16)
    }

    /// The middle of it.
    pub fn at(&self, name: &str) -> (i16, i16) {
        let [left, top, width, height] = self.place(name);
        (left + width / 2, top + height / 2)
    }

    /// As it is after a click there.
    pub fn click(&mut self, name: &str) -> (i16, i16) {
        let at = self.at(name);
        self.0.get_by_label_contains(name).click();
        self.0.run_steps(3);
        at
    }
}
