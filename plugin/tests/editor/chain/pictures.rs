//! Pictures of the diagram and its symbols, for eyes; what can be asserted of them is.

use egui_kittest::Harness;
use firstjack_plugin::editor::views::symbols::{ALL, Pen, Symbol};
use firstjack_plugin::editor::{Message, Theme, apply_theme};

use crate::chain::edits::ALL as EVERYTHING;
use crate::chain::view::{App, TUNER};
use crate::fake::COURTYARD;
use crate::snapshot::save;

pub const PASSIVE_BOX: &str = r#"
version = 2
name = "Passive box"
pickup = { capacitance = "1 nF", leakage = "1 GΩ" }
recorded = { load = "22M" }

[[setup]]
name = "passive box on a splitter"
chain = [
    { cable = "3 m" },
    { splitter = "splitter", resistor = "10k", branch = [{ cable = "3 m" }, { box = "amplifier", input = "1M", capacitance = "100 pF", blocking = "22 nF" }] },
    { box = "passive box", transformer = { primary = "47 H", winding = "1k5", ratio = "12", secondary = "1k5", capacitance = "330 pF" } },
]
"#;

pub const MAGNETIC: &str = r#"
version = 2
name = "Magnetic"
recorded = { load = "none" }

[pickup]
inductance = "3.3 H"
resistance = "6.8 kΩ"
winding = "100 pF"
tone = { resistance = "220k", capacitance = "22 nF", taper = "logarithmic" }
volume = { resistance = "220k", taper = "logarithmic", position = "70 %" }

[[setup]]
name = "amplifier and tuner in parallel"
chain = [
    { cable = "6 m" },
    { box = "tuner", input = "470k", blocking = "47 nF", thru = "before" },
    { box = "a box with a very long name indeed", input = "1M" },
]
"#;

pub const BLEND: &str = r#"
version = 2
name = "Blend"
recorded = { load = "10M || 100p || 50 H || 3 m" }

[[blend]]
capacitance = "1 nF"
volume = { resistance = "1M", taper = "logarithmic", position = "100 %" }
mixing = "220k"

[[blend]]
inductance = "3.3 H"
resistance = "6.8 kΩ"
winding = "100 pF"
mixing = "47k"
polarity = "reversed"

[[setup]]
name = "amplifier"
chain = [{ cable = "6 m" }, { box = "amplifier", input = "1M", capacitance = "100 pF", blocking = "22 nF", thru = "after" }, { box = "monitor", input = "10k" }]
"#;

/// Of the chains' own part of the smallest window, or of the drawn one.
const SIZES: [(&str, egui::Vec2); 2] =
    [("small", egui::vec2(704.0, 120.0)), ("large", egui::vec2(1104.0, 189.0))];

fn harness(toml: &str, dark: bool, size: egui::Vec2) -> Harness<'static, App> {
    let theme = if dark { egui::Theme::Dark } else { egui::Theme::Light };
    let builder = Harness::builder().with_size(size).with_theme(theme);
    let mut harness = builder.build_ui_state(|ui, app: &mut App| app.draw(ui), App::new(toml));
    let theme = if dark { Theme::Dark } else { Theme::Light };
    apply_theme(&harness.ctx, theme);
    harness.run_steps(3);
    harness
}

/// Light and dark, small and large; in the courtyard with a buffered and an unbuffered thru.
#[test]
fn diagrams_at_both_sizes_in_light_and_dark() {
    for (toml, heard, name) in [
        (COURTYARD, 3, "courtyard"),
        (COURTYARD, 2, "buffered"),
        (TUNER, 0, "tuner"),
        (PASSIVE_BOX, 0, "passive"),
        (MAGNETIC, 0, "magnetic"),
        (BLEND, 0, "blend"),
        (EVERYTHING, 0, "all"),
    ] {
        for (dark, (size_name, size)) in
            [(false, SIZES[0]), (true, SIZES[0]), (false, SIZES[1]), (true, SIZES[1])]
        {
            let mut harness = harness(toml, dark, size);
            let app = harness.state_mut();
            app.model.update(Message::Hear(Some(heard)), &mut app.session);
            app.session.readings.channels = 1;
            harness.run_steps(3);
            values_stand_apart(&harness, name);
            let shade = if dark { "dark" } else { "light" };
            save(&harness, &format!("chain-{name}-{shade}-{size_name}"));
        }
    }
}

/// No value covers another one.
fn values_stand_apart(harness: &Harness<'_, App>, name: &str) {
    use egui_kittest::kittest::{NodeT as _, Queryable as _};
    // Each diagram goes on where it is scrolled out of sight.
    let all: Vec<_> = harness.get_all_by_role(egui::Role::SpinButton).collect();
    let is_recorded = |label: Option<String>| label.is_some_and(|label| label.starts_with("recorded"));
    for recorded in [true, false] {
        let here = all.iter().filter(|node| is_recorded(node.accesskit_node().label()) == recorded);
        stand_apart(&here.map(|node| node.rect()).collect::<Vec<_>>(), name);
    }
}

fn stand_apart(rects: &[egui::Rect], name: &str) {
    assert!(!rects.is_empty(), "{name}");
    for (index, one) in rects.iter().enumerate() {
        for other in &rects[index + 1..] {
            assert!(!one.shrink(0.5).intersects(*other), "{name}: {one} {other}");
        }
    }
}

#[test]
fn menus_and_an_error() {
    use egui_kittest::kittest::Queryable;
    const WINDOW: egui::Vec2 = egui::vec2(720.0, 480.0);
    let mut menu = harness(TUNER, false, WINDOW);
    menu.get_by_label("tuner, heard here").focus();
    menu.run_steps(2);
    menu.key_press(egui::Key::Enter);
    menu.run_steps(4);
    save(&menu, "chain-menu-light-1x");
    let mut pickup = harness(BLEND, true, WINDOW);
    pickup.get_by_label("left track, capacitive").focus();
    pickup.run_steps(2);
    pickup.key_press(egui::Key::Enter);
    pickup.run_steps(4);
    save(&pickup, "chain-pickup-menu-dark-1x");
    let mut error = harness(TUNER, true, WINDOW);
    error.get_by_label("tuner: input").click();
    error.run_steps(3);
    error.get_by_role_and_label(egui::Role::TextInput, "tuner: input").type_text("2 kg");
    error.run_steps(2);
    error.key_press(egui::Key::Enter);
    error.run_steps(4);
    save(&error, "chain-error-dark-1x");
}

/// Every symbol, full and dashed, lying, standing and large. Each one leaves ink of its own.
#[test]
fn symbols_on_one_sheet() {
    let sheet = |ui: &mut egui::Ui, app: &mut App| {
        let _ = app;
        ui.painter().rect_filled(ui.ctx().content_rect(), 0.0, ui.visuals().panel_fill);
        for (row, (symbol, name)) in (0u8..).zip(ALL) {
            let y = 30.0 + 64.0 * f32::from(row);
            ui.painter().text(
                egui::pos2(8.0, y),
                egui::Align2::LEFT_CENTER,
                name,
                egui::FontId::proportional(13.0),
                ui.visuals().text_color(),
            );
            for (column, (unit, dashed)) in
                (0u8..).zip([(24.0, false), (24.0, true), (12.0, false), (34.0, false)])
            {
                draw(ui, symbol, egui::pos2(150.0 + 130.0 * f32::from(column), y), unit, dashed);
            }
        }
    };
    let size = egui::vec2(690.0, 860.0);
    let mut harness = Harness::builder().with_size(size).build_ui_state(sheet, App::new(TUNER));
    harness.run_steps(2);
    let picture = crate::raster::picture(&harness);
    for row in 0..13u32 {
        for column in 0..4u32 {
            let background = picture.get(685, 855);
            let inked = (0..44u32 * 110u32).any(|dot| {
                let (x, y) = (144 + 130 * column + dot % 110, 8 + 64 * row + dot / 110);
                picture.get(x, y) != background
            });
            assert!(inked, "symbol {row}, column {column}");
        }
    }
    save(&harness, "chain-symbols");
}

fn draw(ui: &egui::Ui, symbol: Symbol, at: egui::Pos2, unit: f32, dashed: bool) {
    let pen = Pen {
        painter: ui.painter(),
        stroke: egui::Stroke::new(1.6, ui.visuals().strong_text_color()),
        paper: ui.visuals().panel_fill,
        unit,
        dashed,
    };
    pen.draw(symbol, at, at + egui::vec2(60.0, 0.0));
    pen.draw(symbol, at + egui::vec2(80.0, -22.0), at + egui::vec2(80.0, 22.0));
}
