//! What the window looks like, against pictures that are kept in `snapshots`.

use egui::{Ui, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use firstjack_plugin::editor::{BlindMessage, CurveKind, Message, Theme, apply_theme};

use crate::chain::pictures::{BLEND, PASSIVE_BOX};
use crate::chain::view::App as Chain;
use crate::fake::COURTYARD;
use crate::snapshot::compare;
use crate::views::pictures::app;
use crate::views::stage::{App, Shown};
use crate::whole::{LARGE, SMALL, Window, apply, to_the_edges, window};

/// With few setups: the picture of it stays small.
const FEW: &str = include_str!("../../../presets/blocking.toml");

/// A view alone, in a panel as large as the picture.
fn alone<S: 'static>(
    state: S,
    size: (f32, f32),
    theme: Theme,
    draw: impl Fn(&mut Ui, &mut S) + 'static,
) -> Harness<'static, S> {
    let whole = move |ui: &mut Ui, state: &mut S| {
        let mut ui = to_the_edges(ui);
        egui::CentralPanel::default().show(&mut ui, |ui| draw(ui, state));
    };
    let mut harness = Harness::builder().with_size(vec2(size.0, size.1)).build_ui_state(whole, state);
    apply_theme(&harness.ctx, theme);
    harness.run_steps(3);
    harness
}

fn view(app: App, shown: Shown, size: (f32, f32), theme: Theme) -> Harness<'static, App> {
    alone(app, size, theme, move |ui, app| app.show(ui, shown))
}

#[test]
fn the_verdict() {
    compare(&view(app(), Shown::Verdict, (720.0, 90.0), Theme::Light), "verdict-light");
}

#[test]
fn the_chain() {
    for (toml, theme, height, name) in
        [(PASSIVE_BOX, Theme::Light, 420.0, "chain-light"), (BLEND, Theme::Dark, 440.0, "chain-dark")]
    {
        let chain = Chain::new(toml);
        compare(&alone(chain, (720.0, height), theme, |ui, chain| chain.draw(ui)), name);
    }
}

#[test]
fn the_curves() {
    compare(&view(app(), Shown::Curves, (640.0, 300.0), Theme::Light), "curves-light");
    let mut changed = app();
    changed.do_it(Message::Curves(CurveKind::Change));
    compare(&view(changed, Shown::Curves, (640.0, 300.0), Theme::Dark), "curves-dark");
}

fn page(harness: &mut Harness<'_, Window>, page: &str) {
    harness.get_by_label(page).click();
    harness.run_steps(3);
    harness.remove_cursor();
    harness.run_steps(2);
}

#[test]
fn the_blind_mode() {
    let mut harness = window(COURTYARD, Some(2), SMALL, Theme::Dark);
    page(&mut harness, "Blind test");
    let window = harness.state_mut();
    let run = BlindMessage::Compare { setups: [0, 1], answers: 16, seed: 1 };
    window.model.update(Message::Blind(run), &mut window.session);
    harness.run_steps(3);
    compare(&harness, "blind-dark");
}

#[test]
fn the_smallest_window() {
    for (theme, shade) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        compare(&window(COURTYARD, Some(3), SMALL, theme), &format!("small-{shade}"));
    }
    let mut strings = window(COURTYARD, Some(3), SMALL, Theme::Light);
    page(&mut strings, "Strings");
    compare(&strings, "small-strings-light");
}

#[test]
fn a_window_with_room_for_the_chain() {
    compare(&window(COURTYARD, Some(3), LARGE, Theme::Dark), "large-dark");
}

#[test]
fn a_window_twice_as_sharp() {
    let mut harness = Harness::builder()
        .with_size(vec2(SMALL.0, SMALL.1))
        .with_pixels_per_point(2.0)
        .build_ui_state(|ui, window: &mut Window| window.show(ui), Window::new(FEW, Some(1)));
    apply(&mut harness, Theme::Light);
    compare(&harness, "small-2x-light");
}
