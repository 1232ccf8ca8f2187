//! What the window looks like, against pictures that are kept in `snapshots`.

use dsp_core::processor::GuardCause;
use dsp_core::response::Floor;
use egui::{Ui, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use firstjack_plugin::editor::{Allowance, BlindMessage, CurveKind, Message, Theme, apply_theme};

use crate::chain::pictures::{BLEND, PASSIVE_BOX};
use crate::chain::view::App as Chain;
use crate::fake::{COURTYARD, Fake};
use crate::snapshot::{compare, save};
use crate::views::allowance::{UNDO, by_hum};
use crate::views::pictures::app;
use crate::views::stage::{App, Shown};
use crate::whole::{LARGE, PASSIVE, SMALL, Window, apply, to_the_edges, window};

const BLEND_PRESET: &str = include_str!("../../../presets/blend.toml");

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
fn a_window_as_large_as_the_drawings() {
    for (theme, shade) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        compare(&window(COURTYARD, Some(3), LARGE, theme), &format!("large-{shade}"));
    }
}

fn on(window: Window, size: (f32, f32), scale: f32, theme: Theme) -> Harness<'static, Window> {
    let mut harness = Harness::builder()
        .with_size(vec2(size.0, size.1))
        .with_step_dt(1.0 / 60.0)
        .with_pixels_per_point(scale)
        .build_ui_state(|ui, window: &mut Window| window.show(ui), window);
    apply(&mut harness, theme);
    harness
}

/// Nothing heard, a guard that closed, bypass and something to be read.
#[test]
fn an_empty_window_and_one_with_trouble() {
    let empty = "version = 5\nname = 'Empty'\npickup = { capacitance = '680p' }\ninstrument = 'guitarron'\n\
                 [[setup]]\nname = 'nothing'\nload = 'none'\n";
    compare(&window(empty, None, SMALL, Theme::Light), "empty-light");
    let mut session = Fake::courtyard().hearing(3);
    session.document.bypass = true;
    session.readings.guard_closed = true;
    session.readings.guard_closures = 1;
    session.readings.guard_cause = Some(GuardCause::Runaway);
    session.readings.output.true_peak_db = 3.2;
    let mut window = Window::of(session);
    window.model.notices.push("a notice that has not been read".to_owned());
    compare(&on(window, SMALL, 1.0, Theme::Dark), "trouble-dark");
}

/// A take that is restored, with a floor where it should be, and with one that costs a string too much.
#[test]
fn a_floor_under_what_is_restored() {
    let text = "version = 5\nname = 'Restored'\npickup = '680p'\ninstrument = 'bass'\nrecorded = '1M'\n\
                [[setup]]\nname = 'bare'\nload = 'none'\n[[setup]]\nname = 'tuner'\nload = '2M2'\n";
    for (hz, size, theme, name) in [
        (20.6, SMALL, Theme::Light, "floor-small-light"),
        (20.6, LARGE, Theme::Dark, "floor-large-dark"),
        (41.0, SMALL, Theme::Dark, "floor-dear-small-dark"),
        (41.0, LARGE, Theme::Light, "floor-dear-large-light"),
    ] {
        let mut session = Fake::new(text).hearing(0);
        session.document.floor = Some(Floor { hz });
        session.readings.matching_db = [Some(-12.3); 6];
        session.readings.learned_seconds = 19.0;
        let mut window = Window::of(session);
        window.model.curves = CurveKind::Change;
        compare(&on(window, size, 1.0, theme), name);
    }
}

#[test]
fn a_blend_on_a_mono_track() {
    let mut session = Fake::new(BLEND_PRESET).hearing(2);
    session.readings.channels = 1;
    compare(&on(Window::of(session), SMALL, 1.0, Theme::Light), "blend-light");
}

#[test]
fn a_window_twice_as_sharp() {
    let window = Window::new(PASSIVE, Some(0));
    compare(&on(window, SMALL, 2.0, Theme::Light), "small-2x-light");
}

/// What noise allows an undo, offered and not.
#[test]
fn what_noise_allows() {
    for (size, theme, allowance, name) in [
        (SMALL, Theme::Light, by_hum(17.9), "noise-small-light"),
        (SMALL, Theme::Dark, Allowance::Drowned, "noise-small-dark"),
        (LARGE, Theme::Dark, by_hum(17.9), "noise-large-dark"),
    ] {
        let mut session = Fake::new(UNDO).hearing(0);
        session.readings.allowance = allowance;
        compare(&on(Window::of(session), size, 1.0, theme), name);
    }
}

/// The same, to be looked at: where all is in one row, and beside which track is which.
#[test]
fn what_noise_allows_to_be_looked_at() {
    for (preset, of) in [(UNDO, "one"), (BLEND_PRESET, "blend")] {
        for (size, name) in [(SMALL, "small"), (LARGE, "large"), ((1600.0, 1000.0), "huge")] {
            for allowance in
                [by_hum(17.9), by_hum(1.0), Allowance::Stands, Allowance::Listening { seconds: 4.0 }]
            {
                let told =
                    format!("{allowance:?}").chars().take_while(|c| c.is_alphanumeric()).collect::<String>();
                let mut session = Fake::new(preset).hearing(0);
                (session.readings.channels, session.readings.allowance) = (2, allowance);
                let harness = on(Window::of(session), size, 1.0, Theme::Light);
                let used = harness.ctx.globally_used_rect();
                assert!(
                    used.right() <= size.0 + 0.5 && used.bottom() <= size.1 + 0.5,
                    "{name}, {of}: {used:?}"
                );
                save(&harness, &format!("noise-{name}-{of}-{told}"));
            }
        }
    }
}

/// To be looked at, in the sizes and at the zooms that are not kept.
#[test]
fn windows_of_every_size_to_be_looked_at() {
    for (size, name) in [(SMALL, "small"), (LARGE, "large"), ((1600.0, 1000.0), "huge")] {
        for (scale, theme) in [(1.0, Theme::Light), (1.5, Theme::Dark), (2.0, Theme::Light)] {
            for (preset, of) in [(COURTYARD, "courtyard"), (BLEND_PRESET, "blend"), (PASSIVE, "transformer")]
            {
                let harness = on(Window::new(preset, Some(0)), size, scale, theme);
                let used = harness.ctx.globally_used_rect();
                assert!(
                    used.right() <= size.0 + 0.5 && used.bottom() <= size.1 + 0.5,
                    "{name}, {of}: {used:?}"
                );
                save(&harness, &format!("every-{name}-{scale}x-{of}"));
            }
        }
    }
}
