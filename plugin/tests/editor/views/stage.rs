//! Views on a stage of their own, without the rest of the window.

use egui::{Context, Ui};
use egui_kittest::Harness;
use firstjack_plugin::editor::views::{
    Alarms, CurvesView, LevelsView, SetupsView, StringsView, VerdictView, apply_theme, keys,
};
use firstjack_plugin::editor::{Message, Model, Session, Theme};

use crate::fake::Fake;
use crate::whole::has_letters;

/// A model, what lies behind it, and the views of it.
pub struct App {
    pub session: Fake,
    pub model: Model,
    pub hide: bool,
    pub alarms: Alarms,
    verdict: VerdictView,
    curves: CurvesView,
    strings: StringsView,
    setups: SetupsView,
    levels: LevelsView,
}

/// What is shown of it.
#[derive(Clone, Copy)]
pub enum Shown {
    Verdict,
    Curves,
    Strings,
    Setups,
    Foot,
    /// All of them, roughly as in the window.
    All,
}

impl App {
    /// On what a session has.
    pub fn new(mut session: Fake) -> Self {
        let model = Model::new(&mut session);
        Self {
            session,
            model,
            hide: false,
            alarms: Alarms::default(),
            verdict: VerdictView,
            curves: CurvesView::default(),
            strings: StringsView,
            setups: SetupsView::default(),
            levels: LevelsView,
        }
    }

    /// One frame.
    pub fn show(&mut self, ui: &mut Ui, shown: Shown) {
        if !has_letters(ui.ctx()) {
            return;
        }
        let mut out = Vec::new();
        keys(ui.ctx(), &self.model, &mut out);
        let readings = self.session.readings().clone();
        let hide = self.hide;
        self.alarms.note(&readings);
        let model = &self.model;
        match shown {
            Shown::Verdict => self.verdict.show(ui, model, &readings, &mut self.alarms, hide, &mut out),
            Shown::Curves => self.curves.show(ui, model, &readings, hide, &mut out),
            Shown::Strings => self.strings.show(ui, model, &readings, hide, &mut out),
            Shown::Setups => self.setups.show(ui, model, &readings, hide, &mut out),
            Shown::Foot => {
                self.levels.show(ui, model, &readings, &mut out);
                self.levels.limit(ui, model, &mut out);
                self.levels.floor(ui, model, ui.max_rect().right(), &mut out);
                self.levels.allowance(ui, model, &readings, &mut out);
                self.levels.safety(ui, model, &readings, &mut self.alarms, &mut out);
            }
            Shown::All => {
                self.verdict.show(ui, model, &readings, &mut self.alarms, hide, &mut out);
                self.levels.show(ui, model, &readings, &mut out);
                egui::Panel::right("setups").resizable(false).exact_size(270.0).show(ui, |ui| {
                    self.setups.show(ui, model, &readings, hide, &mut out);
                });
                let height = 0.52 * ui.available_height();
                ui.allocate_ui(egui::vec2(ui.available_width(), height), |ui| {
                    self.curves.show(ui, model, &readings, hide, &mut out);
                });
                egui::ScrollArea::both().id_salt("strings").show(ui, |ui| {
                    self.strings.show(ui, model, &readings, hide, &mut out);
                });
            }
        }
        for message in out {
            self.do_it(message);
        }
    }

    pub fn do_it(&mut self, message: Message) {
        self.model.update(message, &mut self.session);
    }
}

/// The courtyard on a small window.
pub fn courtyard(shown: Shown) -> Harness<'static, App> {
    on(App::new(Fake::courtyard()), shown)
}

/// Any app on a small window.
pub fn on(app: App, shown: Shown) -> Harness<'static, App> {
    let draw = move |ui: &mut Ui, app: &mut App| app.show(ui, shown);
    let builder = Harness::builder().with_size(egui::vec2(720.0, 480.0)).with_step_dt(1.0 / 60.0);
    let mut harness = builder.build_ui_state(draw, app);
    apply_theme(&harness.ctx, Theme::Light);
    harness.run_steps(2);
    harness
}

/// Waits so long that a click to come does not count as a double one with those before.
pub fn wait(harness: &mut Harness<'_, App>) {
    harness.run_steps(40);
}

/// Whether anything that was drawn sticks out of the window.
pub fn fits(harness: &Harness<'_, App>) -> bool {
    let ctx: &Context = &harness.ctx;
    let used = ctx.globally_used_rect();
    ctx.viewport_rect().expand(0.5).contains_rect(used)
}
