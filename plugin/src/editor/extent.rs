//! How large the window is, and at which zoom it is drawn.

use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use egui::{Context, Vec2, ViewportCommand, vec2};
use nice_plug::editor::dpi::{LogicalSize, NativeSize, PhysicalSize};
use nice_plug_egui::baseview::WindowSize;

use super::settings::{SMALLEST, Settings, ZOOM};

/// So long the window waits for an answer to a new zoom's size, before it makes do with the size that it has.
const ANSWER: Duration = Duration::from_millis(300);

/// What a host may ask about the window from its own thread, at any time.
pub(super) struct Extent {
    /// Width above height; zero while no window is open.
    native: AtomicU64,
    zoom: AtomicU32,
    scale: AtomicU64,
}

impl Default for Extent {
    fn default() -> Self {
        Self { native: 0.into(), zoom: 1.0_f32.to_bits().into(), scale: 1.0_f64.to_bits().into() }
    }
}

impl Extent {
    /// An open window has this size, on a screen of this scale.
    pub fn set(&self, physical: PhysicalSize<u32>, scale: f64) {
        let NativeSize::<u32> { width, height } =
            NativeSize::from_logical_or_physical(physical.to_logical(scale), physical);
        self.scale.store(scale.to_bits(), Ordering::Relaxed);
        self.native.store(u64::from(width) << 32 | u64::from(height), Ordering::Relaxed);
    }

    /// No window is open.
    pub fn clear(&self) {
        self.native.store(0, Ordering::Relaxed);
    }

    /// The zoom that was chosen.
    pub fn set_zoom(&self, zoom: f32) {
        self.zoom.store(zoom.to_bits(), Ordering::Relaxed);
    }

    /// Of the open window.
    pub fn native(&self) -> Option<NativeSize<u32>> {
        let native = self.native.load(Ordering::Relaxed);
        #[expect(clippy::cast_possible_truncation, reason = "two halves")]
        let (width, height) = ((native >> 32) as u32, native as u32);
        (native != 0).then_some(NativeSize { width, height })
    }

    /// The size of a window that opens with these settings.
    pub fn of(&self, settings: &Settings) -> NativeSize<u32> {
        let [width, height] =
            [settings.width, settings.height].map(|points| f64::from(points) * f64::from(settings.zoom));
        let scale = f64::from_bits(self.scale.load(Ordering::Relaxed));
        NativeSize::from_size(LogicalSize::new(width, height).into(), scale)
    }

    /// The smallest window in points of a zoom of 1.
    pub fn smallest(&self) -> LogicalSize<f32> {
        let zoom = f32::from_bits(self.zoom.load(Ordering::Relaxed));
        LogicalSize::new(SMALLEST.0 * zoom, SMALLEST.1 * zoom)
    }
}

/// Draws at the zoom that was chosen, or at less where the window is too small for its smallest size. The framework asks the host for
/// another size whenever the zoom changes, so that there are as many points as before.
pub(super) struct Fit {
    zoom: f32,
    /// The zoom that was no choice of the person's.
    fitted: Option<f32>,
    /// The next change of the zoom leaves the window as it is.
    holds: bool,
    settles: Instant,
}

impl Fit {
    /// Of a window that opens at a zoom.
    pub fn new(zoom: f32) -> Self {
        Self { zoom, fitted: None, holds: false, settles: Instant::now() }
    }

    /// What is drawn at.
    pub fn zoom(&self) -> f32 {
        self.zoom
    }

    /// The window has got a size.
    pub fn settle(&mut self) {
        self.settles = Instant::now();
    }

    /// The person has chosen a zoom.
    pub fn choose(&mut self) {
        (self.fitted, self.holds) = (None, false);
    }

    /// Whether the person has chosen this zoom.
    pub fn is_choice(&self, zoom: f32) -> bool {
        self.fitted != Some(zoom)
    }

    /// What is to be kept of a window of this size, if the person has given it another one.
    pub fn chosen(&self, physical: PhysicalSize<u32>, scale: f64, settings: &Settings) -> Option<Settings> {
        let (units, zoom) = (units(physical, scale), self.zoom);
        if zoom != settings.zoom || fitting(zoom, units) != zoom {
            return None;
        }
        let pixels = |points: f32| (f64::from(points) * f64::from(zoom) * scale).round();
        let is_kept = pixels(settings.width) == f64::from(physical.width)
            && pixels(settings.height) == f64::from(physical.height);
        (!is_kept).then(|| Settings { width: units.x / zoom, height: units.y / zoom, ..*settings })
    }

    /// Once a frame: makes the window's zoom the one that there is room for.
    pub fn follow(&mut self, ctx: &Context, window: WindowSize, settings: &Settings) {
        let zoom = ctx.zoom_factor();
        let units = units(window.physical, window.scale_factor);
        if zoom != self.zoom {
            self.zoom = zoom;
            if std::mem::take(&mut self.holds) {
                ctx.send_viewport_cmd(ViewportCommand::InnerSize(units / zoom));
            } else {
                self.settles = Instant::now() + ANSWER;
            }
        }
        let left = self.settles.saturating_duration_since(Instant::now());
        if !left.is_zero() {
            ctx.request_repaint_after(left);
            return;
        }
        let fits = fitting(settings.zoom, units);
        if fits != zoom {
            (self.fitted, self.holds) = (Some(fits), true);
            ctx.set_zoom_factor(fits);
        }
    }
}

/// In points of a zoom of 1.
fn units(physical: PhysicalSize<u32>, scale: f64) -> Vec2 {
    let LogicalSize { width, height } = physical.to_logical(scale);
    vec2(width, height)
}

/// The zoom, or what there is room for. Half a pixel is no reason.
fn fitting(zoom: f32, units: Vec2) -> f32 {
    let most = ((units.x + 0.5) / SMALLEST.0).min((units.y + 0.5) / SMALLEST.1);
    zoom.min(most).max(ZOOM.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_zoom_is_no_larger_than_there_is_room_for() {
        for (zoom, size, expected) in [
            (2.0, (1440.0, 960.0), 2.0),
            (1.25, (900.0, 600.0), 1.25),
            (0.8, (576.0, 384.0), 0.8),
            (2.0, (1080.0, 960.0), 1.5),
            (3.0, (720.0, 480.0), 1.0),
            (1.0, (10.0, 10.0), 0.5),
        ] {
            let zoom = fitting(zoom, size.into());
            assert!((zoom - expected).abs() < 0.002, "{zoom} of {size:?}");
        }
    }

    #[test]
    fn the_smallest_size_follows_the_zoom() {
        let extent = Extent::default();
        assert_eq!(extent.smallest(), LogicalSize::new(720.0, 480.0));
        extent.set_zoom(3.0);
        assert_eq!(extent.smallest(), LogicalSize::new(2160.0, 1440.0));
    }
}
