//! The take as a picture, with the place that is heard and the part that is looped.

use std::ops::Range;

use egui::{Color32, Key, Mesh, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, WidgetInfo};

/// Frames of one entry of the finest level.
const FINEST: usize = 16;
/// Entries that one entry of the next level sums up.
const COARSER: usize = 4;
/// Height in points.
const HEIGHT: f32 = 96.0;
/// What the arrow keys move by, as a part of the take.
const STEP: f64 = 1.0 / 100.0;
/// Points at either side of a loop's end where a drag moves that end.
const GRIP: f32 = 5.0;

const NAME: &str = "Waveform of the take";
const HINT: &str = "Click to play from there; drag to loop a part, or one of its ends; double-click to loop no part; arrow keys \
                    move the place.";

/// Lowest and highest sample of stretches of a take, at several widths, so that any picture is drawn from a few of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Peaks {
    frames: usize,
    levels: Vec<Vec<(f32, f32)>>,
}

impl Peaks {
    /// Of all channels together.
    pub fn new(channels: &[Vec<f32>]) -> Self {
        let frames = channels.iter().map(Vec::len).max().unwrap_or(0);
        let finest = (0..frames.div_ceil(FINEST)).map(|index| {
            let stretch = index * FINEST..(index + 1) * FINEST;
            let of =
                |channel: &Vec<f32>| extent(channel[clip(&stretch, channel.len())].iter().map(|v| (*v, *v)));
            extent(channels.iter().filter_map(of)).unwrap_or_default()
        });
        let mut levels: Vec<Vec<(f32, f32)>> = vec![finest.collect()];
        while let Some(finer) = levels.last().filter(|level| level.len() > COARSER) {
            let coarser = finer.chunks(COARSER).filter_map(|part| extent(part.iter().copied()));
            levels.push(coarser.collect());
        }
        Self { frames, levels }
    }

    /// How long the take is.
    pub const fn frames(&self) -> usize {
        self.frames
    }

    /// Lowest and highest sample of a stretch, widened to where the nearest entries begin and end; `None` if there is none.
    pub fn of(&self, stretch: &Range<usize>) -> Option<(f32, f32)> {
        let wide = stretch.len();
        let fits = |level: &usize| FINEST * COARSER.pow(u32::try_from(*level).unwrap_or(0) + 1) > wide;
        let level = (0..self.levels.len()).find(fits).unwrap_or(self.levels.len() - 1);
        let width = FINEST * COARSER.pow(u32::try_from(level).unwrap_or(0));
        let entries = stretch.start / width..stretch.end.div_ceil(width);
        let entries = clip(&entries, self.levels[level].len());
        extent(self.levels[level][entries].iter().copied())
    }
}

fn clip(range: &Range<usize>, end: usize) -> Range<usize> {
    range.start.min(end)..range.end.min(end)
}

fn extent(parts: impl Iterator<Item = (f32, f32)>) -> Option<(f32, f32)> {
    parts.reduce(|(low, high), (other_low, other_high)| (low.min(other_low), high.max(other_high)))
}

/// Where the player is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The next frame that is heard.
    pub frame: usize,
    /// The frames that are looped, if a part is.
    pub looped: Option<Range<usize>>,
}

/// What the reader asks of the player.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Asked {
    /// To go to a frame.
    Seek(usize),
    /// To loop these frames, or no part.
    Loop(Option<Range<usize>>),
}

/// The view.
#[derive(Debug, Default)]
pub struct Waveform {
    /// The end of the loop that stays while the other is dragged.
    anchor: Option<usize>,
}

impl Waveform {
    /// Shows a take as wide as there is room, and says what was asked for.
    pub fn show(&mut self, ui: &mut Ui, peaks: &Peaks, place: &Place) -> Option<Asked> {
        let size = egui::vec2(ui.available_width(), HEIGHT);
        let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        response.widget_info(|| WidgetInfo::labeled(egui::Role::Slider, ui.is_enabled(), NAME));
        let axis = Axis { rect, frames: peaks.frames() };
        if ui.is_rect_visible(rect) {
            paint(ui, &axis, peaks, place, &response);
        }
        let asked = self.asked(ui, &axis, place, &response);
        response.on_hover_text(HINT);
        asked
    }

    fn asked(&mut self, ui: &Ui, axis: &Axis, place: &Place, response: &Response) -> Option<Asked> {
        if response.double_clicked() {
            return Some(Asked::Loop(None));
        }
        let pointer = response.interact_pointer_pos().map(|at| axis.frame(at.x));
        if response.drag_started() {
            let from = ui.input(|input| input.pointer.press_origin()).map(|at| at.x);
            self.anchor = from.map(|x| axis.anchor(x, place.looped.as_ref()));
        }
        if response.clicked() {
            response.request_focus();
            return pointer.map(Asked::Seek);
        }
        if let (Some(anchor), Some(to), true) = (self.anchor, pointer, response.dragged()) {
            let part = anchor.min(to)..anchor.max(to);
            return (!part.is_empty()).then_some(Asked::Loop(Some(part)));
        }
        if response.drag_stopped() {
            self.anchor = None;
        }
        if response.has_focus() { keys(ui, axis, place) } else { None }
    }
}

fn keys(ui: &Ui, axis: &Axis, place: &Place) -> Option<Asked> {
    // Arrows would else move the focus.
    let filter = egui::EventFilter { horizontal_arrows: true, ..Default::default() };
    let focused = ui.memory(egui::Memory::focused)?;
    ui.memory_mut(|memory| memory.set_focus_lock_filter(focused, filter));
    let step = axis.step();
    let last = axis.frames.saturating_sub(1);
    let pressed = |key| ui.input(|input| input.key_pressed(key));
    let to = match () {
        () if pressed(Key::ArrowLeft) => place.frame.saturating_sub(step),
        () if pressed(Key::ArrowRight) => (place.frame + step).min(last),
        () if pressed(Key::Home) => 0,
        () => return None,
    };
    Some(Asked::Seek(to))
}

/// From frames to points across.
struct Axis {
    rect: Rect,
    frames: usize,
}

#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a take is shorter than 2^52 frames, and its picture needs no more digits than points"
)]
impl Axis {
    fn x(&self, frame: usize) -> f32 {
        let part = frame as f64 / self.frames.max(1) as f64;
        self.rect.left() + (part * f64::from(self.rect.width())) as f32
    }

    fn frame(&self, x: f32) -> usize {
        let part = f64::from((x - self.rect.left()) / self.rect.width().max(1.0));
        let frame = (part * self.frames as f64).round().max(0.0) as usize;
        frame.min(self.frames)
    }

    fn step(&self) -> usize {
        (self.frames as f64 * STEP).ceil() as usize
    }

    /// The end of a loop that stays while the other is dragged from here: of one that is there if an end is near, or else of a
    /// new one.
    fn anchor(&self, x: f32, looped: Option<&Range<usize>>) -> usize {
        match looped {
            Some(part) if (self.x(part.start) - x).abs() < GRIP => part.end,
            Some(part) if (self.x(part.end) - x).abs() < GRIP => part.start,
            _ => self.frame(x),
        }
    }
}

fn paint(ui: &Ui, axis: &Axis, peaks: &Peaks, place: &Place, response: &Response) {
    let visuals = ui.visuals();
    let painter = ui.painter_at(axis.rect);
    painter.rect_filled(axis.rect, 0.0, visuals.extreme_bg_color);
    if let Some(part) = &place.looped {
        let looped = Rect::from_x_y_ranges(axis.x(part.start)..=axis.x(part.end), axis.rect.y_range());
        painter.rect_filled(looped, 0.0, visuals.selection.bg_fill.gamma_multiply(0.4));
        for x in [looped.left(), looped.right()] {
            painter.vline(x, axis.rect.y_range(), Stroke::new(1.0, visuals.text_color()));
        }
    }
    let columns =
        columns(axis, peaks, 1.0 / ui.ctx().pixels_per_point(), visuals.text_color().gamma_multiply(0.75));
    painter.add(Shape::mesh(columns));
    painter.vline(axis.x(place.frame), axis.rect.y_range(), Stroke::new(2.0, visuals.strong_text_color()));
    let border = if response.has_focus() {
        visuals.selection.stroke
    } else {
        visuals.widgets.noninteractive.bg_stroke
    };
    painter.rect_stroke(axis.rect, 0.0, border, egui::StrokeKind::Inside);
}

/// One column a pixel, from its lowest to its highest sample.
fn columns(axis: &Axis, peaks: &Peaks, pixel: f32, colour: Color32) -> Mesh {
    let mut mesh = Mesh::default();
    let (middle, half) = (axis.rect.center().y, axis.rect.height() / 2.0);
    let mut left = axis.rect.left();
    while left < axis.rect.right() {
        let stretch = axis.frame(left)..axis.frame(left + pixel).max(axis.frame(left) + 1);
        if let Some((low, high)) = peaks.of(&stretch) {
            let top = middle - high.clamp(-1.0, 1.0) * half;
            let bottom = middle - low.clamp(-1.0, 1.0) * half;
            let (from, to) =
                (Pos2::new(left, top - pixel / 2.0), Pos2::new(left + pixel, bottom + pixel / 2.0));
            mesh.add_colored_rect(Rect::from_min_max(from, to), colour);
        }
        left += pixel;
    }
    mesh
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ramp(frames: u16) -> Vec<f32> {
        (0..frames).map(|frame| f32::from(frame) / f32::from(frames)).collect()
    }

    #[test]
    fn a_stretch_has_its_own_peaks_at_every_width() {
        let sound = ramp(60_000);
        let peaks = Peaks::new(std::slice::from_ref(&sound));
        assert_eq!(peaks.frames(), 60_000);
        for width in [1, 15, 16, 17, 64, 300, 1_000, 20_000, 60_000] {
            for start in [0, 7, 16, 1_234, 40_000] {
                let stretch = start..(start + width).min(60_000);
                let (low, high) = peaks.of(&stretch).unwrap();
                // All of the stretch, and at most as much again at either end.
                let slack = width.max(FINEST) * COARSER;
                let wide = start.saturating_sub(slack)..(stretch.end + slack).min(60_000);
                assert!(low <= sound[start] && low >= sound[wide.start], "{stretch:?}: {low}");
                assert!(high >= sound[stretch.end - 1] && high <= sound[wide.end - 1], "{stretch:?}: {high}");
            }
        }
    }

    #[test]
    fn one_loud_sample_is_seen_from_afar() {
        let mut sound = vec![0.0; 1_000_003];
        sound[777_777] = -0.9;
        let peaks = Peaks::new(&[vec![0.1; 10], sound]);
        assert_eq!(peaks.of(&(0..1_000_003)), Some((-0.9, 0.1)));
        assert_eq!(peaks.of(&(700_000..800_000)), Some((-0.9, 0.0)));
        assert_eq!(peaks.of(&(100_000..200_000)), Some((0.0, 0.0)));
    }

    #[test]
    fn no_sound_has_no_peaks() {
        for nothing in [Peaks::new(&[]), Peaks::new(&[Vec::new()])] {
            assert_eq!((nothing.frames(), nothing.of(&(0..100))), (0, None));
        }
        assert_eq!(Peaks::new(&[vec![0.5]]).of(&(5_000..6_000)), None);
    }

    #[test]
    fn frames_and_points_agree() {
        let rect = Rect::from_min_size(Pos2::new(10.0, 0.0), egui::vec2(500.0, HEIGHT));
        let axis = Axis { rect, frames: 48_000 };
        for frame in [0, 480, 24_000, 48_000] {
            assert_eq!(axis.frame(axis.x(frame)), frame);
        }
        assert_eq!((axis.frame(-50.0), axis.frame(9_999.0)), (0, 48_000));
        assert_eq!(axis.anchor(axis.x(24_000) + 3.0, Some(&(12_000..24_000))), 12_000);
        assert_eq!(axis.anchor(axis.x(12_000) - 3.0, Some(&(12_000..24_000))), 24_000);
        assert_eq!(axis.anchor(axis.x(480), Some(&(12_000..24_000))), 480);
    }
}
