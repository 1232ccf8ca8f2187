use egui::{Align2, Color32, FontId, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use firstjack_words::Words;

use crate::editor::views::theme;
use crate::editor::{Message, Meter, Model, Readings};

const TITLES: [&str; 2] = ["In", "Out"];
/// What a row measures, short, and in full.
const TRUE_PEAK: (&str, &str) = ("peak", "true peak");
const SHORT_TERM: (&str, &str) = ("loudness", "short-term loudness, 3 s");
const SCALE_NAME: &str = "scale in dB";
const SILENT: &str = "silent";
const HIDDEN: &str = "hidden";
const HIDDEN_OUTPUT: &str = "Output figures are hidden: they could tell the setups apart.";
const OVER_HINT: &str = "Over 0 dBTP: a converter or a file would clip.";

const GUARD_OFF: &str = "guard is off";
const GUARD_OPEN: &str = "guard open";
const GUARD_HOLDS: &str = "guard closed";
const REFUSED: &str = "a value cannot be played: what was heard before goes on";
const CEILING_OFF: &str = "ceiling is off";
const CEILING_IDLE: &str = "ceiling holds nothing back";
const CEILING_HINT: &str = "What the change would give back beyond the ceiling.";

/// Both ends of the scale in dB.
const SCALE_DB: (f64, f64) = (-60.0, 6.0);
const MARKS_DB: [f64; 6] = [-60.0, -48.0, -36.0, -24.0, -12.0, 0.0];
/// What the ceiling holds back is worth a light from here on, in dB.
const LEAST_HELD_DB: f64 = 0.5;

const ROW_HEIGHT: f32 = 15.0;
const BAR_HEIGHT: f32 = 9.0;
const TEXT_SIZE: f32 = 11.0;
const LIGHT_RADIUS: f32 = 4.0;
/// Parts of the width for a row's name and for its number.
const NAME_PART: f32 = 0.34;
const NUMBER_PART: f32 = 0.24;

/// In and out, guard and ceiling, and the noise that is lifted.
#[derive(Debug, Clone, Default)]
pub struct Meters;

/// How a light looks: its form differs as well as its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Light {
    /// An empty ring.
    Off,
    /// A full ring.
    Fine,
    /// A triangle.
    Acting,
}

/// Where a row has its parts.
struct Row {
    name: Rect,
    bar: Rect,
    number: Rect,
}

impl Meters {
    /// Draws them in about 220 by 160 points.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, readings: &Readings, _out: &mut Vec<Message>) {
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            let output = (!model.is_blind()).then_some(&readings.output);
            for (title, meter) in TITLES.into_iter().zip([Some(&readings.input), output]) {
                let peak = meter.map(|meter: &Meter| meter.true_peak_db);
                bar(ui, title, TRUE_PEAK, peak, "dBTP");
                bar(ui, title, SHORT_TERM, meter.map(|meter| meter.short_term_lufs), "LUFS");
            }
            scale(ui);
            guard(ui, model, readings);
            if !model.is_blind() {
                ceiling(ui, model);
                noise(ui, model);
            }
        });
    }
}

fn row(ui: &mut Ui, height: f32) -> (Row, egui::Response) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let split = |from: f32, to: f32| {
        let at = |part: f32| rect.left() + part * rect.width();
        Rect::from_min_max(pos2(at(from), rect.top()), pos2(at(to), rect.bottom()))
    };
    let bar = split(NAME_PART, 1.0 - NUMBER_PART).shrink2(vec2(2.0, 0.0));
    (Row { name: split(0.0, NAME_PART), bar, number: split(1.0 - NUMBER_PART, 1.0) }, response)
}

/// A bar with its number; `None` is hidden.
fn bar(ui: &mut Ui, title: &str, (short, full): (&str, &str), db: Option<f64>, unit: &str) {
    let name = format!("{title}, {full}");
    let (row, response) = row(ui, ROW_HEIGHT);
    let number = match db {
        None => HIDDEN.to_owned(),
        Some(db) if db.is_finite() => format!("{db:.1} {unit}"),
        Some(_) => SILENT.to_owned(),
    };
    let over = unit == "dBTP" && db.is_some_and(|db| db > 0.0);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{name}: {number}")));
    let hint = match db {
        None => HIDDEN_OUTPUT.to_owned(),
        Some(_) if over => format!("{name}: {number}\n{OVER_HINT}"),
        Some(_) => format!("{name}: {number}"),
    };
    response.on_hover_text(hint);
    let visuals = ui.visuals().clone();
    fitted(ui, row.name, Align2::LEFT_CENTER, &format!("{title} {short}"), visuals.text_color());
    let strong = if over { visuals.error_fg_color } else { visuals.strong_text_color() };
    fitted(ui, row.number, Align2::RIGHT_CENTER, &number, strong);
    let bar = Rect::from_center_size(row.bar.center(), vec2(row.bar.width(), BAR_HEIGHT));
    let painter = ui.painter();
    painter.rect_filled(bar, 1.0, visuals.extreme_bg_color);
    painter.rect_stroke(bar, 1.0, Stroke::new(1.0, line_colour(ui)), egui::StrokeKind::Inside);
    if let Some(db) = db.filter(|db| *db > SCALE_DB.0) {
        let filled = Rect::from_min_max(bar.min, pos2(place(bar, db), bar.bottom()));
        painter.rect_filled(filled, 1.0, if over { visuals.error_fg_color } else { level_colour(ui) });
    }
    let zero = place(bar, 0.0);
    painter.vline(zero, bar.y_range(), Stroke::new(1.0, visuals.text_color()));
}

/// The marks below the bars.
fn scale(ui: &mut Ui) {
    let (row, response) = row(ui, ROW_HEIGHT - 3.0);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, SCALE_NAME));
    let colour = ui.visuals().text_color();
    let font = FontId::proportional(TEXT_SIZE - 2.0);
    for (index, db) in MARKS_DB.into_iter().enumerate() {
        let x = place(row.bar, db);
        ui.painter().vline(x, row.bar.top()..=row.bar.top() + 3.0, Stroke::new(1.0, colour));
        // Every other mark has a number, and zero.
        if index % 2 == 1 {
            let at = pos2(x, row.bar.top() + 2.0);
            ui.painter().text(at, Align2::CENTER_TOP, format!("{db:.0}"), font.clone(), colour);
        }
    }
    fitted(ui, row.number, Align2::RIGHT_CENTER, "dB", colour);
}

fn guard(ui: &mut Ui, model: &Model, readings: &Readings) {
    let (light, text) = if !model.document.guard {
        (Light::Off, GUARD_OFF.to_owned())
    } else if readings.guard_closed {
        (Light::Acting, often(GUARD_HOLDS, readings))
    } else {
        (Light::Fine, often(GUARD_OPEN, readings))
    };
    lit(ui, light, &text);
    if readings.refused {
        lit(ui, Light::Acting, REFUSED);
    }
}

/// How the guard is, how often it has closed, and why the last time.
fn often(now: &str, readings: &Readings) -> String {
    let why = readings.guard_cause.map_or("", |cause| Words::ENGLISH.guard_cause(cause));
    match readings.guard_closures {
        0 => now.to_owned(),
        1 => format!("{now}, has closed once: {why}"),
        times => format!("{now}, has closed {times} times, last: {why}"),
    }
}

fn ceiling(ui: &mut Ui, model: &Model) {
    let document = &model.document;
    let held = model.figures.of(document.heard).held_back;
    let (light, text) = match document.ceiling.db() {
        None => (Light::Off, CEILING_OFF.to_owned()),
        Some(_) if document.bypass || held.db < LEAST_HELD_DB => (Light::Fine, CEILING_IDLE.to_owned()),
        Some(_) => {
            let (db, hz) = (Words::ENGLISH.db(held.db), Words::ENGLISH.hz(held.hz));
            (Light::Acting, format!("ceiling holds back {db} at {hz}"))
        }
    };
    lit(ui, light, &text).on_hover_text(CEILING_HINT);
}

fn noise(ui: &mut Ui, model: &Model) {
    let document = &model.document;
    let Some(rise) = model.figures.of(document.heard).noise.filter(|_| !document.bypass) else { return };
    let text = Words::ENGLISH.noise(rise.noise, rise.db);
    ui.add(egui::Label::new(egui::RichText::new(text).size(TEXT_SIZE)).wrap());
}

/// A light and its words.
fn lit(ui: &mut Ui, light: Light, text: &str) -> egui::Response {
    let line = ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let (rect, _) = ui.allocate_exact_size(vec2(3.0 * LIGHT_RADIUS, ROW_HEIGHT), Sense::hover());
        let (centre, visuals) = (rect.center(), ui.visuals());
        let painter = ui.painter();
        match light {
            Light::Off => {
                painter.circle_stroke(centre, LIGHT_RADIUS, Stroke::new(1.5, visuals.text_color()));
            }
            Light::Fine => {
                painter.circle_filled(centre, LIGHT_RADIUS, level_colour(ui));
            }
            Light::Acting => {
                let corners =
                    [vec2(0.0, -5.0), vec2(5.0, 4.0), vec2(-5.0, 4.0)].map(|corner| centre + corner);
                painter.add(Shape::convex_polygon(corners.to_vec(), visuals.warn_fg_color, Stroke::NONE));
            }
        }
        let mut words = egui::RichText::new(text).size(TEXT_SIZE);
        if light == Light::Acting {
            words = words.strong();
        }
        ui.add(egui::Label::new(words).wrap())
    });
    line.inner
}

/// A line of text that is cut with an ellipsis where it does not fit.
fn fitted(ui: &Ui, rect: Rect, align: Align2, text: &str, colour: Color32) {
    let mut job =
        egui::text::LayoutJob::simple_singleline(text.to_owned(), FontId::proportional(TEXT_SIZE), colour);
    job.wrap = egui::text::TextWrapping::truncate_at_width(rect.width());
    let galley = ui.painter().layout_job(job);
    let at = align.align_size_within_rect(galley.size(), rect).min;
    ui.painter().galley(at, galley, colour);
}

/// Where a level is on a bar.
fn place(bar: Rect, db: f64) -> f32 {
    let part = ((db - SCALE_DB.0) / (SCALE_DB.1 - SCALE_DB.0)).clamp(0.0, 1.0);
    #[expect(clippy::cast_possible_truncation, reason = "between 0 and 1")]
    egui::lerp(bar.x_range(), part as f32)
}

/// The first of the theme's hues, which stands off both grounds.
fn level_colour(ui: &Ui) -> Color32 {
    theme::colour(0, ui.visuals().dark_mode)
}

fn line_colour(ui: &Ui) -> Color32 {
    theme::outline(ui.visuals().dark_mode)
}
