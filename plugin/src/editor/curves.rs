use std::ops::RangeInclusive;

use egui::{
    Align, EventFilter, Key, Label, Layout, Modifiers, Rangef, Rect, Response, RichText, ScrollArea, Sense,
};
use egui::{Stroke, StrokeKind, TextStyle, Ui, UiBuilder, Visuals, WidgetInfo, pos2, vec2};
use egui_plot::{
    AxisHints, FilledArea, GridInput, GridMark, Line, Plot, PlotPoints, PlotResponse, PlotTransform,
};
use egui_plot::{PlotUi, VLine};

use super::blind_view::HIDDEN;
use super::look::Look;
use super::traces::{BAND_HZ, Trace, Traces, level_db};
use super::{CurveKind, Message, Model, Readings, decibels, look};

const LOSS: &str = "loss";
const LOSS_HELP: &str = "Each setup against the unloaded pickup.";
const CHANGE: &str = "change to the take";
const CHANGE_HELP: &str = "What is done to the take, without the level match.";
const AXES: &str = "dB over Hz";
const AS_RECORDED: &str = "as recorded";
const CURSOR: &str = "frequency of the cursor in Hz";
const CURSOR_HELP: &str = "Left and right arrow: a semitone, with Shift a tenth. Up and down: next string. Double-click: back to the low string.";

/// Side by side with the read-out from this width on, in points.
const WIDE: f32 = 540.0;
/// Side by side, too, where both would be too low one above the other.
const LOW: f32 = 300.0;
const READ_OUT_WIDTH: f32 = 228.0;
/// Of one row of the read-out, and of one row of strings' names.
const ROW: f32 = 18.0;
const MARK_ROW: f32 = 13.0;
const MOST_MARK_ROWS: usize = 4;
const LEAST_HEIGHT: f32 = 90.0;
const LEVEL_WIDTH: f32 = 46.0;

/// Frequencies with a number.
const NUMBERED_HZ: [(f64, &str); 10] = [
    (20.0, "20"),
    (50.0, "50"),
    (100.0, "100"),
    (200.0, "200"),
    (500.0, "500"),
    (1e3, "1k"),
    (2e3, "2k"),
    (5e3, "5k"),
    (10e3, "10k"),
    (20e3, "20k"),
];

/// The spectrum's level at the bottom of the plot, in dB re full scale, which is at its top.
const QUIETEST_DB: f64 = -96.0;
const PALE: f32 = 0.6;
const SPECTRUM_OPACITY: f32 = 0.15;

/// A step of the cursor, and a fine one, in octaves: a semitone and its tenth.
const STEP_OCTAVES: f64 = 1.0 / 12.0;
const FINE_OCTAVES: f64 = 1.0 / 120.0;
/// So close to a string's pitch, as a factor, the cursor is on it.
const ON_STRING: f64 = 1.003;

/// The curves of all setups, and what they are at a cursor.
#[derive(Debug, Default)]
pub struct CurvesView {
    traces: Traces,
    /// Where the reader has put the cursor, in Hz; at the lowest string if nowhere.
    cursor_hz: Option<f64>,
    /// Where the pointer is, in Hz.
    pointer_hz: Option<f64>,
    mark_rows: usize,
}

impl CurvesView {
    /// Draws them; nothing but a note while names are hidden.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        readings: &Readings,
        hide: bool,
        out: &mut Vec<Message>,
    ) {
        if hide {
            ui.label(HIDDEN);
            return;
        }
        choose(ui, model, out);
        self.traces.update(model, readings);
        let whole = ui.available_rect_before_wrap();
        let rows = self.traces.all.len();
        let (plot, read_out) = split(whole, rows);
        self.draw_plot(ui, plot, model);
        let child = UiBuilder::new().max_rect(read_out).layout(Layout::top_down(Align::Min));
        ui.scope_builder(child, |ui| {
            ScrollArea::vertical().id_salt("read-out").show(ui, |ui| self.read_out(ui, model));
        });
        ui.advance_cursor_after_rect(whole);
    }

    /// Where the read-out is taken, in Hz.
    fn hz(&self, model: &Model) -> f64 {
        let lowest = model.figures.strings_hz.iter().copied().reduce(f64::min).unwrap_or(BAND_HZ.0);
        self.pointer_hz.or(self.cursor_hz).unwrap_or(lowest).clamp(BAND_HZ.0, BAND_HZ.1)
    }

    fn draw_plot(&mut self, ui: &mut Ui, rect: Rect, model: &Model) {
        let names = MARK_ROW * f32::from(u8::try_from(self.mark_rows.max(1)).unwrap_or(u8::MAX));
        // The last number stands half beyond the plot.
        let area = Rect::from_min_max(pos2(rect.left(), rect.top() + names), rect.max - vec2(12.0, 0.0));
        let hz = self.hz(model);
        let child = UiBuilder::new().max_rect(area);
        let drawn =
            ui.scope_builder(child, |ui| self.plot().show(ui, |plot| self.fill(plot, model, hz))).inner;
        self.mark_strings(ui, model, &drawn.transform);
        self.move_cursor(ui, model, &drawn);
    }

    fn plot<'a>(&self) -> Plot<'a> {
        let (low, high) = self.traces.range_db;
        let x_axis = AxisHints::new_x().formatter(number).label_spacing(Rangef::new(28.0, 29.0));
        let y_axis = AxisHints::new_y().label_spacing(Rangef::new(14.0, 15.0)).min_thickness(28.0);
        Plot::new("curves")
            .default_x_bounds(BAND_HZ.0.log10(), BAND_HZ.1.log10())
            .default_y_bounds(low, high)
            .allow_zoom(false)
            .allow_scroll(false)
            .allow_boxed_zoom(false)
            .allow_drag(false)
            .allow_axis_zoom_drag(false)
            .show_x(false)
            .show_y(false)
            .label_formatter(|_| None)
            .custom_x_axes(vec![x_axis])
            .custom_y_axes(vec![y_axis])
            .x_grid_spacer(frequency_marks)
            .grid_spacing(Rangef::new(5.0, 90.0))
            .sense(Sense::click_and_drag())
    }

    fn fill<'a>(&'a self, plot: &mut PlotUi<'a>, model: &Model, hz: f64) {
        // To the range of the curves: of its own accord the plot keeps the first one.
        plot.set_auto_bounds(true);
        let style = plot.ctx().global_style();
        let text = style.visuals.text_color();
        self.fill_spectrum(plot, text.gamma_multiply(SPECTRUM_OPACITY));
        for string_hz in &model.figures.strings_hz {
            let mark = VLine::new("", string_hz.log10()).stroke(Stroke::new(1.0, text.gamma_multiply(0.35)));
            plot.vline(mark.id(("string", string_hz.to_bits())).allow_hover(false));
        }
        let heard = model.document.heard;
        let (strong, thin): (Vec<&Trace>, Vec<&Trace>) =
            self.traces.all.iter().partition(|trace| trace.place == heard);
        for trace in thin.into_iter().chain(strong) {
            let look = look_of(trace, heard, &style.visuals);
            let line = Line::new("", PlotPoints::from(&*trace.points)).stroke(look.stroke).style(look.style);
            plot.line(line.id(("curve", trace.place, trace.pickup)).allow_hover(false));
        }
        let cursor = VLine::new("", hz.log10()).stroke(Stroke::new(1.5, text));
        plot.vline(cursor.id("cursor").allow_hover(false));
    }

    fn fill_spectrum(&self, plot: &mut PlotUi<'_>, colour: egui::Color32) {
        if self.traces.spectrum_x.len() < 2 {
            return;
        }
        let (low, high) = self.traces.range_db;
        let height = |db: &f64| high + (low - high) * (db / QUIETEST_DB).clamp(0.0, 1.0);
        let upper: Vec<f64> = self.traces.spectrum_db.iter().map(height).collect();
        let lower = vec![low; upper.len()];
        let area = FilledArea::new("", &self.traces.spectrum_x, &lower, &upper).fill_color(colour);
        plot.add(area.id("spectrum").allow_hover(false));
    }

    /// Writes the strings' names above the plot, in as many rows as it takes for none to cover another.
    fn mark_strings(&mut self, ui: &Ui, model: &Model, transform: &PlotTransform) {
        let font = TextStyle::Small.resolve(ui.style());
        let colour = ui.visuals().text_color();
        let mut marks: Vec<_> = model.figures.strings.iter().zip(&model.figures.strings_hz).collect();
        marks.sort_by(|one, other| one.1.total_cmp(other.1));
        let mut ends = [f32::NEG_INFINITY; MOST_MARK_ROWS];
        let mut most = 1;
        for (string, hz) in marks {
            let x = transform.position_from_point_x(hz.log10());
            let galley = ui.painter().layout_no_wrap(string.to_string(), font.clone(), colour);
            let left = x - 0.5 * galley.size().x;
            let row = ends.iter().position(|end| *end + 2.0 < left).unwrap_or(MOST_MARK_ROWS - 1);
            ends[row] = left + galley.size().x;
            most = most.max(row + 1);
            let up = MARK_ROW * f32::from(u8::try_from(row + 1).unwrap_or(u8::MAX));
            ui.painter().galley(pos2(left, transform.frame().top() - up), galley, colour);
        }
        if std::mem::replace(&mut self.mark_rows, most) != most {
            ui.ctx().request_discard("rows of strings' names");
        }
    }

    fn move_cursor(&mut self, ui: &Ui, model: &Model, drawn: &PlotResponse<()>) {
        let response = &drawn.response;
        let at = |position| {
            10f64.powf(drawn.transform.value_from_position(position).x).clamp(BAND_HZ.0, BAND_HZ.1)
        };
        let before = self.pointer_hz;
        self.pointer_hz = response.hover_pos().map(at);
        if self.pointer_hz != before {
            ui.ctx().request_repaint();
        }
        if response.clicked() || response.dragged() {
            response.request_focus();
            self.cursor_hz = response.interact_pointer_pos().map(at).or(self.cursor_hz);
        }
        if response.double_clicked() {
            self.cursor_hz = None;
        }
        if response.has_focus() {
            self.take_keys(ui, model, response);
            let ring = ui.visuals().selection.stroke;
            ui.painter().rect_stroke(*drawn.transform.frame(), 2.0, ring, StrokeKind::Outside);
        }
        let (hz, text) = (self.hz(model), self.said(model));
        response.widget_info(|| {
            let mut info = WidgetInfo::slider(true, hz, CURSOR);
            info.current_text_value = Some(text.clone());
            info
        });
    }

    fn take_keys(&mut self, ui: &Ui, model: &Model, response: &Response) {
        let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
        let hz = self.hz(model);
        let factor = |key, modifiers| {
            let pressed = ui.input_mut(|input| input.count_and_consume_key(modifiers, key));
            i32::try_from(pressed).unwrap_or(0)
        };
        // The one with Shift first: the other would take it too.
        let fine = factor(Key::ArrowRight, Modifiers::SHIFT) - factor(Key::ArrowLeft, Modifiers::SHIFT);
        let steps = factor(Key::ArrowRight, Modifiers::NONE) - factor(Key::ArrowLeft, Modifiers::NONE);
        let strings = factor(Key::ArrowUp, Modifiers::NONE) - factor(Key::ArrowDown, Modifiers::NONE);
        if (fine, steps, strings) == (0, 0, 0) {
            return;
        }
        let hz = hz * (f64::from(steps) * STEP_OCTAVES + f64::from(fine) * FINE_OCTAVES).exp2();
        let hz = if strings == 0 { hz } else { next_string(&model.figures.strings_hz, hz, strings > 0) };
        self.cursor_hz = Some(hz.clamp(BAND_HZ.0, BAND_HZ.1));
        self.pointer_hz = None;
    }

    /// "110 Hz: tuner −7.5 dB, ..."
    fn said(&self, model: &Model) -> String {
        let hz = self.hz(model);
        let one = |trace: &Trace| format!("{} {} dB", name(model, trace), level(model, trace, hz));
        let all: Vec<String> = self.traces.all.iter().map(one).collect();
        format!("{}: {}", frequency(hz), all.join(", "))
    }

    fn read_out(&self, ui: &mut Ui, model: &Model) {
        let hz = self.hz(model);
        let strings = model.figures.strings.iter().zip(&model.figures.strings_hz);
        let string = strings
            .filter(|(_, at)| (1.0 / ON_STRING..ON_STRING).contains(&(hz / **at)))
            .map(|(s, _)| s)
            .next();
        let title = string.map_or_else(|| frequency(hz), |string| format!("{} ({string})", frequency(hz)));
        ui.spacing_mut().item_spacing.y = 0.0;
        ui.add(Label::new(RichText::new(title).strong()).truncate()).on_hover_text(CURSOR_HELP);
        for trace in &self.traces.all {
            read_out_row(ui, model, trace, hz);
        }
    }
}

fn choose(ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
    ui.horizontal_wrapped(|ui| {
        let kinds = [(CurveKind::Loss, LOSS, LOSS_HELP), (CurveKind::Change, CHANGE, CHANGE_HELP)];
        for (kind, text, help) in kinds {
            if ui.selectable_label(model.curves == kind, text).on_hover_text(help).clicked() {
                out.push(Message::Curves(kind));
            }
        }
        ui.label(RichText::new(AXES).weak());
    });
}

/// Into the plot and the read-out beside it, or below it in a narrow and high place.
fn split(whole: Rect, rows: usize) -> (Rect, Rect) {
    let rows = f32::from(u8::try_from(rows + 1).unwrap_or(u8::MAX));
    if whole.width() >= WIDE || whole.height() < LOW {
        let width = READ_OUT_WIDTH.min(0.42 * whole.width());
        let (plot, read_out) = whole.split_left_right_at_x(whole.right() - width);
        return (plot, read_out.with_min_x(read_out.left() + 8.0));
    }
    let height = (rows * ROW).min(0.45 * whole.height());
    let plot_height = (whole.height() - height).max(LEAST_HEIGHT);
    whole.split_top_bottom_at_y(whole.top() + plot_height)
}

fn read_out_row(ui: &mut Ui, model: &Model, trace: &Trace, hz: f64) {
    let is_heard = trace.place == model.document.heard;
    let emphasis = |text: &str| {
        let text = RichText::new(text);
        if is_heard { text.strong() } else { text }
    };
    let (name, level) = (name(model, trace), level(model, trace, hz));
    let size = vec2(ui.available_width(), ROW);
    let look = look_of(trace, model.document.heard, ui.visuals());
    ui.allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
        ui.set_min_height(ROW);
        look::sample(ui, look);
        let (rect, _) = ui.allocate_exact_size(vec2(LEVEL_WIDTH, ROW), Sense::hover());
        let galley = ui.painter().layout_no_wrap(
            level,
            TextStyle::Body.resolve(ui.style()),
            ui.visuals().strong_text_color(),
        );
        let x = rect.right() - galley.size().x;
        ui.painter().galley(
            pos2(x, rect.center().y - 0.5 * galley.size().y),
            galley,
            ui.visuals().text_color(),
        );
        ui.add(Label::new(emphasis(&name)).truncate());
    });
}

/// The second pickup's curve is a paler one.
fn look_of(trace: &Trace, heard: Option<usize>, visuals: &Visuals) -> Look {
    let mut look = look::of(trace.place, trace.place == heard, visuals);
    if trace.pickup > 0 {
        look.stroke.color = look.stroke.color.gamma_multiply(PALE);
    }
    look
}

fn name(model: &Model, trace: &Trace) -> String {
    let setup = trace.place.and_then(|index| model.document.preset.setups.get(index));
    let name = setup.map_or(AS_RECORDED, |setup| &setup.name);
    match (model.curves, model.document.preset.pickups.count()) {
        (CurveKind::Change, 2..) => format!("{name}, pickup {}", trace.pickup + 1),
        _ => name.to_owned(),
    }
}

fn level(model: &Model, trace: &Trace, hz: f64) -> String {
    let figures = model.figures.of(trace.place);
    decibels::signed(level_db(figures, model.curves, trace.pickup, hz))
}

/// To three figures: "110 Hz", "2.51 kHz".
fn frequency(hz: f64) -> String {
    match hz {
        ..99.95 => format!("{hz:.1} Hz"),
        ..999.5 => format!("{hz:.0} Hz"),
        ..9995.0 => format!("{:.2} kHz", hz / 1e3),
        _ => format!("{:.1} kHz", hz / 1e3),
    }
}

/// The next pitch of a string above or below, or where it is.
fn next_string(strings_hz: &[f64], hz: f64, up: bool) -> f64 {
    let beyond = strings_hz.iter().copied();
    let next = if up {
        beyond.filter(|at| *at > hz * ON_STRING).reduce(f64::min)
    } else {
        beyond.filter(|at| *at < hz / ON_STRING).reduce(f64::max)
    };
    next.unwrap_or(hz)
}

/// Lines at 1, 2, 3 ... 9 times the powers of ten, those with a number stronger.
fn frequency_marks(_: GridInput) -> Vec<GridMark> {
    let decades = [10.0, 100.0, 1e3, 10e3];
    let all = decades.into_iter().flat_map(|decade| (1..=9u8).map(move |digit| decade * f64::from(digit)));
    let within = all.filter(|hz| (BAND_HZ.0..=BAND_HZ.1).contains(hz));
    within.map(|hz| GridMark { value: hz.log10(), step_size: room(hz) }).collect()
}

/// How much room a line has, as log10: in a narrow plot only the powers of ten keep their numbers.
fn room(hz: f64) -> f64 {
    match numbered(hz) {
        Some("100" | "1k" | "10k") => 1.0,
        Some(_) => 0.3,
        None => 0.09,
    }
}

fn numbered(hz: f64) -> Option<&'static str> {
    NUMBERED_HZ.iter().find(|(at, _)| (at / hz - 1.0).abs() < 1e-6).map(|(_, text)| *text)
}

fn number(mark: GridMark, _: &RangeInclusive<f64>) -> String {
    numbered(10f64.powf(mark.value)).unwrap_or_default().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cursor_walks_from_string_to_string() {
        let strings_hz = [98.0, 55.0, 73.4];
        assert_eq!(next_string(&strings_hz, 55.0, true), 73.4);
        assert_eq!(next_string(&strings_hz, 80.0, true), 98.0);
        assert_eq!(next_string(&strings_hz, 98.0, true), 98.0);
        assert_eq!(next_string(&strings_hz, 98.0, false), 73.4);
    }

    #[test]
    fn the_axis_has_ten_numbers() {
        let marks = frequency_marks(GridInput { bounds: (0.0, 5.0), base_step_size: 0.1 });
        let numbers: Vec<_> =
            marks.iter().map(|mark| number(*mark, &(0.0..=5.0))).filter(|text| !text.is_empty()).collect();
        assert_eq!(numbers, ["20", "50", "100", "200", "500", "1k", "2k", "5k", "10k", "20k"]);
        assert_eq!(marks.len(), 8 + 9 + 9 + 2);
    }

    #[test]
    fn frequencies_have_three_figures() {
        assert_eq!(
            [55.0, 110.0, 2512.0, 12_345.0].map(frequency),
            ["55.0 Hz", "110 Hz", "2.51 kHz", "12.3 kHz"]
        );
    }
}
