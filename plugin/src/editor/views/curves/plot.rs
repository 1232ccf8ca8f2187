//! The curves as a plot, with the strings' names above it and the live spectrum behind.

use egui::{Color32, Rangef, Rect, Sense, Stroke, TextStyle, Ui, UiBuilder, pos2, vec2};
use egui_plot::{AxisHints, FilledArea, Line, Plot, PlotPoints, PlotTransform, PlotUi, VLine};

use super::axis::{frequency_marks, level, number};
use super::traces::{BAND_HZ, Trace};
use super::{CurvesView, look_of};
use crate::editor::Model;
use crate::editor::views::theme;

/// Height of one row of strings' names in points.
const MARK_ROW: f32 = 13.0;
const MOST_MARK_ROWS: usize = 4;

/// The spectrum's level at the bottom of the plot, in dB re full scale, which is at its top.
const QUIETEST_DB: f64 = -96.0;
const SPECTRUM_OPACITY: f32 = 0.15;
const BAND_OPACITY: f32 = 0.2;

impl CurvesView {
    pub(super) fn draw_plot(&mut self, ui: &mut Ui, rect: Rect, model: &Model) {
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
        let y_axis =
            AxisHints::new_y().formatter(level).label_spacing(Rangef::new(14.0, 15.0)).min_thickness(28.0);
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
        let (text, outline) = (style.visuals.text_color(), theme::outline(style.visuals.dark_mode));
        self.fill_spectrum(plot, text.gamma_multiply(SPECTRUM_OPACITY));
        for string_hz in &model.figures.strings_hz {
            let mark = VLine::new("", string_hz.log10()).stroke(Stroke::new(1.0, outline));
            plot.vline(mark.id(("string", string_hz.to_bits())).allow_hover(false));
        }
        let heard = model.document.heard;
        let (strong, thin): (Vec<&Trace>, Vec<&Trace>) =
            self.traces.all.iter().partition(|trace| trace.place == heard);
        let band = &self.traces.band;
        if let Some(trace) = strong.first().filter(|_| !band.x.is_empty()) {
            let colour = look_of(trace, heard, &style.visuals).stroke.color.gamma_multiply(BAND_OPACITY);
            let area = FilledArea::new("", &band.x, &band.lower, &band.upper).fill_color(colour);
            plot.add(area.id("band").allow_hover(false));
        }
        for trace in thin.into_iter().chain(strong) {
            let look = look_of(trace, heard, &style.visuals);
            let line = Line::new("", PlotPoints::from(&*trace.points)).stroke(look.stroke).style(look.style);
            plot.line(line.id(("curve", trace.place, trace.pickup)).allow_hover(false));
        }
        let cursor = VLine::new("", hz.log10()).stroke(Stroke::new(1.5, text));
        plot.vline(cursor.id("cursor").allow_hover(false));
    }

    fn fill_spectrum(&self, plot: &mut PlotUi<'_>, colour: Color32) {
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
}
