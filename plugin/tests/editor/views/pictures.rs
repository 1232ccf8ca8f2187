//! Pictures to look at, in the target directory; what a machine can tell of them is asserted.

use egui::{Theme, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use firstjack_plugin::editor::views::apply_theme;
use firstjack_plugin::editor::{self, CurveKind, Edit, Message, SetupsEdit, Stage};

use crate::fake::Fake;
use crate::snapshot::save;
use crate::views::stage::{App, Shown, fits, on};

pub fn app() -> App {
    let mut fake = Fake::courtyard();
    fake.readings.matching_db = [Some(31.2), Some(15.9), Some(12.34), Some(19.0), None, Some(-0.1)];
    fake.readings.learned_seconds = 42.0;
    fake.readings.version = 1;
    fake.readings.spectrum = (1..2048)
        .map(|bin| {
            let hz = f64::from(bin) * 11.7;
            let harmonic = (hz / 55.0 - (hz / 55.0).round()).abs() < 0.12;
            (hz, -20.0 - 18.0 * (hz / 55.0).log10() - if harmonic { 0.0 } else { 22.0 })
        })
        .collect();
    let mut app = App::new(fake);
    app.do_it(Message::Hear(Some(2)));
    app
}

fn picture(app: App, shown: Shown, (width, height): (f32, f32), scale: f32, theme: Theme, name: &str) {
    let draw = move |ui: &mut egui::Ui, app: &mut App| app.show(ui, shown);
    let mut harness = Harness::builder()
        .with_size(vec2(width, height))
        .with_pixels_per_point(scale)
        .with_theme(theme)
        .build_ui_state(draw, app);
    let is_dark = theme == Theme::Dark;
    apply_theme(&harness.ctx, if is_dark { editor::Theme::Dark } else { editor::Theme::Light });
    harness.run_steps(4);
    assert!(fits(&harness), "{name}");
    let image = crate::raster::picture(&harness);
    let theme = if theme == Theme::Dark { "dark" } else { "light" };
    save(&harness, &format!("views-{name}-{width}-{scale}x-{theme}"));
    // Something is drawn: background, text and lines.
    let first = image.get(1, 1).unwrap();
    let others = image.colours().iter().filter(|pixel| **pixel != first).count();
    assert!(others > 2000, "{name}: {others}");
}

const SMALL: (f32, f32) = (720.0, 480.0);
const LARGE: (f32, f32) = (960.0, 640.0);

#[test]
fn each_view_in_the_smallest_window() {
    for (shown, name) in [
        (Shown::Verdict, "verdict"),
        (Shown::Curves, "curves"),
        (Shown::Strings, "strings"),
        (Shown::Setups, "setups"),
    ] {
        picture(app(), shown, SMALL, 1.0, Theme::Dark, name);
        picture(app(), shown, SMALL, 2.0, Theme::Light, name);
    }
}

#[test]
fn all_views_in_a_larger_window() {
    picture(app(), Shown::All, LARGE, 1.0, Theme::Light, "all");
    picture(app(), Shown::All, LARGE, 2.0, Theme::Dark, "all");
    picture(app(), Shown::All, SMALL, 1.0, Theme::Dark, "all");
}

#[test]
fn what_is_done_to_the_take() {
    let mut changed = app();
    changed.do_it(Message::Curves(CurveKind::Change));
    picture(changed, Shown::Curves, LARGE, 1.0, Theme::Light, "change");
    let mut blend = App::new(Fake::new(include_str!("../../../../presets/blend.toml")));
    blend.do_it(Message::Curves(CurveKind::Change));
    picture(blend, Shown::Curves, SMALL, 1.0, Theme::Dark, "blend");
    picture(app(), Shown::Curves, (420.0, 480.0), 1.0, Theme::Dark, "narrow");
}

#[test]
fn names_half_as_long_again() {
    let mut app = app();
    let mut preset = app.model.document.preset.clone();
    for setup in &mut preset.setups {
        setup.name = format!("{} of the second evening's courtyard", setup.name);
    }
    app.do_it(Message::Edit(Edit::Load(Box::new(preset)), Stage::Whole));
    picture(app, Shown::All, SMALL, 1.0, Theme::Light, "long");
}

/// As large as they are in the smallest window and in the drawing; the curves being read; one setup less.
#[test]
fn tiles_and_curves_in_their_places() {
    picture(app(), Shown::Setups, (248.0, 200.0), 2.0, Theme::Light, "tiles-low");
    picture(app(), Shown::Setups, (296.0, 430.0), 1.0, Theme::Dark, "tiles");
    picture(app(), Shown::Curves, (450.0, 190.0), 2.0, Theme::Light, "curves-low");
    let mut fewer = App::new(Fake::courtyard());
    fewer.do_it(Message::Edit(Edit::Setups(SetupsEdit::Remove(1)), Stage::Whole));
    picture(fewer, Shown::Setups, (296.0, 430.0), 1.0, Theme::Light, "tiles-fewer");
    let mut harness = on(app(), Shown::Curves);
    harness.get_by_label("frequency of the cursor in Hz").focus();
    harness.run_steps(4);
    save(&harness, "views-curves-read");
    let mut harness = on(app(), Shown::Setups);
    let from = harness.get_by_label_contains("combo, A1").rect().center();
    harness.drag_at(from);
    for down in [20.0, 60.0, 93.0] {
        harness.hover_at(from + vec2(0.0, down));
        harness.run_steps(2);
    }
    save(&harness, "views-tiles-dragged");
    let mut harness = on(app(), Shown::Setups);
    harness.set_size(vec2(248.0, 200.0));
    harness.run_steps(4);
    harness.get_by_label("more for combo").click();
    harness.run_steps(12);
    save(&harness, "views-tiles-menu");
    harness.get_by_label("rename").click();
    harness.run_steps(4);
    save(&harness, "views-tiles-renamed");
}
