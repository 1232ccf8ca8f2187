use egui::{
    Align2, Color32, FontId, Rect, Response, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2,
    vec2,
};
use firstjack_looks::{space, strokes, text};

use crate::editor::views::alarms::{Alarms, Side};
use crate::editor::views::theme;
use crate::editor::{Meter, Model, Readings};

const SILENT: &str = "silent";
const HIDDEN: &str = "hidden";
const HIDDEN_OUTPUT: &str = "Output figures are hidden: they could tell the setups apart.";
const OVER_HINT: &str = "Over 0 dBTP: a converter or a file would clip.";
const NOTHING: &str = "–";

/// Both ends of the scale in dB.
const SCALE_DB: (f64, f64) = (-60.0, 6.0);
const BAR_HEIGHT: f32 = 6.0;
/// Widths of the bar in a narrow foot and in a wide one.
const BARS: (f32, f32) = (40.0, 110.0);
const LIGHT_RADIUS: f32 = 4.0;
/// The longest number.
const WIDEST: &str = "−88.8";

/// Levels in and out: a bar and a number for the true peak each, and a light that stays once one has clipped.
#[derive(Debug, Clone, Default)]
pub struct Meters;

impl Meters {
    /// Draws them side by side.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, readings: &Readings, alarms: &mut Alarms, wide: bool) {
        let output = (!model.is_blind()).then_some(&readings.output);
        for (side, title, full, meter) in
            [(Side::In, "in", "In", Some(&readings.input)), (Side::Out, "out", "Out", output)]
        {
            let width = if wide { BARS.1 } else { BARS.0 };
            ui.label(egui::RichText::new(title).small().weak());
            level(ui, full, meter, width);
            light(ui, full, side, meter.is_some(), alarms);
        }
    }
}

/// A bar with its number; `None` is hidden.
fn level(ui: &mut Ui, title: &str, meter: Option<&Meter>, width: f32) {
    let font = FontId::proportional(text::BODY);
    let lay = |ui: &Ui, text: &str, colour| {
        ui.fonts_mut(|fonts| fonts.layout_no_wrap(text.to_owned(), font.clone(), colour))
    };
    let number_width = lay(ui, WIDEST, Color32::PLACEHOLDER).size().x;
    let size = vec2(width + space::TIGHT + number_width, ui.spacing().interact_size.y);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let said = said(title, meter);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
    response.on_hover_text(hint(&said, meter));
    let (theme, db) = (theme::of(ui.visuals()), meter.map(|meter| meter.true_peak_db));
    let is_over = db.is_some_and(|db| db > 0.0);
    let bar = Rect::from_center_size(rect.left_center() + vec2(0.5 * width, 0.0), vec2(width, BAR_HEIGHT));
    let round = 0.5 * BAR_HEIGHT;
    let painter = ui.painter();
    painter.rect_filled(bar, round, theme::colour32(theme.track));
    if let Some(db) = db.filter(|db| *db > SCALE_DB.0) {
        let filled = Rect::from_min_max(bar.min, pos2(place(bar, db), bar.bottom()));
        painter.rect_filled(
            filled,
            round,
            theme::colour32(if is_over { theme.warning } else { theme.accent }),
        );
    }
    let edge = Stroke::new(strokes::THIN, theme::colour32(theme.outline));
    painter.vline(place(bar, 0.0), bar.y_range(), edge);
    let number = match db {
        Some(db) if db.is_finite() => format!("{db:.1}").replace('-', "−"),
        _ => NOTHING.to_owned(),
    };
    let colour = theme::colour32(if is_over { theme.warning } else { theme.ink });
    painter.text(rect.right_center(), Align2::RIGHT_CENTER, number, font.clone(), colour);
}

fn said(title: &str, meter: Option<&Meter>) -> String {
    let figure = |db: f64, unit: &str| {
        if db.is_finite() { format!("{db:.1} {unit}").replace('-', "−") } else { SILENT.to_owned() }
    };
    let (peak, loudness) = match meter {
        None => (HIDDEN.to_owned(), HIDDEN.to_owned()),
        Some(meter) => (figure(meter.true_peak_db, "dBTP"), figure(meter.short_term_lufs, "LUFS")),
    };
    format!("{title}, true peak: {peak}; short-term loudness, 3 s: {loudness}")
}

fn hint(said: &str, meter: Option<&Meter>) -> String {
    match meter {
        None => HIDDEN_OUTPUT.to_owned(),
        Some(meter) if meter.true_peak_db > 0.0 => format!("{said}\n{OVER_HINT}"),
        Some(_) => said.to_owned(),
    }
}

/// A ring; a triangle to be clicked once there was too much.
fn light(ui: &mut Ui, title: &str, side: Side, is_shown: bool, alarms: &mut Alarms) {
    let has_clipped = is_shown && alarms.has_clipped(side);
    let sense = if has_clipped { Sense::click() } else { Sense::hover() };
    let size = vec2(4.0 * LIGHT_RADIUS, ui.spacing().interact_size.y);
    let (rect, response) = ui.allocate_exact_size(size, sense);
    paint_light(ui, rect, has_clipped, &response);
    if !has_clipped {
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{title} has not clipped")));
        return;
    }
    let text = format!("{title} has clipped");
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &text));
    if response.clicked() {
        alarms.see_clipping(side);
    }
    response.on_hover_text(format!("{text}: click when you have seen it."));
}

fn paint_light(ui: &Ui, rect: Rect, has_clipped: bool, response: &Response) {
    let (theme, centre, painter) = (theme::of(ui.visuals()), rect.center(), ui.painter());
    if response.has_focus() {
        let focus = Stroke::new(2.0 * strokes::THIN, theme::colour32(theme.accent));
        painter.rect_stroke(rect, space::CONTROL_RADIUS, focus, StrokeKind::Inside);
    }
    if has_clipped {
        let corners = [vec2(0.0, -6.0), vec2(6.0, 5.0), vec2(-6.0, 5.0)].map(|corner| centre + corner);
        let colour = theme::colour32(theme.warning);
        painter.add(Shape::convex_polygon(corners.to_vec(), colour, Stroke::NONE));
    } else {
        let line = Stroke::new(strokes::LINE, theme::colour32(theme.outline));
        painter.circle_stroke(centre, LIGHT_RADIUS, line);
    }
}

/// Where a level is on a bar.
fn place(bar: Rect, db: f64) -> f32 {
    let part = ((db - SCALE_DB.0) / (SCALE_DB.1 - SCALE_DB.0)).clamp(0.0, 1.0);
    #[expect(clippy::cast_possible_truncation, reason = "between 0 and 1")]
    egui::lerp(bar.x_range(), part as f32)
}
