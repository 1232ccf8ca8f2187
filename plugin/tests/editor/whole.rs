//! The whole window: every page in the smallest size and larger, light and dark.

use egui::vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use firstjack_plugin::editor::{Message, Model, Session, Theme, Views, apply_theme};

use crate::views::fake::Fake;

struct Window {
    session: Fake,
    model: Model,
    views: Views,
}

impl Window {
    fn new(preset: &str, heard: Option<usize>) -> Self {
        let mut session = Fake::new(preset);
        session.document.heard = heard;
        let model = Model::new(&mut session);
        Self { session, model, views: Views::default() }
    }

    fn show(&mut self, ui: &mut egui::Ui) {
        let mut out: Vec<Message> = Vec::new();
        let readings = self.session.readings().clone();
        self.views.show(ui, &self.model, &readings, &mut out);
        out.into_iter().for_each(|message| self.model.update(message, &mut self.session));
    }
}

fn window(preset: &str, heard: Option<usize>, size: (f32, f32), theme: Theme) -> Harness<'static, Window> {
    let mut harness = Harness::builder()
        .with_size(vec2(size.0, size.1))
        .with_step_dt(1.0 / 60.0)
        .build_ui_state(|ui, window: &mut Window| window.show(ui), Window::new(preset, heard));
    apply_theme(&harness.ctx, theme);
    harness.run_steps(3);
    harness
}

fn save(harness: &mut Harness<'_, Window>, name: &str) {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("whole");
    std::fs::create_dir_all(&folder).unwrap();
    harness.render().unwrap().save(folder.join(format!("{name}.png"))).unwrap();
}

const COURTYARD: &str = include_str!("../../../presets/courtyard.toml");
const PASSIVE: &str = include_str!("../../../presets/passive.toml");
const PAGES: [&str; 5] = ["Curves", "Chain", "Strings", "Levels and meters", "Blind"];

/// Nothing sticks out of the window, and each page is there.
#[test]
fn every_page_fits() {
    for (size, theme, name) in
        [((720.0, 480.0), Theme::Light, "small-light"), ((960.0, 640.0), Theme::Dark, "large-dark")]
    {
        for (preset, heard) in [(COURTYARD, Some(3)), (PASSIVE, Some(0))] {
            let mut harness = window(preset, heard, size, theme);
            // Where there is room the chain is always there.
            let pages = PAGES.into_iter().filter(|page| size.1 < 600.0 || *page != "Chain");
            for page in pages {
                harness.get_by_label(page).click();
                harness.run_steps(3);
                let used = harness.ctx.globally_used_rect();
                assert!(
                    used.right() <= size.0 + 0.5 && used.bottom() <= size.1 + 0.5,
                    "{name}, {page}: {used:?}"
                );
                let preset_name = harness.state().model.document.preset.name.clone();
                save(&mut harness, &format!("{name}-{preset_name}-{page}"));
            }
        }
    }
}

/// The verdict of product.md follows what is clicked.
#[test]
fn a_click_hears_a_setup_and_the_verdict_follows() {
    let mut harness = window(COURTYARD, None, (720.0, 480.0), Theme::Light);
    harness.key_press(egui::Key::Num3);
    harness.run_steps(2);
    assert_eq!(harness.state().model.document.heard, Some(2));
    let verdict = &harness.state().model.figures.of(Some(2)).verdict;
    assert_eq!(verdict, "low A loses 13 dB through the tuner");
    assert!(harness.query_by_label_contains("low A loses 13 dB").is_some());
}

/// By name and by key; the space bar stays the host's.
#[test]
fn the_help_opens_and_closes() {
    let mut harness = window(COURTYARD, None, (720.0, 480.0), Theme::Light);
    for open in [true, false] {
        harness.key_press(egui::Key::F1);
        harness.run_steps(2);
        assert_eq!(harness.state().model.help, open);
    }
    harness.get_by_label("Help").click();
    harness.run_steps(3);
    assert!(harness.query_by_label_contains("Never defeat a protective earth").is_some());
    save(&mut harness, "help");
    harness.key_press(egui::Key::Escape);
    harness.run_steps(2);
    assert!(!harness.state().model.help);
}

#[test]
fn undo_takes_an_edit_back() {
    let mut harness = window(COURTYARD, Some(0), (960.0, 640.0), Theme::Dark);
    let before = harness.state().model.document.clone();
    let mut to = before.clone();
    to.preset.setups.swap(0, 1);
    let window = harness.state_mut();
    window
        .model
        .update(Message::Edit(Box::new(to), firstjack_plugin::editor::Stage::Whole), &mut window.session);
    harness.run_steps(2);
    harness.get_by_label("Undo").click();
    harness.run_steps(2);
    assert_eq!(harness.state().model.document, before);
}
