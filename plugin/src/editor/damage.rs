//! Draws only what has changed, where the processor draws: there the pixels are what a frame costs. What was drawn stays in a buffer of ours,
//! since nobody promises what is in the window's after it has been shown; each frame the regions whose shapes have changed are drawn into
//! it, and all of it is copied.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use egui::epaint::{ClippedShape, RectShape};
use egui::{Color32, Context, CornerRadius, FullOutput, PaintCallback, Plugin, Rect, Shape, Vec2};
use egui_glow::CallbackFn;
use egui_glow::glow::{self, HasContext as _};
use nice_plug_egui::Frame;

/// Names of what draws without graphics hardware.
const SOFTWARE: [&str; 3] = ["llvmpipe", "softpipe", "software"];
/// Room around a shape for its soft edge, in points.
const EDGE: f32 = 2.0;
/// More regions than these are one.
const MOST_REGIONS: usize = 8;

/// What a window's frames have drawn.
pub(super) struct Damage {
    canvas: Arc<Canvas>,
    before: Vec<ClippedShape>,
    screen: Rect,
    pixels_per_point: f32,
    /// What has changed since a frame was painted.
    regions: Vec<Rect>,
}

/// From now on the window draws only what has changed, if that is worth anything.
pub(super) fn watch(ctx: &Context, frame: &Frame) {
    if is_software(frame).unwrap_or(false) {
        // It leaves out soft edges that reach into a region; what lies outside is left out here.
        ctx.options_mut(|options| options.tessellation_options.coarse_tessellation_culling = false);
        ctx.add_plugin(Damage {
            canvas: Arc::default(),
            before: Vec::new(),
            screen: Rect::NOTHING,
            pixels_per_point: 0.0,
            regions: Vec::new(),
        });
    }
}

fn is_software(frame: &Frame) -> Option<bool> {
    let context = frame.baseview_window().gl_context()?;
    // SAFETY: the window's own context, on its own thread, on which no other is current.
    let name = unsafe {
        context.make_current().ok()?;
        let name = frame.gl().get_parameter_string(glow::RENDERER).to_lowercase();
        context.make_not_current().ok()?;
        name
    };
    Some(SOFTWARE.iter().any(|software| name.contains(software)))
}

impl Plugin for Damage {
    fn debug_name(&self) -> &'static str {
        "damage"
    }

    fn output_hook(&mut self, ctx: &Context, output: &mut FullOutput) {
        if self.canvas.is_broken.load(Ordering::Relaxed) {
            return;
        }
        // A pass that was not painted leaves its regions to the next.
        if self.canvas.is_painted.swap(false, Ordering::Relaxed) {
            self.regions.clear();
        }
        let now = std::mem::take(&mut output.shapes);
        let (screen, scale) = (ctx.content_rect(), output.pixels_per_point);
        let is_new = self.canvas.is_lost.swap(false, Ordering::Relaxed)
            || (screen, scale) != (self.screen, self.pixels_per_point)
            || output.textures_delta.set.values().flatten().any(|delta| delta.is_whole());
        (self.screen, self.pixels_per_point) = (screen, scale);
        if is_new {
            self.regions = vec![screen];
        } else {
            changes(&self.before, &now, |rect| {
                add(&mut self.regions, to_pixels(rect.expand(EDGE).intersect(screen), scale));
            });
        }
        let area: f32 = self.regions.iter().map(Rect::area).sum();
        if area > 0.6 * screen.area() {
            self.regions = vec![screen];
        }
        output.shapes = self.partial(&now);
        self.before = now;
    }
}

impl Damage {
    /// The shapes of all regions, on what was there when the window was cleared, between binding the buffer and copying it.
    fn partial(&self, all: &[ClippedShape]) -> Vec<ClippedShape> {
        let callback = |step: fn(&Canvas, &glow::Context, [u32; 2])| {
            let canvas = self.canvas.clone();
            let function =
                CallbackFn::new(move |info, painter| step(&canvas, painter.gl(), info.screen_size_px));
            let callback = PaintCallback { rect: self.screen, callback: Arc::new(function) };
            ClippedShape::new(self.screen, Shape::Callback(callback))
        };
        let mut shapes = vec![callback(Canvas::begin)];
        for region in &self.regions {
            let blank = RectShape::filled(*region, CornerRadius::ZERO, Color32::BLACK);
            shapes.push(ClippedShape::new(*region, Shape::Rect(blank)));
            for shape in all {
                let clip_rect = shape.clip_rect.intersect(*region);
                if clip_rect.is_positive() && bounds(shape).expand(EDGE).intersects(*region) {
                    shapes.push(ClippedShape { clip_rect, ..shape.clone() });
                }
            }
        }
        shapes.push(callback(Canvas::end));
        shapes
    }
}

/// Where shapes differ. Those between the first and the last that do are taken in turn, as long as there are as many.
fn changes(before: &[ClippedShape], now: &[ClippedShape], mut found: impl FnMut(Rect)) {
    if before.len() == now.len() {
        for (before, now) in before.iter().zip(now).filter(|(before, now)| before != now) {
            found(bounds(before));
            found(bounds(now));
        }
        return;
    }
    let same = before.iter().zip(now).take_while(|(before, now)| before == now).count();
    let (before, now) = (&before[same..], &now[same..]);
    let same = before.iter().rev().zip(now.iter().rev()).take_while(|(before, now)| before == now).count();
    for shape in before[..before.len() - same].iter().chain(&now[..now.len() - same]) {
        found(bounds(shape));
    }
}

/// Where a shape can be seen.
fn bounds(shape: &ClippedShape) -> Rect {
    let rect = match &shape.shape {
        Shape::Callback(callback) => callback.rect,
        shape => shape.visual_bounding_rect(),
    };
    if rect.is_negative() {
        Rect::NOTHING
    } else {
        (shape.transform_after_tessellation * rect).intersect(shape.clip_rect)
    }
}

/// The pixels that a region touches.
fn to_pixels(rect: Rect, scale: f32) -> Rect {
    let point = |at: Vec2, round: fn(f32) -> f32| {
        (Vec2::new(round(at.x * scale), round(at.y * scale)) / scale).to_pos2()
    };
    Rect::from_min_max(point(rect.min.to_vec2(), f32::floor), point(rect.max.to_vec2(), f32::ceil))
}

/// Regions do not overlap: what lies on several would be mixed twice.
fn add(regions: &mut Vec<Rect>, mut rect: Rect) {
    if !rect.is_positive() {
        return;
    }
    while let Some(index) = regions.iter().position(|region| region.intersects(rect)) {
        rect = rect.union(regions.swap_remove(index));
    }
    regions.push(rect);
    if regions.len() > MOST_REGIONS {
        let all = regions.drain(..).fold(Rect::NOTHING, Rect::union);
        regions.push(all);
    }
}

/// The buffer. It goes with the window's GL context.
#[derive(Default)]
struct Canvas {
    drawn: Mutex<Option<Drawn>>,
    is_painted: AtomicBool,
    /// It holds nothing yet.
    is_lost: AtomicBool,
    /// There can be none.
    is_broken: AtomicBool,
}

struct Drawn {
    frame: glow::Framebuffer,
    pixels: glow::Texture,
    size: [u32; 2],
}

impl Canvas {
    /// What is drawn from now on goes into the buffer.
    fn begin(&self, gl: &glow::Context, size: [u32; 2]) {
        let mut drawn = self.drawn.lock().unwrap_or_else(PoisonError::into_inner);
        if drawn.as_ref().is_none_or(|drawn| drawn.size != size) {
            // A frame that was not made for it draws a part at most.
            self.is_lost.store(drawn.is_some(), Ordering::Relaxed);
            // SAFETY: the library's painter has made its context current; the objects are this one's.
            *drawn = unsafe { Drawn::new(gl, size, drawn.take()) };
        }
        self.is_broken.store(drawn.is_none(), Ordering::Relaxed);
        if let Some(drawn) = &*drawn {
            // SAFETY: as above.
            unsafe { gl.bind_framebuffer(glow::FRAMEBUFFER, Some(drawn.frame)) };
        }
    }

    /// It is copied into the window.
    fn end(&self, gl: &glow::Context, _: [u32; 2]) {
        let drawn = self.drawn.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(Drawn { frame, size, .. }) = &*drawn {
            let [width, height] = size.map(u32::cast_signed);
            // SAFETY: as above.
            unsafe {
                gl.disable(glow::SCISSOR_TEST);
                gl.bind_framebuffer(glow::READ_FRAMEBUFFER, Some(*frame));
                gl.bind_framebuffer(glow::DRAW_FRAMEBUFFER, None);
                let (bits, filter) = (glow::COLOR_BUFFER_BIT, glow::NEAREST);
                gl.blit_framebuffer(0, 0, width, height, 0, 0, width, height, bits, filter);
                gl.bind_framebuffer(glow::FRAMEBUFFER, None);
            }
        }
        self.is_painted.store(true, Ordering::Relaxed);
    }
}

impl Drawn {
    /// Instead of the last one. `None` if the system does not draw so.
    ///
    /// # Safety
    /// The context is current.
    unsafe fn new(gl: &glow::Context, size: [u32; 2], last: Option<Self>) -> Option<Self> {
        let [width, height] = size.map(u32::cast_signed);
        // SAFETY: the caller's promise.
        unsafe {
            if let Some(last) = last {
                gl.delete_framebuffer(last.frame);
                gl.delete_texture(last.pixels);
            }
            let (frame, pixels) = (gl.create_framebuffer().ok()?, gl.create_texture().ok()?);
            gl.bind_texture(glow::TEXTURE_2D, Some(pixels));
            // In the order of the window's own bytes, so that a copy moves them as they are.
            let (inside, order, kind) =
                (glow::RGBA.cast_signed(), glow::BGRA, glow::UNSIGNED_INT_8_8_8_8_REV);
            let none = glow::PixelUnpackData::Slice(None);
            gl.tex_image_2d(glow::TEXTURE_2D, 0, inside, width, height, 0, order, kind, none);
            gl.bind_texture(glow::TEXTURE_2D, None);
            let (target, place) = (glow::FRAMEBUFFER, glow::COLOR_ATTACHMENT0);
            gl.bind_framebuffer(target, Some(frame));
            gl.framebuffer_texture_2d(target, place, glow::TEXTURE_2D, Some(pixels), 0);
            let is_complete = gl.check_framebuffer_status(target) == glow::FRAMEBUFFER_COMPLETE;
            gl.bind_framebuffer(target, None);
            is_complete.then_some(Self { frame, pixels, size })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f32) -> ClippedShape {
        let rect = Rect::from_min_size(egui::pos2(x, 0.0), Vec2::splat(10.0));
        let clip = Rect::from_min_size(egui::Pos2::ZERO, Vec2::splat(1_000.0));
        ClippedShape::new(clip, Shape::Rect(RectShape::filled(rect, CornerRadius::ZERO, Color32::WHITE)))
    }

    fn found(before: &[f32], now: &[f32]) -> Vec<f32> {
        let [before, now] = [before, now].map(|at| at.iter().map(|x| square(*x)).collect::<Vec<_>>());
        let mut all = Vec::new();
        changes(&before, &now, |rect| all.push(rect.min.x));
        all
    }

    #[test]
    fn what_comes_goes_or_moves_is_found() {
        assert_eq!(found(&[1.0, 2.0, 3.0], &[1.0, 2.0, 3.0]), [] as [f32; 0]);
        assert_eq!(found(&[1.0, 2.0, 3.0], &[1.0, 20.0, 3.0]), [2.0, 20.0]);
        assert_eq!(found(&[1.0, 2.0, 3.0], &[1.0, 3.0]), [2.0]);
        assert_eq!(found(&[1.0, 3.0], &[1.0, 2.0, 3.0]), [2.0]);
        assert_eq!(found(&[], &[5.0]), [5.0]);
        assert_eq!(found(&[1.0, 1.0], &[1.0]), [1.0]);
    }

    /// Whatever is added in whatever order: all of it is covered, once.
    #[test]
    fn regions_do_not_overlap() {
        let mut random = fastrand::Rng::with_seed(1);
        for _ in 0..500 {
            let (mut regions, mut all) = (Vec::new(), Vec::new());
            for _ in 0..random.usize(0..20) {
                let mut number = || random.u16(0..500).into();
                let rect =
                    Rect::from_min_size(egui::pos2(number(), number()), egui::vec2(number(), number()) / 5.0);
                add(&mut regions, rect);
                all.extend(rect.is_positive().then_some(rect));
            }
            assert!(regions.len() <= MOST_REGIONS);
            for rect in all {
                assert!(regions.iter().any(|region| region.contains_rect(rect)));
            }
            for (index, region) in regions.iter().enumerate() {
                assert!(regions[..index].iter().all(|other| !other.intersects(*region)));
            }
        }
    }

    #[test]
    fn a_region_is_whole_pixels() {
        for scale in [1.0, 1.25, 2.0] {
            let rect = Rect::from_min_max(egui::pos2(10.3, 20.7), egui::pos2(30.1, 40.9));
            let pixels = to_pixels(rect, scale);
            assert!(pixels.contains_rect(rect));
            for side in [pixels.min.x, pixels.min.y, pixels.max.x, pixels.max.y] {
                assert!((side * scale - (side * scale).round()).abs() < 1e-3);
            }
        }
    }
}
