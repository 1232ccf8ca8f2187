//! Where things are in a window: the same views, laid out by another frame of the library, say it by their names.

use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use firstjack_plugin::editor::{Message, Model, Session as _, Theme, Views, apply_theme};

use crate::fake::Fake;

/// The views of the courtyard.
pub struct Plan(Harness<'static, Laid>);

struct Laid {
    session: Fake,
    model: Model,
    views: Views,
    /// Letters are there from the frame after the one that they are given in.
    is_dressed: bool,
}

impl Laid {
    fn show(&mut self, ui: &mut egui::Ui) {
        if !std::mem::replace(&mut self.is_dressed, true) {
            apply_theme(ui.ctx(), Theme::System);
            return;
        }
        let mut out: Vec<Message> = Vec::new();
        self.model.refresh(&mut self.session);
        let readings = self.session.readings().clone();
        self.views.show(ui, &self.model, &readings, &mut out);
        out.into_iter().for_each(|message| self.model.update(message, &mut self.session));
    }
}

impl Plan {
    /// As a fresh instance shows it, in points that are pixels.
    pub fn new() -> Self {
        Self::of(Fake::courtyard(), crate::display::SIZE)
    }

    /// As an instance of that session shows it, in a window of that size.
    pub fn of(mut session: Fake, (width, height): (u16, u16)) -> Self {
        let model = Model::new(&mut session);
        let mut harness =
            Harness::builder().with_size(egui::vec2(f32::from(width), f32::from(height))).build_ui_state(
                |ui, laid: &mut Laid| laid.show(ui),
                Laid { session, model, views: Views::default(), is_dressed: false },
            );
        harness.run_steps(3);
        Self(harness)
    }

    /// As it is after its host has changed something.
    pub fn set(&mut self, change: impl FnOnce(&mut Fake)) {
        change(&mut self.0.state_mut().session);
        self.0.run_steps(2);
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

    /// The middle of the one of just this name.
    pub fn the(&self, name: &str) -> (i16, i16) {
        pixels(self.0.get_by_label(name).rect().center())
    }

    /// The middle of the one whose name begins with this.
    pub fn beginning(&self, name: &str) -> (i16, i16) {
        let mut all = self.0.query_all_by_label_contains(name);
        let found = all.find(|node| begins(node, name));
        let middle = found.unwrap_or_else(|| panic!("nothing is called '{name}...'")).rect().center();
        pixels(middle)
    }

    /// So many points inside of the left of the one whose name begins with this.
    pub fn left_of(&self, name: &str, inside: f32) -> (i16, i16) {
        let mut all = self.0.query_all_by_label_contains(name);
        let rect = all.find(|node| begins(node, name)).unwrap_or_else(|| panic!("no '{name}...'")).rect();
        pixels(rect.left_center() + egui::vec2(inside, 0.0))
    }

    /// As it is after a click on the one of just this name.
    pub fn press(&mut self, name: &str) -> (i16, i16) {
        let at = self.the(name);
        self.0.get_by_label(name).click();
        self.0.run_steps(3);
        at
    }

    /// As it is after a click on the one whose name begins with this.
    pub fn press_beginning(&mut self, name: &str) -> (i16, i16) {
        let at = self.beginning(name);
        self.0.query_all_by_label_contains(name).find(|node| begins(node, name)).unwrap().click();
        self.0.run_steps(3);
        at
    }

    /// The middle of the field of this name.
    pub fn field(&self, name: &str) -> (i16, i16) {
        pixels(self.field_node(name).rect().center())
    }

    /// As it is after something was written there.
    pub fn write(&mut self, name: &str, text: &str) {
        self.field_node(name).focus();
        self.0.run_steps(2);
        self.field_node(name).type_text(text);
        self.0.run_steps(3);
    }

    fn field_node<'a>(&'a self, name: &'a str) -> egui_kittest::Node<'a> {
        let mut all = self.0.query_all_by_label(name);
        let found = all.find(|node| node.accesskit_node().is_text_input());
        found.unwrap_or_else(|| panic!("no field is called '{name}'"))
    }

    /// As it is after a click there.
    pub fn click(&mut self, name: &str) -> (i16, i16) {
        let at = self.at(name);
        self.0.get_by_label_contains(name).click();
        self.0.run_steps(3);
        at
    }
}

fn begins(node: &egui_kittest::Node<'_>, name: &str) -> bool {
    node.accesskit_node().label().is_some_and(|label| label.starts_with(name))
}

#[expect(clippy::cast_possible_truncation, reason = "pixels of a window")]
fn pixels(at: egui::Pos2) -> (i16, i16) {
    (at.x.round() as i16, at.y.round() as i16)
}
