//! Pixels of what a harness shows, made by the processor alone: no graphics card, and no driver that stands in for one.
//!
//! What is drawn comes as triangles of colours times letters of an atlas, with soft edges in their colours already: they are filled, one over
//! the other, as a graphics card without multisampling would.

use egui::epaint::{Mesh, Primitive, Vertex};
use egui::{ClippedPrimitive, Color32, ColorImage, Rect, TextureId};
use egui_kittest::Harness;

use crate::pixels::Pixels;

/// What the harness shows after its last step.
pub fn picture<S>(harness: &Harness<'_, S>) -> Pixels {
    part(harness, Rect::EVERYTHING)
}

/// As much of it as is in here, in points; the rest is black.
pub fn part<S>(harness: &Harness<'_, S>, here: Rect) -> Pixels {
    let (context, scale) = (&harness.ctx, harness.ctx.pixels_per_point());
    let size = context.content_rect().size() * scale;
    let atlas = context.fonts(|fonts| fonts.image());
    let mut canvas = Canvas::new((whole(size.x), whole(size.y)), scale, atlas);
    for ClippedPrimitive { clip_rect, primitive } in
        context.tessellate(harness.output().shapes.clone(), scale)
    {
        let Primitive::Mesh(mesh) = primitive else { panic!("what draws by itself is not drawn here") };
        assert_eq!(mesh.texture_id, TextureId::default(), "letters are the only texture");
        let clip_rect = clip_rect.intersect(here);
        let (low, high) = (clip_rect.min * scale, clip_rect.max * scale);
        let clip = [(low.x, high.x, canvas.size.0), (low.y, high.y, canvas.size.1)]
            .map(|(low, high, most)| (whole(low).min(most), whole(high).min(most)));
        canvas.fill(&mesh, clip);
    }
    canvas.into_picture()
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "pixels of a picture")]
fn whole(pixels: f32) -> usize {
    pixels.round().max(0.0) as usize
}

#[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
fn exact(pixels: usize) -> f64 {
    pixels as f64
}

/// A colour as the screen has it, times its own opacity.
type Colour = [f64; 4];

struct Canvas {
    size: (usize, usize),
    scale: f64,
    atlas: ColorImage,
    pixels: Vec<Colour>,
}

/// A corner of a triangle in pixels, with its place in the atlas in texels.
#[derive(Clone, Copy)]
struct Corner {
    at: (f64, f64),
    texel: (f64, f64),
    colour: Colour,
}

impl Canvas {
    fn new(size: (usize, usize), scale: f32, atlas: ColorImage) -> Self {
        Self { size, scale: scale.into(), atlas, pixels: vec![[0.0; 4]; size.0 * size.1] }
    }

    fn fill(&mut self, mesh: &Mesh, clip: [(usize, usize); 2]) {
        for triangle in mesh.indices.chunks_exact(3) {
            let corners = [0, 1, 2].map(|index| self.corner(&mesh.vertices[triangle[index] as usize]));
            self.triangle(corners, clip);
        }
    }

    fn corner(&self, Vertex { pos, uv, color }: &Vertex) -> Corner {
        let [wide, high] = self.atlas.size.map(exact);
        Corner {
            at: (f64::from(pos.x) * self.scale, f64::from(pos.y) * self.scale),
            texel: (f64::from(uv.x) * wide, f64::from(uv.y) * high),
            colour: parts(*color),
        }
    }

    /// Every pixel whose middle is inside. A middle on an edge that two triangles share is of one of them: the one to whose left or
    /// top the edge is.
    fn triangle(&mut self, [a, mut b, mut c]: [Corner; 3], clip: [(usize, usize); 2]) {
        let area = across(a.at, b.at, c.at);
        if area == 0.0 {
            return;
        }
        if area < 0.0 {
            std::mem::swap(&mut b, &mut c);
        }
        let corners = [a, b, c];
        let edges = [(b, c), (c, a), (a, b)];
        let [columns, rows] = [0, 1].map(|axis| {
            let of = |corner: &Corner| if axis == 0 { corner.at.0 } else { corner.at.1 };
            let low = corners.iter().map(of).fold(f64::INFINITY, f64::min);
            let high = corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
            let (from, to) = clip[axis];
            from.max(floor(low))..to.min(floor(high) + 1)
        });
        let is_plain = corners.iter().all(|corner| corner.texel == a.texel && corner.colour == a.colour);
        let plain = is_plain.then(|| self.colour(&corners, [1.0, 0.0, 0.0]));
        for y in rows {
            for x in columns.clone() {
                let middle = (exact(x) + 0.5, exact(y) + 0.5);
                let parts = edges.map(|(from, to)| across(from.at, to.at, middle));
                let is_inside = parts.iter().zip(edges).all(|(part, (from, to))| {
                    let (right, down) = (to.at.0 - from.at.0, to.at.1 - from.at.1);
                    *part > 0.0 || (*part == 0.0 && (down < 0.0 || (down == 0.0 && right > 0.0)))
                });
                if is_inside {
                    let mixed = || self.colour(&corners, parts.map(|part| part / area.abs()));
                    self.blend(y * self.size.0 + x, plain.unwrap_or_else(mixed));
                }
            }
        }
    }

    fn colour(&self, corners: &[Corner; 3], parts: [f64; 3]) -> Colour {
        let mixed = |of: &dyn Fn(&Corner) -> f64| -> f64 {
            corners.iter().zip(parts).map(|(corner, part)| part * of(corner)).sum()
        };
        let texel = self.texel(mixed(&|corner| corner.texel.0), mixed(&|corner| corner.texel.1));
        [0, 1, 2, 3].map(|index| mixed(&|corner| corner.colour[index]) * texel[index])
    }

    /// Between the four texels around.
    fn texel(&self, x: f64, y: f64) -> Colour {
        let (x, y) = (x - 0.5, y - 0.5);
        let (right, down) = (x - x.floor(), y - y.floor());
        let [wide, high] = self.atlas.size;
        // What lies beyond the edges is as they are.
        let at = |column: f64, row: f64| {
            let (column, row) =
                (floor(x.floor() + column).min(wide - 1), floor(y.floor() + row).min(high - 1));
            parts(self.atlas.pixels[row * wide + column])
        };
        let around = [at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0), at(1.0, 1.0)];
        let weights =
            [(1.0 - right) * (1.0 - down), right * (1.0 - down), (1.0 - right) * down, right * down];
        [0, 1, 2, 3]
            .map(|index| around.iter().zip(weights).map(|(texel, weight)| texel[index] * weight).sum())
    }

    /// Over what is there.
    fn blend(&mut self, pixel: usize, colour: Colour) {
        let below = &mut self.pixels[pixel];
        for (below, above) in below.iter_mut().zip(colour) {
            *below = above + *below * (1.0 - colour[3]);
        }
    }

    fn into_picture(self) -> Pixels {
        let colours = self.pixels.into_iter().map(|[red, green, blue, _]| [red, green, blue].map(step));
        Pixels::new(u32::try_from(self.size.0).unwrap(), colours.collect())
    }
}

/// Twice the area of a triangle; positive if `c` is to the right of the way from `a` to `b`, on a screen whose rows go down.
fn across(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> f64 {
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}

fn parts(colour: Color32) -> Colour {
    colour.to_array().map(|part| f64::from(part) / 255.0)
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "pixels of a picture")]
fn floor(pixels: f64) -> usize {
    pixels.floor().max(0.0) as usize
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within 0 and 1")]
fn step(part: f64) -> u8 {
    (255.0 * part).round().clamp(0.0, 255.0) as u8
}
